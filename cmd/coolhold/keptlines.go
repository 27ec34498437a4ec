package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"

	"github.com/adrg/xdg"

	"coolhold/logbook/whole"
)

// What is a matter of this machine and no fact of a log lies beside the theme, in files
// of one line of JSON each.
func fileOfKept(name string) string { return filepath.Join(xdg.ConfigHome, "coolhold", name) }

// readKept is all that is kept in a file and wanted. A line that cannot be read keeps
// nobody from the log.
func readKept[T any](file string, wanted func(T) bool) (kept []T) {
	data, err := os.ReadFile(file)
	if err != nil {
		return nil
	}
	for line := range bytes.Lines(data) {
		var k T
		if json.Unmarshal(line, &k) == nil && wanted(k) {
			kept = append(kept, k)
		}
	}
	return kept
}

// writeKept writes a file of what is kept, in place of what was.
func writeKept[T any](file string, kept []T) error {
	var text []byte
	for _, k := range kept {
		line, err := json.Marshal(k)
		if err != nil {
			return err
		}
		text = append(append(text, line...), '\n')
	}
	err := os.MkdirAll(filepath.Dir(file), 0o700)
	if err == nil {
		err = whole.Replace(file, whole.Bytes(text, 0o600))
	}
	return saved(file, err)
}
