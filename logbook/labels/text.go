package labels

import (
	"fmt"
	"io"
)

// WriteText writes labels as plain text: of each what it is for and says in
// full, and below it what a marker writes.
func WriteText(w io.Writer, labels []Label) error {
	for _, l := range labels {
		if _, err := fmt.Fprintf(w, "%-6s  %s\n        write: %s\n", l.Purpose, l.Text, l.Ink); err != nil {
			return err
		}
	}
	return nil
}
