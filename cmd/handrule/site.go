package main

import (
	"fmt"
	"io"

	"handrule/server/site"
	"handrule/static"
)

type siteCommand struct {
	Folder string `arg:"" help:"The folder to write; a new or empty one, or a site that was written before."`
	Dir    string `arg:"" optional:"" help:"A folder of arm, cell and lesson files to offer beside those that ship."`
}

// Run writes a site. A file that is not right is an error: nobody will be there to see what is wrong with it.
func (c siteCommand) Run(out io.Writer, errs *errorOutput) error {
	own := &folder{}
	o := site.Options{Bundle: static.Files, Alone: static.Alone}
	if c.Dir != "" {
		var err error
		if own, err = openFolder(c.Dir); err != nil {
			return err
		}
		o.Own = own.files
		for _, b := range own.own.Broken {
			fmt.Fprintln(errs, b.Problems)
		}
		if n := len(own.own.Broken); n > 0 {
			return fmt.Errorf("%s: nothing was written, because files with something wrong: %d", c.Dir, n)
		}
	}
	o.Offer = own.offer()
	version, err := site.Write(c.Folder, o)
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "%s holds the sandbox, %s. Put it on any web host, or open it here with: handrule serve %s\n", c.Folder, version, c.Folder)
	return nil
}
