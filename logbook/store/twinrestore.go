package store

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/whole"
)

// A Source is one of the places in which the lines of a log were found.
type Source struct {
	From    string // a code: logbook.FromJournal and its sisters
	Name    string // of the file
	Entries int64  // from the first on, each whole
	Bad     string // what is wrong behind them, "" for nothing

	begins journalHead
	lines  [][]byte
	behind map[uint64][]byte // whole lines behind a bad one, by their entry
	cut    bool
	why    error
}

// readSource reads a journal or a twin; nil where it has no entries. A bad line ends
// it.
func readSource(from, name string) (*Source, error) {
	data, err := whole.Read(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("%s: the %s cannot be read: %w", name, from, unpath(err))
	}
	if bytes.Count(data, []byte("\n")) < 2 {
		return nil, nil
	}
	s := &Source{From: from, Name: name}
	s.begins, s.lines, s.cut, s.why = journalLines(name, data)
	s.Entries = int64(len(s.lines))
	if s.why != nil {
		s.behind = linesBehind(data, len(s.lines)+2)
		s.Bad = strings.TrimSuffix(strings.TrimPrefix(s.why.Error(), name+": "), "; "+noHelp)
	}
	return s, nil
}

// linesBehind are the lines behind a bad one that are the entries of their places.
func linesBehind(data []byte, bad int) map[uint64][]byte {
	behind := map[uint64][]byte{}
	for n, line := range bytes.SplitAfter(data, []byte("\n")) {
		bare, ok := unjournal(bytes.TrimSuffix(line, []byte("\n")))
		if n >= bad && ok && wrongLine(bare, uint64(n)) == "" {
			behind[uint64(n)] = bare
		}
	}
	return behind
}

// longest is the source with most entries, which goes on with whole lines that others
// have behind a bad one. Where two differ at one place nobody can tell which is true;
// where the longest itself goes on behind a bad line, how far is not known.
func longest(sources []*Source) (best *Source, err error) {
	for _, s := range sources {
		if best == nil || s.Entries > best.Entries || s.Entries == best.Entries && best.why != nil {
			best = s
		}
	}
	if best.why != nil {
		return best, best.why
	}
	for {
		next := len(best.lines) + 1
		for _, s := range sources {
			if line := s.behind[uint64(next)]; line != nil && len(best.lines) < next {
				best.lines = append(best.lines, line)
			}
		}
		if len(best.lines) < next {
			break
		}
	}
	best.Entries = int64(len(best.lines))
	for _, s := range sources {
		if err := s.agrees(best); err != nil {
			return best, err
		}
	}
	return best, nil
}

// agrees makes sure that each line is that of another source, which is as long.
func (s *Source) agrees(best *Source) error {
	if s.Entries > 0 && s.begins.Log != best.begins.Log {
		return refuse(s.Name, ErrDamaged, "it is of another log than "+best.Name, "find out which is whose; nothing was written")
	}
	for i, line := range best.lines {
		mine := s.behind[uint64(i+1)]
		if i < len(s.lines) {
			mine = s.lines[i]
		}
		if mine != nil && !bytes.Equal(mine, line) {
			return refuse(s.Name, ErrDamaged, fmt.Sprintf("entry %d is another than in %s, and both match their checksums", i+1, best.Name), noHelp)
		}
	}
	return nil
}

// fromFile goes on with what the damaged file has behind the longest source: entries
// that are committed in it, and of which nothing else was ever written.
func fromFile(has [][]byte, old remains, path string, best *Source) *Source {
	n := len(best.lines)
	file := &Source{From: logbook.FromFile, Name: path, begins: best.begins, lines: slices.Clone(best.lines)}
	for ; n < len(has); n++ {
		found := old.entries[uint64(n+1)]
		if slices.ContainsFunc(found, func(f []byte) bool { return !bytes.Equal(f, has[n]) }) || len(found) == 0 {
			break
		}
		file.lines = append(file.lines, has[n])
	}
	if file.Entries = int64(len(file.lines)); file.Entries == best.Entries {
		return nil
	}
	return file
}

// FindTwin is the file of a log's twin: that file itself, or in a folder the one of the
// log of that name, or the only one. away says that nothing is there.
func FindTwin(path, where string) (name string, away bool, err error) {
	info, err := os.Stat(where)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "", true, nil
	case err != nil:
		return "", false, fmt.Errorf("%s: the twin cannot be looked for: %w", where, unpath(err))
	case !info.IsDir():
		return where, false, nil
	}
	names, err := filepath.Glob(filepath.Join(escapeGlob(where), "*"+twinEnd))
	if err != nil {
		return "", false, err
	}
	if id, tag := idOf(path); id != "" {
		name = filepath.Join(where, twinName(id, tag))
		return name, !slices.Contains(names, name), nil
	}
	if len(names) > 1 {
		return "", false, refuse(where, ErrTwinUnlike, "the twins of several logs are there ("+strings.Join(bases(names), ", ")+")", "name the file itself")
	}
	return strings.Join(names, ""), len(names) == 0, nil
}

// escapeGlob is a folder's name as a pattern that only it has.
func escapeGlob(dir string) string {
	if os.PathSeparator == '\\' {
		return dir // it has no escape there
	}
	return strings.NewReplacer(`\`, `\\`, `*`, `\*`, `?`, `\?`, `[`, `\[`).Replace(dir)
}

func bases(names []string) (out []string) {
	for _, n := range names {
		out = append(out, filepath.Base(n))
	}
	return out
}

// idOf is whose log a name is, by its journal or by what is left of the file; "" where
// neither says.
func idOf(path string) (id, tag string) {
	if data, err := whole.Read(journalOf(path)); err == nil {
		line, _, _ := bytes.Cut(data, []byte("\n"))
		if bare, ok := unjournal(line); ok {
			if h, what := readHeadLine(bare); what == "" {
				return h.Log, h.Tag
			}
		}
	}
	data, err := whole.Read(path)
	if err != nil {
		return "", ""
	}
	id, tag = summedWord(data, idBytes, "id"), summedWord(data, tagBytes, "tag")
	if tag == "" {
		return "", ""
	}
	return id, tag
}

// RestoreWith is Restore with the log's twin, if one is named: the log is made of the
// longest of file, journal and twin, and of nothing where they disagree. With a twin
// that holds more than a log at which nothing is wrong there is something to restore.
func RestoreWith(ctx context.Context, path, twin, out string, at fusion.Stamp) (r Restored, err error) {
	has, err := wanting(ctx, path)
	if errors.Is(err, errBadJournal) {
		r.Journal, err = renewJournal(ctx, path, err)
		return r, err
	}
	sound := errors.Is(err, ErrSound)
	if err != nil && !sound {
		return r, err
	}
	nothing := err
	for from, name := range map[string]string{logbook.FromJournal: journalOf(path), logbook.FromTwin: twin} {
		if name == "" {
			continue
		}
		s, err := readSource(from, name)
		if err != nil {
			return r, err
		}
		if s != nil {
			r.Sources = append(r.Sources, s)
		}
	}
	if len(r.Sources) == 0 {
		return r, refuse(path, ErrNoJournal, "", "look for a copy of the log or of its journal")
	}
	slices.SortFunc(r.Sources, func(a, b *Source) int { return strings.Compare(a.From, b.From) }) // the journal goes before the twin
	best, differs := longest(r.Sources)
	if sound && (differs == nil && best.Entries <= int64(len(has)) || twin == "") {
		return r, nothing
	}
	if differs != nil {
		return r, differs
	}
	return r.of(ctx, has, path, best, out, at)
}

// of makes the log of the longest source, and of what the old file has behind it.
func (r Restored) of(ctx context.Context, has [][]byte, path string, best *Source, out string, at fusion.Stamp) (Restored, error) {
	old, err := salvage(path, len(bytes.Join(best.lines, nil)))
	if err != nil {
		return r, err
	}
	if err := old.holdAgainst(best.Name, best.lines); err != nil {
		return r, err
	}
	if file := fromFile(has, old, path, best); file != nil {
		r.Sources = append(r.Sources, file)
		best = file
	}
	r.Path, r.From, r.Source, r.Entries, r.Cut, r.LogMissing = out, best.From, best.Name, best.Entries, best.cut, old.missing
	entries := decodeAll(best.lines)
	r.Unknown, r.OnlyInLog = unknown(entries), old.after(len(best.lines))
	if err := r.name(best.Name, best.begins, entries, old); err != nil {
		return r, err
	}
	return r, r.write(ctx, best.Name, best.lines, at)
}
