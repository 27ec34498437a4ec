package tui

import (
	"fmt"
	"slices"
	"strings"

	"coolhold/logbook"
	"coolhold/tui/shell"
)

// mostNamed is how many are named one by one in a line; what is beyond is counted.
const mostNamed = 6

// leftBehind is what the crew leaves behind when it closes the shift: what is not felt
// and looked at, what runs, what failed and stands. None of it keeps a shift open.
func leftBehind(env shell.Env, unfelt int) []string {
	var lines []string
	if unfelt > 0 {
		lines = append(lines, "Not felt and looked at yet: "+logbook.Count(unfelt, "weld")+". The audit will say so.")
	}
	var ended, held []string
	for _, line := range env.Running {
		if line.Fusing || line.Weld.Between() {
			ended = append(ended, line.Weld.Joint)
			continue
		}
		held = append(held, line.Weld.Joint)
	}
	if len(ended) > 0 {
		lines = append(lines, "Its fusion is not answered for: "+inAll(ended)+". Say first how it ended: →")
	}
	if len(held) > 0 {
		each := "It can be released tomorrow; then look at it again, at its joint (Enter)."
		if len(held) > 1 {
			each = "They can be released tomorrow; then look at each again, at its joint (Enter)."
		}
		lines = append(lines, "Not released: "+logbook.Count(len(held), "hold")+" ("+inAll(held)+"). "+each)
	}
	var tests []string
	for _, line := range env.Tests {
		tests = append(tests, line.Test.ID+" of "+line.Test.Section.String())
	}
	if len(tests) > 0 {
		lines = append(lines, "Under pressure, and its test not ended: "+inAll(tests)+". Say first how it ended: →")
	}
	if failed := failsStanding(env); len(failed) > 0 {
		lines = append(lines, "Failed, and not cut out: "+inAll(failed)+". It must not be covered or put under pressure.")
	}
	return lines
}

// failsStanding are the joints in which a failed weld stands, with its number.
func failsStanding(env shell.Env) []string {
	var all []string
	for _, w := range env.Book.Welds(env.Site.ID) {
		if w.Stands() && env.Failed(w.ID) && !w.Fusing() {
			all = append(all, w.Joint+" "+w.ID)
		}
	}
	return all
}

func inAll(all []string) string {
	all = slices.Clone(all)
	for i := range all {
		all[i] = logbook.Clean(all[i])
	}
	if n := len(all) - mostNamed; n > 0 {
		return strings.Join(all[:mostNamed], ", ") + fmt.Sprintf(" and %d more", n)
	}
	return strings.Join(all, ", ")
}
