package ahead

import (
	"math"
	"slices"
	"strings"
	"time"

	"coolhold/logbook"
)

// A GroundLack is why a line is not done, as it is stored with an answer.
type GroundLack string

// The lacks. The last three are what was seen not to be as it should.
const (
	GroundDone    GroundLack = ""
	GroundMissing GroundLack = "missing" // nobody looked
	GroundUnseen  GroundLack = "unseen"  // somebody could not
	GroundLate    GroundLack = "late"    // only afterwards
	GroundUntimed GroundLack = "untimed" // a photo enclosed only afterwards, no time of which is known
	GroundStale   GroundLack = "stale"   // only before it was dug up
	GroundUnread  GroundLack = "unread"  // its figure was not read
	GroundFew     GroundLack = "few"     // offsets from fewer points than two
	GroundNot     GroundLack = "not"     // it is not as it should be
	GroundShort   GroundLack = "short"   // less cover than the client states
	GroundOff     GroundLack = "off"     // further from its set-out than the client states
)

// Wrong tells whether something was seen that is not as it should be.
func (l GroundLack) Wrong() bool { return l == GroundNot || l == GroundShort || l == GroundOff }

// A Looked is one line that is looked at in a section, with what is recorded of it.
type Looked struct {
	Line     string              `json:"line"`
	Stage    logbook.GroundStage `json:"stage"`
	Required bool                `json:"required"`
	Lack     GroundLack          `json:"lack,omitempty"`
	State    string              `json:"state,omitempty"` // as it was seen last
	M        *float64            `json:"m,omitempty"`
	WantM    *float64            `json:"want_m,omitempty"` // set out, or the least
	Offsets  []logbook.Offset    `json:"offsets,omitempty"`
	Routes   string              `json:"routes,omitempty"`
	Photos   []string            `json:"photos,omitempty"`
	Taken    []string            `json:"photos_taken,omitempty"`          // what each file says of its time
	After    []bool              `json:"photos_enclosed_after,omitempty"` // of each photo, whether it was enclosed only after the cover
	By       string              `json:"by,omitempty"`
	At       string              `json:"at,omitempty"` // local time, RFC 3339; as stated where it was entered later
}

// A Ground is a section as it is looked at before it is welded and covered.
type Ground struct {
	Section Section
	Lines   []Looked
	Welded  *logbook.Timed // when welding began there; nil: it did not
	Covered bool           // it is under the ground now
}

// GroundOf is what the plan wants looked at in a section, and all that was.
func GroundOf(r logbook.Reader, s logbook.Site, section Section) Ground {
	g := Ground{Section: section}
	k, covered := s.CoverOf(section.Name)
	var dug *logbook.Event
	if covered {
		dug = s.DugSince(k, section.Joints...)
	}
	if g.Covered = covered && dug == nil; len(s.BeforeWelding)+len(s.BeforeCover)+len(s.Ground) == 0 {
		return g
	}
	look := lookingAt(s, section)
	_, g.Welded = firstWeld(r, s.ID, section)
	g.Lines = look.lines(logbook.GroundWelding, s.BeforeWelding, func(_ logbook.GroundLine, t logbook.Timed) GroundLack {
		if g.Welded == nil || t.Before(*g.Welded) {
			return GroundDone
		}
		return GroundLate
	})
	g.Lines = append(g.Lines, look.lines(logbook.GroundCovered, s.BeforeCover, func(l logbook.GroundLine, t logbook.Timed) GroundLack {
		switch {
		case dug != nil && l.Hidden && !afterDay(t, *dug):
			return GroundStale
		case g.Covered && l.Hidden && !beforeCover(t, k):
			return GroundLate
		}
		return GroundDone
	})...)
	return g
}

// lookingAt are the looks at a section that count, oldest first by when they were made.
func lookingAt(s logbook.Site, section Section) looking {
	look := looking{site: s, section: section}
	for _, c := range s.Ground {
		if c.Section == section.Name && c.Withdrawn == nil {
			look.checks = append(look.checks, c)
		}
	}
	slices.SortStableFunc(look.checks, func(a, b logbook.GroundCheck) int {
		switch {
		case a.When().Before(b.When()):
			return -1
		case b.When().Before(a.When()):
			return 1
		}
		return 0
	})
	return look
}

// beforeCover goes by the log where neither states a time, by the day where the cover
// states one, else by the times.
func beforeCover(t logbook.Timed, k logbook.Cover) bool {
	if said := k.At.Local().Format(time.DateOnly); k.On != "" && k.On != said {
		return t.Local().Format(time.DateOnly) <= k.On
	}
	return t.Before(logbook.Timed{At: k.At, Seq: k.Seq})
}

// afterDay tells whether something was seen after it was dug up: that states a day.
func afterDay(t logbook.Timed, dug logbook.Event) bool {
	day := t.Local().Format(time.DateOnly)
	if t.Stated == nil {
		return t.Seq > dug.Seq && day >= dug.On
	}
	return day >= dug.On
}

// firstWeld is the weld with which welding began in a section.
func firstWeld(r logbook.Reader, site string, section Section) (first logbook.Weld, began *logbook.Timed) {
	for _, j := range section.Joints {
		for _, id := range j.Welds {
			w, ok := r.Weld(site, id)
			if at, on := currentOn(w); ok && on && (began == nil || at.Before(*began)) {
				first, began = w, &at
			}
		}
	}
	return first, began
}

// FirstWeld is that weld; false where welding did not begin.
func FirstWeld(r logbook.Reader, site string, section Section) (logbook.Weld, bool) {
	w, began := firstWeld(r, site, section)
	return w, began != nil
}

// currentOn is when the current of a weld was first on.
func currentOn(w logbook.Weld) (logbook.Timed, bool) {
	if !w.Fused() {
		return logbook.Timed{}, false
	}
	for _, e := range w.Trail {
		if _, on := e.Open().(logbook.FusionStarted); on {
			return logbook.Timed{At: e.At, Stated: w.StartedStated, Seq: e.Seq}, true
		}
	}
	return logbook.Timed{At: *w.Started, Stated: w.StartedStated}, true
}

// A lateness tells of something that was seen why it does not count in time; GroundDone:
// it does.
type lateness func(logbook.GroundLine, logbook.Timed) GroundLack

// A looking is what was seen of one section, oldest first.
type looking struct {
	site    logbook.Site
	section Section
	checks  []logbook.GroundCheck
}

// lines are those that the plan wants there, then those that were looked at without that.
func (k looking) lines(stage logbook.GroundStage, wanted []string, late lateness) (out []Looked) {
	for _, code := range logbook.GroundLines.Codes() {
		required := slices.Contains(wanted, code) && k.has(code)
		if l, is := logbook.GroundLineOf(code); is {
			seen := k.seen(l, stage, late)
			if seen.Required = required; required || seen.State != "" {
				out = append(out, seen)
			}
			continue
		}
		if said := k.told(code, stage, late); required || said.By != "" {
			said.Required = required
			out = append(out, said)
		}
	}
	return out
}

// has tells whether a section has what a line is about.
func (k looking) has(code string) bool {
	chamber := len(k.section.Joints) > 0 && k.section.Joints[0].Chamber != ""
	return (chamber || !logbook.OnlyChamber(code)) && (k.section.Loops || code != logbook.GroundRoutes)
}

// seen is what was seen of a line. What could not be seen takes nothing away that was.
func (k looking) seen(l logbook.GroundLine, stage logbook.GroundStage, late lateness) Looked {
	out := Looked{Line: l.Code, Stage: stage, Lack: GroundMissing, WantM: k.want(l.Code)}
	var last *logbook.GroundSeen
	timely, why := false, GroundLate
	for _, c := range k.checks {
		seen, said := c.Of(l.Code)
		if !said || c.Stage != stage || last != nil && last.Says() && k.tooLate(l, seen, late(l, c.When())) {
			continue
		}
		if seen.Says() || last == nil || !last.Says() {
			last = &seen
			out.State, out.M, out.By, out.At = seen.State, seen.M, c.By, c.When().Local().Format(time.RFC3339)
		}
		if seen.Says() {
			if lack := late(l, c.When()); lack == GroundDone {
				timely = seen.State != logbook.No
			} else {
				why = lack
			}
		}
	}
	switch {
	case last == nil:
	case !last.Says():
		out.Lack = GroundUnseen
	case last.State == logbook.No && !k.putRight(l.Code, stage):
		out.Lack = GroundNot
	default:
		if out.Lack = k.measured(l, *last); !timely && !out.Lack.Wrong() {
			out.Lack = why
		}
	}
	return out
}

// tooLate tells whether a look at what lies under the ground says nothing that counts: what
// was seen before is not made better by it. One that is worse counts.
func (k looking) tooLate(l logbook.GroundLine, seen logbook.GroundSeen, lack GroundLack) bool {
	return l.Hidden && lack == GroundLate && seen.State != logbook.No && !k.measured(l, seen).Wrong()
}

// putRight tells whether a line that was not as it should be before welding was so when it
// was looked at later.
func (k looking) putRight(code string, stage logbook.GroundStage) bool {
	state := ""
	for _, c := range k.checks {
		if seen, said := c.Of(code); said && seen.Says() {
			state = seen.State
		}
	}
	return stage == logbook.GroundWelding && state == logbook.Yes
}

// measured is what the figure of a line lacks beside what the client states.
func (k looking) measured(l logbook.GroundLine, seen logbook.GroundSeen) GroundLack {
	const slack = 1e-9 // of arithmetic
	want := k.want(l.Code)
	switch {
	case l.Figure == "":
		return GroundDone
	case seen.M == nil:
		return GroundUnread
	case want == nil:
		return GroundDone
	case l.Code == logbook.GroundCover && *seen.M < *want-slack:
		return GroundShort
	case l.Chamber && k.site.SetOutWithinM > 0 && math.Abs(*seen.M-*want) > k.site.SetOutWithinM+slack:
		return GroundOff
	}
	return GroundDone
}

// want is what the plan states for the figure of a line; nil where it states none.
func (k looking) want(code string) *float64 {
	if code == logbook.GroundCover && k.site.LeastCoverM > 0 {
		return &k.site.LeastCoverM
	}
	for _, c := range k.site.Chambers {
		if len(k.section.Joints) > 0 && strings.EqualFold(c.Name, k.section.Joints[0].Chamber) {
			switch code {
			case logbook.GroundLevel:
				return c.LevelM
			case logbook.GroundLid:
				return c.LidM
			}
		}
	}
	return nil
}

// told is what was said of offsets, routes and photos.
func (k looking) told(code string, stage logbook.GroundStage, late lateness) Looked {
	out := Looked{Line: code, Stage: stage, Lack: GroundMissing}
	says := func(c logbook.GroundCheck) {
		out.Lack, out.By, out.At = GroundDone, c.By, c.When().Local().Format(time.RFC3339)
	}
	for _, c := range k.checks {
		switch {
		case c.Stage != stage:
		case code == logbook.GroundOffsets && len(c.Offsets) > 0 && (len(out.Offsets) < logbook.OffsetsWanted || len(c.Offsets) >= logbook.OffsetsWanted):
			says(c)
			if out.Offsets = c.Offsets; len(c.Offsets) < logbook.OffsetsWanted {
				out.Lack = GroundFew
			}
		case code == logbook.GroundRoutes && c.Routes != "":
			says(c)
			out.Routes = c.Routes
		}
	}
	if code == logbook.GroundPhoto && stage == logbook.GroundCovered {
		for _, e := range k.site.Enclosed {
			if e.Part == k.section.Name && e.Taken != nil { // of other files nobody looked for a time
				out.Photos, out.Taken = append(out.Photos, e.File), append(out.Taken, e.Taken.String())
				out.After = append(out.After, enclosedLack(e, late) == GroundLate)
				if lack := photoLack(e, late); out.Lack != GroundDone || lack == GroundDone {
					out.Lack, out.By, out.At = lack, e.By, e.At.Local().Format(time.RFC3339)
				}
			}
		}
	}
	return out
}

var photoLine = logbook.GroundLine{Code: logbook.GroundPhoto, Hidden: true}

// enclosedLack is the same by when a photo was enclosed, whatever its file says.
func enclosedLack(e logbook.Enclosure, late lateness) GroundLack {
	return late(photoLine, logbook.Timed{At: e.At, Seq: e.Seq})
}

// photoLack tells why a photo does not count in time. One that was enclosed in time was
// taken in time; of one enclosed afterwards the camera's clock is all there is.
func photoLack(e logbook.Enclosure, late lateness) GroundLack {
	enclosed := enclosedLack(e, late)
	taken, _ := e.Taken.Time(e.At.Local().Location())
	if taken.IsZero() {
		if enclosed == GroundLate {
			return GroundUntimed
		}
		return enclosed
	}
	if lack := late(photoLine, logbook.Timed{At: e.At, Stated: &taken, Seq: e.Seq}); enclosed == GroundLate || lack == GroundStale {
		return lack
	}
	return enclosed
}

// Lacking are the lines of a stage that are wanted and not done, what is not as it should
// be left out.
func (g Ground) Lacking(stage logbook.GroundStage) []Looked {
	return g.where(func(l Looked) bool {
		return l.Stage == stage && l.Required && l.Lack != GroundDone && !l.Lack.Wrong()
	})
}

// Wrong are the lines that were seen not to be as they should.
func (g Ground) Wrong() []Looked { return g.where(func(l Looked) bool { return l.Lack.Wrong() }) }

// Wants are the lines of a stage that are wanted and not done, or not as they should be.
func (g Ground) Wants(stage logbook.GroundStage) []Looked {
	return g.where(func(l Looked) bool { return l.Stage == stage && l.Open() })
}

// Required are all lines of a stage that the plan wants.
func (g Ground) Required(stage logbook.GroundStage) []Looked {
	return g.where(func(l Looked) bool { return l.Stage == stage && l.Required })
}

func (g Ground) where(is func(Looked) bool) (out []Looked) {
	for _, l := range g.Lines {
		if is(l) {
			out = append(out, l)
		}
	}
	return out
}

// Open tells whether a line is wanted and not done, or is not as it should be.
func (l Looked) Open() bool { return l.Required && l.Lack != GroundDone || l.Lack.Wrong() }
