package account

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/audit"
)

// SealFoot is what stands at the foot of each page of the log's seal: that the log is sealed
// and not the page, up to which entry, and how many came after.
func (a Account) SealFoot() string {
	var parts []string
	for _, l := range a.maker.rep.Sealed() {
		after := "none came after"
		if n := int64(l.Entries) - l.Seal.Entries - 1; n > 0 {
			after = logbook.Count(int(n), "entry") + " came after"
		}
		parts = append(parts, fmt.Sprintf("log %s is sealed up to entry %d; %s", l.Called(), l.Seal.Entries, after))
	}
	if len(parts) == 0 {
		return "its log is not sealed"
	}
	return strings.Join(parts, "; ")
}

// An entered is one entry as far as a register knows it.
type entered struct {
	seq   uint64
	at    fusion.Stamp
	by    string
	kind  string
	weld  string
	about string
}

// kinds are those of entries whose names are the program's own.
var kinds = strings.NewReplacer("walk left", "left off", "walk resumed", "gone on with", "walk abandoned", "given up", "step answered", "answer to a question of the record")

// afterSeal names the entries that came after the seal, which nothing proves: in order, those
// of one weld that follow one another as one, with their numbers, times and names; and how
// the seal is checked.
func (m maker) afterSeal() Chapter {
	c := Chapter{ID: "after-seal", Title: "After the seal"}
	for _, l := range m.rep.Sealed() {
		first, last := uint64(l.Seal.Entries)+2, uint64(l.Entries)
		c.Intro = append(c.Intro, fmt.Sprintf("Of log %s the seal covers entries 1 to %d; entry %d is the seal. To check it: coolhold verify --seal FILE, where FILE is the text of the seal copied from this document; "+
			"it was signed with the key %s.", l.Called(), l.Seal.Entries, l.Seal.Entries+1, cmp.Or(strings.Join(l.SignedBy(), " and "), "that stands under it")))
		if last < first {
			c.Intro = append(c.Intro, "No entry came after it.")
			continue
		}
		if first == last {
			c.Intro = append(c.Intro, fmt.Sprintf("Entry %d came after it, and no seal covers it.", first))
		} else {
			c.Intro = append(c.Intro, fmt.Sprintf("Entries %d to %d came after it, and no seal covers them.", first, last))
		}
		if len(m.rep.Logs) > 1 {
			continue // the numbers of a merged view are not those of a log
		}
		c.Items = append(c.Items, m.entriesOf(first, last)...)
	}
	if len(c.Intro) == 0 {
		c.Intro = []string{"No log is sealed: nothing here can be held against a seal. A seal is made with: coolhold seal."}
	}
	return c
}

// entriesOf are the entries with these numbers.
func (m maker) entriesOf(first, last uint64) (out []Item) {
	known := m.known(first)
	var untold []string
	numbers := slices.Sorted(maps.Keys(known))
	for n := first; n <= last; n++ {
		if _, is := known[n]; !is {
			untold = append(untold, "no. "+strconv.FormatUint(n, 10))
		}
	}
	for i := 0; i < len(numbers); {
		e := known[numbers[i]]
		upto := i + 1
		for upto < len(numbers) && numbers[upto] == numbers[upto-1]+1 && known[numbers[upto]].about == e.about && known[numbers[upto]].by == e.by {
			upto++
		}
		out = append(out, m.run(known, numbers[i:upto]))
		i = upto
	}
	if len(untold) > 0 {
		out = append(out, Item{Says: "Of the site as such, or of another site: " + audit.AllRuns(untold) + "; the log has them."})
	}
	return out
}

// run are entries of one weld or of the site that follow one another, by one person.
func (m maker) run(known map[uint64]entered, numbers []uint64) Item {
	from, to := known[numbers[0]], known[numbers[len(numbers)-1]]
	it := Item{Head: "No. " + strconv.FormatUint(from.seq, 10), About: []Link{{m.anchors.weld[from.weld], from.about}}}
	when := from.at.Local().Format(minute)
	if to.seq != from.seq {
		it.Head += " to " + strconv.FormatUint(to.seq, 10)
		if end := to.at.Local().Format(minute); end != when {
			when += " to " + end
		}
	}
	n := map[string]int{}
	var what []string
	for _, no := range numbers {
		kind := kinds.Replace(known[no].kind)
		if n[kind]++; n[kind] == 1 {
			what = append(what, kind)
		}
	}
	for i, kind := range what {
		if n[kind] > 1 {
			what[i] = fmt.Sprintf("%s, %d times", kind, n[kind])
		}
	}
	it.Says = stop(logbook.Joined(", ", when, prefixed("by ", from.by)) + ": " + strings.Join(what, "; "))
	return it
}

// known are the entries from a number on that this report tells, by number.
func (m maker) known(first uint64) map[uint64]entered {
	out := map[uint64]entered{}
	add := func(s logbook.Signature, kind, about string) {
		if _, had := out[s.Seq]; s.Seq >= first && !had {
			out[s.Seq] = entered{seq: s.Seq, at: s.At, by: s.By, kind: kind, about: about}
		}
	}
	for _, row := range m.rep.Rows {
		for _, e := range row.Weld.Trail {
			if e.Seq >= first {
				out[e.Seq] = entered{e.Seq, e.At, e.By, string(e.Kind), row.Weld.ID, "weld " + row.Weld.ID}
			}
		}
		for _, e := range row.Joint.Trail {
			add(logbook.Signature{By: e.By, At: e.At, Seq: e.Seq}, string(e.Kind), "joint "+row.Joint.Label)
		}
	}
	for _, sh := range m.rep.Shifts {
		for _, k := range sh.Own {
			add(k.Signature, string(k.Kind), "shift "+sh.ID)
		}
	}
	s := m.rep.Site
	for _, k := range s.Covers {
		add(k.Signature, string(k.Kind()), k.Section)
	}
	for _, k := range s.Signed {
		add(k.Signature, "day signed", "day "+k.Day)
	}
	for _, k := range s.Events {
		add(k.Signature, k.What.String(), k.About())
	}
	for _, k := range s.Enclosed {
		add(k.Signature, string(k.Kind()), k.Of())
	}
	for _, v := range s.Reviews {
		add(logbook.Signature{By: v.By, At: v.At, Seq: v.Seq}, string(v.Kind()), "the site")
	}
	for _, g := range s.Ground {
		add(g.Signature, "looked at", g.Section)
	}
	for _, t := range s.Tests {
		for _, r := range t.Readings {
			add(r.Signature, "reading", "pressure test "+t.ID)
		}
	}
	return out
}
