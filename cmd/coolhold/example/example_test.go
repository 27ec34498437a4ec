package example_test

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/cmd/coolhold/example"
	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
	"coolhold/logbook/plan"
	"coolhold/logbook/table"
)

// written is the worked example in memory, and the id of its site.
func written(t *testing.T) (*logbook.Book, string) {
	t.Helper()
	m := crew.NewMemory(example.Tag)
	if err := example.Write(m, monday); err != nil {
		t.Fatal(err)
	}
	return m.Book, m.Book.Sites()[0].ID
}

// walked are the welds that were walked through: one that is entered later states
// when it was fused, and not when it was begun.
func walked(t *testing.T, b *logbook.Book, site string) (out []logbook.Weld) {
	t.Helper()
	for _, w := range b.Welds(site) {
		if w.LateWhy == "" {
			out = append(out, w)
		}
	}
	if len(out) != 9 {
		t.Fatalf("%d welds were walked through, want 9", len(out))
	}
	return out
}

// A joint takes 7 to 9 minutes from its number to the current (common practice, no
// source). Nobody takes a break in the example, so that each joint does.
func TestThePaceOfASite(t *testing.T) {
	b, site := written(t)
	var took []time.Duration
	for _, w := range walked(t, b, site) {
		if w.Started == nil || w.Resumed > 0 {
			t.Fatalf("%s: no current, or a break", w.ID)
		}
		d := w.Started.Wall.Sub(w.Begun.Wall)
		if took = append(took, d); d < 7*time.Minute || d > 9*time.Minute {
			t.Errorf("%s in %s took %v to its current", w.ID, w.Joint, d)
		}
	}
	slices.Sort(took)
	if m := took[len(took)/2]; m < 7*time.Minute+30*time.Second || m > 8*time.Minute+30*time.Second {
		t.Errorf("the median is %v", m)
	}
	first, last := b.Welds(site)[0], time.Time{}
	for _, w := range b.Welds(site) {
		for _, l := range w.Looks {
			if w.Day() == first.Day() && l.When == logbook.LookRound && l.At.Wall.After(last) {
				last = l.At.Wall
			}
		}
	}
	if d := last.Sub(first.Begun.Wall); d < 90*time.Minute || d > 3*time.Hour {
		t.Errorf("yesterday took %v from the first joint to the end-of-shift check", d)
	}
}

// No weld is begun on a pipe while another joint on it is held, so that nobody had
// to be asked about one; and one unit feeds one fitting at a time.
func TestNoWeldBesideAHold(t *testing.T) {
	b, site := written(t)
	all := b.Welds(site)
	for _, w := range all {
		here, _ := b.Joint(site, w.Joint)
		if about := w.About(logbook.ItemBeside); len(about) > 0 {
			t.Errorf("%s was asked about a hold: %+v", w.ID, about)
		}
		for _, o := range all {
			there, _ := b.Joint(site, o.Joint)
			if o.ID == w.ID || o.Ended == nil || !here.Shares(there.Joint) {
				continue
			}
			begun, from := w.Begun.Wall, o.Started.Wall
			if to := endOfHold(o); !begun.Before(from) && (to.IsZero() || begun.Before(to)) {
				t.Errorf("%s in %s was begun at %v; %s in %s was held from %v to %v", w.ID, w.Joint, begun, o.ID, o.Joint, from, to)
			}
		}
	}
}

// endOfHold is when it was said that a hold is over; zero while it runs.
func endOfHold(w logbook.Weld) time.Time {
	switch {
	case w.ReleasedStated != nil:
		return *w.ReleasedStated
	case w.Released != nil:
		return w.Released.Wall
	case w.CutOut != nil:
		return w.CutOut.Wall
	case w.Disturbed != nil:
		return w.Ended.Wall.Add(time.Duration(w.Disturbed.AfterMin) * time.Minute)
	}
	return time.Time{}
}

// The ports of the low row are welded before any of the high one (common practice,
// no source).
func TestLowPortsFirst(t *testing.T) {
	b, site := written(t)
	high := ""
	for _, w := range b.Welds(site) {
		switch j, _ := b.Joint(site, w.Joint); {
		case j.Row == "high":
			high = w.ID
		case j.Row == "low" && high != "":
			t.Errorf("%s in %s, low row, comes after %s in the high row", w.ID, w.Joint, high)
		}
	}
	if high == "" {
		t.Error("nothing was welded in the high row")
	}
}

// What goes wrong, once each: a refusal before the current, an indicator half up, a
// fusion that stopped and its replacement, an answer changed before the current.
func TestWhatGoesWrongOnce(t *testing.T) {
	b, site := written(t)
	var refused, part, stopped, changed []string
	for _, w := range b.Welds(site) {
		for _, r := range w.Refused {
			if refused = append(refused, w.ID); r.AfterS != nil || r.RunS != nil {
				t.Errorf("%s: the refusal came after the current: %+v", w.ID, r)
			}
		}
		if slices.ContainsFunc(w.Looks, func(l logbook.Seen) bool { return slices.Contains(l.Indicators, logbook.Part) }) {
			part = append(part, w.ID)
		}
		if w.Outcome == logbook.Stopped {
			stopped = append(stopped, w.ID)
			if j, _ := b.Joint(site, w.Joint); w.CutOut == nil || j.Stands == "" || j.Stands == w.ID {
				t.Errorf("%s stopped: cut out %v, and %q stands in %s", w.ID, w.CutOut, j.Stands, w.Joint)
			}
		}
		changed = append(changed, changedBefore(w)...)
	}
	if got := fmt.Sprint(refused, part, stopped, changed); got != "[XM-0007] [XM-0005] [XM-0003] [XM-0005 fitting_batch]" {
		t.Errorf("refused, half up, stopped, changed: %s", got)
	}
}

// changedBefore are the answers of a weld that took the place of another.
func changedBefore(w logbook.Weld) (out []string) {
	for _, e := range w.Trail {
		b, ok := e.Open().(logbook.StepAnswered)
		for _, a := range b.Answers {
			if ok && a.Was != "" && (w.Started == nil || e.At.Wall.Before(w.Started.Wall)) {
				out = append(out, w.ID+" "+a.Item)
			}
		}
	}
	return out
}

// The walk is that of today: the card as it is now, and the bag of each batch read
// once the temperature is known.
func TestTheWalkOfToday(t *testing.T) {
	b, site := written(t)
	bags := 0
	for _, w := range walked(t, b, site) {
		if w.Card != logbook.ThisCard || !w.Prepared() {
			t.Errorf("%s was asked card %d, prepared %v", w.ID, w.Card, w.Prepared())
		}
		ambient := false
		for _, e := range w.Trail {
			switch e.Open().(type) {
			case logbook.AmbientRead:
				ambient = true
			case logbook.BagRead:
				if bags++; !ambient {
					t.Errorf("%s: the bag was read before the temperature", w.ID)
				}
			}
		}
	}
	if bags != 2 {
		t.Errorf("%d bags were read, want one of each batch", bags)
	}
}

// What the foreman left for today, and the work that is not done. All else that the
// rules found was accepted by name with a reason, or went out with its weld.
func TestWhatIsOpen(t *testing.T) {
	b, site := written(t)
	meant := []string{
		"disturbed:XM-0008",             // the digger: to be cut out today
		"entered-later:XM-0009",         // the foreman was not asked yet
		"fail-not-cut-out:FG",           // the same, of its joint
		"missing-weld:3B",               // today's work
		"missing-weld:4B",               //
		"missing-weld:5B",               //
		"missing-weld:E1",               //
		"preparation-could-not:XM-0006", // the foreman wants to see the clamp
		"unreleased:XM-0010",            // its hold runs now
	}
	var open []string
	for _, f := range audit.Run(b, site, monday, fusion.Stamp{}).Findings {
		switch a := f.Accepted; {
		case f.Severity == audit.Note:
		case a == nil && !f.Settled:
			open = append(open, f.Key)
		case a == nil:
			if w, _ := b.Weld(site, f.Weld); w.CutOut == nil {
				t.Errorf("%s is settled, and nobody said why", f.Key)
			}
		default:
			w, _ := b.Weld(site, f.Weld)
			if !strings.HasSuffix(a.By, ", foreman") || a.Why == "" || a.By == w.Operator {
				t.Errorf("%s was accepted by %q: %q", f.Key, a.By, a.Why)
			}
		}
	}
	if slices.Sort(open); !slices.Equal(open, meant) {
		t.Errorf("open are\n%q, meant\n%q", open, meant)
	}
}

// Facts of the trade that the example keeps to: common practice, no source.
func TestCommonPractice(t *testing.T) {
	p, err := plan.Parse(file(t, "plan.toml"))
	if err != nil || len(p.Chambers) != 1 {
		t.Fatal(p, err)
	}
	c := p.Chambers[0]
	if n := len(c.Circuits); n != 5 || c.Lid != "below ground" {
		t.Errorf("%d loops, lid %q", n, c.Lid)
	}
	ports := map[int]plan.Port{}
	for _, port := range c.Ports {
		if ports[port.No] = port; port.OdMM != 40 {
			t.Errorf("port %d has a stub of %d mm, ports of a chamber have 40", port.No, port.OdMM)
		}
	}
	for _, loop := range c.Circuits {
		a, b := ports[loop.Ports[0]], ports[loop.Ports[1]]
		if loop.OdMM != 40 || !strings.HasPrefix(loop.Fitting, "coupler") {
			t.Errorf("circuit %d is %d mm on a %s: pipe of a borehole has 40 mm, as its port", loop.No, loop.OdMM, loop.Fitting)
		}
		if b.No-a.No != len(c.Circuits) || a.Bar != "from ground" || a.Row != "low" || b.Bar != "to ground" || b.Row != "high" {
			t.Errorf("circuit %d is on ports %+v and %+v, which are no pair", loop.No, a, b)
		}
	}
	for _, h := range c.Headers {
		if h.OdMM != 63 || h.StubOdMM != 63 {
			t.Errorf("header %s has %d mm on a stub of %d mm: up to six circuits it is 63", h.Way, h.OdMM, h.StubOdMM)
		}
	}
	b, site := written(t)
	low, _ := fusion.ParseCelsius("8")
	high, _ := fusion.ParseCelsius("10")
	for _, w := range b.Welds(site) {
		if w.Ambient.C < low || w.Ambient.C > high {
			t.Errorf("%s was fused at %s °C; pipes carry 8 to 10 °C in the season of building", w.ID, w.Ambient.C)
		}
	}
}

// The table is invented but for its volts and the cooling time of 40 mm (common
// practice, no source). No time rises with the temperature, and each is keyed as
// three digits.
func TestATableThatCouldBePrinted(t *testing.T) {
	tab, err := table.Parse(file(t, "table.toml"))
	if err != nil || len(tab.Fittings) != 3 {
		t.Fatal(tab, err)
	}
	for _, f := range tab.Fittings {
		if f.Volts != 39.5 {
			t.Errorf("%s has %v V", f.Name, f.Volts)
		}
		if f.SizesMM[0] == 40 && slices.ContainsFunc(f.CoolingMin, func(m int) bool { return m != 6 }) {
			t.Errorf("%s cools %v min", f.Name, f.CoolingMin)
		}
		for i, s := range f.Seconds {
			if len(fmt.Sprintf("%03d", s)) != 3 || i > 0 && s > f.Seconds[i-1] {
				t.Errorf("%s: %v s", f.Name, f.Seconds)
			}
		}
	}
}

func file(t *testing.T, name string) []byte {
	t.Helper()
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return text
}
