package acts

import (
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

// A SaidError is the refusal of what a person typed, whatever the records say: typed
// otherwise it is taken.
type SaidError struct{ error }

// Unwrap makes it a refusal.
func (e SaidError) Unwrap() error { return e.error }

func misSaid(format string, args ...any) error { return SaidError{logbook.Refuse(format, args...)} }

// named refuses what nobody stands behind: it needs a name, and a reason where
// one is given to it.
func named(h Head, what string, reasons ...string) error {
	switch said := strings.TrimSpace(h.By); {
	case said == "":
		return misSaid("%s needs a name", what)
	case !logbook.IsName(said):
		return misSaid("%s needs a name, not %q: write at least %d letters of it", what, said, logbook.NameLeast)
	}
	for _, why := range reasons {
		switch said := strings.TrimSpace(why); {
		case said == "":
			return misSaid("%s needs a reason", what)
		case lettersOf(said, func(c rune) bool { return unicode.IsLetter(c) || unicode.IsDigit(c) }) < reasonLeast:
			return misSaid("%s needs a reason that others understand later, not %q", what, said)
		}
	}
	return nil
}

// What a reason has at least, in letters or digits: our choice. It goes into the
// client's file.
const reasonLeast = 3

func lettersOf(s string, counts func(rune) bool) (n int) {
	for _, c := range s {
		if counts(c) {
			n++
		}
	}
	return n
}

// Correct puts one value of a weld right. The joint goes by MoveWeld. Before
// the current a walk asks again, so only what does not steer it is corrected
// then.
func Correct(h Head, weld, field, value, why string) Act {
	return onWeld(h, weld, func(r logbook.Reader, w logbook.Weld) ([]logbook.Body, error) {
		if err := named(h, "a correction", why); err != nil {
			return nil, err
		}
		f, ok := logbook.FieldOf(w, field)
		if !ok || f.Key == logbook.FieldJoint {
			return nil, logbook.Refuse("%q is no value of %s that can be corrected so", field, w.ID)
		}
		if _, answer := w.Answers[f.Key]; w.Walking() && (!answer || f.Table || f.Kind == logbook.AsChoice) {
			return nil, logbook.Refuse("the walk of %s is open: answer there, or give it up", w.ID)
		}
		value, err := f.ReadOn(w, value)
		if err != nil {
			return nil, fmt.Errorf("%w: %s: %w", logbook.ErrRule, f.Name, err)
		}
		if err := notAhead(h, f, value); err != nil {
			return nil, err
		}
		if logbook.Shortened(f.Key, value) {
			return nil, logbook.Refuse("%s %q %s", f.Name, value, logbook.ShortenedSays)
		}
		if no := logbook.NoName(value); no != "" && f.Key == logbook.FieldOperator {
			return nil, misSaid("%s: %s", f.Name, no)
		}
		next := f.Set(w, value)
		if value == "" || value == f.Get(w) {
			return nil, logbook.Refuse("%s of %s is %q already, or nothing was given", f.Name, w.ID, f.Shown(w))
		}
		b := logbook.Correction{Field: f.Key, Old: f.Get(w), New: value, Why: why}
		if f.Table {
			b.Settings, b.Ohms = asTable(r, next)
		}
		return []logbook.Body{b}, nil
	})
}

// notAhead refuses a time that is still to come: what has happened lies behind.
func notAhead(h Head, f logbook.Field, value string) error {
	if f.Kind != logbook.AsMoment || value == "" {
		return nil
	}
	const layout = "2006-01-02 15:04"
	at, err := time.Parse(time.RFC3339, value)
	if err == nil && at.After(h.At.Wall) {
		return misSaid("%s is still to come: it is %s", at.Format(layout), h.At.Wall.In(at.Location()).Format(layout))
	}
	return nil
}

// asTable is what the table that the crew had says for a weld as it is now known,
// beside what its unit showed.
func asTable(r logbook.Reader, w logbook.Weld) (*logbook.SettingsKeyed, *logbook.ResistanceRead) {
	if w.Settings == nil || w.Ambient == nil {
		return nil, nil
	}
	was := *w.Settings
	site, _ := r.Site(w.Site)
	row := logbook.RowHad(site, w)
	if row.Fitting.Name == "" {
		return &logbook.SettingsKeyed{Mode: was.Mode, SecondsShown: was.SecondsShown, VoltsShown: was.VoltsShown, How: was.How, CoolingMin: was.CoolingMin, CoolingHow: was.CoolingHow, SecondsUnsaid: was.SecondsUnsaid}, nil
	}
	s, err := row.Table.Settings(w.Fitting(), w.Ambient.C)
	if err != nil { // outside its bands
		was.Table, was.Title, was.Band, was.SecondsTable, was.VoltsTable = row.Ref.Hash, row.Ref.Title, nil, 0, row.Fitting.Volts
		return &was, nil
	}
	b := keyed(s, row, was.Mode, was.SecondsShown, was.VoltsShown, was.How)
	b.SecondsUnsaid = was.SecondsUnsaid
	if was.CoolingHow == logbook.Later && was.CoolingMin > b.CoolingMin {
		b.CoolingMin, b.CoolingHow = was.CoolingMin, was.CoolingHow // as printed: the longer counts
	}
	if w.Ohms == nil {
		return &b, nil
	}
	ohms := ohmsBy(row, w.Ohms.Ohms, w.Ohms.How)
	return &b, &ohms
}

// MoveWeld corrects the joint of a weld: logged at one, made at another. Where
// another weld stands there the two were taken for each other, and with swap
// both are put right.
func MoveWeld(h Head, weld, to, why string, swap bool) Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		w, ok := r.Weld(h.Site, weld)
		if !ok {
			return nil, fmt.Errorf("weld %s: %w", weld, logbook.ErrUnknown)
		}
		j, ok := r.Joint(h.Site, to)
		switch err := named(h, "a correction", why); {
		case err != nil:
			return nil, err
		case !ok:
			return nil, fmt.Errorf("joint %s: %w", to, logbook.ErrUnknown)
		case w.Joint == to:
			return nil, logbook.Refuse("%s is recorded at %s already", weld, to)
		case w.Walking():
			return nil, logbook.Refuse("the walk of %s is open: give it up and begin at %s", weld, to)
		}
		drafts := []logbook.Draft{moving(h, w, to, why)}
		if !w.Stands() {
			return drafts, nil
		}
		if j.Walk != "" {
			return nil, logbook.Refuse("joint %s has a walk open: %s; give it up first", to, j.Walk)
		}
		if j.Stands == "" {
			return drafts, nil
		}
		other, _ := r.Weld(h.Site, j.Stands)
		if !swap {
			return nil, logbook.Refuse("%s stands in %s: if the two were taken for each other, say so and both are put right", other.ID, to)
		}
		return append(drafts, moving(h, other, w.Joint, why)), nil
	}
}

func moving(h Head, w logbook.Weld, to, why string) logbook.Draft {
	return h.weld(w, logbook.Correction{Field: logbook.FieldJoint, Old: w.Joint, New: to, Why: why})
}

// OrderCut orders a weld to be cut out.
func OrderCut(h Head, weld, why string) Act {
	return asked(h, weld, "a cut-out", why, logbook.CutOrdered{Why: why})
}

// WithdrawCut takes the order to cut a weld out back. Who ordered it takes his own back,
// and those of others stand; who did not, all there are. Order and withdrawal stay in the
// log.
func WithdrawCut(h Head, weld, why string) Act {
	return onWeld(h, weld, func(r logbook.Reader, w logbook.Weld) ([]logbook.Body, error) {
		if err := named(h, "the withdrawal of an order", why); err != nil {
			return nil, err
		}
		if w.CutOrdered == nil {
			return nil, logbook.Refuse("no cut-out of %s is ordered", w.ID)
		}
		b := logbook.CutOrdered{Why: why, Withdrawn: true}
		for _, o := range w.CutOrders {
			if SamePerson(r, h.Site, o.By, h.By) {
				b.Of = append(b.Of, o.By)
			}
		}
		if len(b.Of) == len(w.CutOrders) {
			b.Of = nil
		}
		return []logbook.Body{b}, mustStand(w)
	})
}

// AskRecheck asks for another look at a weld.
func AskRecheck(h Head, weld, why string) Act {
	return asked(h, weld, "a re-check", why, logbook.RecheckAsked{Why: why})
}

func asked(h Head, weld, what, why string, b logbook.Body) Act {
	return one(h, weld, b, func(w logbook.Weld) error {
		if err := named(h, what, why); err != nil {
			return err
		}
		return mustStand(w)
	})
}

// Enclose names files of the warranty file; weld and joint may be empty, and each file
// may name a part, a section or a test that it shows. What is named so already is left
// out; where all of them are, it refuses.
func Enclose(h Head, weld, joint string, files ...logbook.Enclosed) Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		s, ok := r.Site(h.Site)
		if !ok {
			return nil, fmt.Errorf("site %q: %w", h.Site, logbook.ErrUnknown)
		}
		if _, ok := r.Joint(h.Site, joint); joint != "" && !ok {
			return nil, fmt.Errorf("joint %s: %w", joint, logbook.ErrUnknown)
		}
		w, ok := r.Weld(h.Site, weld)
		if weld != "" && !ok {
			return nil, fmt.Errorf("weld %s: %w", weld, logbook.ErrUnknown)
		}
		var drafts []logbook.Draft
		for _, b := range files {
			if err := mayShow(r, s, weld+joint != "", b); err != nil {
				return nil, err
			}
			switch on := (logbook.Enclosure{Enclosed: b, Weld: weld, Joint: joint}); {
			case slices.ContainsFunc(s.Enclosed, on.Same):
			case weld == "":
				drafts = append(drafts, h.joint(joint, b))
				s.Enclosed = append(slices.Clip(s.Enclosed), on)
			default:
				drafts = append(drafts, h.weld(w, b))
				s.Enclosed = append(slices.Clip(s.Enclosed), on)
			}
		}
		if len(drafts) == 0 && len(files) > 0 {
			return nil, fmt.Errorf("%s with this content: %w", files[0].File, logbook.ErrExists)
		}
		return drafts, nil
	}
}

// mayShow refuses a file that shows what is not there, or several things.
func mayShow(r logbook.Reader, s logbook.Site, at bool, b logbook.Enclosed) error {
	named := 0
	for _, is := range []bool{at, b.Part != "", b.Section != nil, b.Test != ""} {
		if is {
			named++
		}
	}
	if named > 1 {
		return logbook.Refuse("%s: one thing at a time: a weld, a joint, a part, a section or a test", b.File)
	}
	if b.Part != "" && !slices.ContainsFunc(ahead.Sections(r, s.ID), func(p ahead.Section) bool { return p.Name == b.Part }) {
		return fmt.Errorf("section %q: %w", b.Part, logbook.ErrUnknown)
	}
	if b.Section != nil {
		if _, ok := ahead.TestSectionOf(r, s.ID, *b.Section); !ok {
			return fmt.Errorf("section %q: %w", b.Section, logbook.ErrUnknown)
		}
	}
	if b.Test != "" && !slices.ContainsFunc(s.Tests, func(t logbook.PressureTest) bool { return t.ID == b.Test }) {
		return fmt.Errorf("pressure test %s: %w", b.Test, logbook.ErrUnknown)
	}
	return nil
}

// SealLog keeps a seal in the log it is about.
func SealLog(h Head, b logbook.Sealed) Act {
	return func(logbook.Reader) ([]logbook.Draft, error) { return []logbook.Draft{h.draft(b)}, nil }
}
