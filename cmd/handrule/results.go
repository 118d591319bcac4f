package main

import (
	"cmp"
	"crypto/ed25519"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"handrule/internal/files"
	"handrule/scenarios/form"
	"handrule/scenarios/results"
	"handrule/words"
)

type resultsCommand struct {
	Key      []string     `placeholder:"FILE" sep:"none" help:"Key of the server that signed them, or a folder of keys (.pem); may be given again. This user's own, unless told otherwise."`
	Take     results.Take `default:"" enum:",best,last,every" placeholder:"WHICH" help:"Of a learner's results of a lesson the best, the last or every one. The best, unless told otherwise; with --wrong every one."`
	Practice bool         `help:"Also tabulate results that other keys signed, and those made at home that nobody signed, as practice that nobody vouches for, after those that count."`
	BOM      bool         `name:"bom" help:"Begin with a byte order mark, for spreadsheets that take the table for another encoding without it."`
	Tell     []string     `placeholder:"COLUMNS" help:"Which columns tell whose a result is, such as number, or learner,email; none for none. All of learner, number and email, unless told otherwise."`
	Class    string       `placeholder:"CODE" help:"The results that have arrived in a class, from the server that has it. It takes the instructor's link, which is kept where that server's settings are."`
	Wrong    bool         `help:"Instead of a row for every learner: which wrong answers were given to each task, what they reveal, how often, and by how many."`
	Text     bool         `help:"With --wrong: a text to be read, in place of a table."`
	Lang     string       `default:"en" placeholder:"CODE" help:"With --wrong: the language in which it is said what answers reveal, en or es."`
	Lesson   []string     `placeholder:"FILE" sep:"none" help:"With --wrong: a lesson of your own that was done, or a folder of them; may be given again. It takes its file to know what a wrong answer reveals."`
	Answers  bool         `help:"With --class: what was answered to the questions of the class, and what each answer reveals, instead of the results."`
	Server   string       `default:"http://127.0.0.1:8080/" placeholder:"URL" help:"That server's address, http://127.0.0.1:8080/ unless told otherwise."`
	Files    []string     `arg:"" optional:"" name:"file" help:"Result files, or a folder of them (.json)."`
}

// keyFile is where a server keeps the key it signs results with, unless told otherwise.
func keyFile() (string, error) {
	dir, err := os.UserConfigDir()
	return filepath.Join(dir, "handrule", "results.pem"), err
}

// keyFileOr is the named file, or else the one where a server keeps its key.
func keyFileOr(named string) (string, error) {
	if named != "" {
		return named, nil
	}
	path, err := keyFile()
	if err != nil {
		return "", fmt.Errorf("there is no folder for settings: %w; give --key", err)
	}
	return path, nil
}

// serverKey is the key of a server that is there: the named one or this user's own. For says what it is needed for.
func serverKey(named, needed string) (ed25519.PrivateKey, error) {
	path, err := keyFileOr(named)
	if err != nil {
		return nil, err
	}
	key, err := results.OpenSigningKey(path)
	if err != nil {
		return nil, fmt.Errorf("%s needs the key of the server that gives the lesson: %w; %s", needed, err, whereTheKeyIs(named != ""))
	}
	return key, nil
}

// whereTheKeyIs says what to do where a key cannot be read: one that was named, or this user's own.
func whereTheKeyIs(named bool) string {
	if named {
		return "--key names the server's key"
	}
	return "handrule serve makes one there at its first start; where another user's or another machine's server gives the lesson, name its key with --key"
}

// verifyingKeys are those at the named paths, or else this user's own.
func verifyingKeys(named []string) (keys []ed25519.PublicKey, err error) {
	given := len(named) > 0
	if !given {
		path, err := keyFileOr("")
		if err != nil {
			return nil, err
		}
		named = []string{path}
	}
	for _, path := range named {
		some, err := results.OpenVerifyingKeys(path)
		if err != nil {
			return nil, fmt.Errorf("no key to verify with: %w; %s", err, whereTheKeyIs(given))
		}
		keys = append(keys, some...)
	}
	return keys, nil
}

// resultFiles takes a folder for the files in it that results are saved as.
func resultFiles(named []string) (all []string, err error) {
	for _, path := range named {
		if !files.IsFolder(path) {
			all = append(all, path)
			continue
		}
		inIt, err := os.ReadDir(path)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", path, form.WithoutPath(err))
		}
		before := len(all)
		for _, file := range inIt {
			if strings.EqualFold(filepath.Ext(file.Name()), ".json") {
				all = append(all, filepath.Join(path, file.Name()))
			}
		}
		if len(all) == before {
			return nil, fmt.Errorf("%s: no file in this folder ends with .json, as results do", path)
		}
	}
	return all, nil
}

// Run prints a row for every learner and lesson. The answer is no where a file does not count.
func (c resultsCommand) Run(out io.Writer, errs *errorOutput) error {
	switch named := len(c.Files) > 0; {
	case !named && c.Class == "":
		return errors.New("handrule results: <file> is missing; write: handrule results <file> ..., or: handrule results --class CODE")
	case named && c.Class != "":
		return errors.New("handrule results: name the files, or a class with --class, and not both")
	case c.Answers && c.Class == "":
		return errors.New("handrule results: --answers is of a class; name it with --class")
	case !c.Wrong && (c.Text || len(c.Lesson) > 0):
		return errors.New("handrule results: --text and --lesson go with --wrong")
	case words.Find(c.Lang) == nil:
		return unknownLanguage(c.Lang)
	case c.Answers && c.Wrong:
		return errors.New("handrule results: --answers tells the questions of a class, and --wrong the tasks of its lessons; name one of them")
	}
	if c.Answers {
		return c.answersOfClass(out)
	}
	keys, err := verifyingKeys(c.Key)
	if err != nil {
		return err
	}
	tell, err := c.tell()
	if err != nil {
		return err
	}
	var rows []results.Row
	bad := false
	take := func(name, from string, result results.Result, err error) {
		row := results.Row{File: name, Result: result}
		var unknown results.UnknownKey
		switch {
		case err == nil:
		case c.Practice && (errors.As(err, &unknown) || errors.As(err, &results.Unsigned{})):
			row.Practice = true
		default:
			fmt.Fprintln(errs, err)
			bad = true
			row.Err = errors.New(strings.TrimPrefix(err.Error(), from+": ")) // The row begins with the file.
		}
		rows = append(rows, row)
	}
	named, err := resultFiles(c.Files)
	if err != nil {
		return err
	}
	for _, file := range named {
		result, err := results.Open(file, keys...)
		take(filepath.Base(file), file, result, err)
	}
	if c.Class != "" {
		texts, err := c.ofClass()
		if err != nil {
			return err
		}
		for i, text := range texts {
			name := fmt.Sprintf("%s %d", strings.ToUpper(c.Class), i+1)
			result, err := results.Read([]byte(text), keys...)
			if err != nil {
				err = fmt.Errorf("%s: %w", name, err)
			}
			take(name, name, result, err)
		}
	}
	same := results.Same(rows)
	for _, i := range slices.Sorted(maps.Keys(same)) {
		fmt.Fprintf(errs, "%s: the same result as %s\n", rows[i].File, same[i])
	}
	table := results.Table{Take: cmp.Or(c.Take, results.TakeBest), BOM: c.BOM, Zone: time.Local, Tell: tell}
	if c.Wrong {
		err = c.wrong(out, errs, table, rows)
	} else {
		err = table.Write(out, rows)
	}
	if err != nil {
		return err
	}
	if bad {
		return errNo
	}
	return nil
}

// wrong prints which wrong answers were given, and what they reveal.
func (c resultsCommand) wrong(out io.Writer, errs *errorOutput, table results.Table, rows []results.Row) error {
	in := words.Find(c.Lang)
	reveals, err := newRevealing(in, c.Lesson, c.Key)
	if err != nil {
		return err
	}
	defer reveals.tellUnknown(errs)
	table.Take, table.Reveals = cmp.Or(c.Take, results.TakeEvery), reveals.of
	if c.Text {
		return table.TellWrong(out, rows, in)
	}
	return table.WriteWrong(out, rows)
}
