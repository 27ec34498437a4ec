package desk

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/tui/form"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// values is the list of what is recorded of a weld, to choose what is wrong.
// The cursor goes by arrows, by page, or to the number that is typed; only
// Enter opens a form.
type values struct {
	weld  string
	by    string
	at    string // key of the chosen value; "" is the first
	typed string // of a number of two digits, the first
}

// Update moves the cursor and opens the form of the chosen value.
func (s values) Update(env shell.Env, msg tea.Msg) shell.Screen {
	key, ok := msg.(tea.KeyMsg)
	if !ok {
		return s
	}
	typed := s.typed
	s.typed = ""
	fields := logbook.Fields(env.Weld(s.weld))
	list := s.list(env, fields)
	switch by := shell.Chooses(key); {
	case shell.Is(key, shell.Leave, shell.BackOne):
		env.Do.Pop()
	case by != 0:
		s.at = list.Move(s.at, by)
	case shell.Is(key, shell.Enter):
		if at := list.Index(s.at); at < len(fields) {
			env.Do.Push(correcting(env, s.by, env.Weld(s.weld), fields[at]))
		}
	default:
		if d := shell.Digit(key); d >= 0 {
			s = s.number(fields, typed+strconv.Itoa(d))
		}
	}
	return s
}

// number goes to the value with the number typed so far. A digit that makes no
// number of the list begins anew.
func (s values) number(fields []logbook.Field, typed string) values {
	n, _ := strconv.Atoi(typed)
	if n > len(fields) || n == 0 {
		typed = typed[len(typed)-1:]
		n, _ = strconv.Atoi(typed)
	}
	if n < 1 || n > len(fields) {
		return s
	}
	s.at = fields[n-1].Key
	if len(typed) == 1 {
		s.typed = typed
	}
	return s
}

func (s values) list(env shell.Env, fields []logbook.Field) widget.List {
	var rows []widget.Row
	w := env.Weld(s.weld)
	for i, f := range fields {
		rows = append(rows, widget.Row{Key: f.Key, Text: func() string {
			return fmt.Sprintf("%2d  %s %s%s", i+1, widget.Pad(f.Name, 33), recorded(f.Shown(w)), correctedMark(w, f.Key))
		}})
	}
	return env.List(rows)
}

// View draws the list round the cursor.
func (s values) View(env shell.Env) string {
	w := env.Weld(s.weld)
	lines := []string{
		env.Style.Bold(widget.Cut(logbook.Clean(" What is recorded wrongly of "+w.ID+" in "+w.Joint+"?"), env.W)),
		widget.Cut(" Arrows or its number, then Enter. Nothing is changed yet.", env.W), "",
	}
	return strings.Join(append(lines, s.list(env, logbook.Fields(w)).View(s.at, env.H-len(lines))...), "\n")
}

func recorded(v string) string { return cmp.Or(logbook.Clean(v), "-") }

// correctedMark is put behind a value that was corrected.
func correctedMark(w logbook.Weld, key string) string {
	if slices.ContainsFunc(w.Corrections, func(c logbook.Corrected) bool { return c.Field == key }) {
		return " (corrected)"
	}
	return ""
}

// Keys are the list's.
func (s values) Keys(shell.Env) shell.Keys {
	return shell.Keys{shell.On("↑↓ PgDn", "choose"), shell.On("0-9", "to a number"), shell.On("Enter", "this one"), shell.Back}
}

// Topic is that of its page.
func (s values) Topic(shell.Env) string { return "values" }

// Takes wants no scan.
func (s values) Takes(shell.Env) shell.Taking { return shell.NoScan }

// other is the choice that asks for a text instead.
const other = "another: type it"

// correcting asks for the new value of one field. Nothing is filled in: the
// value that was wrong must not be taken by Enter.
func correcting(env shell.Env, by string, w logbook.Weld, f logbook.Field) shell.Screen {
	fields := valueFields(env, w, f)
	if f.Key == logbook.FieldJoint {
		fields = jointFields(env, w)
	}
	return form.Ask{
		About: "correct",
		Title: "Correct " + f.Name + " of " + w.ID,
		Text: func(shell.Env) []string {
			return []string{"Recorded: " + recorded(f.Shown(w)), "It stays on the page as what was recorded before."}
		},
		Form: form.New(append(fields, whose(by), form.Reason("why", "why it was wrong, and how you know", logbook.WhyCorrected))),
		Done: func(env shell.Env, a form.Answers) {
			env.Do.Pop() // the list too: the page shows what came of it
			correct(env, w, f, a)
		},
	}
}

func correct(env shell.Env, w logbook.Weld, f logbook.Field, a form.Answers) {
	value := a.V("value")
	if value == other {
		value = a.V("other")
	}
	why, label := a.V("why"), w.ID+" "+f.Name+" corrected"
	if f.Key != logbook.FieldJoint {
		saveAs(env, a, label, func(h acts.Head) acts.Act { return acts.Correct(h, w.ID, f.Key, value, why) })
		return
	}
	saveAs(env, a, label, func(h acts.Head) acts.Act {
		return acts.MoveWeld(h, w.ID, value, why, a.V("swap") == logbook.Yes)
	})
}

// valueFields are a choice where the possible values are known, else a text.
func valueFields(env shell.Env, w logbook.Weld, f logbook.Field) []form.Field {
	check := func(v string) (string, error) { return v, wouldCorrect(env, w, f.Key, v) }
	text := form.Field{Item: "value", Label: "right value of " + f.Name, Manner: form.Text, Hint: f.Fill(f.Hint), Check: check, Scan: true, Says: f.Words}
	if f.Kind == logbook.AsChoice {
		text.Manner, text.Options, text.Scan, text.Hint = form.Choice, f.Offered(), false, ""
		return []form.Field{text.But(f.Get(w))}
	}
	options := slices.DeleteFunc(known(env, f.Key), func(o string) bool { return o == f.Get(w) })
	if len(options) == 0 {
		return []form.Field{text}
	}
	choice := form.Field{Item: "value", Label: text.Label, Manner: form.Choice, Options: options}
	choice.Options = append(choice.Options, other)
	choice.Check = func(v string) (string, error) {
		if v == other {
			return v, nil
		}
		return check(v)
	}
	text.Item, text.Skip = "other", func(a form.Answers) bool { return a.V("value") != other }
	return []form.Field{choice, text}
}

// known are the values that the site has for a field already.
func known(env shell.Env, key string) []string {
	var out []string
	for _, id := range env.Site.Shifts {
		sh, _ := env.Book.Shift(env.Site.ID, id)
		for _, o := range sh.Operators {
			if key == logbook.FieldOperator {
				out = append(out, o.Name)
			}
		}
		for _, u := range sh.Units {
			if key == logbook.FieldUnit {
				out = append(out, u.Serial)
			}
		}
	}
	for _, row := range env.Shelf.Rows() {
		if key == logbook.ItemFitting {
			out = append(out, row.Fitting.Name)
		}
	}
	return tidy(out)
}

// dry is the head of an act that is only tried on the records as shown.
func dry(env shell.Env) acts.Head {
	return acts.Head{ID: "dry", At: env.Now, By: "dry", Site: env.Site.ID}
}

// wouldCorrect is what the records would say to a corrected value.
func wouldCorrect(env shell.Env, w logbook.Weld, key, v string) error {
	_, err := acts.Correct(dry(env), w.ID, key, v, "dry")(env.Book)
	return plainly(err)
}

// plainly is a refusal without the word that marks it as one.
func plainly(err error) error {
	if err == nil {
		return nil
	}
	return errors.New(logbook.Clean(strings.TrimPrefix(err.Error(), logbook.ErrRule.Error()+": ")))
}

// jointFields ask for the joint that a weld was made at and, where another
// weld stands there, whether the two were taken for each other.
func jointFields(env shell.Env, w logbook.Weld) []form.Field {
	there := func(a form.Answers) string {
		if !w.Stands() {
			return ""
		}
		return env.Joint(a.V("value")).Stands
	}
	return []form.Field{
		{
			Item: "value", Label: "made at which joint", Manner: form.Text, Hint: "Its label, as on the pipe. Both joints show the correction.",
			Check: func(v string) (string, error) {
				v = labelled(env, v)
				_, err := acts.MoveWeld(dry(env), w.ID, v, "dry", true)(env.Book)
				return v, plainly(err)
			},
		},
		{
			Item: "swap", Label: "were the two taken for each other", Manner: form.Choice, Options: []string{logbook.Yes, logbook.No},
			Say: func(a form.Answers) string { return standsThere(env, w, there(a)) },
			Check: func(v string) (string, error) {
				if v == logbook.No {
					return "", errors.New("then nothing is changed: two welds cannot stand in one joint. Esc; put the other weld right first")
				}
				return v, nil
			},
			Skip: func(a form.Answers) bool { return there(a) == "" },
		},
	}
}

// standsThere names the weld that stands where another is said to have been made,
// and what a swap does to it.
func standsThere(env shell.Env, w logbook.Weld, other string) string {
	o := env.Weld(other)
	made := ""
	if at, ok := o.FusedAt(); ok {
		made = ", made on " + at.Format("2 Jan 15:04")
	}
	if o.Operator != "" {
		made += " by " + o.Operator
	}
	return fmt.Sprintf("%s stands in %s%s. Yes puts both right: %s goes to %s, %s to %s.", o.ID, o.Joint, made, w.ID, o.Joint, o.ID, w.Joint)
}

// labelled is the label of the joint that was meant: they look the same in
// capitals on a pipe.
func labelled(env shell.Env, v string) string {
	for _, j := range env.Book.Joints(env.Site.ID) {
		if strings.EqualFold(j.Label, v) {
			return j.Label
		}
	}
	return v
}
