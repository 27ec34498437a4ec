package ahead_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/crew"
	"coolhold/logbook/plan"
)

func order(c *crew.Crew, g ahead.OrderGiven) ahead.Order {
	c.T.Helper()
	o := ahead.OrderOf(c.Book, logbook.ShelfOf(c.Site()), c.H.Site, g, c.H.At, fusion.Stamp{})
	var left, rows []string
	for _, j := range ahead.OpenJoints(c.Book, c.H.Site) {
		left = append(left, j.Label)
	}
	for _, p := range o.Rows {
		rows = append(rows, p.Joint.Label)
	}
	slices.Sort(left)
	slices.Sort(rows)
	if !slices.Equal(left, rows) {
		c.T.Fatalf("open are %v, in the order %v", left, rows)
	}
	return o
}

// lines are the rows in short: joint, unit, and minutes:seconds from now to
// begin, fusion end and hold end.
func lines(c *crew.Crew, o ahead.Order) []string {
	from := func(t time.Time) string {
		d := t.Sub(c.H.At.Local())
		return fmt.Sprintf("%d:%02d", int(d.Minutes()), int(d.Seconds())%60)
	}
	var out []string
	for _, p := range o.Rows {
		if p.Why != "" {
			out = append(out, strings.TrimSpace(p.Joint.Label+" "+p.Weld)+": "+p.Why)
			continue
		}
		out = append(out, fmt.Sprintf("%s %s %s %s %s", p.Joint.Label, p.Unit, from(p.Start), from(p.Fused), from(p.Held)))
	}
	return out
}

func wantLines(c *crew.Crew, o ahead.Order, want ...string) {
	c.T.Helper()
	if got := lines(c, o); !slices.Equal(got, want) {
		c.T.Errorf("order\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

func wantAhead(c *crew.Crew, o ahead.Order, fused, held, test time.Duration) {
	c.T.Helper()
	now := c.H.At.Local()
	if !o.LastFusion.Equal(now.Add(fused)) || !o.LastHold.Equal(now.Add(held)) || !o.Test.Equal(now.Add(test)) {
		c.T.Errorf("last fusion in %v, last hold in %v, test in %v; want %v, %v, %v",
			o.LastFusion.Sub(now), o.LastHold.Sub(now), o.Test.Sub(now), fused, held, test)
	}
}

var nine = fusion.Celsius(9_00)

func minutes(m, s int) time.Duration {
	return time.Duration(m)*time.Minute + time.Duration(s)*time.Second
}

// Six joints and one unit, 10 min of preparation: by hand. 1A, 1B and E1 lie on
// one pipe, 2A and 2B on another. All work takes 64:40, and something must cool
// 6 min after it, so nothing ends before 70:40.
func TestOrderOfAWholeSite(t *testing.T) {
	c := crew.OnSite(t)
	o := order(c, ahead.OrderGiven{Units: 1, Prepare: 10 * time.Minute, Ambient: &nine})
	wantAhead(c, o, minutes(64, 40), minutes(70, 40), minutes(90, 40))
	at := map[string]int{}
	for i, p := range o.Rows {
		at[p.Joint.Label] = i
	}
	for _, low := range []string{"2A", "2B"} {
		if at[low] > at["1A"] || at[low] > at["1B"] {
			t.Errorf("the low row is not first: %q", lines(c, o))
		}
	}
	if first := lines(c, o)[0]; first != "2A CU-1 0:00 10:40 16:40" {
		t.Errorf("first comes %q", first)
	}
	if o.NoWait != nil || o.Without != nil || o.Lacks() != nil {
		t.Errorf("no wait for %q, without %q", o.NoWait, o.Without)
	}
	if got := o.Ahead(c.H.At, "pressure test"); got != "last fusion 09:05, last hold 09:11, pressure test from 09:31" {
		t.Errorf("ahead: %q", got)
	}
	if got := o.Ahead(c.H.At.Add(-24*time.Hour), "test"); got != "last fusion 9 Mar 09:05, last hold 9 Mar 09:11, test from 9 Mar 09:31" {
		t.Errorf("ahead, the day before: %q", got)
	}
	clamped := order(c, ahead.OrderGiven{Units: 1, Clamps: 1, Prepare: 10 * time.Minute, Ambient: &nine})
	if d := clamped.LastHold.Sub(c.H.At.Local()); d != minutes(103, 40) { // 64:40 and all cooling, 39 min
		t.Errorf("with one clamp set the last hold ends after %v", d)
	}
}

// What runs keeps its unit, pipe and clamp; the walk in hand comes first.
func TestOrderAmongWhatRuns(t *testing.T) {
	c := crew.OnSite(t)
	c.Do(acts.StrikeJoint(c.H, "E1", "not needed"))
	c.Fused("2A") // its pipe is held for 6 min
	id := c.Prepared("FG")
	c.Do(acts.StartFusion(c.H, id, 0)) // 80 s on CU-1, then 8 min
	c.Wait(20 * time.Second)
	o := order(c, ahead.OrderGiven{Units: 1, Prepare: 8 * time.Minute})
	wantLines(c, o, "2B CU-1 5:40 14:20 20:20", "1A CU-1 14:20 23:00 29:00", "1B CU-1 29:00 37:40 43:40")
	wantAhead(c, o, minutes(37, 40), minutes(43, 40), minutes(63, 40))

	c.Do(acts.BeginWeld(c.H, "2B", crew.Ada, "CU-2"))
	c.Wait(3 * time.Minute)
	o = order(c, ahead.OrderGiven{Prepare: 8 * time.Minute})
	wantLines(c, o, "2B CU-2 -3:00 5:40 11:40", "1A CU-1 5:40 14:20 20:20", "1B CU-1 20:20 29:00 35:00")
	if o.Rows[0].Weld == "" || o.Rows[1].Weld != "" {
		t.Errorf("the walk in hand is not told: %+v", o.Rows)
	}
	one := order(c, ahead.OrderGiven{Clamps: 1, Prepare: 8 * time.Minute}) // 2A holds 2:40, FG 6 min, 2B 11:40
	wantLines(c, one, "2B CU-2 -3:00 5:40 11:40", "1A CU-1 11:40 20:20 26:20", "1B CU-1 26:20 35:00 41:00")
}

// What is in hand counts as it was answered so far, each on its unit.
func TestOrderOfWhatIsInHand(t *testing.T) {
	c := crew.OnSite(t)
	for _, label := range []string{"2A", "2B", "1A", "1B"} {
		c.Do(acts.StrikeJoint(c.H, label, "not needed"))
	}
	c.Do(acts.AddJoint(c.H, plan.Joint{Label: "E2", Fitting: "elbow 40"}, "forgotten"))
	first := c.Begin("E2")
	c.Do(acts.AnswerStep(c.H, first, logbook.StepFitting, crew.Fitting("coupler 40", "W-1")), acts.ReadBag(c.H, first, true)) // a coupler after all
	c.Do(acts.AnswerStep(c.H, first, logbook.StepPrep, crew.Card()), acts.ReadAmbient(c.H, first, 2_00, logbook.Typed, nil))  // 44 s there
	c.Wait(5 * time.Minute)
	c.Begin("E1") // on the same unit
	g := ahead.OrderGiven{Prepare: 4 * time.Minute, Ambient: &nine}
	wantLines(c, order(c, g), "E2 CU-1 -5:00 0:44 6:44", "E1 CU-1 0:00 5:24 12:24", "FG CU-2 0:00 5:20 13:20")
	c.Wait(4 * time.Minute)
	wantLines(c, order(c, g), "E2 CU-1 -9:00 0:44 6:44", "E1 CU-1 -4:00 1:24 8:24", "FG CU-2 0:00 5:20 13:20")
}

// A fusion that is over and not answered for still has its hold before it; a
// hold that is over is in nobody's way.
func TestOrderWhenTimesAreOver(t *testing.T) {
	c := crew.OnSite(t)
	for _, label := range []string{"2A", "2B", "FG"} {
		c.Do(acts.StrikeJoint(c.H, label, "not needed"))
	}
	c.Do(acts.AddJoint(c.H, plan.Joint{Label: "E2", Fitting: "tee 40"}, "forgotten"))
	const last = "E2: its fitting is in no table"
	id := c.Prepared("1A")
	c.Do(acts.StartFusion(c.H, id, 0))
	c.Wait(41 * time.Second)
	held := func(label string) bool {
		_, is := ahead.PipeHeld(c.Book, c.Joint(label), c.H.At, fusion.Stamp{})
		return is
	}
	g := ahead.OrderGiven{Prepare: 4 * time.Minute}
	wantLines(c, order(c, g), "1B CU-1 6:00 10:40 16:40", "E1 CU-2 16:40 21:20 28:20", last)
	if !held("1B") {
		t.Error("the pipe of a fusion that nobody has answered for is free")
	}
	if j, _ := c.Offered(); j.Label != "E2" {
		t.Errorf("%s is offered on that pipe", j.Label)
	}
	c.Do(acts.EndFusion(c.H, id, logbook.FusionEnded{Outcome: logbook.Completed}))
	c.Wait(6 * time.Minute)
	wantLines(c, order(c, g), "1B CU-1 0:00 4:40 10:40", "E1 CU-2 10:40 15:20 22:20", last)
	if held("1B") {
		t.Error("a hold that is over holds the pipe")
	}
}

// A unit at work is not free, and a wait may count from the end of a fusion.
func TestOrderWithAUnitAtWork(t *testing.T) {
	c := crew.OnSite(t)
	for _, label := range []string{"2A", "2B", "1A", "1B"} {
		c.Do(acts.StrikeJoint(c.H, label, "not needed"))
	}
	id := c.Prepared("FG")
	c.Do(acts.StartFusion(c.H, id, 0)) // 80 s
	o := order(c, ahead.OrderGiven{Units: 1, Prepare: 4 * time.Minute})
	wantLines(c, o, "E1 CU-1 1:20 6:00 13:00")
	wantAhead(c, o, minutes(6, 0), minutes(13, 0), minutes(33, 0)) // 20 min after E1; FG 30 min after its fusion
	c.Do(acts.StrikeJoint(c.H, "E1", "not needed"))
	wantAhead(c, order(c, ahead.OrderGiven{}), minutes(1, 20), minutes(9, 20), minutes(31, 20))
}

// A wait that counts from the end of cooling begins only after the cooling that
// a running fusion still has before it.
func TestOrderWaitsForTheCoolingAhead(t *testing.T) {
	c := crew.OnSite(t)
	for _, label := range []string{"2A", "2B", "1A", "E1", "FG"} {
		c.Do(acts.StrikeJoint(c.H, label, "not needed"))
	}
	c.Do(acts.StartFusion(c.H, c.Prepared("1B"), 0)) // 40 s, 6 min of cooling, 20 min of wait
	wantAhead(c, order(c, ahead.OrderGiven{}), minutes(0, 40), minutes(6, 40), minutes(26, 40))
}

// Whatever was done, each open joint is in the order once, its times follow one
// another, and one is offered as long as one is open.
func TestOrderAfterRandomActs(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		c := crew.OnSite(t)
		for range rapid.IntRange(1, 40).Draw(rt, "acts") {
			c.Wait(time.Duration(rapid.IntRange(0, 300).Draw(rt, "seconds")) * time.Second)
			c.Act(rt)
		}
		o := order(c, ahead.OrderGiven{Clamps: rapid.IntRange(0, 3).Draw(rt, "clamps")})
		for _, p := range o.Rows {
			if timed := !p.Start.IsZero(); timed != (p.Why == "") || timed && (p.Fused.Before(p.Start) || p.Held.Before(p.Fused) || p.Held.After(o.LastHold) || p.Fused.After(o.LastFusion)) {
				rt.Fatalf("%+v in %+v", p, o)
			}
		}
		if _, ok := c.Offered(); ok != (len(o.Rows) > 0) {
			rt.Fatalf("offered: %v, open: %d", ok, len(o.Rows))
		}
	})
}

func TestOrderIsDone(t *testing.T) {
	c := crew.OnSite(t)
	c.Fused("2A")
	for _, label := range []string{"1A", "1B", "2B", "FG", "E1"} {
		c.Do(acts.StrikeJoint(c.H, label, "not needed"))
	}
	o := order(c, ahead.OrderGiven{})
	if len(o.Rows) != 0 || !o.LastFusion.IsZero() {
		t.Errorf("order %+v", o)
	}
	if now := c.H.At.Local(); !o.LastHold.Equal(now.Add(6*time.Minute)) || !o.Test.Equal(now.Add(26*time.Minute)) {
		t.Errorf("last hold %v, test %v", o.LastHold, o.Test)
	}
}

// Times are never made up: what has none comes last, in the old order, and the
// forecast is without it.
func TestOrderWithoutTimes(t *testing.T) {
	c := crew.OnSite(t)
	const unknown = "no ambient temperature is known"
	o := order(c, ahead.OrderGiven{})
	wantLines(c, o, "2A: "+unknown, "2B: "+unknown, "1A: "+unknown, "1B: "+unknown, "FG: "+unknown, "E1: "+unknown)
	if !o.LastFusion.IsZero() || !o.LastHold.IsZero() || !o.Test.IsZero() || len(o.Without) != 6 {
		t.Errorf("forecast %+v", o)
	}
	cold := fusion.Celsius(-20_00)
	if got := lines(c, order(c, ahead.OrderGiven{Ambient: &cold})); got[0] != "2A: no time is printed for -20 °C" {
		t.Errorf("%q", got)
	}

	c.Do(acts.AddJoint(c.H, plan.Joint{Label: "E2", Fitting: "tee 40"}, "forgotten"), acts.AddJoint(c.H, plan.Joint{Label: "E3", Fitting: "cap 40"}, "forgotten"))
	o = order(c, ahead.OrderGiven{Ambient: &nine})
	if got := lines(c, o); got[len(got)-1] != "E2: its fitting is in no table" {
		t.Errorf("%q", got)
	}
	if lacks := []string{"without E2: no times", "no wait printed for cap 40: see the bag"}; !slices.Equal(o.Lacks(), lacks) {
		t.Errorf("lacks %q, want %q", o.Lacks(), lacks)
	}
	if !slices.Equal(o.Without, []string{"E2"}) || !slices.Equal(o.NoWait, []string{"cap 40"}) || o.LastHold.IsZero() {
		t.Errorf("without %q, no wait for %q", o.Without, o.NoWait)
	}

	for _, label := range []string{"1A", "1B", "2A", "2B", "FG", "E1"} {
		c.Do(acts.StrikeJoint(c.H, label, "not needed"))
	}
	o = order(c, ahead.OrderGiven{Ambient: &nine}) // E3 alone, whose table prints no wait
	if !o.Test.IsZero() || o.Ahead(c.H.At, "test") != "last fusion 08:09, last hold 08:15" {
		t.Errorf("ahead: %q", o.Ahead(c.H.At, "test"))
	}
}

func TestOrderOfAStoppedRow(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Fitted("E1")
	c.Do(acts.ReadBag(c.H, id, false)) // another bag stops the row
	if got := lines(c, order(c, ahead.OrderGiven{Ambient: &nine})); !slices.Contains(got, "E1 "+id+": its table is not read back, or the row is stopped") {
		t.Errorf("%q", got)
	}
}

// A pipe that is held for an unknown time lets nobody plan on it.
func TestOrderOnAPipeHeldForAnUnknownTime(t *testing.T) {
	c := crew.OnSite(t)
	c.Do(acts.EnterLater(c.H, acts.LateWeld{
		Joint: "2A", Operator: crew.Ada, Unit: crew.Unit, Corrects: logbook.No, Started: c.H.At.Local().Add(-time.Hour), Ended: c.H.At.Local().Add(-time.Hour + 40*time.Second),
		Outcome: logbook.Completed, Why: "laptop in the van", Ambient: -20_00, // outside the bands, so no cooling time is known
		Answers: crew.Fitting("coupler 40", "W-1"), Look: crew.Look(logbook.LookHot),
	}))
	if got := lines(c, order(c, ahead.OrderGiven{Ambient: &nine})); got[len(got)-1] != "2B: its pipe is held by 2A, no time known" {
		t.Errorf("%q", got)
	}
	if j, _ := c.Offered(); j.Label == "2B" {
		t.Error("2B is offered")
	}
}

func TestMeasuredPreparation(t *testing.T) {
	c := crew.OnSite(t)
	weld := func(label string, took time.Duration) {
		id := c.Begin(label)
		c.Wait(took)
		c.Do(acts.AnswerStep(c.H, id, logbook.StepFitting, crew.Fitting(c.Joint(label).Fitting, "W-1")))
		if c.Next(id) == logbook.StepBag {
			c.Do(acts.ReadBag(c.H, id, true))
		}
		c.Do(acts.AnswerStep(c.H, id, logbook.StepPrep, crew.Card()))
		c.Settle(id)
		c.Do(acts.StartFusion(c.H, id, 0))
		c.Wait(40 * time.Second)
		c.Do(acts.EndFusion(c.H, id, logbook.FusionEnded{Outcome: logbook.Completed}))
	}
	tests := []struct {
		label string
		took  time.Duration
		want  string
	}{
		{"2A", 5 * time.Minute, "8 min a joint for preparation assumed; no source"},
		{"2B", 12 * time.Minute, "8 min a joint for preparation assumed; no source"},
		{"1A", 61 * time.Minute, "8 min a joint for preparation assumed; no source"}, // a break
		{"FG", 6 * time.Minute, "6 min a joint for preparation, the median of 3 welds of this site"},
		{"1B", time.Hour, "9 min a joint for preparation, the median of 4 welds of this site"},
	}
	for _, tt := range tests {
		weld(tt.label, tt.took)
		o := order(c, ahead.OrderGiven{})
		if !slices.Contains(o.Assumed, tt.want) {
			t.Errorf("after %s: %q, want %q", tt.label, o.Assumed, tt.want)
		}
	}
	c.Late(func(l *acts.LateWeld) { l.Joint, l.Answers = "E1", crew.Fitting("elbow 40", "W-1") })
	if o := order(c, ahead.OrderGiven{}); !slices.Contains(o.Assumed, tests[4].want) {
		t.Errorf("a weld entered later was measured: %q", o.Assumed)
	}
	if o := order(c, ahead.OrderGiven{Prepare: 90 * time.Second}); !slices.Contains(o.Assumed, "1.5 min a joint for preparation, as given") {
		t.Errorf("%q", o.Assumed)
	}
}

func TestOrderSaysWhatItIsBuiltOn(t *testing.T) {
	c := crew.OnSite(t)
	want := func(g ahead.OrderGiven, lines ...string) {
		t.Helper()
		o := order(c, g)
		for _, l := range lines {
			if !slices.Contains(o.Assumed, l) {
				t.Errorf("%q is not in %q", l, o.Assumed)
			}
		}
	}
	want(ahead.OrderGiven{}, "no ambient temperature is known: no times", "2 control units of shift "+c.H.Shift, "enough clamp sets assumed")
	want(ahead.OrderGiven{Ambient: &nine, Units: 1, Clamps: 3}, "times as printed for 9 °C, as given", "1 control unit, as given", "3 clamp sets, as given")
	c.Fused("2A")
	want(ahead.OrderGiven{}, "times as printed for 9 °C, read "+c.Site().Ambient.At.Local().Format("15:04"))
	c.Do(acts.CloseShift(c.H))
	c.Wait(24 * time.Hour)
	want(ahead.OrderGiven{}, "times as printed for 9 °C, read 9 Mar 08:00", "1 control unit assumed: no shift is open")
}

func TestOrderGivenOutOfRange(t *testing.T) {
	for _, tt := range []struct {
		g    ahead.OrderGiven
		says string
	}{
		{ahead.OrderGiven{}, ""}, {ahead.OrderGiven{Units: 9, Clamps: 99, Prepare: 4 * time.Hour}, ""},
		{ahead.OrderGiven{Units: 10}, "10 control units"}, {ahead.OrderGiven{Units: -1}, "-1 control units"},
		{ahead.OrderGiven{Clamps: 100}, "100 clamp sets"}, {ahead.OrderGiven{Clamps: -1}, "-1 clamp sets"},
		{ahead.OrderGiven{Prepare: 241 * time.Minute}, "241 min"}, {ahead.OrderGiven{Prepare: -time.Minute}, "-1 min"},
	} {
		err := tt.g.Check()
		if tt.says == "" && err != nil || tt.says != "" && (err == nil || !strings.HasPrefix(err.Error(), tt.says+" a joint are out") && !strings.HasPrefix(err.Error(), tt.says+" are out of range: write 1 to ")) {
			t.Errorf("%+v: %v", tt.g, err)
		}
	}
}

// largeSite is a site of ten chambers with six joints each, a third of them
// welded, as on a long day.
func largeSite(t testing.TB) *crew.Crew {
	var b strings.Builder
	b.WriteString(crew.PlanText[:strings.Index(crew.PlanText, "[[chamber]]")])
	for i := range 10 {
		chamber := crew.PlanText[strings.Index(crew.PlanText, "[[chamber]]"):strings.Index(crew.PlanText, "[[joint]]")]
		b.WriteString(strings.Replace(chamber, `name = "A"`, fmt.Sprintf("name = %q", string(rune('A'+i))), 1))
		fmt.Fprintf(&b, "[[joint]]\nlabel = \"E%d\"\nfitting = \"elbow 40\"\nwhere = \"bend\"\npipe = \"%c-1A\"\n", i, 'A'+i)
	}
	c := crew.Empty(t)
	c.Do(acts.OpenSite(c.H, acts.File{Name: "plan.toml", Text: b.String()}, []acts.File{{Name: "table.toml", Text: crew.TableText}}))
	c.H.Site = "invented-meadow"
	c.Do(acts.ReadBack(c.H, logbook.Hash(crew.TableText)))
	c.StartShift("2026-03-09")
	for i := range 10 {
		for _, j := range []string{"2A", "1B"} {
			c.Fused(fmt.Sprintf("%c-%s", 'A'+i, j))
		}
	}
	return c
}

func BenchmarkNextJoint(b *testing.B) {
	c := largeSite(b)
	s := c.Site()
	shelf := logbook.ShelfOf(s)
	b.Run("with its tables", func(b *testing.B) {
		for b.Loop() {
			c.Offered()
		}
	})
	b.Run("tables at hand", func(b *testing.B) {
		for b.Loop() {
			ahead.NextOf(c.Book, shelf, c.H.Site, c.H.At, fusion.Stamp{})
		}
	})
	b.Run("tables alone", func(b *testing.B) {
		for b.Loop() {
			logbook.ShelfOf(s)
		}
	})
	b.Run("order", func(b *testing.B) {
		for b.Loop() {
			ahead.OrderOf(c.Book, shelf, c.H.Site, ahead.OrderGiven{}, c.H.At, fusion.Stamp{})
		}
	})
	b.Run("joints and welds", func(b *testing.B) {
		for b.Loop() {
			ahead.OpenJoints(c.Book, c.H.Site)
			ahead.RunningOn(c.Book, c.H.Site, c.H.At, fusion.Stamp{})
		}
	})
}
