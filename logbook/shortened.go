package logbook

import (
	"regexp"
	"slices"
)

// BatchItems are the values that are batches, as a print on a bag or a pipe has them.
var BatchItems = []string{ItemBatch, ItemPipeBatch, ItemStubBatch}

var shortened = regexp.MustCompile(`^[0-9]([.,][0-9]+)?[eE]\+[0-9]+$`)

// Shortened tells whether a batch reads like a long number as a spreadsheet shortens
// it, 1.23457E+17: its last digits are gone, and another batch reads the same.
func Shortened(item, v string) bool {
	return slices.Contains(BatchItems, item) && shortened.MatchString(v)
}

// ShortenedSays is what is wrong with it and what to do.
const ShortenedSays = "is a long number as a spreadsheet shortens it: type all its digits from the print, the cell as text"
