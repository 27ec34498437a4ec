package desk

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/bubbletea"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/tui/form"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

const (
	settlesNothing = "Signing settles nothing: what is open stays open."
	sealsToo       = "Signing also seals the log with this laptop's key, which is made on first use."
	alreadySigned  = "This day is signed. Sign it again? 1: yes, once more. Esc: leave it as it is."
)

// readAtLeast is how long a fail stands on the screen before a key counts as
// having seen it, so that a key that bounces does not see two: our choice.
const readAtLeast = time.Second

// sign closes a day by name: what stands in it, then each open fail, then who.
type sign struct {
	day   string // local date, YYYY-MM-DD
	again bool   // the day is signed, and it was said that it is signed once more
	just  bool   // it was signed here just now: that is shown, and nothing asked
	fails bool   // past what stands in the day
	acks  []logbook.Judged
	of    logbook.Judged // what came up last to be seen
	since fusion.Stamp   // and when
	top   widget.Scroll
}

// newSign closes a day by name.
func newSign(_ shell.Env, day string) shell.Screen { return sign{day: day} }

// Update reads, and goes from the day to its fails and on to the name.
func (s sign) Update(env shell.Env, msg tea.Msg) shell.Screen {
	key, ok := msg.(tea.KeyMsg)
	if !ok {
		return s
	}
	next, waits := s.next(env)
	switch {
	case shell.Is(key, shell.Leave), s.just && shell.Is(key, shell.Enter, shell.BackOne):
		env.Do.Pop()
	case shell.Is(key, shell.BackOne):
		return s.back(env)
	case s.asks(env) && shell.Digit(key) == 1:
		s.again = true
		return s
	case s.asks(env) && shell.Is(key, shell.Enter):
		env.Do.Say("this day is signed; 1 signs it again")
	case shell.Is(key, shell.Enter) && !s.fails && waits:
		s.fails = true
		return s.comesUp(env)
	case shell.Is(key, shell.Enter) && !waits:
		env.Do.Push(newSigned(s))
	case shell.Is(key, shell.Enter):
		env.Do.Say("this fail is answered by its digit")
	case shell.Digit(key) == 1 && s.fails && waits:
		return s.seen(env, next)
	default:
		body, room := s.body(env)
		s.top = s.top.Move(shell.Reads(key, room), len(body), room)
	}
	return s
}

// asks tells whether the day is signed and nobody said yet that it shall be signed
// again.
func (s sign) asks(env shell.Env) bool {
	_, signed := env.Site.SignatureOf(s.day)
	return signed && !s.again && !s.just
}

// seen acknowledges the fail on the screen, once all of it was there.
func (s sign) seen(env shell.Env, f audit.OpenFail) shell.Screen {
	switch {
	case !s.of.Same(f.Acks()[0]): // it came up by itself, maybe just as the key was struck
		env.Do.Say("this is another fail: read it, then press 1")
		return s.comesUp(env)
	case s.unread(env):
		env.Do.Say("first read it to its end: ↓")
		return s
	case env.Now.Boot-s.since.Boot < readAtLeast:
		env.Do.Say("that was quick: read it, then press 1")
		return s
	}
	s.acks = append(slices.Clone(s.acks), f.Acks()...)
	return s.comesUp(env)
}

// comesUp notes that the next fail is on the screen from now on.
func (s sign) comesUp(env shell.Env) sign {
	s.since, s.top = env.Now, 0
	if f, waits := s.next(env); waits {
		s.of = f.Acks()[0]
	}
	return s
}

// back takes the answers back and shows the day again; from there it leaves.
func (s sign) back(env shell.Env) shell.Screen {
	if !s.fails {
		env.Do.Pop()
	}
	return sign{day: s.day, again: s.again}
}

// next is the first fail that is not acknowledged as it now is.
func (s sign) next(env shell.Env) (audit.OpenFail, bool) {
	for _, f := range env.Audit.OpenFails(s.day) {
		if !f.SeenIn(s.acks) {
			return f, true
		}
	}
	return audit.OpenFail{}, false
}

// View draws the day, the fail, or that all are seen.
func (s sign) View(env shell.Env) string {
	head, body := s.lines(env)
	return strings.Join(append(head, s.top.View(body, env.H-len(head), env.Style.Dim)...), "\n")
}

// body is what can be scrolled, and in how many lines.
func (s sign) body(env shell.Env) (body []string, room int) {
	head, body := s.lines(env)
	return body, env.H - len(head)
}

func (s sign) unread(env shell.Env) bool {
	body, room := s.body(env)
	return s.top.Below(len(body), room) > 0
}

func (s sign) lines(env shell.Env) (head, body []string) {
	head = []string{env.Style.Bold(widget.Cut(logbook.Clean(" Sign "+dayName(s.day)), env.W))}
	next, waits := s.next(env)
	switch {
	case !s.fails:
		return s.dayLines(env, head)
	case waits:
		return s.failLines(env, head, next)
	}
	head = append(head, "")
	for _, l := range []string{"Every open fail was shown and is acknowledged.", settlesNothing, sealsToo, "Enter: sign by name. ←: look at the day again."} {
		body = append(body, hanging(" ", l, env.W)...)
	}
	return head, body
}

// dayLines are what stands in the day: who signed it, its welds by verdict, and
// what is open.
func (s sign) dayLines(env shell.Env, head []string) (_, body []string) {
	for _, d := range env.Site.Signed {
		if d.Day == s.day {
			head = append(head, hanging(" ", logbook.Clean(signedLine(d)), env.W)...)
		}
	}
	if s.asks(env) {
		for _, l := range hanging(" ", alreadySigned, env.W) {
			head = append(head, env.Style.Bold(l))
		}
	}
	open := env.Audit.OpenOn(s.day)
	head = append(head, hanging(" ", env.Audit.Tally(env.Audit.WeldsOn(s.day, s.day)), env.W)...)
	head = append(head, hanging(" ", fmt.Sprintf("Open: %d. %s", len(open), settlesNothing), env.W)...)
	head = append(head, "")
	for _, g := range audit.Groups(open) {
		body = append(body, hanging("   "+widget.Pad(g.First().Word(), 6), logbook.Clean(g.Says()+"; "+g.Do()), env.W)...)
	}
	return head, body
}

func signedLine(d logbook.SignedDay) string {
	return fmt.Sprintf("Signed by %s on %s: %d open fails acknowledged, %d other findings open.", d.By, d.At.Local().Format("2 Jan 2006 15:04"), len(d.Acks), d.Open)
}

// failLines are one open fail: what it says, what to do, and by which rule.
func (s sign) failLines(env shell.Env, head []string, f audit.OpenFail) (_, body []string) {
	head = append(head, env.Style.Bold(widget.Cut(" "+failCount(env.Audit.OpenFails(s.day), f), env.W)), "")
	for _, found := range f {
		for _, l := range hanging(" ", logbook.Clean(found.Says), env.W) {
			body = append(body, env.Style.Warn(l))
		}
	}
	body = append(body, hanging(" To do: ", logbook.Clean(f[0].Do), env.W)...)
	if w := env.Weld(f[0].Weld); w.ID != "" {
		body = append(body, hanging(" ", logbook.Clean(fmt.Sprintf("%s in joint %s, %s, by %s", w.ID, w.Joint, dayName(w.Day()), w.Operator)), env.W)...)
	}
	body = append(body, hanging(" Basis: ", logbook.Clean(f[0].Basis), env.W)...)
	return head, append(body, "", "   1  I have seen this")
}

// failCount says which of all findings these are: "Open fail 3 of 5".
func failCount(all []audit.OpenFail, f audit.OpenFail) string {
	at, n := 0, 0
	for _, o := range all {
		if o[0].Key == f[0].Key {
			at = n + 1
		}
		n += len(o)
	}
	if len(f) > 1 {
		return fmt.Sprintf("Open fails %d and %d of %d", at, at+1, n)
	}
	return fmt.Sprintf("Open fail %d of %d", at, n)
}

// Keys are those of the present part.
func (s sign) Keys(env shell.Env) shell.Keys {
	enter := shell.On("Enter", "sign by name")
	_, waits := s.next(env)
	does, leave := "sign by name", "leave unsigned"
	if s.again {
		leave = "leave it as signed"
	}
	switch {
	case s.just:
		return shell.Keys{shell.On("Enter", "back to the day"), shell.On("↑↓ PgDn", "read"), shell.Back}
	case s.asks(env):
		return shell.Keys{shell.On("1", "sign it again"), shell.On("↑↓ PgDn", "read"), shell.BackTo("leave it as signed"), shell.When(false, enter)}
	case s.fails && waits:
		return shell.Keys{shell.On("1", "I have seen this"), shell.On("↑↓ PgDn", "read"), shell.On("←", "back to the day"), shell.On("Esc", leave), shell.When(false, enter)}
	case waits:
		does = "go through the open fails"
	}
	return shell.Keys{shell.On("Enter", does), shell.On("↑↓ PgDn", "read"), shell.On("←", "back"), shell.On("Esc", leave)}
}

// Topic is that of its page.
func (s sign) Topic(shell.Env) string { return "sign" }

// Takes wants no scan.
func (s sign) Takes(shell.Env) shell.Taking { return shell.NoScan }

// newSigned asks for the name under a day.
func newSigned(s sign) shell.Screen {
	return form.Ask{
		About: "sign",
		Title: "Sign " + dayName(s.day),
		Text: func(env shell.Env) []string {
			text := []string{settlesNothing, sealsToo}
			if env.Shift.ID != "" && env.Shift.Day == s.day {
				text = append(text, "The shift of this day is open: a weld that is made after it is signed is a query until it is signed again.")
			}
			return text
		},
		Form: form.New([]form.Field{{Item: "by", Label: "signed by (name)", Manner: form.Text}}),
		Done: func(env shell.Env, a form.Answers) { s.signed(env, a.V("by")) },
	}
}

// signed stores the signature and then has the log sealed. A signature that is
// refused seals nothing.
func (s sign) signed(env shell.Env, by string) {
	env.By = by
	h, seal, day := env.Head(), env.Outside.SealDay, s.day
	act := acts.As(h, acts.SignDay(h, env.Beat, day, s.acks))
	if _, err := act(env.Book); err != nil {
		say(env, err.Error())
		return
	}
	env.Do.Save(h, "day signed", act)
	env.Do.Replace(sign{day: day, just: true})
	if seal == nil {
		env.Do.Say("signed; a seal is not available here")
		return
	}
	sealed := env.Head()
	env.Do.Fetch(func(log shell.Log) (string, error) { return seal(sealed, log, day) })
}
