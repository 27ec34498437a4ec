package xlsx

import (
	"cmp"
	"fmt"
	"strings"

	"github.com/xuri/excelize/v2"

	"coolhold/logbook/register"
)

// summary is the title page: what the workbook is about, and what it is not.
func (b *book) summary() error {
	s, err := b.sheet(Summary, 26, 40, 24, 24, 50)
	if err != nil {
		return err
	}
	site := b.rep.Site
	rows := [][]any{
		{excelize.Cell{StyleID: b.head, Value: "Register of welds"}},
		b.says("site", site.Name), b.says("address", site.Address), b.says("client", site.Client), b.says("firm", site.Firm),
		b.says("contract", site.Contract),
		{b.say("as of"), excelize.Cell{StyleID: b.moment, Value: local(b.rep.AsOf)}, b.say("UTC" + b.rep.AsOf.Format("-07:00"))},
		b.says("listed", cmp.Or(b.rep.FilterLine(), "everything")), {b.say("rows listed"), len(b.rep.Rows)}, {b.say("rows in all"), b.rep.All},
		b.says("seal", b.rep.SealLine()), b.says("not read", cmp.Or(b.rep.UnreadLine(), "nothing")), {b.say("what it says"), b.long(register.Caveat)}, nil,
	}
	for _, part := range [][][]any{b.logs(), b.plans(), b.oneSite(), b.counts(), b.people(), b.named(), b.units(), b.corrections(), b.enclosures(), b.covers()} {
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
		cells := []any{b.say(l.Called()), b.say(l.ID), l.Entries}
		if l.Seal != nil {
			cells = append(cells, l.Seal.Entries, b.say(l.Seal.Note))
		}
		out = append(out, cells)
	}
	return out
}

func (b *book) plans() [][]any {
	out := [][]any{b.heads("plan", "hash", "no.", "log", "version")}
	for _, p := range register.Plans(b.rep.Site) {
		out = append(out, []any{b.say(p.File), b.say(p.Hash), p.No, b.say(p.Log), b.say(p.Version)})
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
		out = append(out, b.says(strings.Join(o.Logs, ", "), o.Says(), o.Why, o.By, o.When(), o.Log))
	}
	return out
}

func (b *book) counts() [][]any {
	out := [][]any{b.heads("verdict", "welds in place", "welds cut out")}
	for _, c := range b.rep.Counts {
		out = append(out, []any{b.say(string(c.Verdict)), c.Standing, c.CutOut})
	}
	return out
}

func (b *book) people() [][]any {
	out := [][]any{b.heads("operator", "mark", "number", "expires", "days")}
	for _, p := range b.rep.People {
		out = append(out, b.says(p.Name, p.Mark, p.Number, p.Expiry, p.DaysLine()))
	}
	return out
}

// named are the people on the list of the site, nothing where there is none.
func (b *book) named() [][]any {
	if len(b.rep.Named) == 0 {
		return nil
	}
	out := [][]any{b.heads("people of the site", "role", "firm", "more")}
	for _, p := range b.rep.Named {
		out = append(out, b.says(p.Name, p.Role, p.Firm, p.Notes()))
	}
	for _, line := range b.rep.AloneLines() {
		out = append(out, b.says(line))
	}
	return out
}

func (b *book) units() [][]any {
	out := [][]any{b.heads("control unit", "calibrated", "corrects for temperature", "days")}
	for _, u := range b.rep.Units {
		out = append(out, b.says(u.Serial, u.Calibrated, u.Corrects, u.DaysLine()))
	}
	return out
}

func (b *book) corrections() [][]any {
	out := [][]any{b.heads("corrected: weld", "value", "was", "now", "why", "by", "when")}
	for _, c := range b.rep.Corrections() {
		out = append(out, b.says(c.Weld, c.Field, c.Old, c.New, c.Why, c.By, c.At))
	}
	return out
}

func (b *book) enclosures() [][]any {
	out := [][]any{b.heads("enclosure", "what", "weld", "joint", "part", "section", "test", "time in the file", "SHA-256", "bytes")}
	for _, e := range b.rep.Site.Enclosed {
		section, taken := "", ""
		if e.Section != nil {
			section = e.Section.String()
		}
		if e.Taken != nil {
			taken = cmp.Or(e.Taken.Clock(), e.Taken.String())
		}
		out = append(out, append(b.says(e.File, e.What, e.Weld, e.Joint, e.Part, section, e.Test, taken, e.Hash), e.Bytes))
	}
	return out
}

// covers are what was covered, signed and told of the site as a whole.
func (b *book) covers() [][]any {
	out := [][]any{b.heads("of the site", "what", "by", "when")}
	for _, c := range b.rep.Site.Covers {
		out = append(out, b.says("covered", c.Line(), c.By, c.At.Local().Format("2006-01-02 15:04")))
		if w := c.Withdrawn; w != nil {
			out = append(out, b.says("taken back", c.WithdrawnLine(), w.By, w.At.Local().Format("2006-01-02 15:04")))
		}
	}
	for _, g := range b.rep.Ground {
		out = append(out, b.says("looked at", g.Said, g.By, g.When()))
		if w := g.Back; w != nil {
			out = append(out, b.says("taken back", "the look at "+g.Section+": "+w.Why, w.By, w.At.Local().Format("2006-01-02 15:04")))
		}
	}
	for _, p := range b.rep.Parts {
		for _, l := range p.Lines {
			if l.Open() {
				out = append(out, b.says("not looked at, or not as it should be", p.Part+", "+l.Stage.String()+": "+l.Short(), l.By, l.At))
			}
		}
	}
	for _, g := range b.rep.Site.Signed {
		out = append(out, b.says("signed", g.Line(), g.By, g.At.Local().Format("2006-01-02 15:04")))
	}
	for _, l := range b.rep.Loop {
		out = append(out, b.says(l.What, l.Said+": "+strings.Join(l.Comes, "; "), l.By, l.When()))
		if w := l.Back; w != nil {
			out = append(out, b.says("taken back", l.What+", "+l.Section+": "+w.Why, w.By, w.At.Local().Format("2006-01-02 15:04")))
		}
	}
	for _, e := range b.rep.Site.Events {
		out = append(out, b.says("happened", e.Line(), e.By, e.At.Local().Format("2006-01-02 15:04")))
	}
	return out
}

// register is every row with every column.
func (b *book) register() error {
	var heads []string
	var widths []float64
	for _, c := range register.Columns {
		heads = append(heads, c.Name)
		widths = append(widths, map[register.ColumnKind]float64{register.Text: 18, register.Number: 12, register.Time: 20}[c.Kind])
	}
	s, err := b.list(Register, len(b.rep.Rows), heads, widths)
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
	s, err := b.list(Findings, len(b.rep.Findings), []string{"severity", "rule", "joint", "weld", "what is found", "what to do", "basis", "accepted by", "why", "settled"},
		[]float64{10, 22, 12, 12, 60, 50, 50, 24, 40, 10})
	if err != nil {
		return err
	}
	for _, f := range b.rep.Findings {
		by, why := "", ""
		if f.Accepted != nil {
			by, why = f.Accepted.Who(), f.Accepted.Why
		}
		cells := append(b.says(f.Severity.String(), f.Rule, f.Joint, f.Weld, f.Says, f.Do, f.Basis, by, why), f.Settled)
		if err := s.add(cells...); err != nil {
			return err
		}
	}
	return s.Flush()
}

// tables are the figures of every fusion table taken, a row a fitting and band.
func (b *book) tables() error {
	rows := 0
	for _, t := range b.rep.Tables {
		rows += len(t.Fittings) * len(t.Bands)
	}
	s, err := b.list(Tables, rows, []string{"table", "hash", "file", "source", "read back by", "fitting", "band, °C", "volts, V", "seconds, s", "cooling, min"},
		[]float64{30, 16, 20, 40, 22, 24, 12, 10, 10, 12})
	if err != nil {
		return err
	}
	for _, t := range b.rep.Tables {
		for _, f := range t.Fittings {
			for i, band := range t.Bands {
				cells := append(b.says(t.TableRef.Title, t.Hash, t.File, t.Source, t.ReadBack, f.Name, fmt.Sprint(band)), f.Volts, f.Seconds[i], f.CoolingMin[i])
				if err := s.add(cells...); err != nil {
					return err
				}
			}
		}
	}
	return s.Flush()
}
