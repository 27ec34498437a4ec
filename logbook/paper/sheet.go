package paper

import (
	"encoding/csv"
	"fmt"
	"io"
	"slices"
	"strings"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/ahead"
)

// A Sheet is what is printed for the van: the joints of a day, each with the
// times of its fitting and boxes to write in.
type Sheet struct {
	Site, Day string // Day is a local date, YYYY-MM-DD
	Blocks    []Block
}

// A Block is one joint of the sheet.
type Block struct {
	Joint, Place, Fitting string
	Table                 string // whose times these are, and who read them back; "" where there are none
	Volts                 float64
	Figures               []Figure
	Warn                  string // why there are no times
	First                 string // what has to be done before it can be welded; "" for nothing
}

// A Figure is what a fitting's table prints for one band.
type Figure struct {
	Band                fusion.Band
	Seconds, CoolingMin int
}

// Caution stands on every page.
const Caution = "The print on the bag goes first. Where it differs from the times here, weld by the bag and write what it prints."

// unseen is the word for what nobody could look at.
var unseen = logbook.Indicators.Word(logbook.Unseen)

// How says how a page is filled in.
var How = "Write what you see, and \"" + unseen + "\" where you could not look. What is left blank stays unsaid. Joint, operator, date, start and outcome are always needed."

// HowTyped says how a file is typed from it.
const HowTyped = "Type a row a weld. What was ticked is typed as x, or with the word of its column; a row in which only the joint stands was not welded. For another look at a weld that stands write yes in look again."

// A ToWeld is a joint of the sheet in which a weld stands that has to be cut out
// first, or "".
type ToWeld struct {
	logbook.Joint
	CutOut string // number of that weld
}

// SheetOf is the sheet of these joints on a day. The times are the table's own;
// of one that may not be used none are printed.
func SheetOf(site logbook.Site, joints []ToWeld, day string) Sheet {
	s := Sheet{Site: logbook.Clean(site.Name), Day: day}
	shelf := logbook.ShelfOf(site)
	for _, j := range joints {
		b := blockOf(shelf, j.Joint)
		b.First = logbook.Clean(first(site, j))
		s.Blocks = append(s.Blocks, b)
	}
	return s
}

// first is what comes before the weld: a joint under the ground is dug up, a
// failed weld is cut out and that is said in the log, else its row is refused.
func first(site logbook.Site, j ToWeld) string {
	var parts []string
	if c, under := ahead.Under(site, j.Joint); under {
		parts = append(parts, fmt.Sprintf("covered with ground on %s by %s: dig it up", c.At.Local().Format("2006-01-02"), c.By))
	}
	if j.CutOut != "" {
		parts = append(parts, fmt.Sprintf("cut %s out and say so on the board, at the joint, before this sheet is typed in", j.CutOut))
	}
	return strings.Join(parts, "; ")
}

func blockOf(shelf logbook.Shelf, j logbook.Joint) Block {
	b := Block{Joint: logbook.Clean(j.Label), Place: logbook.Clean(place(j)), Fitting: logbook.Clean(j.Fitting)}
	row, err := shelf.Row(j.Fitting)
	switch {
	case row.Fitting.Name == "":
		b.Warn = "no times: its fitting is in no table of the site; take them from the bag"
		return b
	case err != nil && row.Ref.ReadBack == "":
		b.Warn = fmt.Sprintf("no times: table %q is not read back; take them from the bag", logbook.Clean(row.Ref.Title))
		return b
	case err != nil:
		b.Warn = fmt.Sprintf("no times: a bag printed other times than table %q; take them from the bag", logbook.Clean(row.Ref.Title))
		return b
	}
	b.Table = logbook.Clean(fmt.Sprintf("%s, read back by %s", row.Ref.Title, row.Ref.ReadBack))
	b.Volts = row.Fitting.Volts
	for i, band := range row.Table.Bands {
		b.Figures = append(b.Figures, Figure{band, row.Fitting.Seconds[i], row.Fitting.CoolingMin[i]})
	}
	return b
}

// place is where a joint is, in a few words.
func place(j logbook.Joint) string {
	var parts []string
	add := func(format string, v any, ok bool) {
		if ok {
			parts = append(parts, fmt.Sprintf(format, v))
		}
	}
	add("chamber %s", j.Chamber, j.Chamber != "")
	add("circuit %d", j.Circuit, j.Circuit > 0)
	add("leg %s", j.Leg, j.Leg != "")
	add("probe %s", j.Probe, j.Probe != "")
	add("header %s", j.HeaderWay(), j.Way != "")
	add("port %d", j.Port, j.Port > 0)
	add("%s row", j.Row, j.Row != "")
	add("%s", j.PipeLine(), j.PipeLine() != "")
	add("%s", j.Where, j.Where != "")
	return strings.Join(parts, ", ")
}

// Times are the figures of a block in one line, each band with its own.
func (b Block) Times() string {
	if len(b.Figures) == 0 {
		return b.Warn
	}
	parts := make([]string, len(b.Figures))
	for i, f := range b.Figures {
		parts[i] = fmt.Sprintf("%s: %d s, cooling %d min", f.Band, f.Seconds, f.CoolingMin)
	}
	return strings.Join(parts, "  |  ")
}

// before is what is to be done first, as a line.
func (b Block) before() string {
	if b.First == "" {
		return ""
	}
	return "FIRST: " + b.First
}

// Supply is the line under the times: the supply and whose times they are.
func (b Block) Supply() string {
	if len(b.Figures) == 0 {
		return ""
	}
	return fmt.Sprintf("%g V  |  %s", b.Volts, b.Table)
}

// theDay are columns that are the same for many joints: written once for all of them, as
// on the page for the day. In the file they are typed into each row.
var theDay = []string{colDate, logbook.FieldUnit, "unit_corrects", "card_number", "weather", "shelter", "time_from", "check_by", "signed"}

// WriteText writes the sheet as plain text, for a printer or a reader without PDF: first
// the day, then the joints, a line a column to tick or to write on.
func (s Sheet) WriteText(w io.Writer) error {
	var b strings.Builder
	lines := func(ofDay bool) {
		for _, c := range Printed() {
			if c.Name != colJoint && slices.Contains(theDay, c.Name) == ofDay {
				fmt.Fprintf(&b, "  %-17s %s  %s\n", c.Name, c.blank(), c.Hint())
			}
		}
	}
	fmt.Fprintf(&b, "%s\n%s\n\n%s\n%s\n", s.Site, s.Day, Caution, How)
	b.WriteString("\nTHE DAY   once for all joints below; where a joint differs, write so in its remarks\n")
	lines(true)
	for _, block := range s.Blocks {
		fmt.Fprintf(&b, "\nJOINT %s   %s   (%s)\n", block.Joint, block.Fitting, block.Place)
		for _, line := range []string{block.before(), block.Times(), block.Supply()} {
			if line != "" {
				fmt.Fprintf(&b, "  %s\n", line)
			}
		}
		lines(false)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// blank is where it is written, with a box where a tick says something.
func (c Column) blank() string {
	const wide = 20
	box := ""
	if c.Tick != "" {
		box = "[ ] "
	}
	return box + strings.Repeat("_", wide-len(box))
}

// WriteCSV writes the file to type into: the names of the columns, and a row a joint. It
// begins with the mark by which spreadsheets know UTF-8.
func (s Sheet) WriteCSV(w io.Writer) error {
	var b strings.Builder
	b.WriteString("\ufeff" + Template())
	out := csv.NewWriter(&b)
	for _, block := range s.Blocks {
		row := make([]string, len(Printed()))
		row[0] = block.Joint
		_ = out.Write(row) // a Builder takes all
	}
	out.Flush()
	_, err := io.WriteString(w, b.String())
	return err
}

// Hint is what to write in a box, with its unit.
func (c Column) Hint() string {
	if c.Unit == "" {
		return c.Write
	}
	return c.Write + ", " + c.Unit
}
