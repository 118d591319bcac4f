// Command notices prints the notices that the parts of others ask for: those of the Go modules that are linked into
// handrule, of Go itself, and of the npm packages in the given folders, which are bundled into the page.
package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
)

func main() {
	if err := write(os.Stdout, os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, "notices:", err)
		os.Exit(1)
	}
}

func write(w io.Writer, packages []string) error {
	parts, err := linked("handrule/cmd/handrule")
	if err != nil {
		return err
	}
	for _, dir := range packages {
		part, err := bundled(dir)
		if err != nil {
			return err
		}
		parts = append(parts, part)
	}
	slices.SortFunc(parts, func(a, b part) int { return strings.Compare(a.name, b.name) })
	fmt.Fprintln(w, "handrule holds parts made by others. These are their notices.")
	for _, p := range parts {
		texts, err := p.notices()
		if err != nil {
			return err
		}
		fmt.Fprintf(w, "\n%s\n%s\n", strings.Repeat("=", 72), p)
		for _, text := range texts {
			fmt.Fprintf(w, "\n%s\n", strings.TrimSpace(strings.ReplaceAll(text, "\r\n", "\n")))
		}
	}
	return nil
}

// part is something of others: a module, a package, or Go itself.
type part struct {
	name, version string
	root          string   // its folder
	used          []string // the folders in it that are used, which may have notices of their own
}

func (p part) String() string { return strings.TrimSpace(p.name + " " + p.version) }

// linked are the modules from which the command's packages come, and Go itself, whose library and runtime are in every program.
func linked(command string) ([]part, error) {
	list := exec.Command("go", "list", "-deps", "-json=Dir,Standard,Module", command)
	list.Stderr = os.Stderr
	out, err := list.Output()
	if err != nil {
		return nil, fmt.Errorf("go list: %w", err)
	}
	root, err := exec.Command("go", "env", "GOROOT", "GOVERSION").Output()
	if err != nil {
		return nil, fmt.Errorf("go env: %w", err)
	}
	goRoot, goVersion, _ := strings.Cut(strings.TrimSpace(string(root)), "\n")
	parts := map[string]part{"": {name: "The Go programming language", version: strings.TrimPrefix(goVersion, "go"), root: goRoot}}
	for decoder := json.NewDecoder(bytes.NewReader(out)); ; {
		var pkg struct {
			Dir      string
			Standard bool
			Module   *struct {
				Path, Version, Dir string
				Main               bool
				Replace            *struct{ Path, Version, Dir string }
			}
		}
		if err := decoder.Decode(&pkg); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			return nil, fmt.Errorf("go list: %w", err)
		}
		if pkg.Standard || pkg.Module == nil || pkg.Module.Main {
			continue
		}
		p := parts[pkg.Module.Path]
		p.name, p.version, p.root = pkg.Module.Path, pkg.Module.Version, pkg.Module.Dir
		p.used = append(p.used, pkg.Dir)
		parts[pkg.Module.Path] = p
	}
	var all []part
	for _, p := range parts {
		all = append(all, p)
	}
	return all, nil
}

// bundled is the npm package in a folder.
func bundled(dir string) (part, error) {
	text, err := os.ReadFile(filepath.Join(dir, "package.json"))
	if err != nil {
		return part{}, err
	}
	var about struct{ Name, Version string }
	if err := json.Unmarshal(text, &about); err != nil {
		return part{}, fmt.Errorf("%s: %w", dir, err)
	}
	return part{name: about.Name, version: about.Version, root: dir}, nil
}

// isNotice tells the files that hold a licence or a notice by their names.
var isNotice = regexp.MustCompile(`(?i)^(licen[cs]e|copying|notice|patents|third[-_]party[-_](licen[cs]es|notices))([.-].*)?$`)

// notices are the texts of a part's licences and notices: those at its root, in the folders that are used, and in those
// between. It is an error to have none.
func (p part) notices() (texts []string, err error) {
	dirs := []string{p.root}
	for _, dir := range p.used {
		for ; len(dir) > len(p.root); dir = filepath.Dir(dir) {
			dirs = append(dirs, dir)
		}
	}
	slices.Sort(dirs)
	for _, dir := range slices.Compact(dirs) {
		entries, err := os.ReadDir(dir)
		if err != nil {
			return nil, err
		}
		for _, entry := range entries {
			if !isNotice.MatchString(entry.Name()) {
				continue
			}
			err := filepath.WalkDir(filepath.Join(dir, entry.Name()), func(path string, e fs.DirEntry, err error) error {
				if err != nil || e.IsDir() {
					return err
				}
				text, err := os.ReadFile(path)
				texts = append(texts, string(text))
				return err
			})
			if err != nil {
				return nil, err
			}
		}
	}
	if len(texts) == 0 {
		return nil, fmt.Errorf("%s has no file with a licence in %s; find out under which it may be passed on, or do without it", p, p.root)
	}
	return texts, nil
}
