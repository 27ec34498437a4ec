package logbook

import "slices"

// cardValues are the lines of the preparation card, in the order of the work;
// the digit of a line is its place among those still asked. Sources: trade
// practice as listed for UNI 10521 (as restated), DVS 2207-1 Suppl. 1, 4.4 and the
// UK gas notes; swarf in the bore, both ends by themselves, the fitting in the middle
// and the terminals within reach are common practice, no source; the split into nine
// is ours.
var cardValues = []Field{
	retired(onCard("cut_square", "cut square", "cut square")),
	retired(onCard("undamaged", "undamaged", "undamaged and clean")),
	retired(onCard("insertion_marked", "insertion marked", "insertion depth marked")),
	onCard("ends", "ends", "ends cut square, round or re-rounded"),
	onCard("bore", "bore", "undamaged and clean; no swarf in the bore"),
	onCard(ItemScraped, "scraped", "scraped all round: stub end, or first end"),
	onCard(ItemScraped2, "other end scraped", "scraped all round: pipe end, or other end"),
	onCard("wiped", "wiped", "wiped and fully dry"),
	onCard("pushed_home", "pushed home", "home to both marks, fitting centred"),
	retired(onCard("round", "round", "round, or re-rounded")),
	onCard("clamped", "clamped", "clamped; no load; leads reach the terminals"),
	onCard("no_water", "no water", "no water in zone or bore; far ends capped"),
	onCard("same_temperature", "same temperature", "fitting and pipe at air temperature"),
}

// onBoth are the lines that the former card had too.
var onBoth = []string{ItemScraped, "wiped", "clamped", "no_water", "same_temperature"}

func retired(f Field) Field {
	f.Retired = true
	return f
}

func onCard(key, name, label string) Field {
	return answered(About{
		Key: key, Name: name, Ask: label, Kind: AsChoice, Options: Marks, Made: []string{Done, CouldNot},
		Write: label + ": {done}, or {couldnot}: REASON", Example: "{done}", Say: true, Column: cardColumn,
	})
}

// cardColumn is the column of the register in which the card stands.
const cardColumn = "preparation"

// hasItem tells whether a line is on the card that the weld was asked, or has an answer.
func (w Weld) hasItem(key string) bool {
	_, said := w.Answers[key]
	return said || slices.ContainsFunc(w.PrepItems(), func(p PrepItem) bool { return p.Item == key })
}
