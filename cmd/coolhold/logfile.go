package main

import (
	"context"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/adrg/xdg"
	"github.com/spf13/cobra"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/office"
	"coolhold/logbook/plan"
	"coolhold/logbook/store"
	"coolhold/tui/shell"
)

// logFlag adds --log to a verb.
func logFlag(cmd *cobra.Command, file *string) {
	cmd.Flags().Var(&once{to: file}, "log", "the log's `file` (else COOLHOLD_LOG, else the data folder)")
}

// logPath is the log that a verb works on.
func logPath(e edges, flag string) string {
	if flag != "" {
		return flag
	}
	if env := e.getenv("COOLHOLD_LOG"); env != "" {
		return env
	}
	return filepath.Join(xdg.DataHome, "coolhold", "welds.coolhold")
}

// openLog opens a log that is there.
func openLog(path string) (*store.Log, error) {
	l, err := opened(store.Open(path))
	if _, journal := store.JournalBeside(path); errors.Is(err, store.ErrNoLog) && !journal && !store.FolderGone(path) {
		err = fmt.Errorf("%w; make one with coolhold site new, or name one with --log", err)
	}
	return l, exitWith(exitLog, err)
}

// opened says what was put right at the opening.
func opened(l *store.Log, err error) (*store.Log, error) {
	if l != nil {
		l.Tell(mended.say)
	}
	return l, err
}

// openOrCreate opens a log, making it where there is none.
func openOrCreate(e edges, path, tag string) (*store.Log, error) {
	l, err := opened(store.Open(path))
	if !errors.Is(err, store.ErrNoLog) {
		return l, exitWith(exitLog, err)
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return nil, exitWith(exitLog, err)
	}
	l, err = store.Create(path, store.NewLog{Tag: strings.ToUpper(tag), Rand: e.rand})
	return l, stored(err)
}

// stored gives an error of making a file its exit code: a name or a tag that
// cannot be taken is the command line's fault.
func stored(err error) error {
	if errors.Is(err, store.ErrTag) || errors.Is(err, store.ErrExists) {
		return exitWith(exitUsage, err)
	}
	return exitWith(exitLog, err)
}

// newID draws the id of an act.
func newID(random io.Reader) func() string {
	return func() string {
		b := make([]byte, 12)
		if _, err := io.ReadFull(random, b); err != nil {
			panic(fmt.Sprintf("no randomness: %v", err)) // ids would no longer be unique
		}
		return hex.EncodeToString(b)
	}
}

// head is the head of an act on the command line.
func head(e edges, by string) acts.Head {
	by, gone := logbook.TypedName(by)
	if gone != "" {
		fmt.Fprintf(e.err, "coolhold: taken out of the name %q, since nobody sees it: %s\n", by, gone)
	}
	return acts.Head{ID: newID(e.rand)(), At: e.now(), By: by, Tell: e.tell}
}

// acted maps the error of an act to an exit code.
func acted(err error) error {
	switch {
	case err == nil:
		return nil
	case errors.Is(err, logbook.ErrRule), errors.Is(err, logbook.ErrExists):
		return exitWith(exitRefused, err)
	case errors.Is(err, logbook.ErrUnknown), errors.Is(err, office.ErrNotHeld):
		return exitWith(exitFindings, err)
	}
	var ee *exitError
	if errors.As(err, &ee) {
		return err
	}
	return exitWith(exitLog, err)
}

// A reading is a log folded for a verb that reads it, as of a moment.
type reading struct {
	id, tag string
	book    *logbook.Book   // with all of the site that is asked for
	entries int             // of the log as of asOf
	seal    *logbook.Sealed // the last of them then; nil for none
	asOf    fusion.Stamp
	beat    fusion.Stamp
}

// remark says on stderr what stands beside a log and cannot be read.
func (e edges) remark(path string) {
	for _, line := range store.Beside(path) {
		fmt.Fprintln(e.err, "coolhold:", logbook.Clean(line))
	}
}

// readSite is readLog and the site that is asked for.
func readSite(e edges, flag, site, asOf string) (r reading, s logbook.Site, err error) {
	if r, err = readLog(e, flag, site, asOf); err == nil {
		s, err = pickSite(r.book, site)
	}
	return r, s, err
}

// readLog reads of a log what concerns a site, as it was at asOf, or as it is.
func readLog(e edges, flag, site, asOf string) (reading, error) {
	path := logPath(e, flag)
	e.remark(path)
	var t time.Time
	if asOf != "" {
		var err error
		if t, err = parseAsOf(asOf, e.now()); err != nil {
			return reading{}, err
		}
	}
	shot, err := store.ReadSite(context.Background(), path, site, t)
	if err != nil {
		return reading{}, exitWith(exitLog, err)
	}
	e.bar.enters("judging what was read")
	r := reading{id: shot.ID, tag: shot.Tag, book: shot.Book, entries: shot.Entries, asOf: e.now(), beat: shot.Beat}
	if asOf != "" {
		r.asOf, r.beat = stampAt(shot.Last, t), fusion.Stamp{}
	}
	if shot.Sealed != nil {
		r.seal = lastSeal([]logbook.Entry{*shot.Sealed})
	}
	return r, nil
}

// parseAsOf takes RFC 3339, or a local date and time, up to now: what will be is not
// recorded.
func parseAsOf(s string, now fusion.Stamp) (time.Time, error) {
	t, err := parseTime("--as-of", s, now)
	if err == nil && t.After(now.Wall) {
		return t, usage("--as-of %s is still to come: it is %s", s, now.Local().Format("2006-01-02 15:04"))
	}
	return t, err
}

func parseTime(flag, s string, now fusion.Stamp) (time.Time, error) {
	if t, err := time.Parse(time.RFC3339, s); err == nil {
		return t, nil
	}
	for _, layout := range []string{"2006-01-02 15:04", "2006-01-02T15:04"} {
		if t, err := time.ParseInLocation(layout, s, now.Local().Location()); err == nil {
			return t, nil
		}
	}
	return time.Time{}, usage("%s %q is no time; write 2026-03-09T18:00:00+01:00 or \"2026-03-09 18:00\"", flag, s)
}

// until is the log up to the last entry made at or before t. Sequence orders
// the log, so what stands before that entry belongs to it whatever its clock
// said.
func until(entries []logbook.Entry, t time.Time) []logbook.Entry {
	for i := len(entries) - 1; i >= 0; i-- {
		if !entries[i].At.Wall.After(t) {
			return entries[:i+1]
		}
	}
	return nil
}

// lastMade is when the last of some entries was made, zero of none.
func lastMade(entries []logbook.Entry) fusion.Stamp {
	if n := len(entries); n > 0 {
		return entries[n-1].At
	}
	return fusion.Stamp{}
}

// stampAt is the stamp that the machine of the last entry would have made at t
// had it stayed on: the same log and the same time give the same answer.
func stampAt(last fusion.Stamp, t time.Time) fusion.Stamp {
	if last == (fusion.Stamp{}) {
		_, offset := t.Zone()
		return fusion.Stamp{Wall: t.UTC(), Offset: offset}
	}
	return last.Add(t.Sub(last.Wall))
}

// pickSite is the site that a verb speaks of: the one named, or the only one.
func pickSite(r logbook.Reader, name string) (logbook.Site, error) {
	sites := r.Sites()
	called := slices.DeleteFunc(slices.Clone(sites), func(s logbook.Site) bool { return name != "" && name != s.ID && name != s.Name && name != s.Key() })
	if i := slices.IndexFunc(called, func(s logbook.Site) bool { return s.ID == name }); i >= 0 {
		called = called[i : i+1]
	}
	switch {
	case len(called) == 1:
		s, _ := r.Site(called[0].ID) // all that is known of it
		return s, nil
	case len(sites) == 0:
		return logbook.Site{}, exitWith(exitFindings, errors.New("no site is open in this log; coolhold site new opens one"))
	case len(called) == 0:
		return logbook.Site{}, exitWith(exitFindings, fmt.Errorf("no site %q in this log; it has %s", name, siteNames(sites)))
	case called[0].Key() == called[1].Key():
		return logbook.Site{}, usage("%s is not one site in these logs: their plans differ (%s); name one with --site: %s; or say by name that they are one: coolhold site same",
			called[0].Key(), unlikePlans(called[0], called[1]), siteNames(called))
	}
	return logbook.Site{}, usage("the log has several sites; name one with --site: %s", siteNames(called))
}

func siteNames(sites []logbook.Site) string {
	var names []string
	for _, s := range sites {
		names = append(names, s.ID)
	}
	return strings.Join(names, ", ")
}

// fewDifferences are told in a line; the audit has all of them.
const fewDifferences = 3

// unlikePlans says in what the plans of two sites differ.
func unlikePlans(a, b logbook.Site) string {
	if a.Plan == nil || b.Plan == nil {
		return "one cannot be read"
	}
	var parts []string
	for _, d := range plan.Differ(*a.Plan, *b.Plan) {
		parts = append(parts, logbook.Clean(d.String()))
	}
	if n := len(parts) - fewDifferences; n > 0 {
		parts = append(parts[:fewDifferences], fmt.Sprintf("and %d more", n))
	}
	return strings.Join(parts, "; ")
}

var _ shell.Log = (*store.Log)(nil)
