package desk

import (
	"slices"
	"strings"
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
	"coolhold/logbook/history"
	"coolhold/logbook/plan"
	"coolhold/tui/shell"
)

func (b *bench) circuit(label string) func(shell.Env) shell.Screen {
	return func(env shell.Env) shell.Screen { return newCircuit(env.Joint(label)) }
}

// seqs are the numbers of the entries on a circuit, as shown.
func (b *bench) seqs(label string) []uint64 {
	b.t.Helper()
	var out []uint64
	for _, m := range history.Of(b.log.Memory.Book, b.site().ID, about(b.joint(label))) {
		out = append(out, m.Seq)
	}
	return out
}

// entriesOn are the numbers of the entries that name one of these joints.
func (b *bench) entriesOn(labels ...string) []uint64 {
	var out []uint64
	for _, e := range b.log.Entries {
		if slices.Contains(labels, e.Joint) {
			out = append(out, e.Seq)
		}
	}
	return out
}

func TestACircuitHoldsEveryEntryOfBothLegsOnce(t *testing.T) {
	b := onBench(t)
	for _, label := range []string{"1A", "1B"} {
		if got, want := b.seqs(label), b.entriesOn("1A", "1B"); !slices.Equal(got, want) {
			t.Errorf("from %s: entries %v, want %v", label, got, want)
		}
	}
	if got, want := b.seqs("FG"), b.entriesOn("FG"); !slices.Equal(got, want) {
		t.Errorf("a header joint: entries %v, want %v", got, want)
	}
	b.does(acts.AddJoint(b.head("Ona Brill"), plan.Joint{Label: "B-1A", Chamber: "B", Circuit: 1, Leg: "A"}, "another chamber"))
	if got, want := b.seqs("1A"), b.entriesOn("1A", "1B"); !slices.Equal(got, want) {
		t.Errorf("with a circuit 1 in another chamber: entries %v, want %v", got, want)
	}
	for label, shows := range map[string][]string{
		"1A": {"Circuit 1, chamber A: 1A, 1B", "Sun 8 Mar 2026", "1B KM-0007: corrected batch of the coil", "(Tam Velding)"},
		"3B": {"Circuit 3, chamber A: 3A, 3B", "3A KM-0003: cut out: lead pulled off"},
		"4B": {"Circuit 4, chamber A: 4A, 4B", "(Hedda Roan, foreman)"},
	} {
		whole := b.whole(b.circuit(label))
		for _, want := range shows {
			if !strings.Contains(whole, want) {
				t.Errorf("%q is not shown:\n%s", want, whole)
			}
		}
	}
}

// A weld that was logged at the wrong joint belongs to the story of both
// circuits; two that were taken for each other in one circuit stand there once.
func TestAMovedWeldStandsInBothCircuits(t *testing.T) {
	b := onBench(t)
	wrong := b.joint("1B").Stands
	had := b.entriesOn("1A", "1B")
	b.does(acts.MoveWeld(b.head("Hedda Roan"), wrong, "3B", "read the wrong stub", false))
	if got := b.seqs("1A"); !slices.Equal(got, append(had, uint64(len(b.log.Entries)))) {
		t.Errorf("circuit 1 shows %v, want %v and the move", got, had)
	}
	whole := b.whole(b.circuit("3A"))
	if !strings.Contains(whole, "3B "+wrong+": fusion started") || !strings.Contains(whole, "read the wrong stub") {
		t.Errorf("circuit 3 does not show %s:\n%s", wrong, whole)
	}
	b = onBench(t)
	b.does(acts.MoveWeld(b.head("Hedda Roan"), b.joint("1A").Stands, "1B", "taken for each other", true))
	if got, want := b.seqs("1A"), b.entriesOn("1A", "1B"); !slices.Equal(got, want) {
		t.Errorf("a swap shows %v, want %v", got, want)
	}
}

func TestWhatConcernsTheCircuitFromTheSite(t *testing.T) {
	b := onBench(t)
	h := func() acts.Head { return b.head("Hedda Roan") }
	happened := func(e logbook.Happened, joint string) { e.On = "2026-03-09"; b.does(acts.Happen(h(), joint, e)) }
	happened(logbook.Happened{What: logbook.PressureLost, Text: "whole site"}, "")
	happened(logbook.Happened{What: logbook.DugUp, Chamber: "A", Text: "whole chamber"}, "")
	happened(logbook.Happened{What: logbook.DugUp, Chamber: "A", Circuit: 1, Text: "only one"}, "")
	happened(logbook.Happened{What: logbook.Repaired, Text: "only the leg"}, "3B")
	b.does(crew.Raw(h(), "", "", logbook.Covered{Section: "chamber A", Missing: []string{"5B"}}))
	b.does(crew.Raw(h(), "", "", logbook.Covered{Section: "run A/FG"}))
	for label, want := range map[string]string{
		"1A": "whole site, whole chamber, only one, chamber A covered",
		"3A": "whole site, whole chamber, only the leg, chamber A covered",
		"FG": "whole site, whole chamber, chamber A covered",
		"E1": "whole site, run A/FG covered",
	} {
		whole := b.whole(b.circuit(label))
		var got []string
		for _, text := range []string{"whole site", "whole chamber", "only one", "only the leg", "chamber A covered", "run A/FG covered"} {
			if n := strings.Count(whole, text); n == 1 {
				got = append(got, text)
			} else if n > 1 {
				t.Errorf("%s: %q stands there %d times", label, text, n)
			}
		}
		if strings.Join(got, ", ") != want {
			t.Errorf("%s shows %v, want %s", label, got, want)
		}
	}
}

func TestALaterEventByKeys(t *testing.T) {
	for _, size := range [][2]int{{60, 20}, {80, 24}} {
		b := onBench(t)
		b.show(size[0], size[1], b.circuit("4A"))
		b.sees("4A KM-0005: accepted: KM-0005: ", "Sun 8 Mar 2026,", "earlier: ↑")
		b.keys("1", "enter")
		b.sees("press a digit")
		b.keys("1")
		b.text("next week")
		b.sees("is no date; write it like 2026-03-09")
		b.text("2026-03-10")
		b.sees("2026-03-10 has not come yet")
		b.text("2026-03-09")
		b.keys("enter")
		b.sees("nothing is taken for granted")
		b.text("0.4 bar overnight, wet ground at the lid")
		b.keys("enter")
		b.sees("nothing is taken for granted")
		b.text("Nils \x1b[31mOrmond")
		b.sees("2026-03-09: pressure lost, circuit 4, chamber A: 0.4 bar overnight")
		want := logbook.Happened{What: logbook.PressureLost, On: "2026-03-09", Chamber: "A", Circuit: 4, Text: "0.4 bar overnight, wet ground at the lid"}
		if got := b.last(); got != want {
			t.Errorf("stored as %+v", got)
		}
		b.keys("pgup")
		b.lacks("pressure lost")
		b.sees("later: ↓")
		for range 30 {
			b.keys("pgup")
		}
		b.sees("4A: joint 4A planned")
		b.lacks("earlier: ↑")
		for range 30 {
			b.keys("pgdown")
		}
		b.sees("pressure lost")
		b.keys("esc")
		b.sees("below")
	}
}

// On a joint of no circuit the event is the joint's own.
func TestALaterEventOnAJoint(t *testing.T) {
	b := onBench(t)
	b.show(80, 24, b.circuit("FG"))
	b.keys("1", "3")
	b.text("2026-03-08")
	b.text("new coupler")
	b.text("Nils Ormond")
	b.sees("FG: 2026-03-08: repaired: new coupler (Nils Ormond)")
	if e := b.log.Newest(); e.Joint != "FG" || e.By != "Nils Ormond" {
		t.Errorf("stored as %+v", e)
	}
}

func TestEscapesInAStoryDoNotAct(t *testing.T) {
	b := onBench(t)
	b.does(acts.Happen(b.head("Nils\x1b]0;x\x07"), "", logbook.Happened{What: logbook.OtherEvent, On: "2026-03-09", Text: "\x1b[2Jgone\u202e"}))
	b.show(80, 24, b.circuit("3A"))
	b.sees("other: ·[2Jgone· (Nils·]0;x·)")
	if strings.ContainsAny(b.m.View(), "\x1b\x07\u202e") {
		t.Errorf("an escape is drawn: %q", b.m.View())
	}
}
