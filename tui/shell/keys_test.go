package shell

import (
	"slices"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"coolhold/fusion"
)

// A listener counts the keys that reach it.
type listener struct {
	got   *[]string
	keys  Keys
	takes Taking
}

func (s listener) Update(_ Env, msg tea.Msg) Screen {
	if k, ok := msg.(tea.KeyMsg); ok {
		*s.got = append(*s.got, k.String())
	}
	return s
}
func (s listener) View(Env) string  { return "listens" }
func (s listener) Keys(Env) Keys    { return s.keys }
func (s listener) Takes(Env) Taking { return s.takes }

func listensTo(s listener, w, h int) Root {
	mono := time.Hour
	r := New(Program{
		Clock: func() fusion.Stamp { return fusion.Stamp{Wall: time.Unix(1e9, 0)} }, Mono: func() time.Duration { mono += time.Second; return mono },
		NewID: func() string { return "id" }, After: func(time.Duration, tea.Msg) tea.Cmd { return nil }, Bell: func() {},
		Start: func(Env) Screen { return s }, Waiting: func(Env) Screen { return s },
	})
	r.w, r.h = w, h
	return r.With(s)
}

func strike(r Root, keys ...tea.KeyMsg) Root {
	for _, k := range keys {
		m, _ := r.Update(k)
		m, _ = m.Update(Quiet())
		r = m.(Root)
	}
	return r
}

func letter(s string) tea.KeyMsg { return tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(s)} }

// What a screen does not name never reaches it; one that is disabled does, since the
// screen says why; where text is typed everything does, ? and / too.
func TestOnlyNamedKeysAct(t *testing.T) {
	all := []tea.KeyMsg{letter("1"), letter("2"), letter("3"), letter("?"), {Type: tea.KeyEsc}, {Type: tea.KeyEsc}, {Type: tea.KeyEnter}}
	for _, tt := range []struct {
		takes Taking
		want  []string
	}{
		{NoScan, []string{"1", "2", "esc"}}, // ? opens the page, the first Esc closes it
		{TextField, []string{"1", "2", "3", "?", "esc", "esc", "enter"}},
	} {
		var got []string
		strike(listensTo(listener{&got, Keys{On("1", "one"), When(false, On("2", "two")), On("Esc", "leave")}, tt.takes}, 80, 24), all...)
		if !slices.Equal(got, tt.want) {
			t.Errorf("taking %v: %q reached the screen, want %q", tt.takes, got, tt.want)
		}
	}
}

// However many keys a screen has, its foot has two lines, three where it is narrow, ends with the key to all of
// them, and cuts none.
func TestTheFootFits(t *testing.T) {
	var keys Keys
	for range 12 {
		keys = append(keys, On("1", "something that is rather long"))
	}
	for _, takes := range []Taking{NoScan, TextField} {
		for w := MinWidth; w <= 200; w += 7 {
			r := listensTo(listener{new([]string), keys, takes}, w, MinHeight)
			foot := r.footLines(r.env())
			end := map[Taking]string{NoScan: "? keys", TextField: "F1 keys"}[takes]
			most := 2
			if w < 72 {
				most = 3
			}
			if len(foot) > most || !strings.Contains(foot[0], "something") || !strings.HasSuffix(foot[len(foot)-1], end) || strings.Contains(strings.Join(foot, ""), "…") || len(r.Untold()) > 0 {
				t.Errorf("%d wide: %q %q", w, foot, r.Untold())
			}
		}
	}
	if wrong := listensTo(listener{new([]string), nil, NoScan}, 80, 24).Untold(); len(wrong) == 0 {
		t.Error("a screen without keys is not found out")
	}
}

func TestKeysByTheirNames(t *testing.T) {
	for shown, want := range map[string]string{"1-3": "1 2 3", "Enter or digit": "enter 0 1 2 3 4 5 6 7 8 9", "↑↓ PgDn": "up down pgup pgdown pgdown", "Esc": "esc", "digits, Enter": "0 1 2 3 4 5 6 7 8 9 . , - enter"} {
		if got := strings.Join(On(shown, "x").Keys(), " "); got != want {
			t.Errorf("%q is %q, want %q", shown, got, want)
		}
	}
	defer func() {
		if recover() == nil {
			t.Error("a key without a name is taken")
		}
	}()
	On("Meta", "x")
}
