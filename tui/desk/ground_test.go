package desk

import (
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
	"coolhold/tui/shell"
)

// wantsLooked makes the plan want these lines looked at; its figures are invented.
func (b *bench) wantsLooked(welding []string, cover ...string) {
	b.t.Helper()
	opened := b.site().SiteOpened
	opened.BeforeWelding, opened.BeforeCover, opened.LeastCoverM = welding, cover, 0.9
	opened.Chambers = []logbook.Chamber{{Name: "A", LidM: new(102.5)}}
	b.does(crew.Raw(b.head("Hedda Roan"), "", "", opened))
}

// Only what the plan wants is asked; a card, then figures, and nothing has a default. What
// is recorded as it should be is not asked again.
func TestLookedAtOnTheScreen(t *testing.T) {
	b := onBench(t)
	b.wantsLooked(nil, logbook.GroundBed, logbook.GroundCover, logbook.GroundTape, logbook.GroundCapped, logbook.GroundLid, logbook.GroundOffsets, logbook.GroundRoutes, logbook.GroundPhoto)
	b.show(80, 24, newCover)
	b.sees("to be looked at before the cover: bed, cover level, marker tape, ducts capped, lid height, offsets, loop routes, photo")
	b.keys("enter")
	b.sees("4 looked at", "5 seen earlier", "Esc back")
	b.lacks("6 look back")
	b.keys("4")
	b.sees("Looked at chamber A", "1 bed as it should be", "2 cover over the pipe as it should be", "5 lid at its height as set out", "0 all as it should be")
	b.lacks("before welding", "ducts lagged", "chamber at its level")
	b.keys("enter") // no default
	b.sees("0 says that it is so")
	b.keys("3") // the tape
	b.sees("marker tape laid")
	b.lacks("none there") // of a tape there is no such answer
	b.keys("3")           // could not look
	b.keys("4")
	b.sees("3 none there")
	b.keys("3", "0")
	b.sees("cover over the pipe as measured (m; at least 0.9 m)")
	b.keys("enter")
	b.sees("type it first: nothing is taken for granted here")
	b.text("1.05")
	b.sees("height of the lid as measured (m; set out 102.5 m)")
	b.text("102.51")
	b.sees("offset 1 from a fixed point")
	b.text("4.35")
	b.text("house corner to lid")
	b.text("7.1")
	b.text("gate post to lid")
	b.sees("loop routes, in words")
	b.text("1 and 2 to the hedge")
	b.keys("enter") // no remark
	b.text("Hedda Roan")
	b.sees("Covering chamber A", "to be looked at before the cover: marker tape (could not look), photo", "6 look back")
	want := logbook.GroundChecked{
		Section: "chamber A", Stage: logbook.GroundCovered, Routes: "1 and 2 to the hedge",
		Seen: []logbook.GroundSeen{
			{Line: logbook.GroundBed, State: logbook.Yes}, {Line: logbook.GroundCover, State: logbook.Yes, M: new(1.05)}, {Line: logbook.GroundTape, State: logbook.Unseen},
			{Line: logbook.GroundCapped, State: logbook.NotFitted}, {Line: logbook.GroundLid, State: logbook.Yes, M: new(102.51)},
		},
		Offsets: []logbook.Offset{{From: "house corner to lid", M: 4.35}, {From: "gate post to lid", M: 7.1}},
	}
	if got := b.last(); !reflect.DeepEqual(got, want) {
		t.Errorf("stored as\n%+v\nwant\n%+v", got, want)
	}
	b.keys("pgdown", "pgdown", "pgdown")
	b.sees("before the cover, photo: none")
	b.sees("every look, the newest first:", "9 Mar 09:00 Hedda Roan: chamber A looked at before the cover: bed: yes; cover level: yes, 1.05 m; marker tape: could not look")
	b.keys("up", "up", "up", "up")
	b.sees("before the cover, lid height: yes, 102.51 m, set out 102.5 m (Hedda Roan, 9 Mar 09:00)")
	b.keys("4")
	b.sees("1 marker tape laid", "0 all as it should be")
	b.lacks("bed as it should be", "offset 1")
	b.keys("0", "enter")
	b.text("Hedda Roan")
	b.sees("to be looked at before the cover: photo")
	b.keys("4") // a photo is enclosed, not answered: all else is asked once more
	b.sees("1 bed as it should be")
	b.keys("esc")
	b.does(acts.Enclose(b.head("Hedda Roan"), "", "", logbook.Enclosed{File: "a.jpg", Hash: strings.Repeat("a", 64), Bytes: 9, What: "photo", Part: "chamber A", Taken: &logbook.Taken{None: logbook.TimeAbsent}}))
	b.pass(time.Second)
	b.lacks("to be looked at")
}

// Where the plan wants nothing looked at, what was seen is recorded all the same: every line
// is asked, and after it nothing is wanted.
func TestLookedAtUnasked(t *testing.T) {
	b := onBench(t)
	b.show(80, 24, newCover)
	b.keys("enter")
	b.sees("4 looked at", "5 seen earlier")
	b.keys("4")
	b.sees("Looked at chamber A", "1 before welding", "2 before the cover")
	b.keys("2")
	b.sees("1 bed as it should be", "5 ducts lagged", "6 chamber at its level", "7 lid at its height")
	b.sees("The plan wants nothing looked at here")
	for _, line := range []string{"2", "3", "4", "5", "6", "7"} {
		b.keys(line)
		b.sees("could not look")
		b.keys(map[bool]string{true: "4", false: "3"}[line == "4" || line == "5"]) // of a duct there may be none
	}
	b.keys("0") // the bed
	b.keys("enter")
	b.sees("offset 1 from a fixed point", "type it first: nothing is taken for granted here")
	b.keys("down")
	b.text("not known") // the routes
	b.keys("enter")
	b.text("Hedda Roan")
	b.sees("Covering chamber A", "6 look back")
	b.lacks("to be looked at")
	var seen []logbook.GroundSeen
	for _, l := range logbook.GroundAsked {
		seen = append(seen, logbook.GroundSeen{Line: l.Code, State: logbook.Unseen})
	}
	seen[0].State = logbook.Yes
	if got, want := b.last(), (logbook.GroundChecked{Section: "chamber A", Stage: logbook.GroundCovered, Seen: seen}); !reflect.DeepEqual(got, want) {
		t.Errorf("stored as\n%+v\nwant\n%+v", got, want)
	}
}

// A chamber is looked at before it is welded, and which it was is asked; what was seen
// earlier is stated with its time, and a look said by mistake is taken back.
func TestLookedAtEarlierAndTakenBack(t *testing.T) {
	b := onBench(t)
	b.wantsLooked([]string{logbook.GroundLid}, logbook.GroundBed)
	b.show(60, 20, newCover)
	b.keys("enter")
	b.sees("welding began with", "Esc back")
	b.keys("5")
	b.sees("1 before welding", "2 before the cover")
	b.keys("enter")
	b.sees("press a digit")
	b.keys("1")
	b.text("2026-03-10 08:00")
	b.sees("still to come")
	b.text("2026-03-01 08:00")
	b.sees("1 lid at its height as set out")
	b.keys("1", "2") // not so
	b.keys("0")
	b.text("102.7")
	b.keys("enter")
	b.text("Hedda Roan")
	b.sees("not as it should be: lid height 102.7 m, set out 102.5 m")
	b.lacks("welding began with")
	if got := b.last().(logbook.GroundChecked); got.Stage != logbook.GroundWelding || got.Stated == nil || got.Stated.Format("2006-01-02 15:04") != "2026-03-01 08:00" || got.Seen[0].State != logbook.No {
		t.Errorf("stored as %+v", got)
	}
	b.keys("6")
	b.sees("the newest look was said by mistake", "lid height: no, 102.7 m", "Both stay in the log")
	b.text("it was chamber B")
	b.text("Hedda Roan")
	b.sees("welding began with")
	b.lacks("not as it should be: lid height")
	b.keys(slices.Repeat([]string{"pgdown"}, 12)...)
	b.sees("lid height: no, 102.7 m", "taken back by Hedda Roan: it was chamber B")
	if got := b.last(); !reflect.DeepEqual(got, logbook.GroundWithdrawn{Section: "chamber A", Why: "it was chamber B"}) {
		t.Errorf("stored as %+v", got)
	}
}

// What nobody measured or knows stays open and stores nothing.
func TestWhatNobodyMeasuredStaysOpen(t *testing.T) {
	b := onBench(t)
	b.wantsLooked(nil, logbook.GroundCover, logbook.GroundOffsets, logbook.GroundRoutes)
	b.show(80, 24, newCover)
	b.keys("enter", "4", "0", " ", " ", "1", "enter", "enter")
	b.text("Hedda Roan")
	b.sees("to be looked at before the cover: cover level (its figure was not read), offsets, loop routes")
	if got := b.last().(logbook.GroundChecked); len(got.Offsets) > 0 || got.Routes != "" || got.Seen[0].M != nil {
		t.Errorf("stored as %+v", got)
	}
}

// Covered without being looked at: it is asked first, the cover names it, and it is a query
// until the look is entered with its time.
func TestCoveredWithoutOnTheScreen(t *testing.T) {
	b := onBench(t)
	b.fuse("E1", 60, true)
	b.wantsLooked(nil, logbook.GroundBed)
	b.show(80, 24, newCover)
	b.keys("down", "enter")
	b.sees("Covering run A/FG", "to be looked at before the cover: bed")
	b.keys("1")
	b.sees("not all is settled there", "to be looked at before the cover: bed")
	b.keys("1")
	b.text("Hedda Roan")
	b.sees("covered on 9 Mar 2026 by Hedda Roan", "not looked at then, or not as it should be: bed", "covered on 9 Mar 09:00, and this was not recorded before: bed")
	if got := b.last(); !reflect.DeepEqual(got, logbook.Covered{Section: "run A/FG", NotLooked: []string{logbook.GroundBed}}) {
		t.Errorf("stored as %+v", got)
	}
	b.keys("5")
	b.text("08:30")
	b.keys("0", "enter")
	b.text("Hedda Roan")
	b.sees("covered on 9 Mar 2026 by Hedda Roan")
	b.lacks("not recorded before")
}

// Who accepts what was not looked at is told which lines the one answer settles.
func TestOneAnswerToSeveralLines(t *testing.T) {
	b := onBench(t)
	b.wantsLooked(nil, logbook.GroundBed, logbook.GroundTape)
	b.does(crew.Raw(b.head("Ona Brill"), "", "", logbook.Covered{Section: "run A/FG"}))
	b.show(80, 24, func(shell.Env) shell.Screen { return site{} })
	b.keys("1")
	b.sees("Accept a query on the site", "run A/FG: one answer settles all of it: bed, marker tape.")
	b.show(80, 24, func(shell.Env) shell.Screen { return newOpen("") })
	b.sees("this was not recorded before: bed, marker tape")
}

// Where another must accept it, what was typed stays, and another name is typed there.
func TestARefusedAcceptanceKeepsItsReason(t *testing.T) {
	b := onBench(t)
	b.does(acts.CheckGround(b.head("Nils Ormond"), logbook.GroundChecked{Section: "chamber A", Stage: logbook.GroundCovered, Seen: []logbook.GroundSeen{{Line: logbook.GroundBed, State: logbook.No}}}))
	b.show(80, 24, func(shell.Env) shell.Screen { return site{} })
	b.keys("1")
	b.text("Nils Ormond")
	b.text("laid on bags of sand")
	b.sees("Accept a query on the site", "Nils Ormond looked there: somebody else")
	b.keys("left")
	b.text("Hedda Roan")
	b.keys("enter") // the reason stands
	if got := b.last().(logbook.Reviewed); got.Why != "laid on bags of sand" || b.log.Newest().By != "Hedda Roan" {
		t.Errorf("stored as %+v by %s", got, b.log.Newest().By)
	}
}
