// Package account tells a register in sentences, for every document that is read rather
// than worked with: what it says of a weld, a test or a person stands here once, so that no
// document says otherwise. What it says is the Report's.
package account

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/chart"
	"coolhold/logbook/handover"
	"coolhold/logbook/register"
)

// How a time is written here: each with its offset from UTC.
const (
	minute = "2006-01-02 15:04 -07:00"
	second = "2006-01-02 15:04:05 -07:00"
)

// none stands where the log has nothing of a kind.
const none = "None in this log."

// An Account is a report in sentences.
type Account struct {
	Title, Site string
	Under       []string // where, for whom, by whom, as of when
	Loud        []string // what nobody may miss
	Short       Chapter
	Open        Chapter
	Accepted    Chapter
	Lines       []Line
	Outside     Chapter
	Welds       []Weld    // one a row
	Lists       []Chapter // one after another: lapsed acceptances, cut-outs, corrections, what is missing
	Pressure    Pressure
	Loop        []Chapter
	Later       []Chapter
	Handover    []handover.Part
	HandoverSay string
	Files       Chapter
	People      Chapter
	Units       Chapter
	Tables      []Table
	Batches     Chapter
	Rules       []Chapter
	Source      []Pair
	Seals       []Sealed
	Signers     []string
	NotSealed   bool
	Cautions    []string
	Foot        []string

	maker maker
}

// Covered says that a section is under the ground, by whose word, and what was not settled
// then; "" where it is not.
func (a Account) Covered(section string) string {
	cover, ok := a.maker.rep.Site.CoverOf(section)
	if !ok {
		return ""
	}
	return "Covered with ground: said by " + a.maker.whoIs(cover.By) + ", " + cover.When(minute) + ". Not settled then: " + strings.Join(register.OpenAtCover(cover), "; ") + "." + prefixed(" ", a.maker.dugSays(cover))
}

// AtJoint are the findings open at the joint in which a weld stands, beside those on the weld.
func (a Account) AtJoint(row register.Row) []audit.Finding {
	if row.Weld.ID == "" {
		return nil
	}
	return a.maker.opens.AtJoint(row)
}

// JointAt is the place in a document that a joint leads to.
func (a Account) JointAt(label string) string { return a.maker.anchors.joint[label] }

// A link leads to another place in the page; without a place it is words only.
type Link struct{ To, Text string }

// A pair is a name with what is said of it.
type Pair struct {
	Name string
	Says []string
}

// An item is one thing in a list: a word in bold, what it is about, what is said.
type Item struct {
	Head  string
	About []Link
	Says  string
	More  []string
	Each  []Link // what it is about, where that is many: a paper names them in Says
	ID    string // a place of its own; "": none
	Over  string // a heading over it, of it and of what follows; "": none
}

// A chapter is a heading, sentences, and a list. Folded items are there to be unfolded.
type Chapter struct {
	ID, Title string
	Intro     []string
	Items     []Item
	Folded    string // the words over them; "": they lie open
}

// A sealed is a seal as it can be copied out.
type Sealed struct{ Title, Says, Note string }

// A maker makes a view; what it looks up often stands in it.
type maker struct {
	rep     register.Report
	anchors anchors
	people  []register.Involved
	who     map[string]string // by the name as it stands in the log
	hand    handover.Handover

	conflicts map[string][]string        // at which port a joint is, by its label
	byLabel   map[string]chart.Place     // the joints, by their labels
	rowAt     map[string]int             // the first row of a weld
	shares    []share                    // what is open
	lacking   map[string][]string        // what nobody said of a weld, by the weld
	opens     register.Opens             // what is open, by weld and joint
	losses    []logbook.Event            // of pressure, that nobody repaired
	unseen    []logbook.Event            // of pressure, repaired by the word of one person
	did       map[string][]audit.Removal // what the corrections of a weld did to its findings
}

// Of tells a report. step, where it is not nil, is told how many of all rows are put
// together.
func Of(rep register.Report, step func(done, of int)) Account {
	m := maker{rep: rep, anchors: anchorsOf(rep), people: rep.Everybody(), who: map[string]string{}, hand: rep.Handover(), conflicts: conflictsOf(rep.Joints), did: rep.Removals(), losses: rep.OpenLosses(), unseen: unseenOf(rep), byLabel: map[string]chart.Place{}, rowAt: map[string]int{}, lacking: lackingOf(rep.Open), opens: rep.Opens()}
	for _, p := range rep.Joints {
		m.byLabel[p.Label] = p
	}
	for i, row := range rep.Rows {
		if _, had := m.rowAt[row.Weld.ID]; row.Weld.ID != "" && !had {
			m.rowAt[row.Weld.ID] = i
		}
	}
	m.shares = m.sharesOf(rep.Open)
	s := rep.Site
	return Account{
		Title: "Register of welds: " + s.Name, Site: cmp.Or(s.Name, "Site not named"), Loud: m.loud(),
		Under: []string{
			logbook.Joined(". ", s.Address, "Client: "+cmp.Or(s.Client, "not named"), "Firm: "+cmp.Or(s.Firm, "not named"), "Contract: "+cmp.Or(s.Contract, "not named")) + ".",
			"As recorded up to " + rep.AsOf.Format(second) + "; local time and its offset from UTC.",
		},
		Short: m.short(), Open: m.open(), Accepted: m.accepted(), Lines: m.lines(), Outside: m.outside(), Welds: m.welds(step),
		Lists: []Chapter{m.lapsed(), m.replaced(), m.corrections(), m.missing(), m.afterSeal()}, Pressure: m.pressure(), Loop: m.loop(), Later: m.later(),
		Handover: m.handover(), HandoverSay: handover.Caveat, Files: m.files(), People: m.persons(), Units: m.units(), Tables: m.tables(), Batches: m.batches(), Rules: m.rules(),
		Source: m.source(), Seals: m.seals(), NotSealed: len(rep.Sealed()) == 0, Cautions: register.Cautions,
		Signers: []string{"For the firm: " + s.Firm, "Foreman on site", "For the client: " + s.Client},
		Foot:    []string{register.Caveat, cmp.Or(rep.Program, "coolhold") + ", as of " + rep.AsOf.Format(second) + ", " + rep.SealLine() + "."},
		maker:   m,
	}
}

// loud is what stands before everything else, where there is any of it.
func (m maker) loud() (out []string) {
	if m.rep.Filtered() {
		out = append(out, fmt.Sprintf("Only a part is listed: %s (%d of %d rows).", m.rep.FilterLine(), len(m.rep.Rows), m.rep.All))
	}
	if line := m.rep.UnreadLine(); line != "" {
		out = append(out, "Not read: "+line)
	}
	if m.rep.Unlike != "" {
		out = append(out, m.rep.Unlike)
	}
	out = append(out, m.rep.AloneLines()...)
	if len(m.rep.Deciders) > 0 && !slices.ContainsFunc(m.rep.Named, func(n register.Named) bool { return n.Role == logbook.RoleForeman.String() }) {
		out = append(out, "Nobody is named as foreman of this site: whether those who decided something had the right to is not in this log.")
	}
	for _, p := range m.people {
		if p.Unlisted {
			out = append(out, p.Name+" decided something here ("+strings.Join(p.Did, ", ")+") and is on no shift and on no list of people of this site.")
		}
	}
	return out
}

// short is the site in a few sentences.
func (m maker) short() Chapter {
	c := Chapter{ID: "short", Title: "In short", Intro: []string{m.rep.JointLine(), m.rep.WeldLine(), m.openLine()}}
	for _, k := range m.rep.Counts {
		if k.Standing+k.CutOut == 0 {
			continue
		}
		var parts []string
		for _, n := range []struct {
			n    int
			what string
		}{{k.InPlace(), "in place"}, {k.BeingMade, "being made"}, {k.GivenUp, "given up"}, {k.CutOut, "cut out"}} {
			if n.n > 0 {
				parts = append(parts, fmt.Sprintf("%d %s", n.n, n.what))
			}
		}
		c.Items = append(c.Items, Item{Head: titled(string(k.Verdict)) + ": " + strings.Join(parts, ", "), Says: stop(register.Means[k.Verdict])})
	}
	c.Items = append(c.Items, m.fromPaper()...)
	for _, b := range m.rep.Besides() {
		next := Item{Head: titled(b.What) + ": " + cmp.Or(recorded(b.Recorded), "none recorded"), Says: stop(openOf(b))}
		if b.What == pressureTests && b.Recorded == 0 {
			next.Says = logbook.Joined(" ", next.Says, m.pressureAllTheSame())
		}
		c.Items = append(c.Items, next)
	}
	if !slices.ContainsFunc(m.rep.Besides(), func(b register.Beside) bool { return b.What == pressureTests }) {
		c.Items = append(c.Items, Item{Head: "Pressure tests", Says: logbook.Joined(" ", "none recorded.", m.pressureAllTheSame())})
	}
	if line := m.lossLine(); line != "" && len(m.rep.Tests) > 0 {
		c.Items = append(c.Items, Item{Head: "Pressure lost", Says: line})
	}
	if lines := m.dayLines(); len(lines) > 0 {
		c.Items = append(c.Items, Item{Head: "Days", Says: strings.Join(lines, " ")})
	}
	c.Items = append(c.Items, Item{Head: "Covered with ground", Says: cmp.Or(m.coveredLine(), "nothing is recorded as covered") + "."}, Item{Head: "Seal", Says: stop(m.rep.SealLine())})
	return c
}

// pressureTests is what the sum of the document calls them.
const pressureTests = "pressure tests"

func recorded(n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("%d recorded", n)
}

func openOf(b register.Beside) string {
	if b.Fails+b.Queries+b.ToDo == 0 {
		return "nothing of it is open"
	}
	return fmt.Sprintf("open: fails %d, queries %d, to do %d", b.Fails, b.Queries, b.ToDo)
}

func (m maker) coveredLine() string {
	var parts []string
	for _, c := range m.rep.Site.Covers {
		if c.Withdrawn == nil {
			parts = append(parts, c.Section+", "+c.When(minute))
		}
	}
	return strings.Join(parts, "; ")
}

// openLine counts what is open, the worst first, with what each number is made up of.
func (m maker) openLine() string {
	n, parts := map[string]int{}, map[string][]string{}
	var words []string
	for _, k := range m.shares {
		if n[k.word] == 0 {
			words = append(words, k.word)
		}
		n[k.word] += k.counts()
		parts[k.word] = append(parts[k.word], logbook.Joined(", ", k.what(), prefixed("by ", m.rep.Whose(k.who))))
	}
	if len(words) == 0 {
		return "Nothing is open on the site."
	}
	for i, word := range words {
		words[i] = fmt.Sprintf("%s %d (%s)", word, n[word], strings.Join(parts[word], "; "))
	}
	return "Findings still open, of which one weld may have several: " + strings.Join(words, ", ") + "."
}

// open are the findings that somebody must still do something about, in shares: each as the
// front counts it.
func (m maker) open() Chapter {
	c := Chapter{ID: "open", Title: "Still open"}
	if m.rep.Filtered() {
		c.Intro = append(c.Intro, "Everything that is open on the site, also of welds that this document leaves out.")
	}
	dug := map[string]bool{} // said where the joint is first told of
	for _, k := range m.shares {
		for i, g := range k.groups {
			next := Item{Head: titled(g.First().Word()), About: m.about(g), Says: says(g), More: []string{"What to do" + m.byWhom(g) + ": " + stop(plainly(m.do(g)))}, Each: m.each(g)}
			if i == 0 {
				next.ID, next.Over = k.id, k.what()+": "+m.actor(k.who)
			}
			if n := g.Counts(); n > 1 {
				next.Head += fmt.Sprintf(" (%d in one line)", n)
			}
			next.More = append(next.More, m.unsaidOf(g)...)
			next.More = append(next.More, m.besideLoss(g.First())...)
			if says := m.restsOn(g.First().Weld, g.First().Rule); says != "" && g.First().Severity == audit.Fail {
				next.More = append(next.More, says)
			}
			for _, f := range g.Findings {
				if dig := m.digSays(f); dig != "" && !dug[f.Joint] {
					if several(g) {
						dig = f.Joint + ": " + dig
					}
					dug[f.Joint], next.More = true, append(next.More, dig)
				}
			}
			c.Items = append(c.Items, next)
		}
	}
	if len(c.Items) == 0 {
		c.Intro = append(c.Intro, "Nothing is open on the site: every query is answered, and every joint that is being built has its weld.")
	} else {
		c.Intro = append(c.Intro, "A line is one unless it says how many are in it: so counted, the numbers over the lines are those of the front.")
	}
	return c
}

// several tells whether a group is of several joints: a fail, and that it stands in its joint, is
// of one.
func several(g audit.Group) bool {
	return slices.ContainsFunc(g.Findings, func(f audit.Finding) bool { return f.Joint != g.First().Joint })
}

// do is what to do about a group. What lies under the ground is dug up first.
func (m maker) do(g audit.Group) string {
	f, do := g.First(), g.Do()
	if f.Rule == audit.Unreleased && !several(g) {
		if u, over := m.rep.Unended(f.Weld); over {
			do = "feel, look, and enter the release: its cooling time is over since " + logbook.UpMinute(u.Over).Format(minute)
		}
	}
	if m.cutFirst(f) {
		do = cutFor(g)
	}
	return m.dugFirst(g, do)
}

// cutFor is what to do of what is asked of welds that are to be cut out.
func cutFor(g audit.Group) string {
	switch f := g.First(); {
	case len(g.Findings) > 1:
		return "cut them out for their faults first; no answer to this keeps them in their joints"
	case strings.HasPrefix(f.Do, "cut it out, as "): // so somebody ordered
		return f.Do + keepsNothing
	}
	return "cut it out for its fault first" + keepsNothing
}

// keepsNothing is said of what is asked of a weld that is to be cut out.
const keepsNothing = "; no answer to this keeps it in its joint"

// leavesUnsaid are the rules that say what nobody said of a weld.
var leavesUnsaid = []string{"preparation-unsaid", audit.LookUnsaid, "unsaid-on-paper", "not-seen", "unread", "end-unsaid"}

// unsaidOf says of welds from paper, where several are read together, what each leaves
// unsaid: that no cell of a row is empty does not say that all is known.
func (m maker) unsaidOf(g audit.Group) (out []string) {
	if g.First().Rule != audit.Transcribed || g.Once {
		return nil
	}
	at := map[string][]string{}
	var order []string
	for _, f := range g.Findings {
		says := m.unsaid(f)
		if at[says] == nil {
			order = append(order, says)
		}
		at[says] = append(at[says], f.Weld)
	}
	for _, says := range order {
		out = append(out, stop(audit.AllRuns(at[says])+": "+says))
	}
	return out
}

// unsaid is what a weld from paper leaves unsaid.
func (m maker) unsaid(f audit.Finding) string {
	_, row, _ := strings.Cut(register.SaidOf(f), " (")
	return row[:max(0, len(row)-1)] + m.andYet(f.Weld, row)
}

// andYet is what nobody said of a weld each cell of whose row was filled in: the one does not
// say the other. Of a row with blanks these are named.
func (m maker) andYet(weld, row string) string {
	if !strings.Contains(row, register.Filled) {
		return ""
	}
	return prefixed(", and yet ", strings.Join(m.lacking[weld], "; "))
}

// lackingOf is what nobody said of each weld, as its open findings have it.
func lackingOf(open []audit.Finding) map[string][]string {
	out := map[string][]string{}
	for _, f := range open {
		if f.Weld != "" && slices.Contains(leavesUnsaid, f.Rule) {
			out[f.Weld] = append(out[f.Weld], without(f.Says, f.Weld, f.Joint))
		}
	}
	return out
}

// says is a group in words, without its weld or joint where that stands before: of several
// each is named.
func says(g audit.Group) string {
	if len(g.Findings) > 1 && g.Counts() > 1 {
		whole := g.Whole()
		if g.First().Rule == audit.Transcribed {
			whole = register.OnSheet(whole)
		}
		return stop(titled(plainly(whole)))
	}
	return stop(titled(plainly(without(register.Told(g), g.First().Weld, g.First().Joint))))
}

// Says is a finding in words, without its weld or joint where that stands before.
func Says(f audit.Finding) string { return says(audit.Group{Findings: []audit.Finding{f}}) }

// about leads to what a group of findings is about, where that is one thing.
func (m maker) about(g audit.Group) []Link {
	f := g.First()
	if len(g.Findings) > 1 && (f.Weld == "" || g.Counts() > 1) {
		return nil
	}
	switch {
	case f.Weld != "":
		return []Link{{m.anchors.weld[f.Weld], logbook.Joined(", weld ", prefixed("joint ", f.Joint), f.Weld)}}
	case f.Joint != "":
		return []Link{{m.anchors.joint[f.Joint], "joint " + f.Joint}}
	case f.Part != "":
		return []Link{{"covered", f.Part}}
	case strings.HasPrefix(f.Rule, "pressure-"):
		return []Link{{"pressure", "pressure tests"}}
	}
	return nil
}

// accepted is the one list of what was accepted, with who, when and why.
func (m maker) accepted() Chapter {
	c := Chapter{ID: "accepted", Title: "Accepted queries"}
	accepted := slices.DeleteFunc(slices.Clone(m.rep.Findings), func(f audit.Finding) bool { return f.Accepted == nil })
	for _, g := range audit.Groups(accepted) {
		c.Items = append(c.Items, Item{Head: "Accepted", About: m.about(g), Says: says(g), More: []string{m.acceptedBy(*g.First().Accepted)}, Each: m.each(g)})
	}
	if len(c.Items) == 0 {
		c.Intro = []string{"No query was accepted. " + none}
		return c
	}
	c.Intro = []string{"Each query that a named person accepted, with the reason. It stays in the record."}
	return c
}

func (m maker) acceptedBy(a audit.Acceptance) string {
	line := "Accepted by " + a.Who()
	if who := m.whoIs(a.By); who != a.By && !a.OwnWelder {
		line = "Accepted by " + who
	}
	return line + " on " + a.At.Local().Format(minute) + ". Why: " + stop(a.Why)
}

// whoIs is a name with role and firm, as far as the log has them.
func (m maker) whoIs(name string) string {
	if who, known := m.who[name]; known {
		return who
	}
	who := name
	for _, p := range m.people {
		if p.Name == name || m.rep.Site.SameName(p.Name, name) {
			if more := logbook.Joined(", ", p.Role, p.Firm); more != "" {
				who = name + " (" + more + ")"
			}
			break
		}
	}
	m.who[name] = who
	return who
}

// A line is a joint with its weld in the list of all.
type Line struct {
	Joint, Weld Link
	Says        string // the verdict, or why there is none
	Tone        string
	When, By    string
}

func (m maker) lines() (out []Line) {
	for i, row := range m.rep.Rows {
		at := m.anchors.row[i]
		l := Line{Joint: Link{at, row.Joint.Label}, Weld: Link{at, row.Weld.ID}, Says: m.shown(row), Tone: tone(row)}
		if at, fused := row.Weld.FusedAt(); fused {
			l.When = at.Format(minute)
		}
		l.By = row.Weld.Operator
		out = append(out, l)
	}
	return out
}

// shown is what the record of a row shows, why it is not complete, and that pressure was lost
// there.
func (m maker) shown(row register.Row) string {
	says := shown(row)
	if why := m.incomplete(row); why != "" {
		says = string(row.Verdict) + ", " + why
	}
	return logbook.Joined(", ", says, m.lossAt(row))
}

// incomplete is why the record of a weld that stands or is being made is not complete, in few
// words; "" where it is, or where a finding alone tells.
func (m maker) incomplete(row register.Row) string {
	if row.Verdict != audit.Unfinished || row.Weld.ID == "" {
		return ""
	}
	switch w := row.Weld; {
	case w.Walking():
		return register.BeingMade
	case m.unended(w.ID) != "":
		return m.unended(w.ID)
	case w.Fusing():
		return "fusing"
	case w.Holding():
		return "cooling"
	}
	return strings.Join(m.lacking[row.Weld.ID], ", ")
}

// shown is what the record of a row shows, in few words.
func shown(row register.Row) string {
	state := register.Plain(row.Cell("state"))
	switch {
	case row.Weld.ID == "" || string(row.Verdict) == state:
		return state
	case state == "stands":
		return string(row.Verdict)
	}
	return logbook.Joined(", ", string(row.Verdict), state)
}

// tone is how a row is marked beside its words.
func tone(row register.Row) string {
	switch {
	case row.Weld.CutOut != nil || row.Weld.ID == "" || row.Verdict == audit.NoHeat:
		return "gone"
	case row.Verdict == audit.Failed:
		return "fail"
	case row.Verdict == audit.Clear || row.Verdict == audit.Accepted:
		return "clear"
	}
	return "query"
}

// replaced lists the welds that were cut out, with what came in their place, and those that
// were ordered to be.
func (m maker) replaced() Chapter {
	c := Chapter{ID: "cut-outs", Title: "Cut-outs and their replacements"}
	for i, row := range m.rep.Rows {
		about := []Link{{m.anchors.row[i], "joint " + row.Joint.Label + ", weld " + row.Weld.ID}}
		if w := row.Weld.CutWithdrawn; w != nil {
			c.Items = append(c.Items, Item{Head: "Ordered, and the order taken back", About: about, Says: stop(titled(w.Why)), More: []string{"By " + m.whoIs(w.By) + ", " + w.At.Local().Format(minute) + "."}})
		}
		if row.Weld.CutOut == nil {
			if len(row.Weld.CutOrders) > 0 {
				c.Items = append(c.Items, Item{Head: "Ordered, and not carried out", About: about, Says: "It stands in its joint.", More: m.orderedBy(row)})
			}
			continue
		}
		next := Item{Head: "Cut out", About: about, Says: stop(logbook.Joined(", ", timed(row.Cell("cut_out_at")), register.Plain(row.Cell("cut_out_why")))), More: []string{"Welded by " + m.welder(row) + "."}}
		next.More = append(append(next.More, m.orderedBy(row)...), cutBy(m, row)...)
		if j, is := m.rowAt[row.Next]; is && row.Next != "" {
			next.About = append(next.About, Link{m.anchors.row[j], "replaced by " + row.Next})
		} else {
			for _, piece := range row.Joint.Split {
				next.About = append(next.About, Link{m.anchors.joint[piece], "joint " + piece})
			}
			next.More = append(next.More, "Replaced by "+m.replacement(row)+".")
		}
		c.Items = append(c.Items, next)
	}
	if len(c.Items) == 0 {
		c.Intro = []string{"No weld that is listed was cut out. " + none}
	}
	return c
}

// orderedBy are the orders to cut a weld out that stand, or that nobody is recorded as having
// given one.
func (m maker) orderedBy(row register.Row) (out []string) {
	for _, o := range row.Weld.CutOrders {
		out = append(out, stop("Ordered by "+m.whoIs(o.By)+", "+o.At.Local().Format(minute)+": "+o.Why))
	}
	if len(out) == 0 {
		out = []string{"Nobody is recorded as having ordered it."}
	}
	return out
}

// cutBy is who recorded that a weld was cut out: who held the saw no log has.
func cutBy(m maker, row register.Row) (out []string) {
	for _, e := range row.Told {
		if e.Kind == (logbook.CutOut{}).Kind() {
			out = []string{"That it was cut out is recorded by " + m.whoIs(e.By) + "; who did it is not recorded beside that."}
		}
	}
	return out
}

// replacement is what came in the place of a weld that was cut out: of a make-up piece each of
// its joints with its weld, or that in it none is yet.
func (m maker) replacement(row register.Row) string {
	if row.Next != "" || len(row.Joint.Split) == 0 {
		return cmp.Or(row.Next, "nothing yet")
	}
	var pieces []string
	for _, label := range row.Joint.Split {
		pieces = append(pieces, label+" ("+cmp.Or(prefixed("weld ", m.byLabel[label].Stands), "without a weld")+")")
	}
	return "make-up piece: " + strings.Join(pieces, " and ")
}

// loop is flow, purge and fluid: what was read, what that comes to, and what it is of each
// circuit and header.
func (m maker) loop() []Chapter {
	said := Chapter{ID: "loop", Title: "Flow, purge and fluid"}
	for _, l := range m.rep.Loop {
		said.Items = append(said.Items, Item{Head: titled(l.What), Says: stop(l.Said), More: []string{"What it comes to: " + stop(l.ComesTo()), "Said by " + m.whoIs(l.By) + ", " + stated(l.At) + "."}})
	}
	said.Intro = []string{"The newest of its kind in a section counts; of how it was left each thing stands until that thing is said anew. Flow is decided only where both legs of every other circuit were shut."}
	if len(said.Items) == 0 {
		said.Intro = []string{"No flow check, no purge and no filling is recorded. " + none}
	}
	f := m.hand.File()
	return []Chapter{said, lines("", "Flow of each circuit", f.Flows), lines("", "Purge of each pipe", f.Purges)}
}

// lines are lines as a chapter.
func lines(id, title string, says []string) Chapter {
	c := Chapter{ID: id, Title: title}
	for _, l := range says {
		c.Items = append(c.Items, Item{Says: stop(l)})
	}
	if len(says) == 0 {
		c.Intro = []string{none}
	}
	return c
}

// later is what was said of the site as a whole: covered, looked at, signed, and what
// happened later.
func (m maker) later() []Chapter {
	s := m.rep.Site
	covered := Chapter{ID: "covered", Title: "Covered with ground"}
	for _, c := range s.Covers {
		open := register.OpenAtCover(c)
		open[0] = "Not settled at that moment: " + open[0]
		covered.Items = append(covered.Items, Item{Head: titled(c.Section), Says: c.When(minute) + ", said by " + m.whoIs(c.By) + ".", More: append(sentences(open), some(m.dugSays(c))...)})
	}
	if len(covered.Items) == 0 {
		covered.Intro = []string{"Nothing is recorded as covered. " + none}
	}
	signed := Chapter{ID: "signed", Title: "Days signed"}
	for _, g := range s.Signed {
		signed.Items = append(signed.Items, Item{Head: g.Day, Says: "signed by " + m.whoIs(g.By) + ", " + g.At.Local().Format(minute) + ".", More: m.openThen(g)})
	}
	if signed.Intro = m.dayLines(); len(s.Signed) == 0 {
		signed.Intro = append([]string{"No day was signed in the log. " + none}, signed.Intro...)
	}
	events := Chapter{ID: "events", Title: "What happened later"}
	for _, e := range s.Events {
		events.Items = append(events.Items, Item{Head: titled(e.What.String()) + ", " + e.On, Says: logbook.Joined(": ", e.About(), stop(e.Text)), More: append(m.concerning(e), "Said by "+m.whoIs(e.By)+", "+e.At.Local().Format(minute)+".")})
	}
	if len(events.Items) == 0 {
		events.Intro = []string{"Nothing is recorded. " + none}
	}
	return slices.Concat([]Chapter{covered}, m.ground(), []Chapter{signed, events})
}

// dugSays are the joints of a part that were dug up since it was covered: no ground lies over
// these.
func (m maker) dugSays(c logbook.Cover) string {
	return headed("Dug up since: ", ", ", m.rep.DugSince(c)...)
}

func some(s string) []string {
	if s == "" {
		return nil
	}
	return []string{s}
}

// ground is what the plan wants looked at before welding and cover with what is recorded of
// it, then each look as it was said.
func (m maker) ground() []Chapter {
	c := Chapter{ID: "looked-at", Title: "Looked at before welding and cover"}
	for _, p := range m.rep.Parts {
		for _, l := range p.Lines {
			next := Item{Head: titled(p.Part) + ", " + l.Stage.String() + ", " + l.Name(), Says: stop(cmp.Or(l.Says(), "not recorded"))}
			if !l.Required {
				next.More = append(next.More, "Not wanted by the plan.")
			}
			if l.At != "" {
				next.More = append(next.More, "By "+m.whoIs(l.By)+", "+stated(l.At)+".")
			}
			c.Items = append(c.Items, next)
		}
	}
	for _, g := range m.rep.Ground {
		next := Item{Head: "Said", Says: stop(g.Said), More: []string{"By " + m.whoIs(g.By) + ", " + stated(g.At) + "."}}
		if w := g.Back; w != nil {
			next.More = append(next.More, "Taken back by "+m.whoIs(w.By)+", "+w.At.Local().Format(minute)+": "+stop(w.Why))
		}
		c.Items = append(c.Items, next)
	}
	if len(c.Items) == 0 {
		c.Intro = []string{"The plan asks for no such look, and none is recorded."}
	}
	return []Chapter{c}
}

// Labels is the title of the part of the hand-over that lists what stands on the pipes.
const Labels = "Labels of headers and legs"

// handover are the parts of the plumber's leaf.
func (m maker) handover() []handover.Part {
	return append(m.withConflicts(inWordsOfSheets(m.hand.Leaf().Parts)), handover.Part{Title: Labels, Lines: orNone(m.hand.File().Labels)})
}

// inWordsOfSheets are the parts of the leaf with what a row of a paper sheet left blank in
// words: a reader of the register never saw the names of its columns.
func inWordsOfSheets(parts []handover.Part) []handover.Part {
	parts = slices.Clone(parts)
	for i, p := range parts {
		parts[i].Rows = slices.Clone(p.Rows)
		for k, row := range p.Rows {
			says := slices.Clone(row.Says)
			for n, text := range says {
				if strings.Contains(text, " was transcribed from paper by ") {
					says[n] = register.OnSheet(text)
				}
			}
			parts[i].Rows[k].Says = says
		}
	}
	return parts
}

func orNone(lines []string) []string {
	if len(lines) == 0 {
		return []string{none}
	}
	return lines
}

// titled is a word at the head of a line.
func titled(s string) string {
	if s == "" {
		return ""
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// stop is a sentence with its end.
func stop(s string) string {
	if s == "" || strings.ContainsAny(s[len(s)-1:], ".!?") {
		return s
	}
	return s + "."
}

func sentences(lines []string) []string {
	out := make([]string, len(lines))
	for i, l := range lines {
		out[i] = stop(titled(l))
	}
	return out
}

func prefixed(before, s string) string {
	if s == "" {
		return ""
	}
	return before + s
}

// stated is a time that was handed out, to the minute and with its offset.
func stated(at string) string {
	t, err := time.Parse(time.RFC3339, at)
	if err != nil {
		return at
	}
	return t.Format(minute)
}

// timed is a value as text, a time with its offset.
func timed(v register.Value) string {
	if t, is := v.(time.Time); is {
		return t.Format(second)
	}
	return register.Plain(v)
}
