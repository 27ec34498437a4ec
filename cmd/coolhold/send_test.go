package main

import (
	"bytes"
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook/office"
	"coolhold/logbook/office/officetest"
	"coolhold/logbook/office/wire"
	"coolhold/logbook/seal"
	"coolhold/logbook/store"
)

// A firm is an office that listens on this machine, and one laptop with the worked
// example, which it does not know yet.
type firm struct {
	t      testing.TB
	office *officetest.Office
	key    seal.Key // of the office
	url    string
	e      edges
	log    string
	now    fusion.Stamp
	env    map[string]string
}

func newFirm(t testing.TB) *firm {
	t.Helper()
	e, log, _ := atDesk(t)
	f := &firm{t: t, e: e, log: log, now: e.now().Add(9*time.Hour + 40*time.Minute), env: map[string]string{"COOLHOLD_KEY": filepath.Join(t.TempDir(), "seal.key")}}
	f.e.rand, f.e.getenv = rand.Reader, func(name string) string { return f.env[name] }
	f.e.now = func() fusion.Stamp { return f.now }
	f.office = &officetest.Office{Now: func() time.Time { return f.now.Local() }, Token: "invented", MostWait: 100}
	f.key = newOfficeKey(t)
	f.url = listens(t, f.office, f.key)
	return f
}

func newOfficeKey(t testing.TB) seal.Key {
	t.Helper()
	k, err := seal.NewKey(rand.Reader, officeName)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

// listens has an office listen until the test is over.
func listens(t testing.TB, o *officetest.Office, key seal.Key) (url string) {
	t.Helper()
	l, err := wire.Listen("127.0.0.1:0", nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	over := make(chan error)
	go func() {
		over <- wire.Serve(ctx, l, wire.Handler(office.Signing(o, key), wire.Told{Asked: func(r *wire.Request) {
			if r.Fault != nil {
				t.Error(r.Fault)
			}
		}}))
	}()
	t.Cleanup(func() {
		cancel()
		if err := <-over; err != nil {
			t.Error(err)
		}
	})
	return "http://" + l.Addr().String()
}

// run runs a verb on the laptop.
func (f *firm) run(args ...string) ran {
	var out, err bytes.Buffer
	e := f.e
	e.in, e.out, e.err = strings.NewReader(""), &out, &err
	return ran{run(args, e), out.String(), err.String()}
}

// send sends, and wants a code and a beginning of the line.
func (f *firm) send(code int, says string, args ...string) {
	f.t.Helper()
	got := f.run(append([]string{"send", "--log", f.log}, args...)...)
	if text := got.out + strings.TrimPrefix(got.err, "coolhold: "); got.code != code || !strings.Contains(text, says) {
		f.t.Fatalf("send %v: exit code %d, want %d; said %q, want %q", args, got.code, code, text, says)
	}
}

// public is the laptop's own key.
func (f *firm) public() string {
	f.t.Helper()
	k, err := laptopKey(f.e)
	if err != nil {
		f.t.Fatal(err)
	}
	return k.Public()
}

// admitted is a firm whose office knows the laptop.
func admitted(t testing.TB) *firm {
	t.Helper()
	f := newFirm(t)
	if err := f.office.Admit(f.public()); err != nil {
		t.Fatal(err)
	}
	return f
}

// note records something on the laptop.
func (f *firm) note(text string) {
	f.t.Helper()
	l, err := openLog(f.log)
	if err != nil {
		f.t.Fatal(err)
	}
	addNote(f.t, f.e, l, text)
}

func (f *firm) run1(first int64) store.Run {
	f.t.Helper()
	r, err := store.ReadRun(context.Background(), f.log, first, 1<<30, 1<<30, nil)
	if err != nil {
		f.t.Fatal(err)
	}
	return r
}

// holds wants the office to have just what the laptop has, in a branch.
func (f *firm) holds(branch int) {
	f.t.Helper()
	r := f.run1(1)
	got, want := bytes.Join(f.office.Lines(r.ID, branch), []byte("\n")), bytes.Join(r.Lines, []byte("\n"))
	if !bytes.Equal(got, want) || len(want) == 0 {
		f.t.Fatalf("the office has %d bytes, the laptop %d", len(got), len(want))
	}
	kept, err := readOffice(f.log, r.ID)
	if err != nil || kept.receipt().Entries != r.Entries || kept.receipt().Root != r.Root || kept.receipt().Branch != branch {
		f.t.Fatalf("kept is %+v (%v), the log has %d", kept.receipt(), err, r.Entries)
	}
}

// What a laptop sends waits until it is admitted, and then all is there; nothing is sent
// twice, and where there is nothing new the office hears of the laptop all the same.
func TestSendUntilAdmitted(t *testing.T) {
	f := newFirm(t)
	n := f.run1(1).Entries
	f.send(exitFindings, "does not know this laptop's key yet: let it admit coolhold+", "--to", f.url)
	f.send(exitFindings, "let it admit "+f.public())
	if lines := f.office.Lines(f.run1(1).ID, 0); len(lines) > 0 {
		t.Fatalf("%d entries are held of a laptop that is not known", len(lines))
	}
	if err := f.office.Admit(f.public()); err != nil {
		t.Fatal(err)
	}
	if lines := f.office.Lines(f.run1(1).ID, 0); int64(len(lines)) != n {
		t.Fatalf("%d entries waited, of %d", len(lines), n)
	}
	f.send(exitDone, fmt.Sprintf("the office has all up to 17:40, entry %d", n))
	f.holds(0)
	f.note("a word for the office")
	f.now = f.now.Add(time.Minute)
	before := f.office.Takes
	f.send(exitDone, "the office has all up to 17:41, entry ")
	f.holds(0)
	f.now = f.now.Add(time.Minute)
	f.send(exitDone, "the office has all up to 17:42, entry ")
	if got := f.office.Takes - before; got != 2 {
		t.Errorf("%d parcels for one new entry and one report", got)
	}
	if info, err := os.Stat(officeOf(f.log)); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("%v, %v", info.Mode(), err)
	}
}

// A cut is what a link does to what goes through it.
type cut struct {
	up, down int64          // bytes after which a connection ends; 0: never
	first    int            // only so many connections; 0: all
	turn     func(p []byte) // what becomes of what goes up
	draw     func() int64   // bytes after which the next connection ends, in place of up
	rate     int64          // bytes a second; 0: as many as there are
	moved    atomic.Int64   // bytes up
	mu       sync.Mutex     //
	n        int            // connections so far

}

// between puts a link before an address.
func (c *cut) between(t testing.TB, url string) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	var all sync.WaitGroup
	t.Cleanup(func() { l.Close(); all.Wait() })
	all.Go(func() {
		for {
			in, err := l.Accept()
			if err != nil {
				return
			}
			out, err := net.Dial("tcp", strings.TrimPrefix(url, "http://"))
			if err != nil {
				in.Close()
				continue
			}
			c.mu.Lock()
			c.n++
			breaks, up := c.first == 0 || c.n <= c.first, c.up
			if c.draw != nil {
				up = c.draw()
			}
			c.mu.Unlock()
			end := func() { in.Close(); out.Close() }
			all.Go(func() { defer end(); c.through(out, in, up, breaks, func(p []byte) { c.goes(p, breaks) }) })
			all.Go(func() { defer end(); c.through(in, out, c.down, breaks, nil) })
		}
	})
	return "http://" + l.Addr().String()
}

func (c *cut) through(to io.Writer, from io.Reader, most int64, breaks bool, turn func([]byte)) {
	if most > 0 && breaks {
		from = io.LimitReader(from, most-1)
	}
	p := make([]byte, 512)
	for {
		n, err := from.Read(p)
		if turn != nil {
			turn(p[:n])
		}
		if _, werr := to.Write(p[:n]); err != nil || werr != nil {
			return
		}
	}
}

// goes is what becomes of what goes up, after the time that it takes.
func (c *cut) goes(p []byte, breaks bool) {
	c.moved.Add(int64(len(p)))
	if c.rate > 0 {
		time.Sleep(time.Duration(len(p)) * time.Second / time.Duration(c.rate))
	}
	if c.turn != nil && breaks {
		c.turn(p)
	}
}

// count is how many connections there were.
func (c *cut) count() int {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.n
}

// A link that is cut again and again, on the way there or back, brings all in the end,
// and nothing twice.
func TestSendOverALinkThatIsCut(t *testing.T) {
	for name, c := range map[string]*cut{
		"after 3 kB":                    {up: 3000},
		"after 5 kB":                    {up: 5000},
		"before the answer, four times": {down: 1, first: 4},
		"in the answer, four times":     {down: 100, first: 4},
		"at once, three times":          {up: 1, first: 3},
	} {
		t.Run(name, func(t *testing.T) {
			f := admitted(t)
			f.send(exitDone, "the office has all up to 17:40", "--to", c.between(t, f.url))
			f.holds(0)
			if kept, err := readOffice(f.log, f.run1(1).ID); err != nil || kept.Standing != office.Level {
				t.Errorf("the laptop takes itself for %q (%v)", kept.Standing, err)
			}
			if c.count() < 3 {
				t.Errorf("%d connections: nothing was cut", c.count())
			}
		})
	}
}

// Where a parcel came and its answer was lost, the next answer says that all is there: that
// the office has more than the part that was sent again is no sign of a log put back.
func TestSendAfterALostAnswer(t *testing.T) {
	f := admitted(t)
	key, err := laptopKey(f.e)
	if err != nil {
		t.Fatal(err)
	}
	s, err := newSending(context.Background(), f.log, key, wall(f.e))
	if err != nil {
		t.Fatal(err)
	}
	desk, posts := office.Signing(f.office, f.key), 0
	err = s.bring(context.Background(), func(ctx context.Context, p []byte) (office.Answer, error) {
		a, err := desk.Take(ctx, p)
		if posts++; err == nil && posts%2 == 1 { // to what was only asked, and to all
			err = fmt.Errorf("%w: in the answer", wire.ErrLink)
		}
		return a, err
	})
	if err != nil || s.kept.Standing != office.Level || posts != 4 {
		t.Errorf("%v; after %d parcels the laptop takes itself for %q", err, posts, s.kept.Standing)
	}
	f.holds(0)
}

// A link that is lost is tried again and again, one that nothing comes about on three
// times: each of these is waited for long.
func TestSendTriesWhatStandsStillThreeTimes(t *testing.T) {
	for _, c := range []struct {
		err   error
		tries int
	}{
		{errors.Join(wire.ErrLink, wire.ErrStalled), 3},
		{wire.ErrAway, 3},
		{wire.ErrLink, 15},
		{office.ErrParcel, 15},
		{wire.ErrCertificate, 1},
	} {
		f := admitted(t)
		key, err := laptopKey(f.e)
		if err != nil {
			t.Fatal(err)
		}
		s, err := newSending(context.Background(), f.log, key, wall(f.e))
		if err != nil {
			t.Fatal(err)
		}
		tries := 0
		err = s.bring(context.Background(), func(context.Context, []byte) (office.Answer, error) {
			tries++
			return office.Answer{}, c.err
		})
		if !errors.Is(err, c.err) || tries != c.tries {
			t.Errorf("%v: %v after %d tries, want %d", c.err, err, tries, c.tries)
		}
	}
}

// What was cut off for good is sent on from there the next time.
func TestSendGoesOnWhereItEnded(t *testing.T) {
	f := admitted(t)
	ctx, stop := context.WithCancel(context.Background())
	key, err := laptopKey(f.e)
	if err != nil {
		t.Fatal(err)
	}
	s, err := newSending(ctx, f.log, key, wall(f.e))
	if err != nil {
		t.Fatal(err)
	}
	whole, posts := office.Signing(f.office, f.key), 0
	err = s.bring(ctx, func(ctx context.Context, parcel []byte) (office.Answer, error) {
		switch posts++; {
		case posts > 1 && posts < 7: // halves it
			return office.Answer{}, wire.ErrLink
		case posts < 9:
			return whole.Take(ctx, parcel)
		}
		_, err := whole.Take(ctx, parcel) // it is taken, and that is never heard
		stop()
		return office.Answer{}, errors.Join(err, wire.ErrLink)
	})
	id := f.run1(1).ID
	part := len(f.office.Lines(id, 0))
	kept, _ := readOffice(f.log, id)
	if err == nil || part == 0 || kept.receipt().Entries == 0 || int(kept.receipt().Entries) >= part || part >= int(s.entries) {
		t.Fatalf("%v; %d of %d entries, a receipt over %d", err, part, s.entries, kept.receipt().Entries)
	}
	f.send(exitDone, "the office has all", "--to", f.url)
	f.holds(0)
}

// A link on which nothing gets through is said in a line, and nothing is kept of it.
func TestSendWithoutALink(t *testing.T) {
	f := admitted(t)
	f.send(exitFindings, "there is no way to the office", "--to", "http://127.0.0.1:1")
	f.send(exitFindings, "the office does not answer", "--to", (&cut{up: 1}).between(t, f.url))
	if _, err := os.Stat(officeOf(f.log)); err == nil {
		t.Error("an office is kept that never answered")
	}
	f.send(exitUsage, "would be spoken to in the open", "--to", "http://office.invalid")
	f.send(exitUsage, "neither an address such as", "--to", "office.invalid")
	f.send(exitUsage, "to which office?")
}

// A bit that is turned on the way is found by the office; the parcel is sent anew.
func TestSendWithABitTurned(t *testing.T) {
	f := admitted(t)
	seen := 0
	c := &cut{first: 1, turn: func(p []byte) {
		if seen++; seen == 4 && len(p) > 0 { // behind the head of the request
			p[len(p)/2] ^= 1
		}
	}}
	f.send(exitDone, "the office has all", "--to", c.between(t, f.url))
	f.holds(0)
	if seen < 4 {
		t.Error("no bit was turned")
	}
}

// copyLog puts the log as it is elsewhere, as an image of a laptop would be.
func (f *firm) copyLog() (back func()) {
	f.t.Helper()
	files, err := filepath.Glob(f.log + "*")
	if err != nil {
		f.t.Fatal(err)
	}
	was := map[string][]byte{}
	for _, file := range files {
		if was[file], err = os.ReadFile(file); err != nil {
			f.t.Fatal(err)
		}
	}
	return func() {
		f.t.Helper()
		now, err := filepath.Glob(f.log + "*")
		if err != nil {
			f.t.Fatal(err)
		}
		for _, file := range now {
			if err := os.Remove(file); err != nil {
				f.t.Fatal(err)
			}
		}
		for file, data := range was {
			if err := os.WriteFile(file, data, 0o600); err != nil {
				f.t.Fatal(err)
			}
		}
	}
}

// An office that was put back to yesterday asks for what it lost, and gets it.
func TestSendToAnOfficeOfYesterday(t *testing.T) {
	f := admitted(t)
	f.send(exitDone, "the office has all", "--to", f.url)
	yesterday := f.office.Copy()
	for i := range 5 {
		f.note(fmt.Sprint("today ", i))
		f.send(exitDone, "the office has all")
	}
	f.office = yesterday
	f.note("one more")
	f.send(exitDone, "the office has all", "--to", listens(t, yesterday, f.key))
	f.holds(0)
	f.office = &officetest.Office{Now: yesterday.Now} // and one that lost everything
	if err := f.office.Admit(f.public()); err != nil {
		t.Fatal(err)
	}
	f.send(exitDone, "the office has all", "--to", listens(t, f.office, f.key))
	f.holds(0)
	f.office = &officetest.Office{Now: yesterday.Now, MostWait: 100} // and one that does not know the laptop any more
	f.send(exitFindings, "does not know this laptop's key yet", "--to", listens(t, f.office, f.key))
	if err := f.office.Admit(f.public()); err != nil {
		t.Fatal(err)
	}
	f.holds(0) // what is said to be kept there is there, whatever an earlier receipt says
}

// A laptop that was set up anew from an older copy is behind, and is told so; once it has
// gone on by itself both courses are kept, each whole.
func TestSendFromALaptopSetUpAnew(t *testing.T) {
	for name, keeps := range map[string]bool{"with its receipt of then": true, "without any": false} {
		t.Run(name, func(t *testing.T) {
			f := admitted(t)
			f.send(exitDone, "the office has all", "--to", f.url)
			back := f.copyLog()
			then := f.run1(1).Entries
			for i := range 3 {
				f.note(fmt.Sprint("before it fell into the trench ", i))
			}
			f.send(exitDone, "the office has all")
			long := f.run1(1)
			back()
			if !keeps {
				if err := os.Remove(officeOf(f.log)); err != nil {
					t.Fatal(err)
				}
			}
			f.send(exitFindings, fmt.Sprintf("the office has more of this log than this laptop, %d entries to %d: it was set up anew, or its log put back; write no weld before coolhold office hand-back %s", then+3, then, long.ID), "--to", f.url)
			for i := range 2 {
				f.note(fmt.Sprint("after it ", i))
				f.send(exitFindings, fmt.Sprintf("went on in two ways from entry %d:", then+1))
				f.holds(1)
			}
			if got := f.office.Lines(long.ID, 0); len(got) != len(long.Lines) || !bytes.Equal(got[len(got)-1], long.Lines[len(got)-1]) {
				t.Errorf("of the first course %d entries are held, it had %d", len(got), len(long.Lines))
			}
		})
	}
}

// Another log in the file's place is another log: it is sent from its beginning.
func TestSendAnotherLogOfThatName(t *testing.T) {
	f := admitted(t)
	f.send(exitDone, "the office has all", "--to", f.url)
	first := f.run1(1).ID
	for _, ending := range []string{"", ".journal", ".beat"} {
		if err := os.Remove(f.log + ending); err != nil && !os.IsNotExist(err) {
			t.Fatal(err)
		}
	}
	l, err := store.Create(f.log, store.NewLog{Tag: "QT"})
	if err != nil {
		t.Fatal(err)
	}
	f.send(exitFindings, "nothing is recorded yet")
	addNote(t, f.e, l, "of another laptop")
	f.send(exitDone, "entry 1")
	f.holds(0)
	if len(f.office.Lines(first, 0)) == 0 {
		t.Error("the first log is gone")
	}
}

// An office that signs with another key than the first time is not believed, until
// somebody says that it may.
func TestSendToAnOfficeWithAnotherKey(t *testing.T) {
	f := admitted(t)
	f.send(exitDone, "the office has all", "--to", f.url)
	was, err := os.ReadFile(officeOf(f.log))
	if err != nil {
		t.Fatal(err)
	}
	f.key = newOfficeKey(t)
	other := listens(t, f.office, f.key)
	f.note("new")
	for _, args := range [][]string{{}, {"--trust", newOfficeKey(t).Public()}, {"--trust", "nonsense"}} {
		code, says := exitFindings, map[bool]string{true: "this is another office than before", false: "and --trust names"}[len(args) == 0]
		if len(args) > 0 && args[1] == "nonsense" {
			code, says = exitUsage, "not a whole public key"
		}
		f.send(code, says, append(args, "--to", other)...)
		if now, err := os.ReadFile(officeOf(f.log)); err != nil || !bytes.Equal(now, was) {
			t.Fatalf("what is kept became %s (%v)", now, err)
		}
	}
	f.send(exitDone, "the office has all", "--to", other, "--trust", f.key.Public())
	f.send(exitDone, "the office has all") // kept from now on
	f.holds(0)
}

// A receipt that is of nothing that this laptop has is not believed.
func TestSendToAnOfficeThatLies(t *testing.T) {
	f := admitted(t)
	o := &liar{Office: f.office}
	key, err := laptopKey(f.e)
	if err != nil {
		t.Fatal(err)
	}
	for _, lie := range []func(*office.Receipt){
		func(r *office.Receipt) { r.Root[0] ^= 1 },
		func(r *office.Receipt) { r.Log = strings.Repeat("ab", 16) },
		func(r *office.Receipt) { r.Entries-- },
		func(r *office.Receipt) { r.Entries++ },
	} {
		o.lie = lie
		s, err := newSending(context.Background(), f.log, key, wall(f.e))
		if err == nil {
			err = s.bring(context.Background(), office.Signing(o, f.key).Take)
		}
		if _, serr := os.Stat(officeOf(f.log)); err == nil || serr == nil {
			t.Errorf("%v; it is kept: %v", err, serr == nil)
		}
	}
}

// An office that asks for the same again and again is told no more; a log in whose stead
// another was put while it was sent is not sent on.
func TestSendEndsWhereNothingComesOfIt(t *testing.T) {
	f := admitted(t)
	other := newFirm(t)
	other.log = filepath.Join(filepath.Dir(other.log), "second.coolhold")
	if got := other.run("demo", "--keep", other.log, "--no-screen", "--tag", "QT"); got.code != exitDone {
		t.Fatalf("%+v", got)
	}
	key, err := laptopKey(f.e)
	if err != nil {
		t.Fatal(err)
	}
	for says, once := range map[string]func(){
		"asks again and again": func() {},
		"is another log than a moment ago": func() {
			for _, end := range []string{"", ".journal"} {
				data, err := os.ReadFile(other.log + end)
				if err == nil {
					err = os.WriteFile(f.log+end, data, 0o600)
				}
				if err != nil {
					t.Fatal(err)
				}
			}
		},
	} {
		back, asked := f.copyLog(), 0
		s, err := newSending(context.Background(), f.log, key, wall(f.e))
		if err == nil {
			err = s.bring(context.Background(), func(context.Context, []byte) (office.Answer, error) {
				if asked++; asked > 100 {
					return office.Answer{}, errors.New("it does not end")
				}
				once()
				return office.Answer{Standing: office.Ahead, From: 1}, nil
			})
		}
		if err == nil || !strings.Contains(err.Error(), says) || asked > mostAsked+1 {
			t.Errorf("after %d answers: %v, want %q", asked, err, says)
		}
		back()
	}
}

// A log that was set up anew from before what waits at the office is asked about anew.
func TestSendLessThanWaits(t *testing.T) {
	f := newFirm(t)
	back := f.copyLog()
	f.note("before it fell into the trench")
	f.send(exitFindings, "does not know", "--to", f.url)
	kept, err := os.ReadFile(officeOf(f.log))
	if err != nil {
		t.Fatal(err)
	}
	back()
	if err := os.WriteFile(officeOf(f.log), kept, 0o600); err != nil {
		t.Fatal(err)
	}
	f.send(exitFindings, "does not know")
	if err := f.office.Admit(f.public()); err != nil {
		t.Fatal(err)
	}
	f.send(exitFindings, "has more of this log than this laptop")
}

type liar struct {
	*officetest.Office
	lie func(*office.Receipt)
}

func (l *liar) Take(ctx context.Context, p []byte) (office.Answer, office.Receipt, error) {
	a, r, err := l.Office.Take(ctx, p)
	l.lie(&r)
	return a, r, err
}

// What waits is bounded; then the laptop is told, and the key that is to be admitted.
func TestSendToAnOfficeThatIsFull(t *testing.T) {
	f := newFirm(t)
	f.office.MostWait = 0
	f.send(exitFindings, "too much is waiting to be admitted: let it admit "+f.public(), "--to", f.url)
}

// --none ends what the board sends by itself, and forgets nothing else.
func TestSendNone(t *testing.T) {
	f := admitted(t)
	f.send(exitFindings, "no office is named", "--none")
	f.send(exitDone, "the office has all", "--to", f.url)
	f.send(exitUsage, "--none goes alone", "--none", "--to", f.url)
	f.send(exitDone, "nothing more is sent to "+f.url, "--none")
	f.send(exitUsage, "to which office?")
	before := f.office.Takes
	f.send(exitDone, "the office has all", "--to", f.url)
	if f.office.Takes != before+1 {
		t.Errorf("%d parcels where one says it", f.office.Takes-before)
	}
}
