package audit

import (
	"fmt"
	"slices"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

// LegStruck is the rule of a leg that is not built beside one that is.
const LegStruck = "leg-not-built"

// A coverBack is a cover over joints that were not settled, and who took it back.
type coverBack struct {
	Part    string   `json:"part"`
	On      string   `json:"on"`
	By      string   `json:"by"`
	Missing []string `json:"missing"`
	Back    ask      `json:"back"`
}

// coverTakenBack speaks where a part was covered while joints were not settled, and that
// was taken back: the ground may lie on them all the same.
func coverTakenBack(c Case) (coverBack, bool) {
	k := c.moment.cover
	if k == nil || k.Withdrawn == nil || len(k.Missing) == 0 {
		return coverBack{}, false
	}
	return coverBack{k.Section, k.When("2006-01-02"), k.By, k.Missing, ask{k.Withdrawn.By, k.Withdrawn.Why}}, true
}

func coverBackSays(_ string, f coverBack) string {
	return fmt.Sprintf("%s was covered on %s, as %s said, while not settled: %s; %s took that back (%s)", f.Part, f.On, f.By, strings.Join(f.Missing, ", "), f.Back.By, f.Back.Why)
}

func (f coverBack) saidBy() (who, what string) { return f.Back.By, "took the cover back" }

func (f coverBack) touches(j logbook.Joint) bool {
	return ahead.SectionOf(j) == f.Part && slices.Contains(f.Missing, j.Label)
}

// A dugFact is a cover over joints that were not settled, and by whose word it is dug up.
type dugFact struct {
	Part    string   `json:"part"`
	On      string   `json:"on"` // covered
	By      string   `json:"by"`
	Missing []string `json:"missing"`
	DugOn   string   `json:"dug_on"`
	Dug     ask      `json:"dug"`
}

// dugUpUnseen speaks where the word that a part was dug up takes such a cover away, and it
// is that of who covered it or welded there: nobody else saw the joints.
func dugUpUnseen(c Case) (dugFact, bool) {
	e := c.moment.event
	if e == nil || e.What != logbook.DugUp {
		return dugFact{}, false
	}
	for _, k := range slices.Backward(c.Site.Covers) {
		if k.Withdrawn != nil {
			continue
		}
		f := dugFact{k.Section, k.When("2006-01-02"), k.By, nil, e.On, ask{e.By, e.Text}}
		for _, label := range k.Missing {
			if dug := c.Site.DugSince(k, c.scene.joints[label]); dug != nil && dug.Seq == e.Seq {
				f.Missing = append(f.Missing, label)
			}
		}
		welder, _ := c.weldedThere(f, e.By)
		if len(f.Missing) > 0 && (welder != "" || c.scene.people.same(k.By, e.By)) {
			return f, true
		}
	}
	return dugFact{}, false
}

func dugUpSays(_ string, f dugFact) string {
	return fmt.Sprintf("%s was covered on %s, as %s said, while not settled: %s; it was dug up on %s, as %s says (%s); nobody else looked", f.Part, f.On, f.By, strings.Join(f.Missing, ", "), f.DugOn, f.Dug.By, f.Dug.Why)
}

func (f dugFact) saidBy() (who, what string) { return f.Dug.By, "said that it was dug up" }

func (f dugFact) touches(j logbook.Joint) bool { return slices.Contains(f.Missing, j.Label) }

// A struckLeg is a joint that is not being built, though the other leg of its circuit is.
type struckLeg struct {
	Circuit int    `json:"circuit"`
	Why     string `json:"why"`
	Other   string `json:"other_joint"`
	Weld    string `json:"other_weld"`
}

// legStruck speaks where one leg of a circuit is taken off the list and the other stands:
// such a circuit is open at one end. Of a weld that stands in the joint itself the logs
// speak.
func legStruck(c Case) (struckLeg, bool) {
	j := c.Joint
	if j.Struck == "" || j.Circuit == 0 || j.Stands != "" {
		return struckLeg{}, false
	}
	for _, label := range c.scene.legs[circuit{j.Chamber, j.Circuit}] {
		if o := c.scene.joints[label]; o.Leg != j.Leg && o.Counts() && o.Stands != "" {
			return struckLeg{j.Circuit, j.Struck, o.Label, o.Stands}, true
		}
	}
	return struckLeg{}, false
}

func struckSays(joint string, f struckLeg) string {
	return fmt.Sprintf("joint %s is not being built (%s), and %s stands in the other leg of circuit %d, %s", joint, f.Why, f.Weld, f.Circuit, f.Other)
}
