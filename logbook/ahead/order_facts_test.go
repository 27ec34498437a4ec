package ahead_test

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/crew"
)

// withKit is a crew on its site that declared an invented kit.
func withKit(t *testing.T, text string) *crew.Crew {
	t.Helper()
	c := crew.OnSite(t)
	c.Do(acts.TakeKit(c.H, acts.File{Name: "kit.toml", Text: text}))
	return c
}

func strike(c *crew.Crew, labels ...string) {
	c.T.Helper()
	for _, label := range labels {
		c.Do(acts.StrikeJoint(c.H, label, "not needed"))
	}
}

func says(t *testing.T, lines []string, want ...string) {
	t.Helper()
	for _, w := range want {
		if !slices.Contains(lines, w) {
			t.Errorf("%q is not in\n%s", w, strings.Join(lines, "\n"))
		}
	}
}

// CU-1 can be set to 60 s at most, so the header and the bend are for CU-2,
// whatever is free sooner.
func TestOrderGivesEachUnitWhatItCanFuse(t *testing.T) {
	c := withKit(t, "[[unit]]\nserial = \"cu-1\"\nlongest_seconds = 39\n[[unit]]\nserial = \"CU-2\"\nlongest_seconds = 900\n")
	o := order(c, ahead.OrderGiven{Ambient: &nine})
	for _, p := range o.Rows {
		if p.Unit != "CU-2" || p.Why != "" { // every fitting takes 40 s or more
			t.Errorf("%s is given to %q: %s", p.Joint.Label, p.Unit, p.Why)
		}
	}
	if len(o.NoUnit) != 0 || len(o.Rows) != 6 {
		t.Errorf("%+v", o)
	}
	says(t, o.Assumed, "each fitting goes to a unit that can fuse it by volts, pins, longest time and generator; not known, so held against none: the output volts of cu-1, the lead pins of cu-1, the pins of coupler 40, the plate input of cu-1, what the generator gives, the output volts of CU-2 and 4 more")
	says(t, order(crew.OnSite(t), ahead.OrderGiven{}).Assumed, "any unit is given any fitting: what they can do is not declared")
}

// A fitting that no unit can fuse stands last, with what speaks against each unit,
// and the forecast is without it.
func TestOrderWithoutAUnitThatCan(t *testing.T) {
	c := withKit(t, "[[unit]]\nserial = \"CU-1\"\nlongest_seconds = 50\n[[unit]]\nserial = \"CU-2\"\noutput_volts_low = 40\n")
	strike(c, "2A", "2B", "1A", "1B")
	o := order(c, ahead.OrderGiven{Ambient: &nine, Prepare: 10 * time.Minute})
	wantLines(c, o, "E1 CU-1 0:00 10:40 17:40", "FG: no control unit can fuse it")
	says(t, o.Lacks(), "without FG: no control unit can fuse coupler 63 (CU-1: longest time 30 s short; CU-2: output 0.5 V too high)")
	if !slices.Equal(o.Without, []string{"FG"}) || len(o.NoUnit) != 1 || !slices.Equal(o.NoUnit[0].Joints, []string{"FG"}) {
		t.Errorf("without %v, no unit %+v", o.Without, o.NoUnit)
	}
	if slices.ContainsFunc(o.Lacks(), func(l string) bool { return strings.Contains(l, "FG: no times") }) {
		t.Errorf("said twice: %q", o.Lacks())
	}
	// Where no time is known its volts still speak against it.
	c = withKit(t, "[[unit]]\nserial = \"CU-1\"\noutput_volts_low = 40\n")
	o = order(c, ahead.OrderGiven{Units: 1})
	if len(o.NoUnit) != 3 || o.Rows[0].Why != "no ambient temperature is known" {
		t.Errorf("%+v", o.NoUnit)
	}
}

// A generator of 5 kVA carries one unit of 3 kVA at a time; where a plate is not
// declared nothing is assumed.
func TestOrderKeepsToTheGenerator(t *testing.T) {
	const plates = "[[unit]]\nserial = \"CU-1\"\ninput_kva = 3\n[[unit]]\nserial = \"CU-2\"\ninput_kva = 3\n"
	g := ahead.OrderGiven{Ambient: &nine, Prepare: 10 * time.Minute}
	fuses := func(text string) (at []time.Duration, lines []string) {
		c := withKit(t, text)
		strike(c, "1A", "1B", "2B", "E1")
		o := order(c, g)
		for _, p := range o.Rows {
			at = append(at, p.Fused.Sub(c.H.At.Local()))
		}
		slices.Sort(at)
		return at, o.Assumed
	}
	at, lines := fuses(plates + "[generator]\nkva = 5\n")
	// FG takes 80 s, 2A 40 s: the second fuses after the first.
	if want := []time.Duration{minutes(11, 20), minutes(12, 0)}; !slices.Equal(at, want) {
		t.Errorf("fused at %v, want %v", at, want)
	}
	says(t, lines, "fusions at once as far as a generator of 5 kVA carries their plate inputs")
	for text, line := range map[string]string{
		plates + "[generator]\nkva = 6\n": "fusions at once as far as a generator of 6 kVA carries their plate inputs",
		plates:                            "what the generator gives is not declared: all units may fuse at once",
		"[[unit]]\nserial = \"CU-1\"\ninput_kva = 3\n[[unit]]\nserial = \"CU-2\"\n[generator]\nkva = 3\n": "fusions at once as far as a generator of 3 kVA carries their plate inputs; one not declared counts as nothing",
	} {
		at, lines := fuses(text)
		if want := []time.Duration{minutes(10, 40), minutes(11, 20)}; !slices.Equal(at, want) {
			t.Errorf("%s: fused at %v, want %v", text, at, want)
		}
		says(t, lines, line)
	}
	// One that is on counts too: 2A is in its fusion, FG waits for it.
	c := withKit(t, plates+"[generator]\nkva = 5\n")
	strike(c, "1A", "1B", "2B", "E1")
	c.Do(acts.StartFusion(c.H, c.Prepared("2A"), 0))
	wantLines(c, order(c, ahead.OrderGiven{Prepare: 10 * time.Second}), "FG CU-2 0:30 2:00 10:00")
	// So does the fusion that a walk in hand will come to.
	c = withKit(t, plates+"[generator]\nkva = 5\n")
	strike(c, "1A", "1B", "2B", "E1")
	c.Begin("2A")
	wantLines(c, order(c, g), "2A CU-1 0:00 10:40 16:40", "FG CU-2 0:40 12:00 20:00")
}

// Without a shift the units are those of the kit; clamp sets are the kit's.
func TestOrderTakesUnitsAndClampsOfTheKit(t *testing.T) {
	c := withKit(t, "[[unit]]\nserial = \"CU-7\"\n[[unit]]\nserial = \"CU-8\"\n[[clamp]]\nsizes_mm = [40]\ncount = 1\n[[clamp]]\nsizes_mm = [63]\ncount = 1\n")
	o := order(c, ahead.OrderGiven{Units: 4})
	says(t, o.Assumed, "4 control units, as given", "2 clamp sets, as the kit declares; which pipe each holds is not counted")
	says(t, order(c, ahead.OrderGiven{Clamps: 3}).Assumed, "3 clamp sets, as given")
	c.Do(acts.CloseShift(c.H))
	one := withKit(t, "[[clamp]]\nsizes_mm = [40, 63]\ncount = 1\n")
	strike(one, "1A", "1B", "2B", "E1")
	wantLines(one, order(one, ahead.OrderGiven{Ambient: &nine, Prepare: 10 * time.Minute}), "FG CU-1 0:00 11:20 19:20", "2A CU-1 19:20 30:00 36:00")
	o = order(c, ahead.OrderGiven{Ambient: &nine})
	says(t, o.Assumed, "2 control units, as the kit declares: no shift is open")
	units := map[string]bool{}
	for _, p := range o.Rows {
		units[p.Unit] = true
	}
	if !units["CU-7"] || !units["CU-8"] || len(units) != 2 {
		t.Errorf("units %v", units)
	}
}

// A way between chamber and trench takes its time, and each unit begins where it
// was last.
func TestOrderMoves(t *testing.T) {
	c := crew.OnSite(t)
	strike(c, "2B", "1A", "1B", "FG")
	c.Fused("2A")
	c.Wait(10 * time.Minute)
	g := ahead.OrderGiven{Units: 1, Prepare: 10 * time.Minute, Ambient: &nine}
	o := order(c, g)
	wantLines(c, o, "E1 CU-1 0:00 10:40 17:40")
	says(t, o.Assumed, "moving time not stated: only the number of moves is kept small")
	if o.Moves != 1 {
		t.Errorf("%d moves", o.Moves)
	}
	g.Moving = 12 * time.Minute
	o = order(c, g)
	wantLines(c, o, "E1 CU-1 12:00 22:40 29:40")
	says(t, o.Assumed, "12 min a move between chambers or to what lies outside, as given; each unit begins where it was last on this shift")
	c.Do(acts.CloseShift(c.H))
	c.Wait(24 * time.Hour)
	c.StartShift("2026-03-10") // where the units are in the morning nobody knows
	wantLines(c, order(c, g), "E1 CU-1 0:00 10:40 17:40")
}

// Work ends with the day: what is left falls on the next working day, Monday after
// Friday.
func TestOrderDoesNotPlanThroughTheNight(t *testing.T) {
	c := crew.OnSite(t) // the shift began at 8:00, a Monday
	c.Wait(9*time.Hour + 30*time.Minute)
	g := ahead.OrderGiven{Units: 1, Prepare: 10 * time.Minute, Ambient: &nine}
	o := order(c, g) // 17:30: one joint of 10:40 and 6 to 8 min of hold ends before 18:00, a second does not
	at := func(want ...string) {
		t.Helper()
		var got []string
		for _, p := range o.Rows {
			got = append(got, p.Start.Format("Mon 15:04"))
		}
		if !slices.Equal(got, want) {
			t.Errorf("begun %q, want %q", got, want)
		}
	}
	at("Mon 17:30", "Mon 17:40", "Tue 08:00", "Tue 08:10", "Tue 08:21", "Tue 08:32")
	says(t, o.Assumed, "work 08:00 (start of shift) to 18:00 (our choice), each hold in it; the rest on the next working day, Monday to Friday (our choice)")
	g.Until = 17*time.Hour + 45*time.Minute
	o = order(c, g)
	if n := slices.IndexFunc(o.Rows, func(p ahead.Planned) bool { return p.Start.Format("Mon") == "Tue" }); n != 0 {
		t.Errorf("%d joints before 17:45", n)
	}
	says(t, o.Assumed, "work 08:00 (start of shift) to 17:45 (as given), each hold in it; the rest on the next working day, Monday to Friday (our choice)")
	g.Until = 20 * time.Hour
	o = order(c, g)
	if o.LastHold.Format("Mon") != "Mon" {
		t.Errorf("with work to 20:00 the last hold is over on %v", o.LastHold)
	}

	c.Do(acts.CloseShift(c.H))
	c.Wait(4*24*time.Hour + time.Hour) // Friday 18:30, no shift is open
	g.Until = 0
	o = order(c, g)
	if got := o.Rows[0].Start.Format("Mon 15:04"); got != "Mon 08:00" {
		t.Errorf("after Friday evening work begins on %s", got)
	}
	says(t, o.Assumed, "work 08:00 (our choice) to 18:00 (our choice), each hold in it; the rest on the next working day, Monday to Friday (our choice)")
}

// A day that began late goes on; one given to end after midnight does; a shift
// that was begun on a Saturday is worked; after a break the day is the same.
func TestOrderOfLateAndFreeDays(t *testing.T) {
	for _, tt := range []struct {
		name              string
		before            time.Duration // from Monday 8:00 to the start of the shift
		until             time.Duration
		line, first, last string
	}{
		{"late", 11 * time.Hour, 0, "work 19:00 (start of shift) to 05:00 (our choice)", "Mon 19:00", "Mon"},
		{"given past midnight", 15 * time.Hour, 2 * time.Hour, "work 23:00 (start of shift) to 02:00 (as given)", "Mon 23:00", "Tue"},
		{"Saturday", 5 * 24 * time.Hour, 0, "work 08:00 (start of shift) to 18:00 (our choice)", "Sat 08:00", "Sat"},
	} {
		c := crew.OnSite(t)
		c.Do(acts.CloseShift(c.H))
		c.Wait(tt.before)
		c.StartShift(c.H.At.Local().Format(time.DateOnly))
		o := order(c, ahead.OrderGiven{Units: 1, Prepare: 10 * time.Minute, Ambient: &nine, Until: tt.until})
		if got := o.Rows[0].Start.Format("Mon 15:04"); got != tt.first || o.LastHold.Format("Mon") != tt.last {
			t.Errorf("%s: begun %s, over %v", tt.name, got, o.LastHold)
		}
		if !slices.ContainsFunc(o.Assumed, func(l string) bool { return strings.HasPrefix(l, tt.line) }) {
			t.Errorf("%s: %q", tt.name, o.Assumed)
		}
	}
	night := crew.OnSite(t)
	night.Do(acts.CloseShift(night.H))
	night.Wait(15 * time.Hour)
	night.StartShift("2026-03-09")
	night.Wait(90 * time.Minute)
	if o := order(night, ahead.OrderGiven{Ambient: &nine, Until: 2 * time.Hour}); o.Rows[0].Start.Format("Mon 15:04") != "Tue 00:30" {
		t.Errorf("after midnight work begins on %v", o.Rows[0].Start)
	}
	c := crew.OnSite(t)
	c.Wait(7 * time.Hour)
	c.Do(acts.CloseShift(c.H))
	c.StartShift("2026-03-09") // again, at 15:00
	if o := order(c, ahead.OrderGiven{}); !slices.ContainsFunc(o.Assumed, func(l string) bool { return strings.HasPrefix(l, "work 08:00 (start of shift) to 18:00") }) {
		t.Errorf("%q", o.Assumed)
	}
}

func TestParseClock(t *testing.T) {
	for in, want := range map[string]time.Duration{"18:00": 18 * time.Hour, "6.30": 6*time.Hour + 30*time.Minute, "1745": 17*time.Hour + 45*time.Minute, "24:00": 24 * time.Hour, "09:08": 9*time.Hour + 8*time.Minute, "0:30": 30 * time.Minute} {
		if d, err := ahead.ParseClock(in); err != nil || d != want {
			t.Errorf("%q: %v, %v", in, d, err)
		}
	}
	for in, says := range map[string]string{
		"": `"" is not a time of day: write it as 18:00`, "25:00": `"25:00" is not a time of day: write it as 18:00`, "18:60": "not a time of day", "six": "not a time of day", "18": "not a time of day",
		"00:00": `"00:00" is not a time of day on which work ends: write it as 18:00, midnight as 24:00`, "24:01": "midnight as 24:00", "18:00 ": "not a time of day", "-1:00": "not a time of day",
	} {
		if d, err := ahead.ParseClock(in); !errors.Is(err, ahead.ErrClock) || !strings.Contains(err.Error(), says) || d != 0 {
			t.Errorf("%q: %v, %v", in, d, err)
		}
	}
}

// What was fused since the kit was declared is no longer in the van, also where it
// was cut out; what was fused before, refused by the unit or given up is not
// counted off.
func TestStockIsUsedUp(t *testing.T) {
	c := crew.OnSite(t)
	before := c.Fused("2A")
	c.Wait(time.Hour)
	c.Do(acts.TakeKit(c.H, acts.File{Name: "kit.toml", Text: "[[stock]]\nfitting = \"Coupler  40\"\ncount = 3\n[[stock]]\nfitting = \"coupler 63\"\ncount = 1\n"}))
	c.Wait(time.Minute)
	stock := func(want ...string) {
		t.Helper()
		var got []string
		o := order(c, ahead.OrderGiven{})
		for _, s := range o.Stock {
			got = append(got, s.String())
		}
		if !slices.Equal(got, want) {
			t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
		}
	}
	const header, bend = "coupler 63: 1 needed, 1 in the van", "elbow 40: 1 needed, not among what is in the van: 1 short"
	stock("coupler 40: 3 needed, 3 in the van", header, bend)
	c.Do(acts.Cut(c.H, before, "for the test piece"))
	stock("coupler 40: 4 needed, 3 in the van: 1 short", header, bend)
	cut := c.Fused("2B")
	stock("coupler 40: 3 needed, 2 left in the van (3 declared, 1 fused since): 1 short", header, bend)
	c.Do(acts.Cut(c.H, cut, "for the test piece"))
	stock("coupler 40: 4 needed, 2 left in the van (3 declared, 1 fused since): 2 short", header, bend)
	says(t, order(c, ahead.OrderGiven{}).Lacks(), "van: coupler 40: 4 needed, 2 left in the van (3 declared, 1 fused since): 2 short", "van: "+bend)

	id := c.Fitted("FG")
	c.Do(acts.AbandonWalk(c.H, id, "dropped"))
	const spoiled = header + "; 1 walk given up since, not counted: see whether its fitting is still good"
	stock("coupler 40: 4 needed, 2 left in the van (3 declared, 1 fused since): 2 short", spoiled, bend)
	says(t, order(c, ahead.OrderGiven{}).Lacks(), "van: "+spoiled)

	id = c.Prepared("FG")
	c.Do(acts.StartFusion(c.H, id, 0), acts.RefuseStart(c.H, id, "contact", new(0)))
	stock("coupler 40: 4 needed, 2 left in the van (3 declared, 1 fused since): 2 short", spoiled, bend)
	for _, label := range []string{"1A", "1B"} {
		c.Fused(label)
		c.Wait(10 * time.Minute)
	}
	c.Late(func(l *acts.LateWeld) { l.Joint, l.Answers = "2A", crew.Fitting("coupler 40", "W-1") })
	stock("coupler 40: 1 needed, 0 left in the van (3 declared, 4 fused since): 1 short", spoiled, bend)

	// A kit taken anew counts from then on.
	c.Wait(time.Minute)
	c.Do(acts.TakeKit(c.H, acts.File{Name: "kit.toml", Text: "[[stock]]\nfitting = \"coupler 40\"\ncount = 5\n"}))
	stock("coupler 40: 1 needed, 5 in the van", "coupler 63: 1 needed, not among what is in the van: 1 short", bend)
	c.Do(acts.TakeKit(c.H, acts.File{Name: "kit.toml", Text: "[[unit]]\nserial = \"CU-1\"\n"}))
	stock()
}

// The same site gives the same order, and nothing of it hangs on the order of maps.
func TestOrderIsAlwaysTheSame(t *testing.T) {
	c := largeSite(t)
	c.Do(acts.TakeKit(c.H, acts.File{Name: "kit.toml", Text: "[[unit]]\nserial = \"CU-1\"\ninput_kva = 3\nlongest_seconds = 60\n[[unit]]\nserial = \"CU-2\"\ninput_kva = 3\n[generator]\nkva = 5\n"}))
	g := ahead.OrderGiven{Prepare: 8 * time.Minute, Ambient: &nine, Moving: 5 * time.Minute}
	first := lines(c, order(c, g))
	for range 3 {
		if again := lines(c, order(c, g)); !slices.Equal(first, again) {
			t.Fatalf("%q, then %q", first, again)
		}
	}
}

func TestOrderGivenHoursOutOfRange(t *testing.T) {
	for _, g := range []ahead.OrderGiven{{Moving: -time.Minute}, {Moving: 121 * time.Minute}, {Until: -1}, {Until: 25 * time.Hour}} {
		if err := g.Check(); err == nil {
			t.Errorf("%+v is taken", g)
		}
	}
	if err := (ahead.OrderGiven{Moving: 120 * time.Minute, Until: 24 * time.Hour}).Check(); err != nil {
		t.Error(err)
	}
}

// Where no batch is proposed it is said why.
func TestWhyNoBatchIsProposed(t *testing.T) {
	for _, tt := range []struct{ kit, want string }{
		{"[[clamp]]\nsizes_mm = [40]\ncount = 1\n", "None is marked: 1 clamp set of the kit left free."},
		{"[[unit]]\nserial = \"CU-1\"\nlongest_seconds = 10\n[[unit]]\nserial = \"CU-2\"\nlongest_seconds = 10\n", "no control unit can fuse coupler 40 (CU-1: longest time 30 s short"},
	} {
		c := withKit(t, tt.kit)
		o := order(c, ahead.OrderGiven{Ambient: &nine})
		if got := ahead.ProposeBatch(c.Book, c.H.Site, o, c.H.At, fusion.Stamp{}); len(got) > 0 {
			t.Fatalf("%q: proposed %v", tt.kit, got)
		}
		if got := ahead.NoBatch(c.Book, c.H.Site, o); !strings.Contains(got, tt.want) {
			t.Errorf("%q: %q, want %q", tt.kit, got, tt.want)
		}
	}
}
