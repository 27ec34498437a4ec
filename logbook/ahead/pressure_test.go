package ahead_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/fusion/loop"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/crew"
)

func section(t *testing.T, c *crew.Crew, name string) ahead.TestSection {
	t.Helper()
	found := ahead.TestSectionNamed(c.Book, c.H.Site, name)
	if len(found) != 1 {
		t.Fatalf("%q means %d sections", name, len(found))
	}
	return found[0]
}

// When the longest printed wait of a section is over, and which fitting prints none. The
// figures of the table are invented.
func TestWhenASectionMayBeTested(t *testing.T) {
	c := crew.OnSite(t)
	line := func(name string) string {
		return ahead.SectionWaitOf(c.Book, c.H.Site, section(t, c, name), c.H.At, fusion.Stamp{}).Line(c.H.At)
	}
	if got := line("circuit 1"); got != "" {
		t.Errorf("without a weld: %q", got)
	}
	c.Fused("1A") // at 08:00:40, held for 6 min, then 20 min
	if got := line("circuit 1"); got != "not before 08:27" {
		t.Errorf("%q", got)
	}
	c.Do(acts.AddJoint(c.H, planJoint("K1", "cap 40", "A/1"), "needed"))
	c.Fused("K1")
	if got := line("circuit 1"); got != "not before 08:27; cap 40 prints none" {
		t.Errorf("%q", got)
	}
	c.Wait(26 * time.Minute)
	if got := line("circuit 1"); got != "the longest printed pressure wait is over; cap 40 prints none" {
		t.Errorf("%q", got)
	}
}

// A test as specified: what it comes to follows from the readings and the gauge, and a
// leak that was seen goes before any figure.
func TestResultAsSpecified(t *testing.T) {
	for name, tt := range map[string]struct {
		step  float64
		bars  []float64
		leaks string
		want  loop.Outcome
		says  string
	}{
		"held":          {0.05, []float64{6.1, 6.05, 6.0}, logbook.LeakNone, loop.Within, "fall 0.1 bar, by the division between 0.05 and 0.15"},
		"fell":          {0.05, []float64{6.1, 5.7}, logbook.LeakNone, loop.NotWithin, "fall 0.4 bar"},
		"coarse":        {0.2, []float64{6.1, 6.0}, logbook.LeakNone, loop.CannotDecide, "a division finer than 0.1 bar would decide"},
		"never reached": {0.05, []float64{5.5, 5.5}, logbook.LeakNone, loop.CannotDecide, "not at the specified"},
		"leaked":        {0.05, []float64{6.1, 6.1}, logbook.LeakThere, loop.NotWithin, "a leak was seen"},
	} {
		c := crew.OnSite(t)
		id := c.Begins(crew.Pressing(crew.Circuit1, func(b *logbook.PressureBegun) { b.Gauge.ResolutionBar = &tt.step }))
		c.Reads(id, 30, tt.bars...)
		c.Do(acts.EndPressure(c.H, logbook.PressureEnded{Test: id, Ending: logbook.RanToEnd, Leaks: tt.leaks}))
		k, _ := c.Site().TestOf(id)
		res := ahead.ResultOf(section(t, c, "circuit 1"), k)
		if res.Outcome != tt.want || !strings.Contains(strings.Join(res.Lines, "; "), tt.says) {
			t.Errorf("%s: %s, %q", name, res.Outcome, res.Lines)
		}
	}
}

// volume is a test by EN 805 A.27 of circuit 1, 200 m of 40 mm SDR 11, with so much water
// let out. STP, readings and ER are invented, the phases as the method has them.
func volume(c *crew.Crew, litres float64, rest time.Duration, change ...func(*logbook.PressureBegun)) logbook.PressureTest {
	b := crew.Pressing(crew.Circuit1, func(b *logbook.PressureBegun) {
		b.Method, b.Bar, b.Minutes, b.AllowedBar, b.ErMPa = logbook.EN805, 10, 0, nil, new(1000.0)
		b.Gauge.ResolutionBar = new(0.02)
	})
	for _, f := range change {
		f(&b)
	}
	id := c.Begins(b)
	say := func(phase logbook.PressurePhase, r logbook.PressureRead) {
		r.Test = id
		c.Do(acts.ReadPressure(c.H, phase, r))
	}
	say(logbook.PhaseRelax, logbook.PressureRead{Bar: new(0.0)})
	c.Wait(time.Hour)
	say(logbook.PhaseRaise, logbook.PressureRead{})
	c.Wait(5 * time.Minute)
	say(logbook.PhasePump, logbook.PressureRead{Bar: new(10.0)})
	c.Wait(30 * time.Minute)
	say(logbook.PhaseRest, logbook.PressureRead{Bar: new(10.0)})
	c.Wait(rest)
	say("", logbook.PressureRead{Bar: new(9.0)})
	say(logbook.PhaseDrop, logbook.PressureRead{Bar: new(7.8), LetOutL: &litres, MeasureL: new(0.001)})
	say(logbook.PhaseMain, logbook.PressureRead{Bar: new(7.8)})
	c.Wait(30 * time.Minute)
	say("", logbook.PressureRead{Bar: new(7.9)})
	c.Do(acts.EndPressure(c.H, logbook.PressureEnded{Test: id, Ending: logbook.RanToEnd, Leaks: logbook.LeakNone}))
	k, _ := c.Site().TestOf(id)
	return k
}

// ΔVmax of 200 m of 40 mm SDR 11 at ER 1000 MPa is 0.1860 L for 100 kPa (derived, as in
// package loop), 0.2231 L for the drop of 120 kPa.
func TestResultByVolume(t *testing.T) {
	c := crew.OnSite(t)
	circuit := section(t, c, "circuit 1")
	for _, tt := range []struct {
		litres float64
		rest   time.Duration
		change func(*logbook.PressureBegun)
		want   loop.Outcome
		says   string
	}{
		{0.2, time.Hour, func(*logbook.PressureBegun) {}, loop.Within, "the least wall of the class counted where none was measured: the allowed volume is lenient"},
		{0.25, time.Hour, func(*logbook.PressureBegun) {}, loop.NotWithin, "water: not within what the method allows: water let out 0.25 L"},
		{0.2, 40 * time.Minute, func(*logbook.PressureBegun) {}, loop.CannotDecide, `the phase "rest, pump shut off" ran 40 of 60 min`},
		{0.2, time.Hour, func(b *logbook.PressureBegun) { b.ErMPa = nil }, loop.CannotDecide, "the modulus ER is not known"},
		{0.21, time.Hour, func(b *logbook.PressureBegun) { b.WallMM = new(4.2) }, loop.NotWithin, "water let out 0.21 L"}, // a thicker wall allows less
	} {
		res := ahead.ResultOf(circuit, volume(c, tt.litres, tt.rest, tt.change))
		if res.Outcome != tt.want || !strings.Contains(strings.Join(res.Lines, "; "), tt.says) {
			t.Errorf("%g L: %s, want %s: %q", tt.litres, res.Outcome, tt.want, res.Lines)
		}
	}
	c.Do(acts.SplitJoint(c.H, "1B", "a bridge of pipe", acts.Piece{}))
	if res := ahead.ResultOf(section(t, c, "circuit 1"), volume(c, 0.2, time.Hour)); res.Outcome != loop.CannotDecide || !strings.Contains(fmt.Sprint(res.Lines), "pipe 1B:piece is not stated") {
		t.Errorf("a pipe without its length: %s, %q", res.Outcome, res.Lines)
	}
}

// The decay of the vector in package loop (tL 5, readings after 5, 35 and 75 min) gives
// N1 and N2 and no pass.
func TestResultOfATrend(t *testing.T) {
	c := crew.OnSite(t)
	trend := func(last float64) ahead.PressureResult {
		id := c.Begins(crew.Pressing(crew.Circuit1, func(b *logbook.PressureBegun) {
			b.Method, b.Bar, b.Minutes, b.AllowedBar, b.Gauge.ResolutionBar = logbook.DecayTrend, 9, 0, nil, new(0.001)
		}))
		for _, step := range []struct {
			phase logbook.PressurePhase
			bar   float64
			wait  time.Duration
		}{{logbook.PhaseLoad, 0, 5 * time.Minute}, {logbook.PhaseDecay, 9.1, 5 * time.Minute}, {"", 9, 30 * time.Minute}, {"", 8.28, 40 * time.Minute}, {"", last, 0}} {
			c.Do(acts.ReadPressure(c.H, step.phase, logbook.PressureRead{Test: id, Bar: &step.bar}))
			c.Wait(step.wait)
		}
		c.Do(acts.EndPressure(c.H, logbook.PressureEnded{Test: id, Ending: logbook.RanToEnd, Leaks: logbook.LeakNone}))
		k, _ := c.Site().TestOf(id)
		return ahead.ResultOf(section(t, c, "circuit 1"), k)
	}
	even, rising := trend(7.983), trend(7.70)
	if even.Outcome != loop.CannotDecide || fmt.Sprintf("%.3f %.3f", even.Trend.N1, even.Trend.N2) != "0.050 0.050" || !strings.Contains(fmt.Sprint(even.Lines), "a trend without a pass") {
		t.Errorf("%s, %+v, %q", even.Outcome, even.Trend, even.Lines)
	}
	if fmt.Sprintf("%.4f", rising.Trend.N2) != "0.0991" || !strings.Contains(fmt.Sprint(rising.Lines), "N2 lies above N1: that points to a leak; no number for it is known") {
		t.Errorf("%+v, %q", rising.Trend, rising.Lines)
	}
}

// No pressure above the weakest part: with the gauge above the lowest point less shows
// there than lies on it. Ten metres of water at 10 °C are 98.04 kPa.
func TestMostAtTheGauge(t *testing.T) {
	b := crew.Pressing(crew.Circuit1, func(b *logbook.PressureBegun) { *b.Gauge.AboveM = 10 })
	if most, known := ahead.MostBar(b); !known || fmt.Sprintf("%.4f", most) != "9.0196" {
		t.Errorf("%g bar", most)
	}
	b.WeakestBar = nil
	if _, known := ahead.MostBar(b); known {
		t.Error("a rating that nobody knows is known")
	}
}
