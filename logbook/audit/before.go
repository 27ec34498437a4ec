package audit

import (
	"fmt"
	"slices"
	"strings"

	"coolhold/fusion"
	"coolhold/logbook"
)

func unscraped(c Case) (reason, bool) {
	for _, item := range ends {
		if a := c.Weld.Answers[item]; a.V == logbook.CouldNot {
			return reason{a.Reason, a.Why}, c.Weld.Fused()
		}
	}
	return reason{}, false
}

// ends are the lines of the card that say an end of a pipe was scraped.
var ends = []string{logbook.ItemScraped, logbook.ItemScraped2}

func unscrapedSays(weld string, f reason) string {
	return fmt.Sprintf("%s was fused unscraped (%s)", weld, f.says())
}

// An undone is an item of preparation that could not be done.
type undone struct {
	Item string `json:"item"`
	reason
}

func couldNot(c Case) (items []undone, found bool) {
	for _, p := range c.Weld.PrepItems() {
		if a := c.Weld.Answers[p.Item]; a.V == logbook.CouldNot && !slices.Contains(ends, p.Item) {
			items = append(items, undone{p.Item, reason{a.Reason, a.Why}})
		}
	}
	return items, c.Weld.Fused() && len(items) > 0
}

func couldNotSays(weld string, items []undone) string {
	var parts []string
	for _, i := range items {
		parts = append(parts, fmt.Sprintf("%s (%s)", logbook.NameOf(i.Item), i.says()))
	}
	return fmt.Sprintf("%s: %s: %s", weld, logbook.Marks.Word(logbook.CouldNot), strings.Join(parts, ", "))
}

func prepUnsaid(c Case) (items []string, found bool) {
	for _, p := range c.Weld.PrepItems() {
		if v := c.Weld.Answers[p.Item].V; v != logbook.Done && v != logbook.CouldNot && v != logbook.NoSuch {
			items = append(items, p.Item)
		}
	}
	return items, c.Weld.Fused() && len(items) > 0
}

func prepUnsaidSays(weld string, items []string) string {
	return fmt.Sprintf("%s: not answered: %s", weld, strings.Join(names(items), ", "))
}

func scrapingMethod(c Case) (unlike, bool) {
	f := unlike{c.Weld.Answers[logbook.ItemMethod].V, c.Site.Scraping}
	if other := c.Weld.Answers[logbook.ItemMethod2].V; other != "" && (f.Is == "" || f.Is == f.Should) {
		f.Is = other
	}
	return f, c.Weld.Fused() && f.Should != "" && f.Is != "" && f.Is != f.Should
}

func scrapingSays(weld string, f unlike) string {
	return fmt.Sprintf("%s was scraped by %s, the site requires %s", weld, logbook.ScrapeMethods.Word(f.Is), logbook.ScrapeMethods.Word(f.Should))
}

func fittingUnlike(c Case) (unlike, bool) {
	f := unlike{c.Weld.Fitting(), c.Joint.Fitting}
	return f, c.Weld.Fused() && f.Should != "" && f.Is != "" && f.Is != f.Should
}

func fittingSays(weld string, f unlike) string {
	return fmt.Sprintf("%s is a %s, the plan says %s", weld, f.Is, f.Should)
}

// codeUnlike speaks where the code of the fitting is known, now, as another
// fitting than the one whose row gave the time.
func codeUnlike(c Case) (unlike, bool) {
	code, fitting := c.Weld.Answers[logbook.ItemCode].V, c.Weld.Fitting()
	taught, known := c.Site.TaughtAs(code)
	return unlike{fitting, taught.Fitting}, c.Weld.Fused() && known && fitting != "" && taught.Fitting != fitting
}

func codeSays(weld string, f unlike) string {
	return fmt.Sprintf("%s was fused as %s, the code scanned with it is taught as %s", weld, f.Is, f.Should)
}

func pipeUnlike(c Case) bool {
	return c.Weld.Fused() && c.Weld.Answers[logbook.ItemPrint].V == logbook.UnlikePlan
}

// The figures are those of a display and of the table that it should show.
type figures struct {
	Band         fusion.Band `json:"band"`
	SecondsTable int         `json:"seconds_table"`
	SecondsShown int         `json:"seconds_shown"`
	Unsaid       bool        `json:"seconds_unsaid,omitempty"`
	VoltsTable   float64     `json:"volts_table"`
	VoltsShown   *float64    `json:"volts_shown,omitempty"`
	RunS         *int        `json:"run_s,omitempty"` // what it ran, where nobody wrote down what it was set to
}

// keyed are the settings of a weld beside the table that the crew had. A correction
// stored by a former program may name one that was taken later.
func (c Case) keyed() *logbook.SettingsKeyed {
	s := c.Weld.Settings
	if s == nil || s.Band == nil || c.Weld.Ambient == nil || len(c.Weld.Corrections) == 0 {
		return s
	}
	row := logbook.RowHad(c.Site, c.Weld)
	had, err := row.Table.Settings(c.Weld.Fitting(), c.Weld.Ambient.C)
	if err != nil || row.Ref.Hash == s.Table {
		return s
	}
	by := *s
	by.Band, by.SecondsTable, by.VoltsTable = &had.Band, had.Seconds, had.Volts
	by.CoolingMin = max(by.CoolingMin, had.CoolingMin)
	return &by
}

func keyedUnlike(c Case) (figures, bool) {
	s := c.keyed()
	switch {
	case !c.Weld.Fused() || s == nil:
		return figures{}, false
	case s.Unlike() == "":
		return farUnexplained(c)
	}
	return figures{*s.Band, s.SecondsTable, s.SecondsShown, s.SecondsUnsaid, s.VoltsTable, s.VoltsShown, nil}, true
}

func keyedSays(weld string, f figures) string {
	if f.RunS != nil {
		return fmt.Sprintf("%s: the unit ran %d s, the fitting's table says %d s for %s", weld, *f.RunS, f.SecondsTable, f.Band)
	}
	s := logbook.SettingsKeyed{Band: &f.Band, SecondsTable: f.SecondsTable, SecondsShown: f.SecondsShown, SecondsUnsaid: f.Unsaid, VoltsTable: f.VoltsTable, VoltsShown: f.VoltsShown}
	return weld + ": " + s.Unlike()
}

func ambientOutside(c Case) (fusion.Celsius, bool) {
	w := c.Weld
	if !w.Fused() || w.Settings == nil || w.Settings.Band != nil || w.Ambient == nil {
		return 0, false
	}
	return w.Ambient.C, true
}

func ambientOutsideSays(weld string, read fusion.Celsius) string {
	return fmt.Sprintf("%s was fused at %s °C, outside its table's bands", weld, read)
}

// A lateRefusal is a refusal that may have come after heat went in.
type lateRefusal struct {
	AfterS int  `json:"after_s"`
	RunS   *int `json:"run_s"`
}

// refusedLate is the first such refusal of the weld.
func refusedLate(c Case) (lateRefusal, bool) {
	for _, b := range c.Weld.Refused {
		if !b.Cold() {
			return lateRefusal{*b.AfterS, b.RunS}, true
		}
	}
	return lateRefusal{}, false
}

func refusedSays(weld string, f lateRefusal) string {
	shown := "no seconds run were seen"
	if f.RunS != nil {
		shown = fmt.Sprintf("%d s run were shown", *f.RunS)
	}
	return fmt.Sprintf("%s: its start was said to be refused %d s after the current was on; %s", weld, f.AfterS, shown)
}

// An ohmsWindow is a reading and the window that it is held against, in Ω.
type ohmsWindow struct {
	Ohms float64 `json:"ohms"`
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

func resistanceOutside(c Case) (ohmsWindow, bool) {
	read := []*logbook.ResistanceRead{}
	for _, z := range c.Weld.Zones {
		read = append(read, z.Ohms)
	}
	for _, o := range append(read, c.Weld.Ohms) {
		if o != nil && o.Outside() {
			return ohmsWindow{*o.Ohms, o.Low, o.High}, c.Weld.Fused()
		}
	}
	return ohmsWindow{}, false
}

func resistanceSays(weld string, f ohmsWindow) string {
	return fmt.Sprintf("%s read %g Ω, its window is %.2f…%.2f Ω", weld, f.Ohms, f.Low, f.High)
}

// A rowFault is why the row of a table should not have been used.
type rowFault struct {
	Fault string `json:"fault"`
	Table string `json:"table,omitempty"` // its title
	Row   string `json:"row,omitempty"`
}

// The faults of a row, as stored.
const (
	rowUnread  = "unread"
	rowStopped = "stopped"
	rowNowhere = "nowhere"
)

func rowNotAllowed(c Case) (rowFault, bool) {
	w := c.Weld
	if !w.Fused() || w.Settings == nil || w.LateWhy == "" {
		return rowFault{}, false // the walk itself lets no such row pass
	}
	for _, t := range c.Site.Tables {
		if t.Hash != w.Settings.Table {
			continue
		}
		if t.ReadBack == "" {
			return rowFault{rowUnread, t.Title, ""}, true
		}
		return rowFault{rowStopped, "", w.Fitting()}, len(t.Stopped[w.Fitting()]) > 0
	}
	return rowFault{Fault: rowNowhere}, true
}

func rowSays(weld string, f rowFault) string {
	switch f.Fault {
	case rowUnread:
		return fmt.Sprintf("%s: its table %q was not read back", weld, f.Table)
	case rowStopped:
		return fmt.Sprintf("%s: row %q was stopped by a bag", weld, f.Row)
	}
	return weld + ": its fitting is in no table of the site"
}

// A bag is one that was not read against the table, or reads otherwise.
type bag struct {
	Fitting string `json:"fitting"`
	Batch   string `json:"batch,omitempty"`
	Unlike  bool   `json:"unlike,omitempty"`
}

// bagNotRead is silent where the row itself was not allowed. A weld whose own
// bag was read keeps that where its batch was corrected later.
func bagNotRead(c Case) (bag, bool) {
	w := c.Weld
	if _, not := rowNotAllowed(c); not || !w.Fused() || w.Fitting() == "" {
		return bag{}, false
	}
	if b := w.Bag; b != nil && b.Fitting == w.Fitting() {
		switch {
		case b.Matches:
			return bag{}, false
		case w.Settings != nil && b.Table == w.Settings.Table:
			return bag{w.Fitting(), b.Batch, true}, true
		}
	}
	known := func(t logbook.TableRef) bool { return t.BagKnown(w.Fitting(), w.Batch()) }
	if w.Batch() != logbook.NotKnown && slices.ContainsFunc(c.Site.Tables, known) {
		return bag{}, false
	}
	return bag{w.Fitting(), w.Batch(), false}, true
}

func bagSays(weld string, f bag) string {
	if f.Unlike {
		return fmt.Sprintf("%s: its bag, batch %s, shows another time than the table", weld, orNothing(logbook.Words(logbook.ItemBatch, f.Batch)))
	}
	return fmt.Sprintf("%s: the bag of %s, batch %s, was not read against the table", weld, f.Fitting, orNothing(logbook.Words(logbook.ItemBatch, f.Batch)))
}

// A stop is a fusion that stopped before its time.
type stop struct {
	AtS  *int   `json:"at_s,omitempty"` // seconds
	Said string `json:"said,omitempty"` // by the unit
}

func stoppedInFusion(c Case) (stop, bool) {
	return stop{c.Weld.StoppedAt, c.Weld.Said}, c.Weld.Outcome == logbook.Stopped
}

func stoppedSays(weld string, f stop) string {
	at := ""
	if f.AtS != nil {
		at = fmt.Sprintf(" at %d s", *f.AtS)
	}
	return fmt.Sprintf("%s: fusion stopped%s (%s)", weld, at, orNone(f.Said))
}

// A ran is how long a unit fed a fitting and for how long it was set, in seconds.
type ran struct {
	RanS int `json:"ran_s"`
	SetS int `json:"set_s"`
}

func runUnlike(c Case) (ran, bool) {
	w := c.Weld
	if w.Settings == nil || w.Settings.SecondsUnsaid || w.Outcome == logbook.Stopped {
		return ran{}, false // a stop says itself that it ran less
	}
	runs := []*int{}
	for _, z := range w.Zones {
		runs = append(runs, z.Run)
	}
	for _, run := range append(runs, w.Run) {
		if run != nil && *run != w.Settings.SecondsShown {
			return ran{*run, w.Settings.SecondsShown}, true
		}
	}
	return ran{}, false
}

func runSays(weld string, f ran) string {
	return fmt.Sprintf("%s ran %d s, its unit was set to %d s", weld, f.RanS, f.SetS)
}

// An unseen is a fusion whose end nobody saw, or that was said to be completed
// after a restart.
type unseen struct {
	Stated bool `json:"stated"`
}

func nobodySaw(c Case) (unseen, bool) {
	stated := c.Weld.Unwatched && c.Weld.Outcome == logbook.Completed
	return unseen{stated}, stated || c.Weld.Outcome == logbook.NotSeen
}

func nobodySays(weld string, f unseen) string {
	if f.Stated {
		return weld + ": its fusion was not watched to the end by the log; stated completed after a restart"
	}
	return weld + ": nobody saw how its fusion ended"
}

func wet(c Case) bool {
	if c.Weld.Started == nil {
		return false
	}
	at := c.Shift.WeatherAt(*c.Weld.Started)
	if c.Weld.LateWhy != "" { // the weather of the day is not that of its hour
		at = c.Weld.WeatherSaid()
	}
	return at.Sky == logbook.SkyWet && at.Shelter == logbook.ShelterNone
}
