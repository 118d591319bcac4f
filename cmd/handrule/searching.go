package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/signal"
	"time"

	"handrule/scenarios/solve"
)

const (
	firstTold = time.Second            // a search that is done before is not told of
	toldEvery = 200 * time.Millisecond // how often it is told how far a search is
)

// searching tells how far the searches of a command are, on a terminal, and ends them when the command is to end.
type searching struct {
	ctx      context.Context
	terminal io.Writer // nil: nobody sees it
	ended    bool      // a search was stopped
	shown    bool
}

// newSearching begins a command whose searches end by Ctrl-C.
func newSearching(errs *errorOutput) (s *searching, end func()) {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	s = &searching{ctx: ctx, terminal: errs.terminal()}
	return s, func() { s.clear(); stop() }
}

// of watches the searches for one file.
func (s *searching) of(file string) solve.Watch {
	next := time.Now().Add(firstTold)
	return func(p solve.Progress) bool {
		if s.ctx.Err() != nil {
			s.ended = true
			return false
		}
		if now := time.Now(); s.terminal != nil && now.After(next) {
			next, s.shown = now.Add(toldEvery), true
			fmt.Fprint(s.terminal, startOfLine, file, ": ", howFar(p), "; Ctrl-C stops it", restOfLine)
		}
		return true
	}
}

// What a terminal is told (ECMA-48): to go to the start of the line, to erase the rest of it, and to begin with an empty screen.
const (
	startOfLine = "\r"
	restOfLine  = "\x1b[K"
	emptyScreen = "\x1b[H\x1b[2J"
)

// howFar says how far a search is.
func howFar(p solve.Progress) string {
	at := fmt.Sprintf("stage %d of %d", p.Stage+1, p.Stages)
	if p.Draw != "" {
		at = fmt.Sprintf("the numbers of $%s, %s", p.Draw, at)
	}
	return fmt.Sprintf("looking for a way through %s, %.0f minutes of motion tried", at, p.Minutes)
}

// errStopped says that a search was stopped, which has been told.
var errStopped = fmt.Errorf("%w: stopped", errNo)

// tellStop tells what a search had found in a file when it was stopped.
func (s *searching) tellStop(errs *errorOutput, file string, stopped solve.Stopped) error {
	s.clear()
	if stopped.Found != nil {
		fmt.Fprintln(errs, stopped.Found)
	}
	fmt.Fprintf(errs, "%s: %s\n", file, stopped.Where())
	return errStopped
}

// clear takes away what was told, before something else is written.
func (s *searching) clear() {
	if s.shown {
		fmt.Fprint(s.terminal, startOfLine, restOfLine)
		s.shown = false
	}
}

// terminal is where standard error leads if that is a terminal; else nil.
func (e *errorOutput) terminal() io.Writer {
	if isTerminal(e.Writer) {
		return e.Writer
	}
	return nil
}

func isTerminal(to io.Writer) bool {
	if o, is := to.(*output); is {
		to = o.Writer
	}
	file, is := to.(*os.File)
	if !is {
		return false
	}
	info, err := file.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}
