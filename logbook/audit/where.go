package audit

import "coolhold/logbook"

// A Spot is where on the site something is that a finding is about.
type Spot struct {
	Section logbook.SectionID // a chamber, or a circuit or header of one
	Part    string            // as it is covered
	Joint   string
}

// lying are facts that name where it is.
type lying interface{ at() Spot }

// At is where that is which a finding found, as far as its facts name it beside its own joint,
// weld and part: a loss of pressure, a repair, a look at the loop, a cover. Empty where they
// name nothing.
func (f Finding) At() Spot {
	if l, is := f.facts.(lying); is {
		return l.at()
	}
	return Spot{}
}

func inChamber(chamber string, circuit int) logbook.SectionID {
	return logbook.SectionID{Chamber: chamber, Circuit: circuit}
}

func (s spot) at() Spot           { return Spot{Section: inChamber(s.Chamber, s.Circuit), Joint: s.Joint} }
func (f toldFact) at() Spot       { return Spot{inChamber(f.Chamber, f.Circuit), f.Part, f.Joint} }
func (f siteLoss) at() Spot       { return Spot{Section: inChamber(f.Chamber, f.Circuit)} }
func (f flowFact) at() Spot       { return Spot{Section: f.Circuit} }
func (f purgeFact) at() Spot      { return Spot{Section: f.Section} }
func (f fluidFact) at() Spot      { return Spot{Section: f.Section} }
func (f coverBack) at() Spot      { return Spot{Part: f.Part} }
func (f dugFact) at() Spot        { return Spot{Part: f.Part} }
func (f groundBackFact) at() Spot { return Spot{Part: f.Part} }
