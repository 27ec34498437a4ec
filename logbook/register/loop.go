package register

import (
	"cmp"
	"slices"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

// A LoopReading is a flow check, a purge, a filling or how it was left, as it stands in the register: what
// was said, and what that comes to. The newest of its kind in a section counts; but of how it was left each thing
// stands until that thing is said anew.
type LoopReading struct {
	What    string               `json:"what"` // "flow checked", "purged", "fluid filled", "left as"
	Section string               `json:"section"`
	Said    string               `json:"said"`
	Comes   []string             `json:"comes_to"` // what is seen in it, or lacks; nothing here says that it is good
	By      string               `json:"by"`
	At      string               `json:"at"` // local time, RFC 3339; as stated where it was entered later
	Newest  bool                 `json:"newest"`
	Outcome ahead.FlowOutcome    `json:"outcome,omitempty"` // of a flow check
	Flow    *logbook.FlowChecked `json:"flow,omitempty"`
	Purge   *logbook.Purged      `json:"purge,omitempty"`
	Fluid   *logbook.FluidFilled `json:"fluid,omitempty"`
	Left    *logbook.LeftAs      `json:"left,omitempty"`
	Back    *logbook.Withdrawal  `json:"taken_back,omitempty"`
	// Anew names what of how it was left was said anew since; the rest stands.
	Anew   []string `json:"said_anew,omitempty"`
	stands bool
	seq    uint64
}

// When is its time to the minute.
func (l LoopReading) When() string {
	at, err := time.Parse(time.RFC3339, l.At)
	if err != nil {
		return l.At
	}
	return at.Format("2006-01-02 15:04")
}

// Stands tells of how a section was left whether any of it stands.
func (l LoopReading) Stands() bool { return l.stands }

// readingOf is what all of them have.
func readingOf(b logbook.Body, id logbook.SectionID, by logbook.Signature, when logbook.Timed, back *logbook.Withdrawal, newest bool) LoopReading {
	return LoopReading{
		What: string(b.Kind()), Section: id.String(), Said: b.Line(), Comes: []string{}, By: by.By, At: when.Local().Format(time.RFC3339),
		Newest: newest && back == nil, Back: back, seq: by.Seq,
	}
}

// loopOf are the flow checks, purges and fillings of a site and how it was left, oldest
// first.
func loopOf(r logbook.Reader, s logbook.Site) (all []LoopReading) {
	for _, f := range s.Loop.Flows {
		newest, found := s.Loop.FlowOf(f.Section)
		l, res := readingOf(f.FlowChecked, f.Section, f.Signature, f.When(), f.Withdrawn, found && newest.Seq == f.Seq), ahead.FlowResultOf(f.FlowChecked)
		if l.Newest {
			res = ahead.FlowStands(s.Loop, f.FlowChecked)
		}
		l.Flow, l.Outcome, l.Comes = &f.FlowChecked, res.Outcome, append(l.Comes, res.Says)
		all = append(all, l)
	}
	sections := ahead.TestSections(r, s.ID)
	for _, p := range s.Loop.Purges {
		newest, found := s.Loop.PurgeOf(p.Section)
		l := readingOf(p.Purged, p.Section, p.Signature, p.When(), p.Withdrawn, found && newest.Seq == p.Seq)
		var want *float64
		if t, known := ahead.SectionIn(sections, p.Section); known {
			want = t.WantLPM()
		}
		l.Purge, l.Comes = &p.Purged, append(l.Comes, ahead.PurgeLacks(p.Purged, want).Says()...)
		all = append(all, l)
	}
	for _, f := range s.Loop.Fillings {
		newest, found := s.Loop.FillingOf(f.Section)
		l := readingOf(f.FluidFilled, f.Section, f.Signature, f.When(), f.Withdrawn, found && newest.Seq == f.Seq)
		t, _ := ahead.SectionIn(sections, f.Section)
		l.Fluid, l.Comes = &f.FluidFilled, append(l.Comes, ahead.FluidLacks(s, t, f).Says()...)
		all = append(all, l)
	}
	for _, f := range s.Loop.Lefts {
		newest, found := s.Loop.LeftOf(f.Section)
		l := readingOf(f.LeftAs, f.Section, f.Signature, f.When(), f.Withdrawn, found && newest.Seq == f.Seq)
		l.Left = &f.LeftAs
		if f.Withdrawn == nil {
			anew, all := ahead.LeftAnew(s, f)
			l.Anew, l.stands = anew, !all
		}
		all = append(all, l)
	}
	slices.SortStableFunc(all, func(a, b LoopReading) int { return cmp.Compare(a.seq, b.seq) })
	return all
}
