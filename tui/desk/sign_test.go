package desk

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/bubbletea"
	"pgregory.net/rapid"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
	"coolhold/tui/shell"
)

const benchSunday = "2026-03-08"

func signSunday(env shell.Env) shell.Screen { return newSign(env, benchSunday) }

// ackFG is what the example's one open fail acknowledges: it, and that its weld
// still stands.
var ackFG = []string{
	"KM-0008: disturbed 4 min after fusion, before its cooling time was over: digger touched the header pipe",
	"KM-0008 failed and still stands in joint FG",
}

// tells are the findings that a day's signature acknowledges, in words.
func tells(b logbook.DaySigned) (out []string) {
	for _, a := range b.Acks {
		out = append(out, audit.Tell(a))
	}
	return out
}

func TestADayIsSignedByName(t *testing.T) {
	for _, size := range [][2]int{{60, 20}, {80, 24}} {
		b := onBench(t)
		b.outside.SealDay = func(h acts.Head, log shell.Log, day string) (string, error) {
			last := b.last()
			if s, ok := last.(logbook.DaySigned); !ok || s.Day != day || h.By != "Hedda Roan" || h.Site != b.site().ID {
				t.Errorf("sealed by %q for %s after %+v", h.By, day, last)
			}
			return "sealed: 1f2e \x1b[2J", nil
		}
		b.show(size[0], size[1], signSunday)
		b.sees("Sign Sun 8 Mar 2026", "9 welds: 4 clear, 1 accepted, 2 query, 1 fail, 1 cut out", "Open: 8.", "Signing settles nothing")
		b.keys("1") // nothing is acknowledged before it was shown
		b.sees("Open: 8.")
		b.keys("enter")
		b.sees("Open fails 1 and 2 of 2", "disturbed 4 min after fusion", "failed and still stands in joint FG", "To do: cut it out", "KM-0008 in joint FG, Sun 8 Mar 2026, by Tam Velding")
		b.keys("enter")
		b.sees("this fail is answered by its digit", "Open fails 1 and 2 of 2")
		b.pass(time.Second)
		b.keys("1")
		b.sees("Every open fail was shown")
		b.keys("1", "enter", "enter")
		b.sees("signed by (name)", "nothing is taken for granted", "Signing also seals the log with this laptop's key", "on first use")
		b.text("Hedda Roan")
		if got, ok := b.last().(logbook.DaySigned); !ok || got.Day != benchSunday || got.Open != 6 || !slices.Equal(tells(got), ackFG) {
			t.Errorf("stored as %+v", got)
		}
		b.sees("sealed: 1f2e ·[2J", "Signed by Hedda Roan on 9 Mar 2026 09:00: 2 open fails acknowledged, 6 other findings open.", "Open: 8.")
	}
}

func TestALaterSignatureStandsBesideTheFirst(t *testing.T) {
	b := onBench(t)
	b.does(crew.Raw(b.head("Nils \x1b[1mOrmond"), "", "", logbook.DaySigned{Day: benchSunday}))
	b.does(crew.Raw(b.head("Nils Ormond"), "", "", logbook.DaySigned{Day: "2026-03-07"}))
	b.show(80, 24, signSunday)
	b.sees("Signed by Nils ·[1mOrmond on 9 Mar 2026 09:00: 0 open fails acknowledged", "This day is signed. Sign it again?", "Esc leave it as signed")
	b.keys("enter")
	b.sees("this day is signed; 1 signs it again", "This day is signed.")
	b.keys("1")
	b.lacks("Sign it again?")
	b.keys("enter")
	b.sees("I have seen this", "Esc leave it as signed")
	b.pass(time.Second)
	b.keys("1", "enter")
	b.text("Hedda Roan")
	b.sees("Signed by Nils", "Signed by Hedda Roan", "signed; a seal is not available here")
	if strings.Count(b.frame(), "Signed by") != 2 {
		t.Errorf("a signature of another day is shown:\n%s", b.frame())
	}
}

// One key sees one fail: a key that bounces does not see the next.
func TestFailsAreSeenOneByOne(t *testing.T) {
	b := onBench(t)
	flat := logbook.Look{When: logbook.LookRound, Indicators: []string{logbook.Flat}, Felt: "moves"}
	b.does(acts.ReadLook(b.head("Ona Brill"), b.joint("1A").Stands, flat))
	b.show(80, 24, signSunday)
	b.keys("enter")
	b.sees("Open fails 1 and 2 of 5", "indicator flat", "still stands in joint 1A")
	b.keys("1")
	b.sees("Open fails 1 and 2 of 5", "that was quick")
	b.pass(time.Second)
	b.keys("1", "1", "1")
	b.sees("Open fail 3 of 5", "loose when felt")
	b.pass(time.Second)
	b.keys("left", "enter")
	b.sees("Open fails 1 and 2 of 5") // taken back
	for range 3 {
		b.pass(time.Second)
		b.keys("1")
	}
	b.sees("Every open fail was shown")
}

// A fail that does not fit is read to its end before it is answered.
func TestALongFailIsReadToItsEnd(t *testing.T) {
	b := onBench(t)
	b.does(acts.Disturb(b.head("Ona Brill"), b.joint("2B").Stands, 1, "", strings.Repeat("a long story of a digger ", 30)+"END"))
	b.show(60, 20, func(env shell.Env) shell.Screen { return newSign(env, "2026-03-09") })
	b.keys("enter")
	b.pass(time.Second)
	b.sees("Open fails 1 and 2 of 4", "a long story", "more: ↓")
	b.keys("1")
	b.sees("Open fails 1 and 2 of 4", "first read it to its end")
	for range 5 {
		b.keys("pgdown")
	}
	b.sees("END", "1 I have seen this")
	b.keys("1")
	b.sees("Open fails 3 and 4 of 4")
}

// A fail that comes up while the name is asked for is shown before anything is
// signed.
func TestAFailThatComesUpMeanwhile(t *testing.T) {
	b := onBench(t)
	b.show(80, 24, signSunday)
	b.keys("enter")
	b.pass(time.Second)
	b.keys("1", "enter")
	b.does(acts.ReadLook(b.head("Ona Brill"), b.joint("1A").Stands, logbook.Look{When: logbook.LookRound, Indicators: []string{logbook.Flat}}))
	b.pass(time.Second)
	before := len(b.log.Entries)
	b.text("Hedda Roan")
	b.sees("not signed: 1 open fail to be seen first", "Open fails 1 and 2 of 4", "indicator flat")
	if len(b.log.Entries) != before {
		t.Error("it was signed all the same")
	}
}

// What was seen is the facts as they were: when they change it is shown again.
func TestAFailWhoseFactsChangeIsShownAgain(t *testing.T) {
	b := onBench(t)
	b.show(80, 24, signSunday)
	b.keys("enter")
	b.pass(time.Second)
	b.keys("1")
	b.sees("Every open fail was shown")
	b.does(acts.Correct(b.head("Tam Velding"), "KM-0008", "disturbed", "2", "misread the watch"))
	b.pass(time.Second)
	b.sees("Open fails 1 and 2 of 2", "disturbed 2 min after fusion")
	b.keys("1")
	b.sees("this is another fail", "disturbed 2 min after fusion")
	b.pass(time.Second)
	b.keys("1", "enter")
	b.text("Hedda Roan")
	s, ok := b.last().(logbook.DaySigned)
	if !ok || len(s.Acks) != 2 || !strings.Contains(tells(s)[0], "disturbed 2 min") {
		t.Errorf("stored as %+v", b.last())
	}
}

// A day is not signed for what a later day left open; a later one is signed for
// what still stands from before.
func TestADaySpeaksOfItselfAndBefore(t *testing.T) {
	b := onBench(t)
	today := b.joint("2B").Stands
	b.does(acts.Disturb(b.head("Ona Brill"), today, 1, "", "kicked"))
	b.show(80, 24, signSunday)
	b.sees("Open: 8.")
	b.lacks("kicked")
	b.show(80, 24, func(env shell.Env) shell.Screen { return newSign(env, "2026-03-09") })
	b.sees("1 weld: 1 fail", "kicked", "KM-0008")
	b.keys("enter")
	b.sees("Open fails 1 and 2 of 4")
	b.show(80, 24, func(env shell.Env) shell.Screen { return newSign(env, "2026-03-07") })
	b.sees("no weld")
	b.lacks("KM-0008")
	b.keys("enter")
	b.sees("signed by (name)") // nothing failed, so nothing is to be seen
}

func TestAFailedSignatureSealsNothing(t *testing.T) {
	b := onBench(t)
	sealed := 0
	b.outside.SealDay = func(acts.Head, shell.Log, string) (string, error) { sealed++; return "", nil }
	b.show(80, 24, signSunday)
	b.keys("enter")
	b.pass(time.Second)
	b.keys("1", "enter")
	b.log.Fail = errors.New("no space left on device")
	b.text("Hedda Roan")
	b.sees("NOT STORED: day signed")
	b.lacks("Signed by")
	if sealed != 0 {
		t.Error("a day that is not signed was sealed")
	}
}

func TestEscapesInAFailDoNotAct(t *testing.T) {
	b := onBench(t)
	b.does(acts.Disturb(b.head("Ona Brill"), b.joint("2B").Stands, 1, "", "\x1b[2Jkicked"))
	b.show(60, 20, func(env shell.Env) shell.Screen { return newSign(env, "2026-03-09\x1b[2J") })
	for range 3 {
		if strings.Contains(b.m.View(), "\x1b") {
			t.Fatalf("an escape is drawn: %q", b.m.View())
		}
		b.keys("enter")
		b.sees("·[2J")
	}
}

// Whatever keys come, at whatever size, the frame fits and nothing panics.
func TestAnyKeysOnTheDesk(t *testing.T) {
	keys := []string{"enter", "esc", "up", "down", "left", "pgup", "pgdown", "0", "1", "2", "3", "a", "é", "o"}
	sizes := [][2]int{{80, 24}, {60, 20}, {200, 60}, {30, 8}, {1, 1}}
	log := onBench(t).log
	screens := []func(shell.Env) shell.Screen{
		newCover, signSunday,
		func(env shell.Env) shell.Screen { return newCircuit(env.Joint("3A")) },
		func(env shell.Env) shell.Screen { return newCircuit(env.Joint("no such")) },
	}
	rapid.Check(t, func(rt *rapid.T) {
		b := &bench{t: t, log: &crew.Store{Memory: log.Clone()}, now: benchMonday}
		size := rapid.SampledFrom(sizes).Draw(rt, "size")
		b.show(size[0], size[1], rapid.SampledFrom(screens).Draw(rt, "screen"))
		for range rapid.IntRange(1, 25).Draw(rt, "keys") {
			switch k := rapid.SampledFrom(append(keys, "pass", "resize")).Draw(rt, "key"); k {
			case "pass":
				b.pass(time.Second)
			case "resize":
				size = rapid.SampledFrom(sizes).Draw(rt, "new size")
				b.w, b.h = size[0], size[1]
				b.send(tea.WindowSizeMsg{Width: b.w, Height: b.h})
			default:
				b.keys(k)
			}
		}
	})
}
