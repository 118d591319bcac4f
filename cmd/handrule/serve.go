package main

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"net"
	"os/signal"
	"syscall"

	"handrule/internal/files"
	"handrule/scenarios/results"
	"handrule/server"
	"handrule/server/site"
	"handrule/static"
)

// mostBenches is more than any machine can serve.
const mostBenches = 100_000

type serveCommand struct {
	Listen  string `default:"127.0.0.1:8080" placeholder:"ADDR" help:"Address to listen on, 127.0.0.1:8080 unless told otherwise. Others on the network reach the sandbox only if it is theirs too."`
	Key     string `placeholder:"FILE" help:"Key to sign results with; made where there is none. This user's own, unless told otherwise."`
	Benches int    `default:"1000" placeholder:"N" help:"How many learners' arms are kept at once, 1000 unless told otherwise. A page beyond that takes the place of one where nothing was done for long."`
	Dir     string `arg:"" optional:"" help:"A folder of arm, cell and lesson files to offer beside those that ship. They are read again when they are saved. Or a folder that handrule site has written, to serve its files and nothing else."`
}

func (c serveCommand) Run(out io.Writer, errs *errorOutput) error {
	if c.Benches < 1 || c.Benches > mostBenches {
		return fmt.Errorf("--benches must be from 1 to %d, not %d", mostBenches, c.Benches)
	}
	ctx, stop := signal.NotifyContext(context.Background(), syscall.SIGINT, syscall.SIGTERM)
	defer stop()
	if !static.Bundled() {
		fmt.Fprintln(errs, "handrule: this binary was built without the page; `make build` makes one with it")
	}
	if c.Dir != "" && site.Is(c.Dir) {
		return c.serveSite(ctx, out)
	}
	own := &folder{}
	if c.Dir != "" {
		var err error
		if own, err = openFolder(c.Dir); err != nil {
			return err
		}
	}
	path, err := keyFileOr(c.Key)
	if err != nil {
		return err
	}
	key, err := results.OpenKey(path)
	if err != nil {
		return fmt.Errorf("no key to sign results with: %w; give another with --key", err)
	}
	listener, err := c.listen()
	if err != nil {
		return err
	}
	s := server.New(server.Options{
		Offer:      own.offer(),
		Key:        key,
		MaxBenches: c.Benches,
		Static:     static.Files,
		Bundled:    static.Bundled(),
		Log:        slog.New(slog.NewTextHandler(errs, nil)),
	})
	if c.Dir != "" {
		go own.follow(ctx, s.SetOffer, errs)
	}
	fmt.Fprintf(out, "handrule serves on http://%s (Ctrl+C ends it)\n", listener.Addr())
	return s.Serve(ctx, listener)
}

func (c serveCommand) listen() (net.Listener, error) {
	listener, err := net.Listen("tcp", c.Listen)
	if err != nil {
		return nil, fmt.Errorf("cannot listen on %s: %w", c.Listen, err)
	}
	return listener, nil
}

// serveSite serves the files of a site.
func (c serveCommand) serveSite(ctx context.Context, out io.Writer) error {
	all, err := files.Folder(c.Dir)
	if err != nil {
		return err
	}
	listener, err := c.listen()
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "handrule serves the site in %s on http://%s (Ctrl+C ends it)\n", c.Dir, listener.Addr())
	return server.ServeFolder(ctx, listener, all)
}
