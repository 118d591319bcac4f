package main

import (
	"context"
	"crypto/ed25519"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"net"
	"os/signal"
	"strings"
	"syscall"

	"handrule/internal/files"
	"handrule/scenarios/results"
	"handrule/server"
	"handrule/server/site"
	"handrule/static"
)

// mostBenches is more than any machine can serve.
const mostBenches = 100_000

// mostDays is ten years.
const mostDays = 3650

type serveCommand struct {
	Listen  string   `default:"127.0.0.1:8080" placeholder:"ADDR" help:"Address to listen on, 127.0.0.1:8080 unless told otherwise. Others on the network reach the sandbox only if it is theirs too."`
	Key     string   `placeholder:"FILE" help:"Key to sign results with. This user's own, unless told otherwise, which is made where there is none."`
	NewKey  bool     `help:"Make the key that --key names, where there is none."`
	Benches int      `default:"1000" placeholder:"N" help:"How many learners' arms are kept at once, 1000 unless told otherwise. A page beyond that takes the place of one where nothing was done for long."`
	Each    int      `name:"benches-per-address" placeholder:"N" help:"How many of these arms pages of one address may have: three quarters, unless told otherwise. Learners of a class and pages on this machine are not held to it."`
	Classes int      `default:"500" placeholder:"N" help:"How many classes can be open at once, 500 unless told otherwise. One that ended, or was opened longer than a day ago, is not open."`
	Public  string   `name:"public-url" placeholder:"URL" help:"The page's address as people type it, such as https://college.example/arm/, where a reverse proxy passes it on."`
	Proxy   []string `placeholder:"ADDR" help:"Address or network of a reverse proxy that says where requests come from (X-Forwarded-For). Nobody else is believed."`
	Cert    string   `name:"tls-cert" placeholder:"FILE" help:"Certificate to serve https with, in PEM."`
	CertKey string   `name:"tls-key" placeholder:"FILE" help:"Its key, in PEM."`
	Frames  []string `name:"frame-ancestors" placeholder:"SITE" help:"A site that may show the page in a frame, such as https://college.example; self for its own. None unless told otherwise."`
	Link    string   `name:"instructor-link" placeholder:"new" enum:"kept,new,none" default:"kept" help:"The private link by which the instructor opens classes: the one that is kept, unless told otherwise; new makes another, and the old one leads nowhere any more; none lets nobody open a class."`
	Days    int      `name:"class-days" default:"90" placeholder:"N" help:"How many days a class is kept after it ended, with names, answers and results: 90, unless told otherwise."`
	keepFlags
	Dir string `arg:"" optional:"" help:"A folder of arm, cell and lesson files to offer beside those that ship. They are read again when they are saved. Or a folder that handrule site has written, to serve its files and nothing else."`
}

func (c serveCommand) Run(out io.Writer, errs *errorOutput) error {
	if c.Benches < 1 || c.Benches > mostBenches {
		return fmt.Errorf("--benches must be from 1 to %d, not %d", mostBenches, c.Benches)
	}
	if c.Each < 0 || c.Each > c.Benches {
		return fmt.Errorf("--benches-per-address must be from 1 to %d, which is how many --benches there are, not %d", c.Benches, c.Each)
	}
	if c.Classes < 1 || c.Classes > mostBenches {
		return fmt.Errorf("--classes must be from 1 to %d, not %d", mostBenches, c.Classes)
	}
	ctx, stop := signal.NotifyContext(context.Background(), syscall.SIGINT, syscall.SIGTERM)
	defer stop()
	if !static.Bundled() {
		fmt.Fprintln(errs, "handrule: this binary was built without the page; `make build` makes one with it")
	}
	front, err := server.NewFront(c.Public, c.Proxy, c.Frames)
	if err != nil {
		return err
	}
	if c.Dir != "" && site.Is(c.Dir) {
		return c.serveSite(ctx, out, front)
	}
	own, jogs := &folder{}, fs.FS(nil)
	if c.Dir != "" {
		if own, err = openFolder(c.Dir); err != nil {
			return err
		}
		jogs = own.files
	}
	key, err := c.key()
	if err != nil {
		return err
	}
	link := ""
	if c.Link != "none" {
		if link, err = instructorLink(c.Link == "new"); err != nil {
			return err
		}
	}
	if c.Days < 1 || c.Days > mostDays {
		return fmt.Errorf("--class-days must be from 1 to %d, not %d", mostDays, c.Days)
	}
	log := slog.New(slog.NewTextHandler(errs, nil))
	kept, where, err := c.keepFlags.open(ctx, log)
	if err != nil {
		return err
	}
	if kept != nil {
		defer kept.Close()
	}
	listener, err := c.listen()
	if err != nil {
		return err
	}
	scheme, _, _ := strings.Cut(c.address(listener), ":")
	learners := learnersAddress(listener, scheme)
	author := rand.Text()
	s := server.New(server.Options{
		Offer:      own.offer(),
		Key:        key,
		Author:     author,
		MaxBenches: c.Benches,
		PerAddress: c.Each,
		MaxClasses: c.Classes,
		Jogs:       jogs,
		Static:     static.Files,
		Bundled:    static.Bundled(),
		Front:      front,
		Instructor: link,
		Learners:   learners,
		ClassDays:  c.Days,
		Store:      kept,
		Log:        log,
	})
	if c.Dir != "" {
		go own.follow(ctx, s.SetOffer, errs)
	}
	fmt.Fprintf(out, "handrule serves on %s (Ctrl+C ends it)\n", c.where(listener))
	if learners != "" {
		fmt.Fprintf(out, "learners in the same network open %s\n", learners)
	}
	if link != "" {
		fmt.Fprintf(out, "the instructor opens %s to hold a class (keep it to yourself)\n", strings.TrimSuffix(c.address(listener), "/")+"/teach/"+link)
	}
	if where != "" {
		fmt.Fprintf(out, "what must last is kept %s\n", where)
	}
	if c.Dir != "" {
		fmt.Fprintf(out, "whoever writes in %s opens %s: errors in its files are shown there alone\n", c.Dir, authorAddress(c.address(listener), author))
	}
	return s.Serve(ctx, listener)
}

// authorAddress is the page's address for the one who writes the files that are served.
func authorAddress(address, author string) string {
	return strings.TrimSuffix(address, "/") + "/?author=" + author
}

func (c serveCommand) listen() (net.Listener, error) {
	if (c.Cert == "") != (c.CertKey == "") {
		return nil, fmt.Errorf("--tls-cert and --tls-key go together: the certificate and its key")
	}
	listener, err := net.Listen("tcp", c.Listen)
	if err != nil {
		return nil, fmt.Errorf("--listen %s: %w; write an address and a free port, such as 127.0.0.1:8080", c.Listen, err)
	}
	if c.Cert == "" {
		return listener, nil
	}
	secured, err := server.Secured(listener, c.Cert, c.CertKey)
	if err != nil {
		listener.Close()
		return nil, fmt.Errorf("no https with --tls-cert %s and --tls-key %s: %w", c.Cert, c.CertKey, err)
	}
	return secured, nil
}

// address is the one that people open.
func (c serveCommand) address(listener net.Listener) string {
	switch {
	case c.Public != "":
		return c.Public
	case c.Cert != "":
		return "https://" + listener.Addr().String()
	}
	return "http://" + listener.Addr().String()
}

// where says how the server is reached.
func (c serveCommand) where(listener net.Listener) string {
	if c.Public != "" {
		return fmt.Sprintf("%s, listening on %s", c.Public, listener.Addr())
	}
	return c.address(listener)
}

// serveSite serves the files of a site.
func (c serveCommand) serveSite(ctx context.Context, out io.Writer, front server.Front) error {
	all, err := files.Folder(c.Dir)
	if err != nil {
		return err
	}
	listener, err := c.listen()
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "handrule serves the site in %s on %s (Ctrl+C ends it)\n", c.Dir, c.where(listener))
	return server.ServeFolder(ctx, listener, all, front)
}

// key is the key that results are signed with. A path that was typed is not one to make a new key at, unless that is asked for.
func (c serveCommand) key() (ed25519.PrivateKey, error) {
	path, err := keyFileOr(c.Key)
	if err != nil {
		return nil, err
	}
	open := results.OpenKey
	if c.Key != "" && !c.NewKey {
		open = results.OpenSigningKey
	}
	key, err := open(path)
	switch {
	case err == nil:
		return key, nil
	case c.Key != "" && errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("no key to sign results with: %w; --new-key makes one there", err)
	}
	return nil, fmt.Errorf("no key to sign results with: %w; give another with --key", err)
}
