package crew

import (
	"context"
	"encoding/json"
	"slices"
	"testing"

	"coolhold/fusion"
	"coolhold/logbook"
)

// A Memory is a log in memory: what is decided becomes entries, each as read back
// from JSON.
type Memory struct {
	Book    *logbook.Book
	Entries []logbook.Entry
}

// NewMemory is an empty log whose welds bear a tag.
func NewMemory(tag string) *Memory { return &Memory{Book: logbook.NewBook(tag, 1)} }

// Append lets an act decide and keeps its entries.
func (m *Memory) Append(_ context.Context, act func(logbook.Reader) ([]logbook.Draft, error)) ([]logbook.Entry, error) {
	drafts, err := act(m.Book)
	if err != nil {
		return nil, err
	}
	was := len(m.Entries)
	for i, d := range drafts {
		e, err := d.Entry(uint64(len(m.Entries)+1), i)
		if err != nil {
			return nil, err
		}
		if e, err = reread(e); err != nil {
			return nil, err
		}
		m.Entries = append(m.Entries, e)
		m.Book.Add(e)
	}
	return m.Entries[was:len(m.Entries):len(m.Entries)], nil
}

// Clone is a log of its own that holds the same.
func (m *Memory) Clone() *Memory {
	return &Memory{Book: m.Book.Clone(), Entries: slices.Clip(m.Entries)}
}

// Newest is the entry that was stored last.
func (m *Memory) Newest() logbook.Entry { return m.Entries[len(m.Entries)-1] }

// Lines are the entries as the lines of a log, each numbered among those of its site.
func (m *Memory) Lines(t testing.TB) (lines [][]byte) {
	t.Helper()
	index := logbook.NewIndex(m.Book.Tag())
	for _, e := range m.Entries {
		e.N = index.Number(e.Site, e.Kind)
		index.Take(e)
		line, err := json.Marshal(e)
		if err != nil {
			t.Fatal(err)
		}
		lines = append(lines, line)
	}
	return lines
}

// Reread is an entry as read back from JSON.
func Reread(t testing.TB, e logbook.Entry) logbook.Entry {
	t.Helper()
	back, err := reread(e)
	if err != nil {
		t.Fatal(err)
	}
	return back
}

func reread(e logbook.Entry) (back logbook.Entry, err error) {
	line, err := json.Marshal(e)
	if err != nil {
		return back, err
	}
	err = json.Unmarshal(line, &back)
	return back, err
}

// A Store is a Memory with all that the screens ask of a log. Fail makes the next
// saves fail.
type Store struct {
	*Memory
	Beats []fusion.Stamp
	Fail  error
}

// Append is the Memory's, unless it is to fail.
func (s *Store) Append(ctx context.Context, act func(logbook.Reader) ([]logbook.Draft, error)) ([]logbook.Entry, error) {
	if s.Fail != nil {
		return nil, s.Fail
	}
	return s.Memory.Append(ctx, act)
}

// Book is a clone of the records, whatever the site.
func (s *Store) Book(context.Context, string) (*logbook.Book, error) {
	return s.Memory.Book.Clone(), nil
}

// Beat keeps a heartbeat.
func (s *Store) Beat(at fusion.Stamp) error { s.Beats = append(s.Beats, at); return nil }

// LastBeat is the newest of them.
func (s *Store) LastBeat() (last fusion.Stamp, err error) {
	if n := len(s.Beats); n > 0 {
		last = s.Beats[n-1]
	}
	return last, nil
}

// Path stands for a file that there is not.
func (s *Store) Path() string { return "memory" }
