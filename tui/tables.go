package tui

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbletea"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/tui/form"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// tables shows the site's fusion tables; each must be read back once against
// its print by a named person before it is used.
type tables struct {
	at  string        // hash of the table that is shown; "" is the first
	top widget.Scroll // of it
}

func newTables() shell.Screen { return tables{} }

// Update turns pages, scrolls, and opens the read-back.
func (s tables) Update(env shell.Env, msg tea.Msg) shell.Screen {
	key, ok := msg.(tea.KeyMsg)
	if !ok {
		return s
	}
	room := s.room(env)
	switch by := shell.Reads(key, room); {
	case shell.Is(key, shell.Leave, shell.BackOne):
		env.Do.Pop()
	case by != 0:
		s.top = s.top.Move(by, len(s.body(env)), room)
	case key.Type == tea.KeyRunes:
		if d := shell.Digit(key) - 1; d >= 0 && d < len(env.Site.Tables) {
			return tables{at: env.Site.Tables[d].Hash}
		}
		if shell.Digit(key) == 9 && env.Site.ID != "" {
			env.Do.Push(furtherTable{})
		}
	case shell.Is(key, shell.Enter):
		s.readBack(env)
	}
	return s
}

// readBack asks for the comparison once the table was shown to its end: what
// was never on the screen was not compared.
func (s tables) readBack(env shell.Env) {
	t, ok := s.shown(env)
	switch {
	case !ok || t.ReadBack != "":
	case s.top.Below(len(s.body(env)), s.room(env)) > 0:
		env.Do.Say("first read to the end of the table: ↓")
	default:
		env.Do.Push(readingBack(t))
	}
}

// shown is the table on the screen.
func (s tables) shown(env shell.Env) (logbook.TableRef, bool) {
	if len(env.Site.Tables) == 0 {
		return logbook.TableRef{}, false
	}
	return env.Site.Tables[s.list(env).Index(s.at)], true
}

func (s tables) list(env shell.Env) widget.List {
	var rows []widget.Row
	for i, t := range env.Site.Tables {
		state := "read back by " + logbook.Clean(t.ReadBack)
		if t.ReadBack == "" {
			state = "NOT read back"
		}
		rows = append(rows, widget.Row{Key: t.Hash, Text: func() string { return fmt.Sprintf("%d  %s  (%s)", i+1, logbook.Clean(t.Title), state) }})
	}
	return env.List(rows)
}

// head is the list of tables, in half of the window at most.
func (s tables) head(env shell.Env) []string {
	return append(s.list(env).View(s.at, env.H/2), "")
}

func (s tables) body(env shell.Env) []string {
	t, ok := s.shown(env)
	if !ok {
		return []string{" No tables. Open a site with its plan and tables first."}
	}
	return tableLines(env, t)
}

// foot says how a table is read back that is not yet.
func (s tables) foot(env shell.Env) []string {
	if t, ok := s.shown(env); !ok || t.ReadBack != "" {
		return nil
	}
	return []string{env.Style.Bold(" Enter: I have compared each figure with the print")}
}

// room is how many lines of a table are shown.
func (s tables) room(env shell.Env) int { return env.H - len(s.head(env)) - len(s.foot(env)) }

// View draws one table as it would be printed.
func (s tables) View(env shell.Env) string {
	lines := append(s.head(env), s.top.View(s.body(env), s.room(env), env.Style.Dim)...)
	return strings.Join(append(lines, s.foot(env)...), "\n")
}

func tableLines(env shell.Env, ref logbook.TableRef) []string {
	for _, row := range env.Shelf.Tables() {
		if row.Ref.Hash == ref.Hash {
			return printed(row, env.W)
		}
	}
	return []string{" This table cannot be read."}
}

// printed is a table row by row, as on a bag.
func printed(row logbook.TableRow, width int) []string {
	lines := []string{widget.Cut(" copied from: "+logbook.Clean(row.Table.Source), width)}
	lines = append(lines, bandHead(row.Table.Bands, width))
	for _, f := range row.Table.Fittings {
		lines = append(lines, printedRow(f, width)...)
		for _, bag := range row.Ref.Stopped[f.Name] {
			lines = append(lines, widget.Cut("    STOPPED: "+logbook.Clean(bag.Line()), width))
		}
	}
	return lines
}

func bandHead(bands []fusion.Band, width int) string {
	head := widget.Pad(" fitting", 18)
	for _, b := range bands {
		head += widget.Pad(strings.TrimSuffix(b.String(), " °C"), 8)
	}
	return widget.Cut(head+"°C", width)
}

// printedRow is a fitting's times below their bands, then its other figures.
func printedRow(f fusion.Fitting, width int) []string {
	line := widget.Pad(" "+f.Name, 18)
	for _, s := range f.Seconds {
		line += widget.Pad(fmt.Sprintf("%d s", s), 8)
	}
	lines := []string{widget.Cut(line, width)}
	if slices.Min(f.CoolingMin) != slices.Max(f.CoolingMin) {
		line = widget.Pad("    cooling", 18)
		for _, m := range f.CoolingMin {
			line += widget.Pad(fmt.Sprintf("%d min", m), 8)
		}
		lines = append(lines, widget.Cut(line, width))
	}
	for _, l := range widget.Wrap(rest(f), width-4) {
		lines = append(lines, "    "+l)
	}
	return lines
}

// printedRows are some fittings below their bands.
func printedRows(bands []fusion.Band, fittings []fusion.Fitting, width int) []string {
	lines := []string{bandHead(bands, width)}
	for _, f := range fittings {
		lines = append(lines, printedRow(f, width)...)
	}
	return lines
}

// rest is every other figure of a row, so that nothing goes unread.
func rest(f fusion.Fitting) string {
	parts := []string{fmt.Sprintf("%s, %s V", f.Takes(), fusion.Figure(f.Volts))}
	if slices.Min(f.CoolingMin) == slices.Max(f.CoolingMin) {
		parts = append(parts, fmt.Sprintf("cooling %d min", f.CoolingMin[0]))
	}
	if f.Zones > 1 {
		parts = append(parts, fmt.Sprintf("%d zones, each through its own pair of terminals and for the time above", f.Zones))
	}
	if f.PressureWaitMin != nil {
		from := waitFrom(f.PressureWaitFrom)
		parts = append(parts, fmt.Sprintf("pressure wait %d min%s", *f.PressureWaitMin, from))
	}
	if f.Ohms != nil {
		parts = append(parts, fusion.Figure(*f.Ohms)+" Ω")
	}
	if f.OhmsTolerancePct != nil {
		parts = append(parts, "±"+fusion.Figure(*f.OhmsTolerancePct)+" %")
	}
	if f.PinMM != nil {
		parts = append(parts, "pins "+fusion.Figure(*f.PinMM)+" mm")
	}
	if f.Indicators != nil {
		parts = append(parts, fmt.Sprintf("indicators: %d", *f.Indicators))
	}
	return strings.Join(parts, ", ")
}

// waitFrom is from when a pressure wait counts.
func waitFrom(said string) string {
	if said == "" {
		return ", the table does not say from when"
	}
	return " from " + said
}

// Keys are the tables'.
func (s tables) Keys(env shell.Env) shell.Keys {
	t, ok := s.shown(env)
	return shell.Keys{shell.When(len(env.Site.Tables) > 1, shell.Digits(min(8, len(env.Site.Tables)), "table")), shell.On("↑↓ PgDn", "read"), shell.When(ok && t.ReadBack == "", shell.On("Enter", "read back")), shell.When(env.Site.ID != "", shell.On("9", "take a further table")), shell.Back}
}

// Topic is that of its page.
func (s tables) Topic(shell.Env) string { return "tables" }

// Takes wants no scan.
func (s tables) Takes(shell.Env) shell.Taking { return shell.NoScan }

// The answers to whether every figure is as printed.
const (
	asPrinted    = "yes"
	otherPrinted = "no"
)

func readingBack(t logbook.TableRef) shell.Screen {
	return form.Ask{
		About: "readback",
		Title: "Read back: " + logbook.Clean(t.Title),
		Text: func(shell.Env) []string {
			return []string{"One person holds the bag or the print, another reads every figure of this table aloud: Esc shows them. A wrong time is wrong in every weld."}
		},
		Form: form.New([]form.Field{
			{Item: "same", Label: "every figure is as printed", Manner: form.Choice, Options: []string{asPrinted, otherPrinted}},
			{Item: "by", Label: "compared by (name)", Manner: form.Text, Skip: func(a form.Answers) bool { return a.V("same") != asPrinted }},
		}),
		Done: func(env shell.Env, a form.Answers) {
			if a.V("same") != asPrinted {
				env.Do.Say("correct the file and take it as a further table: key 9")
				return
			}
			env.By = a.V("by")
			form.Saves(env, "table read back", func(h acts.Head) acts.Act { return acts.ReadBack(h, t.Hash) })
		},
	}
}

// furtherTable asks how a further table comes.
type furtherTable struct{}

// Update turns to the way that is chosen.
func (s furtherTable) Update(env shell.Env, msg tea.Msg) shell.Screen {
	switch {
	case shell.Is(msg, shell.Leave, shell.BackOne):
		env.Do.Pop()
	case shell.Digit(msg) == 1:
		env.Do.Replace(typingTable{newTableTyping()})
	case shell.Digit(msg) == 2:
		env.Do.Replace(takingTable())
	}
	return s
}

// View lists the ways.
func (s furtherTable) View(env shell.Env) string {
	return strings.Join([]string{env.Style.Bold(" A further fusion table, or a corrected one"), "", "  1  type it from the bag", "  2  from a file"}, "\n")
}

// Keys are the ways.
func (s furtherTable) Keys(shell.Env) shell.Keys {
	return shell.Keys{shell.On("1", "type it"), shell.On("2", "a file"), shell.BackOne, shell.Back}
}

// Topic is that of its page.
func (s furtherTable) Topic(shell.Env) string { return "taketable" }

// Takes wants no scan.
func (s furtherTable) Takes(shell.Env) shell.Taking { return shell.NoScan }

func takingTable() shell.Screen {
	return form.TakingFile{
		Title: "A further fusion table, or a corrected one, from a file", Box: form.NewFileBox("table", "table file", ""),
		Done: func(env shell.Env, in shell.Input) {
			env.Do.Pop()
			form.Saves(env, "table taken", func(h acts.Head) acts.Act { return acts.TakeTable(h, in.File) })
		},
	}
}
