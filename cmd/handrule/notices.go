package main

import (
	"errors"
	"io"

	"handrule/static"
)

type noticesCommand struct{}

// Run prints the notices as they were found when the binary was built.
func (noticesCommand) Run(out io.Writer) error {
	text, err := static.Notices()
	if err != nil {
		return errors.New("this binary was built without its notices; `make build` makes one with them")
	}
	_, err = out.Write(text)
	return err
}
