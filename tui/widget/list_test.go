package widget

import (
	"slices"
	"strings"
	"testing"
)

// listed is a list of entries of a line each; what begins with # is a heading,
// what begins with + a further line of the entry before. asked are the lines
// whose text was asked for.
func listed(asked *[]string, lines ...string) List {
	same := func(text string) string { return text }
	l := List{Width: 12, Pick: func(text string) string { return "[" + text + "]" }, Dim: same}
	key := ""
	for _, line := range lines {
		switch {
		case line[0] == '#':
			key = ""
		case line[0] != '+':
			key = line
		}
		l.Rows = append(l.Rows, Row{Key: key, Text: func() string { *asked = append(*asked, line); return line }})
	}
	return l
}

func TestTheCursorOfAListFollowsItsEntry(t *testing.T) {
	var asked []string
	l := listed(&asked, "#1", "a", "b", "+b", "#2", "c")
	for _, tt := range []struct {
		from string
		by   int
		want string
	}{
		{"", 0, "a"}, {"", 1, "b"}, {"gone", 1, "b"}, {"b", 1, "c"}, {"c", -1, "b"}, {"c", 8, "c"}, {"b", -8, "a"},
	} {
		if got := l.Move(tt.from, tt.by); got != tt.want {
			t.Errorf("%d from %q is %q, want %q", tt.by, tt.from, got, tt.want)
		}
	}
	if got := listed(&asked, "#none").Move("a", 1); got != "" {
		t.Errorf("an empty list moves to %q", got)
	}
	if i := listed(&asked, "c", "#2", "a", "b").Index("b"); i != 2 {
		t.Errorf("b stands at %d now", i)
	}
	l.Free = true
	for from, want := range map[string][2]string{"": {"a", "c"}, "a": {"b", "c"}, "c": {"a", "b"}} {
		if down, up := l.Turn(from, 1), l.Turn(from, -1); down != want[0] || up != want[1] {
			t.Errorf("from %q a turn leads to %q and %q, want %q", from, down, up, want)
		}
	}
	if i := l.Index(""); i != -1 {
		t.Errorf("entry %d of a free list is chosen by itself", i)
	}
}

func TestAListDrawsItsWindow(t *testing.T) {
	for _, tt := range []struct {
		name, at string
		height   int
		want     []string
	}{
		{"whole", "b", 9, []string{"#1", "   a", "[ ▸ b        ]", "[   +b       ]", "#2", "   c"}},
		{"the last line says how much is below", "a", 4, []string{"#1", "[ ▸ a        ]", "   b", "   3 more: ↓"}},
		{"the chosen one is never hidden", "b", 1, []string{"[ ▸ b        ]"}},
		{"at the end", "c", 2, []string{"#2", "[ ▸ c        ]"}},
	} {
		var asked []string
		got := listed(&asked, "#1", "a", "b", "+b", "#2", "c").View(tt.at, tt.height)
		if !slices.Equal(got, tt.want) {
			t.Errorf("%s: drawn as %q, want %q", tt.name, got, tt.want)
		}
		if len(asked) > tt.height {
			t.Errorf("%s: lines were asked for that are not drawn: %q", tt.name, asked)
		}
	}
	var asked []string
	l := listed(&asked, "a", "b")
	l.Free, l.Indent = true, "  "
	if got := l.View("", 9); !slices.Equal(got, []string{"     a", "     b"}) {
		t.Errorf("a free list is drawn as %q", got)
	}
}

func TestAScrollStopsAtBothEnds(t *testing.T) {
	text := strings.Fields("a b c d e")
	same := func(text string) string { return text }
	s := Scroll(0)
	if got := s.View(text, 3, same); !slices.Equal(got, []string{"a", "b", "   3 more: ↓"}) {
		t.Errorf("the top is drawn as %q", got)
	}
	if s = s.Move(9, 5, 3); s != 2 || s.Below(5, 3) != 0 {
		t.Errorf("the end is at %d with %d below", s, s.Below(5, 3))
	}
	if got := s.View(text, 3, same); !slices.Equal(got, []string{"c", "d", "e"}) {
		t.Errorf("the end is drawn as %q", got)
	}
	if got := s.View(text[:2], 3, same); !slices.Equal(got, []string{"a", "b"}) {
		t.Errorf("a text that became shorter is drawn as %q", got)
	}
	if s = s.Move(-1, 5, 3); s != 1 || s.Below(5, 3) != 1 {
		t.Errorf("one up is %d with %d below", s, s.Below(5, 3))
	}
	if s = s.Move(-9, 5, 3); s != 0 {
		t.Errorf("the top is %d", s)
	}
	if got := s.View(text, 0, same); !slices.Equal(got, []string{"a"}) {
		t.Errorf("in no height it is drawn as %q", got)
	}
}
