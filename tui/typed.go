package tui

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/tui/form"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// A part is one thing that is typed in: its questions, then every answer shown back,
// then taken with one key. Nothing that was typed is lost by being wrong: it stands,
// what is wrong with it is said, and one line is changed at a time.
type part struct {
	title  string
	text   string                           // above the questions
	fields func(form.Answers) []form.Field  // by what was answered so far; their number never changes
	wrong  func(form.Answers) []mistake     // what cannot be taken so
	shows  func(form.Answers, int) []string // what comes of it, in so many columns; nil: nothing beside the lines
	yes    string                           // what 1 does once all is answered
	loses  string                           // what is dropped besides by leaving; "" for nothing
	last   string                           // of the first question: the answer that ends the part at once; "" for none

	form form.Form
	at   string // the line that is chosen, when all is shown back
	one  bool   // one line is being changed
	was  form.Answers
	left bool // Esc was pressed once
	top  widget.Scroll
	say  string
}

// A mistake is what is wrong in what was typed, and the answer that it lies in; "" is
// none alone.
type mistake struct{ item, what string }

// An event is what a key came to in a part.
type event int

const (
	goesOn event = iota
	taken
	dropped
)

// begin is the part at its first question.
func (p part) begin() part {
	p.form = form.New(p.fields(form.Answers{}))
	return p
}

// with is the part with answers that stand, at what is not answered yet.
func (p part) with(a form.Answers) part {
	p.form = onward(form.Again(p.fields(a), maps.Clone(a)))
	return p
}

// onward is the form at what is not answered yet.
func onward(f form.Form) form.Form {
	for {
		field, asked := f.Field()
		if _, had := f.Given[field.Item]; !asked || !had {
			return f
		}
		f, _ = f.Update(tea.KeyMsg{Type: tea.KeyEnter})
	}
}

func (p part) given() form.Answers { return p.form.Given }

// back tells whether all is answered and shown back.
func (p part) back() bool { return p.form.Done() }

// ended tells whether the first answer ends the part.
func (p part) ended() bool {
	return p.last != "" && p.given().V(p.form.Fields[0].Item) == p.last
}

// Update takes a key or a scan.
func (p part) Update(msg tea.Msg, w, h int) (part, event) {
	key, isKey := msg.(tea.KeyMsg)
	if isKey {
		p.say = ""
		if shell.Is(key, shell.Leave) {
			return p.leave()
		}
		if p.left { // it says only that it goes on
			p.left = false
			return p, goesOn
		}
	}
	switch {
	case p.back() && isKey:
		return p.readBack(key, w, h)
	case p.back():
		return p, goesOn
	case shell.Is(msg, shell.BackOne) && p.form.Empty() && !p.one:
		p.form = p.form.Back()
		return p, goesOn
	}
	f, came := p.form.Update(msg)
	if f.Fields = p.fields(f.Given); p.one { // its own field alone
		f.Fields = p.form.Fields
	}
	p.form = f
	switch {
	case came == form.Nothing:
		return p, goesOn
	case p.one:
		return p.changed(), goesOn
	}
	p.form = onward(f)
	switch {
	case p.ended():
		return p, taken
	case p.back():
		p = p.toMistake()
	}
	return p, goesOn
}

// leave drops the part where nothing was typed; else Esc is needed twice.
func (p part) leave() (part, event) {
	switch {
	case p.one:
		return p.undone(), goesOn
	case p.left, p.loses == "" && !p.typed():
		return p, dropped
	}
	p.left = true
	return p, goesOn
}

// typed tells whether anything was typed here.
func (p part) typed() bool { return len(p.given()) > 0 || !p.form.Empty() }

// readBack answers the keys while all is shown back.
func (p part) readBack(key tea.KeyMsg, w, h int) (part, event) {
	switch {
	case shell.Digit(key) == 1:
		if bad := p.mistakes(); len(bad) > 0 {
			p.say = "not taken: " + bad[0].what
			return p.toMistake(), goesOn
		}
		if p.unread(w, h) > 0 {
			p.say = "first read what comes of it to its end: PgDn"
			return p, goesOn
		}
		return p, taken
	case shell.Is(key, shell.Enter):
		return p.change(), goesOn
	case shell.Is(key, shell.BackOne):
		p.form = p.form.Back()
	case shell.Steps(key, 1) != 0:
		p = p.reads(key, w, h)
	}
	return p, goesOn
}

// reads moves in the answers, and behind the last of them in what comes of them; the page
// keys do so at once.
func (p part) reads(key tea.KeyMsg, w, h int) part {
	_, beside, rest := p.panes(w, h-1)
	list := p.list(w)
	keys, by := list.Keys(), shell.Steps(key, max(1, rest-1))
	last := len(keys) > 0 && list.Index(p.at) == len(keys)-1
	switch {
	case rest > 0 && (by > 1 || by < -1 || by > 0 && last || by < 0 && p.top > 0):
		p.top = p.top.Move(by, len(beside), rest)
	case shell.Is(key, shell.Up, shell.Down):
		p.at = list.Move(p.at, by)
	}
	return p
}

// unread is how many lines of what comes of the answers were not shown yet.
func (p part) unread(w, h int) int {
	if _, beside, rest := p.panes(w, h-1); rest > 0 {
		return p.top.Below(len(beside), rest)
	}
	return 0
}

// panes are the heights of the read-back in so many lines: of the answers, and of what
// comes of them, which is read to its end before it is taken.
func (p part) panes(w, height int) (rows int, beside []string, rest int) {
	bad := p.mistakes()
	list := p.list(w)
	room := height - len(wrongLines(p.say, bad, w)) - len(inFull(list, p.at, w)) - 2
	if len(bad) == 0 {
		beside = p.beside(w)
	}
	rows = min(len(list.Rows), max(room/2, room-len(beside)-1))
	if rest = room - rows - 1; len(beside) == 0 {
		rest = 0
	}
	return rows, beside, rest
}

// wrongLines is what is wrong, in so many columns.
func wrongLines(say string, bad []mistake, w int) []string {
	var lines []string
	for _, l := range said(say, bad) {
		for i, part := range widget.Wrap(logbook.Clean(l), w-4) {
			mark := "  ! "
			if i > 0 {
				mark = "    "
			}
			lines = append(lines, mark+part)
		}
	}
	return lines
}

// change opens the chosen line alone.
func (p part) change() part {
	i := slices.IndexFunc(p.form.Fields, func(f form.Field) bool { return f.Item == p.at })
	if i < 0 {
		return p
	}
	p.was, p.one = p.given(), true
	field := p.form.Fields[i]
	field.Skip = nil
	p.form = form.Again([]form.Field{field}, maps.Clone(p.was))
	return p
}

// changed is the part after one line was changed: what that asks besides is asked.
func (p part) changed() part {
	p.one, p.top = false, 0
	p = p.with(p.given())
	if p.back() {
		p = p.toMistake()
	}
	return p
}

func (p part) undone() part {
	p.one = false
	return p.with(p.was)
}

func (p part) mistakes() []mistake {
	if p.wrong == nil {
		return nil
	}
	return p.wrong(p.asked())
}

// asked are the answers of the questions that are asked as things stand: a line that
// was changed may have taken others away.
func (p part) asked() form.Answers {
	out := form.Answers{}
	for _, f := range p.form.Fields {
		if a, had := p.given()[f.Item]; had && (f.Skip == nil || !f.Skip(p.given())) {
			out[f.Item] = a
		}
	}
	return out
}

// toMistake moves the cursor to the first line that is wrong.
func (p part) toMistake() part {
	for _, m := range p.mistakes() {
		if slices.Contains(p.list(80).Keys(), m.item) {
			p.at = m.item
			break
		}
	}
	return p
}

// list is every answer, a line each.
func (p part) list(w int) widget.List {
	var rows []widget.Row
	asked, wide := p.asked(), 0
	for _, f := range p.form.Fields {
		if _, had := asked[f.Item]; had {
			wide = max(wide, widget.Width(logbook.Clean(f.Label)))
		}
	}
	for _, f := range p.form.Fields {
		a, had := asked[f.Item]
		if !had {
			continue
		}
		v := a.V
		if f.Says != nil {
			v = f.Says(v)
		}
		rows = append(rows, widget.Row{Key: f.Item, Text: func() string {
			return widget.Pad(logbook.Clean(f.Label), min(wide, w*3/5)) + "  " + logbook.Clean(cmp.Or(v, "-"))
		}})
	}
	return widget.List{Rows: rows}
}

func (p part) beside(w int) []string {
	if p.shows == nil {
		return nil
	}
	return p.shows(p.asked(), w)
}

// View draws the question that is asked, or all that was answered.
func (p part) View(env shell.Env) string {
	lines := []string{env.Style.Bold(widget.Cut(" "+logbook.Clean(p.title), env.W))}
	if p.left {
		what := "what is typed here"
		if !p.typed() {
			what = p.loses
		}
		lines = append(lines, "")
		for _, l := range widget.Wrap("Esc again drops "+logbook.Clean(what)+". Enter goes on.", env.W-2) {
			lines = append(lines, env.Style.Warn(" "+l))
		}
		return strings.Join(lines, "\n")
	}
	if !p.back() {
		for _, l := range widget.Wrap(p.text, env.W-2) {
			if l != "" && env.H >= 14 {
				lines = append(lines, " "+l)
			}
		}
		lines = append(lines, "")
		return strings.Join(append(lines, p.form.View(env.Style, env.W, env.H-len(lines))), "\n")
	}
	return strings.Join(append(lines, p.shown(env, env.H-1)...), "\n")
}

// shown is the read-back: what is wrong, each line, what comes of it, and what 1 does.
func (p part) shown(env shell.Env, height int) []string {
	bad := p.mistakes()
	var lines []string
	for _, l := range wrongLines(p.say, bad, env.W) {
		lines = append(lines, env.Style.Warn(l))
	}
	rows, beside, rest := p.panes(env.W, height)
	list := p.list(env.W)
	foot := append(inFull(list, p.at, env.W), env.Style.Bold(widget.Cut(" "+shownBack(p.yes, len(bad)), env.W)))
	list.Width, list.Pick, list.Dim = env.W, env.Style.Pick, env.Style.Dim
	lines = append(lines, list.View(p.at, rows)...)
	if rest > 0 {
		lines = append(append(lines, ""), p.top.View(beside, rest, env.Style.Dim)...)
	}
	return append(lines, foot...)
}

// said is what is wrong in a few lines.
func said(say string, bad []mistake) []string {
	switch {
	case say != "":
		return []string{say}
	case len(bad) > 1:
		return []string{bad[0].what, fmt.Sprintf("and %d more", len(bad)-1)}
	case len(bad) == 1:
		return []string{bad[0].what}
	}
	return nil
}

// inFull is the chosen line where it has no room in the list.
func inFull(list widget.List, at string, w int) []string {
	var lines []string
	if i := list.Index(at); i < len(list.Rows) && widget.Width(list.Rows[i].Text()) > w-4 {
		for _, l := range widget.Wrap(list.Rows[i].Text(), w-4) {
			lines = append(lines, "   "+l)
		}
	}
	return lines
}

func shownBack(yes string, wrong int) string {
	if wrong > 0 {
		return "Enter: change the line that is wrong (marked)  ↑↓: another"
	}
	return "1: " + yes + "   ↑↓ Enter: change a line"
}

// Keys are what can be pressed here.
func (p part) Keys(env shell.Env) shell.Keys {
	if p.left {
		return shell.Keys{shell.On("Esc", "drop it"), shell.On("Enter or digit", "go on")}
	}
	if p.back() {
		_, beside, rest := p.panes(env.W, env.H-1)
		return shell.Keys{
			shell.When(len(p.mistakes()) == 0, shell.On("1", "yes")), shell.On("↑↓", "a line"), shell.When(len(beside) > rest, shell.On("PgUp PgDn", "read on")),
			shell.On("Enter", "change"), shell.BackOne, shell.On("Esc", "drop"),
		}
	}
	return append(p.form.Keys(), shell.BackOne, shell.Leave)
}

// Takes is the present question's wish.
func (p part) Takes() shell.Taking {
	if p.back() || p.left {
		return shell.NoScan
	}
	return p.form.Takes()
}

// wholeIn is form.Within for a whole number.
func wholeIn(in fusion.Bounds) func(string) (string, error) {
	return func(s string) (string, error) {
		if s == "" {
			return "", nil
		}
		return form.Whole(int(in.Low), int(in.High), in.Unit)(s)
	}
}

// figures are those of a line, with blanks, points of a list or an x between.
func figures(s string) []string {
	return strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == ';' || r == '/' || r == 'x' || r == '+' })
}

// listOf checks for figures with blanks between, each as check wants it; so many, or
// any number of them where none is wanted.
func listOf(check func(string) (string, error), counts ...int) func(string) (string, error) {
	return func(s string) (string, error) {
		var out []string
		for _, f := range figures(s) {
			v, err := check(strings.ReplaceAll(f, ",", "."))
			if err != nil {
				return "", err
			}
			out = append(out, v)
		}
		if len(counts) > 0 && !slices.Contains(counts, len(out)) {
			return "", fmt.Errorf("%d figures are given, %s needed: write them with a blank between", len(out), either(counts))
		}
		return strings.Join(out, " "), nil
	}
}

// either is "1 is" or "1 or 5 are".
func either(counts []int) string {
	var parts []string
	for _, n := range slices.Compact(counts) {
		parts = append(parts, strconv.Itoa(n))
	}
	if len(parts) == 1 && parts[0] == "1" {
		return "1 is"
	}
	return strings.Join(parts, " or ") + " are"
}

func ints(s string) []int {
	var out []int
	for _, f := range figures(s) {
		if n, err := strconv.Atoi(f); err == nil {
			out = append(out, n)
		}
	}
	return out
}

// intOf is a figure that was given, nil where none was.
func intOf(a form.Answers, item string) *int {
	n, err := strconv.Atoi(a.V(item))
	if err != nil {
		return nil
	}
	return &n
}

// numOf is intOf for any figure.
func numOf(a form.Answers, item string) *float64 {
	x, err := strconv.ParseFloat(a.V(item), 64)
	if err != nil {
		return nil
	}
	return &x
}

// unless skips a question while something is not so.
func unless(asked bool) func(form.Answers) bool { return func(form.Answers) bool { return !asked } }
