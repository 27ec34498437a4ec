package tui

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/plan"
	logtable "coolhold/logbook/table"
	"coolhold/tui/form"
	"coolhold/tui/shell"
	"coolhold/tui/widget"
)

// A jobTyping is a site that is typed in here: tables from the bags, the site, its
// chambers, the joints outside them. The plan is built from what was typed, shown back,
// and taken as a plan's file is.
type jobTyping struct {
	tables   []jobTable
	site     form.Answers // nil: not typed yet
	chambers []form.Answers
	outside  []form.Answers
	look     form.Answers // what is looked at before welding and cover; nil: not typed
	tag      string

	stage  stage
	table  tableTyping
	now    part
	no     int // of the chamber or joint that is typed
	box    form.FileBox
	top    widget.Scroll
	say    string
	opens  bool // it is being opened
	leaves bool // Esc was pressed once
}

// A jobTable is a table of the job with its exact text.
type jobTable struct {
	fusion.Table
	file acts.File
}

type stage int

const (
	onList stage = iota // of what there is and what is needed
	onTable
	onTableFile
	onSite
	onChambers
	onChamber
	onOutside
	onJoint
	onLooks
	onPlan
)

// openedMsg is the log in which the site was opened.
type openedMsg struct {
	log shell.Log
	err error
}

// opensSite has a site opened; an openedMsg says what came of it.
func opensSite(env shell.Env, tag string, plan acts.File, tables []acts.File) {
	open, h := env.Outside.OpenSite, env.Head()
	env.Do.Look(func() tea.Msg {
		if open == nil {
			return openedMsg{err: errors.New("opening a site is not available here")}
		}
		log, err := open(h, tag, plan, tables)
		return openedMsg{log, err}
	})
}

// fault says why nothing was opened.
func (m openedMsg) fault() string {
	return "not opened: " + logbook.Clean(strings.Split(m.err.Error(), "\n")[0])
}

// shows turns to the log that was opened.
func (m openedMsg) shows(env shell.Env) {
	env.Do.Pop()
	env.Do.Follow(func() (shell.Log, error) { return m.log, nil })
}

func typedSite() shell.Screen { return jobTyping{} }

// Update hands the message to what is typed at present.
func (j jobTyping) Update(env shell.Env, msg tea.Msg) shell.Screen {
	if m, is := msg.(openedMsg); is {
		return j.opened(env, m)
	}
	if key, is := msg.(tea.KeyMsg); is {
		j.say = ""
		if j.stage == onList || j.stage == onChambers || j.stage == onOutside {
			return j.chooses(env, key)
		}
		if j.stage == onPlan {
			return j.readsPlan(env, key)
		}
	}
	switch j.stage {
	case onTable:
		return j.typesTable(env, msg)
	case onTableFile:
		return j.takesFile(env, msg)
	case onSite, onChamber, onJoint, onLooks:
		return j.types(env, msg)
	}
	return j
}

// typed tells whether anything would be lost.
func (j jobTyping) typed() bool {
	return len(j.tables) > 0 || j.site != nil || len(j.chambers) > 0 || len(j.outside) > 0 || j.look != nil
}

// leave drops the job where nothing was typed; else Esc is needed twice.
func (j jobTyping) leave(env shell.Env) jobTyping {
	if j.leaves || !j.typed() {
		env.Do.Pop()
	}
	j.leaves = true
	return j
}

// chooses answers the keys on a list.
func (j jobTyping) chooses(env shell.Env, key tea.KeyMsg) jobTyping {
	d := shell.Digit(key)
	switch {
	case shell.Is(key, shell.Leave, shell.BackOne) && j.stage != onList:
		j.stage = onList
		return j
	case shell.Is(key, shell.Leave):
		return j.leave(env)
	}
	if j.leaves { // it says only that it goes on
		j.leaves = false
		return j
	}
	switch {
	case j.stage != onList:
		return j.among(d)
	case shell.Is(key, shell.Enter):
		return j.goes(j.next())
	case d >= 1 && d <= len(jobSteps):
		return j.goes(jobSteps[d-1].stage)
	}
	return j
}

// jobSteps are the parts of a job, by their digits.
var jobSteps = []struct {
	stage stage
	name  string
	holds func(jobTyping) string
}{
	{onTable, "fusion tables, typed from the bags", jobTyping.tablesLine},
	{onSite, "the site", func(j jobTyping) string { return j.site.V("site") }},
	{onChambers, "chambers with their circuits and headers", func(j jobTyping) string { return names(j.chambers, "chamber") }},
	{onOutside, "joints outside the chambers", func(j jobTyping) string { return names(j.outside, "label") }},
	{onPlan, "read the plan back, and open the site", func(jobTyping) string { return "" }},
	{onTableFile, "a fusion table from a file, in place of typing it", func(jobTyping) string { return "" }},
	{onLooks, "what is looked at before welding and cover, if wanted", jobTyping.looksLine},
}

func (j jobTyping) tablesLine() string {
	var parts []string
	for _, t := range j.tables {
		parts = append(parts, fmt.Sprintf("%s (%s)", t.Title, logbook.Count(len(t.Fittings), "fitting")))
	}
	return strings.Join(parts, ", ")
}

func names(all []form.Answers, item string) string {
	var out []string
	for _, a := range all {
		out = append(out, a.V(item))
	}
	return strings.Join(out, ", ")
}

// next is what a job needs next.
func (j jobTyping) next() stage {
	switch {
	case len(j.tables) == 0:
		return onTable
	case j.site == nil:
		return onSite
	case len(j.chambers)+len(j.outside) == 0:
		return onChambers
	}
	return onPlan
}

// goes opens a part.
func (j jobTyping) goes(to stage) jobTyping {
	j.stage, j.top = to, 0
	switch to {
	case onTable:
		j.table = newTableTyping()
	case onTableFile:
		j.box = form.NewFileBox("table", "table file", "")
	case onSite:
		j.now = aboutSite()
		j = j.reopens(j.site)
	case onLooks:
		j.now = j.looks()
		j = j.reopens(j.look)
	case onChambers:
		if len(j.chambers) == 0 {
			return j.among(9)
		}
	case onOutside:
		if len(j.outside) == 0 {
			return j.among(9)
		}
	}
	return j
}

// reopens is a part anew, or with what stands.
func (j jobTyping) reopens(a form.Answers) jobTyping {
	if a == nil {
		j.now = j.now.begin()
	} else {
		j.now = j.now.with(a)
	}
	return j
}

// among opens one of several chambers or joints, 9 a further one, 0 drops the last.
func (j jobTyping) among(d int) jobTyping {
	all := &j.chambers
	if j.stage == onOutside || j.stage == onJoint {
		all = &j.outside
	}
	n := len(*all)
	switch {
	case d == 0 && n > 0:
		*all = slices.Clone((*all)[:n-1])
		return j
	case d == 9:
		j.no = n
	case d >= 1 && d <= n:
		j.no = d - 1
	default:
		return j
	}
	if all == &j.chambers {
		j.stage, j.now = onChamber, j.chamber(j.no)
	} else {
		j.stage, j.now = onJoint, j.joint(j.no)
	}
	if j.no < n {
		return j.reopens((*all)[j.no])
	}
	return j.reopens(nil)
}

// types goes on with the site, a chamber or a joint.
func (j jobTyping) types(env shell.Env, msg tea.Msg) jobTyping {
	p, came := j.now.Update(msg, env.W, env.H)
	j.now = p
	switch {
	case came == dropped:
		return j.lists()
	case came != taken:
		return j
	}
	a := p.asked()
	switch j.stage {
	case onSite:
		j.site, j.tag = a, strings.ToUpper(a.V("tag"))
	case onChamber:
		j.chambers = put(j.chambers, j.no, a)
	case onJoint:
		j.outside = put(j.outside, j.no, a)
	case onLooks:
		j.look = a
	}
	return j.lists()
}

// lists is the list that the present part was opened from, or the one of all parts.
func (j jobTyping) lists() jobTyping {
	j.stage, j.leaves = onList, false
	return j
}

func put(all []form.Answers, no int, a form.Answers) []form.Answers {
	all = slices.Clone(all)
	if no < len(all) {
		all[no] = a
		return all
	}
	return append(all, a)
}

func (j jobTyping) typesTable(env shell.Env, msg tea.Msg) jobTyping {
	t, came := j.table.Update(msg, env.W, env.H)
	j.table = t
	switch came {
	case taken:
		j.tables = append(slices.Clone(j.tables), jobTable{t.table, t.file()})
		return j.lists()
	case dropped:
		return j.lists()
	}
	return j
}

func (j jobTyping) takesFile(env shell.Env, msg tea.Msg) jobTyping {
	if shell.Is(msg, shell.Leave) {
		box, leaves := j.box.Leaves()
		if j.box = box; leaves {
			return j.lists()
		}
		return j
	}
	box, in, _ := j.box.Update(env, msg)
	j.box = box
	if in == nil {
		return j
	}
	t, err := logtable.Parse([]byte(in.Text))
	if err != nil {
		return j
	}
	j.tables = append(slices.Clone(j.tables), jobTable{t, in.File})
	return j.lists()
}

// planned is the plan of what was typed so far.
func (j jobTyping) planned() plan.Plan {
	p := plan.Plan{Site: j.site.V("site"), Client: j.site.V("client"), Firm: j.site.V("firm"), Address: j.site.V("address")}
	if s := j.site.V("scraping"); s != eitherScraper {
		p.Scraping = s
	}
	for _, a := range j.chambers {
		p.Chambers = append(p.Chambers, chamberOf(a))
	}
	for _, a := range j.outside {
		p.Extra = append(p.Extra, extraOf(a))
	}
	return j.looked(p)
}

// file is the plan as a file.
func (j jobTyping) file() acts.File {
	p := j.planned()
	return acts.File{Name: fileName(p.Site, "plan"), Text: plan.Write(p)}
}

// fusionTables are the tables alone, the newest last.
func (j jobTyping) fusionTables() []fusion.Table {
	var out []fusion.Table
	for _, t := range j.tables {
		out = append(out, t.Table)
	}
	return out
}

// lacks says what keeps the plan from being opened, a line each.
func (j jobTyping) lacks() []string {
	var out []string
	if len(j.tables) == 0 {
		out = append(out, "no fusion table yet (1, or 6 for a file)")
	}
	if j.site == nil {
		return append(out, "the site is not typed yet (2)")
	}
	p := j.planned()
	out = append(out, planFaults(p)...)
	if len(out) == 0 {
		wrong, unlisted := p.Against(j.fusionTables())
		out = slices.Concat(wrong, unlisted)
	}
	return out
}
