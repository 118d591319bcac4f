package main

import (
	"io"

	"handrule/scenarios"
)

type schemaCommand struct {
	Kind string `arg:"" enum:"arm,cell,lesson,translation" help:"arm, cell, lesson or translation."`
}

func (c schemaCommand) Run(out io.Writer) error {
	schema, err := scenarios.Schema(c.Kind)
	if err != nil {
		return err
	}
	return printJSON(out, schema)
}
