package acts

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
)

// A LateWeld is a weld made without the laptop, as a person states it on one
// form. A zero Ended or Released was not stated.
type LateWeld struct {
	Joint, Operator, Unit string
	Corrects              logbook.YesNo
	Answers               []logbook.Answer // fitting, batches, card, method
	FormerCard            bool             // asked by a sheet that was printed before
	Ambient               fusion.Celsius
	NoAmbient             bool // no temperature was written down
	Mode                  logbook.Mode
	SecondsShown          int // 0: not written down
	VoltsShown, Ohms      *float64
	CoolingMin            int // as printed; 0: not stated. Where the table has another, the longer counts
	Started, Ended        time.Time
	Outcome               logbook.Outcome
	StoppedAt, Run        *int
	Said                  string
	Look                  logbook.Look
	HoldStated            bool // a named person states that the hold began with Ended
	Released              time.Time
	Disturbed             *int   // minutes after the end of fusion
	CutOut                string // why it was cut out since; "": it stands
	Remarks               string
	Why                   string
	Paper                 *logbook.PaperRow // nil: from memory, on the form
	Check                 *LateCheck        // of a sheet: the check at the end of the shift

	// Again is set where the row of a sheet is no weld but another look at the one that
	// stands in the joint: Operator looked, at Started.
	Again bool
}

// A LateCheck is the check at the end of the shift, as a sheet tells it.
type LateCheck struct {
	At   time.Time
	By   string
	Look logbook.Look
}

// LateOf is the weld that was stated value by value in w. Its answers stand in
// the order of the work, but for those that come first. Times and what was said
// beside it are added by whoever asked.
func LateOf(w logbook.Weld, first ...string) LateWeld {
	l := LateWeld{
		Joint: w.Joint, Operator: w.Operator, Unit: w.Unit, Corrects: w.Corrects,
		NoAmbient: w.Ambient == nil, Outcome: w.Outcome, StoppedAt: w.StoppedAt, Run: w.Run,
	}
	items := slices.Clone(first)
	for _, v := range logbook.WeldValues {
		if !slices.Contains(first, v.Key) {
			items = append(items, v.Key)
		}
	}
	for _, item := range items {
		if a, ok := w.Answers[item]; ok {
			a.How = cmp.Or(a.How, logbook.Later)
			l.Answers = append(l.Answers, a)
		}
	}
	if w.Ambient != nil {
		l.Ambient = w.Ambient.C
	}
	if s := w.Settings; s != nil {
		l.Mode, l.SecondsShown, l.VoltsShown, l.CoolingMin = s.Mode, s.SecondsShown, s.VoltsShown, s.CoolingMin
	}
	if w.Ohms != nil {
		l.Ohms = w.Ohms.Ohms
	}
	if len(w.Looks) > 0 {
		l.Look = w.Looks[0].Look
	}
	if w.Disturbed != nil {
		l.Disturbed = &w.Disturbed.AfterMin
	}
	return l
}

// EnterLater records a weld that has already been made: nothing of it is
// refused for being wrong, whatever is wrong with it becomes a finding. Only a
// joint in which another weld stands must be cleared first, since two fittings
// cannot stand in one place. Where a walk is open in the joint its weld was
// fused all the same, and keeps its number.
func EnterLater(h Head, l LateWeld) Act {
	return onJoint(h, l.Joint, func(r logbook.Reader, j logbook.Joint) ([]logbook.Draft, error) {
		if j.Stands != "" {
			return nil, logbook.Refuse("weld %s stands in joint %s: say first that it was cut out", j.Stands, l.Joint)
		}
		if no := logbook.NoName(l.Operator); no != "" {
			return nil, misSaid("operator: %s", no)
		}
		if !l.inOrder(h.At.Wall) {
			return nil, logbook.Refuse("the stated times are not in order: start, end, release, now")
		}
		w := logbook.Weld{ID: j.Walk, Site: h.Site, Joint: l.Joint, Unit: l.Unit, Answers: map[string]logbook.Answer{}}
		if w.ID == "" {
			w.ID = logbook.WeldNumber(r.Tag(), r.NextWeld())
		}
		for i := range l.Answers {
			if l.Answers[i].How != logbook.Offered {
				l.Answers[i].How = logbook.Later
			}
			w.Answers[l.Answers[i].Item] = l.Answers[i]
		}
		if a, none := l.oneEnd(r, w); none {
			l.Answers, w.Answers[a.Item] = append(slices.Clone(l.Answers), a), a
		}
		if !l.NoAmbient {
			w.Ambient = &logbook.AmbientRead{C: l.Ambient, How: logbook.Later}
		}
		settings := l.settings(r, w)
		bodies := append(l.before(r, w, settings), l.after(h.At.Wall, settings.CoolingMin)...)
		bodies = append(bodies, l.since(settings)...)
		if j.Walk == "" {
			bodies = append([]logbook.Body{logbook.WeldBegun{Operator: l.Operator, Unit: l.Unit, Corrects: l.Corrects, Card: l.card()}}, bodies...)
		} else if walk, ok := r.Weld(h.Site, j.Walk); ok {
			bodies = append(l.people(walk), bodies...)
		}
		drafts := make([]logbook.Draft, len(bodies))
		for i, b := range bodies {
			drafts[i] = h.weld(w, b)
		}
		return drafts, nil
	})
}

// card is the version of the preparation card that was asked.
func (l LateWeld) card() int {
	if l.FormerCard {
		return 0
	}
	return logbook.ThisCard
}

// oneEnd says of a fitting that takes one end that it has no other, where the card was
// answered and that line left blank.
func (l LateWeld) oneEnd(r logbook.Reader, w logbook.Weld) (logbook.Answer, bool) {
	row, _ := logbook.RowOf(r, w)
	_, said := w.Answers[logbook.ItemScraped2]
	none := !said && !l.FormerCard && row.Fitting.Ends == 1 && w.Answers[logbook.ItemScraped].V != ""
	return logbook.Answer{Item: logbook.ItemScraped2, V: logbook.NoSuch, How: logbook.Computed}, none
}

// people are who welded and with what, where a walk was begun by others.
func (l LateWeld) people(walk logbook.Weld) []logbook.Body {
	var answers []logbook.Answer
	for _, a := range []logbook.Answer{{Item: logbook.FieldOperator, V: l.Operator}, {Item: logbook.FieldUnit, V: l.Unit}, {Item: logbook.FieldCorrects, V: string(l.Corrects)}} {
		if a.Was = was(walk, a); a.V != "" && a.Was != "" {
			a.How = logbook.Later
			answers = append(answers, a)
		}
	}
	if len(answers) == 0 {
		return nil
	}
	return []logbook.Body{logbook.StepAnswered{Step: logbook.StepPeople, Answers: answers}}
}

// inOrder tells whether the times that are stated can be: a release before the
// end of fusion, or anything that is still to come, was not seen by anybody.
func (l LateWeld) inOrder(now time.Time) bool {
	before := l.Started
	for _, t := range []time.Time{l.Ended, l.Released} {
		if t.IsZero() {
			continue
		}
		if t.Before(before) {
			return false
		}
		before = t
	}
	return !before.After(now)
}

// settings are what the unit was set to beside what the table says, as far as
// both are known.
func (l LateWeld) settings(r logbook.Reader, w logbook.Weld) logbook.SettingsKeyed {
	row, _ := logbook.RowOf(r, w) // a row that may not be used was used all the same
	s := logbook.SettingsKeyed{
		Mode: l.Mode, VoltsShown: l.VoltsShown, SecondsShown: l.SecondsShown, How: logbook.Later,
		Table: row.Ref.Hash, Title: row.Ref.Title, VoltsTable: row.Fitting.Volts,
	}
	if w.Ambient != nil {
		if table, err := row.Table.Settings(w.Fitting(), l.Ambient); err == nil {
			s = keyed(table, row, l.Mode, l.SecondsShown, l.VoltsShown, logbook.Later)
		}
	}
	if l.CoolingMin > s.CoolingMin || s.CoolingHow == "" {
		s.CoolingMin, s.CoolingHow = l.CoolingMin, logbook.Later
	}
	s.SecondsUnsaid = l.SecondsShown == 0
	return s
}

func (l LateWeld) before(r logbook.Reader, w logbook.Weld, settings logbook.SettingsKeyed) []logbook.Body {
	bodies := []logbook.Body{logbook.EnteredLater{Why: l.Why, Paper: l.Paper}, logbook.StepAnswered{Step: logbook.StepFitting, Answers: l.Answers}}
	if bag, read := bagOf(r, w); read {
		bodies = append(bodies, bag)
	}
	if w.Ambient != nil {
		bodies = append(bodies, *w.Ambient)
	}
	return append(bodies, settings, OhmsOf(r, w, l.Ohms, logbook.Later))
}

// bagOf is the bag of a weld as its sheet says that it was read. Without a table, or for
// a temperature that it has no time for, there is nothing to hold it against.
func bagOf(r logbook.Reader, w logbook.Weld) (logbook.BagRead, bool) {
	said := w.Answers[logbook.ItemBagRead].V
	row, _ := logbook.RowOf(r, w)
	if said == "" || w.Ambient == nil || row.Fitting.Name == "" {
		return logbook.BagRead{}, false
	}
	band, ok := row.Table.BandFor(w.Ambient.C)
	if !ok {
		return logbook.BagRead{}, false
	}
	b := logbook.BagRead{Fitting: w.Fitting(), Batch: w.Batch(), Table: row.Ref.Hash, Band: row.Table.Bands[band], Seconds: row.Fitting.Seconds[band], Matches: said == logbook.BagAlike}
	if n, err := strconv.Atoi(said); err == nil {
		b.Printed, b.Matches = &n, n == b.Seconds
	}
	return b, true
}

func (l LateWeld) after(now time.Time, coolingMin int) []logbook.Body {
	ended := logbook.FusionEnded{Outcome: l.Outcome, AtS: l.StoppedAt, Said: l.Said}
	if !l.Ended.IsZero() {
		ended.Stated, ended.HoldStated = &l.Ended, l.HoldStated
	}
	bodies := []logbook.Body{logbook.FusionStarted{Stated: &l.Started}, ended}
	if l.Outcome != logbook.Completed && l.Paper == nil {
		return bodies // the form asks no more
	}
	if l.Outcome == logbook.Completed || l.Run != nil {
		bodies = append(bodies, logbook.RunRead{Seconds: l.Run, How: logbook.Later})
	}
	if l.Paper == nil || l.Look.Any() {
		l.Look.How = logbook.Later
		bodies = append(bodies, logbook.IndicatorsRead{Look: l.Look})
	}
	if l.Disturbed != nil {
		bodies = append(bodies, logbook.Disturbed{AfterMin: *l.Disturbed, Early: l.early(now, coolingMin)})
	}
	if !l.Released.IsZero() {
		bodies = append(bodies, logbook.Released{Stated: &l.Released})
	}
	return bodies
}

// early tells whether a joint was disturbed before its cooling time was over,
// as Disturb does: where that is not known, it was.
func (l LateWeld) early(now time.Time, coolingMin int) bool {
	held := time.Duration(coolingMin) * time.Minute
	running := !l.Ended.IsZero() && now.Before(l.Ended.Add(held))
	return coolingMin == 0 || *l.Disturbed < coolingMin || running
}

// since is what was said of the weld beside the work itself.
func (l LateWeld) since(s logbook.SettingsKeyed) []logbook.Body {
	var bodies []logbook.Body
	if l.CoolingMin > 0 && l.CoolingMin < s.CoolingMin {
		bodies = append(bodies, logbook.Note{Text: fmt.Sprintf("cooling time stated as %d min, the table has %d min: the longer counts", l.CoolingMin, s.CoolingMin)})
	}
	if l.Remarks != "" {
		bodies = append(bodies, logbook.Note{Text: l.Remarks, Remark: l.Paper != nil})
	}
	if l.CutOut != "" {
		bodies = append(bodies, logbook.CutOut{Why: l.CutOut, Unsaid: true})
	}
	return bodies
}
