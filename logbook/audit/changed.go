package audit

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"coolhold/logbook"
)

// corrected lists the corrections of a weld's values, its joint left out.
func corrected(c Case) string {
	var parts []string
	for _, k := range c.Weld.Corrections {
		if k.Field != logbook.FieldJoint {
			parts = append(parts, correction(k))
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return c.Weld.ID + ": " + strings.Join(parts, "; ")
}

func correction(k logbook.Corrected) string {
	return fmt.Sprintf("%s corrected from %s to %s by %s (%s)", k.Name(), orNothing(k.Before()), orNothing(k.Now()), k.By, k.Why)
}

func orNothing(s string) string {
	if s == "" {
		return "nothing"
	}
	return s
}

// correctedAwayFail names each correction by which a fail went that does not
// speak now.
func correctedAwayFail(c Case) string {
	if len(c.Weld.Corrections) == 0 {
		return ""
	}
	states := c.Weld.AsRecorded() // the newest first
	later := c.fails(c, states[0])
	gone := slugs(later)
	var parts []string
	for i := 1; i < len(states); i++ {
		before := c.fails(c, states[i])
		var said []string
		for _, f := range before {
			if !slices.Contains(slugs(later), f.slug) && !slices.Contains(gone, f.slug) {
				gone = append(gone, f.slug)
				said = append(said, strings.TrimLeft(strings.TrimPrefix(f.says, c.Weld.ID), ": "))
			}
		}
		if len(said) > 0 {
			k := c.Weld.Corrections[len(c.Weld.Corrections)-i]
			parts = append(parts, fmt.Sprintf("%s; as recorded it failed: %s", correction(k), strings.Join(said, ", ")))
		}
		later = before
	}
	if len(parts) == 0 {
		return ""
	}
	return c.Weld.ID + ": " + strings.Join(parts, "; ")
}

func slugs(list []ruled) (out []string) {
	for _, f := range list {
		out = append(out, f.slug)
	}
	return out
}

// correctedAfterReview goes by the order of the log, since clocks are set. A
// day that the weld was on before a correction counts too.
func correctedAfterReview(c Case) string {
	if len(c.Weld.Corrections) == 0 {
		return ""
	}
	said := c.signedSeqs()
	var parts []string
	for _, k := range c.Weld.Corrections {
		for i := len(said) - 1; i >= 0; i-- {
			if said[i].Seq < k.Seq {
				parts = append(parts, fmt.Sprintf("%s, after %s %s", correction(k), said[i].By, said[i].Why))
				break
			}
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return c.Weld.ID + ": " + strings.Join(parts, "; ")
}

// signedSeqs are who had said something of the weld, in the order of the log;
// Why is what.
func (c Case) signedSeqs() []logbook.Order {
	var out []logbook.Order
	for _, v := range c.Weld.Reviews {
		out = append(out, logbook.Order{Signature: logbook.Signature{By: v.By, At: v.At, Seq: v.Seq}, Why: "had reviewed it"})
	}
	var days []string
	for _, w := range c.Weld.AsRecorded() {
		days = append(days, w.Day())
	}
	for _, s := range c.Site.Signed {
		if slices.Contains(days, s.Day) {
			out = append(out, logbook.Order{Signature: s.Signature, Why: "had signed the day " + s.Day})
		}
	}
	slices.SortStableFunc(out, func(a, b logbook.Order) int { return cmp.Compare(a.Seq, b.Seq) })
	return out
}

func weldMoved(c Case) string {
	var parts []string
	for _, k := range c.Weld.Corrections {
		if k.Field == logbook.FieldJoint {
			parts = append(parts, fmt.Sprintf("logged at %s, made at %s, as corrected by %s (%s)", k.Old, k.New, k.By, k.Why))
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return c.Weld.ID + ": " + strings.Join(parts, "; ")
}

func cutOrdered(c Case) string {
	o := c.Weld.CutOrdered
	if o == nil {
		return ""
	}
	return fmt.Sprintf("%s was ordered cut out by %s (%s)", c.Weld.ID, o.By, o.Why)
}

func cutWithdrawn(c Case) string {
	o := c.Weld.CutWithdrawn
	if o == nil {
		return ""
	}
	return fmt.Sprintf("%s: the order to cut it out was withdrawn by %s (%s)", c.Weld.ID, o.By, o.Why)
}

func recheckAsked(c Case) string {
	o := c.Weld.Recheck
	if !c.Weld.Stands() || !c.Weld.RecheckDue() {
		return ""
	}
	return fmt.Sprintf("%s: %s asked for another look (%s)", c.Weld.ID, o.By, o.Why)
}

func transcribed(c Case) string {
	if c.Weld.Paper == nil {
		return ""
	}
	return fmt.Sprintf("%s was transcribed from paper by %s (%s)", c.Weld.ID, c.Weld.LateBy, orNone(c.Weld.LateWhy))
}
