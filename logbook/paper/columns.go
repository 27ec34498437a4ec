// Package paper is the sheet for the van: what is printed on it, and how the
// rows typed from it are read again. A row is read whole or not at all, and
// nothing in it is guessed: what was left blank stays unsaid.
package paper

import (
	"slices"
	"strings"
	"time"

	"coolhold/logbook"
)

// A Column is one thing written down of a weld. The same name stands under its
// box on the sheet and at the head of the file. Most are values of the weld.
type Column struct {
	Name    string
	Write   string // what to write
	Unit    string // "" where it has none
	Example string
	Must    bool                                   // cannot be left blank
	Say     bool                                   // that it was left blank is said with the weld
	Retired bool                                   // of a sheet printed before: taken in, printed no more
	Tick    string                                 // what a tick says; "" where one says nothing
	Choices []string                               // the words to choose from; nil where there are none
	Free    bool                                   // beside those others can be written
	Kind    logbook.ValueKind                      // of the value
	Day     bool                                   // it is a day
	read    func(*reading, string) (string, error) // gives the value as it is kept
}

// A reading is one row while it is read.
type reading struct {
	w                        logbook.Weld // what is stated, value by value
	started, ended, released time.Time
	cutOut, remarks, felt    string
	again                    bool // no weld, but another look at one
	checkBy                  string
	checked                  time.Time
	check                    logbook.Look // at the end of the shift
	zone                     *time.Location
	day                      time.Time // zero: not readable
}

// Names of columns that others speak of.
const (
	colJoint    = logbook.FieldJoint
	colOperator = logbook.FieldOperator
	colDate     = "date"
	colStart    = logbook.FieldStarted
	colEnd      = logbook.FieldEnded
	colStopped  = logbook.FieldStoppedAt
	colReleased = logbook.FieldReleased
	colMethod   = logbook.ItemMethod
	colRemarks  = "remarks"
)

// Columns are the columns that can be taken in, in the order of the work.
var Columns = columns()

// columns are the values of a weld that are asked on paper, and what belongs to
// the sheet alone. Its times go by its day, so they stand where they are read.
func columns() []Column {
	var cols []Column
	for _, v := range logbook.WeldValues {
		if v.Write == "" || timed[v.Key] != nil {
			continue
		}
		switch v.Key {
		case logbook.FieldUnit:
			cols = append(cols, Column{Name: colDate, Write: "the day of the weld", Example: "2026-03-09", Must: true, Day: true, read: readDate})
		case logbook.FieldOutcome:
			cols = append(cols, clock(colStart), clock(colEnd))
		case logbook.FieldDisturbed:
			cols = append(cols, clock(colReleased))
		}
		col := of(v.About, readValue(v))
		if v.Key == logbook.ItemBagRead {
			col.Tick, col.Free = v.Options.Word(logbook.BagAlike), true
			col.Choices = []string{col.Tick}
		}
		if v.Column == "preparation" {
			col.read, col.Tick, col.Free = readPrep(v), v.Options.Word(logbook.Done), true
			col.Choices = []string{col.Tick}
			for _, why := range logbook.CouldNotReasons.Words() {
				col.Choices = append(col.Choices, v.Options.Word(logbook.CouldNot)+": "+why)
			}
		}
		cols = append(cols, col)
	}
	cols = append(cols, checkColumns()...)
	return append(append(cols, againColumns()...),
		Column{Name: "cut_out", Write: "if cut out since: why", Example: "clamp slipped", read: text(func(r *reading) *string { return &r.cutOut })},
		Column{Name: colRemarks, Write: "anything else", Example: "rain at noon", read: text(func(r *reading) *string { return &r.remarks })},
	)
}

// timed are the times of the day, each with its place in a row.
var timed = map[string]func(*reading) *time.Time{
	colStart:    func(r *reading) *time.Time { return &r.started },
	colEnd:      func(r *reading) *time.Time { return &r.ended },
	colReleased: func(r *reading) *time.Time { return &r.released },
}

func clock(key string) Column {
	v, _ := logbook.ValueOf(key)
	return of(v.About, readClock(timed[key]))
}

func of(a logbook.About, read func(*reading, string) (string, error)) Column {
	c := Column{Name: a.Key, Write: a.Fill(a.Write), Unit: a.Unit, Example: a.Fill(a.Example), Must: a.Must, Say: a.Say, Retired: a.Retired, Kind: a.Kind, read: read}
	if a.Kind == logbook.AsChoice || a.Kind == logbook.AsChoices {
		c.Choices, c.Free = a.Options.Words(a.Offered()...), a.Kind == logbook.AsChoices
	}
	return c
}

// Words are the name of a column as a person reads it; it is read so too.
func (c Column) Words() string { return strings.ReplaceAll(c.Name, "_", " ") }

// Printed are the columns of a sheet as it is printed today.
func Printed() []Column {
	return slices.DeleteFunc(slices.Clone(Columns), func(c Column) bool { return c.Retired })
}

// Names are the names of the columns that are printed, in order.
func Names() []string {
	var names []string
	for _, c := range Printed() {
		names = append(names, c.Name)
	}
	return names
}

// Template is the head of a file to fill in: the names in one line.
func Template() string { return strings.Join(Names(), ",") + "\n" }
