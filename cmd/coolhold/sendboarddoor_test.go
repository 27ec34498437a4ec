//go:build unix

package main

import (
	"strings"
	"sync"
	"testing"
	"time"
)

// opensBoard opens the board on the firm's laptop, at the firm's time.
func (f *firm) opensBoard(t *testing.T) (x *terminal, clock *heldClock) {
	t.Helper()
	clock = holdClock(t)
	clock.set(f.now)
	env := append(clock.env(), "COOLHOLD_THEME=", "COOLHOLD_LOG="+f.log, "COOLHOLD_KEY="+f.env["COOLHOLD_KEY"], "XDG_CONFIG_HOME="+t.TempDir(), keysEnv+"="+f.log+".scanning")
	x = openBoard(t, env)
	x.waitFor("joints open.")
	return x, clock
}

// rains records the weather, as a person does.
func (x *terminal) rains() {
	x.t.Helper()
	x.press("2")
	x.waitFor("▸ ")
	x.press("2", "1")
	x.waitFor("joints open.")
}

// The board sends while somebody works at it, and says how that stands; that the office
// is away stops nothing.
func TestTheOfficeOnTheBoard(t *testing.T) {
	t.Parallel()
	f := admitted(t)
	link, url := f.links()
	x, clock := f.opensBoard(t)
	if strings.Contains(x.screen(), "office") {
		t.Fatalf("without an office there is one:\n%s", x.screen())
	}
	f.send(exitDone, "the office has all up to 17:40", "--to", url)
	x.waitFor("office has all up to 17:40")
	x.press("?")
	x.waitFor("what it has of this log: now, office has")
	x.press("?")
	x.waitFor("joints open.")
	link.lost(true)
	before := f.run1(1).Entries
	x.rains()
	x.waitFor("office lacks ")
	if n := f.run1(1).Entries; n <= before {
		t.Fatalf("%d entries after %d: nothing was stored without a link", n, before)
	}
	clock.pass(sendSoon)
	x.waitFor("after 17:40, no link")
	link.lost(false)
	clock.pass(sendFirst)
	x.waitFor("office has all up to 17:41")
	f.holds(0)
	x.burst("\x03")
	if code := x.exitCode(); code != exitDone {
		t.Errorf("left with %d", code)
	}
}

// A board that is left while a parcel is on its way is left at once; what was on its way
// is neither lost nor said to be there, and is sent the next time.
func TestTheBoardIsLeftWhileItSends(t *testing.T) {
	t.Parallel()
	f := admitted(t)
	goesOn, on := make(chan struct{}), make(chan struct{})
	var once sync.Once
	c := &cut{first: -1, turn: func([]byte) { once.Do(func() { close(on) }); <-goesOn }}
	f.send(exitDone, "the office has all up to 17:40", "--to", c.between(t, f.url))
	f.note("on its way")
	before := f.run1(1)
	c.lost(true)
	x, _ := f.opensBoard(t)
	select {
	case <-on:
	case <-time.After(patience):
		t.Fatal("nothing was sent")
	}
	x.waitFor("office lacks 1 entry after 17:40")
	x.burst("\x03")
	if code := x.exitCode(); code != exitDone {
		t.Errorf("left with %d", code)
	}
	close(goesOn)
	after := f.run1(1)
	kept, err := readOffice(f.log, after.ID)
	if err != nil || after.Entries < before.Entries || kept.receipt().Entries >= before.Entries {
		t.Fatalf("%d entries of %d, a receipt over %d (%v)", after.Entries, before.Entries, kept.receipt().Entries, err)
	}
	f.send(exitDone, "the office has all")
	f.holds(0)
}
