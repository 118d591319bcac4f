package main

import (
	"crypto/ed25519"
	"fmt"
	"io"

	"handrule/scenarios/results"
)

type keyCommand struct {
	Key string `placeholder:"FILE" help:"The server's key. This user's own, unless told otherwise."`
}

// Run prints the half of the key that others may have.
func (c keyCommand) Run(out io.Writer, errs *errorOutput) error {
	key, err := serverKey(c.Key, "the public half")
	if err != nil {
		return err
	}
	public := key.Public().(ed25519.PublicKey)
	half, err := results.PublicHalf(public)
	if err != nil {
		return err
	}
	fmt.Fprintf(errs, "the public half of the key %s: it verifies results and signs none\n", results.KeyID(public))
	_, err = out.Write(half)
	return err
}
