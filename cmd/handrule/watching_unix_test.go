//go:build unix

package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// checking is the program that checks, as a process of its own.
type checking struct {
	*exec.Cmd
	t     *testing.T
	lines *bufio.Scanner // of what it prints and tells
}

func checkBeside(t *testing.T, args ...string) checking {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	text, _ := json.Marshal(append([]string{"check"}, args...))
	c := checking{Cmd: exec.Command(self), t: t}
	c.Env = append(os.Environ(), argumentsVariable+"="+string(text))
	said, to, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	c.Stdout, c.Stderr = to, to
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	to.Close()
	t.Cleanup(func() { c.Process.Kill(); c.Wait(); said.Close() })
	c.lines = bufio.NewScanner(said)
	return c
}

// hear waits for a line that holds these words, and returns all up to it.
func (c checking) hear(words string) string {
	c.t.Helper()
	var heard strings.Builder
	for c.lines.Scan() {
		heard.WriteString(c.lines.Text() + "\n")
		if strings.Contains(c.lines.Text(), words) {
			return heard.String()
		}
	}
	c.t.Fatalf("it never said %q:\n%s", words, heard.String())
	return ""
}

// interrupt ends it as Ctrl-C does, and returns what else it says and its status.
func (c checking) interrupt() (rest string, status int) {
	c.t.Helper()
	c.Process.Signal(syscall.SIGINT)
	var heard strings.Builder
	for c.lines.Scan() {
		heard.WriteString(c.lines.Text() + "\n")
	}
	c.Wait()
	return heard.String(), c.ProcessState.ExitCode()
}

// save saves a file in one piece: a slow machine does not let half of it be read.
func save(t *testing.T, file, text string) {
	t.Helper()
	whole := filepath.Join(t.TempDir(), "whole")
	if err := os.WriteFile(whole, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(whole, file); err != nil {
		t.Fatal(err)
	}
}

// Who writes a lesson in an editor reads what is wrong whenever it is saved, also where what it needs is saved.
func TestCheckIsDoneAgainWhenAFileIsSaved(t *testing.T) {
	dir := t.TempDir()
	lesson, arm := filepath.Join(dir, "mine.yaml"), filepath.Join(dir, "heron.yaml")
	text := "title: Mine\narm: heron.yaml\nstages:\n  - {title: One, text: Turn, reach: {joint: J1, angle_deg: 20, tolerance_deg: 1}}\n"
	save(t, lesson, text)
	c := checkBeside(t, "--watch", lesson)
	if heard := c.hear("checked again when a file is saved"); !strings.Contains(heard, "there is no file") || !strings.Contains(heard, "not every file is right") {
		t.Errorf("without the arm:\n%s", heard)
	}
	shipped, err := os.ReadFile("../../scenarios/arms/wren.yaml")
	if err != nil {
		t.Fatal(err)
	}
	save(t, arm, strings.Replace(string(shipped), "name: Wren", "name: Heron", 1))
	if heard := c.hear("checked again when a file is saved"); !strings.Contains(heard, "mine.yaml: ok") || !strings.Contains(heard, "all is right") {
		t.Errorf("with the arm:\n%s", heard)
	}
	save(t, lesson, strings.Replace(text, "angle_deg: 20", "angle_deg: 200", 1))
	if heard := c.hear("checked again when a file is saved"); !strings.Contains(heard, "mine.yaml:4:") {
		t.Errorf("beyond a limit:\n%s", heard)
	}
	if rest, status := c.interrupt(); status != exitBad || strings.Contains(rest, "panic") {
		t.Errorf("status %d\n%s", status, rest)
	}
}

// Of a folder that is watched, what is new is told: not again what was right before and is as it was. A lesson that is wrong is told
// to be that where its translation was read first.
func TestAWatchedFolderTellsWhatIsNew(t *testing.T) {
	dir := t.TempDir()
	saved := func(file, text string) {
		t.Helper()
		save(t, filepath.Join(dir, file), text)
	}
	text := "title: Mine\narm: wren\nstages:\n  - {title: One, text: Turn, reach: {joint: J1, angle_deg: 20, tolerance_deg: 1}}\n"
	saved("mine.yaml", text)
	saved("mine.es.yaml", "title: Mía\nstages:\n  - {of: One, title: Uno, text: Gire}\n")
	saved("yard.yaml", "name: Yard\nthings: []\n")
	c := checkBeside(t, "--watch", dir)
	if heard := c.hear("checked again when a file is saved"); strings.Count(heard, ": ok, ") != 3 || strings.Contains(heard, "as before") {
		t.Errorf("at first:\n%s", heard)
	}
	saved("mine.yaml", strings.Replace(text, "angle_deg: 20", "angle_deg: 200", 1))
	if heard := c.hear("checked again when a file is saved"); strings.Contains(heard, ": ok, ") || !strings.Contains(heard, "right as before: 1\n") ||
		strings.Count(heard, "angle_deg: 200") != 1 || !strings.Contains(heard, "mine.yaml: is wrong, as told above") || !strings.Contains(heard, "right: 1, wrong: 2") {
		t.Errorf("with one that is wrong:\n%s", heard)
	}
	saved("mine.yaml", text)
	if heard := c.hear("checked again when a file is saved"); strings.Count(heard, ": ok, ") != 2 || !strings.Contains(heard, "mine.yaml: ok, ") || !strings.Contains(heard, "right as before: 1\n") {
		t.Errorf("mended:\n%s", heard)
	}
	c.interrupt()
}

// longSearch is a lesson of which every task but the first is looked for as long as a search may take.
func longSearch() string {
	var text strings.Builder
	text.WriteString("title: Long\narm: wren\nstages:\n  - {title: One, text: Turn, reach: {joint: J1, angle_deg: 20, tolerance_deg: 1}}\n")
	for i := range 40 {
		fmt.Fprintf(&text, "  - {title: More, text: Go, reach: {position_mm: [%d, 100, 50], tolerance_mm: 1, most_jogs: 4, path_factor: 1.001}, start_deg: [0, 0, 0, 0, 90, 0]}\n", 350+i)
	}
	return text.String()
}

// A search that takes long is ended by Ctrl-C, and what was found until then is told.
func TestASearchIsStopped(t *testing.T) {
	dir := t.TempDir()
	short, long := filepath.Join(dir, "a.yaml"), filepath.Join(dir, "long.yaml")
	save(t, short, "name: Yard\nthings: []\n")
	save(t, long, longSearch())
	c := checkBeside(t, short, long)
	c.hear("a.yaml: ok")
	rest, status := c.interrupt()
	if status != exitNo || !strings.Contains(rest, "long.yaml: the search was stopped at stage ") {
		t.Errorf("status %d\n%s", status, rest)
	}
}
