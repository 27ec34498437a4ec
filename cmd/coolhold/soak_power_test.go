//go:build linux

package main

import (
	"bytes"
	"context"
	"encoding/hex"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"coolhold/fusion"
	"coolhold/logbook/acts"
	"coolhold/logbook/store"
	"coolhold/logbook/store/soaktest"
)

// An op is what a program asked of the system: a piece written to a file, its
// length set, its writes synced, or something said to the person.
type op struct {
	call, file string
	data       []byte
	at         int64
}

// sector is what a disk writes whole.
const sector = 512

// traced runs a verb and gives back what it asked of the system for the files
// beside a log, in order, and what it said where.
func traced(t *testing.T, env []string, log string, args ...string) (ops []op) {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(t.TempDir(), "trace")
	cmd := exec.Command("strace", append([]string{
		"-f", "-qq", "-y", "-xx", "-s", "1000000", "-o", out, "-e", "signal=none",
		"-e", "trace=write,pwrite64,writev,pwritev,fsync,fdatasync,ftruncate,rename,renameat,renameat2,unlink,unlinkat,truncate,sync_file_range,msync",
		self}, args...)...)
	cmd.Env = append(os.Environ(), env...)
	if said, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%s: %v\n%s", args, err, said)
	}
	trace, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	begun := map[string]string{} // a call that another thread came between, by thread
	for line := range strings.Lines(string(trace)) {
		thread, call, _ := strings.Cut(strings.TrimSpace(line), " ")
		call = strings.TrimSpace(call)
		if head, cut := strings.CutSuffix(call, " <unfinished ...>"); cut {
			begun[thread] = head
			continue
		}
		if strings.HasPrefix(call, "<... ") {
			_, tail, _ := strings.Cut(call, " resumed>")
			call = begun[thread] + tail
		}
		if o, ok := asked(t, call, filepath.Dir(log)); ok {
			ops = append(ops, o)
		}
	}
	return ops
}

var (
	callRead  = regexp.MustCompile(`^(\w+)\((.*)\)\s+= (-?\d+)`)
	quotedHex = regexp.MustCompile(`(?:\\x[0-9a-f]{2})+`)
	handle    = regexp.MustCompile(`^(\d+)<(.*?)>`)
)

// asked reads one call. What concerns other files is left out, but for what is
// said to the person.
func asked(t *testing.T, line, folder string) (o op, ok bool) {
	t.Helper()
	m := callRead.FindStringSubmatch(line)
	if m == nil {
		return o, false
	}
	args := strings.Split(m[2], ", ")
	fd := handle.FindStringSubmatch(args[0])
	if fd == nil {
		if strings.Contains(unhex(m[2]), folder) {
			t.Fatalf("the power cuts do not know what %s does: %s", m[1], unhex(m[2]))
		}
		return o, false
	}
	o.call, o.file = m[1], unhex(fd[2])
	if m[1] == "write" && fd[1] == "1" {
		return op{call: "said", data: []byte(unhex(args[1][1 : len(args[1])-1]))}, true
	}
	if filepath.Dir(o.file) != folder {
		return o, false
	}
	switch o.call {
	case "write", "pwrite64":
		o.data = []byte(unhex(args[1][1 : len(args[1])-1]))
		if n := len(o.data); m[3] != strconv.Itoa(n) {
			t.Fatalf("%d bytes read of a call that wrote %s", n, m[3])
		}
		o.at = -1 // at the end
		if o.call == "pwrite64" {
			o.at, _ = strconv.ParseInt(args[3], 10, 64)
		}
	case "ftruncate":
		o.at, _ = strconv.ParseInt(args[1], 10, 64)
	case "fsync", "fdatasync":
	default:
		t.Fatalf("the power cuts do not know what %s does", o.call)
	}
	return o, true
}

func unhex(s string) string {
	return quotedHex.ReplaceAllStringFunc(s, func(s string) string {
		b, err := hex.DecodeString(strings.ReplaceAll(s, `\x`, ""))
		if err != nil {
			panic(err)
		}
		return string(b)
	})
}

// A disk holds files as they are after a power cut at any moment: what was
// synced is there, of what was not any part may be.
type disk struct {
	synced  map[string][]byte
	waiting []op
	deaf    bool // it takes no notice of a sync, as the control
}

// does applies what a program asked.
func (d *disk) does(o op) {
	switch o.call {
	case "fsync", "fdatasync":
		if d.deaf {
			return
		}
		d.waiting = slices.DeleteFunc(d.waiting, func(w op) bool {
			if w.file == o.file {
				d.synced[o.file] = done(d.synced[o.file], w)
			}
			return w.file == o.file
		})
	case "said":
	default:
		d.waiting = append(d.waiting, o)
	}
}

// done is the content of a file after a piece was written, or its length set.
func done(data []byte, o op) []byte {
	if o.call == "ftruncate" {
		return resized(data, int(o.at))
	}
	at := int(o.at)
	if at < 0 {
		at = len(data)
	}
	if need := at + len(o.data); need > len(data) {
		data = resized(data, need)
	}
	copy(data[at:], o.data)
	return data
}

func resized(data []byte, n int) []byte {
	if n <= len(data) {
		return data[:n]
	}
	return append(data, make([]byte, n-len(data))...)
}

// cut is one image of the files: each write that was not synced is there, is not,
// or is there in some of its sectors.
func (d *disk) cut(random *rand.Rand) map[string][]byte {
	image := map[string][]byte{}
	for name, data := range d.synced {
		image[name] = bytes.Clone(data)
	}
	for _, o := range d.waiting {
		whole := done(bytes.Clone(image[o.file]), o)
		switch random.IntN(3) {
		case 0: // dropped
		case 1:
			image[o.file] = whole
		case 2:
			image[o.file] = torn(random, image[o.file], whole)
		}
	}
	return image
}

// torn is a file in which some sectors are as before and some as after.
func torn(random *rand.Rand, before, after []byte) []byte {
	image := resized(bytes.Clone(before), max(len(before), len(after)))
	last := 0
	for at := 0; at < len(after); at += sector {
		end := min(at+sector, len(after))
		if old := image[at:end]; !bytes.Equal(old, after[at:end]) && random.IntN(2) == 0 {
			copy(old, after[at:end])
			last = end
		}
	}
	return image[:max(len(before), last)]
}

// Power goes at each boundary between two calls of a save: whatever part of what
// was not synced is on the disk, what was acknowledged is there and the log opens.
// The same on a disk that does not sync must lose something, or the test sees nothing.
func TestSoakPowerCuts(t *testing.T) {
	t.Parallel()
	s := soaktest.New(t, "power cut", "an image at each write and sync of a save, what was not synced dropped or torn at 512 bytes")
	if _, err := exec.LookPath("strace"); err != nil {
		t.Skip("SKIPPED: strace is not installed")
	}
	random := rand.New(rand.NewPCG(20260309, 3))
	dir := t.TempDir()
	log := filepath.Join(dir, "log", "cut.coolhold")
	if err := os.Mkdir(filepath.Dir(log), 0o700); err != nil {
		t.Fatal(err)
	}
	e, _, _ := sealEdges(t)
	if _, _, err := writeExample(e, log, ""); err != nil {
		t.Fatal(err)
	}
	env := holdClock(t).env()
	saves, images := soaktest.Rounds(t, 2, 40, 400), soaktest.Rounds(t, 1, 4, 10)
	cuts := &cutter{s: s, log: log, dir: dir, site: onlySite(t, log), now: e.now()}
	lostByDeaf, boundaries := 0, 0
	for n := range saves {
		before := beside(t, log)
		acked, err := readPlain(log)
		if err != nil {
			t.Fatal(err)
		}
		true_, deaf := disk{synced: before}, disk{synced: beside(t, log), deaf: true}
		ops := traced(t, env, log, "note", "XM-0001", fmt.Sprint("a note of some length, number ", n), "--by", "Ada Invented", "--log", log)
		after, err := readPlain(log)
		if err != nil {
			t.Fatal(err)
		}
		must, told := acked.lines, false
		for _, o := range ops {
			true_.does(o)
			deaf.does(o)
			boundaries++
			if o.call == "said" {
				must, told = after.lines, true
			}
			for range images {
				s.Ran()
				image := true_.cut(random)
				if err := cuts.survives(image, must); err != nil {
					s.Loses("save %d, after %s of %s: %v", n, o.call, filepath.Base(o.file), err)
				}
				if journal := image[log+".journal"]; told && bytes.Count(journal, []byte("\n")) < len(must)+1 {
					s.Lies("save %d was told, and its journal is not on the disk", n)
				}
			}
		}
		if !bytes.Equal(must[len(must)-1], after.lines[len(after.lines)-1]) {
			t.Fatal("nothing was said to be stored")
		}
		if err := cuts.survives(deaf.cut(random), must); err != nil {
			lostByDeaf++
		}
	}
	s.Counts("%d saves, %d boundaries; a disk that does not sync lost %d of %d", saves, boundaries, lostByDeaf, saves)
	if lostByDeaf == 0 {
		t.Error("a disk that does not sync lost nothing: the images are not what a power cut leaves")
	}
}

// beside gives the log and what stands beside it.
func beside(t *testing.T, log string) map[string][]byte {
	t.Helper()
	all := map[string][]byte{}
	names, err := filepath.Glob(log + "*")
	for _, name := range names {
		data, err2 := os.ReadFile(name)
		err = errors.Join(err, err2)
		all[name] = data
	}
	if err != nil || len(all) < 2 {
		t.Fatal(len(all), err)
	}
	return all
}

// A cutter looks at images, each in a folder of its own.
type cutter struct {
	s        *soaktest.Soak
	log, dir string
	site     string
	now      fusion.Stamp
	n        int
}

// survives tells whether an image opens, holds what was acknowledged, and can be
// written.
func (c *cutter) survives(image map[string][]byte, must [][]byte) error {
	c.n++
	dir := filepath.Join(c.dir, fmt.Sprint("image-", c.n))
	if err := os.Mkdir(dir, 0o700); err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	for name, data := range image {
		if err := os.WriteFile(filepath.Join(dir, filepath.Base(name)), data, 0o600); err != nil {
			return err
		}
	}
	path := filepath.Join(dir, filepath.Base(c.log))
	l, err := store.Open(path)
	if err != nil {
		return fmt.Errorf("it does not open: %w", err)
	}
	if _, err := l.Book(context.Background(), ""); err != nil {
		return fmt.Errorf("it is not read: %w", err)
	}
	if _, err := l.Append(context.Background(), acts.NoteOn(acts.Head{ID: fmt.Sprint("after-", c.n), At: c.now, By: "Ada Invented", Site: c.site}, "XM-0001", "after the cut")); err != nil {
		return fmt.Errorf("it is not written: %w", err)
	}
	log, err := readPlain(path)
	if err != nil {
		return err
	}
	journal, err := plainJournal(path + ".journal")
	if err != nil {
		return err
	}
	return errors.Join(extends(log.lines, must), extends(log.lines, journal), extends(journal, log.lines))
}

// onlySite is the site of a log that has one.
func onlySite(t *testing.T, log string) string {
	t.Helper()
	l, err := store.Open(log)
	if err != nil {
		t.Fatal(err)
	}
	book, err := l.Book(context.Background(), "")
	if err != nil || len(book.Sites()) != 1 {
		t.Fatal(err)
	}
	return book.Sites()[0].ID
}
