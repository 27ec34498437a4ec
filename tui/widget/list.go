package widget

import (
	"fmt"
	"slices"
	"strings"
)

// A Row is one line of a list. Lines under one key are one entry and are chosen
// together; a line without a key is a heading and is never chosen.
type Row struct {
	Key   string
	Text  func() string       // asked only for lines that are drawn; nil: the list's own Text
	Paint func(string) string // of a line that is not chosen; nil: plain
}

// A List is rows of which one entry is chosen. The cursor is a key, not a place:
// it stays on its entry when others come, go or change places.
type List struct {
	Rows   []Row
	Text   func(key string) string // of a row that has none of its own: one for them all
	Width  int
	Indent string // before every line but the headings
	Free   bool   // nothing is chosen by itself; else the first entry is
	Pick   func(string) string
	Dim    func(string) string
}

// Keys are the keys of the entries, each once, as they are listed.
func (l List) Keys() []string {
	var keys []string
	for _, r := range l.Rows {
		if r.Key != "" && (len(keys) == 0 || keys[len(keys)-1] != r.Key) {
			keys = append(keys, r.Key)
		}
	}
	return keys
}

// Index is the number of the chosen entry. One whose key is gone leaves the
// cursor at the first, or nowhere where the list is free: then it is -1.
func (l List) Index(key string) int {
	i := slices.Index(l.Keys(), key)
	if l.Free {
		return i
	}
	return max(0, i)
}

// Move is the key so many entries further on; it stops at both ends.
func (l List) Move(key string, by int) string {
	keys := l.Keys()
	if len(keys) == 0 {
		return ""
	}
	return keys[min(max(0, l.Index(key)+by), len(keys)-1)]
}

// Turn is the key of the next entry or the one before; after the last comes the
// first again.
func (l List) Turn(key string, by int) string {
	keys := l.Keys()
	if len(keys) == 0 {
		return ""
	}
	at := l.Index(key)
	if at < 0 && by < 0 {
		at = 0
	}
	return keys[((at+by)%len(keys)+len(keys))%len(keys)]
}

// View draws the part of the list round the cursor that fits in so many lines.
// Where it goes on the last of them says so.
func (l List) View(key string, height int) []string {
	height = max(1, height)
	at := slices.IndexFunc(l.Rows, func(r Row) bool { return key != "" && r.Key == key })
	if at < 0 && !l.Free {
		at = slices.IndexFunc(l.Rows, func(r Row) bool { return r.Key != "" })
	}
	chosen := ""
	if at >= 0 {
		chosen = l.Rows[at].Key
	}
	at = max(0, at)
	from, to := Window(len(l.Rows), at, height)
	var lines []string
	for i := from; i < to; i++ {
		lines = append(lines, l.line(i, chosen, i == at))
	}
	if below := len(l.Rows) - to; below > 0 && to-1 > at {
		lines[len(lines)-1] = l.Dim(l.Indent + More(below+1))
	}
	return lines
}

const (
	mark     = " ▸ " // before the first line of the chosen entry
	unmarked = "   "
)

func (l List) line(i int, chosen string, first bool) string {
	r := l.Rows[i]
	text := ""
	if r.Text != nil {
		text = r.Text()
	} else {
		text = l.Text(r.Key)
	}
	switch {
	case r.Key == "":
	case r.Key != chosen:
		text = l.Indent + unmarked + text
	case first:
		return l.Pick(Pad(l.Indent+mark+text, l.Width))
	default:
		return l.Pick(Pad(l.Indent+unmarked+text, l.Width))
	}
	text = Cut(strings.TrimRight(text, " "), l.Width)
	if r.Paint != nil {
		text = r.Paint(text)
	}
	return text
}

// More says how many lines lie below.
func More(n int) string { return fmt.Sprintf("   %d more: ↓", n) }
