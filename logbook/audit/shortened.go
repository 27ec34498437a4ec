package audit

import (
	"fmt"
	"strings"

	"coolhold/logbook"
)

// A shortBatch is a batch as a spreadsheet shortens a long number.
type shortBatch struct {
	Item string `json:"item"`
	V    string `json:"v"`
}

// batchShortened are the batches of a weld whose last digits are gone.
func batchShortened(c Case) (batches []shortBatch, found bool) {
	for _, item := range logbook.BatchItems {
		if v := c.Weld.Answers[item].V; logbook.Shortened(item, v) {
			batches = append(batches, shortBatch{item, v})
		}
	}
	return batches, c.Weld.Fused() && len(batches) > 0
}

func shortenedSays(weld string, batches []shortBatch) string {
	var parts []string
	for _, b := range batches {
		parts = append(parts, fmt.Sprintf("%s %q", logbook.NameOf(b.Item), b.V))
	}
	return fmt.Sprintf("%s: %s: a long number as a spreadsheet shortens it, its last digits are gone", weld, strings.Join(parts, ", "))
}
