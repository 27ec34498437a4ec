//go:build unix

package main

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"coolhold/logbook/store/soaktest"
)

// A striker strikes the keys of one weld after another, whatever screen stands
// there: killed at any moment it goes on where the board does.
type striker struct {
	*crew
	s      *soaktest.Soak
	random *rand.Rand
	joint  string
	cold   map[string]time.Time // when the hold of a joint is truly over, by the held clock
	acked  [][]byte             // the entries there were when last everything was shown as stored

	runs, answers, welds, holds, logs int
}

// A stroke is what a hand does where something is asked. One that is stored by
// itself says so: once the board goes on and stores no more, the journal is longer.
type stroke struct {
	sight  string // what stands on the screen
	keys   string // {port} and the like are filled in
	stores bool
	before func(*striker)
}

// strokes are tried in this order. The figures are those of crew_test.go; a
// reducer is welded at every port, a coupler at each header, an elbow outside.
var strokes = []stroke{
	{"▸ how the fusion ended", "1", true, (*striker).fused},
	{"What runs and what waits", "{fusing}", false, nil},
	{"fusion end not watched: →", "right", false, nil},
	{"wait for its end, and say how it ended", "right", false, nil}, // the crew has one unit
	{"▸ the held joint stays, by this work", "1", true, nil},
	{"▸ fitting, as printed on the bag", "enter", true, nil},
	{"▸ port this leg goes to", "{port}", true, nil},
	{"▸ batch of the fitting", "B enter", true, nil},
	{"▸ print on the pipe", "1", true, nil},
	{"▸ batch of the coil or pipe", "enter", true, nil},
	{"▸ batch of the chamber's stubs", "enter", true, nil},
	{"▸ position", "N enter", true, nil},
	{"▸ scraped with", "1", true, nil},
	{"0  all done", "0", false, nil},
	{"still 8.5 °C", "space", true, nil},
	{"▸ ambient temperature in", "8 . 5 enter", true, nil},
	{"▸ this bag prints", "1", true, nil},
	{"▸ the unit's time is", "1", false, nil},
	{"Enter: it is in the unit", "enter", false, nil},
	{"▸ seconds the unit's display shows", "{seconds} enter", false, nil},
	{"▸ volts", "1", true, nil},
	{"▸ resistance the unit shows", "{ohms} enter", true, nil},
	{"▸ start", "1", true, nil},
	{"▸ the joint after the break", "1", true, nil},
	{"▸ seconds the unit says it ran", "{seconds} enter", true, nil},
	{"▸ melt, wire, marks, in line", "0", false, nil},
	{"▸ both indicators", "1", true, nil},
	{"Write on the pipe:", "enter", false, nil},
	{"1  weld it", "1", true, nil},
}

// figures of the invented table valley.toml and of what the unit shows.
func (p *striker) fill(key string) []string {
	seconds, ohms := "40", "2.6"
	switch p.joint {
	case "FG", "TG":
		seconds, ohms = "84", "1.5"
	case "E1":
		seconds, ohms = "90", "1.4"
	}
	switch key {
	case "{fusing}": // where something is held besides, the unit is waited for
		if m := fusingRow.FindStringSubmatch(p.screen()); m != nil {
			return m[1:]
		}
		return []string{"enter"}
	case "{port}":
		if p.joint[1] == 'B' {
			return []string{string(p.joint[0] + 4)}
		}
		return []string{p.joint[:1]}
	case "{seconds}":
		return strings.Split(seconds, "")
	case "{ohms}":
		return strings.Split(ohms, "")
	}
	return []string{key}
}

// fused lets the fusion run out, and notes from when the joint may be moved: the
// answer that is struck now ends the fusion, unless one before it was stored.
func (p *striker) fused() {
	p.clock.pass(91 * time.Second)
	cool := 6 * time.Minute
	switch p.joint {
	case "FG", "TG":
		cool = 10 * time.Minute
	case "E1":
		cool = 11 * time.Minute
	}
	p.cold[p.joint] = p.clock.at.Wall.Add(cool)
}

// allStored tells whether the board says that nothing waits to be stored.
func allStored(screen string) bool { return !strings.Contains(screen, "storing ") }

var fusingRow = regexp.MustCompile(`(?m)(\d) +[A-Z0-9]+ +HF-\d+ +fus`)

var present = regexp.MustCompile(`(?m)^([A-Z0-9]+) +HF-\d+ `)

// fromBoard is what a hand does where nothing is asked: the joint that is proposed.
var fromBoard = stroke{"joints open.", "1", false, nil}

// strokeAt is what a screen asks for.
func strokeAt(screen string) (stroke, bool) {
	for _, s := range append(strokes, fromBoard) {
		if strings.Contains(screen, s.sight) {
			return s, true
		}
	}
	return stroke{}, false
}

// looking waits until a screen stands there that asks for something.
func (p *striker) looking() (screen string, next stroke) {
	p.t.Helper()
	err := p.await(func() (asks bool) {
		screen = p.screen()
		next, asks = strokeAt(screen)
		return asks
	}, patience)
	if err != nil {
		p.t.Fatalf("nothing is asked: %v", err)
	}
	if m := present.FindStringSubmatch(screen); m != nil {
		p.joint = m[1]
	}
	return screen, next
}

// wentOn tells whether something else than before is asked, and nothing waits to be stored.
func (p *striker) wentOn(from stroke) bool {
	screen := p.screen()
	now, asks := strokeAt(screen)
	return asks && now.sight != from.sight && allStored(screen)
}

// strikes does what is asked, and waits until the board has gone on and says that
// nothing waits to be stored, or kills it in the middle.
func (p *striker) strikes(killed bool) {
	p.t.Helper()
	_, next := p.looking()
	if next.before != nil {
		next.before(p)
	}
	was := len(p.acked)
	for _, k := range strings.Fields(next.keys) {
		p.press(p.fill(k)...)
	}
	if killed {
		for range p.random.IntN(400_000) { // it dies at another place each time
			_ = p.random.Uint64()
		}
		p.kill()
		return
	}
	if err := p.await(func() bool { return p.wentOn(next) }, patience); err != nil {
		p.t.Fatalf("after %q nothing came: %v", next.sight, err)
	}
	lines, err := plainJournal(p.log + ".journal")
	if err != nil {
		p.s.Loses("%v", err)
	}
	p.acked = lines
	if next.stores {
		p.answers++
		if len(lines) == was {
			p.s.Lies("%s: shown as stored, and the journal is as before", next.sight)
		}
	}
	if strings.Contains(next.sight, "Write on the pipe") {
		p.welds++
	}
}

// revives opens the board again, a while later or after a new start of the machine.
func (p *striker) revives() {
	p.t.Helper()
	p.survives()
	away := time.Duration(p.random.IntN(90_000)) * time.Millisecond
	if p.random.IntN(4) == 0 {
		at := p.clock.at
		at.Wall, at.Boot, at.BootID = at.Wall.Add(away), away/2, fmt.Sprint("boot-", p.s.Runs())
		p.clock.set(at)
	} else {
		p.clock.pass(away)
	}
	p.opens()
	p.holdsLast()
}

// survives holds the files of the killed program against what it had shown.
func (p *striker) survives() {
	log, err := readPlain(p.log)
	if err != nil {
		p.s.Loses("the log of a killed board: %v", err)
		return
	}
	if err := extends(log.lines, p.acked); err != nil {
		p.s.Loses("%v", err)
	}
	journal, err := plainJournal(p.log + ".journal")
	if err == nil {
		err = extends(log.lines, journal)
	}
	if err != nil {
		p.s.Loses("the journal of a killed board: %v", err)
	}
	begun := map[string]bool{}
	for _, line := range log.lines {
		var e struct{ Kind, Weld string }
		if err := json.Unmarshal(line, &e); err != nil {
			p.s.Loses("%s: %v", line, err)
		}
		if e.Kind == "weld begun" && begun[e.Weld] {
			p.s.Lies("the number %s was given twice", e.Weld)
		}
		begun[e.Weld] = begun[e.Weld] || e.Kind == "weld begun"
	}
	p.acked = log.lines
}

var holdShown = regexp.MustCompile(`(\w+) hold (?:(\d+):(\d\d)|over)`)

// holdsLast holds the times left on the screen against the truth.
func (p *striker) holdsLast() {
	p.t.Helper()
	for _, m := range holdShown.FindAllStringSubmatch(p.screen(), -1) {
		minutes, _ := strconv.Atoi(m[2])
		seconds, _ := strconv.Atoi(m[3])
		left := time.Duration(minutes)*time.Minute + time.Duration(seconds)*time.Second
		p.holds++
		if truly := p.cold[m[1]].Sub(p.clock.at.Wall); left < truly.Truncate(time.Second) {
			p.s.Lies("%s: %v left, truly %v", m[0], left, truly)
		}
	}
}

// A board that is killed at any moment of a walk, again and again: what it showed
// as stored is there, no number is given twice, no hold is shorter than the truth.
func TestSoakKilled(t *testing.T) {
	t.Parallel()
	s := soaktest.New(t, "board killed in a walk", "SIGKILL through a pseudo-terminal; bbolt, journal and RFC 6962 root read by other code")
	const hands = 4 // each with a board of its own: a hand waits most of its time
	strikers := make([]striker, hands)
	t.Run("hands", func(t *testing.T) {
		for i := range strikers {
			t.Run(strconv.Itoa(i), func(t *testing.T) {
				t.Parallel()
				p := &strikers[i]
				p.s, p.random = s, rand.New(rand.NewPCG(20260309, uint64(2+i)))
				for kills := soaktest.Rounds(t, 2, 125, 1250); p.runs < kills; p.logs++ {
					p.newSite(t)
					for p.runs < kills && p.atWork() {
						for left := p.some(); left > 0 && p.atWork(); left-- {
							p.strikes(false)
						}
						p.strikes(true)
						p.runs++
						s.Ran()
						p.revives()
					}
					p.kill()
				}
			})
		}
	})
	var all striker
	for _, p := range strikers {
		all.answers, all.welds, all.holds, all.logs = all.answers+p.answers, all.welds+p.welds, all.holds+p.holds, all.logs+p.logs
	}
	s.Counts("%d answers, %d welds, %d holds read, %d logs", all.answers, all.welds, all.holds, all.logs)
	if all.answers < s.Runs() || all.holds == 0 && s.Runs() > 100 {
		t.Error("the board was killed before it had done anything")
	}
}

// some is how often something is answered between two kills: few times, and now
// and then so often that a weld is finished.
func (p *striker) some() int {
	if p.random.IntN(6) == 0 {
		return 25
	}
	return p.random.IntN(9)
}

func (p *striker) newSite(t *testing.T) {
	p.site(t, filepath.Join(t.TempDir(), "site.coolhold"))
}

// site makes a site whose shift has begun, in a log of that name.
func (p *striker) site(t *testing.T, log string) {
	p.crew, p.cold = beginsShift(crewIn(t, holdClock(t), log, hillfoot, valley)), map[string]time.Time{}
	var err error
	if p.acked, err = plainJournal(p.log + ".journal"); err != nil {
		t.Fatal(err)
	}
}

// atWork tells whether more than one joint is still open.
func (p *striker) atWork() bool {
	screen, _ := p.looking()
	return !strings.Contains(screen, " 1 of 11 joints open") && !strings.Contains(screen, " 0 of 11 joints open")
}
