package ahead

import (
	"fmt"
	"strings"
	"time"

	"coolhold/logbook"
)

// LossLine says of open losses of pressure what was lost and when, in one line;
// "" for none.
func LossLine(open []logbook.Event) string {
	var parts []string
	for _, e := range open {
		on := e.On
		if day, err := time.Parse(time.DateOnly, on); err == nil {
			on = day.Format("2 Jan 2006")
		}
		parts = append(parts, e.About()+" on "+on)
	}
	if len(parts) == 0 {
		return ""
	}
	return "Pressure lost, no repair recorded: " + strings.Join(parts, ", ") + "."
}

// MadeAgain are the joints in which a weld stands that must be cut out: it
// failed, or its cut-out is ordered. failed says what the audit found of a weld;
// without one only orders count.
func MadeAgain(r logbook.Reader, site string, failed func(weld string) bool) []string {
	var out []string
	for _, j := range r.Joints(site) {
		w, ok := r.Weld(site, j.Stands)
		if !ok || !j.Counts() || !w.Stands() {
			continue
		}
		if w.CutOrdered != nil || failed != nil && failed(w.ID) {
			out = append(out, j.Label)
		}
	}
	return out
}

// mostNamed is how many labels a line names before it only counts: our choice.
const mostNamed = 6

// InShort names joints in one line: "1A, 1B", of many only the first,
// "60 joints (1A, 1B, 2A, 2B …)".
func InShort(labels []string) string {
	if len(labels) <= mostNamed {
		return strings.Join(labels, ", ")
	}
	return fmt.Sprintf("%d joints (%s …)", len(labels), strings.Join(labels[:mostNamed-2], ", "))
}
