package shell

import (
	"github.com/charmbracelet/bubbletea"

	"coolhold/logbook"
	"coolhold/logbook/ahead"
	"coolhold/tui/widget"
)

// titleSite is how much of the site's name a window's title has room for: our choice.
const titleSite = 30

// titled keeps the window's title current: what is answered or released next, so that
// it is seen while another window is in front.
func (r Root) titled() (Root, tea.Cmd) {
	if r.opts.Title == nil || len(r.stack) == 0 {
		return r, nil
	}
	text := r.signs(r.windowTitle())
	if text == r.titleIs {
		return r, nil
	}
	r.titleIs = text
	return r, r.opts.Title(text)
}

// windowTitle holds no time left: a title that turns every second is no help. What
// came out of a file is cleaned: a title is sent to the terminal as an escape.
func (r Root) windowTitle() string {
	site := "coolhold"
	if name := logbook.Clean(r.view.site.Name); name != "" {
		site = widget.Cut(name, titleSite)
	}
	running, tests := r.runningNow(), r.testsNow()
	switch {
	case len(running) > 0:
		return titleOf(running[0], site)
	case len(tests) > 0:
		return logbook.Clean(titleTest(tests[0])) + " – " + site
	}
	return site
}

func titleTest(line ahead.TestRunning) string {
	switch id := line.Test.ID; {
	case line.Waits():
		return id + " READ THE GAUGE"
	case line.Known && !line.Over():
		return logbook.UpMinute(line.Ends).Format("15:04") + " " + id + " read the gauge"
	default:
		return id + " under test"
	}
}

func titleOf(line ahead.Running, site string) string {
	return logbook.Clean(titleItem(line)) + " – " + site
}

func titleItem(line ahead.Running) string {
	joint, at := line.Weld.Joint, logbook.UpMinute(line.Ends).Format("15:04")
	switch cold := line.Weld.Outcome != logbook.Completed; {
	case line.Fusing && line.Over():
		return joint + " FUSION ENDED"
	case line.Weld.Between():
		return joint + " " + line.Weld.ZoneLine()
	case !line.Known:
		return joint + " no time known"
	case line.Fusing:
		return at + " " + joint + " fusion ends"
	case line.Over() && cold:
		return joint + " is cold"
	case line.Over():
		return joint + " RELEASE"
	case cold:
		return at + " " + joint + " cold"
	}
	return at + " " + joint + " release"
}
