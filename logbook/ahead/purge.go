package ahead

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"coolhold/fusion"
	"coolhold/fusion/loop"
	"coolhold/logbook"
)

// A PurgeNeed is what a circuit or a header wants when it is purged with water, of its
// pipes alone: fittings, valves and hoses are not counted. Litres are an upper figure, by
// the least wall. What the plan does not state is nil.
type PurgeNeed struct {
	Section   TestSection    `json:"-"`
	Name      string         `json:"section"`
	Litres    *float64       `json:"litres,omitempty"`
	WantLPM   *float64       `json:"want_lpm,omitempty"` // 0.6 m/s in its widest pipe
	Reynolds  *float64       `json:"reynolds,omitempty"` // in its widest pipe, at that flow
	HeadM     *float64       `json:"head_loss_m,omitempty"`
	Minutes   *float64       `json:"minutes,omitempty"` // for the changes of volume that were asked for
	GivesLPM  *float64       `json:"pump_lpm,omitempty"`
	AtEnd     bool           `json:"pump_at_end,omitempty"` // its curve ends there: at least that much
	ShortLPM  *float64       `json:"short_lpm,omitempty"`
	AtOnce    int            `json:"circuits_at_once,omitempty"` // of a header: so many open together carry its flow
	OneGives  *float64       `json:"one_circuit_lpm,omitempty"`  // of a header: what one circuit alone brings at its 0.6 m/s
	Uncertain bool           `json:"uncertain,omitempty"`        // friction between Reynolds 2,300 and 4,000
	Unstated  []string       `json:"unstated,omitempty"`         // pipes without size, class or length
	Purge     *logbook.Purge `json:"purge,omitempty"`            // recorded last
	Why       string         `json:"why,omitempty"`              // why a figure is missing
}

// A PurgeAsk is with what a site is to be purged. Figures are those of water alone.
type PurgeAsk struct {
	WaterC  float64
	Changes float64
	Pump    loop.Pump // nil: none was typed
}

// PumpOf is the curve of a pump as it was recorded.
func PumpOf(curve []logbook.PumpPoint) (p loop.Pump) {
	for _, c := range curve {
		p = append(p, loop.Duty{LPM: c.LPM, HeadM: c.HeadM})
	}
	return p
}

// PumpPoints is a curve as it is recorded.
func PumpPoints(p loop.Pump) (curve []logbook.PumpPoint) {
	for _, d := range p {
		curve = append(curve, logbook.PumpPoint{LPM: d.LPM, HeadM: d.HeadM})
	}
	return curve
}

// LastPump is the pump that was named with the newest purge that names one; nil for none.
func LastPump(s logbook.Site) loop.Pump {
	for _, p := range slices.Backward(s.Loop.Purges) {
		if p.Withdrawn == nil && len(p.Pump) > 0 {
			return PumpOf(p.Pump)
		}
	}
	return nil
}

// PurgeNeeds are the circuits and headers of a site with what each wants. An error is of
// what was asked, not of the site.
func PurgeNeeds(r logbook.Reader, site string, ask PurgeAsk) ([]PurgeNeed, error) {
	if _, err := loop.Viscosity(ask.WaterC); err != nil {
		return nil, err
	}
	if _, err := loop.ChangeMinutes(1, 1, ask.Changes); err != nil {
		return nil, err
	}
	if ask.Pump != nil {
		if err := ask.Pump.Check(); err != nil {
			return nil, err
		}
	}
	s, _ := r.Site(site)
	var needs []PurgeNeed
	for _, t := range TestSections(r, site) {
		if t.ID.Circuit == 0 && t.ID.Way == "" {
			continue
		}
		n := PurgeNeed{Section: t, Name: t.Name, Unstated: t.Unstated(), WantLPM: t.WantLPM()}
		if p, found := s.Loop.PurgeOf(t.ID); found {
			n.Purge = &p
		}
		if f, found := ContentOf(s, t); found && f.Content != logbook.ContentWater {
			n.filledWith(f)
		} else {
			n.reckon(ask)
		}
		needs = append(needs, n)
	}
	for i := range needs {
		needs[i].besideCircuits(needs)
	}
	return needs, nil
}

// WantLPM is the flow for 0.6 m/s in the widest pipe of a section; nil where the size or
// class of a pipe is not stated.
func (t TestSection) WantLPM() *float64 {
	most := 0.0
	for _, p := range t.Pipes {
		flow, err := loop.Pipe{OdMM: p.OdMM, SDR: p.SDR}.PurgeFlow()
		if err != nil {
			return nil
		}
		most = max(most, flow)
	}
	if most == 0 {
		return nil
	}
	return six(most)
}

// six is a figure to six digits, more than any of these carries.
func six(x float64) *float64 {
	y, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 6, 64), 64)
	return &y
}

// reckon fills in what follows from the pipes of the section, one after another.
func (n *PurgeNeed) reckon(ask PurgeAsk) {
	litres, known := n.Section.Litres()
	if !known || n.WantLPM == nil {
		n.Why = "not stated of its pipe: size, class or length"
		return
	}
	n.Litres = six(litres)
	run, _ := stretches(n.Section, logbook.PressureTest{})
	head := 0.0
	for _, s := range run {
		l, err := loop.Flow(s, *n.WantLPM, ask.WaterC)
		if err != nil {
			n.Why = err.Error()
			return
		}
		head += l.HeadM
		if own, _ := s.PurgeFlow(); *six(own) == *n.WantLPM {
			n.Reynolds = six(l.Reynolds)
		}
		n.Uncertain = n.Uncertain || l.Uncertain()
	}
	minutes, err := loop.ChangeMinutes(litres, *n.WantLPM, ask.Changes)
	if err != nil {
		n.Why = err.Error()
		return
	}
	n.HeadM, n.Minutes = six(head), six(minutes)
	if ask.Pump != nil {
		n.pumped(ask, run)
	}
}

// filledWith refuses figures of water for what is not: only the volume and the flow for
// 0.6 m/s hold for any fluid.
func (n *PurgeNeed) filledWith(f logbook.Filling) {
	if litres, known := n.Section.Litres(); known {
		n.Litres = six(litres)
	}
	n.Why = "in it is " + logbook.Contents.Word(f.Content) + ": the figures here are those of water"
}

func (n *PurgeNeed) pumped(ask PurgeAsk, run []loop.Stretch) {
	g, err := ask.Pump.Against(run, ask.WaterC, *n.WantLPM)
	if err != nil {
		n.Why = err.Error()
		return
	}
	n.GivesLPM, n.ShortLPM, n.AtEnd = six(g.LPM), six(g.Short()), g.AtEnd
}

// besideCircuits says of a header how much of its flow one circuit at a time brings, and
// how many at once bring all of it.
func (n *PurgeNeed) besideCircuits(all []PurgeNeed) {
	if n.Section.ID.Way == "" || n.WantLPM == nil {
		return
	}
	least, circuits := math.Inf(1), 0
	for _, o := range all {
		if o.Section.ID.Circuit > 0 && o.Section.ID.Chamber == n.Section.ID.Chamber && o.WantLPM != nil {
			least, circuits = min(least, *o.WantLPM), circuits+1
		}
	}
	if circuits == 0 || least >= *n.WantLPM {
		return
	}
	n.OneGives, n.AtOnce = &least, int(math.Ceil(*n.WantLPM/least-1e-9))
}

// Lines tell it for a person: what it wants, then what is recorded.
func (n PurgeNeed) Lines() (says []string) {
	if n.WantLPM != nil && n.Litres != nil && n.HeadM == nil {
		says = append(says, fmt.Sprintf("%.1f L; 0.6 m/s is %.1f L/min", *n.Litres, *n.WantLPM))
	}
	if n.WantLPM != nil && n.HeadM != nil {
		line := fmt.Sprintf("%.1f L; 0.6 m/s is %.1f L/min, Reynolds %.0f, head loss %.1f m, %.0f min", *n.Litres, *n.WantLPM, *n.Reynolds, *n.HeadM, math.Ceil(*n.Minutes))
		if n.Uncertain {
			line += "; the friction is uncertain there"
		}
		says = append(says, line)
	}
	if n.Why != "" {
		says = append(says, "not reckoned: "+n.Why)
	}
	switch {
	case n.GivesLPM == nil:
	case *n.ShortLPM > 0:
		says = append(says, fmt.Sprintf("the pump gives %s%.1f L/min: %.1f too few", atLeast(n.AtEnd), *n.GivesLPM, *n.ShortLPM))
	default:
		says = append(says, fmt.Sprintf("the pump gives %s%.1f L/min", atLeast(n.AtEnd), *n.GivesLPM))
	}
	if n.OneGives != nil {
		says = append(says, fmt.Sprintf("one circuit at a time brings %.1f of its %.1f L/min: open %d at once, or purge it by itself", *n.OneGives, *n.WantLPM, n.AtOnce))
	}
	if n.Purge == nil {
		return append(says, "no purge is recorded")
	}
	says = append(says, n.Purge.Line()+", by "+n.Purge.By)
	return append(says, PurgeLacks(n.Purge.Purged, n.WantLPM).Says()...)
}

func atLeast(is bool) string {
	if is {
		return "at least "
	}
	return ""
}

// A PurgeLack is what a purge lacks: each nil or "" where it lacks nothing.
type PurgeLack struct {
	LPM         *float64 `json:"lpm,omitempty"` // too little; with what was wanted
	WantLPM     *float64 `json:"want_lpm,omitempty"`
	FlowUnread  bool     `json:"flow_unread,omitempty"`
	AfterBubble *float64 `json:"after_bubble_min,omitempty"`
	Unknown     bool     `json:"after_bubble_unknown,omitempty"`
	Bypassed    string   `json:"bypassed,omitempty"`
	Strainer    string   `json:"strainer,omitempty"`
	Turned      string   `json:"turned,omitempty"`
}

// PurgeLacks holds a purge against 0.6 m/s and 15 minutes after the last bubble (UFGS
// 15741N, as printed), and against a heat pump bypassed, a strainer in and the direction
// turned once (common practice, no source). A flow wanted that is not known is not held
// against it.
func PurgeLacks(p logbook.Purged, want *float64) (l PurgeLack) {
	switch {
	case p.LPM == nil:
		l.FlowUnread = true
	case want != nil && *p.LPM < math.Round(*want*10)/10-0.05: // as it is shown, to a tenth
		l.LPM, l.WantLPM = p.LPM, rounded(*want)
	}
	switch {
	case p.AfterBubble == nil:
		l.Unknown = true
	case *p.AfterBubble < loop.AfterBubbleMin:
		l.AfterBubble = p.AfterBubble
	}
	lacking := func(code string, fine ...string) string {
		for _, f := range append(fine, logbook.Yes) {
			if code == f {
				return ""
			}
		}
		return code
	}
	l.Bypassed = lacking(p.Bypassed, logbook.NotFitted)
	l.Strainer, l.Turned = lacking(p.Strainer), lacking(p.Turned)
	return l
}

// rounded is a figure as it is shown: a fact of a finding must not change with a bit.
func rounded(x float64) *float64 { return new(math.Round(x*10) / 10) }

// Any tells whether it lacks anything.
func (l PurgeLack) Any() bool { return l != (PurgeLack{}) }

// Says tells what it lacks, each in a line.
func (l PurgeLack) Says() (says []string) {
	add := func(is bool, format string, args ...any) {
		if is {
			says = append(says, fmt.Sprintf(format, args...))
		}
	}
	if l.LPM != nil {
		add(true, "%s L/min is less than the %s that 0.6 m/s wants", fusion.Figure(*l.LPM), fusion.Figure(*l.WantLPM))
	}
	add(l.FlowUnread, "its flow was not read")
	if l.AfterBubble != nil {
		add(true, "it went on for %s of %d min after the last bubble", fusion.Figure(*l.AfterBubble), loop.AfterBubbleMin)
	}
	add(l.Unknown, "how long it went on after the last bubble is not known")
	add(l.Bypassed != "", "heat pump bypassed: %s", logbook.PurgeFacts.Word(l.Bypassed))
	add(l.Strainer != "", "strainer in: %s", logbook.PurgeFacts.Word(l.Strainer))
	add(l.Turned != "", "direction turned: %s", logbook.PurgeFacts.Word(l.Turned))
	return says
}
