package paper

import (
	"slices"
	"strings"

	"coolhold/fusion"
)

// What stands for a box that was ticked, or was not, as it is typed and as spreadsheets
// write a truth of theirs in other tongues. A cross in a box of its own is none of them:
// it says yes to one person and no to another.
var (
	ticks   = []string{"x", "✓", "✔", "☑", "√", "✅", "true", "wahr", "vrai", "vero", "verdadero", "verdadeiro", "waar", "sant", "sann", "prawda", "tosi", "igaz", "pravda"}
	noTicks = []string{"☐", "□", "false", "falsch", "faux", "falso", "onwaar", "falskt", "falsk", "usann", "fałsz", "epätosi", "hamis", "nepravda"}
	crosses = []string{"✗", "✘", "☒", "❌", "×"}
	dittos  = []string{`"`, `""`, "''", "″", "〃", "\"\"\"", "ditto", "do.", "dto.", "idem", "id."}
)

func isOne(of []string, said string) bool {
	said = strings.TrimSuffix(fusion.Folded(said), "\ufe0f") // a sign drawn as a picture
	return slices.Contains(of, said)
}

// errorSigns begin what a spreadsheet writes where it could not compute.
var errorSigns = []string{"#n/a", "#name?", "#null!", "#num!", "#ref!", "#value!", "#div/0!", "#wert!", "#bezug!", "#nv", "#####", "err:"}

func isError(said string) bool {
	said = fusion.Folded(said)
	return slices.ContainsFunc(errorSigns, func(sign string) bool { return strings.HasPrefix(said, sign) })
}
