package audit

import (
	"fmt"
	"slices"
	"strings"

	"coolhold/logbook"
)

// CutOut is what a list says of a weld that is cut out, whatever its verdict.
const CutOut = "cut out"

// Words are what a list can say of a weld, in the order of a count.
var Words = []string{string(Clear), string(Accepted), string(Queried), string(Failed), string(Unfinished), CutOut, string(NoHeat), string(OwnOnly)}

// Word is what a list says of a weld: its verdict, or that it is cut out.
func (res Result) Word(w logbook.Weld) string {
	if w.CutOut != nil {
		return CutOut
	}
	return string(res.Verdict(w.ID))
}

// Tally is how many welds a list has of each word: "3 welds: 2 clear, 1 fail".
func (res Result) Tally(welds []logbook.Weld) string {
	n := map[string]int{}
	for _, w := range welds {
		n[res.Word(w)]++
	}
	var parts []string
	for _, word := range Words {
		if n[word] > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n[word], word))
		}
	}
	if len(welds) == 0 {
		return "no weld"
	}
	return logbook.Count(len(welds), "weld") + ": " + strings.Join(parts, ", ")
}

// OpenOn is what is open once a day is over: nothing of a later day's welds or tests.
func (res Result) OpenOn(day string) []Finding {
	return res.where(func(f Finding) bool {
		if t, is := res.testOf(f); is && t.Day() > day {
			return false
		}
		id := f.Weld
		if id == "" && f.Severity == Fail {
			id = res.standsIn(f.Joint)
		}
		w, ok := res.read.Weld(res.site, id)
		return f.Open() && (!ok || w.Day() <= day)
	})
}

func (res Result) standsIn(label string) string {
	j, _ := res.read.Joint(res.site, label)
	return j.Stands
}

// An OpenFail is what a person sees at once: an open fail of a weld, and with
// the first of them that the weld still stands, which a rule finds at the joint.
type OpenFail []Finding

// OpenFails are the fails open on a day's welds and those before it.
func (res Result) OpenFails(day string) []OpenFail {
	var fails []OpenFail
	var joints []Finding
	for _, f := range res.OpenOn(day) {
		switch {
		case f.Severity != Fail:
		case f.Weld == "":
			joints = append(joints, f)
		default:
			fails = append(fails, OpenFail{f})
		}
	}
	for _, f := range joints {
		stands := res.standsIn(f.Joint)
		at := slices.IndexFunc(fails, func(o OpenFail) bool { return stands != "" && o[0].Weld == stands })
		if at < 0 {
			fails = append(fails, OpenFail{f})
			continue
		}
		fails[at] = append(fails[at], f)
	}
	return fails
}

// Acks are what a person acknowledges who has seen it.
func (f OpenFail) Acks() []logbook.Judged {
	var out []logbook.Judged
	for _, found := range f {
		out = append(out, found.Judged())
	}
	return out
}

func (f OpenFail) Has(key string) bool {
	return slices.ContainsFunc(f, func(found Finding) bool { return found.Key == key })
}

// SeenIn tells whether a person has seen all of it as it is.
func (f OpenFail) SeenIn(seen []logbook.Judged) bool {
	return !slices.ContainsFunc(f, func(found Finding) bool { return !slices.ContainsFunc(seen, found.Judged().Same) })
}

// A SinceSigned is what became of a signed day after its last signature.
type SinceSigned struct {
	Signed  logbook.SignedDay
	Added   []string // welds that came to it since
	Changed []string // welds of it that were corrected since
}

// Any tells whether anything did.
func (s SinceSigned) Any() bool { return len(s.Added)+len(s.Changed) > 0 }

// Line says it in a few words behind a signature, or is empty: "changed since:
// KM-0011 added, KM-0007 corrected".
func (s SinceSigned) Line() string {
	var parts []string
	for _, id := range s.Added {
		parts = append(parts, id+" added")
	}
	for _, id := range s.Changed {
		parts = append(parts, id+" corrected")
	}
	if len(parts) == 0 {
		return ""
	}
	return "changed since: " + strings.Join(parts, ", ")
}

// SinceSigned is how a day stands to its last signature; false where it was
// never signed.
func (res Result) SinceSigned(day string) (SinceSigned, bool) {
	s, _ := res.read.Site(res.site)
	signed, ok := s.SignatureOf(day)
	if !ok {
		return SinceSigned{}, false
	}
	out := SinceSigned{Signed: signed}
	for _, w := range res.welds {
		switch later := func(k logbook.Corrected) bool { return k.Seq > signed.Seq }; {
		case w.Day() == day && cameSeq(w) > signed.Seq:
			out.Added = append(out.Added, w.ID)
		case slices.ContainsFunc(w.Corrections, later) && slices.ContainsFunc(w.AsRecorded(), func(w logbook.Weld) bool { return w.Day() == day }):
			out.Changed = append(out.Changed, w.ID)
		}
	}
	return out, true
}

// Closing is a day's signature with every open fail acknowledged.
func (res Result) Closing(day string) logbook.DaySigned {
	b := logbook.DaySigned{Day: day, Open: res.Others(day)}
	for _, f := range res.OpenFails(day) {
		b.Acks = append(b.Acks, f.Acks()...)
	}
	return b
}

// Others is how many findings are open once a day is over, fails left out.
func (res Result) Others(day string) int {
	return len(slices.DeleteFunc(res.OpenOn(day), func(f Finding) bool { return f.Severity == Fail }))
}

// Seen are the findings that a person acknowledges by writing keys down, the
// key of one of them for all that is seen at once. A key that is none's is kept
// as it is.
func Seen(fails []OpenFail, keys []string) (out []logbook.Judged) {
	for _, key := range keys {
		at := slices.IndexFunc(fails, func(f OpenFail) bool { return f.Has(key) })
		if at < 0 {
			out = append(out, logbook.Judged{Key: key})
			continue
		}
		out = append(out, fails[at].Acks()...)
	}
	return out
}
