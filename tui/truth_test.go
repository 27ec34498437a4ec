package tui

import (
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
)

// A meadow is the crew's invented site with its log on the screen: circuits 1 (high
// row) and 2 (low row), a header, an elbow on the pipe of 1A.
type meadow struct {
	*driver
	*crew.Crew
}

func onMeadow(t *testing.T, before ...func(*crew.Crew)) *meadow {
	t.Helper()
	c := crew.OnSite(t)
	for _, do := range before {
		do(c)
	}
	c.H.At = c.H.At.Add(time.Minute)
	return &meadow{drive(t, logOf(c.Memory), c.H.At, 80, 24), c}
}

// begins a weld of a joint with the first unit.
func (m *meadow) begins(joint string) {
	m.t.Helper()
	m.choose(joint + " ")
	m.keys("enter", "1")
	m.sees("control unit")
	m.keys("1")
	m.sees("step 1 of 9: fitting")
}

// fits answers for the fitting of a leg; its batches are typed.
func (m *meadow) fits(port, batch string) {
	m.t.Helper()
	m.keys(m.fitting())
	if port != "" {
		m.keys(port)
	}
	for _, said := range []struct{ asks, text string }{{"batch of the fitting", batch}, {"print on the pipe", ""}, {"batch of the coil", "coil 7"}, {"batch of the chamber's stubs", "stub 3"}} {
		switch {
		case !strings.Contains(m.frame(), "▸ "+said.asks):
		case said.text == "":
			m.keys("1")
		default:
			m.text(said.text)
		}
	}
	m.sees("step 2 of 9: preparation")
}

// prepares says that all is done, and with a rotary scraper where that is not as last time.
func (m *meadow) prepares() {
	m.t.Helper()
	m.sees("0  all done")
	m.keys("0")
	if strings.Contains(m.frame(), "▸ scraped with") {
		m.keys("1")
	}
}

// fitting is the key that takes the first fitting: where batches are as last time it
// takes those too.
func (m *meadow) fitting() string {
	if strings.Contains(m.frame(), "batches as last time") {
		return "enter"
	}
	return "1"
}

// upToStart takes a leg to the start of its current, at 9 °C with 40 s.
func (m *meadow) upToStart(joint, port string) string {
	m.t.Helper()
	m.begins(joint)
	m.fits(port, "W-1")
	m.prepares()
	m.text("9")
	m.bag()
	m.sets("40", "2.4")
	return m.Newest().Weld
}

func (m *meadow) bag() {
	m.t.Helper()
	if strings.Contains(m.frame(), "this bag prints") {
		m.keys("1")
	}
}

func (m *meadow) sets(seconds, ohms string) {
	m.t.Helper()
	m.sees("step 4 of 9: settings")
	if strings.Contains(m.frame(), "▸ the unit's time is") {
		m.keys("1")
	}
	m.keys("enter")
	m.text(seconds)
	m.keys("1") // 39.5 V
	m.sees("step 5 of 9: resistance")
	m.text(ohms)
	m.sees("step 6 of 9: start")
}

// fuses from the start to the look, and looks.
func (m *meadow) fuses() {
	m.t.Helper()
	m.keys("1")
	m.pass(40 * time.Second)
	m.keys("1")
	m.text("40")
	m.keys("0", "1")
	m.sees("Write on the pipe")
}

func (m *meadow) weld(id string) logbook.Weld {
	m.t.Helper()
	w, ok := m.Memory.Book.Weld(m.H.Site, id)
	if !ok {
		m.t.Fatalf("no weld %s", id)
	}
	return w
}

// finds are the rules that speak on a weld now.
func (m *meadow) finds(id string) (rules []string) {
	for _, f := range audit.Run(m.Memory.Book, m.H.Site, *m.now, fusion.Stamp{}).OfWeld(id) {
		if !f.Work {
			rules = append(rules, f.Rule)
		}
	}
	return rules
}

func (m *meadow) wants(id, rule string) {
	m.t.Helper()
	if rules := m.finds(id); !slices.Contains(rules, rule) {
		m.t.Errorf("%s: found %q, want %s", id, rules, rule)
	}
}

// said is a kind of entry, how many there are since the first n.
func (m *meadow) said(n int, kind logbook.Kind) (count int) {
	for _, e := range m.Entries[n:] {
		if e.Kind == kind {
			count++
		}
	}
	return count
}

// A temperature is typed straight off; that the last one holds is a key of its own,
// and after a reading outside the bands it is not offered.
func TestATemperatureIsTypedAtOnce(t *testing.T) {
	m := onMeadow(t)
	m.upToStart("1A", "1")
	m.keys("esc")
	m.pass(time.Minute)
	m.begins("2A")
	m.fits("3", "W-1")
	m.prepares()
	m.sees("→ still 9 °C, read 1 min ago")
	m.text("12") // the digit 1 confirms nothing
	m.sees("step 4 of 9: settings", "at 12 °C")
	m.keys("left")
	m.sees("changing an answer", "now: 12")
	m.text("29")
	m.sees("29 °C beside 12 °C") // doubted once, and insisted on
	m.text("29")
	m.sees("STOPPED", "29 °C is outside the bands", "step 3 of 9: ambient") // nor does the reading before hold
	m.lacks("→ still")
}

// One slip at the bag blocks the fitting, shows both figures, and is lifted by the
// figure typed again.
func TestASlipAtTheBagIsLifted(t *testing.T) {
	m := onMeadow(t)
	m.begins("1A")
	m.fits("1", "W-1")
	m.prepares()
	m.text("9")
	m.sees("this bag prints for 5…14 °C", "1  as the table: 40 s", "2  another time")
	m.keys("2")
	m.text("46")
	m.sees("BLOCKED on the whole site: the bag of batch W-1 prints 46 s", "The table has 40 s", "your name as Ada Invented")
	m.text("40")
	m.sees("step 4 of 9: settings")
	if b := crew.Last[logbook.BagRead](m.Crew); !b.Matches || *b.Printed != 40 || m.Newest().By != crew.Ada {
		t.Errorf("stored %+v", b)
	}
}

// Until the current is on each answer can be changed: what it was is shown and stored
// beside what it is, and the walk goes on where it stood.
func TestEachAnswerCanBeChangedUntilTheCurrent(t *testing.T) {
	back := func(n int) []string { return slices.Repeat([]string{"left"}, n) }
	for _, tt := range []struct {
		name  string
		back  int
		sees  string
		keys  []string
		line  string
		stays string
	}{
		{"ohms", 1, "now: 2.4", []string{"2", ".", "6", "enter"}, "from memory) (before: 2.4 Ω)", "step 6"},
		{"ambient", 4, "now: 9", []string{"8", "enter"}, "ambient 8 °C, typed (before: 9 °C)", "step 4"},
		{"coil", 7, "now: coil 7", []string{"c", "8", "enter"}, "fitting: batch of the coil or pipe: c8 (before: coil 7)", "step 6"},
		{"batch", 9, "now: W-1", []string{"W", "2", "enter"}, "fitting: fitting batch: W2 (before: W-1)", "bag"},
		{"port", 10, "now: port 1", []string{"3"}, "fitting: port: 3 (before: 1)", "step 6"},
		{"fitting", 11, "now: coupler 40", []string{"2"}, "fitting: elbow 40 (before: coupler 40)", "step 1"},
		{"unit", 12, "now: CU-1", []string{"2"}, "people and unit: control unit: CU-2 (before: CU-1)", "step 4"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			m := onMeadow(t)
			id := m.upToStart("1A", "1")
			m.keys(back(tt.back)...)
			m.sees("changing an answer", tt.sees)
			n := len(m.Entries)
			m.keys("enter") // what stands is kept, and nothing is stored
			m.sees("step 6 of 9: start")
			if len(m.Entries) != n {
				t.Errorf("keeping an answer stored %s", m.Newest().Open().Line())
			}
			m.keys(back(tt.back)...)
			m.keys(tt.keys...)
			if got := m.Newest().Open().Line(); !strings.Contains(got, tt.line) {
				t.Errorf("stored %q, want %q", got, tt.line)
			}
			m.sees(tt.stays)
			if w := m.weld(id); w.Abandoned != "" || !w.Walking() {
				t.Errorf("%+v", w)
			}
		})
	}
}

// Esc in the midst of looking back goes on with the walk, and not out of it.
func TestLookingBackLeavesNothing(t *testing.T) {
	m := onMeadow(t)
	m.upToStart("1A", "1")
	n := len(m.Entries)
	m.keys("left", "left", "left", "esc")
	m.sees("step 6 of 9: start")
	if len(m.Entries) != n {
		t.Errorf("stored %s", m.Newest().Open().Line())
	}
	m.keys(slices.Repeat([]string{"left"}, 20)...)
	m.sees("there is no question before this one")
}

// After a break of two seconds it is asked what is true, and nobody says that he
// scraped again.
func TestABreakForcesNoUntruth(t *testing.T) {
	m := onMeadow(t)
	id := m.upToStart("1A", "1")
	n := len(m.Entries)
	m.keys("esc")
	m.pass(2 * time.Second)
	m.keys("1")
	m.sees("Scraped 0 min ago; the walk was left since", "1  fitting on, clamped, dry, untouched", "3  cut back and prepared anew", "nothing done")
	m.keys("1")
	m.sees("step 6 of 9: start", "Scraped 0 min ago")
	if got := m.said(n, logbook.StepAnswered{}.Kind()); got != 1 {
		t.Errorf("%d answers after the break, want the one", got)
	}
	if got := m.Newest().Open().Line(); got != "after the break: the joint: fitting on, clamped, dry, untouched" {
		t.Errorf("told as %q", got)
	}
	m.fuses()
	if rules := m.finds(id); len(rules) > 0 {
		t.Errorf("found %q", rules)
	}

	m = onMeadow(t)
	id = m.upToStart("1A", "1")
	m.keys("esc", "1", "5")
	m.fuses()
	m.wants(id, "after-break")
}

// The card asks each end, the bore, and that the fitting is pushed home.
func TestTheCardAsksBothEnds(t *testing.T) {
	m := onMeadow(t)
	m.begins("1A")
	m.fits("1", "W-1")
	m.sees("no swarf in the bore", "scraped all round: stub end ", "scraped all round: pipe end ", "home to both marks, fitting centred", "leads reach the terminals")
	m.keys("4", "3", "1", "enter")
	m.sees("pipe end                   could not (no tool)", "0  all done but what is marked")
	m.prepares()
	m.text("9")
	m.bag()
	m.sets("40", "2.4")
	m.fuses()
	m.wants(m.Newest().Weld, "unscraped")
}

// Work beside a hold is asked about, and what is said is stored and judged.
func TestWorkBesideAHoldIsSaid(t *testing.T) {
	for answer, want := range map[string]string{"2": "", "3": "beside-hold", "4": "beside-hold"} {
		m := onMeadow(t)
		m.upToStart("1A", "1")
		m.fuses()
		m.keys("enter")
		m.pass(time.Minute)
		m.choose("1B ")
		m.keys("enter", "1")
		m.sees("1B shares its pipe with 1A", "1  take another joint", "2  it stays clamped and is not disturbed by this", "4  go on; nobody is sure")
		m.keys(answer, "1")
		m.fits("2", "W-1")
		m.prepares()
		m.keys("space")
		m.sets("40", "2.4")
		m.fuses()
		said := ""
		for _, e := range m.Entries {
			if b, ok := e.Open().(logbook.StepAnswered); ok && b.Step == logbook.StepBeside {
				said = b.Line()
			}
		}
		if word := map[string]string{"2": "clamped, undisturbed", "3": "disturbed or not clamped", "4": "not sure"}[answer]; said != "held beside: KM-0001 beside: "+word {
			t.Errorf("answer %s is told as %q", answer, said)
		}
		if rules := m.finds(m.Newest().Weld); strings.Join(rules, " ") != want {
			t.Errorf("answer %s: found %q, want %q", answer, rules, want)
		}
	}
}

// A hold that begins on the pipe while a walk is open is asked about there.
func TestAHoldThatBeginsDuringAWalk(t *testing.T) {
	m := onMeadow(t)
	m.begins("1B")
	m.fits("2", "W-1")
	m.keys("esc")
	other := m.upToStart("1A", "1")
	m.fuses()
	m.keys("enter", "1")
	m.sees("held beside", "Joint 1A ("+other+") is fusing or held on the same pipe", "the held joint stays, by this work")
	m.keys("1")
	m.sees("step 2 of 9: preparation")
}

// Rain without shelter, and a fitting unlike the plan, are said before the current and
// stay in sight until it is on.
func TestWhatTheCurrentShouldWaitFor(t *testing.T) {
	const rain = "Rain or snow and no shelter"
	m := onMeadow(t, func(c *crew.Crew) {
		c.Do(acts.ChangeWeather(c.H, logbook.Weather{Sky: logbook.SkyWet, Shelter: logbook.ShelterNone}))
	})
	m.begins("1A")
	m.sees(rain)
	m.keys("2") // the elbow
	m.sees("The plan has coupler 40 here: with elbow 40 it is a query.", rain)
	m.keys("1")
	m.text("W-9")
	m.keys("1")
	m.text("coil 7")
	m.text("stub 3")
	m.prepares()
	m.text("9")
	m.bag()
	m.sees(rain)
	m.sets("40", "2.4")
	m.sees(rain, "The plan has coupler 40 here")
	m.keys("1")
	m.lacks(rain)
	m.lacks("The plan has")
}

// A joint that was moved before its time was up has failed, whatever minute is said.
func TestMovedBeforeItsTime(t *testing.T) {
	for _, tt := range []struct {
		moved, minute, want string
	}{{"1", "6", "disturbed"}, {"2", "6", ""}, {"3", "6", "moved-unsure"}, {"3", "5", "moved-unsure"}, {"3", "4", "disturbed"}} {
		m := onMeadow(t)
		id := m.upToStart("1A", "1")
		m.fuses()
		m.keys("enter")
		m.pass(7 * time.Minute)
		m.keys("right", "1", "1", "2")
		m.sees("1  before its time was up", "2  after its time was up", "3  not sure")
		m.keys(tt.moved)
		m.text(tt.minute)
		m.keys("enter")
		if rules := m.finds(id); strings.Join(rules, " ") != tt.want {
			t.Errorf("%+v: found %q", tt, rules)
		}
	}
}

// A figure that cannot be, or hardly, is asked for once more beside the other one, and
// then taken as it is.
func TestADoubtfulFigureIsAskedOnceMore(t *testing.T) {
	m := onMeadow(t)
	id := m.upToStart("1A", "1")
	m.keys("1")
	m.pass(10 * time.Second)
	m.keys("2")
	m.text("124")
	m.sees("124 s beside 40 s set: read it again")
	m.text("124")
	m.text("lead off")
	m.wants(id, "doubtful-figure")
	if w := m.weld(id); *w.StoppedAt != 124 || w.StoppedDoubt != logbook.Longer {
		t.Errorf("%+v", w)
	}

	m = onMeadow(t)
	m.upToStart("1A", "1")
	m.keys("left")
	m.text("28")
	m.sees("28 Ω beside 2.4 Ω in the table: read it again")
	m.text("2.8")
	m.sees("2.8 Ω lies outside 2.16 … 2.74 Ω: read it again")
	m.text("2.8")
	m.sees("step 6 of 9: start", "2.8 Ω lies outside 2.16 … 2.74 Ω: a query, for the foreman.")
	if b := crew.Last[logbook.ResistanceRead](m.Crew); b.Doubted != "" || *b.Ohms != 2.8 {
		t.Errorf("stored %+v", b)
	}
}

// A zero is a value, and that nothing is shown a key of its own.
func TestAZeroIsAValue(t *testing.T) {
	m := onMeadow(t)
	id := m.upToStart("1A", "1")
	m.keys("left")
	m.text("0")
	m.sees("a coil of 0 Ω is shorted")
	m.text("0")
	if b := crew.Last[logbook.ResistanceRead](m.Crew); b.Ohms == nil || *b.Ohms != 0 || b.Doubted != logbook.Nought {
		t.Errorf("stored %+v", b)
	}
	m.keys("left", "space")
	if b := crew.Last[logbook.ResistanceRead](m.Crew); b.Ohms != nil || b.Was != "0" || !strings.HasSuffix(b.Line(), "(before: 0 Ω)") {
		t.Errorf("stored %+v", b)
	}
	m.fuses()
	if rules := m.finds(id); len(rules) > 0 {
		t.Errorf("found %q", rules)
	}
}

// The unit ends a little before the laptop's count: nothing is asked then. Well before
// its time the seconds that it shows are asked, and no digit answers yes or no.
func TestAFusionCalledEndedEarly(t *testing.T) {
	m := onMeadow(t)
	m.upToStart("1A", "1")
	m.keys("1")
	m.pass(30 * time.Second)
	m.keys("1")
	m.text("40")
	m.sees("Look, do not touch")

	m = onMeadow(t)
	id := m.upToStart("1A", "1")
	m.keys("1")
	m.pass(10 * time.Second)
	m.keys("1")
	m.sees("30 s of its time are left", "↓ it runs on")
	m.keys("2") // begins a figure
	if m.weld(id).Ended != nil {
		t.Error("a digit alone ended the fusion")
	}
	m.keys("backspace", "space")
	m.sees("how the fusion ended")
	m.keys("1")
	m.text("40") // the unit shows it: so it did run
	m.sees("Look, do not touch")
	if w := m.weld(id); *w.Run != 40 || w.Hold.Began.Boot-w.Hold.Done-w.Started.Boot != 40*time.Second {
		t.Errorf("ran %d s, held from %v after the start", *w.Run, w.Hold.Began.Boot-w.Started.Boot)
	}
}

// A fitting that the table gives indicators cannot be one without.
func TestNoIndicatorsWhereTheTableHasSome(t *testing.T) {
	two := strings.ReplaceAll(crew.TableText, "cooling_min", "indicators = 2\ncooling_min")
	m := onMeadow(t, func(c *crew.Crew) {
		c.Do(acts.TakeTable(c.H, acts.File{Name: "two.toml", Text: two}), acts.ReadBack(c.H, logbook.Hash(two)))
	})
	id := m.upToStart("1A", "1")
	m.keys("1")
	m.pass(40 * time.Second)
	m.keys("1")
	m.text("40")
	m.keys("0")
	m.sees("both indicators")
	m.keys("4")
	m.wants(id, "indicators-unlike")
}

// Another's walk is opened on purpose and by name, and becomes whose hands make it.
func TestAnothersWalk(t *testing.T) {
	const bo = "Bo Invented"
	m := onMeadow(t, func(c *crew.Crew) {
		c.Do(acts.CloseShift(c.H), acts.StartShift(c.H, logbook.ShiftStarted{
			Day: "2026-03-09", Operators: []logbook.Operator{{Name: crew.Ada, Mark: "AI"}, {Name: bo, Mark: "BI"}},
			Units: []logbook.Unit{{Serial: crew.Unit, Corrects: logbook.No}}, Weather: logbook.Weather{Sky: "dry", Shelter: "none"},
		}))
	})
	m.choose("2A ")
	m.keys("enter", "1")
	m.sees("who welds")
	m.keys("2")
	m.sees("step 1 of 9: fitting")
	id := m.Newest().Weld
	m.keys("1", "esc")
	m.choose("1A ")
	m.keys("enter", "1", "1") // Ada begins another and leaves it
	m.keys("esc", "1")
	m.sees("1A   ") // her own, not his
	m.keys("esc")
	m.choose("2A ")
	m.keys("enter")
	m.sees("go on with " + id + ", begun by " + bo)
	m.keys("1")
	m.sees("was begun by "+bo, "Whose hands make this weld from here on?")
	m.keys("1")
	m.sees("step 1 of 9: fitting", id)
	if w := m.weld(id); w.Operator != crew.Ada || !strings.Contains(m.Newest().Open().Line(), "operator: Ada Invented (before: Bo Invented)") {
		t.Errorf("welded by %s: %s", w.Operator, m.Newest().Open().Line())
	}
}

// After a refusal that leaves open whether heat went in nobody is made to say that
// none did, and the finding stays open until somebody answers for it.
func TestAGivenUpWeldThatMayHaveHadHeat(t *testing.T) {
	m := onMeadow(t)
	id := m.upToStart("1A", "1")
	m.keys("1")
	m.pass(30 * time.Second)
	m.keys("3", "3", "enter")
	m.text("2.4")
	m.sees("give this weld up; whether current was on is not known")
	m.lacks("no current was on")
	m.keys("4")
	m.text("taken off")
	m.sees("It is not known that no current went in")
	m.wants(id, "refused-late")
	if v := audit.Run(m.Memory.Book, m.H.Site, *m.now, fusion.Stamp{}).Verdict(id); v != audit.Queried {
		t.Errorf("verdict %q", v)
	}
	m.keys("enter")
	m.choose("1A ")
	m.keys("enter")
	m.lacks("no heat")

	m.keys("esc", "9")
	m.choose(id)
	m.keys("enter")
	m.sees("query: the foreman must decide")
	m.lacks("settled")
	m.keys("1")
	m.text("Hedda Roan")
	m.text("display said 0 s, fitting thrown away")
	m.sees("accepted: each query was accepted by name", "display said 0 s")
	if v := audit.Run(m.Memory.Book, m.H.Site, *m.now, fusion.Stamp{}).Verdict(id); v != audit.Accepted {
		t.Errorf("verdict after it was accepted: %q", v)
	}
}

// What the display shows after a refusal is asked as the kit says that it counts.
func TestHowTheDisplayCounts(t *testing.T) {
	for counts, sees := range map[string][]string{
		"up": {"1  0 s: nothing has run", "2  more than 0 s"}, "down": {"1  40 s, all that was set: nothing has run", "2  less than 40 s"}, "no": {"▸ what the unit said"},
	} {
		m := onMeadow(t, func(c *crew.Crew) {
			c.Do(acts.TakeKit(c.H, acts.File{Name: "kit.toml", Text: "[[unit]]\nserial = \"CU-1\"\ncounts = \"" + counts + "\"\n"}))
		})
		m.upToStart("1A", "1")
		m.keys("1")
		m.pass(5 * time.Second)
		m.keys("3")
		m.sees(sees...)
	}
}

// The last answer of a look or a release can be changed at once; what was recorded
// first stays beside it.
func TestTheLastAnswerOfALookIsChanged(t *testing.T) {
	m := onMeadow(t)
	id := m.upToStart("1A", "1")
	m.fuses()
	m.keys("left")
	m.sees("pipe and fitting in line", "now: yes")
	m.keys("2")
	m.sees("Write on the pipe")
	if b := crew.Last[logbook.Correction](m.Crew); b.Field != "straight.hot.1" || b.Old != logbook.Yes || b.New != logbook.No {
		t.Errorf("stored %+v", b)
	}
	m.wants(id, "not-straight")
	m.keys("enter")
	m.pass(7 * time.Minute)
	m.keys("right", "1", "0", "1")
	m.sees("← change the last answer on " + id)
	m.keys("left")
	m.sees("at release", "now: up")
	m.keys("2")
	if b := crew.Last[logbook.Correction](m.Crew); b.Field != "indicators.release.2" || b.Old != logbook.Up || b.New != logbook.Part {
		t.Errorf("stored %+v", b)
	}
}

// Who ended a hold is said to the one who comes second.
func TestARefusalSaysWho(t *testing.T) {
	m := onMeadow(t)
	id := m.upToStart("1A", "1")
	m.fuses()
	m.keys("enter")
	m.pass(7 * time.Minute)
	m.keys("right", "1", "0") // felt; the indicators are still asked
	m.H.At, m.H.By = *m.now, "Bo Invented"
	m.Do(acts.Release(m.H, id, crew.Look(logbook.LookRelease), fusion.Stamp{}))
	m.keys("1")
	m.sees("not in a hold any more: released: not moved before, by Bo")
}

// A fitting of two zones is walked through twice, from the resistance to the seconds
// run, under one number; what it must not do in between is said.
func TestTwoZonesByKeys(t *testing.T) {
	two := strings.ReplaceAll(crew.TableText, "cooling_min", "zones = 2\ncooling_min")
	m := onMeadow(t, func(c *crew.Crew) {
		c.Do(acts.TakeTable(c.H, acts.File{Name: "two.toml", Text: two}), acts.ReadBack(c.H, logbook.Hash(two)))
	})
	m.begins("1A")
	m.fits("1", "W-1")
	m.prepares()
	m.text("9")
	m.bag()
	m.keys("1", "enter")
	m.text("40")
	m.keys("1")
	m.sees("ZONE 1 OF 2: its own pair of terminals")
	m.text("2.4")
	id := m.Newest().Weld
	m.keys("1")
	m.sees("zone 1 of 2, fusion")
	m.pass(40 * time.Second)
	m.keys("1")
	m.sees("zone 1 of 2, seconds run", "This zone is fused, and the next one follows. Do not move the joint.")
	m.text("40")
	m.sees("zone 2 of 2, resistance", "1A zone 2 of 2: →")
	m.keys("esc")
	m.choose("1A ")
	m.keys("right")
	m.sees("1A zone 2 of 2: →")
	m.keys("1")
	m.text("2.3")
	m.sees("zone 2 of 2, start", "4  it cannot be fused on: it is to be cut out")
	m.keys("1")
	m.pass(40 * time.Second)
	m.keys("1")
	m.sees("The hold runs")
	m.text("40")
	m.keys("0", "1")
	m.sees("Write on the pipe", "cool until")
	if rules := m.finds(id); len(rules) > 0 {
		t.Errorf("found %q", rules)
	}
	if w := m.weld(id); len(w.Zones) != 1 || len(w.ZoneLines()) != 2 {
		t.Errorf("%+v", w.Zones)
	}
}

// twoHands are two operators and two units on the shift.
func twoHands(c *crew.Crew) {
	c.Do(acts.CloseShift(c.H), acts.StartShift(c.H, logbook.ShiftStarted{
		Day: "2026-03-09", Operators: []logbook.Operator{{Name: crew.Ada, Mark: "AI"}, {Name: "Bo Invented", Mark: "BI"}},
		Units:   []logbook.Unit{{Serial: crew.Unit, Corrects: logbook.No}, {Serial: "CU-2", Corrects: logbook.No}},
		Weather: logbook.Weather{Sky: "dry", Shelter: "none"},
	}))
}

// Whoever opened a walk last is not who answers in another's: a weld's own operator does.
func TestWhoAnswers(t *testing.T) {
	m := onMeadow(t, twoHands)
	m.choose("1A ")
	m.keys("enter", "1")
	m.sees("who welds")
	m.keys("1", "1")
	m.fits("1", "W-1")
	m.prepares()
	m.text("9")
	m.bag()
	m.sets("40", "2.4")
	id := m.Newest().Weld
	m.keys("1", "esc")
	m.choose("2A ")
	m.keys("enter", "1", "2", "2")
	m.sees("step 1 of 9: fitting")
	m.keys("esc")
	m.pass(40 * time.Second)
	m.keys("right")
	if strings.Contains(m.frame(), "What runs") {
		m.keys("1")
	}
	m.sees("FUSION TIME IS OVER")
	m.keys("1")
	m.text("40")
	m.keys("0", "1")
	n := len(m.Entries)
	for _, e := range m.Entries[n-3:] {
		if e.Weld != id || e.By != crew.Ada {
			t.Errorf("%s of %s is by %s", e.Open().Line(), e.Weld, e.By)
		}
	}
}

// A cap takes one end: nobody says that another was scraped.
func TestTheCardOfACap(t *testing.T) {
	m := onMeadow(t)
	m.begins("1A")
	m.keys("3") // the cap of 40 mm
	m.keys("1")
	m.text("W-1")
	m.keys("1")
	m.text("coil 7")
	m.text("stub 3")
	m.sees("scraped all round, band visible", "(this fitting takes one end only)")
	m.keys("0", "1")
	m.sees("step 3 of 9: ambient")
	w := m.weld(m.Newest().Weld)
	if a := w.Answers[logbook.ItemScraped2]; a.V != logbook.NoSuch || a.How != logbook.Computed {
		t.Errorf("stored %+v", a)
	}
}

// A walk that is left in the midst of its preparation is simply gone on with.
func TestABreakInThePreparation(t *testing.T) {
	m := onMeadow(t)
	m.begins("1A")
	m.fits("1", "W-1")
	m.keys("3", "1", "1") // one end is scraped
	m.sees("0  all done")
	m.keys("5", "esc") // opened by mistake
	m.sees("0  all done")
	m.keys("esc", "1")
	m.sees("step 2 of 9: preparation", "stub end                   done")
}

// A minute that is still to come is asked for once more.
func TestAMinuteStillToCome(t *testing.T) {
	m := onMeadow(t)
	m.upToStart("1A", "1")
	m.fuses()
	m.keys("enter")
	m.pass(time.Minute)
	m.keys("right", "1", "2")
	m.text("15")
	m.sees("15 min beside 1 min since the fusion")
	m.text("1")
	m.keys("enter", "esc")
	m.choose("1A ")
	m.keys("enter", "1")
	m.sees("It was moved before its time was up: when it is cold, cut it out")
}

// When a unit refused is when that was said, not when its words were typed.
func TestARefusalIsTimedByItsFirstKey(t *testing.T) {
	m := onMeadow(t)
	m.upToStart("1A", "1")
	m.keys("1")
	m.pass(3 * time.Second)
	m.keys("3")
	m.pass(30 * time.Second)
	m.keys("1")
	m.text("a long story")
	if b := crew.Last[logbook.AttemptRefused](m.Crew); *b.AfterS != 3 || !b.Cold() {
		t.Errorf("stored %+v", b)
	}
}

// While its only unit fuses one joint, nothing that its display shows is another's: the
// time is not keyed and no resistance read until that fusion has ended.
func TestABusyUnitShowsAnothersFigures(t *testing.T) {
	m := onMeadow(t)
	m.upToStart("1A", "1")
	m.keys("1", "esc")
	m.begins("2A")
	m.fits("3", "W-1")
	m.prepares()
	m.text("9")
	m.bag()
	id, n := m.Newest().Weld, len(m.Entries)
	m.sees("step 4 of 9: settings", "Unit CU-1 is fusing 1A: wait for its end")
	m.lacks("Enter: it is in the unit")
	m.keys("enter")
	m.sees("nothing can be keyed into a unit that is fusing")
	m.pass(40 * time.Second)
	m.keys("right", "1", "1")
	m.text("40")
	m.keys("0", "1", "enter")
	m.sees("Enter: it is in the unit")
	if got := m.said(n, logbook.SettingsKeyed{}.Kind()) + m.said(n, logbook.ResistanceRead{}.Kind()); got != 0 {
		t.Errorf("%d figures of %s were taken off a unit that was fusing", got, id)
	}
	m.sets("40", "2.4")
}

// What is wrong with a weld is said where it is recorded and where it is released, not
// only in a column of the board.
func TestAFaultIsSaidWhenItIsRecorded(t *testing.T) {
	m := onMeadow(t)
	id := m.upToStart("1A", "1")
	m.keys("1")
	m.pass(40 * time.Second)
	m.keys("1")
	m.text("40")
	m.keys("0", "3")
	m.wants(id, "indicator-flat")
	m.sees("Write on the pipe", "FAIL: indicator flat", "it is to be cut out")
	m.keys("enter")
	m.pass(time.Hour)
	m.keys("right")
	m.keys("1")
	m.sees("The hold is over", "FAIL: indicator flat")
}
