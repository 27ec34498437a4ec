package tui

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"coolhold/logbook/audit"
	"coolhold/tui/shell"
)

// A topic tells in two sentences what its screen is for, and names rules that there are.
func TestTopicsAreWhole(t *testing.T) {
	for _, name := range slices.Sorted(maps.Keys(shell.Topics)) {
		a := shell.Topics[name]
		if n := strings.Count(a.For, ". "); a.Title == "" || n != 1 || !strings.HasSuffix(a.For, ".") {
			t.Errorf("%s: %d full stops within %q under %q, want two sentences", name, n, a.For, a.Title)
		}
		for _, slug := range a.Rules {
			if !slices.ContainsFunc(audit.Rules, func(r audit.Rule) bool { return r.Slug == slug }) {
				t.Errorf("%s: there is no rule %q", name, slug)
			}
		}
	}
}

// No key of the board is missing in the smallest window.
func TestTheBoardShowsAllItsKeys(t *testing.T) {
	for _, size := range [][2]int{{60, 20}, {80, 24}} {
		d := drive(t, exampleAt(t, monday), monday, size[0], size[1])
		d.sees("1 next", "2 weather", "3 end check", "4 later", "5 tables", "6 ahead", "7 draw", "8 more", "9 day", "0 register", "/ find", "? keys")
	}
}

// Every screen that keys lead to tells what it is for, has a page of its keys, and has a
// foot that is whole; and each key that it names does something.
func TestEveryScreenTellsItsKeys(t *testing.T) {
	for _, size := range [][3]int{{80, 24, 3}, {60, 20, 4}} { // and how many keys away from the board at most
		seen := map[string]bool{}
		topics := map[string]bool{}
		paths := []step{{}}
		for len(paths) > 0 {
			path, from := paths[0].keys, paths[0].from
			paths = paths[1:]
			d := drive(t, exampleAt(t, monday), monday, size[0], size[1])
			d.keys(path...)
			if d.quit {
				continue
			}
			if d.m.View() == from && d.m.(shell.Root).About().Title != shell.Topics["values"].Title { // there digits move the cursor

				t.Errorf("the last key of %q is named, and does nothing:\n%s", path, from)
			}
			at := placeOf(d)
			if seen[at] {
				continue
			}
			seen[at] = true
			topics[d.m.(shell.Root).About().Title] = true
			d.pageIsWhole(path)
			if len(path) == size[2] {
				continue
			}
			paths = append(paths, d.further(path)...)
		}
		if t.Failed() {
			return
		}
		t.Logf("%d by %d: %d places under %d topics", size[0], size[1], len(seen), len(topics))
		if len(topics) < 30 && size[2] == 4 {
			t.Errorf("only %d topics were reached: %v", len(topics), slices.Sorted(maps.Keys(topics)))
		}
	}
}

// A step is the keys to a screen, the last of them pressed on the screen that is drawn.
type step struct {
	keys []string
	from string
}

// placeOf is where keys have led to: what is asked there, and of what.
func placeOf(d *driver) string {
	r := d.m.(shell.Root)
	return fmt.Sprintf("%s %q %q", r.About().Title, r.Offered(), strings.Split(d.frame(), "\n")[3])
}

// pageIsWhole opens the page of a screen by F1 and looks for its keys.
func (d *driver) pageIsWhole(path []string) {
	d.t.Helper()
	r := d.m.(shell.Root)
	if r.About().For == "" {
		d.t.Errorf("after %q no page says what this screen is for:\n%s", path, d.frame())
		return
	}
	d.keys("f1", "esc") // what was said goes with the next key
	before := d.frame()
	d.keys("f1")
	first, all := d.frame(), ""
	for last := ""; last != d.frame(); d.keys("down") {
		last = d.frame()
		all += last
	}
	d.keys("esc")
	if d.frame() != before {
		d.t.Errorf("after %q F1 and Esc lead elsewhere:\n%s", path, d.frame())
	}
	if !strings.Contains(first, r.About().Title) || !strings.Contains(all, "On every screen") {
		d.t.Errorf("after %q the page is another's:\n%s", path, first)
	}
	for _, slug := range r.About().Rules {
		if words := strings.ReplaceAll(slug, "-", " "); !strings.Contains(strings.Join(strings.Fields(all), " "), words) {
			d.t.Errorf("after %q the rule %q is not on the page", path, words)
		}
	}
}

// further are the paths one key on. A key that does nothing at all is a fault of the
// screen that names it; arrows and Enter may stand at an end.
func (d *driver) further(path []string) (paths []step) {
	d.t.Helper()
	for _, k := range d.m.(shell.Root).Offered() {
		if name, special := map[string]string{" ": "space", "up": "", "down": "", "pgup": "", "pgdown": "", "left": "", "right": "", "esc": "", ".": "", ",": "", "-": ""}[k]; special {
			k = name
		}
		if k == "" {
			continue
		}
		paths = append(paths, step{append(slices.Clone(path), k), d.m.View()})
	}
	return paths
}
