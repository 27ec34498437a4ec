package logbook

import (
	"slices"

	"coolhold/fusion"
	"coolhold/logbook/plan"
	"coolhold/logbook/table"
)

// A TableRef is a fusion table that a site uses, as its text in the entry Seq
// has it.
type TableRef struct {
	Hash     string            `json:"hash"`
	Title    string            `json:"title"`
	File     string            `json:"file"`
	Seq      uint64            `json:"seq"`
	Table    *fusion.Table     `json:"-"`                   // read from the entry's text, once; nil: it cannot be read
	ReadBack string            `json:"read_back,omitempty"` // the person who read it back
	Stopped  map[string]string `json:"stopped,omitempty"`   // rows stopped by a bag, with the reason
	Bags     []string          `json:"bags,omitempty"`      // fitting/batch pairs read and found alike
}

// bagKey names one batch of one fitting.
func bagKey(fitting, batch string) string { return fitting + "\x1f" + batch }

// BagKnown tells whether the bag of this batch was read and agreed.
func (t TableRef) BagKnown(fitting, batch string) bool {
	return slices.Contains(t.Bags, bagKey(fitting, batch))
}

// A Reading is the last ambient temperature read on a site.
type Reading struct {
	C  fusion.Celsius `json:"c"`
	At fusion.Stamp   `json:"at"`
}

// A Site is the job: what is to be joined and what was said of it as a whole.
type Site struct {
	ID string `json:"id"`
	SiteOpened
	OpenedAt fusion.Stamp   `json:"opened_at"`
	Plan     *plan.Plan     `json:"-"` // read from its text, once; nil: none was taken, or it cannot be read
	Kit      *Kit           `json:"-"` // the newest
	Tables   []TableRef     `json:"tables,omitempty"`
	Shifts   []string       `json:"shifts,omitempty"`
	Shift    string         `json:"shift,omitempty"` // the one that is open
	Joints   int            `json:"joints"`          // places taken in the order of joints
	Ambient  *Reading       `json:"ambient,omitempty"`
	Weather  *fusion.Stamp  `json:"weather_at,omitempty"` // when it last changed
	Drifts   []fusion.Stamp `json:"drifts,omitempty"`     // clock doubts without a weld
	LastAt   fusion.Stamp   `json:"last_at"`              // of the newest entry
	Covers   []Cover        `json:"covers,omitempty"`
	Signed   []SignedDay    `json:"signed,omitempty"`
	Enclosed []Enclosure    `json:"enclosed,omitempty"`
	Events   []Event        `json:"events,omitempty"` // what happened later
	Reviews  []Review       `json:"reviews,omitempty"`
	Codes    []Taught       `json:"codes,omitempty"` // in the order of teaching
}

// After is the site after one more entry.
func (s Site) After(e Entry) Site {
	s.LastAt = e.At
	switch b := e.Open().(type) {
	case SiteOpened:
		s.ID, s.SiteOpened, s.OpenedAt = e.Site, b, e.At
	case PlanTaken:
		s.Plan = b.plan()
	case KitTaken:
		s.Kit = b.kit(e)
	case TableTaken:
		s.Tables = append(slices.Clone(s.Tables), TableRef{Hash: b.Hash, Title: b.Title, File: b.File, Seq: e.Seq, Table: s.table(b)})
	case TableReadBack:
		s.Tables = mapTables(s.Tables, b.Hash, func(t *TableRef) { t.ReadBack = e.By })
	case BagRead:
		s.Tables = mapTables(s.Tables, b.Table, func(t *TableRef) { t.bag(b) })
	case JointPlanned, JointAdded:
		s.Joints++
	case ShiftStarted:
		s.Shifts, s.Shift = append(slices.Clone(s.Shifts), e.Shift), e.Shift
		s.Weather = &e.At
	case ShiftClosed:
		if s.Shift == e.Shift {
			s.Shift = ""
		}
	case WeatherChanged:
		s.Weather = &e.At
	case AmbientRead:
		if b.Taken == nil && b.How != Later {
			s.Ambient = &Reading{b.C, e.At}
		}
	case ClockDoubted:
		if e.Weld == "" {
			s.Drifts = append(slices.Clone(s.Drifts), e.At)
		}
	default:
		s = s.signedOff(e, b)
	}
	return s
}

// table reads a table's text. One that was valid when it was taken is valid for
// ever; where it cannot be read its rows are not found. The same text is read
// once.
func (s Site) table(b TableTaken) *fusion.Table {
	for _, t := range s.Tables {
		if t.Hash == b.Hash {
			return t.Table
		}
	}
	t, err := table.Parse([]byte(b.Text))
	if err != nil {
		return nil
	}
	return &t
}

func mapTables(tables []TableRef, hash string, change func(*TableRef)) []TableRef {
	tables = slices.Clone(tables)
	for i := range tables {
		if tables[i].Hash == hash {
			change(&tables[i])
		}
	}
	return tables
}

func (t *TableRef) bag(b BagRead) {
	if b.Matches {
		t.Bags = append(slices.Clone(t.Bags), bagKey(b.Fitting, b.Batch))
		return
	}
	stopped := map[string]string{b.Fitting: b.Line()}
	for k, v := range t.Stopped {
		stopped[k] = v
	}
	t.Stopped = stopped
}

// A Joint is a place in the plan where a fitting must be fused.
type Joint struct {
	plan.Joint
	Site   string       `json:"site"`
	Order  int          `json:"order"`
	Added  string       `json:"added,omitempty"`  // why, where it was not in the plan
	Struck string       `json:"struck,omitempty"` // why it was struck off
	Split  []string     `json:"split,omitempty"`  // what replaced it
	Welds  []string     `json:"welds,omitempty"`  // every attempt, oldest first
	Stands string       `json:"stands,omitempty"` // the weld that stands in it
	Walk   string       `json:"walk,omitempty"`   // the weld whose walk is open
	Since  fusion.Stamp `json:"since"`
	// Moves are welds logged here and made elsewhere, or the other way round.
	Moves   []Move   `json:"moves,omitempty"`
	Reviews []Review `json:"reviews,omitempty"`
	Trail   []Entry  `json:"trail,omitempty"` // what was said of the joint itself
}

// Counts tells whether the joint must still be made or stand.
func (j Joint) Counts() bool { return j.Struck == "" && len(j.Split) == 0 }

// Open tells whether a fitting must still be fused here.
func (j Joint) Open() bool { return j.Counts() && j.Stands == "" }

// After is the joint after one more entry.
func (j Joint) After(e Entry) Joint {
	body := e.Open()
	if e.Weld == "" {
		j.Trail = append(slices.Clip(j.Trail), e)
	}
	switch b := body.(type) {
	case JointPlanned:
		j.Joint, j.Site, j.Since = b.Joint, e.Site, e.At
	case JointAdded:
		j.Joint, j.Site, j.Since, j.Added = b.Joint, e.Site, e.At, b.Why
	case JointStruck:
		j.Struck = b.Why
	case JointSplit:
		j.Split = b.Into
	case WeldBegun:
		j.Welds, j.Walk = append(slices.Clone(j.Welds), e.Weld), e.Weld
	case FusionStarted:
		j.Stands = e.Weld
		j = j.walkOver(e.Weld)
	case AttemptRefused:
		if j.Stands == e.Weld {
			j.Stands, j.Walk = "", e.Weld
		}
	case WalkAbandoned:
		j = j.walkOver(e.Weld)
	case CutOut:
		if j.Stands == e.Weld {
			j.Stands = ""
		}
	case Correction:
		j = j.moved(e, b)
	case Reviewed:
		if e.Weld == "" {
			j.Reviews = append(slices.Clone(j.Reviews), Review{b, e.By, e.At, e.Seq})
		}
	}
	return j
}

// walkOver ends the walk of one weld; that of another goes on.
func (j Joint) walkOver(weld string) Joint {
	if j.Walk == weld {
		j.Walk = ""
	}
	return j
}

// A Shift is one day's people and equipment at a site.
type Shift struct {
	ID   string `json:"id"`
	Site string `json:"site"`
	ShiftStarted
	Started fusion.Stamp  `json:"started"`
	Closed  *fusion.Stamp `json:"closed,omitempty"`
	Changes []Change      `json:"changes,omitempty"` // of the weather; Weather itself is the newest
	First   *Weather      `json:"first,omitempty"`   // what the shift began with
}

// A Change is weather from a moment on.
type Change struct {
	At fusion.Stamp `json:"at"`
	Weather
}

// After is the shift after one more entry.
func (s Shift) After(e Entry) Shift {
	switch b := e.Open().(type) {
	case ShiftStarted:
		s.ID, s.Site, s.ShiftStarted, s.Started = e.Shift, e.Site, b, e.At
		s.First = &b.Weather
	case ShiftClosed:
		s.Closed = &e.At
	case WeatherChanged:
		s.ShiftStarted.Weather = b.Weather
		s.Changes = append(slices.Clone(s.Changes), Change{e.At, b.Weather})
	}
	return s
}

// Operator finds one of the shift's operators by name.
func (s Shift) Operator(name string) (Operator, bool) {
	for _, o := range s.Operators {
		if o.Name == name {
			return o, true
		}
	}
	return Operator{}, false
}

// Unit finds one of the shift's control units by serial.
func (s Shift) Unit(serial string) (Unit, bool) {
	for _, u := range s.Units {
		if u.Serial == serial {
			return u, true
		}
	}
	return Unit{}, false
}

// WeatherAt is the weather as last recorded at that moment.
func (s Shift) WeatherAt(at fusion.Stamp) Weather {
	w := s.ShiftStarted.Weather
	if s.First != nil {
		w = *s.First
	}
	for _, c := range s.Changes {
		if !c.At.Wall.After(at.Wall) {
			w = c.Weather
		}
	}
	return w
}
