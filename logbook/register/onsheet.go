package register

import (
	"regexp"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/audit"
)

// What a weld from paper keeps of the blanks of its row: columns of the sheet by their names.
var (
	blanks  = regexp.MustCompile(`left blank: ([a-z0-9_]+(?:, [a-z0-9_]+)*)`)
	noBlank = "nothing left blank"
)

// Filled is said of a row without a blank.
const Filled = "each cell of its row was filled in"

// Told is a group of findings in words: of welds from paper with what their rows left blank.
// What a person wrote stays as it was written.
func Told(g audit.Group) string {
	if g.First().Rule == audit.Transcribed {
		return OnSheet(g.Says())
	}
	return g.Says()
}

// SaidOf is one finding in those words.
func SaidOf(f audit.Finding) string { return Told(audit.Group{Findings: []audit.Finding{f}}) }

// OnSheet is a text in which the blanks of a row of a paper sheet are told, for a reader who
// never saw the names of its columns. That no cell was left blank does not say that all was
// known: "not known" may stand in one.
func OnSheet(text string) string {
	if !strings.Contains(text, "left blank") {
		return text
	}
	text = strings.ReplaceAll(text, noBlank, Filled)
	return blanks.ReplaceAllStringFunc(text, func(said string) string {
		names := strings.Split(strings.TrimPrefix(said, "left blank: "), ", ")
		for i, name := range names {
			names[i] = nameOnSheet(name)
		}
		return "its row has no answer for: " + strings.Join(names, ", ")
	})
}

// nameOnSheet is what a column of the sheet asks, in words.
func nameOnSheet(name string) string {
	switch v, known := logbook.ValueOf(name); {
	case name == logbook.FieldEnded:
		return "end of fusion"
	case known:
		return v.OnPage()
	}
	return logbook.NameOf(name)
}
