package acts

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strings"
	"unicode"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/plan"
	"coolhold/logbook/table"
)

// A File is a text to be taken into the log, with the name it had.
type File struct {
	Name string
	Text string
}

// siteUID is drawn from the act's own id, which is random.
func (h Head) siteUID() string {
	sum := sha256.Sum256([]byte("site " + h.ID))
	return hex.EncodeToString(sum[:8])
}

// plannedMethods are the methods of scraping as a plan's file writes them. Its
// words are its own, whatever the method is called on a screen.
var plannedMethods = map[string]string{"rotary scraper": logbook.RotaryTool, "hand scraper": logbook.HandTool}

// plannedLook are what a plan may want looked at, as its file writes it.
var plannedLook = map[string]string{
	"bed": logbook.GroundBed, "cover level": logbook.GroundCover, "marker tape": logbook.GroundTape, "ducts capped": logbook.GroundCapped, "ducts lagged": logbook.GroundLagged,
	"chamber level": logbook.GroundLevel, "lid height": logbook.GroundLid, "offsets": logbook.GroundOffsets, "loop routes": logbook.GroundRoutes, "photo": logbook.GroundPhoto,
}

func plannedLooks(words []string) (codes []string) {
	for _, w := range words {
		codes = append(codes, plannedLook[w])
	}
	return codes
}

// OpenSite takes a plan and its tables and lists every joint that must exist.
func OpenSite(h Head, planFile File, tables []File) Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		p, err := plan.Parse([]byte(planFile.Text))
		if err != nil {
			return nil, err
		}
		h.Site = logbook.SiteID(p.Site)
		if h.Site == "" {
			return nil, logbook.Refuse("the site's name %q has no letter or digit", p.Site)
		}
		if _, had := r.Site(h.Site); had {
			return nil, fmt.Errorf("site %q: %w", h.Site, logbook.ErrExists)
		}
		opened := logbook.SiteOpened{UID: h.siteUID(), Name: p.Site, Client: p.Client, Firm: p.Firm, Address: p.Address, Contract: p.Contract, Scraping: plannedMethods[p.Scraping], ScrapedMin: p.ScrapedMin, PressureTest: p.PressureTest}
		opened.BeforeWelding, opened.BeforeCover = plannedLooks(p.BeforeWelding), plannedLooks(p.BeforeCover)
		opened.LeastCoverM, opened.SetOutWithinM = p.LeastCoverM, p.SetOutWithinM
		for _, c := range p.Chambers {
			opened.Chambers = append(opened.Chambers, logbook.Chamber{Name: c.Name, Lid: c.Lid, LevelM: c.LevelM, LidM: c.LidM})
		}
		drafts := []logbook.Draft{h.draft(opened), h.draft(logbook.PlanTaken{File: planFile.Name, Hash: logbook.Hash(planFile.Text), Text: planFile.Text, Version: p.Version})}
		for _, j := range p.Joints() {
			drafts = append(drafts, h.joint(j.Label, logbook.JointPlanned{Joint: j}))
		}
		taken, err := takeTables(h, logbook.Site{}, tables)
		if err == nil {
			err = misfit(p, tables)
		}
		return append(drafts, taken...), err
	}
}

// misfit refuses a plan with a fitting that does not go where it stands. One that
// is in no table is not held against any: its table may still come.
func misfit(p plan.Plan, files []File) error {
	var tables []fusion.Table
	for _, f := range files {
		t, err := table.Parse([]byte(f.Text))
		if err != nil {
			return err
		}
		tables = append(tables, t)
	}
	if wrong, _ := p.Against(tables); len(wrong) > 0 {
		return logbook.Refuse("%s", strings.Join(wrong, "; "))
	}
	return nil
}

// TakeTable adds a table to a site that is open: a further maker, or the
// corrected copy of one.
func TakeTable(h Head, table File) Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		s, ok := r.Site(h.Site)
		if !ok {
			return nil, fmt.Errorf("site %q: %w", h.Site, logbook.ErrUnknown)
		}
		return takeTables(h, s, []File{table})
	}
}

func takeTables(h Head, s logbook.Site, tables []File) ([]logbook.Draft, error) {
	var drafts []logbook.Draft
	had := map[string]bool{}
	for _, t := range s.Tables {
		had[t.Hash] = true
	}
	for _, f := range tables {
		t, err := table.Parse([]byte(f.Text))
		if err != nil {
			return nil, err
		}
		hash := logbook.Hash(f.Text)
		if had[hash] {
			return nil, fmt.Errorf("table %q: %w", f.Name, logbook.ErrExists)
		}
		had[hash] = true
		drafts = append(drafts, h.draft(logbook.TableTaken{File: f.Name, Hash: hash, Title: t.Title, Text: f.Text}))
	}
	return drafts, nil
}

// ReadBack records that the head's person compared a table with its print.
func ReadBack(h Head, hash string) Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		if strings.TrimSpace(h.By) == "" {
			return nil, logbook.Refuse("a read-back needs the name of the person who did it")
		}
		s, _ := r.Site(h.Site)
		for _, t := range s.Tables {
			if t.Hash == hash {
				return []logbook.Draft{h.draft(logbook.TableReadBack{Hash: hash})}, nil
			}
		}
		return nil, fmt.Errorf("table %s: %w", hash, logbook.ErrUnknown)
	}
}

// StartShift begins a day. Its id is the day, with a letter where it is not
// the day's first.
func StartShift(h Head, b logbook.ShiftStarted) Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		s, ok := r.Site(h.Site)
		switch {
		case !ok:
			return nil, fmt.Errorf("site %q: %w", h.Site, logbook.ErrUnknown)
		case s.Shift != "":
			return nil, logbook.Refuse("shift %s is still open", s.Shift)
		case len(b.Operators) == 0 || len(b.Units) == 0:
			return nil, logbook.Refuse("a shift needs an operator and a control unit")
		}
		for _, o := range b.Operators {
			if no := logbook.NoName(o.Name); no != "" {
				return nil, misSaid("operator: %s", no)
			}
		}
		h.Shift = b.Day
		for n := 'b'; ; n++ {
			if _, had := r.Shift(h.Site, h.Shift); !had {
				break
			}
			h.Shift = b.Day + string(n)
		}
		return []logbook.Draft{h.draft(b)}, nil
	}
}

// CloseShift ends the head's shift.
func CloseShift(h Head) Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		if s, _ := r.Site(h.Site); s.Shift == "" || s.Shift != h.Shift {
			return nil, logbook.Refuse("no shift is open")
		}
		return []logbook.Draft{h.draft(logbook.ShiftClosed{})}, nil
	}
}

// ChangeWeather records the weather from now on.
func ChangeWeather(h Head, w logbook.Weather) Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		return []logbook.Draft{h.draft(logbook.WeatherChanged{Weather: w})}, nil
	}
}

// LabelFault says what is wrong with a label that must be written on a pipe.
func LabelFault(label string) error {
	if label == "" || len(label) > 12 || strings.IndexFunc(label, notMarker) >= 0 {
		return logbook.Refuse("label %q: up to 12 letters, digits, '-' and '.', as written with a marker", label)
	}
	return nil
}

func notMarker(c rune) bool {
	return !(unicode.IsLetter(c) || unicode.IsDigit(c) || c == '-' || c == '.')
}

func newLabel(r logbook.Reader, site, label string) error {
	if err := LabelFault(label); err != nil {
		return err
	}
	for _, j := range r.Joints(site) {
		if strings.EqualFold(j.Label, label) { // they look the same in a hurry
			return fmt.Errorf("joint %s: %w", j.Label, logbook.ErrExists)
		}
	}
	s, _ := r.Site(site)
	for _, n := range s.NotOurs() {
		if strings.EqualFold(n.Label, label) {
			return fmt.Errorf("factory joint %s: %w", n.Label, logbook.ErrExists)
		}
	}
	return nil
}

// StrikeJoint takes a joint off the list, with a reason. One in which a weld
// stands cannot be left unbuilt.
func StrikeJoint(h Head, label, why string) Act {
	return onJoint(h, label, func(r logbook.Reader, j logbook.Joint) ([]logbook.Draft, error) {
		if err := named(h, "a joint that is not being built", why); err != nil {
			return nil, err
		}
		if j.Stands != "" || j.Walk != "" {
			return nil, logbook.Refuse("weld %s is in joint %s", j.Stands+j.Walk, label)
		}
		return []logbook.Draft{h.joint(label, logbook.JointStruck{Why: why})}, nil
	})
}

// TakeUpJoint puts a joint that was taken off the list on it again, with a reason. Both
// stay in the log.
func TakeUpJoint(h Head, label, why string) Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		if err := named(h, "a joint that is built after all", why); err != nil {
			return nil, err
		}
		switch j, ok := r.Joint(h.Site, label); {
		case !ok:
			return nil, fmt.Errorf("joint %s: %w", label, logbook.ErrUnknown)
		case j.Struck == "":
			return nil, logbook.Refuse("joint %s was not taken off the list: there is nothing to take back", label)
		}
		return []logbook.Draft{h.joint(label, logbook.JointTakenUp{Why: why})}, nil
	}
}

func onJoint(h Head, label string, decide func(logbook.Reader, logbook.Joint) ([]logbook.Draft, error)) Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		j, ok := r.Joint(h.Site, label)
		if !ok {
			return nil, fmt.Errorf("joint %s: %w", label, logbook.ErrUnknown)
		}
		if !j.Counts() {
			return nil, logbook.Refuse("joint %s is not being built, or was replaced by a make-up piece", label)
		}
		return decide(r, j)
	}
}
