package audit_test

import (
	"fmt"
	"slices"
	"strconv"
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

func atPort(v string) func(*manner) { return func(m *manner) { m.answers[logbook.ItemPort] = v } }

// made2 makes 1A and then 1B, changed as given.
func made2(a, b func(*manner)) func(*team) {
	return func(c *team) {
		first, second := well(), well()
		a(&first)
		b(&second)
		c.made("1A", first)
		c.made("1B", second)
	}
}

func as(*manner) {}

// statedFrom is a weld of which two minutes past the hour were written down,
// an hour after.
func (c *team) statedFrom(label string, start, end int) {
	c.T.Helper()
	if c.H.At.Wall.Hour() == 7 {
		c.Wait(time.Hour)
	}
	hour := time.Date(2026, 3, 9, 7, 0, 0, 0, time.UTC).In(c.H.At.Local().Location())
	c.late(func(l *acts.LateWeld) {
		l.Joint, l.Started, l.Released = label, hour.Add(time.Duration(start)*time.Minute), time.Time{}
		l.Ended = hour.Add(time.Duration(end) * time.Minute)
	})
}

// What welds show beside each other: says is "" where the rule must be silent.
func TestEdgesBesideEachOther(t *testing.T) {
	tests := []struct {
		name, rule, says string
		seed             func(*team)
	}{
		{"both legs named", "legs-on-one-bar", "1B on port 3 and 1A on port 1 (KM-0001) are both on the rail from ground", made2(as, atPort("3"))},
		{"the other leg is the wrong one", "legs-on-one-bar", "KM-0001: 1A on port 4 and 1B on port 2", made2(atPort("4"), as)},
		{"both wrong, one bar", "legs-on-one-bar", "KM-0002: 1B on port 1", made2(atPort("3"), atPort("1"))},
		{"bars changed over", "legs-on-one-bar", "", made2(atPort("4"), atPort("3"))},
		{"the other leg is open", "legs-on-one-bar", "", how(func(m *manner) { atPort("3")(m) })},
		{"the other leg is open: only the port", "leg-on-wrong-port", "leg 1B is on port 3 (from ground), the plan says port 2 (to ground)", how(func(m *manner) { atPort("3")(m) })},
		{"the other leg was cut out", "legs-on-one-bar", "", func(c *team) {
			made2(as, atPort("3"))(c)
			c.Do(acts.Cut(c.H, "KM-0001", "crooked"))
		}},
		{"one bar, not said twice", "leg-on-wrong-port", "", made2(as, atPort("3"))},
		{"the planned port, said", "leg-on-wrong-port", "", how(func(m *manner) { atPort(" 2 ")(m) })},
		{"no number", "leg-on-wrong-port", "port the spare (no port of the plan)", how(func(m *manner) { atPort("the spare")(m) })},

		{"20 s are enough", "leads-too-quick", "", made2(as, func(m *manner) { m.ago = 6*60 - 20 })},
		{"19 s are not", "leads-too-quick", "KM-0002 was started 19 s after KM-0001 ended on the same unit CU-1", made2(as, func(m *manner) { m.ago = 6*60 - 19 })},
		{"started before the other ended", "fusions-overlap", "for 3 s at least", made2(as, func(m *manner) { m.ago = 6*60 + 3 })},
		{"an end keyed late is none of the unit's", "fusions-overlap", "", func(c *team) {
			id := c.begun("1A", well())
			c.Do(acts.StartFusion(c.H, id, 0))
			c.Wait(time.Hour)
			c.Do(acts.EndFusion(c.H, id, logbook.FusionEnded{Outcome: logbook.NotSeen}))
			m := well()
			m.ago = 20 * 60
			c.made("1B", m)
		}},
		{"stated to the minute", "fusions-overlap", "", func(c *team) {
			c.made("1A", well())
			c.Wait(5 * time.Minute)
			c.late(func(l *acts.LateWeld) {
				l.Started = c.fusedAt("KM-0001").Add(-time.Minute) // as the current of the other came on
				l.Ended = l.Started.Add(time.Minute)
				l.Released = l.Started.Add(8 * time.Minute)
			})
		}},
		{"another runs over the turn of a stated minute", "fusions-overlap", "KM-0001 and KM-0002 ran at the same time on unit CU-1: that cannot be", func(c *team) {
			c.statedFrom("1B", 10, 11)
			c.Wait(11*time.Minute - 19*time.Second - time.Hour)
			c.made("1A", well())
		}},
		{"another ends before the turn", "fusions-overlap", "", func(c *team) {
			c.statedFrom("1B", 10, 11)
			c.Wait(10*time.Minute + 19*time.Second - time.Hour)
			c.made("1A", well())
		}},
		{"one stated within another", "fusions-overlap", "KM-0002 and KM-0001 ran at the same time on unit CU-1: that cannot be", func(c *team) {
			c.statedFrom("1A", 5, 8)
			c.statedFrom("1B", 6, 7)
		}},
		{"within a minute of another", "fusions-overlap", "KM-0002 and KM-0001", func(c *team) {
			c.statedFrom("1A", 5, 8)
			c.statedFrom("1B", 6, 6)
		}},
		{"a minute in common", "fusions-overlap", "KM-0002 and KM-0001", func(c *team) {
			c.statedFrom("1A", 5, 7)
			c.statedFrom("1B", 6, 8)
		}},
		{"three minutes in common", "fusions-overlap", "for 120 s at least", func(c *team) {
			c.statedFrom("1A", 5, 9)
			c.statedFrom("1B", 6, 9)
		}},
		{"one ends in the minute in which the next begins", "fusions-overlap", "", func(c *team) {
			c.statedFrom("1A", 5, 7)
			c.statedFrom("1B", 7, 8)
		}},
		{"two within a long one that is not sure", "fusions-overlap", "KM-0003 and KM-0002 ran at the same time on unit CU-1, for 30 s at least", func(c *team) {
			c.statedFrom(c.added("X1"), 10, 12)
			c.Wait(10*time.Minute + 5*time.Second - time.Hour)
			c.made("1A", well())
			how(func(m *manner) { m.ago = 6*60 + 30 })(c)
		}},
		{"in one and the same minute", "fusions-overlap", "", func(c *team) {
			c.statedFrom("1A", 5, 5)
			c.statedFrom("1B", 5, 5)
		}},
		{"stated, too quick for leads", "leads-too-quick", "", func(c *team) {
			c.late(func(l *acts.LateWeld) {
				l.Ended, l.Released = c.H.At.Local().Add(-5*time.Second), time.Time{}
			})
			c.made("1A", well())
		}},
		{"the clock was set back in between", "fusions-overlap", "", func(c *team) {
			c.made("1A", well())
			c.H.At.Wall = c.fusedAt("KM-0001").UTC()
			c.made("1B", well())
		}},

		{"twenty minutes are allowed", "scraped-long-ago", "", scrapedAgo(20 * time.Minute)},
		{"a second more is not", "scraped-long-ago", "KM-0001 was fused 20 min after it was scraped, the plan allows 20", scrapedAgo(20*time.Minute + time.Second)},
		{"the plan states no longest time", "scraped-long-ago", "", how(func(m *manner) { m.idle = 29 * time.Minute })},
		{"scraped by hand once more", "scraped-long-ago", "", func(c *team) {
			c.allowsScraped(20)
			inWalk(func(c *team, id string) {
				c.Wait(25 * time.Minute)
				c.Do(acts.AnswerStep(c.H, id, logbook.StepScrape, []logbook.Answer{crew.Say(c.Weld(id).ScrapeItem(), logbook.HandAgain)}))
			})(c)
		}},
		{"the machine was started anew: the longer counts", "scraped-long-ago", "KM-0001 was fused 60 min after", func(c *team) {
			c.allowsScraped(20)
			inWalk(func(c *team, id string) { c.restart() })(c)
		}},
		{"half an hour is fresh", "ambient-stale", "", how(func(m *manner) { m.idle = ahead.FreshFor })},
		{"an earlier reading confirmed", "ambient-stale", "read 45 min before", func(c *team) {
			id := c.begun("1B", well())
			taken := c.H.At.Add(-44 * time.Minute)
			volts, ohms := 39.5, 2.4
			c.Do(acts.ReadAmbient(c.H, id, 9_00, logbook.Typed, &taken))
			c.Do(acts.KeySettings(c.H, id, logbook.ModeKeyed, 40, &volts))
			c.Do(acts.ReadOhms(c.H, id, &ohms))
			c.Wait(time.Minute)
			c.Do(acts.StartFusion(c.H, id, 0))
		}},
		{"five degrees", "ambient-leaping", "", made2(as, func(m *manner) { m.air = 14_00 })},
		{"five degrees and a bit", "ambient-leaping", "14.01 °C was read, 7 min after 9 °C for KM-0001", made2(as, func(m *manner) { m.air = 14_01 })},
		{"after half an hour", "ambient-leaping", "", func(c *team) {
			c.made("1A", well())
			c.Wait(ahead.FreshFor)
			how(func(m *manner) { m.air = 14_01 })(c)
		}},

		{"the last day of a qualification", "operator-out-of-date", "", func(c *team) { c.closed(); c.shift("2026-03-09", ""); c.made("1B", well()) }},
		{"twelve months to the day", "unit-out-of-date", "", func(c *team) { c.closed(); c.shift("", "2025-03-09"); c.made("1B", well()) }},
		{"a unit the shift does not know", "unit-out-of-date", "", func(c *team) {
			c.closed()
			c.shift("", "2025-03-08")
			c.late(func(l *acts.LateWeld) { l.Unit = "CU-9" })
		}},

		{"each unknown batch may be a new one", "bag-not-read", "batch not known, was not read", func(c *team) {
			m := well()
			m.answers[logbook.ItemBatch] = logbook.NotKnown
			c.made("1A", m)
			m.noBag = true
			c.made("1B", m)
		}},
		{"the bag in hand was read, its batch mistyped", "bag-not-read", "", func(c *team) { c.correct(c.made("1B", well()), logbook.ItemBatch, "W-11") }},
		{"known from another weld, then corrected", "bag-not-read", "batch W-11", func(c *team) {
			c.made("1A", well())
			m := well()
			m.noBag = true
			c.correct(c.made("1B", m), logbook.ItemBatch, "W-11")
		}},
		{"the bag says no and the walk goes on", "bag-not-read", "its bag, batch W-1, shows another time than the table", func(c *team) {
			id := c.begun("1B", well())
			c.Do(acts.ReadBag(c.H, id, false))
			w, _ := c.Book.Weld(c.H.Site, id)
			w.Answers = map[string]logbook.Answer{} // as the crew took it all the same
			for _, a := range well().given() {
				w.Answers[a.Item] = a
			}
			c.Book.PutWeld(w)
			c.Do(acts.StartFusion(c.H, id, 0))
		}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := onSite(t)
			tt.seed(c)
			c.says(tt.rule, tt.says)
		})
	}
}

// Without its plan nothing is said of ports.
func TestWithoutAPlan(t *testing.T) {
	c := onSite(t)
	made2(as, atPort("3"))(c)
	c.says("legs-on-one-bar", "both on the rail")
	s, _ := c.Book.Site(c.H.Site)
	s.Plan, s.Plans = nil, nil
	c.Book.PutSite(s)
	c.says("legs-on-one-bar", "")
	c.says("leg-on-wrong-port", "")
}

// A long fusion is held against all that began while it ran.
func TestOverlapsOfALongFusion(t *testing.T) {
	c := onSite(t)
	c.Wait(time.Hour)
	began := c.H.At.Local().Add(-30 * time.Minute)
	for i, from := range []time.Duration{0, 2, 6, 10} {
		took := 2 * time.Minute
		if i == 0 {
			took = 9 * time.Minute
		}
		label := c.added(fmt.Sprint("X", i))
		c.late(func(l *acts.LateWeld) {
			l.Joint, l.Started, l.Released = label, began.Add(from*time.Minute), time.Time{}
			l.Ended = l.Started.Add(took)
		})
	}
	var got []string
	for _, f := range c.run().Findings {
		if f.Rule == "fusions-overlap" {
			got = append(got, f.Says)
		}
	}
	want := []string{
		"KM-0002 and KM-0001 ran at the same time on unit CU-1, for 60 s at least: that cannot be",
		"KM-0003 and KM-0001 ran at the same time on unit CU-1, for 60 s at least: that cannot be",
	}
	if !slices.Equal(got, want) {
		t.Errorf("found %q", got)
	}
}

// Each item of the card that could not be done is named.
func TestEachItemThatCouldNot(t *testing.T) {
	for _, p := range logbook.PrepItems {
		c := onSite(t)
		m := well()
		m.answers[p.Item] = logbook.CouldNot
		c.made("1B", m)
		rule, says := "preparation-could-not", "could not: "+p.Name+" ("
		if p.Item == logbook.ItemScraped || p.Item == logbook.ItemScraped2 {
			rule, says = "unscraped", "was fused unscraped"
		}
		c.says(rule, says)
	}
}

// The time for each weld stays the same: nothing is looked up again for each
// rule and weld.
func BenchmarkRun(b *testing.B) {
	for _, n := range []int{100, 400} {
		b.Run(strconv.Itoa(n), func(b *testing.B) {
			c := onSite(b)
			for range n {
				c.Do(acts.Cut(c.H, c.made("1A", well()), "for the count"))
			}
			for b.Loop() {
				audit.Run(c.Book, c.H.Site, c.H.At, fusion.Stamp{})
			}
			b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N*n), "µs/weld")
		})
	}
}

// A counter is a reader that counts how often all joints of a site are asked for: each
// time they are copied.
type counter struct {
	logbook.Reader
	joints *int
}

func (c counter) Joints(site string) []logbook.Joint { *c.joints++; return c.Reader.Joints(site) }

// How many sections a site has says nothing of how often the audit asks for all its joints.
func TestTheJointsAreNotReadForEachSection(t *testing.T) {
	of := func(chambers int) (asked int) {
		head, rest, _ := strings.Cut(crew.PlanText, "[[chamber]]")
		chamber, _, _ := strings.Cut(rest, "[[joint]]")
		for i := range chambers {
			head += "[[chamber]]" + strings.Replace(chamber, `name = "A"`, fmt.Sprintf(`name = "C%d"`, i), 1)
		}
		c := crew.Empty(t)
		c.Opens(strings.Replace(head, "[require]\n", "[require]\nbefore_cover = [\"bed\"]\n", 1), crew.TableText)
		audit.Run(counter{c.Book, &asked}, c.H.Site, c.H.At, fusion.Stamp{})
		return asked
	}
	if few, many := of(2), of(20); few != many {
		t.Errorf("all joints were read %d times of 2 chambers, %d times of 20", few, many)
	}
}

// Nor for each fluid that was filled in.
func TestTheJointsAreNotReadForEachFluid(t *testing.T) {
	of := func(sections ...logbook.SectionID) (asked int) {
		c := onSite(t)
		for _, in := range sections {
			c.Do(acts.FillFluid(c.H, logbook.FluidFilled{Section: in, Content: logbook.ContentReady, Name: "invented fluid", Litres: new(150.0)}))
		}
		audit.Run(counter{c.Book, &asked}, c.H.Site, c.H.At, fusion.Stamp{})
		return asked
	}
	all, circuit := logbook.SectionID{}, logbook.SectionID{Chamber: "A", Circuit: 1}
	if one, two := of(all), of(all, circuit); one != two {
		t.Errorf("all joints were read %d times of one fluid, %d times of two", one, two)
	}
}
