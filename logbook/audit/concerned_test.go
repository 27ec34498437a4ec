package audit_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
)

// A query on a joint or on the site is not accepted by who made or said what stands in it.
func TestNobodyAcceptsHisOwnMatter(t *testing.T) {
	for _, tt := range []struct {
		rule, says string
		seed       func(*team) acts.Head // who is concerned
	}{
		{"covered-before-accepted", "welded there", func(c *team) acts.Head {
			c.made("1A", well())
			h := c.H
			c.H = c.by("Mona Invented")
			c.cover("1B")
			h.At = c.H.At
			c.H = h
			c.made("1B", well())
			return c.by("Invented, Ada")
		}},
		{"covered-before-accepted", "said that it is covered", func(c *team) acts.Head {
			c.made("1A", well())
			h := c.H
			c.H = c.by("Mona Invented")
			c.cover("1B")
			h.At = c.H.At
			c.H = h
			c.made("1B", well())
			return c.by("Mona Invented")
		}},
		{"told-before-opening", "said it", func(c *team) acts.Head {
			c.Do(acts.Happen(c.by("Mona Invented"), "1B", logbook.Happened{What: logbook.DugUp, On: "2026-03-08", Text: "looked for the pipe"}))
			return c.by("Mona Invented")
		}},
		{"pressure-lost-before-welding", "said it", func(c *team) acts.Head {
			c.Do(acts.Happen(c.by("Mona Invented"), "1B", logbook.Happened{What: logbook.PressureLost, On: "2026-03-09", Text: "0.3 bar in a day"}))
			return c.by("Mona Invented")
		}},
		{audit.LegStruck, "said that it is not being built", func(c *team) acts.Head {
			c.made("1A", well())
			c.Do(acts.StrikeJoint(c.by("Mona Invented"), "1B", "not needed"))
			return c.by("Mona Invented")
		}},
		{"clock-jumped", "had KM-0001 in its hold then", func(c *team) acts.Head {
			c.fused("1A", well())
			c.setClock(-32 * time.Hour)
			return c.H
		}},
		{audit.GroundLacking, "looked there", func(c *team) acts.Head {
			h := c.by("Mona Invented")
			c.Do(acts.CheckGround(h, looked(logbook.GroundCovered, logbook.GroundBed, logbook.No)))
			return h
		}},
		{audit.GroundLacking, "said that it is covered", func(c *team) acts.Head {
			c.wantsLooked(nil, logbook.GroundBed)
			h := c.by("Mona Invented")
			c.Do(crew.Raw(h, "", "", logbook.Covered{Section: "chamber A"}))
			return h
		}},
		{audit.GroundWelded, "welded there", func(c *team) acts.Head {
			c.wantsLooked([]string{logbook.GroundLid})
			c.made("1A", well())
			return c.H
		}},
		{audit.GroundBack, "said it", func(c *team) acts.Head {
			h := c.by("Mona Invented")
			c.Do(acts.CheckGround(h, looked(logbook.GroundCovered, logbook.GroundBed, logbook.No)))
			c.takesLookBack("it was chamber B")
			return h
		}},
		{"logs-differ", "said that it is one site", func(c *team) acts.Head {
			c.mergedUnlike(`"invented client"`, `"another client"`)
			return c.H
		}},
	} {
		t.Run(tt.rule+" "+tt.says, func(t *testing.T) {
			c := onSite(t)
			h := tt.seed(c)
			if tt.rule == "clock-jumped" {
				c.Do(acts.ChangeWeather(c.H, logbook.Weather{Sky: "dry"}))
			}
			h.At = c.H.At
			f := only(t, c.run(), tt.rule)
			if _, err := acts.Accept(h, none, f.Judged(), "seen by me")(c.Book); !errors.Is(err, logbook.ErrRule) || !strings.Contains(err.Error(), tt.says+": somebody else must accept this") {
				t.Errorf("%s accepts it: %v", h.By, err)
			}
			c.Do(acts.WorksAlone(h, true))
			if _, err := acts.Accept(h, none, f.Judged(), "nobody else is here")(c.Book); err != nil {
				t.Errorf("who works alone: %v", err)
			}
			c.Do(acts.WorksAlone(h, false), acts.Accept(c.foreman(), none, f.Judged(), "looked at it"))
			if !only(t, c.run(), tt.rule).Settled {
				t.Error("open though another looked")
			}
		})
	}
}
