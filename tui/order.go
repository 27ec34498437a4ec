package tui

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/charmbracelet/bubbletea"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/ahead"
	"coolhold/tui/form"
	"coolhold/tui/shell"
	"coolhold/tui/walk"
	"coolhold/tui/widget"
)

// order proposes in which order to take the open joints, and says when all
// would be over. Its cursor follows a joint. What is given on it is forgotten
// with it: a proposal is no fact.
type order struct {
	given ahead.OrderGiven
	at    string // label of the chosen joint; "" is the first
}

func newOrder(shell.Env) shell.Screen { return order{} }

func (s order) proposed(env shell.Env) ahead.Order {
	s.given.Failed = env.Failed
	return ahead.OrderOf(env.Book, env.Shelf, env.Site.ID, s.given, env.Now, env.Beat)
}

// Update moves the cursor, begins the chosen joint, or asks for a figure.
func (s order) Update(env shell.Env, msg tea.Msg) shell.Screen {
	key, ok := msg.(tea.KeyMsg)
	if !ok {
		return s
	}
	switch by := shell.Chooses(key); {
	case shell.Is(key, shell.Leave, shell.BackOne):
		env.Do.Pop()
	case by != 0:
		s.at = s.list(env, s.proposed(env).Rows).Move(s.at, by)
	case shell.Is(key, shell.Enter):
		s.begin(env)
	case shell.Digit(key) == orderGround:
		env.Do.Push(orderBasis{of: s})
	case shell.Digit(key) == orderBatch:
		env.Do.Push(newBatch(env))
	default:
		if ask := orderAsks[shell.Digit(key)]; ask != nil {
			env.Do.Push(ask(s))
		}
	}
	return s
}

// orderAsks are the figures that a digit asks for.
var orderAsks = map[int]func(order) shell.Screen{1: order.askClamps, 2: order.askPrepare, 3: order.askAmbient, 4: order.askMoving, 5: order.askUntil}

// orderGround is the digit that shows all of what the order is built on.
const orderGround = 6

// orderBatch is the digit that takes several joints together.
const orderBatch = 7

func (s order) list(env shell.Env, planned []ahead.Planned) widget.List {
	var rows []widget.Row
	columns := []int{3, env.JointColumn(), 15, 4, 8, 11}
	for _, p := range planned {
		if p.Why == "" { // another day stands before the time of day
			columns[5] = max(columns[5], widget.Width(p.Span(env.Now)))
		}
	}
	for i, p := range planned {
		rows = append(rows, widget.Row{Key: p.Joint.Label, Text: func() string { return orderLine(env, i, columns, p) }})
	}
	return env.List(rows)
}

// begin takes the chosen joint, as the board does.
func (s order) begin(env shell.Env) {
	rows := s.proposed(env).Rows
	if len(rows) == 0 || !needShift(env) {
		return
	}
	p := rows[s.list(env, rows).Index(s.at)]
	env.Do.Pop()
	if p.Weld != "" {
		walk.TakeUp(env, env.Weld(p.Weld))
		return
	}
	walk.Begin(env, p.Joint.Label)
}

func (s order) askClamps() shell.Screen {
	return s.number("How many clamp sets there are", "clamp sets; 0: those of the kit, else enough", ahead.MostClamps, "clamp sets", func(g *ahead.OrderGiven, n int) { g.Clamps = n })
}

func (s order) askPrepare() shell.Screen {
	return s.number("How long a joint takes to prepare", "minutes a joint; 0: as measured on this site", ahead.MostPrepareMin, "min", func(g *ahead.OrderGiven, n int) {
		g.Prepare = time.Duration(n) * time.Minute
	})
}

func (s order) askMoving() shell.Screen {
	return s.number("How long it takes from one chamber to the next, or to what lies outside", "minutes a move; 0: not stated", ahead.MostMovingMin, "min", func(g *ahead.OrderGiven, n int) {
		g.Moving = time.Duration(n) * time.Minute
	})
}

func (s order) number(title, label string, most int, unit string, set func(*ahead.OrderGiven, int)) shell.Screen {
	return s.ask(title, form.Field{Label: label, Manner: form.Number, Check: form.Whole(0, most, unit)}, func(g *ahead.OrderGiven, v string) {
		n, _ := strconv.Atoi(v)
		set(g, n)
	})
}

func (s order) askAmbient() shell.Screen {
	f := form.Of(logbook.FieldAmbient)
	f.Label, f.Hint, f.Blank = "ambient temperature in °C", "In °C. Blank: the last reading.", true
	return s.ask("For which ambient temperature the times are", f, func(g *ahead.OrderGiven, v string) {
		g.Ambient = nil
		if c, err := fusion.ParseCelsius(v); err == nil {
			g.Ambient = &c
		}
	})
}

func (s order) askUntil() shell.Screen {
	check := func(v string) (string, error) {
		if _, err := ahead.ParseClock(v); v != "" {
			return v, err
		}
		return v, nil
	}
	f := form.Field{Label: "the day's work ends at", Hint: "As 17:30. Blank: not stated.", Manner: form.Text, Blank: true, Check: check}
	return s.ask("When the day's work ends", f, func(g *ahead.OrderGiven, v string) { g.Until, _ = ahead.ParseClock(v) })
}

// ask asks for one figure and proposes anew.
func (s order) ask(title string, f form.Field, set func(*ahead.OrderGiven, string)) shell.Screen {
	f.Item = "n"
	return form.Ask{
		About: "order",
		Title: title,
		Text:  func(shell.Env) []string { return []string{"For this proposal only: it is not stored."} },
		Form:  form.New([]form.Field{f}),
		Done: func(env shell.Env, a form.Answers) {
			set(&s.given, a.V("n"))
			env.Do.Replace(s)
		},
	}
}

// View draws the forecast, the joints with their times, and what they are built
// on.
func (s order) View(env shell.Env) string {
	o := s.proposed(env)
	lines := []string{env.Style.Bold(widget.Cut(" "+orderTitle(o), env.W))}
	if ahead := o.Ahead(env.Now, "pressure test"); ahead != "" {
		lines = append(lines, widget.Cut(" If all goes on so: "+ahead, env.W))
	}
	for _, l := range o.Lacks() {
		for _, part := range widget.Wrap(logbook.Clean(l), env.W-2) {
			lines = append(lines, " "+part)
		}
	}
	lines = append(lines, "")
	room := env.H - len(lines)
	foot := widget.CutBelow(builtOn(env, o, room-len(o.Rows)), room-min(leastRows, len(o.Rows)), env.W)
	rows := s.list(env, o.Rows).View(s.at, room-len(foot))
	return strings.Join(append(append(lines, rows...), foot...), "\n")
}

// leastRows are the joints that are shown, however long the rest is.
const leastRows = 3

// builtOn is what the order is built on: a line each where there is room, else
// one text.
func builtOn(env shell.Env, o ahead.Order, room int) []string {
	texts := []string{"Built on: " + strings.Join(o.Assumed, "; ") + "."}
	if len(o.Assumed)+2 <= room {
		texts = []string{"Built on:"}
		for _, a := range o.Assumed {
			texts = append(texts, "· "+a)
		}
	}
	lines := []string{""}
	for _, text := range texts {
		for _, l := range widget.Wrap(logbook.Clean(text), env.W-3) {
			lines = append(lines, env.Style.Dim(" "+l))
		}
	}
	return lines
}

func orderTitle(o ahead.Order) string {
	switch len(o.Rows) {
	case 0:
		if n := len(o.Again); n > 0 {
			return fmt.Sprintf("No joint is open. %d to cut out.", n)
		}
		return "No joint is open."
	}
	return "The order proposed: " + logbook.Count(len(o.Rows), "joint") + " left"
}

func orderLine(env shell.Env, i int, columns []int, p ahead.Planned) string {
	when, held := logbook.Clean(p.Why), ""
	if p.Why == "" {
		when = p.Span(env.Now)
		held = "cool " + logbook.UpMinute(p.Held).Format("15:04")
	}
	cells := []string{strconv.Itoa(i + 1), p.Joint.Label, logbook.Clean(p.Fitting), p.Joint.Row, logbook.Clean(p.Unit), when}
	if p.Weld != "" {
		held = strings.TrimSpace(held + "  " + p.Weld)
	}
	if held != "" {
		cells = append(cells, held)
	}
	return strings.TrimRight(widget.Columns(columns, cells...), " ")
}

// Keys are the order's.
func (s order) Keys(shell.Env) shell.Keys {
	return shell.Keys{
		shell.On("Enter", "weld it"), shell.On("7", "batch"), shell.On("1", "clamps"), shell.On("2", "prepare"), shell.On("3", "°C"),
		shell.On("4", "moving"), shell.On("5", "end"), shell.On("6", "built on"), shell.Back, shell.Rest, shell.On("↑↓ PgDn", "choose"),
	}
}

// Topic is that of its page.
func (s order) Topic(shell.Env) string { return "order" }

// Takes wants no scan.
func (s order) Takes(shell.Env) shell.Taking { return shell.NoScan }

// orderBasis is all that a proposed order is built on: what it lacks, what is left
// in the van, and every assumption.
type orderBasis struct {
	of  order
	top widget.Scroll
}

// Update scrolls.
func (s orderBasis) Update(env shell.Env, msg tea.Msg) shell.Screen {
	key, ok := msg.(tea.KeyMsg)
	if !ok {
		return s
	}
	room := env.H - headed
	if shell.Is(key, shell.Leave, shell.BackOne) {
		env.Do.Pop()
		return s
	}
	s.top = s.top.Move(shell.Reads(key, room), len(s.body(env)), room)
	return s
}

func (s orderBasis) body(env shell.Env) []string {
	o := s.of.proposed(env)
	var out []string
	part := func(title string, lines []string) {
		if len(lines) == 0 {
			return
		}
		out = append(out, " "+title)
		for _, l := range lines {
			for i, w := range widget.Wrap("· "+logbook.Clean(l), env.W-4) {
				if i > 0 {
					w = "  " + w
				}
				out = append(out, " "+w)
			}
		}
		out = append(out, "")
	}
	part("Assumed or given:", o.Assumed)
	part("Left out, short or not known:", o.Lacks())
	var van []string
	for _, v := range o.Stock {
		van = append(van, v.String())
	}
	part("Fittings for the open joints:", van)
	return out[:max(0, len(out)-1)]
}

// View draws it.
func (s orderBasis) View(env shell.Env) string {
	lines := []string{env.Style.Bold(widget.Cut(" What the order is built on", env.W)), ""}
	return strings.Join(append(lines, s.top.View(s.body(env), env.H-headed, env.Style.Dim)...), "\n")
}

// Keys are the text's.
func (s orderBasis) Keys(shell.Env) shell.Keys {
	return shell.Keys{shell.On("↑↓ PgDn", "read"), shell.Back}
}

// Topic is that of its page.
func (s orderBasis) Topic(shell.Env) string { return "basis" }

// Takes wants no scan.
func (s orderBasis) Takes(shell.Env) shell.Taking { return shell.NoScan }
