package main

import (
	"encoding/csv"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
)

// What a screen can store, a correction and a typed sheet must take, in the same
// words and within the same bounds, and it must come back as first recorded when
// it was corrected. The forms are played with whatever they offer: a field that is
// new on a screen is among the values without a change here.

// An asking is the field that a form asks now.
type asking struct {
	label   string
	options []string // of a choice
	typed   bool     // a number or a text
}

var optionLine = regexp.MustCompile(`^(?:    |  ▸ )(\d)  (.+?)(?:   \(Enter\))? *$`)

// present reads the present field off the screen.
func (b *hand) present() (asking, bool) {
	_, rest, ok := strings.Cut("\n"+b.frame(), "\n▸ ")
	if !ok {
		return asking{}, false
	}
	lines := strings.Split(rest, "\n")
	label, _, _ := strings.Cut(lines[0], "│") // beside it stand the steps
	a := asking{label: strings.TrimSpace(label)}
	for _, line := range lines[1:] {
		if m := optionLine.FindStringSubmatch(line); m != nil {
			a.options = append(a.options, m[2])
		} else if len(a.options) > 0 {
			break
		}
		if strings.Contains(line, "█") {
			a.typed = true
			break
		}
	}
	return a, true
}

// A form says its bounds in one of two ways: 0 itself is no volts and no ohms.
var (
	saidBounds = regexp.MustCompile(`from (-?[0-9.]+) to (-?[0-9.]+)`)
	saidAbove  = regexp.MustCompile(`above 0 and up to ([0-9.]+)`)
)

// bounds are those of the present number, from what the form says to one that is
// too large; false where the field is a text.
func (b *hand) bounds() (low, high string, number bool) {
	b.t.Helper()
	b.press("x")
	if strings.Contains(b.frame(), "x█") {
		b.press("backspace")
		return "", "", false
	}
	for _, large := range []string{"999999", "999"} {
		b.write(large)
		if m := saidBounds.FindStringSubmatch(b.frame()); m != nil {
			return m[1], m[2], true
		}
		if m := saidAbove.FindStringSubmatch(b.frame()); m != nil {
			return "0.1", m[1], true
		}
	}
	b.t.Fatalf("the form says no bounds:\n%s", b.frame())
	return "", "", false
}

// A player answers every form, the nth time with the nth option of each choice,
// with the lowest number the first time and the highest the second.
type player struct {
	*hand
	n     int
	fixed map[string]string    // by the beginning of a label: keys of a choice, or the text
	found map[string][2]string // bounds, by label
}

// plays answers field after field until none is asked.
func (p *player) plays() { p.t.Helper(); p.playsTo(func() bool { return false }) }

var toFeel = regexp.MustCompile(`\d+ to feel`)

// playsOne answers for one weld of the end-of-shift check.
func (p *player) playsOne() {
	p.t.Helper()
	was := toFeel.FindString(p.frame())
	p.playsTo(func() bool { return toFeel.FindString(p.frame()) != was })
}

// playsTo answers field after field until none is asked, or it is done.
func (p *player) playsTo(done func() bool) {
	p.t.Helper()
	for range 200 {
		if done() {
			return
		}
		if strings.Contains(p.frame(), "0  all done") {
			p.marks()
			continue
		}
		if lines := waiting.FindAllStringSubmatch(p.frame(), -1); lines != nil {
			p.line(lines[0][1])
			continue
		}
		if strings.Contains(p.frame(), "as it should be") && strings.Contains(p.frame(), "    0  ") {
			p.press("0")
			continue
		}
		if strings.Contains(p.frame(), "as last time on this unit") {
			p.press(strconv.Itoa(p.n%2 + 1))
		}
		if strings.Contains(p.frame(), "Enter: it is in the unit") || strings.Contains(p.frame(), "Enter: back") {
			p.press("enter")
			continue
		}
		a, ok := p.present()
		if !ok {
			return
		}
		p.gives(a)
	}
	p.t.Fatalf("the form does not end:\n%s", p.frame())
}

// waiting are the lines of a card that nothing was said to, or a batch as last time.
var waiting = regexp.MustCompile(`(?m)^    (\d)  (?:.*  should be: |(?:fitting batch|batch of the coil or pipe|stub batch) .*   as last time)`)

// line answers one line of a card.
func (p *player) line(digit string) {
	p.t.Helper()
	p.press(digit)
	if a, ok := p.present(); ok {
		p.gives(a)
	}
}

// marks is the preparation card: all done, all but the scraping could not be done,
// only the scraping could not, and so on. "Not yet" is no answer that stays.
func (p *player) marks() {
	p.t.Helper()
	for item := 1; item <= 9 && p.n%3 > 0; item++ {
		if (item == 3 || item == 4) == (p.n%3 == 2) {
			p.press(strconv.Itoa(item), "3", "2", "enter") // could not, no access
		}
	}
	p.press("0")
}

func (p *player) gives(a asking) {
	p.t.Helper()
	fixed, is := p.fixedFor(a.label)
	switch {
	case strings.HasPrefix(a.label, "how the fusion ended"):
		p.passes(3 * time.Hour)
		p.press(fixed)
	case is && len(a.options) > 0:
		p.press(fixed)
	case is:
		p.write(fixed)
	case len(a.options) > 0:
		p.press(strconv.Itoa(p.n%len(a.options) + 1))
	default:
		p.gave(a)
	}
}

func (p *player) fixedFor(label string) (string, bool) {
	for begins, answer := range p.fixed {
		if strings.HasPrefix(label, begins) {
			return answer, true
		}
	}
	return "", false
}

// gave types into a field: its bounds, or a text as long as the form lets it be.
func (p *player) gave(a asking) {
	p.t.Helper()
	low, high, number := p.bounds()
	switch {
	case !number && p.n == 1:
		p.write(strings.Repeat("w", 250))
	case !number:
		p.write(fmt.Sprintf("text %d", p.n))
	case p.n == 0:
		p.write(low)
	case p.n == 1:
		p.write(high)
	default:
		p.write("1")
	}
	if number {
		p.found[a.label] = [2]string{low, high}
	}
}

// playedForms is a log in which the forms of the walk, the release, the round and of
// a weld entered later were played to their bounds, and the bounds by label.
func playedForms(t *testing.T) (*told, map[string][2]string) {
	t.Helper()
	s, found := tells(newDoor(t, "2026-03-16 07:10")), map[string][2]string{}
	s.done("site", "new", "--tag", "VA", "--plan", corrie+"plan.toml", "--table", corrie+"sorrel.toml", "--table", corrie+"bracken.toml")
	corrieBegins(s)
	p := player{hand: s.board(), found: found}
	for n, joint := range []string{"Dew-1A", "Dew-2A", "Dew-3A", "Dew-4A", "Dew-5A"} {
		p.walks(n, joint, strconv.Itoa(n+1), "1")
		p.ends(joint, "1") // released
	}
	for n, joint := range []string{"Dew-1B", "Dew-2B"} {
		p.walks(n, joint, strconv.Itoa(n+7), "1")
		p.ends(joint, "2") // disturbed
	}
	for n, joint := range []string{"Dew-3B", "Dew-4B"} {
		p.walks(n, joint, strconv.Itoa(n+9), "2") // stopped
	}
	p.press("3")
	for p.n = 0; p.n < 5; p.n++ {
		p.playsOne()
	}
	p.press("esc")
	for i, fusion := range []string{"1", "1", "1", "1", "1", "2", "2", "3"} {
		p.n, p.fixed = i%5, map[string]string{"joint": "1", "the fusion": fusion, "fusion began at": "2026-03-16 07:30", "the hold counts": "2"}
		p.press("4")
		p.plays()
	}
	return s, found
}

// walks makes a weld, whose fusion ends in one of its ways.
func (p *player) walks(n int, joint, port, ends string) {
	p.t.Helper()
	p.n, p.fixed = n, map[string]string{
		"fitting, as printed": "enter", "number of the port": port, "this bag prints": "1", "seconds the bag prints": "40", "start": "1", "how the fusion ended": ends,
		"ambient temperature": "8.5", "control unit": "2", // which corrects by itself and may show any figure
	}
	if n > 1 {
		maps.Copy(p.fixed, map[string]string{"control unit": "1", "seconds the unit's display": "40", "volts it shows": "1"})
	} else {
		p.fixed["volts it shows"] = "5" // another: typed
	}
	p.chooses(joint, "weld it")
	p.plays()
}

// ends ends a hold in one of its ways.
func (p *player) ends(joint, how string) {
	p.t.Helper()
	p.fixed = map[string]string{"the hold": how}
	p.passes(time.Hour)
	p.press("right")
	p.takes(joint + " ")
	p.plays()
	p.press("esc")
}

// A screened is one value of a field as a screen stored it, with a weld that has it.
type screened struct{ field, value, weld string }

// storedBy are all values that the welds of a log have, each once, by field.
func storedBy(welds map[string]map[string]string) map[string][]screened {
	all := map[string][]screened{}
	for _, weld := range slices.Sorted(maps.Keys(welds)) {
		for field, value := range welds[weld] {
			met := slices.ContainsFunc(all[field], func(s screened) bool { return s.value == value })
			if field != "joint" && value != "" && !met { // a joint goes by --joint
				all[field] = append(all[field], screened{field, value, weld})
			}
		}
	}
	return all
}

func TestValuesOfTheScreens(t *testing.T) {
	t.Parallel()
	if testing.Short() || raced {
		t.Skip("one thing is done after another here: there is nothing to race")
	}
	s, found := playedForms(t)
	asMade, _ := s.recorded()
	all := storedBy(asMade)
	t.Run("are taken by a correction", func(t *testing.T) { corrected(t, s, all) })
	t.Run("come back as first recorded", func(t *testing.T) { firstAgain(t, s, asMade) })
	t.Run("are taken from paper", func(t *testing.T) { transcribed(t, s, all) })
	t.Run("have one bound", func(t *testing.T) { bounded(t, s, found) })
	t.Run("have one word", func(t *testing.T) { worded(t, s, all) })
}

// corrected corrects each value to the next one of its field.
func corrected(t *testing.T, s *told, all map[string][]screened) {
	for _, field := range slices.Sorted(maps.Keys(all)) {
		values := all[field]
		for i, v := range values {
			next := values[(i+1)%len(values)]
			if next == v {
				t.Logf("%s: the screens store %q alone", field, v.value)
				continue
			}
			if said, code := s.verb("correct", v.weld, field, next.value, "--by", bryn, "--why", "tried"); code != exitDone {
				t.Errorf("%s: a screen stores %.40q, a correction says: %s", field, next.value, strings.TrimSpace(said))
			}
		}
	}
}

// firstAgain wants each weld, first recorded, as it was before it was corrected.
func firstAgain(t *testing.T, s *told, asMade map[string]map[string]string) {
	_, first := s.recorded()
	for _, weld := range slices.Sorted(maps.Keys(asMade)) {
		for _, field := range slices.Sorted(maps.Keys(asMade[weld])) {
			if got, want := first[weld][field], asMade[weld][field]; got != want {
				t.Errorf("%s: %s was first recorded as %q, and comes back as %q", weld, field, want, got)
			}
		}
	}
}

// columnOf is the column of the sheet for a field; false where it has none.
func columnOf(field string) (string, bool) {
	switch named := map[string]string{
		"control unit": "unit", "ambient": "ambient_c", "batch of the coil or pipe": "coil_batch", "pipe print": "print", "scraping method": "method",
		"stopped at": "stopped_at_s", "disturbed": "disturbed_min",
	}; {
	case named[field] != "":
		return named[field], true
	case strings.HasSuffix(field, " after fusion (look 1)"):
		name := strings.TrimSuffix(field, " after fusion (look 1)")
		return name, name != "felt"
	case strings.Contains(field, "(look ") || slices.Contains([]string{"position", "code scanned", "started", "ended", "released"}, field):
		return "", false
	}
	return strings.ReplaceAll(field, " ", "_"), true
}

// A cell is one value on a sheet.
type cell struct{ column, value string }

// sheetOf is a sheet with a row for each cell: welds that were cut out of one joint,
// one after the other.
func sheetOf(t *testing.T, cells []cell) string {
	t.Helper()
	base := cell{"cut_out", "for the next row"}
	columns := []string{"joint", "date", "start", "operator", "outcome", base.column}
	for _, c := range cells {
		if !slices.Contains(columns, c.column) {
			columns = append(columns, c.column)
		}
	}
	var sheet strings.Builder
	w := csv.NewWriter(&sheet)
	rows := [][]string{columns}
	for i, c := range cells {
		row := make([]string, len(columns))
		copy(row, []string{"T.1-cap", "2026-03-16", fmt.Sprintf("%02d:%02d", 8+i/60, i%60), wren, "completed", base.value})
		if c.column == "stopped_at_s" {
			row[4] = "stopped"
		}
		if c.value == "could not" {
			c.value += ": no access"
		}
		row[slices.Index(columns, c.column)] = c.value
		rows = append(rows, row)
	}
	if err := w.WriteAll(rows); err != nil {
		t.Fatal(err)
	}
	return sheet.String()
}

var (
	faultLine = regexp.MustCompile(`(?m)^[^\n]*\.csv:(\d+): (.*)$`)
	takenLine = regexp.MustCompile(`(?m)^(VA-\d+) .* from line (\d+)$`)
)

// typedIn takes a sheet of cells in and gives the weld of each; what is refused is
// given with the reason.
func (s *told) typedIn(name string, cells []cell) (welds, refused map[cell]string) {
	s.t.Helper()
	welds, refused = map[cell]string{}, map[cell]string{}
	said, code := s.verb("transcribe", s.keeps(name, sheetOf(s.t, cells)), "--by", odile)
	at := func(line string) cell {
		n, _ := strconv.Atoi(line)
		if n < 2 {
			s.t.Fatalf("%s: a field has another column, or none: say so in columnOf\n%s", name, said)
		}
		return cells[n-2]
	}
	for _, m := range faultLine.FindAllStringSubmatch(said, -1) {
		refused[at(m[1])] = m[2]
	}
	for _, m := range takenLine.FindAllStringSubmatch(said, -1) {
		welds[at(m[2])] = m[1]
	}
	if len(refused) == 0 && len(welds) != len(cells) {
		s.t.Fatalf("%s: exit code %d:\n%s", name, code, said)
	}
	return welds, refused
}

// transcribed types each value that has a column on the sheet, and wants it back.
func transcribed(t *testing.T, s *told, all map[string][]screened) {
	fields, cells := map[string]string{}, []cell{}
	for _, field := range slices.Sorted(maps.Keys(all)) {
		column, has := columnOf(field)
		for _, v := range all[field] {
			if has {
				fields[column], cells = field, append(cells, cell{column, v.value})
			}
		}
	}
	welds, refused := s.typedIn("first.csv", cells)
	for c, why := range refused {
		t.Errorf("%s: a screen stores %.40q, the sheet says: %s", fields[c.column], c.value, why)
	}
	if len(refused) > 0 { // then nothing was taken in: the rest is tried without them
		cells = slices.DeleteFunc(cells, func(c cell) bool { return refused[c] != "" })
		welds, _ = s.typedIn("rest.csv", cells)
	}
	now, _ := s.recorded()
	for _, c := range cells {
		if got := now[welds[c]][fields[c.column]]; got != c.value {
			t.Errorf("%s: typed as %q it is recorded as %q", fields[c.column], c.value, got)
		}
	}
}

// fieldOfLabel are the fields that the numbers of the forms go to; "" is none that
// can be corrected.
var fieldOfLabel = map[string]string{
	"seconds the unit's display shows": "seconds set", "seconds the unit was set to": "seconds set",
	"the voltage it shows, in figures": "volts set", "volts it showed": "volts set",
	"resistance the unit shows, in Ω": "ohms", "resistance it showed, Ω": "ohms",
	"seconds the unit says it ran": "seconds run", "seconds the unit said it ran": "seconds run",
	"stopped at how many seconds": "stopped at", "how many minutes after the fusion": "disturbed",
	"ambient temperature in °C": "ambient", "port the leg went to": "port",
	"cooling minutes printed on the fitting": "",
}

// bounded wants what is just too large for a screen refused by correction and sheet.
func bounded(t *testing.T, s *told, found map[string][2]string) {
	now, _ := s.recorded()
	labels, cells := map[cell]string{}, []cell{}
	for _, label := range slices.Sorted(maps.Keys(found)) {
		field, known := fieldOfLabel[label]
		if !known {
			t.Errorf("%q is a number that this test does not know", label)
		}
		high, err := strconv.Atoi(found[label][1])
		if err != nil || field == "" {
			continue
		}
		above := strconv.Itoa(high + 1)
		if said, code := s.verb("correct", weldWith(now, field), field, above, "--by", bryn, "--why", "tried"); code != exitRefused {
			t.Errorf("%s: the screen (%s) takes up to %d, a correction takes %s too: %s", field, label, high, above, strings.TrimSpace(said))
		}
		column, _ := columnOf(field)
		if c := (cell{column, above}); labels[c] == "" {
			labels[c], cells = label, append(cells, c)
		}
	}
	_, refused := s.typedIn("above.csv", cells)
	for _, c := range cells {
		if refused[c] == "" {
			t.Errorf("%s: the screen (%s) takes less than %s, the sheet takes it", c.column, labels[c], c.value)
		}
	}
}

// weldWith is a weld that has a value in a field.
func weldWith(welds map[string]map[string]string, field string) string {
	for _, weld := range slices.Sorted(maps.Keys(welds)) {
		if welds[weld][field] != "" {
			return weld
		}
	}
	return ""
}

var saidOptions = regexp.MustCompile(`: write ([^\n]*)`)

// worded wants each option of a correction to be one that a screen stores; not every
// screen asks for "could not look", and no weld here was fused on what is "not yet" done.
func worded(t *testing.T, s *told, all map[string][]screened) {
	for _, field := range slices.Sorted(maps.Keys(all)) {
		said, _ := s.verb("correct", all[field][0].weld, field, "?", "--by", bryn, "--why", "tried")
		m := saidOptions.FindStringSubmatch(said)
		if m == nil {
			continue
		}
		options := strings.Split(strings.ReplaceAll(m[1], " or ", ", "), ", ")
		is := func(option string) bool {
			return slices.ContainsFunc(all[field], func(v screened) bool { return slices.Contains(strings.Split(v.value, ", "), option) })
		}
		if !slices.ContainsFunc(options, is) {
			continue // no choice: it says how a number is written
		}
		for _, o := range options {
			if o != "could not look" && o != "could not feel" && o != "not yet" && !strings.HasPrefix(o, "one a side") && !is(o) {
				t.Errorf("%s: a correction knows %q, which no screen stores", field, o)
			}
		}
	}
}
