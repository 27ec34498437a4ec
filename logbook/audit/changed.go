package audit

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"coolhold/logbook"
)

// A change is a correction: both values as they are recorded.
type change struct {
	Field string `json:"field"`
	Old   string `json:"old"`
	New   string `json:"new"`
	By    string `json:"by"`
	Why   string `json:"why"`
}

func changeOf(k logbook.Corrected) change { return change{k.Field, k.Old, k.New, k.By, k.Why} }

func (k change) says() string {
	b := logbook.Correction{Field: k.Field, Old: k.Old, New: k.New}
	return fmt.Sprintf("%s corrected from %s to %s by %s (%s)", b.Name(), orNothing(b.Before()), orNothing(b.Now()), k.By, k.Why)
}

// changes are the corrections of a weld's joint, or of all else.
func changes(w logbook.Weld, joint bool) (out []change) {
	for _, k := range w.Corrections {
		if (k.Field == logbook.FieldJoint) == joint {
			out = append(out, changeOf(k))
		}
	}
	return out
}

// told is a list of facts, each in words, behind the weld.
func told[F any](weld string, list []F, says func(F) string) string {
	var parts []string
	for _, f := range list {
		parts = append(parts, says(f))
	}
	return weld + ": " + strings.Join(parts, "; ")
}

func corrected(c Case) ([]change, bool) {
	list := changes(c.Weld, false)
	return list, len(list) > 0
}

func correctedSays(weld string, list []change) string { return told(weld, list, change.says) }

// A wentAway is a correction by which fails went that do not speak now.
type wentAway struct {
	change
	Fails []ruled `json:"fails"`
	// Made are the rules of those that a correction before had made speak: what was
	// recorded first did not fail by them.
	Made []string `json:"made,omitempty"`
}

// A ruled is what one rule found on a weld.
type ruled struct {
	Rule  string          `json:"rule"`
	Facts json.RawMessage `json:"facts"`
}

// correctedAwayFail names each correction by which a fail went that does not
// speak now.
func correctedAwayFail(c Case) (list []wentAway, found bool) {
	if len(c.Weld.Corrections) == 0 {
		return nil, false
	}
	states := c.Weld.AsRecorded() // the newest first
	later := c.fails(c, states[0])
	gone, first := slugs(later), slugs(c.fails(c, states[len(states)-1]))
	for i := 1; i < len(states); i++ {
		before := c.fails(c, states[i])
		var went []ruled
		var made []string
		for _, f := range before {
			if !slices.Contains(slugs(later), f.Rule) && !slices.Contains(gone, f.Rule) {
				gone = append(gone, f.Rule)
				went = append(went, f)
				if !slices.Contains(first, f.Rule) {
					made = append(made, f.Rule)
				}
			}
		}
		if len(went) > 0 {
			list = append(list, wentAway{changeOf(c.Weld.Corrections[len(c.Weld.Corrections)-i]), went, made})
		}
		later = before
	}
	return list, len(list) > 0
}

func awaySays(weld string, list []wentAway) string {
	return told(weld, list, func(k wentAway) string {
		of := func(made bool) []ruled {
			return slices.DeleteFunc(slices.Clone(k.Fails), func(f ruled) bool { return slices.Contains(k.Made, f.Rule) != made })
		}
		line := k.says()
		if recorded := of(false); len(recorded) > 0 {
			line += "; as recorded it failed: " + strings.Join(withoutWeld(weld, recorded), ", ")
		}
		if made := of(true); len(made) > 0 {
			line += "; as it had been corrected before it failed: " + strings.Join(withoutWeld(weld, made), ", ")
		}
		return line
	})
}

func slugs(list []ruled) (out []string) {
	for _, f := range list {
		out = append(out, f.Rule)
	}
	return out
}

// A changeAfter is a correction after somebody had answered for the weld.
type changeAfter struct {
	change
	Said string `json:"said_by"`
	Day  string `json:"day,omitempty"` // that was signed; "": the weld was reviewed
}

// correctedAfterReview goes by the order of the log, since clocks are set. A
// day that the weld was on before a correction counts too.
func correctedAfterReview(c Case) (list []changeAfter, found bool) {
	if len(c.Weld.Corrections) == 0 {
		return nil, false
	}
	said := c.answers()
	for _, k := range c.Weld.Corrections {
		if filledIn(k) {
			continue
		}
		for i := len(said) - 1; i >= 0; i-- {
			if said[i].Seq < k.Seq {
				list = append(list, changeAfter{changeOf(k), said[i].By, said[i].day})
				break
			}
		}
	}
	return list, len(list) > 0
}

// filledIn tells whether a correction only gives the batch that was missing: the
// audit itself asks for it.
func filledIn(k logbook.Corrected) bool {
	batch := k.Field == logbook.ItemBatch || k.Field == logbook.ItemPipeBatch || k.Field == logbook.ItemStubBatch
	return batch && (k.Old == "" || k.Old == logbook.NotKnown)
}

func afterSays(weld string, list []changeAfter) string {
	return told(weld, list, func(k changeAfter) string {
		did := "reviewed it"
		if k.Day != "" {
			did = "signed the day " + k.Day
		}
		return fmt.Sprintf("%s, after %s had %s", k.change.says(), k.Said, did)
	})
}

// An answer is a review of a weld, or the signature under its day.
type answer struct {
	logbook.Signature
	day string // that was signed
}

// answers are all that were given for the weld, in the order of the log.
func (c Case) answers() (out []answer) {
	for _, v := range c.Weld.Reviews {
		out = append(out, answer{Signature: logbook.Signature{By: v.By, At: v.At, Seq: v.Seq}})
	}
	var days []string
	for _, w := range c.Weld.AsRecorded() {
		days = append(days, w.Day())
	}
	for _, s := range c.Site.Signed {
		if slices.Contains(days, s.Day) {
			out = append(out, answer{s.Signature, s.Day})
		}
	}
	slices.SortStableFunc(out, func(a, b answer) int { return cmp.Compare(a.Seq, b.Seq) })
	return out
}

func weldMoved(c Case) ([]change, bool) {
	list := changes(c.Weld, true)
	return list, len(list) > 0
}

func movedSays(weld string, list []change) string {
	return told(weld, list, func(k change) string {
		return fmt.Sprintf("logged at %s, made at %s, as corrected by %s (%s)", k.Old, k.New, k.By, k.Why)
	})
}

// asked is an order of a named person, where there is one.
func asked(o *logbook.Request) (ask, bool) {
	if o == nil {
		return ask{}, false
	}
	return ask{o.By, o.Why}, true
}

// An orderFact is what a named person wanted of a cut-out. Orders are those that stood
// besides, or that were taken back: one alone is not named, so that what was answered
// before there could be several is still the same.
type orderFact struct {
	ask
	Orders []ask `json:"orders,omitempty"`
}

func orderOf(o *logbook.Request, others []logbook.Request) (orderFact, bool) {
	f, found := asked(o)
	out := orderFact{ask: f}
	for _, r := range others {
		out.Orders = append(out.Orders, ask{r.By, r.Why})
	}
	return out, found
}

// each are orders one after another, each with its person and its reason.
func each(orders []ask) string {
	parts := make([]string, len(orders))
	for i, f := range orders {
		parts[i] = fmt.Sprintf("by %s (%s)", f.By, f.Why)
	}
	return strings.Join(parts, ", ")
}

func cutOrdered(c Case) (orderFact, bool) {
	all := c.Weld.CutOrders
	return orderOf(c.Weld.CutOrdered, all[:max(0, len(all)-1)])
}

func orderedSays(weld string, f orderFact) string {
	return fmt.Sprintf("%s was ordered cut out %s", weld, each(append(slices.Clip(f.Orders), f.ask)))
}

func cutWithdrawn(c Case) (orderFact, bool) {
	taken := c.Weld.CutTaken
	if len(taken) < 2 {
		taken = nil
	}
	return orderOf(c.Weld.CutWithdrawn, taken)
}

func withdrawnSays(weld string, f orderFact) string {
	if len(f.Orders) > 0 {
		return fmt.Sprintf("%s: the orders to cut it out, %s, were withdrawn by %s (%s)", weld, each(f.Orders), f.By, f.Why)
	}
	return fmt.Sprintf("%s: the order to cut it out was withdrawn by %s (%s)", weld, f.By, f.Why)
}

func recheckAsked(c Case) (ask, bool) {
	f, found := asked(c.Weld.Recheck)
	return f, found && c.Weld.Stands() && c.recheckDue()
}

// recheckDue goes by the names that are those of the weld's operator, or may be.
func (c Case) recheckDue() bool {
	return c.Weld.RecheckDue(func(name string) bool {
		return c.madeBy(name) || c.nobody(name) || c.madeByNobody(name) != ""
	})
}

func recheckSays(weld string, f ask) string {
	return fmt.Sprintf("%s: %s asked for another look (%s)", weld, f.By, f.Why)
}

func transcribed(c Case) (ask, bool) {
	return ask{c.Weld.LateBy, c.Weld.LateWhy}, c.Weld.Paper != nil
}

func transcribedSays(weld string, f ask) string {
	return fmt.Sprintf("%s was transcribed from paper by %s (%s)", weld, f.By, orNone(f.Why))
}
