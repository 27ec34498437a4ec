package xlsx

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/xuri/excelize/v2"

	"coolhold/logbook"
	"coolhold/logbook/register"
)

// summary is the title page: what the workbook is about, and what it is not.
func (b *book) summary() error {
	s, err := b.sheet(Summary, 26, 54, 20, 16, 56)
	if err != nil {
		return err
	}
	site := b.rep.Site
	rows := [][]any{
		{excelize.Cell{StyleID: b.head, Value: "Register of welds"}},
		b.says("site", site.Name), b.says("address", site.Address), b.says("client", site.Client), b.says("firm", site.Firm),
		b.says("contract", site.Contract),
		{b.say("as of"), b.at(b.rep.AsOf), b.say("UTC" + b.rep.AsOf.Format("-07:00"))},
		b.says("listed", cmp.Or(b.rep.FilterLine(), "everything")), {b.say("rows listed"), b.counted(len(b.rep.Rows))}, {b.say("rows in all"), b.counted(b.rep.All)},
		b.says("seal", b.rep.SealLine()), b.says("not read", cmp.Or(b.rep.UnreadLine(), "nothing")), {b.say("what it says"), b.say(register.Caveat)},
		b.says("joints", b.rep.JointLine()), b.says("corrected", "a value in bold italics with a line under it was corrected; what stood before is in the sheet Corrections"), b.says("pressure tests", cmp.Or(strings.Join(b.rep.Tested, "; "), "none in this log")), nil,
	}
	for _, part := range [][][]any{b.logs(), b.plans(), b.oneSite(), b.counts(), b.alone()} {
		if part != nil {
			rows = append(append(rows, part...), nil)
		}
	}
	for _, row := range rows {
		if err := s.add(row...); err != nil {
			return err
		}
	}
	return s.Flush()
}

func (b *book) heads(names ...string) []any {
	var cells []any
	for _, n := range names {
		cells = append(cells, excelize.Cell{StyleID: b.head, Value: n})
	}
	return cells
}

func (b *book) logs() [][]any {
	out := [][]any{b.heads("log", "id", "entries", "sealed", "seal")}
	for _, l := range b.rep.Logs {
		cells := []any{b.say(l.Called()), b.say(l.ID), b.counted(l.Entries)}
		if l.Seal != nil {
			cells = append(cells, b.counted(l.Seal.Entries), b.say(l.Seal.Note))
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
	out := [][]any{b.heads("verdict", "welds in place", "welds given up", "welds cut out", "means")}
	for _, c := range b.rep.Counts {
		out = append(out, []any{b.say(string(c.Verdict)), b.counted(c.InPlace()), b.counted(c.GivenUp), b.counted(c.CutOut), b.say(register.Means[c.Verdict])})
	}
	return out
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
	heads  []string
	widths []float64
	all    [][]any
}

func (r *rows) add(cells ...any) { r.all = append(r.all, cells) }

// write writes a list as a sheet of its own.
func (b *book) write(name string, r rows) error {
	s, err := b.list(name, len(r.all), max(1, r.first), r.heads, r.widths)
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

// pipes are the circuits and headers, with their pipe and how far their joints are.
func (b *book) pipes() error {
	r := rows{
		heads:  []string{"chamber", "circuit", "header", "probe", "pipe OD, mm", "pipe SDR", "length, m", "tape", "joints", "with a weld", "without a weld", "open findings", "which joints"},
		widths: []float64{12, 10, 16, 12, 10, 10, 10, 12, 10, 12, 14, 14, 34},
	}
	for _, p := range b.rep.Pipes() {
		circuit, length, od, sdr := any(nil), any(nil), any(nil), any(nil)
		for into, n := range map[*any]float64{&circuit: float64(p.Circuit), &length: p.LengthM, &od: float64(p.OdMM), &sdr: p.SDR} {
			if n != 0 {
				*into = b.counted(n)
			}
		}
		r.add(b.say(p.Chamber), circuit, b.say(p.Header), b.say(p.Probe), od, sdr, length, b.say(p.Tape), b.counted(p.Joints), b.counted(p.Made), b.counted(p.Joints-p.Made), b.counted(p.Open), b.say(strings.Join(p.Labels, ", ")))
	}
	return b.write(Pipes, r)
}

// people are all persons of the register, each with every card that a shift has of them.
func (b *book) people() error {
	r := rows{
		heads:  []string{"name", "role", "firm", "mark", "number", "expires", "first day", "last day", "days", "did", "more"},
		widths: []float64{26, 20, 24, 10, 16, 12, 12, 12, 26, 34, 50},
	}
	for _, p := range b.rep.Everybody() {
		did := b.say(strings.Join(p.Did, ", "))
		more := p.Notes
		if p.Unlisted {
			more = strings.TrimPrefix(more+"; on no shift and no list of people", "; ")
		}
		cards := p.Cards
		if len(cards) == 0 {
			cards = []register.Person{{}}
		}
		for _, c := range cards {
			first, last := ends(c.Days)
			days := ""
			if c.Name != "" {
				days = c.DaysLine()
			}
			r.add(b.say(p.Name), b.say(p.Role), b.say(p.Firm), b.say(c.Mark), b.say(c.Number), b.date(c.Expiry), b.date(first), b.date(last), b.say(days), did, b.say(more))
		}
	}
	return b.write(People, r)
}

// ends are the first and the last of some days.
func ends(days []string) (first, last string) {
	if len(days) == 0 {
		return "", ""
	}
	return slices.Min(days), slices.Max(days)
}

func (b *book) units() error {
	r := rows{heads: []string{"control unit", "calibrated on", "corrects for temperature", "first day", "last day", "days"}, widths: []float64{20, 12, 26, 12, 12, 40}}
	for _, u := range b.rep.Units {
		first, last := ends(u.Days)
		r.add(b.say(u.Serial), b.date(u.Calibrated), b.say(u.Corrects), b.date(first), b.date(last), b.say(u.DaysLine()))
	}
	return b.write(Units, r)
}

func (b *book) corrections() error {
	r := rows{heads: []string{"weld", "value", "was", "now", "why", "by", "when", "column"}, widths: []float64{12, 22, 26, 26, 44, 22, 20, 18}}
	for _, c := range b.rep.Corrections() {
		r.add(b.say(c.Weld), b.say(c.Field), b.say(cmp.Or(c.Old, "not recorded")), b.say(c.New), b.say(c.Why), b.say(c.By), b.date(c.At), b.say(c.Column))
	}
	return b.write(Corrections, r)
}

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
	r := rows{heads: []string{"of the site", "what", "by", "when"}, widths: []float64{26, 100, 26, 20}}
	add := func(of, what, by string, when any) { r.add(b.say(of), b.say(what), b.say(by), when) }
	back := func(what string, w *logbook.Withdrawal) {
		if w != nil {
			add("taken back", what+w.Why, w.By, b.at(w.At.Local()))
		}
	}
	for _, c := range b.rep.Site.Covers {
		add("covered", c.Line(), c.By, b.at(c.At.Local()))
		if w := c.Withdrawn; w != nil {
			add("taken back", c.WithdrawnLine(), w.By, b.at(w.At.Local()))
		}
	}
	for _, g := range b.rep.Ground {
		add("looked at", g.Said, g.By, b.date(g.At))
		back("the look at "+g.Section+": ", g.Back)
	}
	for _, p := range b.rep.Parts {
		for _, l := range p.Lines {
			if l.Open() {
				add("not looked at, or not as it should be", p.Part+", "+l.Stage.String()+": "+l.Short(), l.By, b.date(l.At))
			}
		}
	}
	for _, g := range b.rep.Site.Signed {
		add("signed", g.Line(), g.By, b.at(g.At.Local()))
	}
	for _, l := range b.rep.Loop {
		add(l.What, l.Said+": "+strings.Join(l.Comes, "; "), l.By, b.date(l.At))
		back(l.What+", "+l.Section+": ", l.Back)
	}
	for _, e := range b.rep.Site.Events {
		add("happened", e.Line(), e.By, b.at(e.At.Local()))
	}
	return b.write(Site, r)
}

// prose are the widths of columns that hold sentences.
var prose = map[string]float64{"preparation": 40, "findings": 44, "came_by": 44, "notes": 40, "looks": 50, "corrections": 50, "starts_refused": 40, "state": 24}

// register is every row with every column.
func (b *book) register() error {
	var heads []string
	var widths []float64
	for _, c := range register.Columns {
		heads = append(heads, c.Name)
		widths = append(widths, cmp.Or(prose[c.Name], map[register.ColumnKind]float64{register.Text: 18, register.Number: 12, register.Time: 20, register.Date: 12}[c.Kind]))
	}
	s, err := b.list(Register, len(b.rep.Rows), 2, heads, widths)
	if err != nil {
		return err
	}
	cells := make([]any, len(heads))
	for i, row := range b.rep.Rows {
		for k, c := range register.Columns {
			cells[k] = b.cell(row, c)
		}
		if err := s.add(cells...); err != nil {
			return err
		}
		if b.step != nil {
			b.step(i+1, len(b.rep.Rows))
		}
	}
	return s.Flush()
}

func (b *book) findings() error {
	r := rows{
		first:  2,
		heads:  []string{"joint", "weld", "severity", "rule", "section", "what is found", "what to do", "basis", "accepted by", "accepted", "why", "open"},
		widths: []float64{12, 12, 10, 22, 14, 60, 50, 40, 24, 20, 40, 10},
	}
	for _, f := range b.rep.Findings {
		cells := b.says(f.Joint, f.Weld, f.Word(), f.Rule, f.Part, f.Says, f.Do, f.Basis)
		open := "no"
		if f.Open() {
			open = "yes"
		}
		by, on, why := any(nil), any(nil), any(nil)
		if a := f.Accepted; a != nil {
			by, on, why = b.say(a.Who()), b.at(a.At.Local()), b.say(a.Why)
		}
		r.add(append(cells, by, on, why, b.say(open))...)
	}
	return b.write(Findings, r)
}

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
