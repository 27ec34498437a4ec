package xlsx

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/register"
	"coolhold/logbook/register/account"
)

// summary is the title page: what the workbook is about, and what it is not.
func (b *book) summary() error {
	widths := []float64{26, 54, 20, 16, 16, 56}
	site := b.rep.Site
	rows := [][]any{
		{excelize.Cell{StyleID: b.head, Value: "Register of welds"}},
		b.says("site", site.Name), b.says("address", site.Address), b.says("client", site.Client), b.says("firm", site.Firm),
		b.says("contract", site.Contract),
		{b.say("as of"), b.at(b.rep.AsOf), b.say("UTC" + b.rep.AsOf.Format("-07:00"))},
		b.says("listed", cmp.Or(b.rep.FilterLine(), "everything")), {b.say("rows listed"), b.counted(len(b.rep.Rows))}, {b.say("rows in all"), b.counted(b.rep.All)},
		b.says("foreman", b.foreman()), b.says("seal", b.rep.SealLine()), b.says("welds after the seal", b.afterSeal()), b.says("not read", cmp.Or(b.rep.UnreadLine(), "nothing")), {b.say("what it says"), b.say(register.Caveat)},
		b.says("joints", b.rep.JointLine()), b.says("joints counted", b.rep.JointsLine()+", as in the sheet "+Work), b.without(), b.says("corrected", "a value that is underlined, in bold italics, was corrected; what stood before is in the sheet Corrections"), b.says("words", wordsSay), b.says("printed", printedSays), b.says("pressure tests", cmp.Or(strings.Join(b.rep.Tested, "; "), "none in this log")), nil,
	}
	for _, part := range [][][]any{b.logs(), b.plans(), b.oneSite(), b.counts(), b.stillOpen(), b.alone()} {
		if part != nil {
			rows = append(append(rows, part...), nil)
		}
	}
	b.high = 0
	b.high = 0
	for _, row := range rows {
		b.high += high(row, spread(row, widths))
	}
	s, err := b.sheet(Summary, widths...)
	b.high = 0
	if err != nil {
		return err
	}
	for _, row := range rows {
		if s.widths = spread(row, widths); s.widths[max(0, len(row)-1)] != widths[max(0, len(row)-1)] {
			if err := s.MergeCell(fmt.Sprintf("%c%d", 'A'+len(row)-1, s.row+1), fmt.Sprintf("%c%d", 'A'+len(widths)-1, s.row+1)); err != nil {
				return err
			}
		}
		if err := s.add(row...); err != nil {
			return err
		}
	}
	return s.Flush()
}

// spread are the widths of a row of the title page: the sentence at its end goes on over the
// columns behind it, where nothing else stands.
func spread(row []any, widths []float64) []float64 {
	last := len(row) - 1
	if last < 0 || last > 1 || float64(said(row[last])) < 0.9*widths[last] {
		return widths
	}
	out := slices.Clone(widths)
	for _, w := range widths[last+1:] {
		out[last] += w
	}
	return out
}

// wordsSay is what is meant wherever one of these words stands in the workbook.
const wordsSay = `"Still open" is a finding that somebody must answer or end. "Accepted" is a query that a named person answered with a reason, and a weld of which nothing else is left. "Corrected" is a value that was put right, nothing else. A joint in which no weld stands is "without a weld", never open.`

// printedSays is what of the sheet of all rows goes on paper.
var printedSays = fmt.Sprintf("of the sheet %s the first %d columns, on A3 lying, one page wide; those in which nothing stands take no room. All others are read on the screen; the sheet %s says which are printed. Of the other lists the columns in which nothing stands are hidden, and a list in which nothing stands at all is hidden whole.", Register, len(filed), Headings)

// bareSays begins the state of every joint in which no weld stands.
const bareSays = "without a weld"

// stateSays is what stands in the joint of a row, in the words that the other sheets have for
// it: a joint in which a walk is open has no weld yet.
func stateSays(v register.Value) string {
	switch v := register.Plain(v); v {
	case register.NoWeld:
		return bareSays
	case register.InTheWalk:
		return bareSays + ": " + register.BeingMade
	default:
		return v
	}
}

// without is how many joints have no weld: the one count of it, by the sheets in which it is
// found again.
func (b *book) without() []any {
	_, bare := register.Made(b.rep.Joints)
	says := fmt.Sprintf("%d: as many as in the sheets %s and %s", bare, Work, Pipes)
	if !b.rep.Filtered() {
		says += fmt.Sprintf(", and as the rows of the sheet %s that begin so", Register)
	}
	return b.says("joints "+bareSays, says)
}

// foreman says who is named as foreman, or that nobody is.
func (b *book) foreman() string {
	if names := b.rep.Foremen(); len(names) > 0 {
		return strings.Join(names, ", ")
	}
	return "nobody is named as foreman in this log"
}

// afterSeal names the welds of which anything was entered after the last seal.
func (b *book) afterSeal() string {
	switch {
	case len(b.rep.Sealed()) == 0:
		return "nothing is sealed"
	case len(b.rep.Logs) > 1:
		return "not told: several logs are read together, and each has a seal of its own"
	}
	return cmp.Or(b.rep.AfterSeal(), "none: every entry of every weld that is listed is sealed")
}

func (b *book) heads(names ...string) []any {
	var cells []any
	for _, n := range names {
		cells = append(cells, excelize.Cell{StyleID: b.head, Value: n})
	}
	return cells
}

func (b *book) logs() [][]any {
	out := [][]any{b.heads("log", "id", "entries", "sealed", "", "seal")}
	for _, l := range b.rep.Logs {
		called := l.Called()
		if c := l.AtOffice(); c != "" {
			called += ", " + c
		}
		cells := []any{b.say(called), b.say(l.ID), b.counted(l.Entries)}
		if l.Seal != nil {
			cells = append(cells, b.counted(l.Seal.Entries), nil, b.say(l.Seal.Note))
		}
		out = append(out, cells)
	}
	return out
}

func (b *book) plans() [][]any {
	out := [][]any{b.heads("plan", "hash", "no.", "log", "version")}
	for _, p := range register.Plans(b.rep.Site) {
		out = append(out, []any{b.say(p.File), b.say(p.Hash), b.counted(p.No), b.say(p.Log), b.say(p.Version)})
	}
	return out
}

// oneSite is who said that several logs have one site, nothing where nobody did.
func (b *book) oneSite() [][]any {
	said := register.OneSites(b.rep.Site)
	if len(said) == 0 {
		return nil
	}
	out := [][]any{b.heads("logs", "said", "why", "by", "when", "in log")}
	for _, o := range said {
		out = append(out, []any{b.say(strings.Join(o.Logs, ", ")), b.say(o.Says()), b.say(o.Why), b.say(o.By), b.date(o.When()), b.say(o.Log)})
	}
	return out
}

func (b *book) counts() [][]any {
	out := [][]any{b.heads("what the record shows", "welds in place", "being made", "given up", "cut out", "means")}
	sum := register.Count{}
	for _, c := range b.rep.Counts {
		out = append(out, []any{b.say(string(c.Verdict)), b.counted(c.InPlace()), b.counted(c.BeingMade), b.counted(c.GivenUp), b.counted(c.CutOut), b.say(register.Means[c.Verdict])})
		sum.Standing, sum.BeingMade, sum.GivenUp, sum.CutOut = sum.Standing+c.Standing, sum.BeingMade+c.BeingMade, sum.GivenUp+c.GivenUp, sum.CutOut+c.CutOut
	}
	return append(out, []any{b.say("in all"), b.counted(sum.InPlace()), b.counted(sum.BeingMade), b.counted(sum.GivenUp), b.counted(sum.CutOut)})
}

// stillOpen is how much is open, by who must act on it: of all of the site, whatever is listed.
func (b *book) stillOpen() [][]any {
	out := [][]any{b.heads("findings still open: who must act", "in all", "on joints", "on the site")}
	sum := register.OpenFor{}
	for _, o := range b.rep.OpenByActor() {
		out = append(out, []any{b.say(b.rep.Whose(o.Who)), b.counted(o.OnJoints + o.OnSite), b.counted(o.OnJoints), b.counted(o.OnSite)})
		sum.OnJoints, sum.OnSite = sum.OnJoints+o.OnJoints, sum.OnSite+o.OnSite
	}
	return append(out, []any{b.say("in all"), b.counted(sum.OnJoints + sum.OnSite), b.counted(sum.OnJoints), b.counted(sum.OnSite)})
}

// alone are those who state to work alone, and what that makes of their work.
func (b *book) alone() (out [][]any) {
	for _, line := range b.rep.AloneLines() {
		out = append(out, b.says(line))
	}
	return out
}

// A rows is a list before it is written: its head, the widths, the rows.
type rows struct {
	first  int // columns that say which row it is; 0: one
	print  int // columns that are printed; 0: all
	heads  []string
	widths []float64
	all    [][]any
}

func (r *rows) add(cells ...any) { r.all = append(r.all, cells) }

// write writes a list as a sheet of its own.
func (b *book) write(name string, r rows) error {
	if r.print > 0 {
		b.across = r.widths[:r.print]
		defer func() { b.across = nil }()
	}
	if r.print == 0 {
		r.fit()
		b.hidden = r.empty()
		defer func() { b.hidden = nil }()
	}
	s, err := b.list(name, len(r.all), max(1, r.first), r.heads, r.widths)
	if len(r.all) == 0 {
		b.hide(name)
	}
	for k, head := range r.heads {
		b.onPaper(name, head, len(r.all) > 0 && !b.hidden[k] && (r.print == 0 || k < r.print), b.hidden[k] || len(r.all) == 0)
	}
	if err == nil && r.print > 0 {
		err = b.printArea(name, r.print, len(r.all)+1)
	}
	if err != nil {
		return err
	}
	for _, cells := range r.all {
		if err := s.add(cells...); err != nil {
			return err
		}
	}
	return s.Flush()
}

// empty are the columns in which nothing stands, from 0.
func (r *rows) empty() map[int]bool {
	out := map[int]bool{}
	for k := range r.heads {
		if len(r.all) > 0 && !slices.ContainsFunc(r.all, func(cells []any) bool { return k < len(cells) && cells[k] != nil }) {
			out[k] = true
		}
	}
	return out
}

// few is how many rows a list has whose texts may be folded into narrow columns, narrow how
// narrow. Both are our choice.
const few, narrow = 40, 20.0

// fit makes the columns of a list that is wide for the smaller paper as narrow as what stands in
// them, and those of a short list still narrower where it then goes on that.
func (r *rows) fit() {
	empty := r.empty()
	if seen(r.widths, empty) <= readWidth {
		return
	}
	for k, head := range r.heads {
		most := 0
		for _, word := range strings.Fields(head) {
			most = max(most, utf8.RuneCountInString(word))
		}
		for _, cells := range r.all {
			if k < len(cells) {
				most = max(most, said(cells[k]))
			}
		}
		r.widths[k] = min(r.widths[k], float64(most+4))
	}
	for most := 60.0; most >= narrow && len(r.all) <= few && seen(r.widths, empty) > readWidth; most -= 2 {
		for k := range r.widths {
			r.widths[k] = min(r.widths[k], most)
		}
	}
}

// seen is how wide the columns are that are not hidden.
func seen(widths []float64, hidden map[int]bool) (all float64) {
	for k, w := range widths {
		if !hidden[k] {
			all += w
		}
	}
	return all
}

// said is how many characters a cell takes.
func said(cell any) int {
	switch c, _ := cell.(excelize.Cell); v := c.Value.(type) {
	case nil:
		return 0
	case string:
		return utf8.RuneCountInString(v)
	case time.Time:
		if v.Equal(v.Truncate(24 * time.Hour)) {
			return len(time.DateOnly)
		}
		return len(time.DateTime)
	default:
		return utf8.RuneCountInString(fmt.Sprint(v))
	}
}

// work is what is made and to be made, a row a chamber, with the sum.
func (b *book) work() error {
	r := rows{heads: []string{"where", "joints", "with a weld", "of these failed", "without a weld", "clear or accepted"}, widths: []float64{26, 10, 14, 16, 16, 18}}
	sum := register.ChamberWork{Where: "in all"}
	row := func(w register.ChamberWork) {
		r.add(b.say(w.Where), b.counted(w.Joints), b.counted(w.Made), b.counted(w.Failed), b.counted(w.Bare), b.counted(w.Settled))
	}
	for _, w := range b.rep.Work() {
		row(w)
		sum = sum.And(w)
	}
	row(sum)
	return b.write(Work, r)
}

// people are all persons of the register, each with every card that a shift states of them,
// then with the days for which none does.
func (b *book) people() error {
	r := rows{
		heads:  []string{"name", "role", "firm", "mark", "number", "expires", "first day", "last day", "days", "did", "more"},
		widths: []float64{26, 20, 24, 10, 16, 12, 12, 12, 26, 34, 50},
	}
	for _, p := range b.rep.Everybody() {
		did, more := b.say(strings.Join(p.Did, ", ")), p.Notes
		if p.Unlisted {
			more = strings.TrimPrefix(more+"; on no shift and no list of people", "; ")
		}
		n := 0
		add := func(mark string, number, expires any, days []string, says string) {
			if n++; n > 1 { // what a person did is counted once, however many cards he has
				did, more = b.say("see above"), ""
			}
			first, last := ends(days)
			r.add(b.say(p.Name), b.say(p.Role), b.say(p.Firm), b.say(mark), number, expires, b.date(first), b.date(last), b.say(says), did, b.say(more))
		}
		var not []string
		for _, c := range p.Cards {
			stated, unstated := c.Stated()
			if not = append(not, unstated...); len(stated) > 0 {
				add(c.Mark, b.say(register.OrLeft(c.Number)), b.date(register.OrLeft(c.Expiry)), stated, c.DaysSay(stated))
			}
		}
		for _, u := range b.rep.Unstated(not) {
			add("", b.say(register.NotStated), b.say(register.NotStated), u.Days, unstatedSays(u))
		}
		if n == 0 {
			add("", nil, nil, nil, "")
		}
	}
	return b.write(People, r)
}

// unstatedSays are the days for which nothing is stated, and why.
func unstatedSays(u register.Unstated) string { return strings.Join(u.Days, ", ") + " (" + u.Why + ")" }

// ends are the first and the last of some days.
func ends(days []string) (first, last string) {
	if len(days) == 0 {
		return "", ""
	}
	return slices.Min(days), slices.Max(days)
}

// units are the control units, each with what a shift states of it, then with the days for which
// none does.
func (b *book) units() error {
	r := rows{heads: []string{"control unit", "calibrated on", "corrects for temperature", "first day", "last day", "days"}, widths: []float64{20, 12, 26, 12, 12, 40}}
	for _, u := range b.rep.Devices() {
		stated, not := u.Stated()
		if first, last := ends(stated); first != "" {
			r.add(b.say(u.Serial), b.date(register.OrLeft(u.Calibrated)), b.say(register.OrLeft(u.Corrects)), b.date(first), b.date(last), b.say(u.DaysSay(stated)))
		}
		for _, k := range b.rep.Unstated(not) {
			first, last := ends(k.Days)
			r.add(b.say(u.Serial), b.say(register.NotStated), b.say(register.NotStated), b.date(first), b.date(last), b.say(unstatedSays(k)))
		}
	}
	return b.write(Units, r)
}

func (b *book) corrections() error {
	removed := b.rep.Removals()
	r := rows{heads: []string{"no.", "weld", "value", "was", "now", "why it was corrected", "corrected by", "who also made the weld", "corrected on", "heading in the sheet Register", "removed a fail or finding", "made a fail or finding"}, widths: []float64{6, 10, 22, 24, 24, 36, 18, 10, 20, 22, 40, 40}}
	head, times := map[string]string{}, map[string]bool{}
	for _, c := range register.Columns {
		head[c.Name], times[c.Name] = c.Heading(), c.Kind == register.Time
	}
	ended := logbook.NameOf(logbook.FieldEnded)
	for i, c := range b.rep.Corrections() {
		went, came := "no", "no"
		for _, k := range removed[c.Weld] {
			if k.Seq == c.Seq {
				went, came = account.Plainly(register.Went(k)), account.Plainly(register.Came(k))
			}
		}
		stood := func(text string) any {
			if at, err := time.Parse(time.RFC3339, text); err == nil && times[c.Column] {
				return b.at(at)
			}
			return b.say(cmp.Or(text, "blank"))
		}
		field, in, own := c.Field, head[c.Column], "no"
		if c.Own {
			own = "yes"
		}
		if field == ended {
			field, in = endOfFusion, "none has it; "+in+" is counted from it"
		}
		r.add(b.counted(i+1), b.say(c.Weld), b.say(field), stood(c.Old), stood(c.New), b.say(c.Why), b.say(c.By), b.say(own), b.date(c.At), b.say(in), b.say(went), b.say(came))
	}
	return b.write(Corrections, r)
}

// endOfFusion is what a person is told that the end of a weld is.
const endOfFusion = "end of fusion"

func (b *book) tests() error {
	r := rows{heads: []string{"test", "section", "begun", "by", "what it comes to", "readings"}, widths: []float64{12, 24, 20, 24, 60, 10}}
	for _, t := range b.rep.Tests {
		r.add(b.say(t.ID), b.say(t.Section.String()), b.at(t.When().Local()), b.say(t.By), b.say(register.TestLine(t)), b.counted(len(t.Readings)))
	}
	return b.write(Tests, r)
}

func (b *book) enclosures() error {
	r := rows{
		heads:  []string{"enclosure", "what", "weld", "joint", "part", "section", "test", "time in the file", "its offset", "enclosed by", "enclosed", "SHA-256", "bytes"},
		widths: []float64{30, 24, 12, 10, 14, 16, 10, 20, 10, 22, 20, 30, 12},
	}
	for _, e := range b.rep.Site.Enclosed {
		section, taken, offset := "", "", ""
		if e.Section != nil {
			section = e.Section.String()
		}
		if t := e.Taken; t != nil {
			offset = t.Offset
			taken = cmp.Or(strings.TrimSpace(strings.TrimSuffix(t.Clock(), offset)), t.String())
		}
		r.add(b.say(e.File), b.say(e.What), b.say(e.Weld), b.say(e.Joint), b.say(e.Part), b.say(section), b.say(e.Test), b.date(taken), b.say(offset),
			b.say(e.By), b.at(e.At.Local()), b.say(e.Hash), b.counted(e.Bytes))
	}
	return b.write(Enclosures, r)
}

// site is what was covered, signed and told of the site as a whole.
func (b *book) site() error {
	r := rows{heads: []string{"matter", "part of the site", "day or time it is about", "what was said", "said by", "said on"}, widths: []float64{20, 22, 20, 64, 20, 20}}
	add := func(matter, part string, on any, what, by string, when any) {
		r.add(b.say(matter), b.say(part), on, b.say(what), b.say(by), when)
	}
	back := func(what, part string, w *logbook.Withdrawal) {
		if w != nil {
			add("taken back", part, nil, what+w.Why, w.By, b.at(w.At.Local()))
		}
	}
	for _, c := range b.rep.Site.Covers {
		on := b.date(c.On)
		if c.On == "" {
			on = b.at(c.At.Local())
		}
		add("covered", c.Section, on, c.Line(), c.By, b.at(c.At.Local()))
		if w := c.Withdrawn; w != nil {
			add("taken back", c.Section, nil, c.WithdrawnLine(), w.By, b.at(w.At.Local()))
		}
	}
	for _, g := range b.rep.Ground {
		add("looked at", g.Section, b.date(g.At), g.Said, g.By, b.date(g.At))
		back("the look at "+g.Section+": ", g.Section, g.Back)
	}
	for _, p := range b.rep.Parts {
		for _, l := range p.Lines {
			if l.Open() {
				add("not looked at, or not as it should be", p.Part, nil, p.Part+", "+l.Stage.String()+": "+l.Short(), l.By, b.date(l.At))
			}
		}
	}
	for _, g := range b.rep.Site.Signed {
		add("day signed", "", b.date(g.Day), "open then: "+strings.TrimPrefix(g.Line(), "day "+g.Day+" signed; "), g.By, b.at(g.At.Local()))
	}
	for _, day := range b.rep.Unsigned() {
		add("day not signed", "", b.date(day), "nobody signed the day "+day+", on which was welded", "", nil)
	}
	for _, l := range b.rep.Loop {
		add(l.What, l.Section, b.date(l.At), l.Said+": "+strings.Join(l.Comes, "; "), l.By, b.date(l.At))
		back(l.What+", "+l.Section+": ", l.Section, l.Back)
	}
	for _, e := range b.rep.Site.Events {
		add("happened: "+e.What.String(), e.About(), b.date(e.On), cmp.Or(e.Text, e.What.String()), e.By, b.at(e.At.Local()))
	}
	return b.write(Site, r)
}

// prose are the widths of columns that hold sentences.
var prose = map[string]float64{"preparation": 40, "findings": 44, "came_by": 44, "notes": 40, "looks": 50, "corrections": 50, "starts_refused": 40, "state": 24}

// A shown is a column of the sheet of all rows.
type shown struct {
	heading string
	width   float64
	cell    func(*book, register.Row) any
}

// filed are the columns of that sheet that are printed, by their headings, and how wide: what
// is filed of each weld. They stand before all others, which are read on the screen, and fit
// one page across. Which they are is our choice.
var filed = []struct {
	heading string
	width   float64
}{
	{"weld", 10}, {"joint", 9}, {"what stands in the joint", 14}, {"what the record shows", 12}, {"findings still open", 9}, {"who must act", 18},
	{"day of the weld", 11}, {"welded by", 14}, {"control unit", 10}, {"fitting", 14}, {"batch of the fitting", 12}, {"batch of the coil or pipe", 12},
	{"temperature on site, °C", 13}, {"fusion time set, s", 9}, {"fusion time run, s", 9}, {"fusion started", 19}, {"released", 19}, {"indicators", 14},
	{"covered on", 19}, {"pressure tested on", 19},
}

// shownColumns are the columns of the register under words for a person, those that are filed
// ahead. Where a sentence of one names a day or a time, that stands in a cell of its own: behind
// it, or among those.
func shownColumns() []shown {
	widths := map[register.ColumnKind]float64{register.Text: 18, register.Number: 12, register.Time: 20, register.Date: 12}
	rest := slices.Clone(toDo)
	for _, c := range register.Columns {
		rest = append(rest, shown{c.Heading(), cmp.Or(prose[c.Name], widths[c.Kind]), told(c)})
		rest = append(rest, behind[c.Name]...)
	}
	rest = append(rest, shown{"after the seal", 24, func(b *book, r register.Row) any { return b.say(b.rep.BehindSeal(r)) }})
	var ahead []shown
	for _, f := range filed {
		i := slices.IndexFunc(rest, func(c shown) bool { return c.heading == f.heading })
		ahead = append(ahead, shown{f.heading, f.width, rest[i].cell})
		rest = slices.Delete(rest, i, i+1)
	}
	return append(ahead, rest...)
}

// told is how a column is told to a person, where that is not what other programs have.
func told(c register.Column) func(*book, register.Row) any {
	switch c.Name {
	case "state":
		return func(b *book, r register.Row) any { return b.say(stateSays(c.Cell(r))) }
	case "entered":
		return func(b *book, r register.Row) any {
			if r.Weld.Paper != nil {
				return b.say("from paper") // by whom and when stands behind it
			}
			return b.cell(r, c)
		}
	case "operator_number", "operator_expiry":
		return func(b *book, r register.Row) any { return b.stated(r, c, r.Weld.Operator != "") }
	case "unit_calibrated":
		return func(b *book, r register.Row) any { return b.stated(r, c, r.Weld.Unit != "") }
	case "entered_later_why":
		return func(b *book, r register.Row) any { return b.say(register.OnSheet(r.Weld.LateWhy)) }
	case "covered":
		return func(b *book, r register.Row) any { return b.say(r.CoverSays()) }
	case "cut_out_at":
		return func(b *book, r register.Row) any {
			if r.Weld.CutUnsaid {
				return b.say("when: not stated")
			}
			return b.cell(r, c)
		}
	}
	return func(b *book, r register.Row) any { return b.cell(r, c) }
}

// stated is what a shift states of who or what made a weld, where that is named; where it does
// not, a cell that says why.
func (b *book) stated(r register.Row, c register.Column, named bool) any {
	cell := b.cell(r, c)
	switch {
	case cell != nil || !named:
		return cell
	case c.Name == "unit_calibrated" && has(r.Shift.Unit(r.Weld.Unit)) || c.Name != "unit_calibrated" && has(r.Shift.Operator(r.Weld.Operator)):
		return b.say(register.LeftBlank)
	}
	return b.say(register.NotStated + ": " + b.rep.WhyUnstated(r.When().Format(time.DateOnly)))
}

// has tells whether something was found.
func has[T any](_ T, is bool) bool { return is }

// toDo is what is to be done of a weld, and by whom.
var toDo = []shown{
	{"findings still open", 10, func(b *book, r register.Row) any { return b.counted(len(b.open.At(r))) }},
	{"who must act", 24, func(b *book, r register.Row) any { return b.say(b.rep.WhoseAll(b.open, b.open.At(r))) }},
}

// weldDay is the day of a weld: of its fusion, else of its beginning.
func (b *book) weldDay(r register.Row) any {
	if r.Weld.ID == "" {
		return nil
	}
	return b.date(r.When().Format(time.DateOnly))
}

// cutShort says of a weld that was cut out that nothing waits for it.
func (b *book) cutShort(r register.Row) any {
	if _, held := r.Weld.HoldUntil(); !held || r.Weld.CutOut == nil {
		return nil
	}
	if r.Weld.CutUnsaid {
		return b.say("cut out, when: not stated")
	}
	return b.say("cut out " + r.Weld.CutOut.Local().Format("2006-01-02 15:04"))
}

// behind are the columns that stand behind one of the register.
var behind = map[string][]shown{
	"covered": {
		{"covered on", 20, func(b *book, r register.Row) any { return b.value(r.CoveredOn()) }},
		{"dug up on", 12, func(b *book, r register.Row) any {
			if r.Dug == nil {
				return nil
			}
			return b.date(r.Dug.On)
		}},
		{"may be covered", 14, func(b *book, r register.Row) any {
			may, _ := b.over.Row(r, found)
			return b.say(may)
		}},
		{"what is missing before ground", 40, func(b *book, r register.Row) any {
			_, lacks := b.over.Row(r, found)
			return b.say(lacks)
		}},
	},
	"entered":    {{"entered on, where later", 20, func(b *book, r register.Row) any { return b.value(r.CameIn()) }}, {"entered by, where later", 18, func(b *book, r register.Row) any { return b.say(r.Weld.LateBy) }}},
	"shift":      {{"day of the weld", 12, func(b *book, r register.Row) any { return b.weldDay(r) }}},
	"hold_until": {{"or cut out", 18, func(b *book, r register.Row) any { return b.cutShort(r) }}},
	"cut_out_ordered": {{"last ordered to be cut out on", 20, func(b *book, r register.Row) any {
		if n := len(r.Weld.CutOrders); n > 0 {
			return b.at(r.Weld.CutOrders[n-1].At.Local())
		}
		return nil
	}}},
	"recheck_asked": {{"another look asked for on", 20, func(b *book, r register.Row) any {
		if r.Weld.Recheck == nil {
			return nil
		}
		return b.at(r.Weld.Recheck.At.Local())
	}}},
	"pressure_tested": {{"pressure tested on", 20, func(b *book, r register.Row) any { return b.value(b.rep.TestedOn(r)) }}},
}

// value is a time, or a day as it was written, in a cell of its kind.
func (b *book) value(v register.Value) any {
	switch v := v.(type) {
	case time.Time:
		return b.at(v)
	case string:
		return b.date(v)
	}
	return nil
}

// register is every row with every column.
func (b *book) register() error {
	var heads []string
	var widths []float64
	columns := shownColumns()
	for _, c := range columns {
		heads, widths = append(heads, c.heading), append(widths, c.width)
	}
	all, filled := make([][]any, len(b.rep.Rows)), make([]bool, len(columns))
	for i, row := range b.rep.Rows {
		all[i] = make([]any, len(columns))
		for k, c := range columns {
			all[i][k] = c.cell(b, row)
			filled[k] = filled[k] || all[i][k] != nil
		}
	}
	b.hidden = map[int]bool{}
	for k, is := range filled { // nothing is in them: they are there, and need no paper
		if !is && len(all) > 0 {
			b.hidden[k] = true
		}
	}
	for k, head := range heads {
		b.onPaper(Register, head, k < len(filed) && !b.hidden[k], b.hidden[k])
	}
	b.across, b.a3 = widths[:len(filed)], true
	s, err := b.list(Register, len(b.rep.Rows), 2, heads, widths)
	b.across, b.a3, b.hidden = nil, false, nil
	if err == nil {
		err = b.printArea(Register, len(filed), len(b.rep.Rows)+1)
	}
	if err != nil {
		return err
	}
	for i, cells := range all {
		if err := s.add(cells...); err != nil {
			return err
		}
		if b.step != nil {
			b.step(i+1, len(b.rep.Rows))
		}
	}
	return s.Flush()
}

// findings are all of the rules, a row each. What tells a person what to do is printed; the
// rule with its basis stands behind it.
func (b *book) findings() error {
	r := rows{
		first:  2,
		print:  11,
		heads:  []string{"joint", "weld", "kind", "what is found", "what to do", "who must act", "still open", "how it ended", "accepted by", "accepted on", "why it was accepted", "part of the site", "chamber", "circuit", "welded by", "batch of the fitting", "welded on", "rule", "basis"},
		widths: []float64{10, 10, 8, 46, 28, 16, 9, 12, 14, 20, 18, 18, 14, 8, 18, 16, 20, 24, 40},
	}
	stands, welds, joints := map[string]string{}, map[string]register.Row{}, map[string]register.Row{}
	for _, p := range b.rep.Joints {
		stands[p.Label] = p.Stands
	}
	for _, row := range b.rep.Rows {
		welds[row.Weld.ID], joints[row.Joint.Label] = row, row
	}
	for _, f := range b.rep.Findings {
		open := "no"
		if f.Open() {
			open = "yes"
		}
		weld := f.Weld
		if weld == "" && ofStanding[f.Rule] {
			weld = stands[f.Joint]
		}
		row, known := welds[weld]
		if weld == "" || !known {
			row = register.Row{Joint: joints[f.Joint].Joint}
		}
		cells := b.says(f.Joint, weld, f.Word(), found(f), account.Plainly(f.Do), b.rep.Whose(b.open.MustActOn(f)), open, register.EndedAs(f, row.Weld))
		by, on, why, at := any(nil), any(nil), any(nil), any(nil)
		if a := f.Accepted; a != nil {
			by, on, why = b.say(a.Who()), b.at(a.At.Local()), b.say(a.Why)
		}
		if t, fused := row.Weld.FusedAt(); fused && row.Weld.ID != "" {
			at = b.at(t)
		}
		batch, _ := row.Cell("fitting_batch").(string)
		chamber, number := b.rep.InChamber(f)
		circuit, part := any(nil), cmp.Or(f.Part, row.Part(), f.At().Part)
		if number > 0 {
			circuit = b.counted(number)
		}
		if part == "" {
			part = partOf(chamber, number)
		}
		cells = append(append(cells, by, on, why), b.say(part), b.say(chamber), circuit, b.say(row.Weld.Operator), b.say(batch))
		r.add(append(append(cells, at), b.says(f.Rule, f.Basis)...)...)
	}
	return b.write(Findings, r)
}

// found is a finding in words for a person, the same wherever it stands in the workbook.
func found(f audit.Finding) string { return account.Plainly(register.SaidOf(f)) }

// partOf is the part of the site of a finding that names a chamber or a circuit.
func partOf(chamber string, circuit int) string {
	switch {
	case chamber == register.TheSite || chamber == register.Outside:
		return chamber
	case circuit > 0:
		return fmt.Sprintf("circuit %d of chamber %s", circuit, chamber)
	}
	return "chamber " + chamber
}

// ofStanding are the rules that find something at a joint of the weld that stands in it.
var ofStanding = map[string]bool{"fail-not-cut-out": true, "covered-before-accepted": true, "cut-ordered": true}

// tables are the figures of every fusion table taken, a row a fitting and band.
func (b *book) tables() error {
	rows := 0
	for _, t := range b.rep.Tables {
		rows += len(t.Fittings) * len(t.Bands)
	}
	s, err := b.list(Tables, rows, 1, []string{"table", "hash", "file", "source", "read back by", "fitting", "band, °C", "volts, V", "seconds, s", "cooling, min"},
		[]float64{30, 16, 20, 40, 22, 24, 12, 10, 10, 12})
	if err != nil {
		return err
	}
	for _, t := range b.rep.Tables {
		for _, f := range t.Fittings {
			for i, band := range t.Bands {
				cells := append(b.says(t.TableRef.Title, t.Hash, t.File, t.Source, t.ReadBack, f.Name, fmt.Sprint(band)), b.counted(f.Volts), b.counted(f.Seconds[i]), b.counted(f.CoolingMin[i]))
				if err := s.add(cells...); err != nil {
					return err
				}
			}
		}
	}
	return s.Flush()
}
