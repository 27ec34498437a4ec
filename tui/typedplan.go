package tui

import (
	"cmp"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/fault"
	"coolhold/logbook/plan"
	"coolhold/tui/form"
)

const eitherScraper = "either"

// aboutSite asks what stands at the head of a plan.
func aboutSite() part {
	text := func(item, label string) form.Field {
		return form.Field{Item: item, Label: label, Manner: form.Text, Keep: true, Check: atMost(200)}
	}
	return part{
		title: "The site", yes: "the site is so",
		text: "As it shall stand in the register for the warranty file.",
		fields: func(form.Answers) []form.Field {
			return []form.Field{
				text("site", "name of the site"), text("client", "client"), text("firm", "firm that welds"), text("address", "address"),
				{Item: "scraping", Label: "scraping that is required", Manner: form.Choice, Options: []string{eitherScraper, "rotary scraper", "hand scraper"}},
				{Item: "tag", Label: "two letters for this laptop's log", Manner: form.Text, Blank: true, Keep: true, Check: tagLetters, Hint: "They stand in every weld number, as ink on the pipe. Enter alone: drawn at random. A log that exists keeps its own."},
			}
		},
		wrong: func(a form.Answers) []mistake { return siteMistakes(a) },
	}
}

func siteMistakes(a form.Answers) []mistake {
	if !strings.ContainsFunc(a.V("site"), func(c rune) bool {
		return c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c > 127
	}) {
		return []mistake{{"site", "the site's name has no letter or digit"}}
	}
	return nil
}

var twoLetters = regexp.MustCompile(`^[A-Za-z]{2}$`)

func tagLetters(s string) (string, error) {
	if s != "" && !twoLetters.MatchString(s) {
		return "", fmt.Errorf("%q: two letters A to Z are needed, or none", s)
	}
	return strings.ToUpper(s), nil
}

// How the ports of a chamber are numbered, as they are seen most: our choice of a list,
// in which none is marked.
const (
	halves = "halves"
	oddLow = "odd low"
	asIs   = "each"
)

var numberings = map[string]string{
	halves: "the first half in the low row, the rest in the high",
	oddLow: "odd numbers in the low row, even in the high",
	asIs:   "otherwise: rows and rails are typed",
}

// Which headers are to be welded at a chamber.
const (
	bothAlike  = "both, alike"
	bothUnlike = "both, not alike"
	onlyFrom   = "from ground alone"
	onlyTo     = "to ground alone"
	noHeader   = "none"
)

const (
	fromGround = "from ground"
	toGround   = "to ground"
	lowRow     = "low"
	highRow    = "high"
)

// mostTyped is how many circuits of a chamber are typed; more are for a file. Our
// choice.
const mostTyped = 24

// chamber asks one chamber with its ports, circuits and headers.
func (j jobTyping) chamber(no int) part {
	return part{
		title: fmt.Sprintf("Chamber %d", no+1),
		text:  "As it lies there or as the drawing has it. Sizes are those printed on stub and pipe.",
		yes:   "the chamber is so", fields: j.chamberFields(no),
		wrong: func(a form.Answers) []mistake { return j.chamberWrong(no, a) },
		shows: func(a form.Answers, w int) []string { return j.chamberShows(no, a, w) },
	}
}

func (j jobTyping) chamberFields(no int) func(form.Answers) []form.Field {
	return func(a form.Answers) []form.Field {
		n := circuits(a)
		fields := slices.Concat(chamberHead(no), portFields(), j.circuitFields(a, n))
		ways := []string{bothAlike, bothUnlike, onlyFrom, onlyTo, noHeader}
		fields = append(fields, form.Field{Item: "headers", Label: "headers to weld here", Manner: form.Choice, Options: ways})
		for i := range 2 {
			fields = append(fields, j.headerFields(a, i)...)
		}
		return fields
	}
}

func circuits(a form.Answers) int {
	n, _ := strconv.Atoi(a.V("circuits"))
	return n
}

func noCircuit(a form.Answers) bool { return circuits(a) == 0 }

func chamberHead(no int) []form.Field {
	return []form.Field{
		{Item: "chamber", Label: "its name, as on the pipes", Hint: "Letters and digits, at most 6. With several chambers it stands in every label.", Manner: form.Text, Offer: string(rune('A' + no%26)), Keep: true, Check: marks(6)},
		{Item: "lid", Label: "where its lid lies", Manner: form.Text, Blank: true, Check: atMost(200), Keep: true},
		sizeField("stub od", "stubs of the ports: outside diameter, mm", true, nil),
		classField("stub sdr", "stubs of the ports: SDR", true, func(a form.Answers) bool { return a.V("stub od") == "" }),
		{Item: "circuits", Label: "circuits: how many", Manner: form.Number, Check: wholeIn(fusion.Bounds{Low: 1, High: mostTyped})},
	}
}

var marker = regexp.MustCompile(`^[A-Za-z0-9.-]+$`)

// marks checks for what can be written on a pipe with a marker.
func marks(n int) func(string) (string, error) {
	return func(s string) (string, error) {
		if !marker.MatchString(s) {
			return "", fmt.Errorf("%q is written on pipes: only letters A to Z, digits, '-' and '.'", s)
		}
		return atMost(n)(s)
	}
}

// notKnown is chosen where nobody knows the class of a stub yet.
const notKnown = "not known"

func sizeField(item, label string, blank bool, skip func(form.Answers) bool) form.Field {
	f := form.Field{Item: item, Label: label, Manner: form.Number, Blank: blank, Check: checkSize, Skip: skip}
	if blank {
		f.Hint = "Enter alone: not known yet."
	}
	return f
}

func classField(item, label string, unknown bool, skip func(form.Answers) bool) form.Field {
	var options []string
	for _, c := range fusion.PipeClasses {
		options = append(options, c.String())
	}
	if unknown {
		options = append(options, notKnown)
	}
	return form.Field{Item: item, Label: label, Manner: form.Choice, Options: options, Skip: skip, Figures: &form.Figures{Of: but(notKnown)}}
}

// but are the lines of a list as figures, all save the one in words.
func but(words string) func(string) string {
	return func(option string) string {
		if option == words {
			return ""
		}
		return option
	}
}

func portFields() []form.Field {
	manual := func(a form.Answers) bool { return noCircuit(a) || a.V("numbers") != asIs }
	all := func(item, label string) form.Field {
		return form.Field{Item: item, Label: label, Hint: "Numbers with a blank between.", Manner: form.Text, Keep: true, Check: listOf(portNo), Skip: manual}
	}
	return []form.Field{
		{Item: "numbers", Label: "its ports are numbered", Manner: form.Choice, Options: []string{halves, oddLow, asIs}, Says: func(v string) string { return numberings[v] }, Skip: noCircuit},
		{Item: "low", Label: "the low row is on the rail", Manner: form.Choice, Options: []string{fromGround, toGround}, Skip: func(a form.Answers) bool { return noCircuit(a) || a.V("numbers") == asIs }},
		{Item: "ports", Label: "ports in all", Hint: "Enter alone: two for each circuit, none to spare.", Manner: form.Number, Blank: true, Check: wholeIn(fusion.Bounds{Low: 2, High: 100}), Skip: func(a form.Answers) bool { return noCircuit(a) || a.V("numbers") == asIs }},
		all("row low", "ports in the low row"), all("row high", "ports in the high row"), all("rail from", "ports on the rail from ground"),
	}
}

func portNo(s string) (string, error) { return form.Whole(1, 999, "")(s) }

func (j jobTyping) circuitFields(a form.Answers, n int) []form.Field {
	var fields []form.Field
	for i := range mostTyped {
		fields = append(fields, form.Field{
			Item: fmt.Sprintf("circuit %d", i+1), Label: fmt.Sprintf("ports of circuit %d: leg A, leg B", i+1), Manner: form.Text, Keep: true, Check: listOf(portNo, 2),
			Skip: func(a form.Answers) bool { return i >= circuits(a) || a.V("numbers") != asIs },
		})
	}
	one := max(1, n)
	fields = append(fields,
		sizeField("pipe od", "pipe of the circuits: outside diameter, mm", false, noCircuit),
		classField("pipe sdr", "pipe of the circuits: SDR", false, noCircuit),
		form.Field{Item: "length", Label: "length of a circuit's pipe, out and back, m", Hint: "One figure for all, or one for each with a blank between.", Manner: form.Text, Keep: true, Check: listOf(form.Within(saneLength), 1, one), Skip: noCircuit},
	)
	fields = append(fields, j.fittingFields("fitting", "fitting at the ports", noCircuit, stubEnd(a, "stub"), pipeEnd(a, "pipe"))...)
	return append(fields, form.Field{Item: "tape", Label: "tape on the pipes: a colour for each circuit", Hint: "One word each, with a blank between. Enter alone: none.", Manner: form.Text, Blank: true, Keep: true, Check: wordsOf(one), Skip: noCircuit})
}

// saneLength is as in a plan's file.
var saneLength = fusion.Bounds{Low: 0.1, High: 5000, Unit: "m"}

func wordsOf(n int) func(string) (string, error) {
	return func(s string) (string, error) {
		words := strings.Fields(s)
		if len(words) != 0 && len(words) != n {
			return "", fmt.Errorf("given: %s; %s needed: write one word each, such as light-blue", logbook.Count(len(words), "colour"), either([]int{n}))
		}
		return strings.Join(words, " "), nil
	}
}

// headerWay tells which header of a chamber its set of questions is about; "" for none.
func headerWay(a form.Answers, i int) string {
	switch a.V("headers") {
	case bothAlike, onlyFrom:
		return []string{fromGround, ""}[i]
	case bothUnlike:
		return []string{fromGround, toGround}[i]
	case onlyTo:
		return []string{toGround, ""}[i]
	}
	return ""
}

func headerItem(i int, what string) string { return fmt.Sprintf("header %d %s", i+1, what) }

func (j jobTyping) headerFields(a form.Answers, i int) []form.Field {
	item := func(what string) string { return headerItem(i, what) }
	skip := func(a form.Answers) bool { return headerWay(a, i) == "" }
	name := "header " + cmp.Or(headerWay(a, i), "to ground")
	lengths, hint := []int{1}, ""
	if a.V("headers") == bothAlike {
		name, lengths, hint = "headers", []int{1, 2}, "One figure for both, or from ground and to ground with a blank between."
	}
	fields := []form.Field{
		sizeField(item("stub od"), name+": outside diameter of the stub, mm", true, skip),
		classField(item("stub sdr"), name+": SDR of the stub", true, func(a form.Answers) bool { return skip(a) || a.V(item("stub od")) == "" }),
		sizeField(item("pipe od"), name+": outside diameter of the pipe, mm", false, skip),
		classField(item("pipe sdr"), name+": SDR of the pipe", false, skip),
		{Item: item("length"), Label: name + ": length of the pipe, m", Hint: hint, Manner: form.Text, Keep: true, Check: listOf(form.Within(saneLength), lengths...), Skip: skip},
	}
	return append(fields, j.fittingFields(item("fitting"), name+": fitting", skip, stubEnd(a, item("stub")), pipeEnd(a, item("pipe")))...)
}

func stubEnd(a form.Answers, item string) plan.End {
	e := pipeEnd(a, item)
	e.Stub = true
	return e
}

func pipeEnd(a form.Answers, item string) plan.End {
	od, _ := strconv.Atoi(a.V(item + " od"))
	sdr, _ := strconv.ParseFloat(a.V(item+" sdr"), 64)
	return plan.End{OdMM: od, SDR: fusion.SDR(sdr), Pipe: "pipe"}
}

// otherFitting is chosen where the fitting is in none of the tables.
const otherFitting = "another one: its name is typed"

// fittingFields ask for a fitting: those of the tables that go there, or a name.
func (j jobTyping) fittingFields(item, label string, skip func(form.Answers) bool, ends ...plan.End) []form.Field {
	ends = slices.DeleteFunc(ends, func(e plan.End) bool { return e.OdMM == 0 && e.SDR == 0 })
	at := plan.Joint{Ends: ends}
	var options []string
	for _, t := range j.fusionTables() {
		for _, f := range t.Fittings {
			if at.Fits(f) == nil && !slices.Contains(options, f.Name) {
				options = append(options, f.Name)
			}
		}
	}
	typed := form.Field{Item: item + " name", Label: label + ": its name", Manner: form.Text, Keep: true, Check: atMost(fusion.MaxName), Skip: func(a form.Answers) bool { return skip(a) || a.V(item) != otherFitting }}
	return []form.Field{{Item: item, Label: label, Manner: form.Choice, Options: append(options, otherFitting), Skip: skip}, typed}
}

// fittingIn is the fitting that fittingFields were answered.
func fittingIn(a form.Answers, item string) string {
	if v := a.V(item); v != otherFitting {
		return v
	}
	return a.V(item + " name")
}

// chamberOf is the chamber that was typed.
func chamberOf(a form.Answers) plan.Chamber {
	c := plan.Chamber{Name: a.V("chamber"), Lid: a.V("lid")}
	n := circuits(a)
	c.Ports = portsOf(a, n)
	pipe := pipeEnd(a, "pipe")
	lengths, tapes := figures(a.V("length")), strings.Fields(a.V("tape"))
	for i := range n {
		k := plan.Circuit{No: i + 1, OdMM: pipe.OdMM, SDR: pipe.SDR, LengthM: metres(lengths, i), Ports: legsOf(a, c, i), Fitting: fittingIn(a, "fitting")}
		if i < len(tapes) {
			k.Tape = tapes[i]
		}
		c.Circuits = append(c.Circuits, k)
	}
	c.Headers = headersOf(a)
	return c
}

// metres is the figure of a list, or the only one for all.
func metres(list []string, i int) float64 {
	if len(list) == 1 {
		i = 0
	}
	if i >= len(list) {
		return 0
	}
	x, _ := strconv.ParseFloat(list[i], 64)
	return x
}

// portsOf are the ports as they are numbered.
func portsOf(a form.Answers, n int) []plan.Port {
	stub := stubEnd(a, "stub")
	var ports []plan.Port
	add := func(no int, low, from bool) {
		p := plan.Port{No: no, Row: highRow, Bar: toGround, OdMM: stub.OdMM, SDR: stub.SDR}
		if low {
			p.Row = lowRow
		}
		if from {
			p.Bar = fromGround
		}
		ports = append(ports, p)
	}
	if a.V("numbers") == asIs {
		from := ints(a.V("rail from"))
		for _, row := range []string{"row low", "row high"} {
			for _, no := range ints(a.V(row)) {
				add(no, row == "row low", slices.Contains(from, no))
			}
		}
		return ports
	}
	for no := 1; no <= portsInAll(a, n); no++ {
		low := no <= (portsInAll(a, n)+1)/2
		if a.V("numbers") == oddLow {
			low = no%2 == 1
		}
		add(no, low, low == (a.V("low") == fromGround))
	}
	return ports
}

func portsInAll(a form.Answers, n int) int {
	if all := intOf(a, "ports"); all != nil {
		return *all
	}
	return 2 * n
}

// legsOf are the ports of a circuit: leg A at the one of the low row.
func legsOf(a form.Answers, c plan.Chamber, i int) [2]int {
	switch a.V("numbers") {
	case halves:
		return [2]int{i + 1, (len(c.Ports)+1)/2 + i + 1}
	case oddLow:
		return [2]int{2*i + 1, 2*i + 2}
	}
	if two := ints(a.V(fmt.Sprintf("circuit %d", i+1))); len(two) == 2 {
		return [2]int{two[0], two[1]}
	}
	return [2]int{}
}

func headersOf(a form.Answers) []plan.Header {
	var out []plan.Header
	for i := range 2 {
		way := headerWay(a, i)
		if way == "" {
			continue
		}
		stub, pipe := stubEnd(a, headerItem(i, "stub")), pipeEnd(a, headerItem(i, "pipe"))
		lengths := figures(a.V(headerItem(i, "length")))
		h := plan.Header{Way: way, OdMM: pipe.OdMM, SDR: pipe.SDR, LengthM: metres(lengths, 0), Fitting: fittingIn(a, headerItem(i, "fitting")), StubOdMM: stub.OdMM, StubSDR: stub.SDR}
		out = append(out, h)
		if a.V("headers") == bothAlike {
			h.Way, h.LengthM = toGround, metres(lengths, 1)
			out = append(out, h)
		}
	}
	return out
}

// planFaults is everything that its file would be refused for.
func planFaults(p plan.Plan) []string {
	_, err := plan.Parse([]byte(plan.Write(p)))
	var faults fault.List
	if !errors.As(err, &faults) {
		return nil
	}
	var out []string
	for _, f := range faults {
		f.Line = 0 // no file is before anybody
		out = append(out, f.String())
	}
	return out
}

// so is the job with one chamber or joint as it is being typed, its head filled.
func (j jobTyping) so(no int, chamber, outside form.Answers) plan.Plan {
	if chamber != nil {
		j.chambers = put(j.chambers, no, chamber)
	}
	if outside != nil {
		j.outside = put(j.outside, no, outside)
	}
	p := j.planned()
	for _, s := range []*string{&p.Site, &p.Client, &p.Firm, &p.Address} {
		*s = cmp.Or(*s, "not typed yet")
	}
	return p
}

func (j jobTyping) chamberWrong(no int, a form.Answers) []mistake {
	return j.mistakesIn(j.so(no, a, nil))
}

// mistakesIn are the faults of a plan, and the fittings that do not go where they
// stand. What an earlier part has wrong is said of it there.
func (j jobTyping) mistakesIn(p plan.Plan) []mistake {
	var out []mistake
	for _, f := range planFaults(p) {
		out = append(out, mistake{what: f})
	}
	if len(out) == 0 {
		wrong, _ := p.Against(j.fusionTables())
		for _, w := range wrong {
			out = append(out, mistake{what: w})
		}
	}
	return out
}

func (j jobTyping) chamberShows(no int, a form.Answers, w int) []string {
	name := a.V("chamber")
	var lines []string
	for _, joint := range j.so(no, a, nil).Joints() {
		if joint.Chamber == name {
			lines = append(lines, plannedLines(joint, w)...)
		}
	}
	return lines
}
