package acts_test

import (
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
)

// inZones is a crew whose couplers have two zones, with a weld ready for the first.
func inZones(t *testing.T) (*crew.Crew, string) {
	t.Helper()
	c := crew.On(t, crew.PlanText, strings.ReplaceAll(crew.TableText, "cooling_min", "zones = 2\ncooling_min"))
	id := c.Prepared("1A")
	if s := c.Weld(id).Settings; s.Zones != 2 || c.Weld(id).ZoneLine() != "zone 1 of 2" {
		t.Fatalf("%+v, %q", s, c.Weld(id).ZoneLine())
	}
	return c, id
}

func zone(c *crew.Crew, id string, ran int) {
	c.Do(acts.StartFusion(c.H, id, 0))
	c.Wait(40 * time.Second)
	c.Do(acts.EndFusion(c.H, id, logbook.FusionEnded{Outcome: logbook.Completed}))
	c.Do(acts.ReadRun(c.H, id, &ran))
}

func found(c *crew.Crew, rule string) (audit.Finding, bool) {
	f, ok := audit.Run(c.Book, c.H.Site, c.H.At, fusion.Stamp{}).Find(rule)
	return f, ok
}

// A fitting of two zones is one weld with two fusions: it is asked for the second, is
// held from the end of that, and is one thing to cut out.
func TestTwoZonesAreOneWeld(t *testing.T) {
	c, id := inZones(t)
	zone(c, id, 40)
	w := c.Weld(id)
	if !w.Stands() || w.Fusing() || w.Holding() || w.Hold != nil || len(w.Zones) != 1 || w.ZoneLine() != "zone 2 of 2" {
		t.Errorf("between the zones: %+v", w)
	}
	c.WantNext(id, logbook.StepResistance)
	if _, open := found(c, "zone-not-fused:"+id); !open {
		t.Error("that zone 2 is not fused is no finding")
	}
	if line, is := ahead.PipeHeld(c.Book, c.Joint("1B"), c.H.At, fusion.Stamp{}); !is || line.Weld.ID != id {
		t.Error("its pipe may be moved between the zones")
	}
	c.Refused(acts.Release(c.H, id, crew.Look(logbook.LookRelease), fusion.Stamp{}), logbook.ErrRule, "not in a hold")
	c.Do(acts.ReadOhms(c.H, id, new(2.3)))
	c.WantNext(id, logbook.StepStart)
	zone(c, id, 40)
	w = c.Weld(id)
	if !w.Holding() || w.Hold.Began != c.H.At || w.Started.Wall == w.ZoneAt.Wall || *w.Zones[0].Ohms.Ohms != 2.4 || *w.Ohms.Ohms != 2.3 {
		t.Errorf("after both: %+v", w)
	}
	if lines := w.ZoneLines(); len(lines) != 2 || !strings.HasSuffix(lines[0], "2.4 Ω, 40 s run") || !strings.HasSuffix(lines[1], "2.3 Ω, 40 s run") {
		t.Errorf("%q", lines)
	}
	c.WantNext(id, logbook.StepLook)
	c.WantRebuilt()
}

// What is wrong with one zone is wrong with the weld.
func TestAFaultOfOneZoneIsTheWelds(t *testing.T) {
	c, id := inZones(t)
	zone(c, id, 38)
	c.Do(acts.ReadOhms(c.H, id, new(2.4)))
	zone(c, id, 40)
	if f, _ := found(c, "run-unlike-set:"+id); !strings.Contains(f.Says, "ran 38 s") {
		t.Errorf("found %q", f.Says)
	}

	c, id = inZones(t)
	zone(c, id, 40)
	c.Do(acts.RefuseStart(c.H, id, "contact", nil))
	c.WantNext(id, logbook.StepResistance)
	if w := c.Weld(id); !w.Stands() || !w.Between() {
		t.Errorf("refused between the zones it is %+v", w)
	}
	c.Do(acts.ReadOhms(c.H, id, new(9.0)), acts.StartFusion(c.H, id, 0))
	c.Wait(5 * time.Second)
	c.Do(acts.RefuseStart(c.H, id, "contact", new(0)))
	if w := c.Weld(id); !w.Between() || w.Ohms != nil || w.Refused[1].AfterS == nil || *w.Refused[1].AfterS != 5 {
		t.Errorf("refused in the second zone it is %+v", w)
	}
	c.Do(acts.ReadOhms(c.H, id, new(9.0)), acts.StartFusion(c.H, id, 0))
	c.Wait(5 * time.Second)
	c.Do(acts.EndFusion(c.H, id, logbook.FusionEnded{Outcome: logbook.Stopped, AtS: new(5)}))
	if f, _ := found(c, "resistance-outside:"+id); !strings.Contains(f.Says, "9 Ω") {
		t.Errorf("found %q", f.Says)
	}
	if f, _ := found(c, "stopped-in-fusion:"+id); f.Severity != audit.Fail {
		t.Errorf("found %+v", f)
	}
	c.WantRebuilt()
}

// A second zone that cannot be fused is a fusion that stopped: heat went in.
func TestAZoneThatCannotBeFused(t *testing.T) {
	c, id := inZones(t)
	zone(c, id, 40)
	c.Refused(acts.AbandonWalk(c.H, id, "no contact"), logbook.ErrRule, "past its walk")
	c.Do(acts.EndFusion(c.H, id, logbook.FusionEnded{Outcome: logbook.Stopped, Said: "no contact"}))
	if f, _ := found(c, "stopped-in-fusion:"+id); f.Severity != audit.Fail {
		t.Errorf("found %+v", f)
	}
	if lines := c.Weld(id).ZoneLines(); len(lines) != 1 {
		t.Errorf("zones that were fused: %q", lines)
	}
	c.Do(acts.Cut(c.H, id, "one zone only"))
	if lines := c.Weld(id).ZoneLines(); len(lines) != 1 {
		t.Errorf("zones that were fused, of one cut out: %q", lines)
	}
	c.WantRebuilt()
	if j := c.Joint("1A"); !j.Open() || len(j.Welds) != 1 {
		t.Errorf("%+v", j)
	}
}
