package shell

import (
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/charmbracelet/bubbles/help"
	"github.com/charmbracelet/bubbles/key"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
	"coolhold/tui/widget"
)

// The smallest window in which every screen shows what it must.
const (
	MinWidth  = 60
	MinHeight = 20
)

// View draws the window: title, what runs, banners, the screen, its keys. It
// is exactly as wide and high as the window.
func (r Root) View() string {
	if r.w <= 0 || r.h <= 0 {
		return ""
	}
	var lines []string
	if r.w < MinWidth || r.h < MinHeight {
		lines = r.small()
	} else {
		lines = r.whole()
	}
	lines = widget.Fit(strings.Join(lines, "\n"), r.w, r.h)
	for i := range lines {
		lines[i] = r.signs(r.style.Page(lines[i]))
	}
	return strings.Join(lines, "\n")
}

// signs is a text in the signs that the terminal has. Every frame goes through here, so
// that no screen need know.
func (r Root) signs(text string) string {
	if r.opts.ASCII {
		return widget.ASCII(text)
	}
	return text
}

func (r Root) whole() []string {
	env := r.env()
	lines := r.head(env)
	if len(r.stack) > 0 {
		env.H -= len(r.footLines(env))
		lines = append(lines, widget.Fit(r.top().View(env), r.w, max(1, env.H))...)
	} else {
		lines = append(lines, widget.Fit("reading the log …", r.w, env.H)...)
	}
	for _, l := range r.footLines(env) {
		lines = append(lines, r.style.Dim(widget.Pad(l, r.w)))
	}
	return lines
}

// head is everything above the screen.
func (r Root) head(env Env) []string {
	lines := append([]string{r.title(env)}, r.wrongLines()...)
	lines = append(lines, r.strip(env)...)
	for _, l := range r.bannerLines() {
		lines = append(lines, r.style.Alarm(widget.Pad(l, r.w)))
	}
	return append(lines, r.style.Dim(strings.Repeat("─", r.w)))
}

// bannerRows are the rows that each of so many banners may take, so that the
// screen below keeps its place in the smallest window.
var bannerRows = [...]int{0, 3, 3, 2}

// bannerLines are the banners, each wrapped over a few rows: an error says at
// its end what to do.
func (r Root) bannerLines() []string {
	var lines []string
	for _, b := range r.lines {
		rows, most := widget.Wrap(b.text, max(1, r.w-2)), bannerRows[len(r.lines)]
		if len(rows) > most {
			rows = append(rows[:most-1], widget.Cut(rows[most-1]+"…", r.w-2))
		}
		for _, l := range rows {
			lines = append(lines, " "+l)
		}
	}
	return lines
}

func (r Root) bodyHeight(running []ahead.Running, tests []ahead.TestRunning) int {
	return max(1, r.h-1-len(r.wrongLines())-len(r.stripLines(running, tests))-len(r.stallLines())-len(r.bannerLines())-1)
}

func (r Root) runningNow() []ahead.Running {
	return ahead.RunningOn(r.book, r.site, r.now, r.beat)
}

func (r Root) testsNow() []ahead.TestRunning { return ahead.TestsOn(r.view.site, r.now, r.beat) }

func (r Root) title(env Env) string {
	left := "coolhold"
	if env.Site.Name != "" {
		left = logbook.Clean(env.Site.Name)
	}
	if env.Shift.ID != "" {
		left += "  shift " + env.Shift.ID + "  " + logbook.Clean(r.by)
	}
	right := env.Now.Local().Format("Mon 2 Jan 15:04:05")
	if n := env.Pending; n > 0 {
		right = fmt.Sprintf("storing %d  %s", n, right)
	}
	return r.style.Bold(widget.Pad(widget.Cut(left, r.w-widget.Width(right)-2), r.w-widget.Width(right)) + right)
}

// strip is every running fusion and hold with joint and time left, what waits
// for an answer first, then every pressure test that goes on.
func (r Root) strip(env Env) []string {
	var lines []string
	flash := r.flash(env)
	for i, l := range r.stripLines(env.Running, env.Tests) {
		if i == 0 && flash {
			lines = append(lines, r.style.Alarm(widget.Pad(l, r.w)))
			continue
		}
		lines = append(lines, r.style.Warn(l))
	}
	for _, l := range r.stallLines() {
		lines = append(lines, r.style.Warn(l))
	}
	return lines
}

// flash is on every other second while an ended fusion waits unacknowledged.
func (r Root) flash(env Env) bool {
	for _, line := range env.Running {
		if line.Fusing && line.Over() && !r.acked[line.Weld.ID] {
			return r.odd
		}
	}
	return false
}

func (r Root) stripLines(running []ahead.Running, tests []ahead.TestRunning) []string {
	var items []string
	for _, line := range running {
		items = append(items, StripItem(line))
	}
	for _, line := range tests {
		items = append(items, StripTest(line))
	}
	lines := flow(items, r.w-1)
	if most := max(2, r.h/6); len(lines) > most {
		lines = lines[:most]
		lines[most-1] = widget.Cut(lines[most-1], r.w-12) + " · more: →"
	}
	return append(lines, r.twinLines()...)
}

// StripItem is one running weld in a few words.
func StripItem(line ahead.Running) string {
	w := line.Weld
	switch {
	case line.Fusing && w.Unwatched && line.Over():
		return w.Joint + " fusion end not watched: →"
	case line.Fusing && line.Over():
		return w.Joint + " FUSION ENDED: →"
	case line.Fusing:
		return w.Joint + " fusing " + Clock(line.Left)
	case w.Between():
		return w.Joint + " " + w.ZoneLine() + ": →"
	case !line.Known:
		return w.Joint + " hold, no time known"
	case line.Over() && w.Outcome == logbook.Stopped:
		return w.Joint + " is cold: cut it out →"
	case line.Over():
		return w.Joint + " hold over: release →"
	case w.Outcome != logbook.Completed:
		return w.Joint + " cools " + Clock(line.Left)
	}
	return w.Joint + " hold " + Clock(line.Left)
}

// StripTest is one pressure test that goes on in a few words.
func StripTest(line ahead.TestRunning) string {
	what := logbook.Clean(line.Test.ID + " " + line.Test.Section.Name())
	switch {
	case line.Waits():
		return what + ": read the gauge →"
	case line.Over():
		return what + " read, not ended"
	case line.Known:
		return what + " test " + Clock(line.Left)
	}
	return what + " under test"
}

// Clock writes a time left as minutes and seconds, rounded up, so that 0:00
// never shows while something is left.
func Clock(d time.Duration) string {
	s := int((max(0, d) + time.Second - 1) / time.Second)
	if s >= 3600 {
		return fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
	}
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}

// footRows are the lines that the keys of a screen take at most: a narrow window has one
// more, so that no key of the board is missing there.
func (r Root) footRows() int {
	if r.w < 72 {
		return 3
	}
	return 2
}

// footLines are the keys of the top screen, as many as its lines hold; the key to
// the page of all of them is always there.
func (r Root) footLines(env Env) []string {
	if len(r.stack) == 0 {
		return nil
	}
	keys, all := footItems(r.footKeys(env)), footItems(Keys{r.helpKey(env)})
	for n := len(keys); n > 0; n-- {
		if lines := flow(slices.Concat(keys[:n], all), r.w-1); len(lines) <= r.footRows() {
			return lines
		}
	}
	return flow(all, r.w-1)
}

func (r Root) footKeys(env Env) Keys {
	var keys Keys
	if len(env.Running)+len(env.Tests) > 0 && !r.sideways(env) && !r.onWaiting(env) {
		keys = append(keys, Runs)
	}
	keys = append(keys, r.top().Keys(env).ShortHelp()...)
	if len(r.stack) == 1 && r.opts.Find != nil {
		keys = append(keys, On("/", Find.Help().Desc))
	}
	return keys
}

// helpKey is the key to the page of all keys: where text is typed ? is text.
func (r Root) helpKey(env Env) key.Binding {
	if r.top().Takes(env).text() {
		return On("F1", Help.Help().Desc)
	}
	return On("?", Help.Help().Desc)
}

// footItems are the keys that have something to act on, each with what it does.
func footItems(keys Keys) []string {
	var items []string
	for i := range keys {
		if item := footItem(keys[i : i+1]); item != "" {
			items = append(items, item)
		}
	}
	return items
}

// worded are the words of keys as the help sets them. It does so by styles, which took a
// third of a frame's allocations; keys and words are few and stay the same.
var worded sync.Map

func footItem(one Keys) string {
	if !one[0].Enabled() {
		return ""
	}
	says := one[0].Help()
	if item, ok := worded.Load(says); ok {
		return item.(string)
	}
	item := (help.Model{}).ShortHelpView(one)
	worded.Store(says, item)
	return item
}

// flow sets items one after another, on as many lines as they need.
func flow(items []string, width int) []string {
	var lines []string
	for _, item := range items {
		if n := len(lines); n > 0 && widget.Width(lines[n-1])+3+widget.Width(item) <= width {
			lines[n-1] += " · " + item
			continue
		}
		lines = append(lines, " "+item)
	}
	return lines
}

// small is what a window too small for the screens shows: the holds, and what
// to do.
func (r Root) small() []string {
	lines := []string{fmt.Sprintf("window %d×%d: make it %d×%d or larger", r.w, r.h, MinWidth, MinHeight)}
	for _, line := range r.runningNow() {
		lines = append(lines, StripItem(line))
	}
	for _, line := range r.testsNow() {
		lines = append(lines, StripTest(line))
	}
	return append(lines, r.stallLines()...)
}
