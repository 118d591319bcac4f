package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"handrule/scenarios/results"
)

type resultsCommand struct {
	Key   string   `placeholder:"FILE" help:"Key of the server that signed them. This user's own, unless told otherwise."`
	Files []string `arg:"" name:"file" help:"Result files."`
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

// Run prints a row a file. The answer is no where a file does not count.
func (c resultsCommand) Run(out io.Writer, errs *errorOutput) error {
	path, err := keyFileOr(c.Key)
	if err != nil {
		return err
	}
	key, err := results.OpenVerifyingKey(path)
	if err != nil {
		return fmt.Errorf("no key to verify with: %w", err)
	}
	var rows []results.Row
	bad := false
	for _, file := range c.Files {
		result, err := results.Open(file, key)
		if err != nil {
			fmt.Fprintln(errs, err)
			bad = true
			err = errors.New(strings.TrimPrefix(err.Error(), file+": ")) // The row begins with the file.
		}
		rows = append(rows, results.Row{File: filepath.Base(file), Result: result, Err: err})
	}
	if err := results.WriteCSV(out, rows); err != nil {
		return err
	}
	if bad {
		return errNo
	}
	return nil
}
