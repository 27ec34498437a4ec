package logbook

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"coolhold/fusion"
	"coolhold/logbook/plan"
)

func (c *crew) order(g OrderGiven) WorkOrder {
	c.t.Helper()
	o := OrderOf(c.book, ShelfOf(c.site()), c.h.Site, g, c.h.At, fusion.Stamp{})
	var left, rows []string
	for _, j := range OpenJoints(c.book, c.h.Site) {
		left = append(left, j.Label)
	}
	for _, p := range o.Rows {
		rows = append(rows, p.Joint.Label)
	}
	slices.Sort(left)
	slices.Sort(rows)
	if !slices.Equal(left, rows) {
		c.t.Fatalf("open are %v, in the order %v", left, rows)
	}
	return o
}

// lines are the rows in short: joint, unit, and minutes:seconds from now to
// begin, fusion end and hold end.
func (c *crew) lines(o WorkOrder) []string {
	from := func(t time.Time) string {
		d := t.Sub(c.h.At.Local())
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

func (c *crew) wantLines(o WorkOrder, want ...string) {
	c.t.Helper()
	if got := c.lines(o); !slices.Equal(got, want) {
		c.t.Errorf("order\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

func (c *crew) wantAhead(o WorkOrder, fused, held, test time.Duration) {
	c.t.Helper()
	now := c.h.At.Local()
	if !o.LastFusion.Equal(now.Add(fused)) || !o.LastHold.Equal(now.Add(held)) || !o.Test.Equal(now.Add(test)) {
		c.t.Errorf("last fusion in %v, last hold in %v, test in %v; want %v, %v, %v",
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
	c := onSite(t)
	o := c.order(OrderGiven{Units: 1, Prepare: 10 * time.Minute, Ambient: &nine})
	c.wantAhead(o, minutes(64, 40), minutes(70, 40), minutes(90, 40))
	at := map[string]int{}
	for i, p := range o.Rows {
		at[p.Joint.Label] = i
	}
	for _, low := range []string{"2A", "2B"} {
		if at[low] > at["1A"] || at[low] > at["1B"] {
			t.Errorf("the low row is not first: %q", c.lines(o))
		}
	}
	if first := c.lines(o)[0]; first != "2A CU-1 0:00 10:40 16:40" {
		t.Errorf("first comes %q", first)
	}
	if o.NoWait != nil || o.Without != nil || o.Lacks() != nil {
		t.Errorf("no wait for %q, without %q", o.NoWait, o.Without)
	}
	if got := o.Ahead(c.h.At, "pressure test"); got != "last fusion 09:05, last hold 09:11, pressure test from 09:31" {
		t.Errorf("ahead: %q", got)
	}
	if got := o.Ahead(c.h.At.Add(-24*time.Hour), "test"); got != "last fusion 9 Mar 09:05, last hold 9 Mar 09:11, test from 9 Mar 09:31" {
		t.Errorf("ahead, the day before: %q", got)
	}
	clamped := c.order(OrderGiven{Units: 1, Clamps: 1, Prepare: 10 * time.Minute, Ambient: &nine})
	if d := clamped.LastHold.Sub(c.h.At.Local()); d != minutes(103, 40) { // 64:40 and all cooling, 39 min
		t.Errorf("with one clamp set the last hold ends after %v", d)
	}
}

// What runs keeps its unit, pipe and clamp; the walk in hand comes first.
func TestOrderAmongWhatRuns(t *testing.T) {
	c := onSite(t)
	c.do(StrikeJoint(c.h, "E1", "not needed"))
	c.fused("2A") // its pipe is held for 6 min
	id := c.prepared("FG")
	c.do(StartFusion(c.h, id, 0)) // 80 s on CU-1, then 8 min
	c.wait(20 * time.Second)
	o := c.order(OrderGiven{Units: 1, Prepare: 8 * time.Minute})
	c.wantLines(o, "2B CU-1 5:40 14:20 20:20", "1A CU-1 14:20 23:00 29:00", "1B CU-1 29:00 37:40 43:40")
	c.wantAhead(o, minutes(37, 40), minutes(43, 40), minutes(63, 40))

	c.do(BeginWeld(c.h, "2B", ada, "CU-2"))
	c.wait(3 * time.Minute)
	o = c.order(OrderGiven{Prepare: 8 * time.Minute})
	c.wantLines(o, "2B CU-2 -3:00 5:40 11:40", "1A CU-1 5:40 14:20 20:20", "1B CU-1 20:20 29:00 35:00")
	if o.Rows[0].Weld == "" || o.Rows[1].Weld != "" {
		t.Errorf("the walk in hand is not told: %+v", o.Rows)
	}
	one := c.order(OrderGiven{Clamps: 1, Prepare: 8 * time.Minute}) // 2A holds 2:40, FG 6 min, 2B 11:40
	c.wantLines(one, "2B CU-2 -3:00 5:40 11:40", "1A CU-1 11:40 20:20 26:20", "1B CU-1 26:20 35:00 41:00")
}

// What is in hand counts as it was answered so far, each on its unit.
func TestOrderOfWhatIsInHand(t *testing.T) {
	c := onSite(t)
	for _, label := range []string{"2A", "2B", "1A", "1B"} {
		c.do(StrikeJoint(c.h, label, "not needed"))
	}
	c.do(AddJoint(c.h, plan.Joint{Label: "E2", Fitting: "elbow 40"}, "forgotten"))
	first := c.begin("E2")
	c.do(AnswerStep(c.h, first, StepFitting, fitting("coupler 40", "W-1")), ReadBag(c.h, first, true)) // a coupler after all
	c.do(AnswerStep(c.h, first, StepPrep, card()), ReadAmbient(c.h, first, 2_00, Typed, nil))          // 44 s there
	c.wait(5 * time.Minute)
	c.begin("E1") // on the same unit
	g := OrderGiven{Prepare: 4 * time.Minute, Ambient: &nine}
	c.wantLines(c.order(g), "E2 CU-1 -5:00 0:44 6:44", "E1 CU-1 0:00 5:24 12:24", "FG CU-2 0:00 5:20 13:20")
	c.wait(4 * time.Minute)
	c.wantLines(c.order(g), "E2 CU-1 -9:00 0:44 6:44", "E1 CU-1 -4:00 1:24 8:24", "FG CU-2 0:00 5:20 13:20")
}

// A fusion that is over and not answered for still has its hold before it; a
// hold that is over is in nobody's way.
func TestOrderWhenTimesAreOver(t *testing.T) {
	c := onSite(t)
	for _, label := range []string{"2A", "2B", "FG"} {
		c.do(StrikeJoint(c.h, label, "not needed"))
	}
	c.do(AddJoint(c.h, plan.Joint{Label: "E2", Fitting: "tee 40"}, "forgotten"))
	const last = "E2: its fitting is in no table"
	id := c.prepared("1A")
	c.do(StartFusion(c.h, id, 0))
	c.wait(41 * time.Second)
	held := func(label string) bool {
		_, is := PipeHeld(c.book, c.joint(label), c.h.At, fusion.Stamp{})
		return is
	}
	g := OrderGiven{Prepare: 4 * time.Minute}
	c.wantLines(c.order(g), "1B CU-1 6:00 10:40 16:40", "E1 CU-1 16:40 21:20 28:20", last)
	if !held("1B") {
		t.Error("the pipe of a fusion that nobody has answered for is free")
	}
	if j, _ := c.offered(); j.Label != "E2" {
		t.Errorf("%s is offered on that pipe", j.Label)
	}
	c.do(EndFusion(c.h, id, FusionEnded{Outcome: Completed}))
	c.wait(6 * time.Minute)
	c.wantLines(c.order(g), "1B CU-1 0:00 4:40 10:40", "E1 CU-1 10:40 15:20 22:20", last)
	if held("1B") {
		t.Error("a hold that is over holds the pipe")
	}
}

// A unit at work is not free, and a wait may count from the end of a fusion.
func TestOrderWithAUnitAtWork(t *testing.T) {
	c := onSite(t)
	for _, label := range []string{"2A", "2B", "1A", "1B"} {
		c.do(StrikeJoint(c.h, label, "not needed"))
	}
	id := c.prepared("FG")
	c.do(StartFusion(c.h, id, 0)) // 80 s
	o := c.order(OrderGiven{Units: 1, Prepare: 4 * time.Minute})
	c.wantLines(o, "E1 CU-1 1:20 6:00 13:00")
	c.wantAhead(o, minutes(6, 0), minutes(13, 0), minutes(33, 0)) // 20 min after E1; FG 30 min after its fusion
	c.do(StrikeJoint(c.h, "E1", "not needed"))
	c.wantAhead(c.order(OrderGiven{}), minutes(1, 20), minutes(9, 20), minutes(31, 20))
}

// A wait that counts from the end of cooling begins only after the cooling that
// a running fusion still has before it.
func TestOrderWaitsForTheCoolingAhead(t *testing.T) {
	c := onSite(t)
	for _, label := range []string{"2A", "2B", "1A", "E1", "FG"} {
		c.do(StrikeJoint(c.h, label, "not needed"))
	}
	c.do(StartFusion(c.h, c.prepared("1B"), 0)) // 40 s, 6 min of cooling, 20 min of wait
	c.wantAhead(c.order(OrderGiven{}), minutes(0, 40), minutes(6, 40), minutes(26, 40))
}

// Whatever was done, each open joint is in the order once, its times follow one
// another, and one is offered as long as one is open.
func TestOrderAfterRandomActs(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		c := onSite(t)
		for range rapid.IntRange(1, 40).Draw(rt, "acts") {
			c.wait(time.Duration(rapid.IntRange(0, 300).Draw(rt, "seconds")) * time.Second)
			c.act(rt)
		}
		o := c.order(OrderGiven{Clamps: rapid.IntRange(0, 3).Draw(rt, "clamps")})
		for _, p := range o.Rows {
			if timed := !p.Start.IsZero(); timed != (p.Why == "") || timed && (p.Fused.Before(p.Start) || p.Held.Before(p.Fused) || p.Held.After(o.LastHold) || p.Fused.After(o.LastFusion)) {
				rt.Fatalf("%+v in %+v", p, o)
			}
		}
		if _, ok := c.offered(); ok != (len(o.Rows) > 0) {
			rt.Fatalf("offered: %v, open: %d", ok, len(o.Rows))
		}
	})
}

func TestOrderIsDone(t *testing.T) {
	c := onSite(t)
	c.fused("2A")
	for _, label := range []string{"1A", "1B", "2B", "FG", "E1"} {
		c.do(StrikeJoint(c.h, label, "not needed"))
	}
	o := c.order(OrderGiven{})
	if len(o.Rows) != 0 || !o.LastFusion.IsZero() {
		t.Errorf("order %+v", o)
	}
	if now := c.h.At.Local(); !o.LastHold.Equal(now.Add(6*time.Minute)) || !o.Test.Equal(now.Add(26*time.Minute)) {
		t.Errorf("last hold %v, test %v", o.LastHold, o.Test)
	}
}

// Times are never made up: what has none comes last, in the old order, and the
// forecast is without it.
func TestOrderWithoutTimes(t *testing.T) {
	c := onSite(t)
	const unknown = "no ambient temperature is known"
	o := c.order(OrderGiven{})
	c.wantLines(o, "2A: "+unknown, "2B: "+unknown, "1A: "+unknown, "1B: "+unknown, "FG: "+unknown, "E1: "+unknown)
	if !o.LastFusion.IsZero() || !o.LastHold.IsZero() || !o.Test.IsZero() || len(o.Without) != 6 {
		t.Errorf("forecast %+v", o)
	}
	cold := fusion.Celsius(-20_00)
	if got := c.lines(c.order(OrderGiven{Ambient: &cold})); got[0] != "2A: no time is printed for -20 °C" {
		t.Errorf("%q", got)
	}

	c.do(AddJoint(c.h, plan.Joint{Label: "E2", Fitting: "tee 40"}, "forgotten"), AddJoint(c.h, plan.Joint{Label: "E3", Fitting: "cap 40"}, "forgotten"))
	o = c.order(OrderGiven{Ambient: &nine})
	if got := c.lines(o); got[len(got)-1] != "E2: its fitting is in no table" {
		t.Errorf("%q", got)
	}
	if lacks := []string{"without E2: no times", "no wait printed for cap 40: see the bag"}; !slices.Equal(o.Lacks(), lacks) {
		t.Errorf("lacks %q, want %q", o.Lacks(), lacks)
	}
	if !slices.Equal(o.Without, []string{"E2"}) || !slices.Equal(o.NoWait, []string{"cap 40"}) || o.LastHold.IsZero() {
		t.Errorf("without %q, no wait for %q", o.Without, o.NoWait)
	}

	for _, label := range []string{"1A", "1B", "2A", "2B", "FG", "E1"} {
		c.do(StrikeJoint(c.h, label, "not needed"))
	}
	o = c.order(OrderGiven{Ambient: &nine}) // E3 alone, whose table prints no wait
	if !o.Test.IsZero() || o.Ahead(c.h.At, "test") != "last fusion 08:09, last hold 08:15" {
		t.Errorf("ahead: %q", o.Ahead(c.h.At, "test"))
	}
}

func TestOrderOfAStoppedRow(t *testing.T) {
	c := onSite(t)
	id := c.fitted("E1")
	c.do(ReadBag(c.h, id, false)) // another bag stops the row
	if got := c.lines(c.order(OrderGiven{Ambient: &nine})); !slices.Contains(got, "E1 "+id+": its table is not read back, or the row is stopped") {
		t.Errorf("%q", got)
	}
}

// A pipe that is held for an unknown time lets nobody plan on it.
func TestOrderOnAPipeHeldForAnUnknownTime(t *testing.T) {
	c := onSite(t)
	c.do(EnterLater(c.h, LateWeld{
		Joint: "2A", Operator: ada, Unit: unit, Corrects: No, Started: c.h.At.Local().Add(-time.Hour), Ended: c.h.At.Local().Add(-time.Hour + 40*time.Second),
		Outcome: Completed, Why: "laptop in the van", Ambient: -20_00, // outside the bands, so no cooling time is known
		Answers: fitting("coupler 40", "W-1"), Look: look(LookHot),
	}))
	if got := c.lines(c.order(OrderGiven{Ambient: &nine})); got[len(got)-1] != "2B: its pipe is held by 2A, no time known" {
		t.Errorf("%q", got)
	}
	if j, _ := c.offered(); j.Label == "2B" {
		t.Error("2B is offered")
	}
}

func TestMeasuredPreparation(t *testing.T) {
	c := onSite(t)
	weld := func(label string, took time.Duration) {
		id := c.begin(label)
		c.wait(took)
		c.do(AnswerStep(c.h, id, StepFitting, fitting(c.joint(label).Fitting, "W-1")))
		if c.next(id) == StepBag {
			c.do(ReadBag(c.h, id, true))
		}
		c.do(AnswerStep(c.h, id, StepPrep, card()))
		c.settle(id)
		c.do(StartFusion(c.h, id, 0))
		c.wait(40 * time.Second)
		c.do(EndFusion(c.h, id, FusionEnded{Outcome: Completed}))
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
		o := c.order(OrderGiven{})
		if !slices.Contains(o.Assumed, tt.want) {
			t.Errorf("after %s: %q, want %q", tt.label, o.Assumed, tt.want)
		}
	}
	c.late(func(l *LateWeld) { l.Joint, l.Answers = "E1", fitting("elbow 40", "W-1") })
	if o := c.order(OrderGiven{}); !slices.Contains(o.Assumed, tests[4].want) {
		t.Errorf("a weld entered later was measured: %q", o.Assumed)
	}
	if o := c.order(OrderGiven{Prepare: 90 * time.Second}); !slices.Contains(o.Assumed, "1.5 min a joint for preparation, as given") {
		t.Errorf("%q", o.Assumed)
	}
}

func TestOrderSaysWhatItIsBuiltOn(t *testing.T) {
	c := onSite(t)
	want := func(g OrderGiven, lines ...string) {
		t.Helper()
		o := c.order(g)
		for _, l := range lines {
			if !slices.Contains(o.Assumed, l) {
				t.Errorf("%q is not in %q", l, o.Assumed)
			}
		}
	}
	want(OrderGiven{}, "no ambient temperature is known: no times", "2 control units of shift "+c.h.Shift, "enough clamp sets assumed")
	want(OrderGiven{Ambient: &nine, Units: 1, Clamps: 3}, "times as printed for 9 °C, as given", "1 control unit, as given", "3 clamp sets, as given")
	c.fused("2A")
	want(OrderGiven{}, "times as printed for 9 °C, read "+c.site().Ambient.At.Local().Format("15:04"))
	c.do(CloseShift(c.h))
	c.wait(24 * time.Hour)
	want(OrderGiven{}, "times as printed for 9 °C, read 9 Mar 08:00", "1 control unit assumed: no shift is open")
}

func TestOrderGivenOutOfRange(t *testing.T) {
	for _, tt := range []struct {
		g    OrderGiven
		says string
	}{
		{OrderGiven{}, ""}, {OrderGiven{Units: 9, Clamps: 99, Prepare: 4 * time.Hour}, ""},
		{OrderGiven{Units: 10}, "10 control units"}, {OrderGiven{Units: -1}, "-1 control units"},
		{OrderGiven{Clamps: 100}, "100 clamp sets"}, {OrderGiven{Clamps: -1}, "-1 clamp sets"},
		{OrderGiven{Prepare: 241 * time.Minute}, "241 min"}, {OrderGiven{Prepare: -time.Minute}, "-1 min"},
	} {
		err := tt.g.Check()
		if tt.says == "" && err != nil || tt.says != "" && (err == nil || !strings.HasPrefix(err.Error(), tt.says+" a joint are out") && !strings.HasPrefix(err.Error(), tt.says+" are out of range: write 1 to ")) {
			t.Errorf("%+v: %v", tt.g, err)
		}
	}
}

// largeSite is a site of ten chambers with six joints each, a third of them
// welded, as on a long day.
func largeSite(t testing.TB) *crew {
	var b strings.Builder
	b.WriteString(planText[:strings.Index(planText, "[[chamber]]")])
	for i := range 10 {
		chamber := planText[strings.Index(planText, "[[chamber]]"):strings.Index(planText, "[[joint]]")]
		b.WriteString(strings.Replace(chamber, `name = "A"`, fmt.Sprintf("name = %q", string(rune('A'+i))), 1))
		fmt.Fprintf(&b, "[[joint]]\nlabel = \"E%d\"\nfitting = \"elbow 40\"\nwhere = \"bend\"\npipe = \"%c-1A\"\n", i, 'A'+i)
	}
	c := empty(t)
	c.do(OpenSite(c.h, File{"plan.toml", b.String()}, []File{{"table.toml", tableText}}))
	c.h.Site = "invented-meadow"
	c.do(ReadBack(c.h, Hash(tableText)))
	c.startShift("2026-03-09")
	for i := range 10 {
		for _, j := range []string{"2A", "1B"} {
			c.fused(fmt.Sprintf("%c-%s", 'A'+i, j))
		}
	}
	return c
}

func BenchmarkNextJoint(b *testing.B) {
	c := largeSite(b)
	s := c.site()
	shelf := ShelfOf(s)
	b.Run("with its tables", func(b *testing.B) {
		for b.Loop() {
			c.offered()
		}
	})
	b.Run("tables at hand", func(b *testing.B) {
		for b.Loop() {
			NextOf(c.book, shelf, c.h.Site, c.h.At, fusion.Stamp{})
		}
	})
	b.Run("tables alone", func(b *testing.B) {
		for b.Loop() {
			ShelfOf(s)
		}
	})
	b.Run("order", func(b *testing.B) {
		for b.Loop() {
			OrderOf(c.book, shelf, c.h.Site, OrderGiven{}, c.h.At, fusion.Stamp{})
		}
	})
	b.Run("joints and welds", func(b *testing.B) {
		for b.Loop() {
			OpenJoints(c.book, c.h.Site)
			RunningOn(c.book, c.h.Site, c.h.At, fusion.Stamp{})
		}
	})
}
