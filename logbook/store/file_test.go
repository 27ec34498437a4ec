package store

import (
	"bytes"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"coolhold/fusion"
)

func TestCreate(t *testing.T) {
	short := errors.New("no more chance")
	seq := func(b ...byte) io.Reader { return io.MultiReader(bytes.NewReader(b), failing{short}) }
	id := bytes.Repeat([]byte{7}, 16)
	for _, c := range []struct {
		name string
		o    NewLog
		tag  string
		want error
	}{
		{"tag given", NewLog{Tag: "ZA"}, "ZA", nil},
		{"tag drawn", NewLog{Rand: seq(append([]byte{0, 23}, id...)...)}, "AZ", nil},
		{"tag drawn evenly", NewLog{Rand: seq(append([]byte{255, 240, 239, 24}, id...)...)}, "ZA", nil},
		{"letter that reads as a digit", NewLog{Tag: "OK"}, "", ErrTag},
		{"small letters", NewLog{Tag: "km"}, "", ErrTag},
		{"one letter", NewLog{Tag: "K"}, "", ErrTag},
		{"three letters", NewLog{Tag: "KMM"}, "", ErrTag},
		{"no chance for a tag", NewLog{Rand: seq(1)}, "", short},
		{"no chance for an id", NewLog{Tag: "KM", Rand: seq(1, 2, 3)}, "", short},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			path := filepath.Join(dir, "site.log")
			l, err := Create(path, c.o)
			if !errors.Is(err, c.want) {
				t.Fatalf("got %v", err)
			}
			if c.want == nil {
				if l.Tag() != c.tag || l.Path() != path || len(l.ID()) != 32 {
					t.Errorf("tag %q, id %q, path %q", l.Tag(), l.ID(), l.Path())
				}
				o, err := Open(path)
				if err != nil || o.ID() != l.ID() || o.Tag() != l.Tag() {
					t.Errorf("opened as %+v, %v", o, err)
				}
				sound(t, path)
			}
			if names := parts(dir); len(names) > 0 {
				t.Errorf("left behind: %q", names)
			}
		})
	}
}

type failing struct{ err error }

func (f failing) Read([]byte) (int, error) { return 0, f.err }

// parts are the unfinished files of a folder.
func parts(dir string) []string {
	names, _ := filepath.Glob(filepath.Join(dir, "*.part-*"))
	return names
}

func TestNothingIsReplaced(t *testing.T) {
	l := fresh(t)
	dir := filepath.Dir(l.path)
	file := func(name, content string) string {
		path := filepath.Join(dir, name)
		rewrite(t, path, []byte(content))
		return path
	}
	taken := file("taken", "a letter")
	file("lost.journal", "{}\n")
	file("empty.journal", "")
	for name, want := range map[string]error{"taken": ErrExists, "lost": ErrExists, "site.log": ErrExists, "empty": nil, "no/folder": os.ErrNotExist} {
		path := filepath.Join(dir, name)
		if _, err := Create(path, NewLog{}); !errors.Is(err, want) {
			t.Errorf("create %s: %v", name, err)
		}
		if want == nil {
			os.Remove(path)
		}
		if err := l.Copy(bg, path); !errors.Is(err, want) {
			t.Errorf("copy to %s: %v", name, err)
		}
	}
	if data, err := os.ReadFile(taken); string(data) != "a letter" {
		t.Errorf("replaced: %q, %v", data, err)
	}
	if names := parts(dir); len(names) > 0 {
		t.Errorf("left behind: %q", names)
	}
}

// Of many that make the same log at once, one does.
func TestCreateAtOnce(t *testing.T) {
	path := filepath.Join(t.TempDir(), "site.log")
	errs := make([]error, 8)
	var all sync.WaitGroup
	for i := range errs {
		all.Go(func() { _, errs[i] = Create(path, NewLog{}) })
	}
	all.Wait()
	made := 0
	for _, err := range errs {
		if err == nil {
			made++
		} else if !errors.Is(err, ErrExists) {
			t.Error(err)
		}
	}
	if made != 1 {
		t.Errorf("made %d times", made)
	}
	if names := parts(filepath.Dir(path)); len(names) > 0 {
		t.Errorf("left behind: %q", names)
	}
	sound(t, path)
}

// What breaks off in the middle leaves nothing behind.
func TestPublishBreaksOff(t *testing.T) {
	dir := t.TempDir()
	full := errors.New("no space left")
	err := publish(filepath.Join(dir, "site.log"), func(part string) error {
		rewrite(t, part, []byte("half of it"))
		return full
	})
	if !errors.Is(err, full) {
		t.Errorf("got %v", err)
	}
	if names, _ := os.ReadDir(dir); len(names) > 0 {
		t.Errorf("left behind: %v", names)
	}
}

// at is the same log as if it had been opened under another name.
func (l *Log) at(path string) *Log {
	c := newLog(path, l.steps)
	c.id, c.tag = l.id, l.tag
	return c
}

func TestBeat(t *testing.T) {
	l := fresh(t)
	read := func(want fusion.Stamp) {
		t.Helper()
		if got, err := l.LastBeat(); err != nil || got != want {
			t.Errorf("got %+v, %v; want %+v", got, err, want)
		}
		if snap := readAll(t, l.path); snap.Beat != want {
			t.Errorf("read with the log: %+v, want %+v", snap.Beat, want)
		}
	}
	read(fusion.Stamp{})
	west := fusion.Stamp{Wall: noon.Add(123 * time.Millisecond), Offset: -12600, Boot: 99 * time.Hour, BootID: "one", Machine: "laptop"}
	for _, at := range []fusion.Stamp{stamp(0), west, {Wall: noon, Boot: time.Second}, stamp(15)} {
		if err := l.Beat(at); err != nil {
			t.Fatal(err)
		}
		read(at)
	}
	full := stamp(7)
	full.Machine = strings.Repeat("m", 16)
	if err := l.Beat(full); err != nil {
		t.Error(err)
	}
	read(full)
	if err := l.Beat(stamp(15)); err != nil {
		t.Error(err)
	}
	long, named := stamp(0), full
	long.BootID += "0"
	named.Machine += "m"
	for _, at := range []fusion.Stamp{long, named} {
		if err := l.Beat(at); !errors.Is(err, errBoot) {
			t.Errorf("a boot id of %d bytes, a machine of %d: %v", len(at.BootID), len(at.Machine), err)
		}
	}
	read(stamp(15))
	whole, err := os.ReadFile(l.path + ".beat")
	if err != nil || len(whole) != 80 {
		t.Fatalf("%d bytes, %v", len(whole), err)
	}
	for i := range whole {
		rewrite(t, l.path+".beat", spoil(t, l.path+".beat", i))
		if got, err := l.LastBeat(); err != nil || !got.IsZero() {
			t.Fatalf("with byte %d wrong: %+v, %v", i, got, err)
		}
		rewrite(t, l.path+".beat", whole)
	}
	whole[5] = 37 // the sum is right, the length cannot be
	binary.BigEndian.PutUint32(whole[beatSum:], crc32.Checksum(whole[:beatSum], castagnoli))
	rewrite(t, l.path+".beat", whole)
	read(fusion.Stamp{})
	for _, n := range []int{0, 64, 79} {
		rewrite(t, l.path+".beat", whole[:n])
		read(fusion.Stamp{})
	}
	rewrite(t, l.path+".beat", append(whole, 0))
	read(fusion.Stamp{})
	if err := l.Beat(stamp(30)); err != nil {
		t.Fatal(err)
	}
	read(stamp(30))
}
