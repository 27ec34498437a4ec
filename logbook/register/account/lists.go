package account

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/chart"
	"coolhold/logbook/register"
)

// files are all that was enclosed, by name and hash.
func (m maker) files() Chapter {
	c := Chapter{ID: "files", Title: "Photos and files"}
	if len(m.rep.Site.Enclosed) == 0 {
		c.Intro = []string{"No certificate, photo or other file is named in the log. " + none}
		return c
	}
	c.Intro = []string{"The log names each by the hash of its content and holds none of them; ask the firm for the files. The time in a photo's file is that of the camera's clock, which may be wrong; \"recorded\" is when it was enclosed. A picture shows what can be seen from outside and says nothing of the weld's inside."}
	for _, e := range m.rep.Site.Enclosed {
		about := Link{m.anchors.weld[e.Weld], e.Of()}
		next := Item{Head: titled(cmp.Or(e.What, "what it is was not said")), About: []Link{about}, Says: fmt.Sprintf("File %s, recorded %s by %s.", e.File, e.At.Local().Format(minute), m.whoIs(e.By))}
		if e.Taken != nil {
			next.More = append(next.More, stop(titled(e.Taken.String())))
		}
		next.More = append(next.More, fmt.Sprintf("SHA-256 %s, %d bytes.", e.Hash, e.Bytes))
		c.Items = append(c.Items, next)
	}
	return c
}

// persons is everybody whose name stands in this document.
func (m maker) persons() Chapter {
	c := Chapter{ID: "people", Title: "People and control units", Intro: []string{"Everybody whose name stands in this document, with role and firm as far as the log has them."}}
	for _, p := range m.people {
		next := Item{Head: p.Name, Says: "Role: " + cmp.Or(p.Role, roleOf(p), "not in this log") + ". Firm: " + cmp.Or(p.Firm, "not in this log") + "."}
		if len(p.Did) > 0 {
			next.More = append(next.More, titled(strings.Join(p.Did, ", "))+".")
		}
		next.More = append(append(next.More, m.weldedOn(p)...), m.cardSays(p)...)
		if p.Notes != "" {
			next.More = append(next.More, stop(titled(p.Notes)))
		}
		if p.Unlisted {
			next.More = append(next.More, "On no shift and on no list of people of this site.")
		}
		c.Items = append(c.Items, next)
	}
	if len(c.Items) == 0 {
		c.Intro = []string{"Nobody is named. " + none}
	}
	return c
}

// weldedOn are the welds of a person, by day and control unit.
func (m maker) weldedOn(p register.Involved) []string {
	var order []string
	at := map[string][]string{}
	for _, row := range m.rep.Rows {
		if w := row.Weld; w.Fused() && (w.Operator == p.Name || m.rep.Site.SameName(p.Name, w.Operator)) {
			key := logbook.Joined(" with ", onDay(row), w.Unit)
			if at[key] == nil {
				order = append(order, key)
			}
			at[key] = append(at[key], w.ID)
		}
	}
	slices.Sort(order)
	for i, key := range order {
		order[i] += ": " + audit.AllRuns(at[key])
	}
	return some(headed("Welded on ", "; ", order...))
}

// roleOf is what somebody was on a shift, who is on no list of people.
func roleOf(p register.Involved) string {
	if len(p.Cards) > 0 {
		return "operator"
	}
	return ""
}

func (m maker) units() Chapter {
	c := Chapter{Title: "Control units"}
	for _, u := range m.rep.Devices() {
		c.Items = append(c.Items, m.unitSays(u, !slices.ContainsFunc(c.Items, func(it Item) bool { return it.Head == u.Serial })))
	}
	if len(c.Items) == 0 {
		c.Intro = []string{none}
	}
	return c
}

// BandRule is which row of a table counts for a temperature between two.
const BandRule = "Which row counts: the reading as the nearest whole degree, a half as the colder one (14.5 °C is 14 °C), whose time is never the shorter; at a half the longer cooling time of both rows. Outside the rows no time is extrapolated. This is coolhold's choice, no source."

// A table is a fusion table with its figures.
type Table struct {
	Caption  string
	Says     []string
	Fittings []Fitting
}

// A fitting is the times of one fitting, a row a band.
type Fitting struct {
	Name string
	Rows []BandRow
}

type BandRow struct{ Band, Volts, Seconds, Cooling string }

func (m maker) tables() (out []Table) {
	for _, t := range m.rep.Tables {
		k := Table{Caption: "Fusion table " + t.TableRef.Title, Says: []string{
			"Source: " + stop(cmp.Or(t.Source, "not named")), "File " + cmp.Or(t.File, "not named") + ", hash " + t.Hash + ". Read back by " + cmp.Or(m.whoIs(t.ReadBack), "NOBODY") + ".",
		}}
		k.Says = append(k.Says, BandRule)
		if set := m.setBy(t.Hash); len(set) > 0 {
			k.Says = append(k.Says, "Set by this table: "+audit.AllRuns(set)+".")
		} else {
			k.Says = append(k.Says, "No weld that is listed was set by this table.")
		}
		for _, f := range t.Fittings {
			k.Says = append(k.Says, stop(fittingSays(f)))
			for _, o := range m.unlike(t.Hash, f.Name) {
				k.Says = append(k.Says, "ANOTHER TABLE in this log has other figures for "+f.Name+": "+o+".")
			}
			times := Fitting{Name: f.Name}
			for i, band := range t.Bands {
				times.Rows = append(times.Rows, BandRow{fmt.Sprint(band), fusion.Figure(f.Volts), fmt.Sprint(f.Seconds[i]), fmt.Sprint(f.CoolingMin[i])})
			}
			k.Fittings = append(k.Fittings, times)
		}
		out = append(out, k)
	}
	return out
}

// setBy are the welds whose settings went by a table.
func (m maker) setBy(hash string) (out []string) {
	for _, row := range m.rep.Rows {
		if s := row.Weld.Settings; s != nil && s.Table == hash && hash != "" {
			out = append(out, row.Weld.ID)
		}
	}
	return out
}

// unlike are the other tables of the log that have other times or voltages for a fitting.
func (m maker) unlike(hash, fitting string) (out []string) {
	find := func(figures []fusion.Fitting, bands []fusion.Band) string {
		for _, f := range figures {
			if f.Name == fitting {
				return fmt.Sprint(bands, f.Volts, f.Seconds, f.CoolingMin)
			}
		}
		return ""
	}
	mine := ""
	for _, t := range m.rep.Tables {
		if t.Hash == hash {
			mine = find(t.Fittings, t.Bands)
		}
	}
	for _, t := range m.rep.Tables {
		if its := find(t.Fittings, t.Bands); t.Hash != hash && mine != "" && its != "" && its != mine {
			out = append(out, t.TableRef.Title+" (hash "+t.Hash+")")
		}
	}
	return out
}

// printOf is by which table and print a weld was set, where the log has several for its
// fitting.
func (m maker) printOf(row register.Row) string {
	s := row.Weld.Settings
	if s == nil {
		return ""
	}
	others := m.unlike(s.Table, register.Plain(row.Cell("fitting")))
	if len(others) == 0 {
		return ""
	}
	return "Set by the table " + s.Title + ", file hash " + s.Table + "; the log has other figures for this fitting in: " + strings.Join(others, "; ") + "."
}

// fittingSays is what a table says of a fitting beside its times.
func fittingSays(f fusion.Fitting) string {
	parts := []string{f.Name + ": " + cmp.Or(f.Kind, "kind not named")}
	if f.Zones > 1 {
		parts = append(parts, logbook.Count(f.Zones, "zone")+" fused one after another")
	}
	if f.Ohms != nil {
		ohms := fusion.Figure(*f.Ohms) + " Ω"
		if f.OhmsTolerancePct != nil {
			ohms += " ± " + fusion.Figure(*f.OhmsTolerancePct) + " %"
		}
		parts = append(parts, ohms)
	}
	if f.PressureWaitMin != nil {
		parts = append(parts, logbook.Joined(" from the ", fmt.Sprintf("pressure only after %d min", *f.PressureWaitMin), f.PressureWaitFrom))
	}
	return strings.Join(parts, "; ")
}

func times(n int) string {
	if n == 1 {
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}

// source is what this document was made from, and by which program.
func (m maker) source() []Pair {
	var logs, plans, days, keys []string
	for _, l := range m.rep.Logs {
		line := fmt.Sprintf("log %s: %s, id %s", l.Called(), logbook.Count(l.Entries, "entry"), l.ID)
		if c := l.AtOffice(); c != "" {
			line += "; " + c
		}
		logs = append(logs, line)
		for _, k := range l.SignedBy() {
			keys = append(keys, fmt.Sprintf("log %s: %s", l.Called(), k))
		}
	}
	for _, p := range register.Plans(m.rep.Site) {
		plans = append(plans, p.String())
	}
	for _, sh := range m.rep.Shifts {
		days = append(days, sh.Day)
	}
	out := []Pair{
		{"Site", []string{m.rep.Site.Name}}, {"As of", []string{m.rep.AsOf.Format(second)}}, {"Program", []string{cmp.Or(m.rep.Program, "coolhold, version not said")}},
		{"Listed", []string{cmp.Or(m.rep.FilterLine(), "everything")}}, {"Made from", orNone(logs)}, {"Plan", orNone(plans)}, {"Chambers", []string{cmp.Or(m.rep.ChambersLine(), none)}}, {"Shifts", orNone(days)},
		{"Seal", []string{m.rep.SealLine()}}, {"Signed with the key (name and fingerprint)", orNone(keys)},
	}
	for _, o := range register.OneSites(m.rep.Site) {
		out = append(out, Pair{"One site", []string{o.String()}})
	}
	if line := m.rep.UnreadLine(); line != "" {
		out = append(out, Pair{"Not read", []string{line}})
	}
	return out
}

// seals are the seals whole, to be held against the logs in later years.
func (m maker) seals() (out []Sealed) {
	for _, l := range m.rep.Sealed() {
		out = append(out, Sealed{"Seal of log " + l.Called(), fmt.Sprintf("The seal is a signed statement of the first %d entries of the log, which held %d when this document was made, the seal itself among them. "+
			"A log that begins with the same entries gives the same root; one in which they were changed does not. A key on a laptop proves nothing against the owner of the laptop: the seal counts from the moment it left it. "+
			"Copy the text below into a file and hold it against the log with \"coolhold verify --seal FILE\".", l.Seal.Entries, l.Entries), cleanLines(l.Seal.Note)})
	}
	return out
}

// cleanLines cleans a text of several lines, which stay lines.
func cleanLines(s string) string {
	lines := strings.Split(strings.TrimRight(s, "\n"), "\n")
	for i, l := range lines {
		lines[i] = logbook.Clean(l)
	}
	return strings.Join(lines, "\n")
}

// outside are the joints outside the chambers, in sentences: a list, not a picture of the
// trench.
func (m maker) outside() Chapter {
	c := Chapter{Title: "Joints outside the chambers"}
	places := slices.DeleteFunc(slices.Clone(m.rep.Joints), func(p chart.Place) bool { return p.Chamber != "" || len(p.Split) > 0 })
	for _, p := range append(places, chart.Factory(m.rep.Site)...) {
		length := ""
		if p.LengthM > 0 {
			length = fmt.Sprintf("%g m", p.LengthM)
		}
		says := logbook.Joined(", ", p.Where, p.Fitting, p.On, p.PipeLine(), length)
		state := logbook.Joined(", ", p.Weld, m.stateSays(p))
		if len(p.Also) > 0 {
			state += ", beside " + strings.Join(p.Also, ", ")
		}
		c.Items = append(c.Items, Item{Head: titled(state), About: []Link{{m.anchors.joint[p.Label], "joint " + p.Label}}, Says: stop(says)})
	}
	if len(c.Items) == 0 {
		c.Intro = []string{none}
	}
	return c
}
