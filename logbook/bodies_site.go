package logbook

import (
	"fmt"
	"strings"

	"coolhold/logbook/plan"
)

// TableTaken keeps a fusion table with its exact text, so that a weld can be
// explained years later.
type TableTaken struct {
	File  string `json:"file"`
	Hash  string `json:"hash"` // SHA-256 of Text, first 12 hex digits
	Title string `json:"title"`
	Text  string `json:"text"`
}

// Kind is "table taken".
func (TableTaken) Kind() Kind { return "table taken" }

// Line names the table and its hash.
func (b TableTaken) Line() string { return fmt.Sprintf("fusion table %q taken (%s)", b.Title, b.Hash) }

// TableReadBack says that the entry's person read a table back against the
// print it was copied from.
type TableReadBack struct {
	Hash string `json:"hash"`
}

// Kind is "table read back".
func (TableReadBack) Kind() Kind { return "table read back" }

// Line names the table.
func (b TableReadBack) Line() string { return "table " + b.Hash + " read back against its print" }

// PlanTaken keeps a site plan with its exact text.
type PlanTaken struct {
	File string `json:"file"`
	Hash string `json:"hash"`
	Text string `json:"text"`
	// Version is what the plan itself says, where it does.
	Version string `json:"version,omitempty"`
}

// Kind is "plan taken".
func (PlanTaken) Kind() Kind { return "plan taken" }

// plan is the plan that the text holds, nil where it cannot be read.
func (b PlanTaken) plan() *plan.Plan {
	p, err := plan.Parse([]byte(b.Text))
	if err != nil {
		return nil
	}
	return &p
}

// Line names the plan file.
func (b PlanTaken) Line() string { return fmt.Sprintf("plan %s taken (%s)", b.File, b.Hash) }

// A Chamber is the buried manifold chamber as the plan describes it.
type Chamber struct {
	Name   string   `json:"name"`
	Lid    string   `json:"lid,omitempty"`
	LevelM *float64 `json:"level_m,omitempty"`      // as set out
	LidM   *float64 `json:"lid_height_m,omitempty"` // as set out
}

// SiteOpened begins a site.
type SiteOpened struct {
	// UID tells the site from every other, whatever their names: 16 hex digits,
	// drawn. The index of a log and its seals go by it.
	UID      string `json:"uid,omitempty"`
	Name     string `json:"name"`
	Client   string `json:"client"`
	Firm     string `json:"firm"`
	Address  string `json:"address"`
	Contract string `json:"contract,omitempty"`
	Scraping string `json:"scraping,omitempty"` // the method the site requires
	// ScrapedMin is the longest time from scraping to the current, in minutes, as the
	// client states it; 0 where none is stated.
	ScrapedMin int       `json:"longest_since_scraping_min,omitempty"`
	Chambers   []Chamber `json:"chambers,omitempty"`
	// PressureTest is when the client wants pressure tests: "before cover", or "".
	PressureTest string `json:"pressure_test,omitempty"`
	// BeforeWelding and BeforeCover are what the client wants looked at first, codes of
	// GroundLines.
	BeforeWelding []string `json:"before_welding,omitempty"`
	BeforeCover   []string `json:"before_cover,omitempty"`
	// LeastCoverM and SetOutWithinM are as the client states them; 0: not stated.
	LeastCoverM   float64 `json:"least_cover_m,omitempty"`
	SetOutWithinM float64 `json:"set_out_within_m,omitempty"`
}

// Kind is "site opened".
func (SiteOpened) Kind() Kind { return "site opened" }

// Line names the site.
func (b SiteOpened) Line() string { return "site opened: " + b.Name }

// JointPlanned is one joint that must exist because the plan says so.
type JointPlanned struct {
	plan.Joint
}

// Kind is "joint planned".
func (JointPlanned) Kind() Kind { return "joint planned" }

// Line names the joint.
func (b JointPlanned) Line() string {
	line := fmt.Sprintf("joint %s planned: %s", b.Label, b.Fitting)
	if b.Tape != "" {
		line += ", " + b.Tape + " tape"
	}
	return line
}

// JointAdded is one joint that turned out to be needed.
type JointAdded struct {
	plan.Joint
	Why string `json:"why"`
}

// Kind is "joint added".
func (JointAdded) Kind() Kind { return "joint added" }

// Line names the joint and says why.
func (b JointAdded) Line() string {
	return fmt.Sprintf("joint %s added: %s (%s)", b.Label, b.Fitting, b.Why)
}

// JointStruck takes a joint off the list; it stays in the register.
type JointStruck struct {
	Why string `json:"why"`
}

// Kind is "joint struck off".
func (JointStruck) Kind() Kind { return "joint struck off" }

// Line says why.
func (b JointStruck) Line() string { return "not being built: " + b.Why }

// JointTakenUp says that a joint that was taken off the list is built after all.
type JointTakenUp struct {
	Why string `json:"why"`
}

// Kind is "joint taken up".
func (JointTakenUp) Kind() Kind { return "joint taken up" }

// Line says why.
func (b JointTakenUp) Line() string { return "being built after all: " + b.Why }

// JointSplit replaces a joint by others: a make-up piece of pipe was put in.
type JointSplit struct {
	Into []string `json:"into"`
	Why  string   `json:"why"`
}

// Kind is "joint split".
func (JointSplit) Kind() Kind { return "joint split" }

// Line names the new joints.
func (b JointSplit) Line() string {
	return "make-up piece: " + strings.Join(b.Into, " and ") + ": " + b.Why
}

// An Operator is one person of a shift who fuses.
type Operator struct {
	Name   string `json:"name"`
	Mark   string `json:"mark"`             // initials, written on the pipe
	Number string `json:"number,omitempty"` // of the qualification
	Expiry string `json:"expiry,omitempty"` // date, YYYY-MM-DD
}

// A Unit is one control unit of a shift.
type Unit struct {
	Serial     string `json:"serial"`
	Calibrated string `json:"calibrated,omitempty"` // date of the last calibration, YYYY-MM-DD
	Corrects   YesNo  `json:"corrects"`             // for temperature, by itself
}

// Weather is the sky over the trench and what is put up against it.
type Weather struct {
	Sky     string `json:"sky"`
	Shelter string `json:"shelter"`
}

// String is both in a few words.
func (w Weather) String() string {
	if w.Sky == "" {
		return "weather not given"
	}
	return Skies.Word(w.Sky) + ", shelter " + Shelters.Word(w.Shelter)
}

// ShiftStarted begins one day's work at a site.
type ShiftStarted struct {
	Day         string     `json:"day"` // local date, YYYY-MM-DD
	Operators   []Operator `json:"operators"`
	Units       []Unit     `json:"units"`
	Generator   string     `json:"generator,omitempty"`
	Thermometer string     `json:"thermometer,omitempty"`
	Weather     Weather    `json:"weather"`
	Answers     []Answer   `json:"answers,omitempty"`     // how each came
	DatesAsked  bool       `json:"dates_asked,omitempty"` // of qualifications and calibrations; a date that is not there is not known
}

// Kind is "shift started".
func (ShiftStarted) Kind() Kind { return "shift started" }

// Line names day, people and units.
func (b ShiftStarted) Line() string {
	var who, what []string
	for _, o := range b.Operators {
		who = append(who, o.Name)
	}
	for _, u := range b.Units {
		what = append(what, u.Serial)
	}
	return fmt.Sprintf("shift %s: %s; control unit %s; %s", b.Day, strings.Join(who, ", "), strings.Join(what, ", "), b.Weather)
}

// ShiftClosed ends it.
type ShiftClosed struct{}

// Kind is "shift closed".
func (ShiftClosed) Kind() Kind { return "shift closed" }

// Line says so.
func (ShiftClosed) Line() string { return "shift closed" }

// WeatherChanged is the weather from now on.
type WeatherChanged struct {
	Weather
}

// Kind is "weather changed".
func (WeatherChanged) Kind() Kind { return "weather changed" }

// Line is the weather.
func (b WeatherChanged) Line() string { return "weather: " + b.Weather.String() }
