package tui

import (
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
)

// answersOf are the answers of the newest entry of a kind "step answered".
func (m *meadow) answersOf() map[string]logbook.Answer {
	m.t.Helper()
	said := map[string]logbook.Answer{}
	for _, a := range crew.Last[logbook.StepAnswered](m.Crew).Answers {
		said[a.Item] = a
	}
	return said
}

// One key takes what is as last time, and each batch of it is kept as carried over: nobody
// gave it by itself.
func TestTheCardAsLastTime(t *testing.T) {
	m := onMeadow(t)
	m.upToStart("1A", "1")
	m.fuses()
	m.keys("enter")
	m.pass(7 * time.Minute)
	m.begins("1B") // on the same pipe
	m.sees("1  fitting                    coupler 40   planned", "2  fitting batch              W-1   as last time", "3  batch of the coil or pipe  coil 7   as last time", "4  stub batch                 stub 3   as last time")
	n := len(m.Entries)
	m.keys("enter")
	m.sees("port this leg goes to") // which is seen, so it stands on no card
	if len(m.Entries) != n+1 {
		t.Errorf("%d entries for the card", len(m.Entries)-n)
	}
	for item, want := range map[string]logbook.How{
		logbook.ItemFitting: logbook.Offered, logbook.ItemBatch: logbook.Carried, logbook.ItemPipeBatch: logbook.Carried, logbook.ItemStubBatch: logbook.Carried,
	} {
		if got := m.answersOf()[item]; got.How != want || got.V == "" {
			t.Errorf("%s is kept as %+v, want %s", item, got, want)
		}
	}
	if line := m.Newest().Open().Line(); !strings.Contains(line, "fitting batch: W-1 (carried over)") {
		t.Errorf("told as %q", line)
	}
}

// A digit changes one line of the card, at once and typed; what is confirmed is no longer
// carried over. The others stay as last time.
func TestOneLineOfTheCardIsChanged(t *testing.T) {
	m := onMeadow(t)
	m.upToStart("1A", "1")
	m.fuses()
	m.keys("enter")
	m.begins("2A")
	m.keys("2")
	m.text("W-2")
	m.sees("2  fitting batch              W-2  (typed)", "3  batch of the coil or pipe  asked next")
	if got := m.answersOf(); got[logbook.ItemBatch].V != "W-2" || len(got) != 1 {
		t.Errorf("stored %+v", got)
	}
	m.keys("3", "enter") // confirmed by itself
	m.sees("coil 7  (default taken)")
	m.keys("4", "esc")
	m.keys("1")
	m.sees("W-2  (typed)") // it was stored, and the walk was left
	m.keys("enter", "3", "1")
	w := m.weld(m.Newest().Weld)
	for item, want := range map[string]logbook.Answer{
		logbook.ItemBatch: {V: "W-2", How: logbook.Typed}, logbook.ItemPipeBatch: {V: "coil 7", How: logbook.Offered}, logbook.ItemStubBatch: {V: "stub 3", How: logbook.Carried},
	} {
		if got := w.Answers[item]; got.V != want.V || got.How != want.How {
			t.Errorf("%s: %+v, want %+v", item, got, want)
		}
	}
}

// A batch that nobody could read is not carried over: it is asked, and so is one of
// another fitting.
func TestWhatIsNotKnownIsNotCarried(t *testing.T) {
	m := onMeadow(t, func(c *crew.Crew) {
		id := c.Numbered("1A")
		c.Do(acts.AnswerStep(c.H, id, logbook.StepFitting, []logbook.Answer{
			crew.Say(logbook.ItemFitting, "elbow 40"), crew.Say(logbook.ItemBatch, "E-1"), crew.Say(logbook.ItemPipeBatch, logbook.NotKnown), crew.Say(logbook.ItemStubBatch, "stub 3"),
		}))
	})
	m.begins("2A")
	m.sees("2  fitting batch              asked next", "3  batch of the coil or pipe  asked next", "stub 3   as last time")
	m.keys("enter", "3")
	m.sees("▸ batch of the fitting")
}

// A scan on the card goes to the line it belongs to.
func TestAScanOnTheCardFindsItsLine(t *testing.T) {
	trace, pipe := strings.Repeat("0", 26), strings.Repeat("0", 40)
	if fusion.ReadCode(trace).Form != fusion.ComponentTrace || fusion.ReadCode(pipe).Form != fusion.PipeTrace {
		t.Fatal("no codes of the standard")
	}
	m := onMeadow(t)
	m.upToStart("1A", "1")
	m.fuses()
	m.keys("enter")
	m.begins("2A")
	m.scan(pipe)
	if got := m.answersOf(); got[logbook.ItemPipeBatch].How != logbook.Scanned || got[logbook.ItemPipeTrace].V != pipe {
		t.Errorf("stored %+v", got)
	}
	m.sees("batches as last time")
	m.scan(trace)
	if got := m.answersOf(); got[logbook.ItemBatch].How != logbook.Scanned || got[logbook.ItemTrace].V != trace {
		t.Errorf("stored %+v", got)
	}
	m.keys("enter", "3")
	if w := m.weld(m.Newest().Weld); w.Batch() != trace || w.Answers[logbook.ItemStubBatch].How != logbook.Carried {
		t.Errorf("after the card: %+v", w.Answers)
	}
}

// Each end has the method it was scraped with, offered from the last weld of its kind and
// carried over by the 0 that says that it is done; a line's digit says another.
func TestEachEndHasItsMethod(t *testing.T) {
	m := onMeadow(t)
	methods := func() (first, other logbook.Answer) {
		w := m.weld(m.Newest().Weld)
		return w.Answers[logbook.ItemMethod], w.Answers[logbook.ItemMethod2]
	}
	m.begins("1A")
	m.fits("1", "W-1")
	m.keys("0")
	m.sees("▸ scraped with", "3  stub end hand scraper, pipe end rotary scraper")
	m.keys("3")
	if first, other := methods(); first.V != logbook.HandTool || other.V != logbook.RotaryTool || other.How != logbook.Typed {
		t.Errorf("stored %+v, %+v", first, other)
	}
	m.keys("esc")
	m.begins("2A")
	m.fits("3", "W-1")
	m.sees("stub end                   hand scraper, as last time", "pipe end                   rotary scraper, as last time")
	m.keys("4", "1", "2") // the pipe end by hand, this time
	m.sees("pipe end                   done hand scraper")
	m.keys("0")
	m.sees("step 3 of 9: ambient")
	if first, other := methods(); first.V != logbook.HandTool || first.How != logbook.Carried || other.V != logbook.HandTool || other.How != logbook.Typed {
		t.Errorf("stored %+v, %+v", first, other)
	}
	m.keys("esc")
	m.begins("2B")
	m.fits("4", "W-1")
	m.keys("3", "1", "2", "0") // one is said here, the other is as last time
	if first, other := methods(); first.How != logbook.Typed || other.V != logbook.HandTool || other.How != logbook.Carried {
		t.Errorf("stored %+v, %+v", first, other)
	}
}

// Where only one end was scraped last time the other is asked, and keeps how it came.
func TestOneEndIsAsked(t *testing.T) {
	m := onMeadow(t, func(c *crew.Crew) {
		c.Do(acts.AnswerStep(c.H, c.Fitted("1A"), logbook.StepPrep, crew.Card(crew.Say(logbook.ItemScraped2, logbook.CouldNot))))
	})
	m.begins("2A")
	m.fits("3", "W-1")
	m.keys("0")
	m.sees("▸ scraped with, pipe end")
	m.keys("1")
	w := m.weld(m.Newest().Weld)
	if first, other := w.Answers[logbook.ItemMethod], w.Answers[logbook.ItemMethod2]; first.How != logbook.Carried || other.How != logbook.Typed || other.V != first.V {
		t.Errorf("stored %+v, %+v", first, other)
	}
}

// One method of both ends is kept once, as it always was.
func TestOneMethodIsKeptOnce(t *testing.T) {
	m := onMeadow(t)
	m.begins("1A")
	m.fits("1", "W-1")
	m.keys("0", "2")
	w := m.weld(m.Newest().Weld)
	if _, twice := w.Answers[logbook.ItemMethod2]; twice || w.MethodOf(logbook.Ends[1]) != logbook.HandTool || !w.Prepared() {
		t.Errorf("stored %+v", w.Answers)
	}
}

// How the time comes into the unit is as last time on it, with the Enter that takes the
// figures away; a digit says otherwise. Of a unit that may correct for temperature it is asked.
func TestTheTimeComesAsLastTime(t *testing.T) {
	m := onMeadow(t)
	m.upToStart("1A", "1")
	m.keys("esc")
	toSettings := func(joint, port string) {
		m.begins(joint)
		m.fits(port, "W-1")
		m.prepares()
		m.keys("space")
		m.sees("Key into the unit", "keyed by hand, as last time on this unit; 2: read from a code")
	}
	toSettings("2A", "3")
	m.keys("enter")
	m.text("40")
	m.keys("1")
	if b := crew.Last[logbook.SettingsKeyed](m.Crew); b.ModeHow != logbook.Carried || b.How != logbook.Typed || b.Mode != logbook.ModeKeyed || !strings.Contains(b.Line(), "keyed by hand (carried over)") {
		t.Errorf("stored %+v, told as %q", b, b.Line())
	}
	m.keys("esc")
	toSettings("2B", "4")
	m.keys("2")
	m.sees("The unit reads its time from the fitting's code.")
	m.keys("enter")
	m.text("41")
	m.keys("1")
	if b := crew.Last[logbook.SettingsKeyed](m.Crew); b.ModeHow != "" || b.Mode != logbook.ModeCode {
		t.Errorf("stored %+v", b)
	}
}

// Of a unit of which nobody knows whether it corrects, that is asked each time, with its
// caution.
func TestTheTimeOfAnUnknownUnitIsAsked(t *testing.T) {
	m := onMeadow(t, func(c *crew.Crew) {
		c.Do(acts.CloseShift(c.H), acts.StartShift(c.H, logbook.ShiftStarted{
			Day: "2026-03-09", Operators: []logbook.Operator{{Name: crew.Ada}}, Units: []logbook.Unit{{Serial: crew.Unit, Corrects: logbook.NotKnown}},
			Weather: logbook.Weather{Sky: "dry", Shelter: "none"},
		}))
	})
	for _, leg := range []struct{ joint, port string }{{"1A", "1"}, {"2A", "3"}} {
		m.choose(leg.joint + " ")
		m.keys("enter", "1")
		m.fits(leg.port, "W-1")
		m.prepares()
		m.text("9")
		m.bag()
		m.sees("Whether this unit corrects for temperature itself is not known", "▸ the unit's time is")
		m.sets("40", "2.4")
		m.keys("esc")
	}
}

// The voltage is chosen by one key where it is usual, typed where it is not, and none is
// marked. What is typed out is that voltage: its first digit is no line's place.
func TestTheVoltageIsChosen(t *testing.T) {
	for keys, want := range map[string]string{"1": "39.5", "6": "", "539,5\r": "39.5", "39.5\r": "39.5", "39,50\r": "39.5"} {
		m := onMeadow(t)
		m.begins("1A")
		m.fits("1", "W-1")
		m.prepares()
		m.text("9")
		m.bag()
		m.keys("1", "enter")
		m.text("40")
		m.sees("▸ volts it shows", "1  39.5 V", "2  40 V", "   48 V", "   80 V", "6  it shows none", "Type the figure and Enter")
		m.lacks("3  48 V")
		m.keys("enter")
		m.sees("press a digit")
		for _, k := range strings.Split(strings.TrimSuffix(keys, "\r"), "") {
			m.keys(k)
		}
		if strings.HasSuffix(keys, "\r") {
			m.keys("enter")
		}
		m.sees("step 5 of 9")
		got := ""
		if b := crew.Last[logbook.SettingsKeyed](m.Crew); b.VoltsShown != nil {
			got = fusion.Figure(*b.VoltsShown)
		}
		if got != want {
			t.Errorf("%q is stored as %q, want %q", keys, got, want)
		}
	}
}

// Looking back wipes nothing of what was given where the walk stands.
func TestLookingBackWipesNothing(t *testing.T) {
	m := onMeadow(t)
	m.begins("1A")
	m.fits("1", "W-1")
	m.prepares()
	m.text("9")
	m.bag()
	m.keys("1", "enter")
	m.text("40")
	m.sees("▸ volts it shows")
	m.keys("left", "left", "left", "left")
	m.sees("changing an answer")
	m.keys("esc")
	m.sees("the unit's time is")
	m.keys("1", "enter")
	m.sees("now: 40")
}

// The indicators of both sides have a key of their own, and no other answers for them;
// those that are not alike are asked one by one.
func TestTheIndicatorsHaveAKeyOfTheirOwn(t *testing.T) {
	two := strings.ReplaceAll(crew.TableText, "cooling_min", "indicators = 2\ncooling_min")
	table := func(c *crew.Crew) {
		c.Do(acts.TakeTable(c.H, acts.File{Name: "two.toml", Text: two}), acts.ReadBack(c.H, logbook.Hash(two)))
	}
	for keys, want := range map[string]string{"1": "up,up", "3": "flat,flat", "4": "none", "5": "unseen,unseen", "612": "up,part"} {
		m := onMeadow(t, table)
		id := m.upToStart("1A", "1")
		m.keys("1")
		m.pass(40 * time.Second)
		m.keys("1")
		m.text("40")
		m.keys("0", "0", "enter")
		m.sees("▸ both indicators")
		if n := len(m.weld(id).Looks); n != 0 {
			t.Fatalf("0 answered for the indicators: %+v", m.weld(id).Looks)
		}
		for _, k := range strings.Split(keys, "") {
			m.keys(k)
		}
		m.sees("Write on the pipe")
		l := m.weld(id).Looks[0].Look
		if got := strings.Join(l.Indicators, ","); got != want || l.Melt != "none" || l.Wire != "none" || l.Marks != "inplace" || l.Straight != logbook.Yes {
			t.Errorf("%s is stored as %q, %+v", keys, got, l)
		}
	}
}

// A release and an end-of-shift check are cards too: what the hand feels otherwise is
// marked, and a moved joint is said without a look.
func TestTheEndOfAHoldByCards(t *testing.T) {
	m := onMeadow(t)
	id := m.upToStart("1A", "1")
	m.fuses()
	m.keys("enter")
	m.pass(7 * time.Minute)
	m.keys("right", "1", "enter")
	m.sees("0 says that it is so")
	m.keys("2", "3", "0", "1")
	w := m.weld(id)
	if l := w.Looks[1]; w.Released == nil || l.Felt != logbook.FeltMoves || l.When != logbook.LookRelease {
		t.Errorf("stored %+v", w.Looks)
	}
	m.keys("esc", "3")
	m.sees("1 to feel and look at", "▸ felt by hand")
	m.keys("0", "1")
	m.sees(": 0 to feel and look at", "9: close the shift")
	if l := m.weld(id).Looks[2]; l.When != logbook.LookRound || l.Felt != "firm" {
		t.Errorf("stored %+v", l)
	}
}

// Which of two indicators is meant is said as the preparation names the ends, and how the
// seconds run are read off a display that counts down is said where the kit has it so.
func TestTheSidesAndTheDisplayAreNamed(t *testing.T) {
	two := strings.ReplaceAll(crew.TableText, "cooling_min", "indicators = 2\ncooling_min")
	m := onMeadow(t, func(c *crew.Crew) {
		c.Do(acts.TakeTable(c.H, acts.File{Name: "two.toml", Text: two}), acts.ReadBack(c.H, logbook.Hash(two)))
		c.Do(acts.TakeKit(c.H, acts.File{Name: "kit.toml", Text: "[[unit]]\nserial = \"CU-1\"\ncounts = \"down\"\n"}))
	})
	m.upToStart("1A", "1")
	m.keys("1")
	m.pass(40 * time.Second)
	m.keys("1")
	m.sees("The kit has this display count down: the 40 s that it showed before, less")
	m.text("40")
	m.keys("0")
	m.sees("both indicators", "part: partly up")
	m.keys(m.digitOf("not alike"))
	m.sees("▸ indicator 1 of 2, stub end")
	m.keys("1")
	m.sees("▸ indicator 2 of 2, pipe end")
}
