package tui

import (
	"testing"

	"coolhold/logbook"
)

// The coil is as last time on the same pipe alone: on another circuit it is asked, and
// that Enter gives another pipe's is said.
func TestTheCoilOfAnotherPipeIsAsked(t *testing.T) {
	m := onMeadow(t)
	m.upToStart("1A", "1")
	m.fuses()
	m.keys("enter")
	m.begins("2A")
	m.sees("batches as last time", "batch of the coil or pipe  asked next")
	m.keys("enter", "3", "1")
	m.sees("▸ batch of the coil or pipe", "Read it on this pipe: what Enter gives was read on another", "Enter: coil 7")
	m.text("coil 8")
	if a := m.answersOf()[logbook.ItemPipeBatch]; a.V != "coil 8" || a.How != logbook.Typed {
		t.Errorf("stored %+v", a)
	}
}
