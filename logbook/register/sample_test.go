package register

import (
	"encoding/json"
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/acts"
)

// A seal as a log would give it: invented, like its key.
var sampleSeal = &logbook.Sealed{
	Entries: 31, Root: "q83vEjRWeJCrze8SNFZ4kKvN7xI0VniQq83vEjRWeJA=",
	Note: "coolhold seal 1\nlog 00112233445566778899aabbccddeeff KM\nentries 31\nroot q83vEjRWeJCrze8SNFZ4kKvN7xI0VniQq83vEjRWeJA=\n" +
		"claimed 2026-03-09T17:00:00+01:00\nby Ada Invented\n\n— KM-laptop AzX3m0invented0signature0AAAAnotarealone0AzX3m0invented0signature0AAAAnotarealone0==\n",
}

// Worked is a site with everything on it that a register shows: welds of each
// verdict, a cut-out and its replacement, corrections, enclosures, covers,
// signatures, events.
func worked(t testing.TB) *crew {
	c := onSite(t)
	first := c.made("1A", "W-1")
	c.do(acts.ReadLook(c.h, first, look(logbook.LookRound)))
	cut := c.made("1B", "007")
	c.do(acts.OrderCut(c.h, cut, "moved by the digger"), acts.Cut(c.h, cut, "moved by the digger"))
	c.made("1B", "007")
	c.made("TG", "W-2")
	c.do(acts.Correct(c.h, first, logbook.FieldAmbient, "8.5", "misread the thermometer"))
	c.do(acts.Correct(c.h, first, logbook.ItemBatch, "W-11", "the bag was found"))
	c.do(
		acts.Enclose(c.h, "", "", logbook.Enclosed{File: "coil-0042.pdf", Hash: "0f1e2d3c4b5a69788796a5b4c3d2e1f00f1e2d3c4b5a69788796a5b4c3d2e1f0", Bytes: 4711, What: "certificate of the coil"}),
		acts.Enclose(c.h, first, "", logbook.Enclosed{File: "1A.jpg", Hash: "ff1e2d3c4b5a69788796a5b4c3d2e1f00f1e2d3c4b5a69788796a5b4c3d2e1f0", Bytes: 99, What: "photo"}),
		says(c.h, logbook.Covered{Section: "chamber A", Missing: []string{"1B"}}),
		says(c.h, logbook.DaySigned{Day: "2026-03-09", Acks: []logbook.Judged{{Key: "fail-not-cut-out:1B", Digest: "d", Facts: json.RawMessage(`"KM-0002"`)}}, Open: 2}),
		acts.Happen(c.h, "1A", logbook.Happened{What: logbook.DugUp, On: "2026-03-09", Circuit: 1, Text: "a fence post beside it"}),
	)
	return c
}

// says is an entry of the site as it stands in the log, judged by nobody.
func says(h acts.Head, b logbook.Body) acts.Act {
	return func(logbook.Reader) ([]logbook.Draft, error) {
		return []logbook.Draft{{ID: h.ID, At: h.At, By: h.By, Site: h.Site, Body: b}}, nil
	}
}

// Sample is the report of that site, for tests from outside the package.
func Sample(t testing.TB) Report {
	rep := worked(t).report(Query{})
	rep.Logs[0].Seal = sampleSeal
	return rep
}

// Open is a site with welds that are not clear: one that failed, one in its
// hold, one given up, one in the walk, beside one that is clear.
func Open(t testing.TB) Report {
	c := onSite(t)
	c.made("1A", "W-1")
	moved := c.fused("1B")
	c.do(acts.Disturb(c.h, moved, 2, "the trench wall slid"))
	c.fused("TG")
	c.do(acts.AbandonWalk(c.h, c.begin("E1"), "rain"))
	c.begin("E1")
	return c.report(Query{})
}

// With is a site on which one weld was made with a hostile batch, and a note
// was written.
func With(t testing.TB, batch string) Report {
	c := onSite(t)
	id := c.made("1A", batch)
	c.do(acts.NoteOn(c.h, id, batch))
	return c.report(Query{})
}

// Many is a site with so many rows.
func Many(t testing.TB, rows int) Report {
	rep := worked(t).report(Query{})
	for len(rep.Rows) < rows {
		rep.Rows = append(rep.Rows, rep.Rows[:min(len(rep.Rows), rows-len(rep.Rows))]...)
	}
	return rep
}
