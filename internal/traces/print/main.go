// Command print writes traces to standard output: print FILES SEED.
package main

import (
	"bufio"
	"fmt"
	"os"
	"strconv"

	"handrule/internal/traces"
)

func main() {
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run() error {
	if len(os.Args) != 3 {
		return fmt.Errorf("usage: print FILES SEED")
	}
	files, err := strconv.Atoi(os.Args[1])
	if err != nil {
		return err
	}
	seed, err := strconv.ParseUint(os.Args[2], 10, 64)
	if err != nil {
		return err
	}
	out := bufio.NewWriterSize(os.Stdout, 1<<20)
	if err := traces.Write(out, files, seed); err != nil {
		return err
	}
	return out.Flush()
}
