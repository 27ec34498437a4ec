// Package phone writes a leaf of a hand-over as one HTML file: for a phone in a plant
// room without a network, and to print. It holds no script and leads nowhere but to the
// number that is to be called.
package phone

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/handover"
)

//go:embed leaf.html
var leafText string

var leafPage = template.Must(template.New("leaf").Funcs(template.FuncMap{"clean": logbook.Clean, "head": head}).Parse(leafText))

// A view is a leaf with the number that can be called from it.
type view struct {
	handover.Leaf
	Dial template.URL // "": none
}

// Write writes a leaf. call is the number that is to be called, as it was said; "" is none.
// The same leaf gives the same bytes.
func Write(w io.Writer, l handover.Leaf, call string) error {
	if err := leafPage.Execute(w, view{l, dial(call)}); err != nil {
		return fmt.Errorf("the hand-over is not made: %w", err)
	}
	return nil
}

// dial is a number as a phone takes it: of what was said the digits, and a plus before
// them. What has too few of them is no number.
func dial(said string) template.URL {
	var out strings.Builder
	for _, c := range strings.TrimSpace(said) {
		switch {
		case c >= '0' && c <= '9', c == '+' && out.Len() == 0:
			out.WriteRune(c)
		case strings.ContainsRune(" -/.()\u00a0", c):
		default:
			return "" // an extension, two numbers, a word: a person reads it
		}
	}
	if len(strings.TrimPrefix(out.String(), "+")) < leastDigits {
		return ""
	}
	return template.URL("tel:" + out.String()) // digits and a plus alone
}

const leastDigits = 3

// head is the head of a cell's column.
func head(t *handover.Table, i int) string { return t.Heads[i] }
