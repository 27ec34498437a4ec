//go:build unix

package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"coolhold/logbook/store/soaktest"
)

// Two boards and the verbs on one log at once: what each was told is stored is
// there once, ids are unique, every copy is sound, every register is made.
func TestSoakTogether(t *testing.T) {
	t.Parallel()
	s := soaktest.New(t, "two boards and the verbs on one log", "one welds, one writes notes, three loops of verbs beside them; the log read by other code")
	n := soaktest.Rounds(t, 24, 1000, 10_000)
	p := &striker{s: s, random: rand.New(rand.NewPCG(20260309, 4))}
	p.newSite(t)
	for p.welds == 0 {
		p.strikes(false)
	}
	v := &verbs{t: t, s: s, log: p.log, env: p.env, dir: t.TempDir()}
	writer := &reporter{s: s, crew: &crew{t: t, log: p.log, env: p.env, clock: p.clock}}
	writer.opensPage()
	var all sync.WaitGroup
	for i := range 3 {
		all.Go(func() { v.loop(i, n) })
	}
	all.Go(func() {
		for range n / 4 {
			writer.notes()
		}
	})
	for range n / 4 {
		if !p.atWork() {
			break
		}
		p.strikes(false)
	}
	all.Wait()
	p.kill()
	writer.kill()
	p.survives()
	v.told(append(v.texts, writer.texts...), p.acked)
	s.Counts("%d answers, %d notes by key, %d by verb, %d copies, %d registers, %d refused as locked", p.answers, len(writer.texts), len(v.texts), v.copies, v.registers, v.locked)
	if p.answers == 0 || len(writer.texts) == 0 || len(v.texts) == 0 || v.copies == 0 || v.registers == 0 {
		t.Error("somebody did nothing")
	}
}

// verbs are loops of verbs on one log.
type verbs struct {
	t        *testing.T
	s        *soaktest.Soak
	log, dir string
	env      []string

	mu                        sync.Mutex
	texts                     []string
	copies, registers, locked int
}

// loop runs a third of n verbs, most of which store a text.
func (v *verbs) loop(which, n int) {
	for i := range n / 3 {
		v.s.Ran()
		text := fmt.Sprintf("verb %d-%06d.", which, i)
		switch i % 8 {
		case 3:
			v.copy(filepath.Join(v.dir, fmt.Sprint(which, "-", i, ".coolhold")))
		case 5:
			if v.asks("register", "--format", "csv") {
				v.mu.Lock()
				v.registers++
				v.mu.Unlock()
			}
		case 7:
			v.asks("verify")
		default:
			if v.asks("note", "HF-0001", text, "--by", "Ada") {
				v.mu.Lock()
				v.texts = append(v.texts, text)
				v.mu.Unlock()
			}
		}
	}
}

// asks runs a verb, which may find the log locked and nothing else.
func (v *verbs) asks(args ...string) bool {
	got := limited(v.t, v.env, append(args, "--log", v.log)...)
	if got.code == exitDone {
		return true
	}
	v.mu.Lock()
	defer v.mu.Unlock()
	if v.locked++; got.code != exitLog || !strings.Contains(got.err, "in use") {
		v.s.Lies("%s: %v", args, got)
	}
	return false
}

func (v *verbs) copy(to string) {
	if !v.asks("copy", to) {
		return
	}
	if _, err := readPlain(to); err != nil {
		v.s.Loses("a copy: %v", err)
	}
	v.mu.Lock()
	v.copies++
	v.mu.Unlock()
	_ = os.Remove(to)
	_ = os.Remove(to + ".journal")
}

// told holds what somebody was told against the entries.
func (v *verbs) told(texts []string, lines [][]byte) {
	ids, all := map[string]bool{}, bytes.Join(lines, nil)
	for _, line := range lines {
		var e struct{ ID string }
		if err := json.Unmarshal(line, &e); err != nil || e.ID == "" || ids[e.ID] {
			v.s.Lies("the id %q stands twice (%v)", e.ID, err)
		}
		ids[e.ID] = true
	}
	for _, text := range texts {
		if n := bytes.Count(all, []byte(text)); n != 1 {
			v.s.Loses("%q was told as stored and is there %d times", text, n)
		}
	}
}

// A reporter writes notes on the board, by keys.
type reporter struct {
	*crew
	s     *soaktest.Soak
	texts []string
}

// opensPage goes to the page of the first weld.
func (w *reporter) opensPage() {
	w.opens()
	w.press("9")
	w.waitFor("Enter read")
	w.press("enter")
	w.waitFor("4 note")
}

// notes writes one, and waits until the board says that nothing waits to be stored.
func (w *reporter) notes() {
	w.t.Helper()
	text := fmt.Sprintf("key %06d.", len(w.texts))
	w.press("4")
	w.answers("your name", "1", "enter")
	w.asked("note")
	w.typeText(text)
	w.press("enter")
	if err := w.await(func() bool { return strings.Contains(w.screen(), "4 note") && allStored(w.screen()) }, patience); err != nil {
		w.t.Errorf("a note: %v", err)
		return
	}
	w.texts = append(w.texts, text)
}
