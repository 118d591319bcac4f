// Command handrule is a sandbox for jogging a six-axis arm by hand: a page to serve, and the arm's geometry and
// motion on the command line.
package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"runtime/debug"
	"strings"

	"github.com/alecthomas/kong"

	"handrule/internal/visible"
)

// Exit statuses.
const (
	exitNo  = 1 // the answer is no
	exitBad = 2 // the input is bad
)

// errNo says that the answer is no, which has been printed.
var errNo = errors.New("no")

type commands struct {
	Serve   serveCommand     `cmd:"" help:"Serve the sandbox to a browser."`
	Site    siteCommand      `cmd:"" help:"Write the sandbox as a folder of files for any web host, with no server."`
	Package packageCommand   `cmd:"" help:"Write lessons as a package for a learning platform (SCORM 1.2)."`
	Pose    poseCommand      `cmd:"" help:"Forward: where the TCP and the flange are."`
	Reach   reachCommand     `cmd:"" help:"Inverse: every posture that puts the TCP at a place."`
	Trace   traceCommand     `cmd:"" help:"Run a file of jogs and print the motion as CSV."`
	Check   checkCommand     `cmd:"" help:"Read arm and lesson files and say all that is wrong with them."`
	Import  importCommand    `cmd:"" help:"Make an arm file from a URDF file or a Denavit-Hartenberg table."`
	Export  exportCommand    `cmd:"" help:"Write an arm as a URDF file."`
	Compare compareCommand   `cmd:"" help:"Compare an arm file with what the real arm shows in a few poses, and name what is likeliest to be wrong."`
	Results resultsCommand   `cmd:"" help:"Verify result files and print them as a table (CSV) for a gradebook."`
	Extra   extraTimeCommand `cmd:"" name:"extra-time" help:"Print a code that gives a learner more time in an assessment."`
	Key     keyCommand       `cmd:"" help:"Print the public half of a server's key, with which others verify results."`
	Sheet   sheetCommand     `cmd:"" help:"Print a lesson as a worksheet for paper (HTML), or its key."`
	Schema  schemaCommand    `cmd:"" help:"Print the JSON Schema of arm, cell, lesson or translation files, for editors."`
	Notices noticesCommand   `cmd:"" help:"Print the notices of the parts of others in this program."`
	Version kong.VersionFlag `help:"Print the version."`
}

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

// run does what the arguments say and returns the exit status.
func run(args []string, stdout, stderr io.Writer) int {
	out := &output{Writer: stdout}
	shown := &errorOutput{stderr}
	parser, err := kong.New(&commands{},
		kong.Name("handrule"),
		kong.Description("Learn, teach and practise jogging a six-axis arm by hand. Lengths are mm, angles degrees."),
		kong.Writers(out, shown),
		kong.WithHyphenPrefixedParameters(true),
		kong.BindTo(out, (*io.Writer)(nil)),
		kong.Bind(shown),
		kong.Vars{"version": version()},
	)
	if err != nil {
		fmt.Fprintln(shown, err)
		return exitBad
	}
	command, err := parser.Parse(args)
	if err == nil {
		err = ofCommand(command, command.Run())
	} else {
		err = slipOf(err)
	}
	if out.err != nil {
		err = fmt.Errorf("the output is not complete: %w", out.err)
	}
	switch {
	case err == nil:
		return 0
	case errors.Is(err, errNo):
		return exitNo
	}
	fmt.Fprintln(shown, err)
	return exitBad
}

// output is standard output. It remembers the first error, so that a command need not look after every line.
type output struct {
	io.Writer
	err error
}

func (o *output) Write(p []byte) (int, error) {
	if o.err != nil {
		return 0, o.err
	}
	n, err := o.Writer.Write(p)
	o.err = err
	return n, err
}

// errorOutput is standard error, as commands ask for it. What the name of a file may hide from a reader, or tell a terminal,
// is made visible.
type errorOutput struct{ io.Writer }

func (e *errorOutput) Write(p []byte) (int, error) {
	lines := strings.Split(string(p), "\n")
	for i := range lines {
		lines[i] = visible.Text(lines[i])
	}
	if _, err := io.WriteString(e.Writer, strings.Join(lines, "\n")); err != nil {
		return 0, err
	}
	return len(p), nil
}

func version() string {
	if info, ok := debug.ReadBuildInfo(); ok {
		return "handrule " + info.Main.Version
	}
	return "handrule"
}
