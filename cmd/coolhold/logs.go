package main

import (
	"context"
	"errors"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/register"
	"coolhold/logbook/store"
)

// logsFlag adds a --log that may be given more than once.
func logsFlag(cmd *cobra.Command, logs *[]string) {
	cmd.Flags().StringArrayVar(logs, "log", nil, "the log's `file` (else COOLHOLD_LOG, else the data folder); give it again for further logs of the site")
}

// readLogs reads one log or several of the same site into one book. The
// heartbeat of one machine says nothing of another's holds, so with several
// logs none is taken, and the longer remaining hold counts.
func readLogs(e edges, flags []string, site, asOf string) (reading, []register.Log, error) {
	if len(flags) < 2 {
		r, err := readLog(e, slices.Concat(flags, []string{""})[0], site, asOf)
		return r, []register.Log{{ID: r.id, Tag: r.tag, Entries: r.entries, Seal: r.seal}}, err
	}
	r, copies, err := readMerged(e, flags, asOf)
	return r, logsOf(copies), err
}

func readMerged(e edges, flags []string, asOf string) (reading, []logbook.LogCopy, error) {
	r := reading{asOf: e.now()}
	var t time.Time
	if asOf != "" {
		var err error
		if t, err = parseAsOf(asOf, r.asOf); err != nil {
			return r, nil, err
		}
	}
	for _, file := range flags {
		e.remark(file)
	}
	copies, err := readCopies(flags, t)
	if err != nil {
		return r, nil, err
	}
	e.bar.enters("judging what was read")
	entries, err := logbook.Merge(copies)
	if errors.Is(err, logbook.ErrForked) {
		return r, nil, exitWith(exitLog, err)
	} else if err != nil {
		return r, nil, acted(err)
	}
	if asOf != "" {
		r.asOf = stampAt(lastMade(entries), t)
	}
	r.book, r.entries = logbook.Fold(copies[0].Tag, entries), len(entries)
	return r, copies, nil
}

// readCopies reads files as they are, or as they were at t.
func readCopies(files []string, t time.Time) ([]logbook.LogCopy, error) {
	var copies []logbook.LogCopy
	for _, file := range files {
		snap, err := store.ReadAll(context.Background(), file)
		if err != nil {
			return nil, exitWith(exitLog, err)
		}
		entries := snap.Entries
		if !t.IsZero() {
			entries = until(entries, t)
		}
		copies = append(copies, logbook.LogCopy{Name: file, ID: snap.ID, Tag: snap.Tag, Entries: entries})
	}
	return copies, nil
}

// logsOf names each log once, by its longest copy.
func logsOf(copies []logbook.LogCopy) []register.Log {
	var logs []register.Log
	for _, c := range copies {
		i := slices.IndexFunc(logs, func(l register.Log) bool { return l.ID == c.ID })
		if i < 0 {
			i, logs = len(logs), append(logs, register.Log{ID: c.ID, Tag: c.Tag})
		}
		if len(c.Entries) >= logs[i].Entries {
			logs[i].Entries, logs[i].Seal = len(c.Entries), lastSeal(c.Entries)
		}
	}
	return calledApart(logs)
}

// calledApart gives those of one tag the names that tell them apart, as their welds have.
func calledApart(logs []register.Log) []register.Log {
	var copies []logbook.LogCopy
	for _, l := range logs {
		copies = append(copies, logbook.LogCopy{ID: l.ID, Tag: l.Tag})
	}
	for i, from := range logbook.Origins(copies) {
		if from.Mark != "" {
			logs[i].Name = from.Name()
		}
	}
	return logs
}

// oneOfTwins wants the mark of its log behind a weld's number, where several logs have its
// tag, and names the welds that can be meant.
func oneOfTwins(r logbook.Reader, s logbook.Site, id string) error {
	var twins []string
	for _, w := range r.Welds(s.ID) {
		if w.From != nil && w.From.Mark != "" && strings.EqualFold(strings.TrimSuffix(w.ID, w.From.Mark), id) {
			twins = append(twins, w.ID)
		}
	}
	if len(twins) == 0 {
		return nil
	}
	return usage("several logs have the tag of weld %s; name one: %s", id, strings.Join(twins, ", "))
}

// lastSeal is the newest seal among entries, or nil.
func lastSeal(entries []logbook.Entry) *logbook.Sealed {
	for _, e := range slices.Backward(entries) {
		if e.Kind != (logbook.Sealed{}).Kind() {
			continue
		}
		if b, ok := e.Open().(logbook.Sealed); ok {
			return &b
		}
	}
	return nil
}
