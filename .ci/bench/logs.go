//go:build linux

package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/seal"
	"coolhold/logbook/store"
)

// A size says which log is meant: sites that are done, and a last one in the work.
type size struct {
	name  string
	sites int // that are done, of fifty welds each
	last  int // joints of the last
}

// The logs. Those that grow end in the same site, so that what they cost apart from it
// is the log's.
var (
	bySite = []size{{"site-10", 0, 10}, {"site-100", 0, 100}, {"site-500", 0, 500}, {"site-1000", 0, 1000}}
	byLog  = []size{{"log-1k", 10, 500}, {"season", 50, 500}, {"log-10k", 190, 500}, {"log-100k", 1990, 500}}
)

// sizeOf is the log of that name.
func sizeOf(name string) size {
	for _, s := range append(bySite, byLog...) {
		if s.name == name {
			return s
		}
	}
	panic("no log is called " + name)
}

const (
	doneJoints = 50
	daysEach   = 3 // that such a site takes
)

// scripts are the sites of a log in their order. In the first everything is done once.
func (s size) scripts() (all []script) {
	for range s.sites {
		all = append(all, script{joints: doneJoints})
	}
	all = append(all, script{joints: s.last, open: true})
	all[0].tour = true
	return all
}

// places are where the sites of a log begin, the last on a day that is given, and what
// was made to know it.
func places(all []script) (out []place, made map[place][]logbook.Entry, err error) {
	const lastDay = "2026-03-09"
	end, err := time.Parse(time.DateOnly, lastDay)
	if err != nil {
		return nil, nil, err
	}
	welds, numbers := 1, map[script]int{}
	out, made = make([]place, len(all)), map[place][]logbook.Entry{}
	for i, s := range all {
		out[i] = place{no: i, welds: welds, begun: end.AddDate(0, 0, daysEach*(i-len(all)+1)).Add(6 * time.Hour)}
		if s.tour {
			out[i].begun = out[i].begun.AddDate(0, 0, -daysEach)
		}
		if _, known := numbers[s]; !known {
			entries, err := s.make(out[i])
			if err != nil {
				return nil, nil, err
			}
			numbers[s], made[out[i]] = weldsOf(entries), entries
		}
		welds += numbers[s]
	}
	return out, made, nil
}

func weldsOf(entries []logbook.Entry) (n int) {
	seen := map[string]bool{}
	for _, e := range entries {
		if e.Weld != "" {
			seen[e.Weld] = true
		}
	}
	return len(seen)
}

// logID is the id of every log that is made: nothing is drawn.
const logID = "c001401dc001401dc001401dc001401d"

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

func journalLine(w io.Writer, line []byte) error {
	_, err := fmt.Fprintf(w, "%s\t%08x\n", line, crc32.Checksum(line, castagnoli))
	return err
}

// journal writes all entries of a log as its journal has them, site after site, and
// gives the time of the last.
func (s size) journal(w io.Writer) (at fusion.Stamp, err error) {
	all := s.scripts()
	at0, known, err := places(all)
	if err != nil {
		return at, err
	}
	if err := journalLine(w, fmt.Appendf(nil, `{"journal":1,"log":%q,"tag":%q}`, logID, tag)); err != nil {
		return at, err
	}
	made := sideBySide(len(all), func(i int) ([]logbook.Entry, error) {
		if entries, is := known[at0[i]]; is {
			return entries, nil
		}
		return all[i].make(at0[i])
	})
	var seq uint64
	for m := range made {
		if m.err != nil {
			return at, m.err
		}
		for n, e := range m.entries {
			seq++
			e.Seq, e.N = seq, uint64(n+1)
			line, err := json.Marshal(e)
			if err == nil {
				err = journalLine(w, line)
			}
			if err != nil {
				return at, err
			}
			at = e.At
		}
	}
	return at, nil
}

type part struct {
	entries []logbook.Entry
	err     error
}

// sideBySide makes n parts on all cores and gives them in their order; of those that
// are ahead only a few are kept.
func sideBySide(n int, make1 func(int) ([]logbook.Entry, error)) <-chan part {
	out := make(chan part)
	waiting := make(chan chan part, runtime.NumCPU())
	go func() {
		defer close(waiting)
		for i := range n {
			one := make(chan part, 1)
			waiting <- one
			go func() {
				e, err := make1(i)
				one <- part{e, err}
			}()
		}
	}()
	go func() {
		defer close(out)
		for one := range waiting {
			out <- <-one
		}
	}()
	return out
}

// make writes the log of a size: its lines in bulk, as restore writes them, and last
// what is of the whole log.
func (s size) make(path string) error {
	from := path + ".made"
	f, err := os.Create(from + ".journal")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	b := &buffered{w: f}
	at, err := s.journal(b)
	if err := errors.Join(err, b.flush(), f.Close()); err != nil {
		return err
	}
	at = at.Add(time.Minute)
	ctx := context.Background()
	if _, err := store.Restore(ctx, from, path, at); err != nil {
		return err
	}
	return s.ends(ctx, path, at.Add(time.Minute))
}

// ends is the last of a log: its twin set aside, and a seal.
func (s size) ends(ctx context.Context, path string, at fusion.Stamp) error {
	l, err := store.Open(path)
	if err != nil {
		return err
	}
	h := acts.Head{ID: "end twin", At: at, By: hedda, Site: logbook.SiteID(fmt.Sprintf("Invented Meadow %d", s.sites+1))}
	if _, err := l.Append(ctx, acts.SetTwinAside(h, logbook.TwinSetAside{Why: "the stick was lost"})); err != nil {
		return err
	}
	h.ID = "end seal"
	_, err = l.Append(ctx, func(r logbook.Reader) ([]logbook.Draft, error) {
		n, root, ok := store.Tree(r)
		if !ok {
			return nil, errors.New("the tree of the log cannot be read")
		}
		k, err := key()
		if err != nil {
			return nil, err
		}
		note, err := seal.Sign(seal.Statement{Log: logID, Tag: tag, Entries: n, Root: root, At: at.Local(), By: hedda}, k)
		if err != nil {
			return nil, err
		}
		return acts.SealLog(h, logbook.Sealed{Entries: n, Root: root.String(), Note: string(note)})(r)
	})
	return err
}

// key is the key of the seals: no secret, and the same at each making.
func key() (seal.Key, error) {
	return seal.NewKey(rand.NewChaCha8([32]byte{1}), "coolhold")
}

// buffered writes in large pieces.
type buffered struct {
	w   io.Writer
	buf bytes.Buffer
}

func (b *buffered) Write(p []byte) (int, error) {
	if b.buf.Len() > 1<<20 {
		if err := b.flush(); err != nil {
			return 0, err
		}
	}
	return b.buf.Write(p)
}

func (b *buffered) flush() error {
	_, err := b.buf.WriteTo(b.w)
	return err
}

//go:embed site.go logs.go
var source embed.FS

// cache is the folder of the logs that were made, never in the repository. Its name
// holds a hash of what makes them, this program and the acts by its build: whatever
// changes the entries changes the hash, or is to be removed by hand.
func cache() (string, error) {
	base := os.Getenv("COOLHOLD_BENCH_CACHE")
	if base == "" {
		user, err := os.UserCacheDir()
		if err != nil {
			user = os.TempDir()
		}
		base = filepath.Join(user, "coolhold-bench")
	}
	sum := sha256.New()
	for _, name := range []string{"site.go", "logs.go"} {
		text, err := source.ReadFile(name)
		if err != nil {
			return "", err
		}
		sum.Write(text)
	}
	// What the acts say is in the entries of a small log.
	if _, err := (size{"hash", 1, 10}).journal(sum); err != nil {
		return "", err
	}
	dir := filepath.Join(base, hex.EncodeToString(sum.Sum(nil)[:8]))
	return dir, os.MkdirAll(dir, 0o700)
}

var making sync.Mutex

// kept is the log of that name, made where it is not there yet.
func kept(dir, name string) (string, error) {
	making.Lock()
	defer making.Unlock()
	path := filepath.Join(dir, name+".coolhold")
	if _, err := os.Stat(path + ".journal"); err == nil {
		return path, nil
	} else if !errors.Is(err, fs.ErrNotExist) {
		return "", err
	}
	work, err := os.MkdirTemp(dir, "part-")
	if err != nil {
		return "", err
	}
	defer os.RemoveAll(work)
	began := time.Now()
	fmt.Fprintf(os.Stderr, "making %s …\n", name)
	part := filepath.Join(work, "log")
	if err := sizeOf(name).make(part); err != nil {
		return "", err
	}
	for _, end := range []string{"", ".journal"} { // the journal last: it says that all is there
		if err := os.Rename(part+end, path+end); err != nil {
			return "", err
		}
	}
	info, err := os.Stat(path + ".journal")
	if err == nil {
		fmt.Fprintf(os.Stderr, "made %s in %.1f s: a journal of %.1f MB\n", name, time.Since(began).Seconds(), float64(info.Size())/1e6)
	}
	return path, err
}

// copied is a log of one's own, to be written to.
func copied(dir, name, to string) (string, error) {
	from, err := kept(dir, name)
	if err != nil {
		return "", err
	}
	path := filepath.Join(to, strings.ReplaceAll(name, "/", "-")+".coolhold")
	for _, end := range []string{"", ".journal"} {
		if err := copyFile(from+end, path+end); err != nil {
			return "", err
		}
	}
	return path, nil
}

func copyFile(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_CREATE|os.O_TRUNC|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Close())
}
