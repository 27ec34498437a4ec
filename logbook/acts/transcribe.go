package acts

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"coolhold/logbook"
)

// A RowFault is why one row of a paper sheet cannot be taken in.
type RowFault struct {
	Line   int    // of the file
	Column string // the column meant
	What   string // what is wrong and what to do
}

// RowFaults are all such faults of one sheet, in the order of its lines.
type RowFaults []RowFault

// Error lists the faults, one to a line.
func (fs RowFaults) Error() string {
	lines := make([]string, len(fs))
	for i, f := range fs {
		lines[i] = fmt.Sprintf("%d: %s: %s", f.Line, f.Column, f.What)
	}
	return strings.Join(lines, "\n")
}

// Transcribe takes the rows of a paper sheet in, in the order of their start
// and all of them or none. Each goes the way of EnterLater. A row whose key is
// in the log already is passed over, so the same sheet twice changes nothing.
// What is wrong comes back as RowFaults, all at once.
func Transcribe(h Head, rows []LateWeld) Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		site, ok := r.Site(h.Site)
		if !ok {
			return nil, fmt.Errorf("site %q: %w", h.Site, logbook.ErrUnknown)
		}
		if err := named(h, "a transcription"); err != nil {
			return nil, err
		}
		t := transcript{h: h, site: site, book: logbook.Load(r, h.Site), had: map[string]bool{}}
		for _, w := range r.Welds(h.Site) {
			if w.Paper != nil {
				t.had[w.Paper.Key] = true
			}
			for _, l := range w.Looks {
				if l.Paper != nil {
					t.had[l.Paper.Key] = true
				}
			}
		}
		rows := slices.Clone(rows)
		slices.SortStableFunc(rows, func(a, b LateWeld) int { return a.Started.Compare(b.Started) })
		for _, l := range rows {
			if err := t.take(l); err != nil {
				return nil, err
			}
		}
		if len(t.faults) > 0 {
			slices.SortStableFunc(t.faults, func(a, b RowFault) int { return cmp.Compare(a.Line, b.Line) })
			return nil, t.faults
		}
		return t.drafts, nil
	}
}

// A transcript is a sheet that is being taken in: book is the log with what
// was taken so far, so that each row is judged after those before it.
type transcript struct {
	h      Head
	site   logbook.Site
	book   *logbook.Book
	had    map[string]bool
	drafts []logbook.Draft
	faults RowFaults
}

func (t *transcript) fault(l LateWeld, field, format string, args ...any) {
	t.faults = append(t.faults, RowFault{l.Paper.Line, field, fmt.Sprintf(format, args...)})
}

// take takes one row in, or notes what is wrong with it. An error is none of
// the row's.
func (t *transcript) take(l LateWeld) error {
	if l.Paper == nil {
		return logbook.Refuse("a row without its place on the paper")
	}
	if t.had[l.Paper.Key] {
		return nil
	}
	t.had[l.Paper.Key] = true
	if l.Started.IsZero() { // a row that cannot be read in full: its joint can be told all the same
		t.joint(l)
		t.fault(l, "start", "is not known")
		return nil
	}
	sound := t.inTime(l)
	j, ok := t.joint(l)
	if !sound || !ok {
		return nil
	}
	if l.Again {
		return t.look(l, j)
	}
	t.fitting(&l)
	l.Joint = j.Label
	h := t.h
	h.Shift = t.shift(l)
	drafts, err := EnterLater(h, l)(t.book)
	if err != nil {
		t.fault(l, "joint", "%s", strings.TrimPrefix(err.Error(), logbook.ErrRule.Error()+": "))
		return nil
	}
	if err := t.add(drafts); err != nil || l.Check == nil {
		return err
	}
	return t.check(h, l, drafts[0].Weld)
}

// check takes the check at the end of the shift in, as the look that it was: at a joint
// whose hold was not over it is one at a hot joint.
func (t *transcript) check(h Head, l LateWeld, weld string) error {
	w, _ := t.book.Weld(t.site.ID, weld)
	b := logbook.IndicatorsRead{Look: l.Check.Look, Stated: &l.Check.At, Looker: cmp.Or(l.Check.By, l.Operator), Paper: l.Paper}
	b.How, b.When = logbook.Later, logbook.LookRound
	if HotAt(w, h.At, b.Stated, false) {
		b.When = logbook.LookHot
	}
	return t.add([]logbook.Draft{h.weld(w, b)})
}

// add takes drafts of a row in, so that the rows after it are judged with them.
func (t *transcript) add(drafts []logbook.Draft) error {
	for _, d := range drafts {
		e, err := d.Entry(0, 0)
		if err != nil {
			return err
		}
		t.book.Add(e)
	}
	t.drafts = append(t.drafts, drafts...)
	return nil
}

// look takes another look at the weld that stands in a joint in.
func (t *transcript) look(l LateWeld, j logbook.Joint) error {
	w, _ := t.book.Weld(t.site.ID, j.Stands)
	b := logbook.IndicatorsRead{Look: l.Look, Stated: &l.Started, Looker: l.Operator, Paper: l.Paper}
	b.How = logbook.Later
	h := t.h
	h.Shift = t.shift(l)
	drafts, err := LookAgain(h, w.ID, b)(t.book)
	if err != nil {
		t.fault(l, "look_again", "%s", strings.TrimPrefix(err.Error(), logbook.ErrRule.Error()+": "))
		return nil
	}
	if l.Remarks != "" {
		drafts = append(drafts, h.weld(w, logbook.Note{Text: l.Remarks, Remark: true}))
	}
	return t.add(drafts)
}

// joint finds the joint of a row, as written with a marker in either case, and
// sees that no other weld stands in it.
func (t *transcript) joint(l LateWeld) (logbook.Joint, bool) {
	var open []string
	for _, j := range t.book.Joints(t.site.ID) {
		if strings.EqualFold(j.Label, l.Joint) {
			return j, t.free(l, j)
		}
		if j.Open() {
			open = append(open, j.Label)
		}
	}
	t.fault(l, "joint", "%q is no joint of this site; open are %s", l.Joint, listed(open))
	return logbook.Joint{}, false
}

func listed(labels []string) string {
	switch {
	case len(labels) == 0:
		return "none"
	case len(labels) > 12:
		return strings.Join(labels[:12], ", ") + " and others"
	}
	return strings.Join(labels, ", ")
}

func (t *transcript) free(l LateWeld, j logbook.Joint) bool {
	w, stands := t.book.Weld(t.site.ID, j.Stands)
	switch {
	case l.Again && !stands:
		t.fault(l, "joint", "no weld stands in %s: there is nothing to look at", j.Label)
		return false
	case !stands || l.Again:
		return true
	case w.Paper != nil && w.Paper.File == l.Paper.File && w.LateBy == t.h.By && w.Begun == t.h.At:
		t.fault(l, "joint", "the weld of line %d stands in %s: if it was cut out, write why in its column cut_out", w.Paper.Line, j.Label)
	case w.Paper != nil:
		t.fault(l, "joint", "%s, taken in from %s line %d, stands in %s: correct it on the board, or say first that it was cut out, on the board at the joint (Enter)", w.ID, w.Paper.File, w.Paper.Line, j.Label)
	default:
		t.fault(l, "joint", "%s stands in %s: say first that it was cut out, on the board at the joint (Enter)", w.ID, j.Label)
	}
	return false
}

const (
	dayLayout   = "2006-01-02"
	clockLayout = "15:04"
)

// inTime notes times that cannot be: to come, or of no year of the site.
func (t *transcript) inTime(l LateWeld) bool {
	before := len(t.faults)
	now := t.h.At.Wall.In(l.Started.Location())
	day := l.Started.Format(dayLayout)
	if slip, opened := slipOf(t.site, day, l.Started.Location()); slip {
		t.fault(l, "date", "%s is more than %d years before the site was opened in this log, %s: is the year right?", day, statedYears, opened)
	}
	for _, s := range []struct {
		field string
		at    time.Time
	}{{"start", l.Started}, {"end", l.Ended}, {"released_at", l.Released}, {"check_at", l.checked()}} {
		if s.at.IsZero() || !s.at.After(now) {
			continue
		}
		if s.field == "start" && day > now.Format(dayLayout) {
			t.fault(l, "date", "%s is still to come: today is %s", day, now.Format(dayLayout))
			break // so are the others
		}
		t.fault(l, s.field, "%s is still to come: it is %s", s.at.Format(dayLayout+" "+clockLayout), now.Format(dayLayout+" "+clockLayout))
	}
	return len(t.faults) == before
}

// checked is when the check at the end of the shift was made, zero where none is told.
func (l LateWeld) checked() time.Time {
	if l.Check == nil {
		return time.Time{}
	}
	return l.Check.At
}

// shift is the shift of the row's day, its operator's where there were several.
func (t *transcript) shift(l LateWeld) string {
	found := ""
	for _, id := range t.site.Shifts {
		sh, _ := t.book.Shift(t.site.ID, id)
		if sh.Day != l.Started.Format(dayLayout) {
			continue
		}
		if _, here := sh.Operator(l.Operator); here {
			return id
		}
		found = cmp.Or(found, id)
	}
	return found
}

// fitting gives the row's fitting the name it has in its table.
func (t *transcript) fitting(l *LateWeld) {
	l.Answers = slices.Clone(l.Answers)
	for i := range l.Answers {
		if l.Answers[i].Item != logbook.ItemFitting {
			continue
		}
		row, _ := logbook.ShelfOf(t.site).Row(l.Answers[i].V) // also one that may not be used
		if row.Fitting.Name != "" {
			l.Answers[i].V = row.Fitting.Name
		}
		return
	}
}

// AsRowFaults finds the faults of a sheet in an error of Transcribe.
func AsRowFaults(err error) (RowFaults, bool) {
	var faults RowFaults
	ok := errors.As(err, &faults)
	return faults, ok
}
