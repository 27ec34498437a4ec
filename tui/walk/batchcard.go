package walk

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/tui/form"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// batchCard is the card of one joint of a batch. One key says all of it, of this joint
// alone: where its leg goes to a port, the key is the number of that port, which is read
// on the stub. Nothing of it is stored before that key.
type batchCard struct {
	batch
	joint string
	form  form.Form // of the port
	doubt string    // a port that is not the plan's, said once
}

// prepares is what asks for the preparation of a joint: its card, where everything else
// on it is as at the joint before, else the walk.
func (b batch) prepares(env shell.Env, label string) shell.Screen {
	s := batchCard{batch: b, joint: label}
	c := s.ctx(env)
	if c.j.Walk == "" && s.can(c) {
		s.form = s.asks(c)
		return s
	}
	return s.walks(env)
}

// ctx is the joint with a weld that is not begun.
func (s batchCard) ctx(env shell.Env) ctx {
	c := ctx{Env: env, j: env.Joint(s.joint)}
	c.w = logbook.Weld{Site: env.Site.ID, Joint: s.joint, Operator: s.operator, Unit: s.unit, Card: logbook.ThisCard}
	c.w.Answers = map[string]logbook.Answer{}
	if fitting := planned(c); fitting != "" {
		c.w.Answers[logbook.ItemFitting] = logbook.Answer{Item: logbook.ItemFitting, V: fitting, How: logbook.Offered}
	}
	return c
}

// asks is what the card cannot say: the batch of a coil that nobody has read yet, and the
// port.
func (s batchCard) asks(c ctx) form.Form {
	var fields []form.Field
	if s.readsPipe(c) {
		fields = append(fields, fittingField(c, logbook.ItemPipeBatch))
	}
	if logbook.AsksPort(c.j) {
		fields = append(fields, portField(c, form.Of(logbook.ItemPort)))
	}
	return form.New(fields)
}

// readsPipe tells whether the batch of the coil is read here: on this pipe nobody did.
func (s batchCard) readsPipe(c ctx) bool {
	return logbook.AsksPort(c.j) && slices.Contains(logbook.FittingItems(c.j), logbook.ItemPipeBatch) && ahead.Carries(c.Book, c.w, logbook.ItemPipeBatch) == ""
}

// can tells whether the card can say everything.
func (s batchCard) can(c ctx) bool {
	_, open := ahead.PipeHeld(c.Book, c.j, c.Now, c.Beat)
	_, unknown := methods(c)
	return !open && len(unknown) == 0 && len(s.fitting(c)) == len(logbook.FittingItems(c.j))-boolInt(logbook.AsksPort(c.j))-boolInt(s.readsPipe(c))
}

func boolInt(b bool) int {
	if b {
		return 1
	}
	return 0
}

// fitting are the answers of the fitting step that the card gives, as far as they are
// known: the plan's fitting, batches as at the last joint of their kind, the print.
func (s batchCard) fitting(c ctx) []logbook.Answer {
	var answers []logbook.Answer
	for _, item := range logbook.FittingItems(c.j) {
		a := logbook.Answer{Item: item, How: logbook.Offered}
		switch item {
		case logbook.ItemFitting:
			a.V = c.w.Fitting()
		case logbook.ItemBatch, logbook.ItemPipeBatch, logbook.ItemStubBatch:
			a.V, a.How = ahead.Carries(c.Book, c.w, item), logbook.Carried
		case logbook.ItemPrint:
			a.V, a.How = logbook.AsPlanned, logbook.Typed
		}
		if a.V != "" {
			answers = append(answers, a)
		}
	}
	return answers
}

// told are the answers of the fitting step, with what was read on the pipe.
func (s batchCard) told(c ctx) []logbook.Answer {
	answers := s.fitting(c)
	if read, is := s.form.Given[logbook.ItemPipeBatch]; is {
		answers = append(answers, acts.WithTrace(read)...)
	}
	return answers
}

// lines are the preparation, every line of it done.
func (s batchCard) lines(c ctx) []logbook.Answer {
	var answers []logbook.Answer
	for _, p := range logbook.PrepItems {
		a := logbook.Answer{Item: p.Item, V: logbook.Done, How: logbook.Typed}
		if p.Item == logbook.ItemScraped2 && endsOf(c) == 1 {
			a.V, a.How = logbook.NoSuch, logbook.Computed
		}
		answers = append(answers, a)
	}
	with, _ := methods(c)
	return append(answers, with...)
}

// Update takes the one key.
func (s batchCard) Update(env shell.Env, msg tea.Msg) shell.Screen {
	c := s.ctx(env)
	switch {
	case shell.Is(msg, shell.BackOne) && !s.form.AtFirst() && !s.form.InText():
		s.form = s.form.Back()
	case shell.Is(msg, shell.Leave), shell.Is(msg, shell.BackOne) && !s.form.InText():
		env.Do.Pop()
	case shell.Is(msg, shell.Enter) && s.empty():
		env.Do.Replace(s.walks(env))
	case !logbook.AsksPort(c.j):
		if shell.Digit(msg) == 0 {
			s.prepared(c, nil)
		}
	default:
		f, event := s.form.Update(msg)
		if s.form = f; event == form.Complete {
			port := f.Given[logbook.ItemPort]
			s.form = f.Anew(logbook.ItemPort) // where it is refused another is asked
			if port.V != fmt.Sprint(c.j.Port) && port.V != s.doubt {
				s.doubt = port.V
				env.Do.Say(fmt.Sprintf("port %s, the plan says %d: read the stub; the same once more if %s goes there", port.V, c.j.Port, s.joint))
				return s
			}
			s.prepared(c, &port)
		}
	}
	return s
}

// empty tells whether Enter is no answer to what is asked: no figure of a port is typed.
func (s batchCard) empty() bool {
	f, asks := s.form.Field()
	return !asks || f.Item != logbook.ItemPipeBatch && (f.Manner == form.Choice || s.form.Empty())
}

// prepared stores what the key said, and goes on.
func (s batchCard) prepared(c ctx, port *logbook.Answer) {
	h := c.Head()
	h.By = s.operator
	act := acts.PrepareInBatch(h, s.joint, acts.Preparation{Operator: s.operator, Unit: s.unit, Fitting: s.told(c), Port: port, Card: s.lines(c)}, c.Beat)
	if _, err := act(c.Book); err != nil {
		c.Do.Say(err.Error()) // its card stays
		return
	}
	c.Do.By(s.operator)
	c.Do.Save(h, s.joint+" prepared", act)
	s.batch.goOn(c.Env)
}

// walks is the walk of a joint of a batch, where its card does not do.
func (s batchCard) walks(env shell.Env) shell.Screen {
	env.Do.By(s.operator)
	env.By = s.operator
	h := env.Head()
	if id := env.Joint(s.joint).Walk; id != "" {
		env.Do.Save(h, "walk resumed", resumes(env, h, env.Weld(id)))
		return Walk{joint: s.joint, weld: id, batch: s.batch}
	}
	env.Do.Save(h, "weld begun", acts.BeginWeld(h, s.joint, s.operator, s.unit))
	return Walk{joint: s.joint, asked: h.ID, batch: s.batch}
}

// Topic is that of its page.
func (s batchCard) Topic(shell.Env) string { return "batch" }

// View draws the card.
func (s batchCard) View(env shell.Env) string {
	c := s.ctx(env)
	head := fmt.Sprintf("%s   %s", c.j.Label, logbook.Clean(c.w.Fitting()))
	if c.j.Tape != "" {
		head += "   " + logbook.Clean(c.j.Tape) + " tape"
	}
	if n := len(s.rest); n > 0 {
		head += fmt.Sprintf("   then %d more of the batch", n)
	}
	lines := []string{env.Style.Bold(widget.Cut(head, env.W))}
	lines = append(lines, wrapped("One key says all of this, of "+c.j.Label+" alone:", env.W)...)
	room := env.H - len(lines) - leastOfPort
	if all := append(s.full(c), s.card(c, false)...); len(all) <= room {
		lines = append(lines, all...)
	} else {
		lines = append(lines, append(s.short(c), s.card(c, true)...)...)
	}
	if logbook.AsksPort(c.j) {
		return strings.Join(append(lines, s.form.View(env.Style, env.W, env.H-len(lines))), "\n")
	}
	return strings.Join(append(lines, "", env.Style.Bold("  0  all of it is so: prepared and clamped")), "\n")
}

// leastOfPort are the rows that the question of the port needs.
const leastOfPort = 6

// full are the answers of the card, a line each.
func (s batchCard) full(c ctx) (lines []string) {
	for _, a := range s.fitting(c) {
		lines = append(lines, widget.Cut(fmt.Sprintf("   %s %s", widget.Pad(logbook.NameOf(a.Item), 25), s.words(c, a)), c.W))
		if widget.Width(lines[len(lines)-1]) >= c.W {
			return s.short(c) // no word of it may be cut
		}
	}
	return lines
}

// short are the same in one text, for a small window.
func (s batchCard) short(c ctx) (lines []string) {
	var parts []string
	for _, a := range s.fitting(c) {
		parts = append(parts, logbook.NameOf(a.Item)+" "+s.words(c, a))
	}
	for _, l := range widget.Wrap(strings.Join(parts, "; "), c.W-4) {
		lines = append(lines, "   "+l)
	}
	return lines
}

// words are an answer of the card, and what it rests on.
func (s batchCard) words(c ctx, a logbook.Answer) string {
	switch a.Item {
	case logbook.ItemFitting:
		return logbook.Clean(a.Words()) + ", as planned"
	case logbook.ItemPrint:
		return "as planned: " + logbook.Clean(c.j.PipeLine())
	}
	return logbook.Clean(a.Words()) + ", as last time"
}

// card is the preparation in as few lines as it takes.
func (s batchCard) card(c ctx, short bool) []string {
	var parts []string
	for _, p := range logbook.PrepItems {
		switch {
		case p.Item == logbook.ItemScraped2 && endsOf(c) == 1:
		case short:
			parts = append(parts, p.Name)
		default:
			parts = append(parts, cardLabel(c, p))
		}
	}
	said, _ := methods(c)
	var with []string
	for _, m := range said {
		with = append(with, logbook.ScrapeMethods.Word(m.V))
	}
	if len(with) > 1 && with[0] == with[1] {
		with = with[:1]
	}
	var lines []string
	for _, l := range widget.Wrap(strings.Join(parts, " · ")+" · scraped with "+strings.Join(with, ", ")+", as last time", c.W-4) {
		lines = append(lines, "   "+l)
	}
	return lines
}

// Keys are the card's.
func (s batchCard) Keys(env shell.Env) shell.Keys {
	first := shell.On("0", "all so")
	if f, asks := s.form.Field(); asks && f.Item == logbook.ItemPipeBatch {
		return shell.Keys{shell.On("type, Enter", "the batch, as the pipe says"), shell.On("scan", "it"), shell.Back}
	} else if asks {
		first = shell.On("digits", "all so, on that port")
	}
	return shell.Keys{first, shell.On("Enter", "not all: one by one"), shell.Back}
}

// Takes wants figures where a port is typed.
func (s batchCard) Takes(env shell.Env) shell.Taking { return s.form.Takes() }
