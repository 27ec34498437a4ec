package logbook

import (
	"maps"
	"slices"
	"strings"
	"unicode"

	"coolhold/fusion"
	"coolhold/logbook/plan"
	"coolhold/logbook/table"
)

// A TableRef is a fusion table that a site uses, as its text in the entry Seq
// has it.
type TableRef struct {
	Hash     string
	Title    string
	File     string
	Seq      uint64
	Table    *fusion.Table        // read from the entry's text, once; nil: it cannot be read
	ReadBack string               // the person who read it back
	Stopped  map[string][]BagRead // by row: the bags that print otherwise
	Bags     []string             // fitting/batch pairs read and found alike
}

// bagKey names one batch of one fitting.
func bagKey(fitting, batch string) string { return fitting + "\x1f" + batch }

// BagKnown tells whether the bag of this batch was read and agreed.
func (t TableRef) BagKnown(fitting, batch string) bool {
	return slices.Contains(t.Bags, bagKey(fitting, batch))
}

// A LastAmbient is the last ambient temperature read on a site.
type LastAmbient struct {
	C  fusion.Celsius
	At fusion.Stamp
}

// A Site is the job: what is to be joined and what was said of it as a whole.
type Site struct {
	ID string
	SiteOpened
	OpenedAt fusion.Stamp
	Plan     *plan.Plan // read from its text, once; nil: none was taken, or it cannot be read
	Plans    []PlanRef  // every one that was taken, Plan among them
	Logs     []*Origin  // that have the site, where several are read together
	Same     []SaidSame // who said that it is one with those of other logs, or took that back
	Kit      *Kit       // the newest
	Tables   []TableRef
	Shifts   []string
	Shift    string // the one that is open
	Joints   int    // places taken in the order of joints
	Ambient  *LastAmbient
	Weather  *fusion.Stamp  // when it last changed
	Drifts   []fusion.Stamp // clock doubts without a weld
	LastAt   fusion.Stamp   // of the newest entry
	LastBy   string         // who made it
	Covers   []Cover
	Signed   []SignedDay
	Enclosed []Enclosure
	Events   []Event // what happened later
	Tests    []PressureTest
	Loop     LoopLog // flow, purge, fluid and how it was left
	Ground   []GroundCheck
	Reviews  []Review
	Codes    CodeList
	People   []Person // in the order they were first named
	Unread   []Unread // entries that say what this program does not know
	Jumps    []Jump   // of the wall clock, between entries of the site
	// Course is what the site's entries prove of the time that passed; of several logs
	// read together nothing, since only a wall clock puts them in order.
	Course fusion.Course
	clocks Clocks
}

// After is the site after one more entry.
func (s Site) After(e *Entry) Site {
	var jump *Jump
	if s.clocks, jump = s.clocks.After(e.Seq, e.At); jump != nil {
		s.Jumps = append(slices.Clone(s.Jumps), *jump)
	}
	if s.LastAt, s.LastBy = e.At, e.By; e.from == nil {
		s.Course = s.Course.After(e.At)
	}
	switch b := e.Open().(type) {
	case SiteOpened:
		s = s.opened(e, b)
	case Unknown:
		if s.Unread = append(slices.Clip(s.Unread), UnreadOf(e)); b.Of == (SiteOpened{}).Kind() {
			s.ID, s.OpenedAt = e.Site, e.At // it is there, whatever was said of it
		}
	case PlanTaken:
		s = s.takes(e, b)
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
			s.Ambient = &LastAmbient{b.C, e.At}
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

// NotOurs are the joints of the plan that came fused from a works.
func (s Site) NotOurs() []plan.NotOurs {
	if s.Plan == nil {
		return nil
	}
	return s.Plan.NotOurs()
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

// signedOff folds what the foreman and the office say of the site as a whole.
func (s Site) signedOff(e *Entry, body Body) Site {
	switch b := body.(type) {
	case Covered:
		s.Covers = append(slices.Clone(s.Covers), Cover{Covered: b, Signature: signature(e)})
	case CoverWithdrawn:
		s.Covers = uncovered(s.Covers, b, e)
	case DaySigned:
		s.Signed = append(slices.Clone(s.Signed), SignedDay{b, signature(e)})
	case Enclosed:
		if b.Test != "" && e.from != nil {
			b.Test += e.from.Mark // as the test is called among several logs
		}
		s.Enclosed = append(slices.Clone(s.Enclosed), Enclosure{b, signature(e), e.Weld, e.Joint})
	case Happened:
		s.Events = append(slices.Clone(s.Events), Event{b, signature(e), e.Joint})
	case PressureBegun, PressurePhased, PressureRead, PressureEnded, PressureWithdrawn:
		s.Tests = pressed(s.Tests, e, b)
	case FlowChecked, Purged, FluidFilled, LeftAs, LoopWithdrawn:
		s.Loop = s.Loop.after(e, b)
	case GroundChecked:
		s.Ground = append(slices.Clone(s.Ground), GroundCheck{GroundChecked: b, Signature: signature(e)})
	case GroundWithdrawn:
		s.Ground = takenBack(s.Ground, func(g *GroundCheck) (string, **Withdrawal) { return g.Section, &g.Withdrawn }, b.Section, &Withdrawal{signature(e), b.Why})
	case CodeTaught:
		s.Codes = s.Codes.with(Taught{b, signature(e)})
	case PersonNamed:
		s = s.named(e, b)
	case SameSite:
		s.Same = append(slices.Clone(s.Same), SaidSame{b, signature(e), e.from})
	case Reviewed:
		if e.Weld == "" && e.Joint == "" {
			s.Reviews = append(slices.Clone(s.Reviews), Review{b, e.By, e.At, e.Seq})
		}
	}
	return s
}

// uncovered are the covers after the newest of a part was taken back.
func uncovered(covers []Cover, b CoverWithdrawn, e *Entry) []Cover {
	covers = slices.Clone(covers)
	for i := len(covers) - 1; i >= 0; i-- {
		if covers[i].Section == b.Section && covers[i].Withdrawn == nil {
			covers[i].Withdrawn = &Withdrawal{signature(e), b.Why}
			break
		}
	}
	return covers
}

// DugSince is the last time that one of these joints was dug up after a cover: said
// after it, and for no earlier day.
func (s Site) DugSince(c Cover, joints ...Joint) *Event {
	for _, e := range slices.Backward(s.Events) {
		if e.What == DugUp && (e.Seq > c.Seq && e.On >= c.On || c.On != "" && e.On > c.On) && slices.ContainsFunc(joints, e.Touches) {
			return &e
		}
	}
	return nil
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
	others := slices.DeleteFunc(slices.Clone(t.Stopped[b.Fitting]), func(o BagRead) bool { return o.Batch == b.Batch })
	stopped := maps.Clone(t.Stopped)
	if stopped == nil {
		stopped = map[string][]BagRead{}
	}
	if stopped[b.Fitting] = others; b.Matches {
		if !t.BagKnown(b.Fitting, b.Batch) {
			t.Bags = append(slices.Clone(t.Bags), bagKey(b.Fitting, b.Batch))
		}
	} else {
		stopped[b.Fitting] = append(others, b)
	}
	if t.Stopped = stopped; len(stopped[b.Fitting]) == 0 {
		delete(stopped, b.Fitting)
	}
}

// SiteID is the short name of a site in keys and on the command line: its
// letters and digits, lower case.
func SiteID(name string) string {
	id := strings.Map(func(r rune) rune {
		switch {
		case unicode.IsLetter(r) || unicode.IsDigit(r):
			return unicode.ToLower(r)
		default:
			return '-'
		}
	}, name)
	for strings.Contains(id, "--") {
		id = strings.ReplaceAll(id, "--", "-")
	}
	return strings.Trim(id, "-")
}
