package ahead

import (
	"fmt"
	"math"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
)

// tenfold is from which ratio on a figure is taken for a slip of its point: ten times
// off lies well beyond it, every spread of fittings below it. Our choice.
const tenfold = 5

// LeapMost is how far an ambient reading may lie from the one before it on a site
// within FreshFor: our choice, adjustable, no source.
const LeapMost fusion.Celsius = 5_00

// DoubtOhms doubts a resistance that is nought, or about ten times that of the table
// or, where it prints none, of the last fitting of that kind. beside is the other
// figure in words.
func DoubtOhms(r logbook.Reader, w logbook.Weld, ohms float64) (d logbook.Doubt, beside string) {
	if ohms == 0 {
		return logbook.Nought, "a coil of 0 Ω is shorted"
	}
	is, whose := usualOhms(r, w)
	if is > 0 && math.Max(ohms/is, is/ohms) >= tenfold {
		return logbook.Tenfold, fmt.Sprintf("%s Ω beside %s Ω %s", fusion.Figure(ohms), fusion.Figure(is), whose)
	}
	return "", ""
}

// usualOhms is what a fitting should read, 0 where nothing is known.
func usualOhms(r logbook.Reader, w logbook.Weld) (ohms float64, whose string) {
	site, _ := r.Site(w.Site)
	if row, _ := logbook.ShelfOf(site).Known(w.Fitting()); row.Fitting.Ohms != nil {
		return *row.Fitting.Ohms, "in the table"
	}
	welds := r.Welds(w.Site)
	for i := len(welds) - 1; i >= 0; i-- {
		o := &welds[i]
		if o.ID != w.ID && o.Fitting() == w.Fitting() && o.Ohms != nil && o.Ohms.Ohms != nil && *o.Ohms.Ohms > 0 {
			return *o.Ohms.Ohms, "of " + o.ID
		}
	}
	return 0, ""
}

// DoubtAmbient doubts a temperature far from the last one read on the site.
func DoubtAmbient(s logbook.Site, c fusion.Celsius, now fusion.Stamp) (d logbook.Doubt, beside string) {
	if s.Ambient == nil {
		return "", ""
	}
	since := now.Wall.Sub(s.Ambient.At.Wall)
	if apart := c - s.Ambient.C; since < 0 || since > FreshFor || max(apart, -apart) <= LeapMost {
		return "", ""
	}
	return logbook.Leaping, fmt.Sprintf("%s °C beside %s °C, read %.0f min ago", c, s.Ambient.C, since.Truncate(time.Minute).Minutes())
}

// DoubtStop doubts the second at which a fusion is said to have stopped.
func DoubtStop(w logbook.Weld, at int) (d logbook.Doubt, beside string) {
	if d, beside = DoubtRun(w, at); d != logbook.Longer {
		return "", ""
	}
	return d, beside
}

// DoubtRun doubts the seconds that a unit is said to have run.
func DoubtRun(w logbook.Weld, ran int) (d logbook.Doubt, beside string) {
	if w.Settings == nil || w.Settings.SecondsUnsaid || ran == w.Settings.SecondsShown {
		return "", ""
	}
	d = logbook.Shorter
	if ran > w.Settings.SecondsShown {
		d = logbook.Longer
	}
	return d, fmt.Sprintf("%d s beside %d s set", ran, w.Settings.SecondsShown)
}
