// Package crew is a crew on an invented site, for tests: it says and does things
// at times moved by hand, in memory. Only tests import it.
package crew

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
)

// The figures of this table are invented, except 40 s in 5…14 °C, 39.5 V and
// 6 min (common practice, no source).
const TableText = `title = "invented table"
source = "invented"
bands = [[-5, 4], [5, 14], [15, 25]]
[[fitting]]
name = "coupler 40"
kind = "coupler"
sizes_mm = [40]
sdr = [11]
volts = 39.5
seconds = [44, 40, 36]
cooling_min = 6
ohms = 2.4
pressure_wait_min = 20
pressure_wait_from = "cooling end"
[[fitting]]
name = "coupler 63"
kind = "coupler"
sizes_mm = [63]
sdr = [11]
volts = 39.5
seconds = [90, 80, 70]
cooling_min = 8
pressure_wait_min = 30
pressure_wait_from = "fusion end"
[[fitting]]
name = "elbow 40"
kind = "elbow"
sizes_mm = [40]
sdr = [11]
volts = 39.5
seconds = [44, 40, 36]
cooling_min = 7
pressure_wait_min = 20
[[fitting]]
name = "cap 40"
kind = "cap"
sizes_mm = [40]
sdr = [11]
volts = 39.5
seconds = [44, 40, 36]
cooling_min = 6
`

// An invented site: circuit 1 in the high row, circuit 2 in the low one, a
// header, and an elbow on the pipe of 1A.
const PlanText = `site = "Invented Meadow"
client = "invented client"
firm = "invented firm"
address = "invented address"
[require]
scraping = "rotary tool"
[[chamber]]
name = "A"
ports = [
  {no = 1, row = "high", bar = "from ground"}, {no = 2, row = "high", bar = "to ground"},
  {no = 3, row = "low", bar = "from ground"}, {no = 4, row = "low", bar = "to ground"},
]
[[chamber.circuit]]
no = 1
od_mm = 40
sdr = 11
length_m = 200
ports = [1, 2]
fitting = "coupler 40"
[[chamber.circuit]]
no = 2
od_mm = 40
sdr = 11
length_m = 200
ports = [3, 4]
fitting = "coupler 40"
[[chamber.header]]
way = "from ground"
od_mm = 63
sdr = 11
length_m = 30
fitting = "coupler 63"
[[joint]]
label = "E1"
fitting = "elbow 40"
where = "bend in the trench"
pipe = "1A"
`

// Wanting is that plan with more that it requires, and more of its chamber.
func Wanting(require, chamber string) string {
	text := strings.Replace(PlanText, "[require]\n", "[require]\n"+require, 1)
	return strings.Replace(text, "name = \"A\"\n", "name = \"A\"\n"+chamber, 1)
}

const (
	Ada  = "Ada Invented"
	Unit = "CU-1"
)

// Morning is where every test begins; its figures are invented.
var Morning = fusion.Stamp{
	Wall: time.Date(2026, 3, 9, 7, 0, 0, 0, time.UTC), Offset: 3600, Boot: time.Hour, BootID: "boot one", Machine: "laptop",
}

// A Crew says and does things at times moved by hand, in memory.
type Crew struct {
	*Memory
	T testing.TB
	H acts.Head
	N int
}

// Empty is a crew before its site is opened.
func Empty(t testing.TB) *Crew { return Tagged(t, "KM") }

// Tagged is a crew whose log has that tag.
func Tagged(t testing.TB, tag string) *Crew {
	return &Crew{T: t, Memory: NewMemory(tag), H: acts.Head{ID: "act 0", At: Morning, By: Ada}}
}

// OnSite is a crew with an open shift and a table that was read back.
func OnSite(t testing.TB) *Crew { return On(t, PlanText, TableText) }

// On is the same on the site of another plan.
func On(t testing.TB, planText, tableText string) *Crew {
	t.Helper()
	c := Empty(t)
	c.Opens(planText, tableText)
	c.Do(acts.ReadBack(c.H, logbook.Hash(tableText)))
	c.StartShift("2026-03-09")
	return c
}

// Opens opens a site by the texts of its plan and its table.
func (c *Crew) Opens(planText, tableText string) {
	c.T.Helper()
	c.Do(acts.OpenSite(c.H, acts.File{Name: "plan.toml", Text: planText}, []acts.File{{Name: "table.toml", Text: tableText}}))
}

// StartShift starts a shift as on any other day.
func (c *Crew) StartShift(day string) {
	c.T.Helper()
	c.Do(acts.StartShift(c.H, logbook.ShiftStarted{
		Day: day, Operators: []logbook.Operator{{Name: Ada, Mark: "AI"}},
		Units:   []logbook.Unit{{Serial: Unit, Corrects: logbook.No}, {Serial: "CU-2", Corrects: logbook.NotKnown}},
		Weather: logbook.Weather{Sky: "dry", Shelter: "none"},
	}))
}

// Try lets the act decide. A site that it opens, or a shift that it starts, is the
// crew's from then on.
func (c *Crew) Try(act acts.Act) error {
	entries, err := c.Append(c.T.Context(), act)
	for _, e := range entries {
		switch e.Open().(type) {
		case logbook.SiteOpened:
			c.H.Site = e.Site
		case logbook.ShiftStarted:
			c.H.Shift = e.Shift
		}
	}
	if err == nil {
		c.N++
		c.H.ID = fmt.Sprintf("act %d", c.N)
	}
	return err
}

// Do does what must not be refused.
func (c *Crew) Do(acts ...acts.Act) {
	c.T.Helper()
	for _, act := range acts {
		if err := c.Try(act); err != nil {
			c.T.Fatal(err)
		}
	}
}

// Refused checks that an act says no in one line, wraps want, and writes nothing.
func (c *Crew) Refused(act acts.Act, want error, says string) {
	c.T.Helper()
	before := len(c.Entries)
	err := c.Try(act)
	if !errors.Is(err, want) || err == nil || !strings.Contains(err.Error(), says) || strings.Contains(err.Error(), "\n") {
		c.T.Errorf("got %v, want %v saying %q", err, want, says)
	}
	if len(c.Entries) != before {
		c.T.Error("a refused act left entries")
	}
}

func (c *Crew) Wait(d time.Duration) { c.H.At = c.H.At.Add(d) }

func (c *Crew) Weld(id string) logbook.Weld {
	c.T.Helper()
	w, ok := c.Book.Weld(c.H.Site, id)
	if !ok {
		c.T.Fatalf("weld %s is not in the book", id)
	}
	return w
}

func (c *Crew) Joint(label string) logbook.Joint {
	c.T.Helper()
	j, ok := c.Book.Joint(c.H.Site, label)
	if !ok {
		c.T.Fatalf("joint %s is not in the book", label)
	}
	return j
}

// Offered is the joint that comes next.
func (c *Crew) Offered() (logbook.Joint, bool) {
	return ahead.NextOf(c.Book, logbook.ShelfOf(c.Site()), c.H.Site, c.H.At, fusion.Stamp{})
}

func (c *Crew) Site() logbook.Site { s, _ := c.Book.Site(c.H.Site); return s }

// Next is the step the weld needs now.
func (c *Crew) Next(id string) logbook.Step {
	w := c.Weld(id)
	return w.Next(c.Joint(w.Joint), ahead.DueOf(c.Book, logbook.ShelfOf(c.Site()), w, c.H.At, fusion.Stamp{}))
}

func (c *Crew) WantNext(id string, want logbook.Step) {
	c.T.Helper()
	if got := c.Next(id); got != want {
		c.T.Errorf("next step of %s is %q, want %q", id, got, want)
	}
}

func (c *Crew) Kinds() []logbook.Kind {
	var ks []logbook.Kind
	for _, e := range c.Entries {
		ks = append(ks, e.Kind)
	}
	return ks
}

// Last checks that the newest entry is of a kind and gives its body.
func Last[B logbook.Body](c *Crew) B {
	c.T.Helper()
	b, ok := c.Newest().Open().(B)
	if !ok {
		c.T.Fatalf("the last entries are %q", c.Kinds()[max(0, len(c.Entries)-3):])
	}
	return b
}

// Begin begins a weld; its leg goes to the port that is planned for it.
func (c *Crew) Begin(label string) string {
	c.T.Helper()
	id := c.Numbered(label)
	if j := c.Joint(label); logbook.AsksPort(j) {
		c.Do(acts.ChoosePort(c.H, id, Say(logbook.ItemPort, fmt.Sprint(j.Port))))
	}
	return id
}

// Numbered begins a weld of which nothing is said yet.
func (c *Crew) Numbered(label string) string {
	c.T.Helper()
	c.Do(acts.BeginWeld(c.H, label, Ada, Unit))
	return c.Newest().Weld
}

func Say(item, v string) logbook.Answer { return logbook.Answer{Item: item, V: v, How: logbook.Typed} }

// Fitting are the answers of the fitting step with one batch.
func Fitting(name, batch string) []logbook.Answer {
	return []logbook.Answer{
		Say(logbook.ItemFitting, name), Say(logbook.ItemBatch, batch), Say(logbook.ItemPrint, logbook.AsPlanned),
		Say(logbook.ItemPipeBatch, "coil 7"), Say(logbook.ItemStubBatch, "stub 3"), Say(logbook.ItemPlace, "invented place"),
	}
}

// Card are the answers of the preparation card: all done, but for those given.
func Card(but ...logbook.Answer) []logbook.Answer {
	answers := slices.Clone(but)
	for _, p := range logbook.PrepItems {
		if !slices.ContainsFunc(but, func(a logbook.Answer) bool { return a.Item == p.Item }) {
			answers = append(answers, Say(p.Item, logbook.Done))
		}
	}
	return append(answers, Say(logbook.ItemMethod, logbook.RotaryTool))
}

// Fitted begins a weld and answers for its fitting.
func (c *Crew) Fitted(label string) string {
	c.T.Helper()
	id := c.Begin(label)
	c.Do(acts.AnswerStep(c.H, id, logbook.StepFitting, Fitting(c.Joint(label).Fitting, "W-1")))
	return id
}

// Bagged reads the bag of a weld where that is due.
func (c *Crew) Bagged(id string) {
	c.T.Helper()
	if c.Next(id) == logbook.StepBag {
		c.Do(acts.ReadBag(c.H, id, true))
	}
}

// Table is what the table says for the weld as it stands.
func (c *Crew) Table(id string) fusion.Settings {
	c.T.Helper()
	s, _, err := ahead.SettingsFor(c.Book, c.Weld(id))
	if err != nil {
		c.T.Fatal(err)
	}
	return s
}

// Prepared takes a weld up to the start: ambient 9 °C, keyed as in the table.
func (c *Crew) Prepared(label string, but ...logbook.Answer) string {
	c.T.Helper()
	id := c.Fitted(label)
	c.Do(acts.AnswerStep(c.H, id, logbook.StepPrep, Card(but...)))
	c.Settle(id)
	return id
}

// Settle reads what is read after preparation.
func (c *Crew) Settle(id string) {
	c.T.Helper()
	c.Do(acts.ReadAmbient(c.H, id, 9_00, logbook.Typed, nil))
	c.Bagged(id)
	c.Do(acts.KeySettings(c.H, id, logbook.ModeKeyed, c.Table(id).Seconds, new(39.5)), acts.ReadOhms(c.H, id, new(2.4)))
}

// Fused takes a weld through its fusion; the hold begins with the last entry.
func (c *Crew) Fused(label string) string {
	c.T.Helper()
	id := c.Prepared(label)
	c.Do(acts.StartFusion(c.H, id, 0))
	c.Wait(time.Duration(c.Table(id).Seconds) * time.Second)
	c.Do(acts.EndFusion(c.H, id, logbook.FusionEnded{Outcome: logbook.Completed}))
	return id
}

func Look(when logbook.Occasion) logbook.Look {
	return logbook.Look{When: when, Indicators: []string{logbook.Up, logbook.Up}, Felt: "firm", How: logbook.Typed}
}

// WantRebuilt checks that the book folded from the entries equals the running one.
func (c *Crew) WantRebuilt() {
	c.T.Helper()
	if got, want := Dump(c.T, logbook.Fold("KM", c.Entries)), Dump(c.T, c.Book); got != want {
		c.T.Fatalf("rebuilt\n%s\nrunning\n%s", got, want)
	}
}

// Dump is all of a book in one text.
func Dump(t testing.TB, b *logbook.Book) string {
	t.Helper()
	all := []any{b.Tag(), b.NextWeld(), b.Sites()}
	for _, s := range b.Sites() {
		all = append(all, b.Joints(s.ID), b.Welds(s.ID))
		for _, id := range s.Shifts {
			sh, _ := b.Shift(s.ID, id)
			all = append(all, sh)
		}
	}
	text, err := json.Marshal(all)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}
