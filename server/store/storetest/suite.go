// Package storetest tests what every store must do, wherever it keeps things.
package storetest

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"slices"
	"sync"
	"sync/atomic"
	"testing"

	"pgregory.net/rapid"

	_ "handrule/internal/draws"
	"handrule/server/store"
)

// Run tests stores that are one and the same, seen by as many processes; a single one where that is what there is.
func Run(t *testing.T, all ...store.Store) {
	t.Helper()
	of := func(n int) store.Store { return all[n%len(all)] }
	t.Run("one key", func(t *testing.T) { oneKey(t, bucket(t, of(0), "one")) })
	t.Run("keys", func(t *testing.T) { keys(t, bucket(t, of(0), "keys")) })
	t.Run("watch", func(t *testing.T) { watch(t, bucket(t, of(0), "watch"), bucket(t, of(1), "watch")) })
	t.Run("subjects", func(t *testing.T) { subjects(t, of(0), of(1)) })
	t.Run("one wins", func(t *testing.T) {
		oneWins(t, []store.Bucket{bucket(t, of(0), "wins"), bucket(t, of(1), "wins"), bucket(t, of(2), "wins")})
	})
	t.Run("a model", func(t *testing.T) { model(t, bucket(t, of(0), "model")) })
	t.Run("writers", func(t *testing.T) {
		writers(t, []store.Bucket{bucket(t, of(0), "writers"), bucket(t, of(1), "writers"), bucket(t, of(2), "writers")})
	})
}

func bucket(t *testing.T, s store.Store, name string) store.Bucket {
	t.Helper()
	b, err := s.Bucket(name)
	if err != nil {
		t.Fatalf("no bucket %s: %v", name, err)
	}
	return b
}

func oneKey(t *testing.T, b store.Bucket) {
	is := func(err, want error) {
		t.Helper()
		if !errors.Is(err, want) {
			t.Fatalf("the error is %v, want %v", err, want)
		}
	}
	_, err := b.Get("a")
	is(err, store.ErrNone)
	_, err = b.Replace("a", []byte("x"), 7)
	is(err, store.ErrStale)
	first, err := b.Replace("a", []byte("1"), 0)
	is(err, nil)
	_, err = b.Replace("a", []byte("x"), 0)
	is(err, store.ErrStale)
	second, err := b.Put("a", []byte("2"))
	is(err, nil)
	_, err = b.Replace("a", []byte("x"), first)
	is(err, store.ErrStale)
	third, err := b.Replace("a", []byte{0, 255}, second)
	is(err, nil)
	if !(first < second && second < third) {
		t.Fatalf("revisions %d, %d, %d", first, second, third)
	}
	got, err := b.Get("a")
	is(err, nil)
	if got.Key != "a" || got.Revision != third || got.Deleted || !bytes.Equal(got.Value, []byte{0, 255}) {
		t.Fatalf("it keeps %+v", got)
	}
	is(b.Delete("a"), nil)
	is(b.Delete("a"), nil)
	is(b.Delete("never"), nil)
	_, err = b.Get("a")
	is(err, store.ErrNone)
	_, err = b.Replace("a", []byte("x"), third)
	is(err, store.ErrStale)
	last, err := b.Replace("a", nil, 0)
	is(err, nil)
	if got, err = b.Get("a"); err != nil || len(got.Value) != 0 || got.Revision != last || last <= third {
		t.Fatalf("after a deletion it keeps %+v, %v", got, err)
	}
	large := bytes.Repeat([]byte("large"), 200_000)
	_, err = b.Put("large", large)
	is(err, nil)
	if got, err = b.Get("large"); err != nil || !bytes.Equal(got.Value, large) {
		t.Fatalf("of %d bytes it keeps %d, %v", len(large), len(got.Value), err)
	}
}

func keys(t *testing.T, b store.Bucket) {
	want := func(prefix string, want ...string) {
		t.Helper()
		got, err := b.Keys(prefix)
		if err != nil || !slices.Equal(got, want) {
			t.Fatalf("keys of %q: %q, %v, want %q", prefix, got, err, want)
		}
	}
	want("")
	for _, key := range []string{"b.2", "a.1", "ab.1", "a.1.x", "a", "gone.1"} {
		if _, err := b.Put(key, []byte(key)); err != nil {
			t.Fatal(err)
		}
	}
	b.Delete("gone.1")
	want("", "a", "a.1", "a.1.x", "ab.1", "b.2")
	want("a", "a", "a.1", "a.1.x")
	want("a.1", "a.1", "a.1.x")
	want("gone")
	want("*.1", "a.1", "a.1.x", "ab.1")
	want("*", "a", "a.1", "a.1.x", "ab.1", "b.2")
}

// heard collects what a watch tells.
type heard struct {
	mu   sync.Mutex
	all  []store.Entry
	more chan struct{}
}

func listen(t interface{ Fatal(...any) }, b store.Bucket, prefix string) (*heard, func()) {
	h := &heard{more: make(chan struct{}, 1)}
	cancel, err := b.Watch(prefix, func(e store.Entry) {
		h.mu.Lock()
		h.all = append(h.all, e)
		h.mu.Unlock()
		select {
		case h.more <- struct{}{}:
		default:
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	return h, cancel
}

// until waits until what was told is so; where it never is, the test ends by its own time limit.
func (h *heard) until(so func([]store.Entry) bool) []store.Entry {
	for {
		h.mu.Lock()
		all := slices.Clone(h.all)
		h.mu.Unlock()
		if so(all) {
			return all
		}
		<-h.more
	}
}

func watch(t *testing.T, b, other store.Bucket) {
	put := func(b store.Bucket, key, value string) {
		t.Helper()
		if _, err := b.Put(key, []byte(value)); err != nil {
			t.Fatal(err)
		}
	}
	put(b, "x.1", "before")
	put(b, "y.1", "not watched")
	put(b, "x.gone", "gone")
	b.Delete("x.gone")
	put(b, "x", "itself")
	h, cancel := listen(t, other, "x")
	told := func(n int) []string {
		var all []string
		for _, e := range h.until(func(all []store.Entry) bool { return len(all) >= n }) {
			all = append(all, fmt.Sprintf("%s=%s %t", e.Key, e.Value, e.Deleted))
		}
		return all
	}
	first := told(3)
	slices.Sort(first[:2])
	if !slices.Equal(first, []string{"x.1=before false", "x=itself false", "= false"}) {
		t.Fatalf("at first it tells %q", first)
	}
	put(other, "x.2", "new")
	told(4)
	put(b, "xx", "not watched")
	b.Delete("x.1")
	if got := told(5)[3:]; !slices.Equal(got, []string{"x.2=new false", "x.1= true"}) {
		t.Fatalf("then it tells %q", got)
	}
	cancel()
	empty, cancel := listen(t, b, "nothing")
	defer cancel()
	if got := empty.until(func(all []store.Entry) bool { return len(all) > 0 }); got[0].Key != "" {
		t.Fatalf("of nothing it tells %+v", got)
	}
}

func subjects(t *testing.T, here, there store.Store) {
	got := make(chan string, 1000)
	var ends []func()
	for _, subject := range []string{"arm.7", "arm.*", "arm.>", "*.7"} {
		end, err := there.Subscribe(subject, func(s string, data []byte) { got <- subject + ": " + s + " " + string(data) })
		if err != nil {
			t.Fatal(err)
		}
		ends = append(ends, end)
	}
	publish := func(subject, data string) {
		t.Helper()
		if err := here.Publish(subject, []byte(data)); err != nil {
			t.Fatal(err)
		}
	}
	publish("arm.7", "a")
	publish("arm", "b")
	publish("arm.7.x", "c")
	publish("leg.7", "d")
	want := []string{"arm.7: arm.7 a", "arm.*: arm.7 a", "arm.>: arm.7 a", "*.7: arm.7 a", "arm.>: arm.7.x c", "*.7: leg.7 d"}
	var all []string
	for range want {
		all = append(all, <-got)
	}
	slices.Sort(all)
	slices.Sort(want)
	if !slices.Equal(all, want) {
		t.Fatalf("heard %q, want %q", all, want)
	}
	for _, end := range ends {
		end()
	}
	order := make(chan string, 1000)
	end, err := there.Subscribe("order", func(_ string, data []byte) { order <- string(data) })
	if err != nil {
		t.Fatal(err)
	}
	defer end()
	for n := range 500 {
		publish("order", fmt.Sprint(n))
	}
	for n := range 500 {
		if said := <-order; said != fmt.Sprint(n) {
			t.Fatalf("heard %s after %d", said, n-1)
		}
	}
	if len(got) > 0 {
		t.Fatalf("heard %q after the end", <-got)
	}
}

// oneWins has many count up at once by what they read and replace: every acknowledged step counts once.
func oneWins(t *testing.T, buckets []store.Bucket) {
	const writers, steps = 6, 20
	var all sync.WaitGroup
	var won [writers * steps]atomic.Int32 // by the number that was written
	for w := range writers {
		b := buckets[w%len(buckets)]
		all.Go(func() {
			for range steps {
				for {
					e, err := b.Get("count")
					if err != nil && !errors.Is(err, store.ErrNone) {
						t.Error(err)
						return
					}
					n := 0
					fmt.Sscan(string(e.Value), &n)
					_, err = b.Replace("count", fmt.Appendf(nil, "%d", n+1), e.Revision)
					if err == nil {
						won[n].Add(1)
						break
					}
					if !errors.Is(err, store.ErrStale) {
						t.Error(err)
						return
					}
				}
			}
		})
	}
	all.Wait()
	for n := range won {
		if of := won[n].Load(); of != 1 {
			t.Errorf("%d won with %d", of, n+1)
		}
	}
	if e, err := buckets[0].Get("count"); err != nil || string(e.Value) != fmt.Sprint(writers*steps) {
		t.Errorf("it counted up to %s, %v", e.Value, err)
	}
}

var rounds atomic.Int32 // so that every case has keys of its own

// model holds one writer's operations against a map.
func model(t *testing.T, b store.Bucket) {
	rapid.Check(t, func(t *rapid.T) {
		round := fmt.Sprintf("r%d", rounds.Add(1))
		kept := map[string]store.Entry{}
		h, cancel := listen(t, b, round)
		defer cancel()
		last := uint64(0)
		put := func(key string, value []byte, revision uint64, err error) {
			if err != nil || revision <= last {
				t.Fatalf("revision %d after %d, %v", revision, last, err)
			}
			last = revision
			kept[key] = store.Entry{Key: key, Value: value, Revision: revision}
		}
		for range rapid.IntRange(1, 20).Draw(t, "operations") {
			key := round + "." + rapid.SampledFrom([]string{"a", "b", "b.c"}).Draw(t, "key")
			value := rapid.SliceOfN(rapid.Byte(), 0, 20).Draw(t, "value")
			switch rapid.IntRange(0, 4).Draw(t, "operation") {
			case 0:
				revision, err := b.Put(key, value)
				put(key, value, revision, err)
			case 1:
				revision, err := b.Replace(key, value, kept[key].Revision)
				put(key, value, revision, err)
			case 2:
				known := rapid.SampledFrom([]uint64{0, last, last + 1000}).Draw(t, "revision") // not that of a deletion, which a store may take for none
				if known == kept[key].Revision {
					continue
				}
				if _, err := b.Replace(key, value, known); !errors.Is(err, store.ErrStale) {
					t.Fatalf("in the place of revision %d, which it is not: %v", known, err)
				}
			case 3:
				if err := b.Delete(key); err != nil {
					t.Fatal(err)
				}
				delete(kept, key)
			case 4:
				got, err := b.Get(key)
				want, is := kept[key]
				if is != (err == nil) || got.Revision != want.Revision || !bytes.Equal(got.Value, want.Value) {
					t.Fatalf("it keeps %+v, %v, want %+v", got, err, want)
				}
			}
		}
		got, err := b.Keys(round)
		if want := slices.Sorted(maps.Keys(kept)); err != nil || !slices.Equal(got, want) {
			t.Fatalf("keys %q, %v, want %q", got, err, want)
		}
		sees(h, kept)
	})
}

// sees waits until what was told comes to what is kept, and returns it.
func sees(h *heard, kept map[string]store.Entry) []store.Entry {
	return h.until(func(all []store.Entry) bool {
		now := map[string]store.Entry{}
		begun := false
		for _, e := range all {
			switch {
			case e.Key == "":
				begun = true
			case e.Deleted:
				delete(now, e.Key)
			default:
				now[e.Key] = e
			}
		}
		return begun && maps.EqualFunc(now, kept, func(a, b store.Entry) bool { return a.Revision == b.Revision && bytes.Equal(a.Value, b.Value) })
	})
}

// writers has several write at once: what was acknowledged last under a key is there, and a watch tells of changes in their order.
func writers(t *testing.T, buckets []store.Bucket) {
	h, cancel := listen(t, buckets[0], "")
	defer cancel()
	var mu sync.Mutex
	kept := map[string]store.Entry{}
	var all sync.WaitGroup
	for w, b := range buckets {
		all.Go(func() {
			for n := range 60 {
				key, value := fmt.Sprintf("k%d", (n+w)%7), fmt.Appendf(nil, "%d of %d", n, w)
				revision, err := b.Put(key, value)
				if err != nil {
					t.Error(err)
					return
				}
				mu.Lock()
				if revision > kept[key].Revision {
					kept[key] = store.Entry{Key: key, Value: value, Revision: revision}
				}
				mu.Unlock()
			}
		})
	}
	all.Wait()
	for key, want := range kept {
		if got, err := buckets[0].Get(key); err != nil || got.Revision != want.Revision || !bytes.Equal(got.Value, want.Value) {
			t.Errorf("under %s it keeps %+v, %v, want %+v", key, got, err, want)
		}
	}
	last := uint64(0)
	for _, e := range sees(h, kept) {
		if e.Key != "" && e.Revision <= last {
			t.Fatalf("revision %d is told after %d", e.Revision, last)
		}
		last = max(last, e.Revision)
	}
}
