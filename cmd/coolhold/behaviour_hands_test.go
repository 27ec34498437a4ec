package main

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
)

// What a crew does at the keys, by what stands on the screen.

// sees wants texts on the screen.
func (b *hand) sees(texts ...string) {
	b.t.Helper()
	for _, text := range texts {
		if !strings.Contains(b.frame(), text) {
			b.t.Fatalf("%q is not on the screen:\n%s", text, b.frame())
		}
	}
}

// answers gives the present field one key after another.
func (b *hand) answers(label string, keys ...string) {
	b.t.Helper()
	b.sees("▸ " + label)
	b.press(keys...)
}

// types gives the present field a text.
func (b *hand) types(label, text string) {
	b.t.Helper()
	b.sees("▸ " + label)
	b.write(text)
}

// write types a text and Enter, three runes at a stroke: more at once would be a
// scanner's.
func (b *hand) write(text string) {
	b.t.Helper()
	for runes := range slices.Chunk([]rune(text), 3) {
		b.press(string(runes))
	}
	b.press("enter")
}

// boardRow is a joint on the board, marked where the cursor is.
var boardRow = regexp.MustCompile(`(?m)^ ([▸ ]) (\S+) `)

// opens moves the cursor of the board to a joint and opens it.
func (b *hand) opens(joint string) {
	b.t.Helper()
	from, to := -1, -1
	for i, row := range boardRow.FindAllStringSubmatch(b.frame(), -1) {
		if row[1] == "▸" {
			from = i
		}
		if row[2] == joint {
			to = i
		}
	}
	if from < 0 || to < 0 {
		b.t.Fatalf("no way to %s:\n%s", joint, b.frame())
	}
	for ; from < to; from++ {
		b.press("down")
	}
	for ; from > to; from-- {
		b.press("up")
	}
	b.press("enter")
}

// chooses opens a joint and takes the line of its menu that says what.
func (b *hand) chooses(joint, what string) {
	b.t.Helper()
	b.opens(joint)
	b.takes(what)
}

// takes presses the digit of the line that begins with what.
func (b *hand) takes(what string) {
	b.t.Helper()
	line := regexp.MustCompile(`(?m)^[ ▸]+(\d)  ` + regexp.QuoteMeta(what)).FindStringSubmatch(b.frame())
	if line == nil {
		b.t.Fatalf("%q is not offered:\n%s", what, b.frame())
	}
	b.press(line[1])
}

// A making is how one weld is made in the walk. What is "" is taken as offered,
// or not asked.
type making struct {
	joint, who, unit          string // who and unit: their digits
	port, batch, print        string
	coil, stub, place, bag    string
	method, ambient, mode     string
	seconds, volts, ohms, run string
	look                      []string
}

// makes makes a weld from its number to what is written on the pipe.
func (b *hand) makes(m making) {
	b.t.Helper()
	b.begins(m)
	b.fits(m)
	b.prepares(m)
	b.measures(m)
	b.sets(m)
	b.fuses(m)
}

// welded is the usual weld in a joint, to be changed where it went otherwise.
func welded(joint string, change ...func(*making)) making {
	m := making{
		joint: joint, who: "1", unit: "1", batch: "SR-40-11", print: "1", coil: "coil 7712", stub: "stub D2",
		method: "1", mode: "1", seconds: "40", volts: "39.5", ohms: "2.44", run: "40", look: []string{"1", "1", "1", "1", "1", "1"},
	}
	for _, c := range change {
		c(&m)
	}
	return m
}

func (b *hand) begins(m making) {
	b.t.Helper()
	b.chooses(m.joint, "weld it")
	if strings.Contains(b.frame(), "shares its pipe with") {
		b.press("2") // all the same
	}
	if m.who != "" {
		b.answers("who welds", m.who)
	}
	if m.unit != "" {
		b.answers("control unit", m.unit)
	}
}

// cardLine is a line of the card as last time: its digit, what it is, what it has.
var cardLine = regexp.MustCompile(`(?m)^ +(\d)  (fitting batch|batch of the coil or pipe|stub batch) +(.*?)   as last time`)

// carries changes what is otherwise than last time.
func (b *hand) carries(m making) {
	b.t.Helper()
	wanted := map[string]string{"fitting batch": m.batch, "batch of the coil or pipe": m.coil, "stub batch": m.stub}
	for _, line := range cardLine.FindAllStringSubmatch(b.frame(), -1) {
		if line[3] != wanted[line[2]] {
			b.press(line[1])
			b.write(wanted[line[2]])
		}
	}
}

func (b *hand) fits(m making) {
	b.t.Helper()
	b.sees("▸ fitting, as printed on the bag")
	b.carries(m)
	b.answers("fitting, as printed on the bag", "enter")
	for range 7 {
		switch frame := b.frame(); {
		case strings.Contains(frame, "▸ port this leg goes to"):
			b.press(m.port)
		case strings.Contains(frame, "▸ number of the port"):
			b.write(m.port)
		case strings.Contains(frame, "▸ batch of the fitting"):
			b.write(m.batch)
		case strings.Contains(frame, "▸ print on the pipe"):
			b.press(m.print)
		case strings.Contains(frame, "▸ batch of the coil"):
			b.write(m.coil)
		case strings.Contains(frame, "▸ batch of the chamber's stubs"):
			b.write(m.stub)
		case strings.Contains(frame, "▸ position"):
			b.write(m.place)
		}
	}
}

// prepares says that all is done but what was marked, and what it was scraped with.
func (b *hand) prepares(m making) {
	b.t.Helper()
	b.sees("0  all done")
	word := map[string]string{"1": "rotary scraper", "2": "hand scraper"}[m.method]
	for _, end := range []string{"3", "4"} {
		if regexp.MustCompile(`(?m)^  `+end+`  .*as last time`).MatchString(b.frame()) && !regexp.MustCompile(`(?m)^  `+end+`  .*`+word+`, as last time`).MatchString(b.frame()) {
			b.press(end, "1", m.method)
		}
	}
	b.press("0")
	if strings.Contains(b.frame(), "▸ scraped with") {
		b.press(m.method)
	}
}

// measures gives the ambient temperature; "" confirms the last one.
func (b *hand) measures(m making) {
	b.t.Helper()
	if m.ambient == "" {
		b.sees("still ")
		b.press("space")
	} else {
		b.types("ambient temperature in °C", m.ambient)
	}
	if strings.Contains(b.frame(), "▸ this bag prints") {
		b.press(m.bag)
	}
}

func (b *hand) sets(m making) {
	b.t.Helper()
	b.keyed(m.mode)
	b.display(m.seconds, m.volts)
	b.types("resistance the unit shows", m.ohms)
}

// keyed says how the unit is set, where that is not as last time, and that it is.
func (b *hand) keyed(mode string) {
	b.t.Helper()
	if strings.Contains(b.frame(), "▸ the unit's time is") {
		b.press(mode)
	}
	b.sees("Enter: it is in the unit")
	b.press("enter")
}

func (b *hand) display(seconds, volts string) {
	b.t.Helper()
	b.types("seconds the unit's display shows", seconds)
	b.answers("volts it shows", voltsKeys(volts)...)
}

// figure types a figure, or says with the space bar that there is none.
func (b *hand) figure(label, v string) {
	b.t.Helper()
	if v != "" {
		b.types(label, v)
		return
	}
	b.sees("▸ " + label)
	b.press("space")
}

func (b *hand) fuses(m making) {
	b.t.Helper()
	b.answers("start", "1")
	b.sees("Fusing:")
	ran, _ := time.ParseDuration(m.seconds + "s")
	b.passes(ran + time.Second)
	b.answers("how the fusion ended", "1")
	b.looks(m)
}

// looks is what follows a fusion that was completed.
func (b *hand) looks(m making) {
	b.t.Helper()
	b.types("seconds the unit says it ran", m.run)
	if m.run != m.seconds {
		b.sees(m.run + " s beside " + m.seconds + " s set: read it again")
		b.write(m.run)
	}
	b.passes(15 * time.Second)
	b.sees("▸ melt, wire, marks, in line")
	b.press(lookKeys(m.look[0], m.look[1], m.look[2:]...)...)
	b.sees("Write on the pipe:")
	b.press("enter")
}

// releases ends a hold that is over: felt, then each indicator.
func (b *hand) releases(joint string, seen ...string) {
	b.t.Helper()
	b.press("right")
	b.sees("What runs and what waits")
	b.takes(joint + " ")
	b.sees("▸ the hold")
	b.press(lookKeys(seen[1], seen[2], "1", seen[0])...) // held to the end; felt
	b.press("esc")
}

// picks goes down a list to an option that has no digit.
func (b *hand) picks(option string) {
	b.t.Helper()
	for range 100 {
		b.press("down")
		if strings.Contains(b.frame(), "▸ ") && regexp.MustCompile(`(?m)^  ▸ .  `+regexp.QuoteMeta(option)+` *$`).MatchString(b.frame()) {
			b.press("enter")
			return
		}
	}
	b.t.Fatalf("%q is not offered:\n%s", option, b.frame())
}

// goesRound feels and looks at the welds of a shift, each as said, and closes it.
func (b *hand) goesRound(welds ...[]string) {
	b.t.Helper()
	b.press("3")
	for _, seen := range welds {
		b.sees("▸ felt by hand")
		b.press(lookKeys(seen[1], seen[2], seen[0])...)
		b.passes(20 * time.Second)
	}
	b.sees(": 0 to feel and look at")
	b.press("9")
	b.answers("close the shift", "1")
}

// reads opens the page of a weld from its day.
func (b *hand) reads(weld string) {
	b.t.Helper()
	b.press("9")
	for range 9 {
		if !strings.Contains(b.frame(), " "+weld+" ") {
			b.press("1") // the day before
		}
	}
	for range 99 {
		if regexp.MustCompile(`(?m)^ ▸ \S+ +` + weld + ` `).MatchString(b.frame()) {
			b.press("enter")
			return
		}
		b.press("down")
	}
	b.t.Fatalf("%s is on no day:\n%s", weld, b.frame())
}

// corrects chooses one value of a weld, on its page.
func (b *hand) corrects(field string) {
	b.t.Helper()
	b.press("5")
	row := regexp.MustCompile(`(?m)^[ ▸]+(\d+)  ` + regexp.QuoteMeta(field)).FindStringSubmatch(b.frame())
	if row == nil {
		b.t.Fatalf("%q cannot be corrected:\n%s", field, b.frame())
	}
	for _, digit := range row[1] {
		b.press(string(digit))
	}
	b.press("enter")
}

// signs gives a name and a reason.
func (b *hand) signs(by, why string) {
	b.t.Helper()
	b.types("your name", by)
	b.write(why)
}

// voltsKeys are the keys of a voltage: of the usual ones its digit.
func voltsKeys(volts string) []string {
	if i := slices.Index([]string{"39.5", "40"}, volts); i >= 0 {
		return []string{strconv.Itoa(i + 1)}
	}
	if volts == "" {
		return []string{"6"}
	}
	return append(strings.Split(volts, ""), "enter")
}

// lookKeys are the keys of a look: the digit of each indicator, then of melt, wire, marks
// and line as far as they were answered one by one; 0 is for what is as it should be.
func lookKeys(one, other string, eyes ...string) (keys []string) {
	for i, digit := range eyes {
		if digit != "1" {
			keys = append(keys, strconv.Itoa(i+1), digit)
		}
	}
	keys = append(keys, "0")
	if one == other {
		return append(keys, one)
	}
	return append(keys, "6", one, other)
}
