package walk

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/charmbracelet/bubbletea"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/tui/form"
	"coolhold/tui/shell"
)

// settings shows what to key, then takes it from the screen and asks what the
// unit's display shows: nobody can copy the answer from here.
type settings struct {
	shown formStep // how the time is set, with the figures
	typed formStep // what the display shows
	away  bool     // the figures are away
	mode  logbook.Mode
	how   logbook.How // how the mode came, where nobody said it here
}

func openSettings(c ctx) stepper {
	s := settings{mode: logbook.ModeSelf}
	s.typed = formStep{text: typedText, form: displayForm()}
	if c.w.Corrects == logbook.Yes {
		return s
	}
	last := c.w.Stops
	if n := len(last); n > 0 && last[n-1].Step == logbook.StepSettings {
		s.mode, s.away = logbook.ModeKeyed, true // it was keyed, and shown wrong
		if lastMode(c) == s.mode {
			s.how = logbook.Carried
		}
		return s
	}
	if s.mode, s.how = lastMode(c), logbook.Carried; s.mode != "" && c.w.Corrects == logbook.No {
		return s
	}
	s.mode, s.how = "", ""
	s.shown = formStep{text: func(ctx) []string { return nil }, form: form.New([]form.Field{modeField(c)})}
	return s
}

func modeField(c ctx) form.Field {
	mode := modes()
	mode.Offer = string(lastMode(c))
	return mode
}

// modes are the ways of a unit that does not correct for temperature itself.
func modes() form.Field { return form.Of(logbook.FieldMode).But(string(logbook.ModeSelf)) }

// lastMode is how the time was set for the newest weld on this unit.
func lastMode(c ctx) logbook.Mode {
	welds := c.Book.Welds(c.Site.ID)
	for i := len(welds) - 1; i >= 0; i-- {
		if s := welds[i].Settings; s != nil && welds[i].Unit == c.w.Unit && s.Mode != logbook.ModeSelf {
			return s.Mode
		}
	}
	return ""
}

func displayForm() form.Form {
	seconds := form.Of(logbook.FieldSeconds)
	seconds.Hint = "Read them off the display."
	return form.New(append([]form.Field{seconds}, voltsFields()...))
}

// usualVolts are the supplies of units as the trade names them: UK gas assessment
// checklists DN.14A and DN.27 (39.5, 48, 80 V); 40 V is common practice. None is marked.
var usualVolts = []string{"39.5", "40", "48", "80"}

const (
	otherVolts = "other"
	noVolts    = "none"
)

// voltsFields ask what the display shows of the voltage, by one key where it is a usual one.
func voltsFields() []form.Field {
	typed := form.Of(logbook.FieldVolts)
	says := map[string]string{otherVolts: "another voltage", noVolts: "it shows none"}
	usual := form.Field{
		Item: "volts", Label: typed.Label, Manner: form.Choice, Options: append(slices.Clone(usualVolts), otherVolts, noVolts),
		Says: func(v string) string { return cmp.Or(says[v], v+" V") },
		Figures: &form.Figures{Of: func(v string) string {
			if says[v] != "" {
				return ""
			}
			return v
		}, Else: otherVolts, Placed: true},
	}
	typed.Label = "the voltage it shows, in figures"
	return []form.Field{usual, typed.Unless(func(a form.Answers) bool { return a.V("volts") != otherVolts })}
}

// voltsOf is the voltage that the display shows; nil where it shows none.
func voltsOf(a form.Answers) *float64 {
	if a.V("volts") == otherVolts {
		return a.Float(logbook.FieldVolts)
	}
	return a.Float("volts")
}

func typedText(c ctx) []string {
	if last := lastStop(c, logbook.StepSettings); last != "" {
		return []string{last, "Do not start. Make the unit show the fitting's own time and voltage, or take a unit that can; then read its display again. Esc leaves the walk."}
	}
	return append(busy(c), "The figures are away on purpose. Look at the unit, not here.")
}

func (s settings) update(c ctx, msg tea.Msg) stepper {
	switch {
	case s.mode == "":
		return s.chooses(msg)
	case !s.away && shell.Is(msg, shell.Enter) && busy(c) != nil:
		c.Do.Say("nothing can be keyed into a unit that is fusing")
		return s
	case !s.away:
		return s.keyedIn(msg)
	}
	f, event := s.typed.form.Update(msg)
	s.typed.form = f
	if event == form.Complete {
		seconds, _ := strconv.Atoi(f.Given.V(logbook.FieldSeconds))
		save(c, "settings", func(h acts.Head) acts.Act {
			return acts.KeySettings(h, c.w.ID, s.mode, seconds, voltsOf(f.Given), s.how)
		})
		s.typed.form = displayForm()
	}
	return s
}

// keyedIn takes the figures away once they are in the unit; a digit says that they come
// otherwise than last time.
func (s settings) keyedIn(msg tea.Msg) stepper {
	d := shell.Digit(msg)
	switch ways := modes().Options; {
	case shell.Is(msg, shell.Enter):
		s.away = true
	case s.how == logbook.Carried && d >= 1 && d <= len(ways):
		s.mode, s.how = logbook.Mode(ways[d-1]), ""
	}
	return s
}

func (s settings) back(c ctx) (stepper, bool) {
	switch {
	case s.away && !s.typed.form.AtFirst():
		s.typed.form = s.typed.form.Back()
	case s.away && s.mode == logbook.ModeKeyed:
		s.away = false
	case s.mode != "" && s.how == "" && c.w.Corrects != logbook.Yes:
		return settings{typed: s.typed, shown: formStep{text: s.typed.text, form: form.New([]form.Field{modeField(c)})}}, true
	default:
		return s, false
	}
	return s, true
}

func (s settings) ended() bool { return false }

func (s settings) chooses(msg tea.Msg) stepper {
	f, event := s.shown.form.Update(msg)
	s.shown.form = f
	if event == form.Complete {
		s.mode = logbook.Mode(f.Given.V(logbook.FieldMode))
	}
	return s
}

func (s settings) view(c ctx, height int) string {
	if s.away {
		return s.typed.view(c, height)
	}
	set, row, err := ahead.SettingsFor(c.Book, c.w)
	if err != nil {
		return c.Style.Warn("  " + err.Error())
	}
	lines := settingLines(c, set, row, s.mode)
	if s.mode == "" {
		return join(append(lines, "", s.shown.form.View(c.Style, c.W, height-len(lines)-1)))
	}
	if says := busy(c); says != nil {
		return join(closed(append(lines, append([]string{""}, says...)...), height))
	}
	lines = append(lines, "", c.Style.Bold("  Enter: it is in the unit (the figures go away)"))
	if s.how == logbook.Carried {
		lines = append(lines, wrapped(s.mode.String()+", as last time on this unit; "+otherModes(s.mode), c.W)...)
	}
	return join(closed(lines, height))
}

// otherModes are the digits by which a unit's time comes otherwise than last time.
func otherModes(mode logbook.Mode) string {
	var parts []string
	for i, o := range modes().Options {
		if o != string(mode) {
			parts = append(parts, fmt.Sprintf("%d: %s", i+1, logbook.Mode(o)))
		}
	}
	return strings.Join(parts, ", ")
}

// closed are lines without the blank ones between them, where the window has no room
// for those.
func closed(lines []string, height int) []string {
	if len(lines) <= height {
		return lines
	}
	return slices.DeleteFunc(lines, func(l string) bool { return l == "" })
}

func settingLines(c ctx, set fusion.Settings, row logbook.TableRow, mode logbook.Mode) []string {
	from := fmt.Sprintf("%s at %s °C, band %s, table %q", set.Fitting, set.Ambient, set.Band, logbook.Clean(row.Ref.Title))
	lines := wrapped(from, c.W)
	if round := set.RoundingLine(); round != "" {
		lines = append(lines, wrapped(round, c.W)...)
	}
	lines = append(lines, wrapped(fmt.Sprintf("%s V · cooling %d min · %s", fusion.Figure(set.Volts), set.CoolingMin, waitLine(set)), c.W)...)
	switch mode {
	case logbook.ModeSelf:
		return append(lines, wrapped("This unit corrects for temperature itself. Follow the fitting's and the unit's own instructions; no time is keyed from here, and the time it shows is recorded.", c.W)...)
	case logbook.ModeCode:
		return append(lines, wrapped("The unit reads its time from the fitting's code. Follow the fitting's and the unit's own instructions; the time it shows is recorded.", c.W)...)
	case "":
		if c.w.Corrects == logbook.NotKnown {
			lines = append(lines, wrapped("Whether this unit corrects for temperature itself is not known: find out first, a banded time would be corrected twice (common practice).", c.W)...)
		}
		return lines
	}
	lines = append(lines, "", "  Key into the unit, in seconds:", "")
	for _, l := range large(c, fmt.Sprintf("%03d", set.Seconds)) {
		lines = append(lines, "      "+c.Style.Bold(l))
	}
	return lines
}

func waitLine(set fusion.Settings) string {
	if set.PressureWaitMin == nil {
		return "no pressure wait in the table"
	}
	from := cmp.Or(set.PressureWaitFrom, "cooling end (the table does not say)")
	return fmt.Sprintf("pressure wait %d min from %s", *set.PressureWaitMin, from)
}

func (s settings) takes(c ctx) shell.Taking {
	if !s.away {
		return shell.NoScan
	}
	return s.typed.takes(c)
}

func (s settings) keys(c ctx) shell.Keys {
	switch {
	case s.mode == "":
		return s.shown.keys(c)
	case s.away:
		return s.typed.keys(c)
	}
	keys := shell.Keys{shell.On("Enter", "keyed")}
	if s.how == logbook.Carried {
		keys = append(keys, shell.Digits(len(modes().Options), "another way"))
	}
	return keys
}
