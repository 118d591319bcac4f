package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"handrule/scenarios"
	"handrule/scenarios/lesson"
	"handrule/server/bench"
)

const ownLesson = "title: Mine\narm: wren\nstart_deg: [0, 0, 0, 0, 90, 0]\nstages:\n  - text: One.\n    reach: {position_mm: [320, 60, 110], tolerance_mm: 1}\n"

func TestAFolderIsFollowedThroughErrorsAndBack(t *testing.T) {
	dir := t.TempDir()
	write := func(text string) {
		if err := os.WriteFile(filepath.Join(dir, "mine.yaml"), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	f, err := openFolder(dir) // It is empty as yet.
	if err != nil {
		t.Fatal(err)
	}
	var offers []bench.Offer
	var errs bytes.Buffer
	save := func(text string) bench.Offer {
		write(text)
		offers = nil
		errs.Reset()
		f.again(t.Context(), func(o bench.Offer) { offers = append(offers, o) }, &errs)
		return offers[len(offers)-1]
	}
	mine := func(o bench.Offer) *lesson.Lesson {
		for _, l := range o.Lessons {
			if l.ID == "mine" {
				return l
			}
		}
		return nil
	}
	if save(strings.Replace(ownLesson, "tolerance_mm: 1", "tolerance_mm: 1, wrist: plain", 1)); !strings.Contains(errs.String(), `"plain" is an old word`) {
		t.Errorf("an old word is not told of\n%s", errs.String())
	}
	o := save(ownLesson)
	good := mine(o)
	if good == nil || len(o.Broken) != 0 || !strings.Contains(errs.String(), "all is right") {
		t.Fatalf("%+v\n%s", o.Broken, errs.String())
	}
	o = save(strings.Replace(ownLesson, "text: One.", "text: *one", 1))
	if mine(o) != good || len(o.Broken) != 1 || o.Broken[0].Readable || !o.Broken[0].Lesson || !strings.Contains(errs.String(), "mine.yaml:5:11: ") {
		t.Errorf("%+v\n%s", o.Broken, errs.String())
	}
	o = save(strings.Replace(ownLesson, "320", "900", 1))
	// Learners keep the version that was passed; the one that cannot be is its author's.
	if l := mine(o); l != good || len(o.Drafts) != 1 || len(offers) != 2 || len(offers[0].Broken) != 0 || len(o.Broken) != 1 || !o.Broken[0].Readable || !strings.Contains(errs.String(), "cannot be passed") {
		t.Errorf("%+v\n%s", o.Broken, errs.String())
	}
	// What stands against it is kept while another file is saved.
	if err := os.WriteFile(filepath.Join(dir, "yard.yaml"), []byte("name: Yard\nthings: []\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if o = save(strings.Replace(ownLesson, "320", "900", 1)); len(o.Broken) != 1 || len(o.Cells) != len(scenarios.ShippedCells())+1 {
		t.Errorf("%+v", o.Broken)
	}
	if o = save(ownLesson); len(o.Broken) != 0 || !mine(o).Same(good) || len(o.Drafts) != 0 {
		t.Errorf("%+v", o.Broken)
	}
	if err := os.Remove(filepath.Join(dir, "mine.yaml")); err != nil {
		t.Fatal(err)
	}
	offers = nil
	f.again(t.Context(), func(o bench.Offer) { offers = append(offers, o) }, &errs)
	if mine(offers[0]) != nil {
		t.Error("a file that is gone is offered")
	}
	if err := os.RemoveAll(dir); err != nil {
		t.Fatal(err)
	}
	errs.Reset()
	if f.again(t.Context(), func(bench.Offer) { t.Error("nothing was offered") }, &errs); !strings.Contains(errs.String(), "cannot be read") {
		t.Error(errs.String())
	}
}

// The loop sees a file that is saved; how soon is not looked at.
func TestTheFolderIsWatched(t *testing.T) {
	dir := t.TempDir()
	f, err := openFolder(dir)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	offered := make(chan bench.Offer, 8)
	done := make(chan struct{})
	go func() {
		f.follow(ctx, func(o bench.Offer) { offered <- o }, &bytes.Buffer{})
		close(done)
	}()
	if err := os.WriteFile(filepath.Join(dir, "mine.yaml"), []byte(ownLesson), 0o600); err != nil {
		t.Fatal(err)
	}
	for len((<-offered).Lessons) != len(scenarios.ShippedLessons())+1 { // A slow machine may let half of the file be read.
	}
	cancel()
	<-done
}

func TestServeNeedsAFolderThatIsThere(t *testing.T) {
	if status, _, errs := do("serve", "--listen", "127.0.0.1:0", filepath.Join(t.TempDir(), "none")); status != exitBad || !strings.Contains(errs, "cannot be read") {
		t.Errorf("status %d, %s", status, errs)
	}
}

// Behind a proxy the author's address is the public one.
func TestTheAuthorsAddressIsOneToOpen(t *testing.T) {
	c := serveCommand{Public: "https://college.example/arm/"}
	if got, want := authorAddress(c.address(nil), "word"), "https://college.example/arm/?author=word"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}
