package tui

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/fault"
	"coolhold/logbook/kit"
	"coolhold/tui/form"
	"coolhold/tui/shell"
)

// A kitTyping is a kit that is typed: each control unit from its plate, then what feeds
// it, then the van. All but a serial may stay unknown.
type kitTyping struct {
	units    []form.Answers
	fittings []string // of the site's tables
	by       string   // who is at the laptop
	now      part
	rest     bool    // the units stand
	had      kit.Kit // the kit before: it stands where nothing else is typed
}

func typingKit(env shell.Env) shell.Screen {
	had, _ := logbook.KitOf(env.Site)
	k := kitTyping{by: env.By, had: had}
	for _, row := range env.Shelf.Rows() {
		if !slices.Contains(k.fittings, row.Fitting.Name) {
			k.fittings = append(k.fittings, row.Fitting.Name)
		}
	}
	k.now = k.nextUnit()
	return k
}

// nextUnit asks the next unit: one that the kit before had is shown back as it stood.
func (k kitTyping) nextUnit() part {
	n := len(k.units)
	switch {
	case n >= len(k.had.Units):
		return k.unit().begin()
	case n > 0:
		return k.unit().with(withUnit(k.had.Units[n], anotherUnit))
	}
	return k.unit().with(withUnit(k.had.Units[n], ""))
}

// Update types, and takes the kit once it is whole.
func (k kitTyping) Update(env shell.Env, msg tea.Msg) shell.Screen {
	p, came := k.now.Update(msg, env.W, env.H)
	k.now = p
	switch {
	case came == dropped && p.typed() && len(k.units) > 0 && !k.rest:
		k.now = k.unit().begin() // its unit alone
	case came == dropped:
		env.Do.Pop()
	case came != taken:
	case k.rest:
		k.save(env)
	case p.ended():
		k.rest, k.now = true, k.others().with(k.before())
	default:
		k.units = append(slices.Clone(k.units), p.asked())
		k.now = k.nextUnit()
	}
	return k
}

func (k kitTyping) save(env shell.Env) {
	a := k.now.asked()
	env.Do.Pop()
	env.By = a.V(form.By)
	file := acts.File{Name: "kit-typed.toml", Text: kit.Write(k.kit(a))}
	form.Saves(env, "kit taken", func(h acts.Head) acts.Act { return acts.TakeKit(h, file) })
}

const (
	anotherUnit = "a further control unit"
	noOtherUnit = "no further one"
	unknown     = "not known"
)

// unit asks one control unit.
func (k kitTyping) unit() part {
	n := len(k.units) + 1
	p := part{
		title: fmt.Sprintf("Kit: control unit %d", n), yes: "the unit is so",
		text:   "From its plate and its own instructions. What is left blank is not known, and is not guessed.",
		fields: func(form.Answers) []form.Field { return unitPlate(n > 1) },
		wrong: func(a form.Answers) []mistake {
			return kitMistakes(kit.Kit{Units: append(k.typedUnits(), unitOf(a))})
		},
	}
	if n > 1 {
		p.last, p.loses = noOtherUnit, "the kit that is typed"
	}
	return p
}

func unitPlate(further bool) []form.Field {
	skip := func(a form.Answers) bool { return a.V("unit") == noOtherUnit }
	number := func(item, label string) form.Field {
		return form.Field{Item: item, Label: label, Manner: form.Number, Blank: true, Skip: skip}
	}
	counts := []string{string(kit.CountsUp), string(kit.CountsDown), string(kit.CountsNot), unknown}
	says := map[string]string{string(kit.CountsUp): "up", string(kit.CountsDown): "down", string(kit.CountsNot): "not at all: it shows no running time", unknown: unknown}
	return []form.Field{
		{Item: "unit", Label: "besides", Manner: form.Choice, Options: []string{anotherUnit, noOtherUnit}, Skip: unless(further)},
		{Item: "serial", Label: "serial", Manner: form.Text, Scan: true, Keep: true, Check: atMost(40), Skip: skip},
		number("input_kva", "input, kVA"), number("input_volts", "input, V"), number("input_volts_low", "lowest input it allows, V"), number("input_amps", "input, A"),
		number("output_volts_low", "output from, V"), number("output_volts_high", "output to, V"), number("longest_seconds", "longest fusion time it can be set to, s"),
		{Item: "lead_pins_mm", Label: "pins that its leads take, mm", Hint: "With a blank between where there are several.", Manner: form.Text, Blank: true, Keep: true, Check: listOf(anyFigure), Skip: skip},
		{Item: "counts", Label: "while it fuses its display counts", Manner: form.Choice, Options: counts, Says: func(v string) string { return says[v] }, Skip: skip},
	}
}

func unitOf(a form.Answers) kit.Unit {
	u := kit.Unit{
		Serial: a.V("serial"), InputKVA: numOf(a, "input_kva"), InputVolts: numOf(a, "input_volts"), InputVoltsLow: numOf(a, "input_volts_low"), InputAmps: numOf(a, "input_amps"),
		VoltsLow: numOf(a, "output_volts_low"), VoltsHigh: numOf(a, "output_volts_high"), LongestS: intOf(a, "longest_seconds"),
	}
	for _, s := range figures(a.V("lead_pins_mm")) {
		x, _ := strconv.ParseFloat(s, 64)
		u.LeadPinsMM = append(u.LeadPinsMM, x)
	}
	if c := a.V("counts"); c != unknown {
		u.Counts = kit.Counts(c)
	}
	return u
}

func (k kitTyping) typedUnits() []kit.Unit {
	var out []kit.Unit
	for _, a := range k.units {
		out = append(out, unitOf(a))
	}
	return out
}

// others asks what feeds the units and what is in the van.
func (k kitTyping) others() part {
	return part{
		title: "Kit: supply, tools, the van", yes: "the kit is so, take it",
		text:  "What is left blank is not known, and is not guessed.",
		loses: "the kit that is typed",
		fields: func(form.Answers) []form.Field {
			return append(append(supplyFields(), k.vanFields()...), form.Field{Item: form.By, Label: "declared by (name)", Manner: form.Text, Offer: k.by, Keep: true})
		},
		wrong: func(a form.Answers) []mistake { return kitMistakes(k.kit(a)) },
	}
}

const (
	noExtension = "none"
	extended    = "one is used"
)

func supplyFields() []form.Field {
	number := func(item, label string, skip func(form.Answers) bool) form.Field {
		return form.Field{Item: item, Label: label, Manner: form.Number, Blank: true, Skip: skip}
	}
	none := func(a form.Answers) bool { return a.V("extension") != extended }
	return []form.Field{
		number("kva", "generator or supply, kVA", nil), number("volts", "its voltage, V", nil),
		{Item: "extension", Label: "extension between it and the unit", Manner: form.Choice, Options: []string{noExtension, extended, unknown}},
		number("length_m", "extension: length, one way, m", none), number("section_mm2", "extension: section of a conductor, mm²", none),
		{Item: "unreeled", Label: "extension: unreeled as a whole before use", Manner: form.Choice, Options: []string{"yes", "no", unknown}, Skip: none},
	}
}

func (k kitTyping) vanFields() []form.Field {
	sizes := func(item, label string) form.Field {
		return form.Field{Item: item, Label: label, Hint: "Sizes of pipe in mm with a blank between; Enter alone: not said.", Manner: form.Text, Blank: true, Keep: true, Check: listOf(pipeSize)}
	}
	fields := []form.Field{
		{Item: "scrapers", Label: "scrapers", Manner: form.Choice, Options: []string{kit.RotaryTool, kit.HandTool, bothScrapers, unknown}},
		sizes("clamps", "clamps for pipe of"),
		{Item: "sets", Label: "clamps: how many sets", Manner: form.Number, Blank: true, Check: setsOf, Skip: func(a form.Answers) bool { return a.V("clamps") == "" }},
		sizes("rerounders", "re-rounders for pipe of"),
	}
	for _, name := range k.fittings {
		fields = append(fields, form.Field{Item: "stock " + name, Label: "in the van: " + name, Hint: "How many; Enter alone: not counted.", Manner: form.Number, Blank: true, Check: countOf})
	}
	return fields
}

const bothScrapers = "both kinds"

// mostSets is more sets of clamps than any van holds, and less than a size of pipe typed
// twice: our choice.
const mostSets = 99

func setsOf(s string) (string, error) {
	if s == "" {
		return "", nil
	}
	return form.Whole(0, mostSets, "sets")(s)
}

func countOf(s string) (string, error) {
	if s == "" {
		return "", nil
	}
	return form.Whole(0, 9999, "")(s)
}

// kit is what was typed.
func (k kitTyping) kit(a form.Answers) kit.Kit {
	was := k.before()
	stands := func(items ...string) bool {
		return len(was) > 0 && !slices.ContainsFunc(items, func(i string) bool { return a.V(i) != was.V(i) })
	}
	out := k.had // what is not asked here stands
	out.Units, out.Generator, out.GeneratorVolts, out.Extension = k.typedUnits(), numOf(a, "kva"), numOf(a, "volts"), nil
	switch a.V("extension") {
	case noExtension:
		out.Extension = &kit.Extension{LengthM: new(float64)}
	case extended:
		out.Extension = &kit.Extension{LengthM: numOf(a, "length_m"), SectionMM2: numOf(a, "section_mm2")}
		if v := a.V("unreeled"); v != unknown {
			out.Extension.Unreeled = new(v == "yes")
		}
	}
	switch v := a.V("scrapers"); {
	case stands("scrapers"):
	case v == unknown:
		out.Scrapers = nil
	case v == bothScrapers:
		out.Scrapers = []kit.Scraper{{Kind: kit.RotaryTool}, {Kind: kit.HandTool}}
	case v != "":
		out.Scrapers = []kit.Scraper{{Kind: v}}
	}
	if !stands("clamps", "sets") {
		out.Clamps = nil
		if s := ints(a.V("clamps")); len(s) > 0 {
			out.Clamps = []kit.Clamp{{SizesMM: s, Count: intOf(a, "sets")}}
		}
	}
	if !stands("rerounders") {
		out.Rerounders = nil
		if s := ints(a.V("rerounders")); len(s) > 0 {
			out.Rerounders = []kit.Rerounder{{SizesMM: s}}
		}
	}
	out.Stock = slices.DeleteFunc(slices.Clone(out.Stock), func(s kit.Stock) bool { return slices.Contains(k.fittings, s.Fitting) })
	for _, name := range k.fittings {
		if n := intOf(a, "stock "+name); n != nil {
			out.Stock = append(out.Stock, kit.Stock{Fitting: name, Count: *n})
		}
	}
	return out
}

// kitItems are the lines of the screen that are called otherwise in a file.
var kitItems = map[string]string{"sizes_mm": "clamps", "count": "sets"}

// asAsked are the names of a file as the questions have them.
var asAsked = strings.NewReplacer("output_volts_high", "output to", "output_volts_low", "output from", "input_volts_low", "lowest input it allows", "input_volts", "input")

// kitMistakes is everything that the file would be refused for.
func kitMistakes(k kit.Kit) []mistake {
	_, err := kit.Parse([]byte(kit.Write(k)))
	var faults fault.List
	if !errors.As(err, &faults) {
		return nil
	}
	var out []mistake
	for _, f := range faults {
		item := f.Field
		if other, is := kitItems[item]; is {
			item = other
		}
		f.Line, f.Field = 0, ""
		out = append(out, mistake{item, strings.ReplaceAll(asAsked.Replace(f.String()), "_", " ")})
	}
	return out
}

// View is the present part's.
func (k kitTyping) View(env shell.Env) string { return k.now.View(env) }

// Keys are the present part's.
func (k kitTyping) Keys(env shell.Env) shell.Keys { return k.now.Keys(env) }

// Topic is that of its page.
func (k kitTyping) Topic(shell.Env) string { return "kit" }

// Takes is the present part's.
func (k kitTyping) Takes(shell.Env) shell.Taking { return k.now.Takes() }

// kitWays asks how a kit comes.
type kitWays struct{}

// Update turns to the way that is chosen.
func (s kitWays) Update(env shell.Env, msg tea.Msg) shell.Screen {
	switch {
	case shell.Is(msg, shell.Leave, shell.BackOne):
		env.Do.Pop()
	case shell.Digit(msg) == 1:
		env.Do.Replace(typingKit(env))
	case shell.Digit(msg) == 2:
		env.Do.Replace(takingKit(env))
	}
	return s
}

// View lists the ways.
func (s kitWays) View(env shell.Env) string {
	return strings.Join([]string{env.Style.Bold(" What the crew has with it: units, supply, tools, the van"), "", "  1  type it", "  2  from a file"}, "\n")
}

// Keys are the ways.
func (s kitWays) Keys(shell.Env) shell.Keys {
	return shell.Keys{shell.On("1", "type it"), shell.On("2", "a file"), shell.On("←", "one back"), shell.On("Esc", "back")}
}

// Topic is that of its page.
func (s kitWays) Topic(shell.Env) string { return "kit" }

// Takes wants no scan.
func (s kitWays) Takes(shell.Env) shell.Taking { return shell.NoScan }
