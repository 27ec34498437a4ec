package logbook

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
)

// The figures of this table are invented, except 40 s in 5…14 °C, 39.5 V and
// 6 min (common practice, no source).
const tableText = `title = "invented table"
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
const planText = `site = "Invented Meadow"
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

const (
	ada  = "Ada Invented"
	unit = "CU-1"
)

// morning is where every test begins; its figures are invented.
var morning = fusion.Stamp{
	Wall: time.Date(2026, 3, 9, 7, 0, 0, 0, time.UTC), Offset: 3600, Boot: time.Hour, BootID: "boot one", Machine: "laptop",
}

// A crew says and does things at times moved by hand, in memory.
type crew struct {
	t       testing.TB
	book    *Book
	entries []Entry
	h       Head
	n       int
}

// empty is a crew before its site is opened.
func empty(t testing.TB) *crew {
	return &crew{t: t, book: NewBook("KM", 1), h: Head{ID: "act 0", At: morning, By: ada}}
}

// onSite is a crew with an open shift and a table that was read back.
func onSite(t testing.TB) *crew {
	c := empty(t)
	c.do(OpenSite(c.h, File{"plan.toml", planText}, []File{{"table.toml", tableText}}))
	c.h.Site = "invented-meadow"
	c.do(ReadBack(c.h, Hash(tableText)))
	c.startShift("2026-03-09")
	return c
}

func (c *crew) startShift(day string) {
	c.t.Helper()
	c.do(StartShift(c.h, ShiftStarted{
		Day: day, Operators: []Operator{{Name: ada, Mark: "AI"}},
		Units:   []Unit{{Serial: unit, Corrects: No}, {Serial: "CU-2", Corrects: NotKnown}},
		Weather: Weather{"dry", "none"},
	}))
	c.h.Shift = c.entries[len(c.entries)-1].Shift
}

// try lets the act decide and keeps its entries, each as read back from JSON.
func (c *crew) try(act Act) error {
	drafts, err := act(c.book)
	if err != nil {
		return err
	}
	for i, d := range drafts {
		e, err := d.Entry(uint64(len(c.entries)), i)
		if err != nil {
			c.t.Fatal(err)
		}
		e = reread(c.t, e)
		c.entries = append(c.entries, e)
		c.book.Add(e)
	}
	c.n++
	c.h.ID = fmt.Sprintf("act %d", c.n)
	return nil
}

func reread(t testing.TB, e Entry) (back Entry) {
	t.Helper()
	line, err := json.Marshal(e)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(line, &back); err != nil {
		t.Fatal(err)
	}
	return back
}

func (c *crew) do(acts ...Act) {
	c.t.Helper()
	for _, act := range acts {
		if err := c.try(act); err != nil {
			c.t.Fatal(err)
		}
	}
}

// refused checks that an act says no, wraps want, and writes nothing.
func (c *crew) refused(act Act, want error, says string) {
	c.t.Helper()
	before := len(c.entries)
	err := c.try(act)
	if !errors.Is(err, want) || err == nil || !strings.Contains(err.Error(), says) {
		c.t.Errorf("got %v, want %v saying %q", err, want, says)
	}
	if len(c.entries) != before {
		c.t.Error("a refused act left entries")
	}
}

func (c *crew) wait(d time.Duration) { c.h.At = c.h.At.Add(d) }

func (c *crew) weld(id string) Weld {
	c.t.Helper()
	w, ok := c.book.Weld(c.h.Site, id)
	if !ok {
		c.t.Fatalf("weld %s is not in the book", id)
	}
	return w
}

func (c *crew) joint(label string) Joint {
	c.t.Helper()
	j, ok := c.book.Joint(c.h.Site, label)
	if !ok {
		c.t.Fatalf("joint %s is not in the book", label)
	}
	return j
}

// offered is the joint that comes next.
func (c *crew) offered() (Joint, bool) {
	return NextOf(c.book, ShelfOf(c.site()), c.h.Site, c.h.At, fusion.Stamp{})
}

func (c *crew) site() Site { s, _ := c.book.Site(c.h.Site); return s }

// next is the step the weld needs now.
func (c *crew) next(id string) Step {
	w := c.weld(id)
	return w.Next(c.joint(w.Joint), BagDue(ShelfOf(c.site()), w))
}

func (c *crew) wantNext(id string, want Step) {
	c.t.Helper()
	if got := c.next(id); got != want {
		c.t.Errorf("next step of %s is %q, want %q", id, got, want)
	}
}

func (c *crew) kinds() []Kind {
	var ks []Kind
	for _, e := range c.entries {
		ks = append(ks, e.Kind)
	}
	return ks
}

// last checks that the newest entry is of a kind and gives its body.
func last[B Body](c *crew) B {
	c.t.Helper()
	b, ok := c.entries[len(c.entries)-1].Open().(B)
	if !ok {
		c.t.Fatalf("the last entries are %q", c.kinds()[max(0, len(c.entries)-3):])
	}
	return b
}

// begin begins a weld; its leg goes to the port that is planned for it.
func (c *crew) begin(label string) string {
	c.t.Helper()
	id := c.numbered(label)
	if j := c.joint(label); AsksPort(j) {
		c.do(ChoosePort(c.h, id, say(ItemPort, fmt.Sprint(j.Port))))
	}
	return id
}

// numbered begins a weld of which nothing is said yet.
func (c *crew) numbered(label string) string {
	c.t.Helper()
	c.do(BeginWeld(c.h, label, ada, unit))
	return c.entries[len(c.entries)-1].Weld
}

func say(item, v string) Answer { return Answer{Item: item, V: v, How: Typed} }

// fitting are the answers of the fitting step with one batch.
func fitting(name, batch string) []Answer {
	return []Answer{
		say(ItemFitting, name), say(ItemBatch, batch), say(ItemPrint, AsPlanned),
		say(ItemPipeBatch, "coil 7"), say(ItemStubBatch, "stub 3"), say(ItemPlace, "invented place"),
	}
}

// card are the answers of the preparation card: all done, but for those given.
func card(but ...Answer) []Answer {
	answers := slices.Clone(but)
	for _, p := range PrepItems {
		if !slices.ContainsFunc(but, func(a Answer) bool { return a.Item == p.Item }) {
			answers = append(answers, say(p.Item, Done))
		}
	}
	return append(answers, say(ItemMethod, RotaryTool))
}

// fitted begins a weld and answers for its fitting and bag.
func (c *crew) fitted(label string) string {
	c.t.Helper()
	id := c.begin(label)
	c.do(AnswerStep(c.h, id, StepFitting, fitting(c.joint(label).Fitting, "W-1")))
	if c.next(id) == StepBag {
		c.do(ReadBag(c.h, id, true))
	}
	return id
}

func ptr[T any](v T) *T { return &v }

// table is what the table says for the weld as it stands.
func (c *crew) table(id string) fusion.Settings {
	c.t.Helper()
	s, _, err := SettingsFor(c.book, c.weld(id))
	if err != nil {
		c.t.Fatal(err)
	}
	return s
}

// prepared takes a weld up to the start: ambient 9 °C, keyed as in the table.
func (c *crew) prepared(label string, but ...Answer) string {
	c.t.Helper()
	id := c.fitted(label)
	c.do(AnswerStep(c.h, id, StepPrep, card(but...)))
	c.settle(id)
	return id
}

// settle reads what is read after preparation.
func (c *crew) settle(id string) {
	c.t.Helper()
	c.do(ReadAmbient(c.h, id, 9_00, Typed, nil))
	c.do(KeySettings(c.h, id, ModeKeyed, c.table(id).Seconds, ptr(39.5)), ReadOhms(c.h, id, ptr(2.4)))
}

// fused takes a weld through its fusion; the hold begins with the last entry.
func (c *crew) fused(label string) string {
	c.t.Helper()
	id := c.prepared(label)
	c.do(StartFusion(c.h, id, 0))
	c.wait(time.Duration(c.table(id).Seconds) * time.Second)
	c.do(EndFusion(c.h, id, FusionEnded{Outcome: Completed}))
	return id
}

func look(when Occasion) Look {
	return Look{When: when, Indicators: []string{Up, Up}, Felt: "firm", How: Typed}
}

// wantRebuilt checks that the book folded from the entries equals the running one.
func (c *crew) wantRebuilt() {
	c.t.Helper()
	if got, want := dump(c.t, Fold("KM", c.entries)), dump(c.t, c.book); got != want {
		c.t.Fatalf("rebuilt\n%s\nrunning\n%s", got, want)
	}
}

// dump is all of a book in one text.
func dump(t testing.TB, b *Book) string {
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
