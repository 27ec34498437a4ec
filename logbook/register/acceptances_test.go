package register

import (
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/audit"
)

// What took the facts of an acceptance away came after it: one that took the like away before,
// and one that took away something else, did not.
func TestWhatTookAnAcceptanceAway(t *testing.T) {
	at := func(hour int) logbook.Signature {
		return logbook.Signature{By: "Ada Invented", At: fusion.Stamp{Wall: time.Date(2026, 3, 9, hour, 0, 0, 0, time.UTC)}}
	}
	var w logbook.Weld
	w.ID = "KM-0001"
	for seq, field := range map[uint64]string{4: logbook.ItemFitting, 9: logbook.ItemBatch, 11: logbook.FieldOhms} {
		w.Corrections = append(w.Corrections, logbook.Corrected{Correction: logbook.Correction{Field: field}, Signature: at(int(seq))})
		w.Corrections[len(w.Corrections)-1].Seq = seq
	}
	rep := Report{Rows: []Row{{Weld: w}}}
	lapse := audit.Lapse{Review: logbook.Review{Seq: 6}, Weld: w.ID, Was: "KM-0001: indicator part"}
	removed := []audit.Removal{{Seq: 4, Found: []string{"indicator part"}}, {Seq: 9, Found: []string{"wire seen"}}, {Seq: 11, Changed: []audit.Differs{{Was: "indicator part", Now: "indicator flat"}}}}
	if through, since := rep.changedBy(lapse, removed); through != "a correction of "+logbook.NameOf(logbook.FieldOhms) || since.Hour() != 11 {
		t.Errorf("it went through %q at %v", through, since)
	}
	if through, since := rep.changedBy(lapse, removed[:2]); through != "" || !since.IsZero() {
		t.Errorf("it went through %q at %v", through, since)
	}
}
