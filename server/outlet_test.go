package server

import (
	"bytes"
	"io"
	"net"
	"testing"
)

// connected returns both ends of a connection over the loopback.
func connected(t testing.TB) (here, there net.Conn) {
	t.Helper()
	l := listen(t)
	defer l.Close()
	var err error
	if there, err = net.Dial("tcp", l.Addr().String()); err != nil {
		t.Fatal(err)
	}
	if here, err = l.Accept(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { here.Close(); there.Close() })
	return here, there
}

// A connection that takes no more keeps nobody waiting, and loses nothing of what was written.
func TestAFullConnectionKeepsNobodyWaiting(t *testing.T) {
	here, there := connected(t)
	o := &outlet{Conn: here}
	o.hurry()
	var written []byte
	write := func(n int) {
		piece := bytes.Repeat([]byte{byte(len(written) / 1000)}, n)
		if m, err := o.Write(piece); m != n || err != nil {
			t.Fatalf("%d of %d bytes: %v", m, n, err)
		}
		written = append(written, piece...)
	}
	for !o.left() { // The other end reads nothing: some megabytes fit in between.
		if write(100_001); len(written) > 1<<30 {
			t.Fatal("a connection that nobody reads takes everything")
		}
	}
	write(5) // behind what is kept
	got := make(chan []byte)
	go func() {
		all, _ := io.ReadAll(there)
		got <- all
	}()
	if err := o.wait(); err != nil || o.left() {
		t.Fatal("not all was written", err)
	}
	write(7) // waits until it is written
	o.hurry()
	write(9)
	o.wait() // It is kept where the other end had no room yet.
	here.Close()
	if !bytes.Equal(<-got, written) {
		t.Error("what came is not what was written")
	}
}

// What is kept when the connection is about to be closed goes out, and nothing is kept any more: it would never be written.
func TestWhatIsKeptGoesOutAtTheEnd(t *testing.T) {
	here, there := connected(t)
	o := &outlet{Conn: here}
	o.hurry()
	o.rest = []byte("kept ") // as where the other end had no room
	o.Write([]byte("behind "))
	o.part()
	if o.left() {
		t.Error("something is kept")
	}
	o.Write([]byte("the end"))
	here.Close()
	if all, _ := io.ReadAll(there); string(all) != "kept behind the end" {
		t.Errorf("what came is %q", all)
	}
}

// After a letter that did not go out at once, letters wait until all is written; then they are written at once again.
func TestLettersAreWrittenAtOnceAgain(t *testing.T) {
	o := newOutbox()
	full, wrote := false, ""
	o.atOnce = func(l letter) bool {
		wrote += string(l.text)
		return !full
	}
	put := func(text string) { o.put([]byte(text), true) }
	put("a")
	if o.behind() {
		t.Error("something waits")
	}
	full = true
	put("b") // a part of it is kept
	full = false
	put("c")
	put("d")
	if wrote != "ab" || !o.behind() {
		t.Errorf("%q was written beside what waits", wrote)
	}
	if all := o.take(); len(all) != 1 || string(all[0].text) != "d" {
		t.Errorf("%d letters wait", len(all))
	}
	put("e")
	o.catchUp()
	if put("f"); wrote != "ab" {
		t.Errorf("%q was written before what waits", wrote)
	}
	o.take()
	o.catchUp()
	if put("g"); wrote != "abg" || o.behind() {
		t.Errorf("%q was written", wrote)
	}
}

// A write to a connection that is gone is told, and nothing is kept for it.
func TestAWriteToAConnectionThatIsGoneIsTold(t *testing.T) {
	here, _ := connected(t)
	o := &outlet{Conn: here}
	o.hurry()
	here.Close()
	if n, err := o.Write([]byte("nobody")); n != 0 || err == nil || o.left() {
		t.Errorf("%d bytes, %v, kept: %v", n, err, o.left())
	}
}

func BenchmarkFrameWritten(b *testing.B) {
	here, there := connected(b)
	go io.Copy(io.Discard, there)
	o := &outlet{Conn: here}
	o.hurry()
	frame := make([]byte, 180)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := o.Write(frame); err != nil {
			b.Fatal(err)
		}
		if o.left() {
			o.wait()
			o.hurry()
		}
	}
}
