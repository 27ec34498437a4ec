package audit

import (
	"bytes"
	"encoding/json"
	"slices"
	"strings"

	"coolhold/logbook"
)

// A Removal is what a correction of a weld did to what the rules find: what spoke before it
// and speaks no more, and what speaks since it.
type Removal struct {
	Seq   uint64   // of the correction
	Fail  bool     // one that went is a fail
	Found []string // what went
	// Back are those that went and that a correction before had made, of this weld or of
	// another: not the crew recorded them.
	Back     []string
	Made     []string // what speaks since
	MadeFail []string // of it the fails
	// Changed are those that speak before and since, of other facts.
	Changed []Differs
	// Felt is what was felt and is not any more: no rule judges it.
	Felt string
}

// A Differs is one finding before a correction and after it. Part: it was of several
// things, and some of them went.
type Differs struct {
	Was, Now string
	Part     bool
}

// Took tells whether anything went by a correction, a part of a finding too.
func (r Removal) Took() bool {
	return len(r.Found)+len(r.Back) > 0 || r.Felt != "" || slices.ContainsFunc(r.Changed, func(d Differs) bool { return d.Part })
}

// partOf tells whether facts are a list of which each stands in another, longer one.
func partOf(now, was json.RawMessage) bool {
	var less, more []json.RawMessage
	if json.Unmarshal(now, &less) != nil || json.Unmarshal(was, &more) != nil || len(less) >= len(more) {
		return false
	}
	return !slices.ContainsFunc(less, func(x json.RawMessage) bool {
		return !slices.ContainsFunc(more, func(y json.RawMessage) bool { return bytes.Equal(x, y) })
	})
}

// Removals are the corrections by which anything went that the rules had found, or came, by
// weld.
func (res Result) Removals() map[string][]Removal {
	out := map[string][]Removal{}
	for _, w := range res.welds {
		if len(w.Corrections) > 0 {
			out[w.ID] = res.removals(w)
		}
	}
	return out
}

func (res Result) removals(w logbook.Weld) (out []Removal) {
	states := w.AsRecorded() // the newest first
	made := map[string]bool{}
	for i, k := range w.Corrections {
		beside := res.scene.before(k.Seq)
		at := len(w.Corrections) - 1 - i
		c := Case{Matter: &Matter{Read: res.read, Site: res.scene.site, AsOf: res.asOf, Beat: res.beat}, scene: beside, found: &res, fails: failsOf, queries: queriesOf}
		was, is := c.both(states[at+1]), c.both(states[at])
		r := Removal{Seq: k.Seq, Felt: feltAway(k)}
		for n, of := range [2][]ruled{was.fails, was.queries} {
			for _, f := range of {
				says := withoutWeld(w.ID, []ruled{f})
				after, still := is.of(f.Rule)
				switch {
				case still && !bytes.Equal(after.Facts, f.Facts):
					r.Changed = append(r.Changed, Differs{says[0], withoutWeld(w.ID, []ruled{after})[0], partOf(after.Facts, f.Facts)})
				case still:
				default:
					r.Fail = r.Fail || n == 0
					if made[f.Rule] || !c.asFirst(k.Seq).both(states[at+1]).speaks(f.Rule) {
						r.Back = append(r.Back, says...)
					} else {
						r.Found = append(r.Found, says...)
					}
					delete(made, f.Rule)
				}
			}
		}
		for n, of := range [2][]ruled{is.fails, is.queries} {
			for _, f := range of {
				if _, had := was.of(f.Rule); had {
					continue
				}
				made[f.Rule] = true
				r.Made = append(r.Made, withoutWeld(w.ID, []ruled{f})...)
				if n == 0 {
					r.MadeFail = append(r.MadeFail, f.Rule)
				}
			}
		}
		if r.Took() || len(r.Made)+len(r.Changed) > 0 {
			out = append(out, r)
		}
	}
	return out
}

// feltAway is what a correction says was not felt though it had been, where no rule judges
// that: a weld that was still hot long after its cooling time.
func feltAway(k logbook.Corrected) string {
	if !strings.HasPrefix(k.Field, "felt.") || k.Old != feltWarm || k.New == feltWarm {
		return ""
	}
	return k.Name() + ": " + k.Before()
}

// feltWarm is the code of what is still hot.
const feltWarm = "warm"

// A verdicts is what the rules find on one state of a weld.
type verdicts struct{ fails, queries []ruled }

func (v verdicts) of(rule string) (ruled, bool) {
	for _, f := range slices.Concat(v.fails, v.queries) {
		if f.Rule == rule {
			return f, true
		}
	}
	return ruled{}, false
}

// both runs the rules on a weld as it stood, among the welds of the scene.
func (c Case) both(w logbook.Weld) verdicts {
	c.scene = c.scene.with(w)
	return verdicts{failsOf(c, w), queriesOf(c, w)}
}

func (v verdicts) speaks(rule string) bool { _, is := v.of(rule); return is }

// asFirst is a case among the other welds as they were first recorded: what speaks of a weld
// by their corrections alone does not speak there.
func (c Case) asFirst(seq uint64) Case {
	c.scene = c.scene.since(seq, 0)
	return c
}

// before is the scene as the log had it when an entry came: the welds that were begun by
// then, each without the corrections that came later.
func (sc *scene) before(seq uint64) *scene { return sc.since(seq, seq) }

// since is the scene of the welds that were begun before an entry came, each without the
// corrections from another on.
func (sc *scene) since(seq, corrected uint64) *scene {
	other := *sc
	other.welds, other.at, other.stand = nil, map[string]int{}, map[string][]string{}
	for _, w := range sc.welds {
		if len(w.Trail) > 0 && w.Trail[0].Seq >= seq {
			continue
		}
		later := 0
		for _, k := range w.Corrections {
			if k.Seq >= corrected {
				later++
			}
		}
		if later > 0 {
			w = w.AsRecorded()[later]
		}
		other.at[w.ID] = len(other.welds)
		other.welds = append(other.welds, w)
	}
	other.readWelds()
	return &other
}

// AsksOfCorrections tells whether a rule asks somebody to decide on corrections.
func AsksOfCorrections(rule string) bool {
	return rule == "corrected-away-fail" || rule == "corrected-after-review" || rule == CorrectedOwn
}
