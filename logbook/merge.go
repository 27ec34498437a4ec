package logbook

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"slices"
)

// A LogCopy is what one file holds of one log.
type LogCopy struct {
	Name    string // for errors
	ID, Tag string
	Entries []Entry
}

// ErrForked: two files say they are the same log and differ.
var ErrForked = errors.New("the copies of one log differ")

// Merge puts the entries of several logs into one list, ordered by the wall
// clock between logs and by sequence within each; the numbers are given anew.
// Copies of one log count once, the longest. Shifts are told apart by the log, and
// so are the welds of two logs with one tag. Two sites of one name are one where
// their plans are alike or somebody said so by name, else they are told apart too.
func Merge(copies []LogCopy) ([]Entry, error) {
	logs, err := distinct(copies)
	if err != nil || len(logs) == 1 {
		return first(logs).Entries, err
	}
	slices.SortFunc(logs, func(a, b LogCopy) int { return cmp.Or(cmp.Compare(a.Tag, b.Tag), cmp.Compare(a.ID, b.ID)) }) // in whatever order they were named
	from := Origins(logs)
	names := sitesOf(logs, from)
	m := merging{begun: map[string]bool{}, waits: waiting(logs, from)}
	for at := make([]int, len(logs)); ; {
		next := -1
		for i, l := range logs {
			if at[i] < len(l.Entries) && (next < 0 || l.Entries[at[i]].At.Wall.Before(logs[next].Entries[at[next]].At.Wall)) {
				next = i
			}
		}
		if next < 0 {
			return m.out, nil
		}
		m.add(names.give(logs[next].Entries[at[next]], from[next]))
		at[next]++
	}
}

// A merging is a list of entries of several logs in the making. What one log says of a
// weld of another comes after that was begun, whatever their clocks say.
type merging struct {
	out   []Entry
	begun map[string]bool
	waits map[string][]Entry // by weld; of welds that are in none of the logs there is nothing
}

// waiting are the welds that one of the logs has.
func waiting(logs []LogCopy, from []*Origin) map[string][]Entry {
	out := map[string][]Entry{}
	for i, l := range logs {
		for _, e := range l.Entries {
			if e.Kind == (WeldBegun{}).Kind() {
				out[e.Weld+from[i].Mark] = nil
			}
		}
	}
	return out
}

func (m *merging) add(e Entry) {
	waits, known := m.waits[e.Weld]
	switch begins := e.Kind == (WeldBegun{}).Kind(); {
	case begins:
		m.begun[e.Weld] = true
		m.put(e)
		for _, e := range waits {
			m.put(e)
		}
	case known && !m.begun[e.Weld]:
		m.waits[e.Weld] = append(waits, e)
	default:
		m.put(e)
	}
}

func (m *merging) put(e Entry) {
	e.Seq = uint64(len(m.out) + 1)
	m.out = append(m.out, e)
}

// give is an entry with the names that it has among several logs.
func (n siteNames) give(e Entry, from *Origin) Entry {
	e.from = n.origin(from, e.Site)
	if e.Shift != "" {
		e.Shift += " " + from.Name()
	}
	if numberAfter(from.Tag, e.Weld) > 0 { // what one log says of another's welds has their mark already
		e.Weld += from.Mark
	}
	e.Site = n.of(from, e.Site)
	return e
}

// Forked says where two copies of one log part.
func Forked(a, b string, at int) error {
	return fmt.Errorf("%s and %s: %w at entry %d: one of them was changed after it was copied; keep both and ask which counts", a, b, ErrForked, at)
}

func first(logs []LogCopy) LogCopy {
	if len(logs) == 0 {
		return LogCopy{}
	}
	return logs[0]
}

func distinct(copies []LogCopy) ([]LogCopy, error) {
	var logs []LogCopy
	for _, c := range copies {
		i := slices.IndexFunc(logs, func(l LogCopy) bool { return l.ID == c.ID })
		if i < 0 {
			logs = append(logs, c)
			continue
		}
		if n, same := shared(logs[i].Entries, c.Entries); !same {
			return nil, Forked(logs[i].Name, c.Name, n+1)
		}
		if len(c.Entries) > len(logs[i].Entries) {
			logs[i] = c
		}
	}
	return logs, nil
}

// shared tells whether the shorter of two lists begins the longer, and where
// they part.
func shared(a, b []Entry) (int, bool) {
	for i := range min(len(a), len(b)) {
		if a[i].ID != b[i].ID || a[i].Kind != b[i].Kind || !bytes.Equal(a[i].Body, b[i].Body) {
			return i, false
		}
	}
	return 0, true
}
