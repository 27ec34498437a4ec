package toml

import (
	"fmt"
	"strconv"
	"strings"
)

// A Writer puts a file together, a value a line, the equal signs of one table below
// each other.
type Writer struct {
	b    strings.Builder
	rows [][2]string // of the table that is open
}

// Says writes a comment.
func (w *Writer) Says(lines ...string) {
	w.flush()
	for _, l := range lines {
		w.b.WriteString(strings.TrimRight("# "+l, " ") + "\n")
	}
	w.b.WriteString("\n")
}

// Open begins a table; head is with its brackets.
func (w *Writer) Open(head string) {
	w.flush()
	w.b.WriteString("\n" + head + "\n")
}

// Put writes a value: a text, a figure, a list of these, or what is TOML already.
func (w *Writer) Put(key string, v any) { w.rows = append(w.rows, [2]string{key, Value(v)}) }

// Opt is Put where the value is there.
func (w *Writer) Opt(key, v string) {
	if v != "" {
		w.Put(key, v)
	}
}

// OptNum is Opt for a figure.
func OptNum[N int | float64](w *Writer, key string, n *N) {
	if n != nil {
		w.Put(key, *n)
	}
}

// Over is Put for a figure above 0.
func Over[N ~int | ~float64](w *Writer, key string, n N) {
	if n > 0 {
		w.Put(key, float64(n))
	}
}

func (w *Writer) flush() {
	wide := 0
	for _, r := range w.rows {
		wide = max(wide, len(r[0]))
	}
	for _, r := range w.rows {
		fmt.Fprintf(&w.b, "%-*s = %s\n", wide, r[0], r[1])
	}
	w.rows = nil
}

// String is the file so far.
func (w *Writer) String() string {
	w.flush()
	return w.b.String()
}

// Raw is a value that is TOML already.
type Raw string

// Value is a value as it is written.
func Value(v any) string {
	switch v := v.(type) {
	case Raw:
		return string(v)
	case string:
		return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(v) + `"`
	case int:
		return strconv.Itoa(v)
	case float64:
		return strconv.FormatFloat(v, 'f', -1, 64)
	}
	panic(fmt.Sprintf("toml: a %T is not written", v))
}

// List is a list of values.
func List[T any](list []T) Raw {
	var parts []string
	for _, v := range list {
		parts = append(parts, Value(v))
	}
	return Raw("[" + strings.Join(parts, ", ") + "]")
}

// Row is a table in line, of keys and values that alternate; values that are "" or 0
// stay out.
func Row(pairs ...any) Raw {
	var parts []string
	for i := 0; i < len(pairs); i += 2 {
		if v := Value(pairs[i+1]); v != `""` && v != "0" {
			parts = append(parts, fmt.Sprintf("%v = %s", pairs[i], v))
		}
	}
	return Raw("{" + strings.Join(parts, ", ") + "}")
}
