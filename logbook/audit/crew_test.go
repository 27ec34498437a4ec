package audit_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/logbook/plan"
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
[[fitting]]
name = "elbow 40"
kind = "elbow"
sizes_mm = [40]
sdr = [11]
volts = 39.5
seconds = [44, 40, 36]
cooling_min = 6
`

const planText = `site = "Meadow"
client = "invented client"
firm = "invented firm"
address = "invented address"
[require]
scraping = "rotary tool"
[[chamber]]
name = "A"
ports = [{no = 1, row = "low", bar = "from ground"}, {no = 2, row = "low", bar = "to ground"},
  {no = 3, row = "high", bar = "from ground"}, {no = 4, row = "high", bar = "to ground"}]
[[chamber.circuit]]
no = 1
od_mm = 40
sdr = 11
length_m = 200
ports = [1, 2]
fitting = "coupler 40"
`

const (
	ada  = "Ada Invented"
	unit = "CU-1"
)

// A crew works on an invented site of two joints, 1A and 1B, in memory.
type crew struct {
	t    testing.TB
	book *logbook.Book
	seq  uint64
	h    acts.Head
	last logbook.Entry
	all  []logbook.Entry
}

func onSite(t testing.TB) *crew { return crewOf(t, "KM") }

// crewOf is a crew with a log of its own on the same site.
func crewOf(t testing.TB, tag string) *crew {
	c := &crew{t: t, book: logbook.NewBook(tag, 1)}
	c.h = acts.Head{By: ada, At: fusion.Stamp{
		Wall: time.Date(2026, 3, 9, 7, 0, 0, 0, time.UTC), Offset: 3600, Boot: time.Hour, BootID: "boot one", Machine: "laptop",
	}}
	c.do(acts.OpenSite(c.h, acts.File{Name: "p", Text: planText}, []acts.File{{Name: "t", Text: tableText}}))
	c.h.Site = "meadow"
	c.do(acts.ReadBack(c.h, logbook.Hash(tableText)))
	c.shift("", "")
	return c
}

// shift starts a shift with these dates of operator and unit.
func (c *crew) shift(expiry, calibrated string) {
	c.t.Helper()
	c.do(acts.StartShift(c.h, logbook.ShiftStarted{
		Day: "2026-03-09", Operators: []logbook.Operator{{Name: ada, Expiry: expiry}},
		Units:   []logbook.Unit{{Serial: unit, Calibrated: calibrated, Corrects: logbook.No}},
		Weather: logbook.Weather{Sky: "dry", Shelter: "none"},
	}))
	c.h.Shift = c.last.Shift
}

// closed makes the round and closes the shift.
func (c *crew) closed() {
	c.t.Helper()
	c.round()
	c.do(acts.CloseShift(c.h))
}

// added is a joint that was not in the plan.
func (c *crew) added(label string) string {
	c.t.Helper()
	c.do(acts.AddJoint(c.h, plan.Joint{Label: label, Fitting: "coupler 40"}, "needed"))
	return label
}

// circuits makes the chamber one of so many circuits, the new ones welded, with
// a header of odMM to which nothing is welded yet.
func (c *crew) circuits(odMM, n int) {
	c.t.Helper()
	for no := 2; no <= n; no++ {
		label := fmt.Sprintf("%dA", no)
		c.do(acts.AddJoint(c.h, plan.Joint{Label: label, Chamber: "A", Circuit: no, Leg: "A", Fitting: "coupler 40"}, "needed"))
		c.made(label, well())
	}
	c.do(acts.AddJoint(c.h, plan.Joint{Label: "FG", Chamber: "A", Way: "FG", OdMM: odMM, SDR: 11, Fitting: "coupler 63"}, "needed"))
}

// correct puts a value of a weld right.
func (c *crew) correct(weld, field, value string) {
	c.t.Helper()
	c.do(acts.Correct(c.h, weld, field, value, "misread"))
}

func (c *crew) do(act acts.Act) {
	c.t.Helper()
	drafts, err := act(c.book)
	if err != nil {
		c.t.Fatal(err)
	}
	for i, d := range drafts {
		c.seq++
		c.h.ID = fmt.Sprint("act ", c.seq)
		if c.last, err = d.Entry(c.seq, i); err != nil {
			c.t.Fatal(err)
		}
		c.book.Add(c.last)
		c.all = append(c.all, c.last)
	}
}

// raw is an entry as it stands in the log, judged by nobody.
func raw(h acts.Head, joint, weld string, b logbook.Body) acts.Act {
	return func(logbook.Reader) ([]logbook.Draft, error) { return acts.Drafted(h, joint, weld, b), nil }
}

// none is the heartbeat of a machine that was never started anew.
var none fusion.Stamp

// seen are the open fails of a day, all of them seen.
func (c *crew) seen(day string) (seen []logbook.Judged) {
	for _, f := range c.run().OpenFails(day) {
		seen = append(seen, f.Acks()...)
	}
	return seen
}

// sign is a day's signature with every open fail seen.
func (c *crew) sign(day string) acts.Act { return acts.SignDay(c.h, none, day, c.seen(day)) }

func (c *crew) wait(d time.Duration) { c.h.At = c.h.At.Add(d) }

func (c *crew) run() audit.Result { return audit.Run(c.book, c.h.Site, c.h.At, fusion.Stamp{}) }

func say(item, v string) logbook.Answer {
	return logbook.Answer{Item: item, V: v, How: logbook.Typed}
}

// A manner is how one weld was made: well, but for what a case changes.
type manner struct {
	answers map[string]string
	air     fusion.Celsius
	why     string        // given for what could not be done
	noBag   bool          // its bag is not read
	idle    time.Duration // between the last reading and the start
	ago     int           // seconds since the start, when it is keyed
	ohms    float64
	ended   logbook.FusionEnded
	ran     int
	hot     logbook.Look
	felt    logbook.Look
}

func well() manner {
	m := manner{
		answers: map[string]string{
			logbook.ItemFitting: "coupler 40", logbook.ItemBatch: "W-1", logbook.ItemPrint: logbook.AsPlanned,
			logbook.ItemPipeBatch: "coil 7", logbook.ItemStubBatch: "stub 3", logbook.ItemMethod: logbook.RotaryTool,
		},
		air: 9_00, ohms: 2.4, ended: logbook.FusionEnded{Outcome: logbook.Completed}, ran: 40,
		hot: logbook.Look{
			When: logbook.LookHot, Indicators: []string{logbook.Up, logbook.Up}, Melt: "none", Wire: "none",
			Marks: "inplace", Straight: "yes", How: logbook.Typed,
		},
		felt: logbook.Look{When: logbook.LookRelease, Indicators: []string{logbook.Up, logbook.Up}, Felt: "firm", How: logbook.Typed},
	}
	for _, p := range logbook.PrepItems {
		m.answers[p.Item] = logbook.Done
	}
	return m
}

// given are the answers of a manner, in an order that does not change.
func (m manner) given() (answers []logbook.Answer) {
	for item, v := range m.answers {
		a := say(item, v)
		if v == logbook.CouldNot {
			a.Why = m.why
		}
		answers = append(answers, a)
	}
	slices.SortFunc(answers, func(a, b logbook.Answer) int { return strings.Compare(a.Item, b.Item) })
	return answers
}

// begun begins a weld and takes it up to the start.
func (c *crew) begun(label string, m manner) string {
	c.t.Helper()
	c.do(acts.BeginWeld(c.h, label, ada, unit))
	id := c.last.Weld
	c.do(acts.AnswerStep(c.h, id, logbook.StepFitting, m.given()))
	if !m.noBag {
		c.do(acts.ReadBag(c.h, id, true))
	}
	c.do(acts.ReadAmbient(c.h, id, m.air, logbook.Typed, nil))
	volts := 39.5
	c.do(acts.KeySettings(c.h, id, logbook.ModeKeyed, 40, &volts))
	c.do(acts.ReadOhms(c.h, id, &m.ohms))
	return id
}

// fused takes a weld through its fusion and the look at it.
func (c *crew) fused(label string, m manner) string {
	c.t.Helper()
	id := c.begun(label, m)
	c.wait(m.idle)
	c.do(acts.StartFusion(c.h, id, m.ago))
	c.wait(40 * time.Second)
	c.do(acts.EndFusion(c.h, id, m.ended))
	if m.ended.Outcome == logbook.Completed {
		c.do(acts.ReadRun(c.h, id, &m.ran))
		c.do(acts.ReadLook(c.h, id, m.hot))
	}
	return id
}

// made is a whole weld, released.
func (c *crew) made(label string, m manner) string {
	c.t.Helper()
	id := c.fused(label, m)
	c.wait(6 * time.Minute)
	c.do(acts.Release(c.h, id, m.felt, fusion.Stamp{}))
	return id
}

// late is a weld of 1B made without the laptop, changed as given.
func (c *crew) late(change func(*acts.LateWeld)) {
	c.t.Helper()
	volts, ohms, ran, m := 39.5, 2.4, 40, well()
	ended := c.h.At.Local().Add(-20 * time.Minute)
	l := acts.LateWeld{
		Joint: "1B", Operator: ada, Unit: unit, Corrects: logbook.No, Answers: m.given(), Ambient: 9_00,
		Mode: logbook.ModeKeyed, SecondsShown: 40, VoltsShown: &volts, Ohms: &ohms, CoolingMin: 6,
		Started: ended.Add(-40 * time.Second), Ended: ended, Outcome: logbook.Completed, Run: &ran, Look: m.hot,
		HoldStated: true, Released: ended.Add(8 * time.Minute), Why: "laptop in the van",
	}
	change(&l)
	c.do(acts.EnterLater(c.h, l))
}

// restart is another start of the machine, 30 s ago, an hour later.
func (c *crew) restart() {
	c.h.At.Wall = c.h.At.Wall.Add(time.Hour)
	c.h.At.Boot, c.h.At.BootID = 30*time.Second, "boot two"
	c.do(acts.FoundAtStart(c.h, fusion.Stamp{}))
}

// round looks once more at every weld that stands, fused to its end.
func (c *crew) round() {
	c.t.Helper()
	for _, w := range c.book.Welds(c.h.Site) {
		if w.Stands() && w.Ended != nil && w.Outcome == logbook.Completed {
			c.do(acts.ReadLook(c.h, w.ID, logbook.Look{When: logbook.LookRound, Indicators: []string{logbook.Up, logbook.Up}, How: logbook.Typed}))
		}
	}
}

// fusedAt is when the fusion of a weld began.
func (c *crew) fusedAt(weld string) time.Time {
	c.t.Helper()
	w, _ := c.book.Weld(c.h.Site, weld)
	at, ok := w.FusedAt()
	if !ok {
		c.t.Fatalf("%s is not fused", weld)
	}
	return at
}

// batch makes welds with these resistances, the last in 1B as KM-0002, the
// others in joints of their own.
func (c *crew) batch(ohms ...float64) {
	c.t.Helper()
	for i := len(ohms) - 1; i >= 0; i-- {
		m, label := well(), "1B"
		if m.ohms = ohms[i]; i < len(ohms)-1 {
			label = c.added(fmt.Sprint("X", i))
		}
		c.made(label, m)
	}
}

// merged folds the log of another crew into this one's.
func (c *crew) merged(other *crew) {
	c.t.Helper()
	all, err := logbook.Merge([]logbook.LogCopy{
		{Name: "ours", ID: "1", Tag: c.book.Tag(), Entries: c.all}, {Name: "theirs", ID: "2", Tag: other.book.Tag(), Entries: other.all},
	})
	if err != nil {
		c.t.Fatal(err)
	}
	c.book = logbook.Fold(c.book.Tag(), all)
}

// says checks what a rule says: nothing, or one finding with that in it.
func (c *crew) says(rule, want string) {
	c.t.Helper()
	var got []string
	for _, f := range c.run().Findings {
		if f.Rule == rule {
			got = append(got, f.Says)
		}
	}
	switch {
	case want == "" && len(got) > 0:
		c.t.Errorf("%s speaks: %q", rule, got)
	case want != "" && (len(got) != 1 || !strings.Contains(got[0], want)):
		c.t.Errorf("%s says %q, want %q", rule, got, want)
	}
}
