package main

import (
	"os"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"coolhold/logbook/office"
	"coolhold/tui/shell"
)

// links is a link to the firm's office that can be lost and come back, with its address.
func (f *firm) links() (c *cut, url string) {
	f.t.Helper()
	c = &cut{up: 1, first: -1}
	return c, c.between(f.t, f.url)
}

// lost cuts or mends a link, for all that comes.
func (c *cut) lost(yes bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.first = -1; yes {
		c.first = 1 << 30
	}
}

// A deskBoard is the board's sending on a firm's laptop, without its screens.
type deskBoard struct {
	*firm
	b   *boardOffice
	log shell.Log
}

func (f *firm) board() *deskBoard {
	f.t.Helper()
	l, err := openLog(f.log)
	if err != nil {
		f.t.Fatal(err)
	}
	d := &deskBoard{f, newBoardOffice(f.e), l}
	f.t.Cleanup(d.b.end)
	return d
}

// looks is a look of the board, and what it says once that is over.
func (d *deskBoard) looks() shell.OfficeState {
	d.b.follow(d.log)
	d.b.all.Wait()
	return d.b.last.says
}

// after lets so long pass and wants the board to say something then.
func (d *deskBoard) after(pause time.Duration, says string, warn bool) {
	d.t.Helper()
	d.now = d.now.Add(pause)
	if got := d.looks(); got.Says != says || got.Warn != warn {
		d.t.Fatalf("after %v it says %+v, want %q", pause, got, says)
	}
}

func (f *firm) takes() int { return f.office.Takes }

// The board sends what is stored a little later, and where there is nothing new only now
// and then; without an office it says and sends nothing.
func TestTheBoardSendsByItself(t *testing.T) {
	f := admitted(t)
	d := f.board()
	d.after(0, "", false)
	d.after(time.Hour, "", false)
	if f.takes() > 0 {
		t.Fatal("something was sent to nobody")
	}
	f.send(exitDone, "the office has all up to 18:40", "--to", f.url)
	d.after(time.Minute, "office has all up to 18:41", false)
	before := f.takes()
	f.note("one")
	d.after(time.Minute, "office lacks 1 entry after 18:41", false)
	f.note("two")
	d.after(sendSoon-time.Second, "office lacks 2 entries after 18:41", false)
	if f.takes() != before {
		t.Fatal("one answer was sent by itself")
	}
	d.after(time.Second, "office has all up to 18:42", false)
	f.holds(0)
	d.after(sendMost-time.Second, "office has all up to 18:42", false)
	if got := f.takes() - before; got != 1 {
		t.Fatalf("%d parcels for two entries", got)
	}
	d.after(time.Second, "office has all up to 19:12", false)
	f.send(exitDone, "nothing more is sent", "--none")
	f.note("for nobody")
	before = f.takes()
	d.after(time.Second, "", false)
	d.after(time.Hour, "", false)
	if f.takes() != before {
		t.Error("it is sent to an office that is named no more")
	}
}

// Where there is no link it is tried ever less, and within a minute once something is
// stored; all is there when the link is.
func TestTheBoardTriesEverLess(t *testing.T) {
	f := admitted(t)
	link, url := f.links()
	f.send(exitDone, "the office has all up to 17:40", "--to", url)
	link.lost(true)
	f.note("without a link")
	d := f.board()
	var tried []int
	for minute := range 60 {
		before := link.count()
		d.after(0, "office lacks 1 entry after 17:40, no link", false)
		if link.count() > before {
			tried = append(tried, minute)
		}
		d.now = d.now.Add(time.Minute)
	}
	want := []int{0, 1, 3, 7, 15, 23, 31, 39, 47, 55}
	if len(tried) != len(want) {
		t.Fatalf("tried after %v minutes, want %v", tried, want)
	}
	for i := range want {
		if tried[i] != want[i] {
			t.Fatalf("tried after %v minutes, want %v", tried, want)
		}
	}
	link.lost(false)
	d.after(time.Minute, "office lacks 1 entry after 17:40, no link", false)
	f.note("and one more")
	d.after(0, "office lacks 2 entries after 17:40, no link", false)
	d.after(sendSoon, "office has all up to 18:41", false)
	f.holds(0)

	// What somebody sends by hand ends it that the last try came to nothing.
	link.lost(true)
	f.note("and a last one")
	d.after(0, "office lacks 1 entry after 18:41", false)
	d.after(sendSoon, "office lacks 1 entry after 18:41, no link", false)
	link.lost(false)
	f.send(exitDone, "the office has all")
	d.after(0, "office has all up to 18:41", false)
}

// What the office says of a laptop is on the board too, in short, and what a person must
// see to is a warning.
func TestTheBoardSaysHowTheOfficeStands(t *testing.T) {
	f := newFirm(t)
	d := f.board()
	f.send(exitFindings, "does not know", "--to", f.url)
	n := entries(f.run1(1).Entries)
	d.after(0, "office keeps "+n+" and waits: it must admit this laptop's key", false)
	if err := f.office.Admit(f.public()); err != nil {
		t.Fatal(err)
	}
	d.after(sendFirst, "office has all up to 17:41", false)
	back := f.copyLog()
	f.note("before it fell into the trench")
	f.send(exitDone, "the office has all")
	back()
	d = f.board()
	d.after(0, "office has MORE of this log than this laptop: weld nothing, coolhold send says what to do", true)
	f.note("after it")
	d.after(0, "office has MORE of this log than this laptop: weld nothing, coolhold send says what to do", true)
	parted := f.run1(1).Entries
	d.after(sendSoon, "office has all up to 17:41; this log went on in two ways from entry "+strings.TrimSuffix(entries(parted), " entries")+": coolhold send says more", true)
	f.holds(1)
	if err := os.Remove(f.env["COOLHOLD_KEY"]); err != nil {
		t.Fatal(err)
	}
	d.after(sendMost, "office has all up to 17:41; this log went on in two ways from entry "+strings.TrimSuffix(entries(parted), " entries")+": coolhold send says more, the last try failed: coolhold send says why", true)
	if _, err := os.Stat(f.env["COOLHOLD_KEY"]); err == nil {
		t.Error("the board made a key")
	}
	if err := os.WriteFile(officeOf(f.log), []byte("nonsense"), 0o600); err != nil {
		t.Fatal(err)
	}
	d.after(0, "what is kept of the office cannot be read: coolhold send says why", true)
}

// A laptop whose key was withdrawn is told so, and by whom: what it recorded since waits,
// and what the office had is not sent again.
func TestALaptopWhoseKeyWasWithdrawn(t *testing.T) {
	f := admitted(t)
	f.send(exitDone, "the office has all up to 17:40", "--to", f.url)
	n := f.run1(1).Entries
	f.office.Ended = &office.Withdrawal{At: f.now.Wall, By: "Ida Invented"}
	f.now = f.now.Add(time.Minute)
	f.send(exitFindings, "the office WITHDREW this laptop's key 17:40 (Ida Invented): ")
	f.note("after it")
	d := f.board()
	says := "office WITHDREW this laptop's key 17:40 (Ida Invented): what is sent waits there"
	before := f.takes()
	d.after(0, says, true)
	if got := f.takes() - before; got != 1 {
		t.Errorf("%d parcels for one entry", got)
	}
	if k, err := readOffice(f.log, f.run1(1).ID); err != nil || k.receipt().Entries != n || k.Waiting != n+1 {
		t.Errorf("kept is %+v, %v", k, err)
	}
	if err := os.Remove(officeOf(f.log)); err != nil {
		t.Fatal(err)
	}
	f.send(exitFindings, "the office WITHDREW this laptop's key 17:40 (Ida Invented): ", "--to", f.url)
	if got := f.office.Waits(); !slices.Equal(got, []int64{n + 1, n + 1}) {
		t.Errorf("parcels wait from the entries %d, there is one new entry, %d", got, n+1)
	}
	if err := f.office.Admit(f.public()); err != nil {
		t.Fatal(err)
	}
	f.send(exitDone, "the office has all up to 17:41")
	f.holds(0)
	d.after(0, "office has all up to 17:41", false)
}

// A receipt that lies beside a log that it is not of proves nothing: until the office was
// asked nothing is said to be there.
func TestTheBoardSaysNothingOfAnotherCourse(t *testing.T) {
	f := admitted(t)
	link, url := f.links()
	f.send(exitDone, "the office has all", "--to", url)
	back := f.copyLog()
	f.note("before it fell into the trench")
	f.send(exitDone, "the office has all")
	kept, err := os.ReadFile(officeOf(f.log))
	if err != nil {
		t.Fatal(err)
	}
	back()
	f.note("after it")
	f.note("and more")
	if err := os.WriteFile(officeOf(f.log), kept, 0o600); err != nil {
		t.Fatal(err)
	}
	link.lost(true)
	f.board().after(0, "office is asked what it has of this log, no link", false)
}

// Who ends the sending while a parcel is on its way has ended it.
func TestSendNoneWhileTheBoardSends(t *testing.T) {
	f := admitted(t)
	f.send(exitDone, "the office has all", "--to", f.url)
	var ended atomic.Int64 // pieces that went by, counted on the link's own goroutine
	c := &cut{turn: func([]byte) {
		if ended.Add(1) == 1 {
			f.send(exitDone, "nothing more is sent", "--none")
		}
	}}
	kept, err := readOffice(f.log, f.run1(1).ID)
	if err != nil {
		t.Fatal(err)
	}
	kept.Office = c.between(t, f.url)
	if err := kept.write(f.log); err != nil {
		t.Fatal(err)
	}
	f.note("on its way")
	before := f.takes()
	d := f.board()
	d.after(0, "", false)
	if now, err := readOffice(f.log, kept.Log); err != nil || now.Office != "" || ended.Load() == 0 || f.takes() == before {
		t.Fatalf("the office is %q (%v); %d pieces went, %d parcels came", now.Office, err, ended.Load(), f.takes()-before)
	}
	d.after(time.Hour, "", false)
}
