package main

import (
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

	"handrule/scenarios/results"
)

type resultsCommand struct {
	Key      []string     `placeholder:"FILE" sep:"none" help:"Key of the server that signed them, or a folder of keys (.pem); may be given again. This user's own, unless told otherwise."`
	Take     results.Take `default:"best" enum:"best,last,every" placeholder:"WHICH" help:"Of a learner's results of a lesson the best, the last or every one. The best, unless told otherwise."`
	Practice bool         `help:"Also tabulate results that other keys signed, such as those made at home, as practice that nobody vouches for, after those that count."`
	BOM      bool         `name:"bom" help:"Begin with a byte order mark, for spreadsheets that take the table for another encoding without it."`
	Files    []string     `arg:"" name:"file" help:"Result files."`
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
		return nil, fmt.Errorf("%s needs the key of the server that gives the lesson: %w; name it with --key", needed, err)
	}
	return key, nil
}

// verifyingKeys are those at the named paths, or else this user's own.
func verifyingKeys(named []string) (keys []ed25519.PublicKey, err error) {
	if len(named) == 0 {
		path, err := keyFileOr("")
		if err != nil {
			return nil, err
		}
		named = []string{path}
	}
	for _, path := range named {
		some, err := results.OpenVerifyingKeys(path)
		if err != nil {
			return nil, fmt.Errorf("no key to verify with: %w", err)
		}
		keys = append(keys, some...)
	}
	return keys, nil
}

// Run prints a row for every learner and lesson. The answer is no where a file does not count.
func (c resultsCommand) Run(out io.Writer, errs *errorOutput) error {
	keys, err := verifyingKeys(c.Key)
	if err != nil {
		return err
	}
	var rows []results.Row
	bad := false
	for _, file := range c.Files {
		result, err := results.Open(file, keys...)
		row := results.Row{File: filepath.Base(file), Result: result}
		var unknown results.UnknownKey
		switch {
		case err == nil:
		case c.Practice && errors.As(err, &unknown):
			row.Practice = true
		default:
			fmt.Fprintln(errs, err)
			bad = true
			row.Err = errors.New(strings.TrimPrefix(err.Error(), file+": ")) // The row begins with the file.
		}
		rows = append(rows, row)
	}
	same := results.Same(rows)
	for _, file := range slices.Sorted(maps.Keys(same)) {
		fmt.Fprintf(errs, "%s: the same result as %s\n", file, same[file])
	}
	if err := (results.Table{Take: c.Take, BOM: c.BOM, Zone: time.Local}).Write(out, rows); err != nil {
		return err
	}
	if bad {
		return errNo
	}
	return nil
}
