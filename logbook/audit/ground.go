package audit

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

// The rules on what is looked at before a section is welded and covered. Each speaks once
// of a section.
const (
	GroundToLook  = "ground-to-look"
	GroundLacking = "ground-lacking"
	GroundWelded  = "ground-before-welding"
	GroundBack    = "ground-taken-back"
)

// ofGround are the queries among them.
var ofGround = []string{GroundLacking, GroundWelded, GroundBack}

// A groundLine is a line of a section, as far as it is judged.
type groundLine struct {
	Line  string              `json:"line"`
	Stage logbook.GroundStage `json:"stage"`
	Lack  ahead.GroundLack    `json:"lack"`
	State string              `json:"state,omitempty"`
	M     *float64            `json:"m,omitempty"`
	WantM *float64            `json:"want_m,omitempty"`
}

func groundLines(lines []ahead.Looked) (out []groundLine) {
	for _, l := range lines {
		f := groundLine{Line: l.Line, Stage: l.Stage, Lack: l.Lack, State: l.State}
		if l.Lack.Wrong() {
			f.M, f.WantM = l.M, l.WantM
		}
		out = append(out, f)
	}
	return out
}

func (f groundLine) says() string {
	return ahead.Looked{Line: f.Line, Stage: f.Stage, Lack: f.Lack, State: f.State, M: f.M, WantM: f.WantM}.Short()
}

func groundSaid(lines []groundLine) string {
	var says []string
	for _, f := range lines {
		says = append(says, f.says())
	}
	return strings.Join(says, ", ")
}

// A toLook is what is still to be looked at in a section.
type toLook struct {
	Welding []groundLine `json:"before_welding,omitempty"`
	Cover   []groundLine `json:"before_cover,omitempty"`
}

// groundToLook names what the plan wants looked at while it can be.
func groundToLook(c Case) (f toLook, found bool) {
	if c.ground.Welded == nil {
		f.Welding = groundLines(c.ground.Lacking(logbook.GroundWelding))
	}
	if !c.ground.Covered {
		f.Cover = groundLines(c.ground.Lacking(logbook.GroundCovered))
	}
	return f, len(f.Welding)+len(f.Cover) > 0
}

func toLookSays(part string, f toLook) string {
	var says []string
	if len(f.Welding) > 0 {
		says = append(says, "to be looked at before welding: "+groundSaid(f.Welding))
	}
	if len(f.Cover) > 0 {
		says = append(says, "to be looked at before the cover: "+groundSaid(f.Cover))
	}
	return part + ": " + strings.Join(says, "; ")
}

// A groundFact is what is not as it should be in a section, and what was not recorded
// when ground came to lie on it.
type groundFact struct {
	Wrong   []groundLine `json:"wrong,omitempty"`
	Without []groundLine `json:"without,omitempty"`
	At      *time.Time   `json:"at,omitempty"` // when it was covered, or that was said
	On      string       `json:"on,omitempty"`
}

func groundLacking(c Case) (f groundFact, found bool) {
	f.Wrong = groundLines(c.ground.Wrong())
	if c.ground.Covered {
		if f.Without = groundLines(c.ground.Lacking(logbook.GroundCovered)); len(f.Without) > 0 {
			k, _ := c.Site.CoverOf(c.ground.Section.Name)
			at := k.At.Local()
			f.At, f.On = &at, k.On
		}
	}
	return f, len(f.Wrong)+len(f.Without) > 0
}

func groundLackSays(part string, f groundFact) string {
	var says []string
	if len(f.Wrong) > 0 {
		says = append(says, "not as it should be: "+groundSaid(f.Wrong))
	}
	if len(f.Without) > 0 {
		when := f.On
		if when == "" {
			when = f.At.Format("2 Jan 15:04")
		}
		says = append(says, "covered on "+when+", and this was not recorded before: "+groundSaid(f.Without))
	}
	return part + ": " + strings.Join(says, "; ")
}

// A weldedFact is when welding began in a chamber, and what was not looked at before.
type weldedFact struct {
	Weld    string       `json:"weld"`
	At      time.Time    `json:"at"`
	Without []groundLine `json:"without"`
}

func groundWelded(c Case) (f weldedFact, found bool) {
	if c.ground.Welded == nil {
		return f, false
	}
	if f.Without = groundLines(c.ground.Lacking(logbook.GroundWelding)); len(f.Without) == 0 {
		return f, false
	}
	w, _ := ahead.FirstWeld(c.Read, c.Site.ID, c.ground.Section)
	f.Weld, f.At = w.ID, c.ground.Welded.Local()
	return f, true
}

func groundWeldedSays(part string, f weldedFact) string {
	return fmt.Sprintf("%s: welding began with %s on %s and was not looked at before: %s", part, f.Weld, f.At.Format("2 Jan 15:04"), groundSaid(f.Without))
}

// A groundBack is what was seen not to be as it should, and taken back by a word.
type groundBackFact struct {
	Part  string       `json:"part"`
	Wrong []groundLine `json:"wrong"`
	Why   string       `json:"why"`
}

func groundBack(c Case) (f groundBackFact, found bool) {
	g := c.moment.ground
	if g == nil || g.Withdrawn == nil {
		return f, false
	}
	f.Part, f.Why = g.Section, g.Withdrawn.Why
	for _, seen := range g.Seen {
		if seen.State == logbook.No {
			f.Wrong = append(f.Wrong, groundLine{Line: seen.Line, Stage: g.Stage, Lack: ahead.GroundNot, State: seen.State, M: seen.M})
		}
	}
	return f, len(f.Wrong) > 0
}

func groundBackSays(_ string, f groundBackFact) string {
	return fmt.Sprintf("%s: it was seen that this is not as it should be, and that was taken back (%s): %s", f.Part, f.Why, groundSaid(f.Wrong))
}

// concernedByGround is who looked, or said that it is covered; of a chamber that was welded
// too soon, who welded there first.
func (c Case) concernedByGround(f Finding, name string) (who, did string) {
	if f.Rule == GroundBack {
		g := c.scene.moments[momentOf(f)].ground
		if g == nil || g.Withdrawn == nil {
			return "", ""
		}
		return c.said([]string{g.By, g.Withdrawn.By}, name, "said it")
	}
	if facts, is := f.facts.(weldedFact); is {
		if m, made := c.by(facts.Weld).maker(name); made {
			return m, "welded there"
		}
		return "", ""
	}
	var looked []string
	for _, g := range c.scene.site.Ground {
		if g.Section == f.Part && g.Withdrawn == nil {
			looked = append(looked, g.By)
		}
	}
	if who, did = c.said(looked, name, "looked there"); who != "" {
		return who, did
	}
	k, covered := c.scene.site.CoverOf(f.Part)
	if !covered {
		return "", ""
	}
	return c.said([]string{k.By}, name, "said that it is covered")
}

// OfPart are the findings on a section as such.
func (res Result) OfPart(part string) []Finding {
	return res.where(func(f Finding) bool { return f.Part == part })
}

// answered are the lines of a look that one answer to a finding settles together.
func answered(facts any) []groundLine {
	switch f := facts.(type) {
	case groundFact:
		return slices.Concat(f.Wrong, f.Without)
	case weldedFact:
		return f.Without
	case groundBackFact:
		return f.Wrong
	}
	return nil
}

// OneAnswer says which lines of a look one answer settles together; "" where it is of one
// thing alone.
func (f Finding) OneAnswer() string {
	lines := answered(f.facts)
	if len(lines) < 2 {
		return ""
	}
	var names []string
	for _, l := range lines {
		names = append(names, logbook.GroundLines.Word(l.Line))
	}
	return "one answer settles all of it: " + strings.Join(names, ", ")
}

// groundOpen is what keeps the ground away from a section besides its joints: the codes of
// the lines, and in words.
func (res Result) groundOpen(part string) (codes, says []string) {
	for _, f := range res.OfPart(part) {
		if !f.Open() {
			continue
		}
		lines := answered(f.facts)
		if work, is := f.facts.(toLook); is {
			lines = slices.Concat(work.Welding, work.Cover)
		}
		says = append(says, strings.TrimPrefix(f.Says, part+": "))
		for _, l := range lines {
			if !slices.Contains(codes, l.Line) {
				codes = append(codes, l.Line)
			}
		}
	}
	return codes, says
}

// BeforeWelding is what is still to be looked at in a section before it is welded, in words;
// "" for nothing.
func (res Result) BeforeWelding(part string) string {
	f, found := res.Find(GroundToLook + ":" + part)
	if facts, is := f.facts.(toLook); found && is {
		return groundSaid(facts.Welding)
	}
	return ""
}

// GroundShort says for the board what is to be looked at before welding, and where
// something is not as it should be; "" for nothing.
func (res Result) GroundShort() string {
	var first, open []string
	for _, f := range res.Open() {
		switch {
		case f.Part == "":
		case f.Work && res.BeforeWelding(f.Part) != "":
			first = append(first, f.Part)
		case !f.Work:
			open = append(open, f.Part)
		}
	}
	var says []string
	if len(first) > 0 {
		says = append(says, "To be looked at before welding: "+strings.Join(first, ", ")+": key 9, then 4.")
	}
	if slices.Sort(open); len(open) > 0 {
		says = append(says, "A query on the ground of "+strings.Join(slices.Compact(open), ", ")+": key 9, then 4.")
	}
	return strings.Join(says, " ")
}
