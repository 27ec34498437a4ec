package walk

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbletea"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// card shows the circumstances of a weld as they were at the last of its kind. One key
// takes them, and they are stored as carried over; a digit changes one, which is stored
// the moment it is given; a scan goes to the line it belongs to. What is seen on the
// pipe and the chamber is no circumstance and never stands here.
type card struct {
	item string // the line that is asked; "": none
	ask  formStep
}

// cardItems are the lines of the card of a joint.
func cardItems(j logbook.Joint) []string {
	return slices.DeleteFunc(logbook.FittingItems(j), func(item string) bool {
		return !slices.Contains([]string{logbook.ItemFitting, logbook.ItemBatch, logbook.ItemPipeBatch, logbook.ItemStubBatch}, item)
	})
}

// circumstances are what the card takes: the planned fitting, and the batches that are
// carried over. It has no line where nothing is known, and none where the fitting is not.
func circumstances(c ctx) (carried []logbook.Answer) {
	fitting := c.w.Fitting()
	if fitting == "" {
		if fitting = planned(c); fitting == "" {
			return nil
		}
		carried = append(carried, logbook.Answer{Item: logbook.ItemFitting, V: fitting, How: logbook.Offered})
	}
	batches := 0
	for _, item := range cardItems(c.j) {
		if _, given := c.w.Answers[item]; given || item == logbook.ItemFitting {
			continue
		}
		if v := ahead.Carries(c.Book, asPlanned(c).w, item); v != "" {
			carried, batches = append(carried, logbook.Answer{Item: item, V: v, How: logbook.Carried}), batches+1
		}
	}
	if batches == 0 {
		return nil
	}
	return carried
}

// asPlanned is the weld as the card has it, with the planned fitting until one is given.
func asPlanned(c ctx) ctx {
	if c.w.Fitting() == "" {
		answers := maps.Clone(c.w.Answers)
		if answers == nil {
			answers = map[string]logbook.Answer{}
		}
		answers[logbook.ItemFitting] = logbook.Answer{Item: logbook.ItemFitting, V: planned(c)}
		c.w.Answers = answers
	}
	return c
}

// takeCircumstances takes the card as it stands.
func takeCircumstances(c ctx) {
	save(c, "as last time", func(h acts.Head) acts.Act {
		return acts.AnswerStep(h, c.w.ID, logbook.StepFitting, circumstances(c))
	})
}

func (s card) update(c ctx, msg tea.Msg) stepper {
	if s.item != "" {
		if s.ask = s.ask.update(c, msg).(formStep); s.ask.ended() { // what stands was kept
			return card{}
		}
		return s
	}
	if scan, is := msg.(shell.Scan); is {
		scanned(c, scan)
		return s
	}
	items := cardItems(c.j)
	switch d := shell.Digit(msg); {
	case shell.Is(msg, shell.Enter):
		takeCircumstances(c)
	case d >= 1 && d <= len(items):
		s.item = items[d-1]
		s.ask = fittingStep(asPlanned(c), s.item, c.w.Answers).(formStep)
	}
	return s
}

// scanned stores a scan on the line it belongs to: the standard's codes say which. Any
// other code is kept as it came.
func scanned(c ctx, scan shell.Scan) {
	line := map[fusion.CodeForm]string{
		fusion.ComponentTrace: logbook.ItemBatch, fusion.TwoDimensional: logbook.ItemBatch, fusion.PipeTrace: logbook.ItemPipeBatch,
	}[fusion.ReadCode(scan.Text).Form]
	if line == "" {
		keepCode(c, scan)
		return
	}
	a := logbook.Answer{Item: line, V: strings.TrimSpace(scan.Text), How: logbook.Scanned}
	save(c, logbook.NameOf(line), func(h acts.Head) acts.Act {
		return acts.AnswerStep(h, c.w.ID, logbook.StepFitting, acts.WithTrace(a))
	})
}

func (s card) back(ctx) (stepper, bool) { return card{}, s.item != "" }

func (s card) ended() bool { return false }

func (s card) view(c ctx, height int) string {
	if s.item != "" {
		return s.ask.view(c, height)
	}
	lines := []string{}
	for _, t := range cardText(c) {
		lines = append(lines, wrapped(t, c.W)...)
	}
	lines = append(lines, "", c.Style.Bold("▸ fitting, as printed on the bag, and batches as last time"))
	said := circumstances(c)
	for i, item := range cardItems(c.j) {
		lines = append(lines, cardLine(c, i+1, item, said))
	}
	lines = append(lines, c.Style.Bold("    Enter  take it as shown (carried over)"))
	lines = closed(append(lines, codeLines(c)...), height)
	return join(lines[max(0, len(lines)-height):]) // the lines of the card before what stands above them
}

func cardText(c ctx) []string {
	lines := []string{"Take the fitting in its closed bag. What is printed on it goes before everything here."}
	if last := lastStop(c, logbook.StepFitting); last != "" && !answeredSince(c.w) {
		for _, l := range widget.Wrap(last, c.W-6) {
			lines = append(lines, c.Style.Warn("    "+l))
		}
	}
	return lines
}

func cardLine(c ctx, n int, item string, said []logbook.Answer) string {
	state := "asked next"
	if a, given := c.w.Answers[item]; given {
		state = a.Words() + "  (" + a.How.String() + ")"
	} else if i := slices.IndexFunc(said, func(a logbook.Answer) bool { return a.Item == item }); i >= 0 {
		state = said[i].Words() + map[bool]string{true: "   planned", false: "   as last time"}[item == logbook.ItemFitting]
	}
	return widget.Cut(fmt.Sprintf("    %d  %s  %s", n, widget.Pad(logbook.NameOf(item), 25), logbook.Clean(state)), c.W)
}

func (s card) takes(c ctx) shell.Taking {
	if s.item != "" {
		return s.ask.takes(c)
	}
	return shell.ScanField
}

// keys name the digits of the lines that there are.
func (s card) keys(c ctx) shell.Keys {
	if s.item != "" {
		return s.ask.keys(c)
	}
	return shell.Keys{shell.On("Enter", "as last time"), shell.Digits(len(cardItems(c.j)), "change one"), shell.On("scan", "a code")}
}
