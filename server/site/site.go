// Package site writes the sandbox as a folder of files that any web host serves: the page in every language, arms, cells, lessons and
// pictures, and a bench compiled to WebAssembly. All that may differ from one version to the next lies in a folder that is named after
// the version, so that a page never gets files of another one.
package site

import (
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"handrule/internal/files"
	"handrule/scenarios"
	"handrule/scenarios/armfile"
	"handrule/scenarios/form"
	"handrule/scenarios/jogfile"
	"handrule/scenarios/lesson"
	"handrule/scenarios/mesh"
	"handrule/scenarios/prose"
	"handrule/scenarios/translation"
	"handrule/server/bench"
	"handrule/server/single"
	"handrule/static"
	"handrule/web"
	"handrule/words"
)

// Options say what a site holds.
type Options struct {
	Offer  bench.Offer
	Own    fs.FS                             // the folder that what does not ship is from; nil where all of it ships
	Bundle fs.FS                             // the page's scripts and styles, under dist/, and icon.svg
	Alone  func(file string) ([]byte, error) // the programs that pages run, packed
}

// marker is the file by which a folder that Write has written is known again.
const marker = "site.json"

// written is what it holds.
type written struct {
	What    string `json:"what"`
	Version string `json:"version"`
	Before  string `json:"before,omitempty"` // the version whose files are still there, for pages that are open
}

const what = "a handrule site"

// ErrNotBuilt says that this program has not got what a site is made of.
var ErrNotBuilt = errors.New("this binary was built without the page and its simulator; `make build` makes one with both")

// Write writes a site into the folder, which must be empty or hold an earlier site; then pages of that one that are open go on with the
// files of theirs. It returns the version.
func Write(dir string, o Options) (version string, err error) {
	before, err := open(dir)
	if err != nil {
		return "", err
	}
	made, err := content(o)
	if err != nil {
		return "", err
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return "", err
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return "", err
	}
	defer root.Close()
	for _, f := range made.files {
		if err := write(root, f.name, f.text); err != nil {
			return "", err
		}
	}
	w := written{What: what, Version: made.version, Before: before.Version}
	if before.Version == made.version {
		w.Before = before.Before
	}
	for _, old := range oldVersions(dir) {
		if old != w.Version && old != w.Before {
			if err := root.RemoveAll(old); err != nil {
				return "", err
			}
		}
	}
	text, err := json.MarshalIndent(w, "", "  ")
	if err != nil {
		return "", err
	}
	return made.version, write(root, marker, append(text, '\n'))
}

// versionMark begins the name of a version's folder.
const versionMark = "version-"

func oldVersions(dir string) (all []string) {
	entries, _ := os.ReadDir(dir)
	for _, e := range entries {
		if e.IsDir() && strings.HasPrefix(e.Name(), versionMark) {
			all = append(all, e.Name())
		}
	}
	return all
}

// Is reports whether the folder holds a site.
func Is(dir string) bool {
	w, err := open(dir)
	return err == nil && w.What == what
}

// open looks whether a site may be written into the folder, and returns what was written there before.
func open(dir string) (w written, err error) {
	entries, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist), err == nil && len(entries) == 0:
		return w, nil
	case err != nil:
		return w, err
	}
	text, err := files.Read(filepath.Join(dir, marker), 1<<16)
	if err == nil {
		err = json.Unmarshal(text, &w)
	}
	if err != nil || w.What != what {
		return w, fmt.Errorf("%s is not empty and holds no site of handrule; give a new folder", dir)
	}
	return w, nil
}

func write(root *os.Root, name string, text []byte) error {
	if err := root.MkdirAll(path.Dir(name), 0o755); err != nil {
		return err
	}
	return root.WriteFile(name, text, 0o644)
}

// file is one to be written.
type file struct {
	name string
	text []byte
}

// made is all of a site.
type made struct {
	version string // the name of its folder
	files   []file // those that others name come first
}

// content makes all files.
func content(o Options) (m made, err error) {
	inVersion, beside, err := o.versioned()
	if err != nil {
		return m, err
	}
	jogs, err := o.jogs()
	if err != nil {
		return m, err
	}
	beside = append(beside, jogs...)
	pages := func(p web.Place) (all []file, err error) {
		for _, l := range words.Languages {
			names := []string{l.Code + ".html"}
			if l == words.English {
				names = append(names, "index.html")
			}
			for _, name := range names {
				p.Entry = name == "index.html"
				var page bytes.Buffer
				if err := web.Page().Render(web.At(web.In(context.Background(), l), p), &page); err != nil {
					return nil, err
				}
				all = append(all, file{name, page.Bytes()})
			}
		}
		return all, nil
	}
	plain, err := pages(web.Place{}) // so that another text makes another version
	if err != nil {
		return m, err
	}
	m.version = versionMark + digest(inVersion, beside, plain)
	folder := m.version + "/"
	html, err := pages(web.Place{
		Program: m.version, Bundle: folder, Icon: folder + "icon.svg", Notices: folder + "notices.txt", Own: folder,
		Manifest: "handrule.webmanifest", Policy: policy(),
	})
	if err != nil {
		return m, err
	}
	manifest, err := json.MarshalIndent(map[string]any{
		"name": "handrule", "short_name": "handrule", "description": words.English.Say("page.title"), "start_url": "./", "scope": "./", "display": "standalone",
		"background_color": "#ffffff", "theme_color": "#ffffff",
		"icons": []map[string]string{{"src": folder + "icon.svg", "sizes": "any", "type": "image/svg+xml", "purpose": "any"}},
	}, "", "  ")
	if err != nil {
		return m, err
	}
	rest := append(html, file{"handrule.webmanifest", manifest})
	kept, later := []string{}, []string{}
	for _, f := range inVersion {
		switch {
		case f.name == "offline.js" || isPacked(f.name):
		case slices.Contains(forSome, f.name):
			later = append(later, folder+f.name)
		default:
			kept = append(kept, folder+f.name)
		}
	}
	for _, f := range slices.Concat(beside, rest) {
		if !strings.HasPrefix(f.name, meshFolder) { // which are large, and are kept once they were drawn
			kept = append(kept, f.name)
		}
	}
	list, err := json.Marshal(kept)
	if err != nil {
		return m, err
	}
	rare, err := json.Marshal(later)
	if err != nil {
		return m, err
	}
	for _, f := range inVersion {
		if f.name == "offline.js" {
			head := fmt.Sprintf("const SITE_VERSION = %q;\nconst SITE_FILES = %s;\nconst SITE_LATER = %s;\n", m.version, list, rare)
			rest = append(rest, file{"offline.js", append([]byte(head), f.text...)})
			continue
		}
		m.files = append(m.files, file{folder + f.name, f.text})
	}
	m.files = append(m.files, beside...)
	m.files = append(m.files, rest...)
	for _, f := range slices.Clone(rest) {
		m.files = append(m.files, file{f.name + ".gz", packed(f.text)})
	}
	return m, nil
}

// forSome are large files that only an arm of one's own takes. They are put away when all else is there.
var forSome = []string{"meshes.js", "importer.js", static.ImportProgram}

func isPacked(name string) bool {
	return strings.HasSuffix(name, ".br") || strings.HasSuffix(name, ".gz")
}

// policy is the page's own, as no server's can be known: nothing from elsewhere, no script but the site's and the one in the page.
func policy() string {
	return "default-src 'none'; script-src 'self' 'wasm-unsafe-eval' " + web.EarlySource() + "; worker-src 'self'; " +
		"style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'none'"
}

// jogs are the files that addresses may name. What is wrong with one is an error: nobody will be there to see it.
func (o *Options) jogs() (all []file, err error) {
	if o.Own == nil {
		return nil, nil
	}
	entries, err := fs.ReadDir(o.Own, jogfile.Folder)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	for _, e := range entries {
		name := path.Join(jogfile.Folder, e.Name())
		if path.Ext(name) != jogfile.Ending || strings.HasPrefix(e.Name(), ".") {
			continue
		}
		text, err := files.ReadIn(o.Own, name, form.LargestFile)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		if _, err := jogfile.Parse(name, text); err != nil {
			return nil, err
		}
		all = append(all, file{name, text})
	}
	return all, nil
}

// digest tells one version from another.
func digest(sets ...[]file) string {
	all := sha256.New()
	for _, f := range slices.Concat(sets...) {
		fmt.Fprintf(all, "%s %d\n", f.name, len(f.text))
		all.Write(f.text)
	}
	return hex.EncodeToString(all.Sum(nil)[:6])
}

// leftOut is what the names of those of the bundle's files begin with that no page of a site loads: what is for a class, which a site has not, and the
// list of texts, which are in its pages.
var leftOut = []string{"class.", "class-", "room-", "lean-qr-", "said."}

// versioned makes what lies in the version's folder, by its names there, and beside it the pictures of lessons.
func (o *Options) versioned() (all, pictures []file, err error) {
	icon, err := fs.ReadFile(o.Bundle, "icon.svg")
	if err != nil {
		return nil, nil, ErrNotBuilt
	}
	all = append(all, file{"icon.svg", icon})
	bundle, err := fs.ReadDir(o.Bundle, "dist")
	if err != nil {
		return nil, nil, ErrNotBuilt
	}
	for _, e := range bundle {
		if strings.HasPrefix(e.Name(), "offline.js.") {
			continue // It gets the version and the list of files, and is packed then.
		}
		if slices.ContainsFunc(leftOut, func(begins string) bool { return strings.HasPrefix(e.Name(), begins) }) {
			continue
		}
		text, err := fs.ReadFile(o.Bundle, "dist/"+e.Name())
		if err != nil {
			return nil, nil, err
		}
		all = append(all, file{e.Name(), text})
	}
	catalog, lessons, err := o.Sources()
	if err != nil {
		return nil, nil, err
	}
	for _, name := range []string{static.BenchProgram, static.ImportProgram} {
		br, err := o.Alone(name + ".br")
		if err != nil {
			return nil, nil, ErrNotBuilt
		}
		gz, err := o.Alone(name + ".gz")
		if err != nil {
			return nil, nil, ErrNotBuilt
		}
		plain, err := unpacked(gz)
		if err != nil {
			return nil, nil, err
		}
		all = append(all, file{name, plain}, file{name + ".br", br}, file{name + ".gz", gz})
		if name == static.BenchProgram {
			catalog.ProgramBytes = len(plain)
		}
	}
	add := func(name string, value any) error {
		text, err := json.Marshal(value)
		if err == nil {
			all = append(all, file{name, text}, file{name + ".gz", packed(text)})
		}
		return err
	}
	if err := add("catalog.json", catalog); err != nil {
		return nil, nil, err
	}
	for _, l := range o.Offer.Lessons {
		if err := add("lessons/"+l.ID+".json", lessons[l.ID]); err != nil {
			return nil, nil, err
		}
		for _, name := range l.Pictures {
			picture, err := l.OpenPicture(name)
			if err != nil {
				return nil, nil, err
			}
			text, err := io.ReadAll(picture)
			picture.Close()
			if err != nil {
				return nil, nil, err
			}
			pictures = append(pictures, file{l.PictureFolder() + name, text})
		}
	}
	meshes, err := o.meshes()
	return all, append(pictures, meshes...), err
}

// meshes are the files that the meshes of arms are in: of those that are offered, and of lessons' own.
func (o *Options) meshes() (all []file, err error) {
	arms := slices.Clone(o.Offer.Arms)
	for _, l := range o.Offer.Lessons {
		if !slices.ContainsFunc(arms, func(a *armfile.Arm) bool { return a.ID == l.Arm.ID }) {
			arms = append(arms, l.Arm)
		}
	}
	for _, arm := range arms {
		for _, name := range arm.Files {
			text, err := files.ReadIn(o.Own, name, mesh.LargestFile)
			if err != nil {
				return nil, fmt.Errorf("%s: the mesh %s: %w", arm.ID, name, form.WithoutPath(err))
			}
			all = append(all, file{meshFolder + arm.ID + "/" + name, text})
		}
	}
	return all, nil
}

// meshFolder is where a page finds the files of arms, beside itself.
const meshFolder = "arms/"

func packed(text []byte) []byte {
	var out bytes.Buffer
	zip, _ := gzip.NewWriterLevel(&out, gzip.BestCompression) // The level is a right one, and a buffer takes all.
	zip.Write(text)
	zip.Close()
	return out.Bytes()
}

func unpacked(text []byte) ([]byte, error) {
	zip, err := gzip.NewReader(bytes.NewReader(text))
	if err != nil {
		return nil, err
	}
	return io.ReadAll(zip)
}

// Sources are the files of what is offered; lessons by their IDs.
func (o Options) Sources() (c single.Catalog, lessons map[string]single.LessonSource, err error) {
	c, lessons = single.Catalog{Lessons: map[string][]bench.LessonListing{}}, map[string]single.LessonSource{}
	for _, a := range o.Offer.Arms {
		source, err := o.source("arms", a.ID, "")
		if err != nil {
			return c, nil, err
		}
		c.Arms = append(c.Arms, source)
	}
	for _, cell := range o.Offer.Cells {
		source, err := o.source("cells", cell.ID, cell.Lang)
		if err != nil {
			return c, nil, err
		}
		c.Cells = append(c.Cells, source)
	}
	for _, in := range words.Languages {
		c.Lessons[in.Code] = o.Offer.Message(in, false).Lessons
	}
	for _, l := range o.Offer.Lessons {
		source, err := o.lessonSource(l)
		if err != nil {
			return c, nil, err
		}
		lessons[l.ID] = source
	}
	return c, lessons, nil
}

// source returns the file of that ID and its translations, from the files that ship or else from one's own.
func (o *Options) source(folder, id, lang string) (s single.Source, err error) {
	in, err := fs.Sub(scenarios.ShippedFiles(), folder)
	if err != nil {
		return s, err
	}
	name := folder + "/" + id + ".yaml"
	if _, err := fs.Stat(in, id+".yaml"); err != nil {
		if in = o.Own; in == nil {
			return s, fmt.Errorf("there is no file of %s", id)
		}
		name = ""
	}
	entries, err := fs.ReadDir(in, ".")
	if err != nil {
		return s, err
	}
	s.Lang = lang
	for _, e := range entries {
		file, ending := e.Name(), strings.ToLower(path.Ext(e.Name()))
		if ending != ".yaml" && ending != ".yml" {
			continue
		}
		of, _, translated := translation.Split(file)
		if translated && of != id || !translated && form.FileID(file) != id {
			continue
		}
		text, err := files.ReadIn(in, file, form.LargestFile)
		if err != nil {
			return s, fmt.Errorf("%s: %w", file, err)
		}
		if translated {
			s.Texts = append(s.Texts, single.File{Name: file, Text: string(text)})
			continue
		}
		if s.File = (single.File{Name: file, Text: string(text)}); name != "" {
			s.Name = name
		}
	}
	if s.Name == "" {
		return s, fmt.Errorf("the file of %s is gone", id)
	}
	return s, nil
}

func (o *Options) lessonSource(l *lesson.Lesson) (s single.LessonSource, err error) {
	if s.Source, err = o.source("lessons", l.ID, l.Lang); err != nil {
		return s, err
	}
	for _, text := range l.Undrawn() {
		s.Rendered = append(s.Rendered, single.Rendered{Text: string(text), HTML: prose.HTML(text, l.PictureFolder())})
	}
	slices.SortFunc(s.Rendered, func(a, b single.Rendered) int { return strings.Compare(a.Text, b.Text) })
	if o.Own == nil {
		return s, nil
	}
	entries, err := fs.ReadDir(o.Own, ".")
	if err != nil {
		return s, err
	}
	for _, e := range entries {
		if e.Name() != s.Name && strings.Contains(s.Text, e.Name()) && slices.Contains([]string{".yaml", ".yml"}, path.Ext(e.Name())) {
			text, err := files.ReadIn(o.Own, e.Name(), form.LargestFile)
			if err != nil {
				return s, fmt.Errorf("%s: %w", e.Name(), err)
			}
			s.Beside = append(s.Beside, single.File{Name: e.Name(), Text: string(text)})
		}
	}
	return s, nil
}
