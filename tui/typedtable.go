package tui

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	logtable "coolhold/logbook/table"
	"coolhold/tui/form"
	"coolhold/tui/shell"
)

// A tableTyping is a fusion table that is typed from the bags, a fitting after the
// other, each in the order in which a bag prints it. The bands are typed with the
// first; of the others only what their own bag prints. No figure is offered.
type tableTyping struct {
	table fusion.Table // what stands so far
	now   part
	named bool // title and source stand
}

func newTableTyping() tableTyping { return tableTyping{now: aboutTable().begin()} }

// aboutTable asks what the table is of.
func aboutTable() part {
	return part{
		title: "A fusion table, typed from the bags",
		text:  "Have the bags before you. Every figure is typed as it is printed; what you type is shown back, a fitting at a time.",
		yes:   "go on to the first fitting",
		fields: func(form.Answers) []form.Field {
			return []form.Field{
				{Item: "title", Label: "maker or name on the bags", Manner: form.Text, Keep: true, Check: atMost(200)},
				{Item: "source", Label: "copied from", Manner: form.Text, Offer: "typed from the bags", Keep: true, Check: atMost(200)},
			}
		},
	}
}

// atMost checks the length of a text.
func atMost(n int) func(string) (string, error) {
	return func(s string) (string, error) {
		if len([]rune(s)) > n {
			return "", fmt.Errorf("%d characters are too many, at most %d", len([]rune(s)), n)
		}
		return s, nil
	}
}

// Update takes a key; taken: the table is whole.
func (t tableTyping) Update(msg tea.Msg, w, h int) (tableTyping, event) {
	p, came := t.now.Update(msg, w, h)
	t.now = p
	switch {
	case !t.named && p.back():
		a := p.given()
		t.table.Title, t.table.Source, t.named = a.V("title"), a.V("source"), true
		t.now = t.row().begin()
		t.now.loses = "what the table is called"
	case came == dropped && p.typed():
		t.now = t.row().begin() // its fitting alone
	case came == dropped:
		return t, dropped
	case came == taken && p.ended():
		return t, taken
	case came == taken:
		f := fittingOf(p.asked(), t.bands(p.asked()))
		t.table.Bands = t.bands(p.asked())
		t.table.Fittings = append(slices.Clone(t.table.Fittings), f)
		t.now = t.row().begin()
	}
	return t, goesOn
}

// noMore ends a table.
const noMore = "no further fitting"

// The items of a row.
const (
	rowKind, rowSizes, rowName, rowSDR, rowOtherSDR = "kind", "sizes_mm", "name", "sdr", "other sdr"
	rowVolts, rowOhms, rowTolerance, rowCooling     = "volts", "ohms", "ohms_tolerance_pct", "cooling_min"
	rowMore, rowWait, rowFrom, rowPin               = "more", "pressure_wait_min", "pressure_wait_from", "pin_mm"
	rowIndicators, rowEnds, rowZones                = "indicators", "ends", "zones"
)

const mostBands = 20

func bandItem(i int) string { return fmt.Sprintf("bands %d", i) }
func timeItem(i int) string { return fmt.Sprintf("seconds %d", i) }

// row asks one fitting.
func (t tableTyping) row() part {
	n := len(t.table.Fittings) + 1
	p := part{
		title:  fmt.Sprintf("%s: fitting %d", t.table.Title, n),
		text:   t.bagText(),
		yes:    "every figure is as on the bag",
		fields: t.fields, wrong: t.wrong, shows: t.shows,
	}
	if n > 1 {
		p.last, p.loses = noMore, "the table, with "+logbook.Count(n-1, "fitting")
	}
	return p
}

// bagText says what a bag is asked for: the bands of a table are those of its first.
func (t tableTyping) bagText() string {
	var bands []string
	for _, b := range t.table.Bands {
		bands = append(bands, b.String())
	}
	if len(bands) == 0 {
		return "As its own bag prints it."
	}
	return "As its own bag prints it. The bands are the table's, " + strings.Join(bands, ", ") + ": a bag that prints others goes into a table of its own."
}

// bands are those of the table; while its first fitting is typed as far as they go.
func (t tableTyping) bands(a form.Answers) []fusion.Band {
	if len(t.table.Fittings) > 0 {
		return t.table.Bands
	}
	low := intOf(a, bandItem(0))
	if low == nil {
		return nil
	}
	var bands []fusion.Band
	from := *low
	for i := 1; i <= mostBands; i++ {
		to := intOf(a, bandItem(i))
		if to == nil {
			break
		}
		bands = append(bands, fusion.Band{Low: from, High: *to})
		from = *to + 1
	}
	return bands
}

// fields are the questions of a fitting in the order of a bag.
func (t tableTyping) fields(a form.Answers) []form.Field {
	bands := t.bands(a)
	fields := t.whatItIs(a)
	fields = append(fields, t.bandFields(a, bands)...)
	for i := range mostBands {
		label := "fusion time, s"
		if i < len(bands) {
			label = fmt.Sprintf("fusion time at %s, s", bands[i])
		}
		fields = append(fields, form.Field{Item: timeItem(i), Label: label, Manner: form.Number, Check: wholeIn(fusion.SaneSeconds), Skip: func(a form.Answers) bool { return t.ended(a) || i >= len(t.bands(a)) }})
	}
	return append(fields, t.rest(a, bands)...)
}

// ended tells whether no further fitting is typed: then nothing more is asked.
func (t tableTyping) ended(a form.Answers) bool { return a.V(rowKind) == noMore }

const otherSDR = "other"

// sdrLists are how bags print the classes of pipe a fitting goes on: our choice, a
// short list, in which none is marked.
var sdrLists = []string{"11", "17", "11 17", "9 11", "9 11 17", otherSDR}

func (t tableTyping) whatItIs(a form.Answers) []form.Field {
	kinds := slices.Clone(fusion.Kinds)
	if len(t.table.Fittings) > 0 {
		kinds = append(kinds, noMore)
	}
	asked := t.ended
	return []form.Field{
		{Item: rowKind, Label: "kind", Manner: form.Choice, Options: kinds},
		{Item: rowSizes, Label: "pipe it takes, outside diameter, mm", Hint: "One size: 40. Of two sizes both, with a blank between: 40 32.", Manner: form.Text, Keep: true, Check: listOf(pipeSize), Skip: asked},
		{Item: rowName, Label: "name, the same in table and plan", Manner: form.Text, Offer: strings.TrimSpace(a.V(rowKind) + " " + strings.ReplaceAll(a.V(rowSizes), " ", "x")), Keep: true, Check: atMost(fusion.MaxName), Skip: asked},
		{Item: rowSDR, Label: "SDR printed as allowed", Manner: form.Choice, Options: sdrLists, Says: sdrWords, Skip: asked, Figures: &form.Figures{Of: but(otherSDR), Else: otherSDR}},
		{Item: rowOtherSDR, Label: "SDR, with a blank between", Manner: form.Text, Keep: true, Check: listOf(anyFigure), Skip: func(a form.Answers) bool { return asked(a) || a.V(rowSDR) != otherSDR }},
		{Item: rowVolts, Label: "volts", Manner: form.Number, Check: form.Within(fusion.SaneVolts), Skip: asked},
		{Item: rowOhms, Label: "resistance, Ω", Hint: "Enter alone: none is printed.", Manner: form.Number, Blank: true, Check: form.Within(fusion.SaneOhms), Skip: asked},
		{Item: rowTolerance, Label: "its tolerance, ± %", Hint: "Enter alone: none is printed.", Manner: form.Number, Blank: true, Check: form.Within(fusion.SaneTolerance), Skip: func(a form.Answers) bool { return asked(a) || a.V(rowOhms) == "" }},
	}
}

func sdrWords(v string) string {
	if v == otherSDR {
		return v
	}
	parts := figures(v)
	if len(parts) < 2 {
		return "SDR " + v
	}
	return "SDR " + strings.Join(parts[:len(parts)-1], ", ") + " and " + parts[len(parts)-1]
}

func pipeSize(s string) (string, error) {
	if n, err := strconv.Atoi(s); err != nil || !fusion.IsPipeSize(n) {
		return "", fmt.Errorf("%q is no size of PE pipe (16, 20, 25, 32, 40, 50, 63, 75, 90, 110 … 630)", s)
	}
	return s, nil
}

func anyFigure(s string) (string, error) {
	if _, err := strconv.ParseFloat(s, 64); err != nil {
		return "", fmt.Errorf("%q is no figure", s)
	}
	return s, nil
}

// bandFields ask the bands of the table: where the first begins, and where each ends.
// The next begins a degree above, since each degree is in one band.
func (t tableTyping) bandFields(a form.Answers, bands []fusion.Band) []form.Field {
	first := len(t.table.Fittings) == 0
	fields := []form.Field{{Item: bandItem(0), Label: "coldest band: from, °C", Hint: "The bands of ambient temperature, whole degrees, coldest first.", Manner: form.Number, Check: wholeIn(fusion.SaneDegrees), Skip: unless(first)}}
	for i := 1; i <= mostBands; i++ {
		f := form.Field{Item: bandItem(i), Label: "coldest band: to, °C", Manner: form.Number, Check: wholeIn(fusion.SaneDegrees)}
		if low := intOf(a, bandItem(0)); i == 1 && low != nil {
			f.Label = fmt.Sprintf("band from %d °C: to, °C", *low)
		}
		if i > 1 {
			f.Label, f.Blank = "next band: to, °C", true
			f.Hint = "Enter alone: there is no further band. A degree that is printed in two bands goes with the one you end with it."
		}
		if i > 1 && len(bands) >= i-1 {
			f.Label = fmt.Sprintf("next band, from %d °C: to, °C", bands[i-2].High+1)
		}
		f.Skip = func(a form.Answers) bool { return !first || i > 1 && len(t.bands(a)) < i-1 }
		fields = append(fields, f)
	}
	return fields
}

const (
	nothingMore = "nothing more is printed"
	morePrinted = "more is printed: pressure wait, pins, indicators …"
)

// rest asks what comes after the times.
func (t tableTyping) rest(a form.Answers, bands []fusion.Band) []form.Field {
	asked := t.ended
	more := func(a form.Answers) bool { return asked(a) || a.V(rowMore) != morePrinted }
	number := func(item, label string, check func(string) (string, error)) form.Field {
		return form.Field{Item: item, Label: label, Hint: "Enter alone: not printed.", Manner: form.Number, Blank: true, Check: check, Skip: more}
	}
	from := form.Field{Item: rowFrom, Label: "it counts from", Manner: form.Choice, Options: []string{fusion.FromCoolingEnd, fusion.FromFusionEnd, "not said"}, Says: waitWords, Skip: func(a form.Answers) bool { return more(a) || a.V(rowWait) == "" }}
	return []form.Field{
		{Item: rowCooling, Label: "cooling time, min", Hint: "One figure; or where it is printed by band one for each band, with a blank between.", Manner: form.Text, Keep: true, Check: listOf(wholeIn(fusion.SaneCooling), 1, max(1, len(bands))), Skip: asked},
		{Item: rowMore, Label: "besides", Manner: form.Choice, Options: []string{nothingMore, morePrinted}, Skip: asked},
		number(rowWait, "wait before a pressure test, min", wholeIn(fusion.SaneWait)), from,
		number(rowPin, "terminal pins, mm", form.Within(fusion.SanePin)),
		number(rowIndicators, "indicators: how many", wholeIn(fusion.SaneIndicators)),
		number(rowEnds, "faces that are fused, where not the usual number", wholeIn(fusion.SaneEnds)),
		number(rowZones, "zones fused one after another", wholeIn(fusion.SaneZones)),
	}
}

func waitWords(v string) string {
	switch v {
	case fusion.FromCoolingEnd:
		return "the end of cooling"
	case fusion.FromFusionEnd:
		return "the end of fusion"
	}
	return v
}

// fittingOf is the row that was typed.
func fittingOf(a form.Answers, bands []fusion.Band) fusion.Fitting {
	f := fusion.Fitting{Kind: a.V(rowKind), Name: a.V(rowName), SizesMM: ints(a.V(rowSizes)), Zones: 1, Ends: fusion.EndsOf(a.V(rowKind))}
	sdr := a.V(rowSDR)
	if sdr == otherSDR {
		sdr = a.V(rowOtherSDR)
	}
	for _, s := range figures(sdr) {
		if x, err := strconv.ParseFloat(s, 64); err == nil {
			f.SDR = append(f.SDR, fusion.SDR(x))
		}
	}
	if v := numOf(a, rowVolts); v != nil {
		f.Volts = *v
	}
	for i := range bands {
		if s := intOf(a, timeItem(i)); s != nil {
			f.Seconds = append(f.Seconds, *s)
		}
	}
	f.CoolingMin = ints(a.V(rowCooling))
	if len(f.CoolingMin) == 1 {
		f.CoolingMin = slices.Repeat(f.CoolingMin, len(bands))
	}
	f.Ohms, f.OhmsTolerancePct, f.PinMM = numOf(a, rowOhms), numOf(a, rowTolerance), numOf(a, rowPin)
	f.PressureWaitMin, f.Indicators = intOf(a, rowWait), intOf(a, rowIndicators)
	if v := a.V(rowFrom); v == fusion.FromCoolingEnd || v == fusion.FromFusionEnd {
		f.PressureWaitFrom = v
	}
	if n := intOf(a, rowEnds); n != nil {
		f.Ends = *n
	}
	if n := intOf(a, rowZones); n != nil {
		f.Zones = *n
	}
	return f
}

// so is the table as it would stand with the row.
func (t tableTyping) so(a form.Answers) fusion.Table {
	bands := t.bands(a)
	out := t.table
	out.Bands = bands
	out.Fittings = append(slices.Clone(t.table.Fittings), fittingOf(a, bands))
	return out
}

// wrong holds a row against the table, as its file would be.
func (t tableTyping) wrong(a form.Answers) []mistake {
	var out []mistake
	so := t.so(a)
	for _, flaw := range so.Flaws(nil) {
		m := mistake{item: flaw.Key, what: flaw.What}
		switch {
		case flaw.Key == "seconds" && flaw.Item >= 0:
			m.item = timeItem(flaw.Item)
		case flaw.Key == "bands":
			m.item = bandItem(flaw.Item + 1)
		case flaw.Key == "sdr" && a.V(rowSDR) == otherSDR:
			m.item = rowOtherSDR
		}
		out = append(out, m)
	}
	return out
}

// shows is the row as a bag prints it, in one look.
func (t tableTyping) shows(a form.Answers, w int) []string {
	so := t.so(a)
	f := so.Fittings[len(so.Fittings)-1]
	if len(f.Seconds) == 0 || len(f.CoolingMin) == 0 {
		return nil
	}
	return printedRows(so.Bands, []fusion.Fitting{f}, w)
}

// file is the table as a file.
func (t tableTyping) file() acts.File {
	return acts.File{Name: fileName(t.table.Title, "table"), Text: logtable.Write(t.table)}
}

// fileName is what a file that was typed here is called.
func fileName(title, what string) string {
	name := strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			return r
		case r >= 'A' && r <= 'Z':
			return r + 'a' - 'A'
		}
		return '-'
	}, title)
	return strings.Trim(name, "-") + "-" + what + "-typed.toml"
}

// typingTable is the screen that types a further table for the open site.
type typingTable struct{ tableTyping }

// Update types, and takes the table once it is whole.
func (s typingTable) Update(env shell.Env, msg tea.Msg) shell.Screen {
	t, came := s.tableTyping.Update(msg, env.W, env.H)
	switch came {
	case dropped:
		env.Do.Pop()
	case taken:
		h := env.Head()
		env.Do.Pop()
		env.Do.Save(h, "table taken", acts.TakeTable(h, t.file()))
	}
	return typingTable{t}
}

// View is the present part's.
func (s typingTable) View(env shell.Env) string { return s.now.View(env) }

// Keys are the present part's.
func (s typingTable) Keys(env shell.Env) shell.Keys { return s.now.Keys(env) }

// Topic is that of its page.
func (s typingTable) Topic(shell.Env) string { return "typetable" }

// Takes is the present part's.
func (s typingTable) Takes(shell.Env) shell.Taking { return s.now.Takes() }
