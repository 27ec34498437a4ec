package audit_test

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
	"coolhold/logbook/plan"
)

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

// A team works on an invented site of two joints, 1A and 1B, in memory.
type team struct{ *crew.Crew }

func onSite(t testing.TB) *team { return teamOf(t, "KM") }

// teamOf is a team with a log of its own on the same site.
func teamOf(t testing.TB, tag string) *team { return planned(t, tag, planText) }

// planned is a team with another plan of the site.
func planned(t testing.TB, tag, text string) *team {
	c := &team{crew.Tagged(t, tag)}
	c.Opens(text, crew.TableText)
	c.Do(acts.ReadBack(c.H, logbook.Hash(crew.TableText)))
	c.shift("", "")
	return c
}

// mergedUnlike folds in the log of a crew in whose plan some text stands for another,
// once somebody has said that it is one site.
func (c *team) mergedUnlike(old, now string, does ...func(*team)) {
	c.T.Helper()
	text := strings.Replace(planText, old, now, 1)
	c.Do(acts.SameSite(c.H, []logbook.SiteIn{{Log: "1", Plan: logbook.Hash(planText)}, {Log: "2", Plan: logbook.Hash(text)}}, "one job", false))
	c.closed()
	other := planned(c.T, "KN", text)
	for _, do := range does {
		do(other)
	}
	other.closed()
	c.merged(other)
}

// shift starts a shift with these dates of operator and unit.
func (c *team) shift(expiry, calibrated string) {
	c.T.Helper()
	c.Do(acts.StartShift(c.H, logbook.ShiftStarted{
		Day: "2026-03-09", Operators: []logbook.Operator{{Name: crew.Ada, Expiry: expiry}},
		Units:   []logbook.Unit{{Serial: crew.Unit, Calibrated: calibrated, Corrects: logbook.No}},
		Weather: logbook.Weather{Sky: "dry", Shelter: "none"},
	}))
}

// asked starts a shift on which the dates of operator and unit were asked for.
func (c *team) asked(operator, expiry, calibrated string) {
	c.T.Helper()
	c.H.Shift = ""
	c.Do(acts.StartShift(c.H, logbook.ShiftStarted{
		Day: "2026-03-09", Operators: []logbook.Operator{{Name: operator, Expiry: expiry}}, DatesAsked: true,
		Units:   []logbook.Unit{{Serial: crew.Unit, Calibrated: calibrated, Corrects: logbook.No}},
		Weather: logbook.Weather{Sky: "dry", Shelter: "none"},
	}))
}

// closed makes the round and closes the shift.
func (c *team) closed() {
	c.T.Helper()
	c.round()
	c.Do(acts.CloseShift(c.H))
}

// added is a joint that was not in the plan.
func (c *team) added(label string) string {
	c.T.Helper()
	c.Do(acts.AddJoint(c.H, plan.Joint{Label: label, Fitting: "coupler 40"}, "needed"))
	return label
}

// circuits makes the chamber one of so many circuits, the new ones welded, with
// a header of odMM to which nothing is welded yet.
func (c *team) circuits(odMM, n int) {
	c.T.Helper()
	for no := 2; no <= n; no++ {
		label := fmt.Sprintf("%dA", no)
		c.Do(acts.AddJoint(c.H, plan.Joint{Label: label, Chamber: "A", Circuit: no, Leg: "A", Fitting: "coupler 40"}, "needed"))
		c.made(label, well())
	}
	c.Do(acts.AddJoint(c.H, plan.Joint{Label: "FG", Chamber: "A", Way: "FG", OdMM: odMM, SDR: 11, Fitting: fmt.Sprint("coupler ", odMM)}, "needed"))
}

// correct puts a value of a weld right.
func (c *team) correct(weld, field, value string) {
	c.T.Helper()
	c.Do(acts.Correct(c.H, weld, field, value, "misread"))
}

// none is the heartbeat of a machine that was never started anew.
var none fusion.Stamp

// seen are the open fails of a day, all of them seen.
func (c *team) seen(day string) (seen []logbook.Judged) {
	for _, f := range c.run().OpenFails(day) {
		seen = append(seen, f.Acks()...)
	}
	return seen
}

// sign is a day's signature with every open fail seen.
func (c *team) sign(day string) acts.Act { return acts.SignDay(c.H, none, day, c.seen(day)) }

func (c *team) run() audit.Result { return audit.Run(c.Book, c.H.Site, c.H.At, fusion.Stamp{}) }

// A manner is how one weld was made: well, but for what a case changes.
type manner struct {
	answers      map[string]string
	air          fusion.Celsius
	operator     string // "": Ada
	unit         string // "": the usual one
	why          string // given for what could not be done
	noBag        bool   // its bag is not read
	ready        func(c *team, id string)
	idle         time.Duration // between the last reading and the start
	ago          int           // seconds since the start, when it is keyed
	refusedAfter time.Duration // since a first start
	refusedRun   *int
	ohms         float64
	ended        logbook.FusionEnded
	ran          int
	hot          logbook.Look
	felt         logbook.Look
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
		a := crew.Say(item, v)
		if v == logbook.CouldNot {
			a.Why = m.why
		}
		answers = append(answers, a)
	}
	slices.SortFunc(answers, func(a, b logbook.Answer) int { return strings.Compare(a.Item, b.Item) })
	return answers
}

// begun begins a weld and takes it up to the start.
func (c *team) begun(label string, m manner) string {
	c.T.Helper()
	c.Do(acts.BeginWeld(c.H, label, cmp.Or(m.operator, crew.Ada), cmp.Or(m.unit, crew.Unit)))
	id := c.Newest().Weld
	c.Do(acts.AnswerStep(c.H, id, logbook.StepFitting, m.given()))
	if !m.noBag {
		c.Do(acts.ReadBag(c.H, id, true))
	}
	c.Do(acts.ReadAmbient(c.H, id, m.air, logbook.Typed, nil))
	c.Do(acts.KeySettings(c.H, id, logbook.ModeKeyed, 40, new(39.5)))
	c.Do(acts.ReadOhms(c.H, id, &m.ohms))
	return id
}

// fused takes a weld through its fusion and the look at it.
func (c *team) fused(label string, m manner) string {
	c.T.Helper()
	id := c.begun(label, m)
	if m.ready != nil {
		m.ready(c, id)
	}
	c.Wait(m.idle)
	if m.refusedAfter > 0 {
		c.Do(acts.StartFusion(c.H, id, 0))
		c.Wait(m.refusedAfter)
		c.Do(acts.RefuseStart(c.H, id, "lead", m.refusedRun), acts.ReadOhms(c.H, id, &m.ohms))
	}
	if m.ago > 0 {
		c.Do(crew.Raw(c.H, label, id, logbook.FusionStarted{AgoS: m.ago})) // an act takes no start before the last answer
	} else {
		c.Do(acts.StartFusion(c.H, id, 0))
	}
	c.Wait(40 * time.Second)
	c.Do(acts.EndFusion(c.H, id, m.ended))
	if m.ended.Outcome == logbook.Completed {
		c.Do(acts.ReadRun(c.H, id, &m.ran))
		c.Do(acts.ReadLook(c.H, id, m.hot))
	}
	return id
}

// made is a whole weld, released.
func (c *team) made(label string, m manner) string {
	c.T.Helper()
	id := c.fused(label, m)
	c.Wait(time.Duration(c.Weld(id).Settings.CoolingMin) * time.Minute)
	c.Do(acts.Release(c.H, id, m.felt, fusion.Stamp{}))
	return id
}

// late is a weld of 1B made without the laptop, changed as given.
func (c *team) late(change func(*acts.LateWeld)) {
	c.T.Helper()
	m, ended := well(), c.H.At.Local().Add(-20*time.Minute)
	l := acts.LateWeld{
		Joint: "1B", Operator: crew.Ada, Unit: crew.Unit, Corrects: logbook.No, Answers: m.given(), Ambient: 9_00,
		Mode: logbook.ModeKeyed, SecondsShown: 40, VoltsShown: new(39.5), Ohms: new(2.4), CoolingMin: 6,
		Started: ended.Add(-40 * time.Second), Ended: ended, Outcome: logbook.Completed, Run: new(40), Look: m.hot,
		HoldStated: true, Released: ended.Add(8 * time.Minute), Why: "laptop in the van",
	}
	change(&l)
	c.Do(acts.EnterLater(c.H, l))
}

// setClock sets the wall clock of the machine, and not its boot clock.
func (c *team) setClock(by time.Duration) { c.H.At.Wall = c.H.At.Wall.Add(by) }

// restart is another start of the machine, 30 s ago, an hour later.
func (c *team) restart() {
	c.H.At.Wall = c.H.At.Wall.Add(time.Hour)
	c.H.At.Boot, c.H.At.BootID = 30*time.Second, "boot two"
	c.Do(acts.FoundAtStart(c.H, fusion.Stamp{}))
}

// round looks once more at every weld that stands, fused to its end.
func (c *team) round() {
	c.T.Helper()
	for _, w := range c.Book.Welds(c.H.Site) {
		if w.Stands() && w.Ended != nil && w.Outcome == logbook.Completed {
			c.Do(acts.ReadLook(c.H, w.ID, logbook.Look{When: logbook.LookRound, Indicators: []string{logbook.Up, logbook.Up}, How: logbook.Typed}))
		}
	}
}

// fusedAt is when the fusion of a weld began.
func (c *team) fusedAt(weld string) time.Time {
	c.T.Helper()
	w, _ := c.Book.Weld(c.H.Site, weld)
	at, ok := w.FusedAt()
	if !ok {
		c.T.Fatalf("%s is not fused", weld)
	}
	return at
}

// batch makes welds with these resistances, the last in 1B as KM-0002, the
// others in joints of their own.
func (c *team) batch(ohms ...float64) {
	c.T.Helper()
	for i := len(ohms) - 1; i >= 0; i-- {
		m, label := well(), "1B"
		if m.ohms = ohms[i]; i < len(ohms)-1 {
			label = c.added(fmt.Sprint("X", i))
		}
		c.made(label, m)
	}
}

// merged folds the log of another crew into this one's.
func (c *team) merged(other *team) {
	c.T.Helper()
	all, err := logbook.Merge([]logbook.LogCopy{
		{Name: "ours", ID: "1", Tag: c.Book.Tag(), Entries: c.Entries}, {Name: "theirs", ID: "2", Tag: other.Book.Tag(), Entries: other.Entries},
	})
	if err != nil {
		c.T.Fatal(err)
	}
	c.Book = logbook.Fold(c.Book.Tag(), all)
	if last := all[len(all)-1].At.Wall; c.H.At.Wall.Before(last) { // what is said of both is said after both
		c.Wait(last.Sub(c.H.At.Wall))
	}
}

// says checks what a rule says: nothing, or one finding with that in it.
func (c *team) says(rule, want string) {
	c.T.Helper()
	var got []string
	for _, f := range c.run().Findings {
		if f.Rule == rule {
			got = append(got, f.Says)
		}
	}
	switch {
	case want == "" && len(got) > 0:
		c.T.Errorf("%s speaks: %q", rule, got)
	case want != "" && (len(got) != 1 || !strings.Contains(got[0], want)):
		c.T.Errorf("%s says %q, want %q", rule, got, want)
	}
}

// flatLook makes a look one that saw an indicator flat.
func flatLook(l *logbook.Look) { l.Indicators = []string{logbook.Flat, logbook.Up} }

// unseen is a look at which nobody could see anything.
var unseen = logbook.Look{
	Indicators: []string{logbook.Unseen}, Melt: logbook.Unseen, Wire: logbook.Unseen, Marks: logbook.Unseen, Straight: logbook.Unseen, Felt: logbook.Unseen,
	How: logbook.Typed,
}

// again is another look at which all is well, but for what is changed.
func again(change func(*logbook.Look)) logbook.IndicatorsRead {
	look := well().hot
	look.Felt = "firm"
	if change != nil {
		change(&look)
	}
	return logbook.IndicatorsRead{Look: look}
}

// again looks at a weld once more.
func (c *team) again(h acts.Head, weld string, b logbook.IndicatorsRead) {
	c.T.Helper()
	h.ID = c.H.ID
	c.Do(acts.LookAgain(h, weld, b))
}
