package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/office"
	"coolhold/logbook/office/wire"
	"coolhold/logbook/recall"
	"coolhold/logbook/register"
)

// readAt is atOffice for who reads: that the office was not reached says nothing of what is
// open there.
func readAt(at string, err error) error {
	if err = atOffice(at, err); errors.Is(err, wire.ErrLink) || errors.Is(err, wire.ErrOffice) {
		return exitWith(exitLog, err)
	}
	return err
}

// An officeAsked is the office that a verb reads at, in place of a log on this machine.
type officeAsked struct {
	at, token string // token: the name of its file
}

func (o *officeAsked) flags(cmd *cobra.Command) {
	cmd.Flags().StringVar(&o.at, "office", "", "read at the firm's office at this `address` (https://…) instead of in a file; --log then names the log there by its letters or id. COOLHOLD_OFFICE_TOKEN or --token-file has what it was granted with")
	cmd.Flags().StringVar(&o.token, "token-file", "", "with --office: the `file` with the token")
}

// check refuses what does not go together.
func (o officeAsked) check(logs []string) error {
	switch {
	case o.at == "" && o.token != "":
		return usage("--token-file goes with --office")
	}
	return nil
}

// reader is the way to the office for somebody who reads.
func (o officeAsked) reader(e edges) (*wire.Client, error) {
	token := e.getenv("COOLHOLD_OFFICE_TOKEN")
	if o.token != "" {
		data, err := readSmall(o.token)
		if err != nil {
			return nil, err
		}
		token = string(data)
	}
	if token = strings.TrimSpace(token); token == "" {
		return nil, usage("to read at the office a token is needed: set COOLHOLD_OFFICE_TOKEN, or name its file with --token-file; the office gives one with coolhold office grant")
	}
	if strings.ContainsFunc(token, func(r rune) bool { return r <= ' ' || r > '~' }) {
		return nil, usage("what is given as the token is none: it has blanks, or other letters than a token has")
	}
	return officeClient(e, o.at, token)
}

// readLogs is what the verbs on one site read: from logs on this machine, or at an office.
func (o officeAsked) readLogs(e edges, logs []string, site, asOf string) (reading, []register.Log, error) {
	if err := o.check(logs); err != nil {
		return reading{}, nil, err
	}
	if o.at == "" {
		return readLogs(e, logs, site, asOf)
	}
	if len(logs) > 1 {
		return o.merged(e, logs, site, asOf)
	}
	r, log, err := o.read(e, office.SiteAsk{Log: strings.Join(logs, ""), Site: site}, asOf)
	return r, []register.Log{log}, err
}

// read is readLog at an office. Time goes on there as on the machine that made the last
// entry, had it stayed on: the heartbeat is not sent.
func (o officeAsked) read(e edges, ask office.SiteAsk, asOf string) (r reading, log register.Log, err error) {
	r, log, lines, err := o.lines(e, ask, asOf)
	if err != nil {
		return r, log, err
	}
	e.bar.enters("judging what was read")
	if r.book, err = lines.Book(); err != nil {
		return r, log, exitWith(exitLog, fmt.Errorf("%s: what it answers cannot be read: %w", o.at, err))
	}
	r.seal = log.Seal
	return r, log, nil
}

// lines asks for what is read, and says what the office does not have of the log.
func (o officeAsked) lines(e edges, ask office.SiteAsk, asOf string) (r reading, log register.Log, lines office.SiteLines, err error) {
	t := e.now().Wall
	if asOf != "" {
		if t, err = parseAsOf(asOf, e.now()); err != nil {
			return r, log, lines, err
		}
		ask.AsOf = t
	}
	c, err := o.reader(e)
	if err != nil {
		return r, log, lines, err
	}
	defer c.Close()
	e.bar.enters("asking the office")
	if lines, err = c.Site(context.Background(), ask); err != nil {
		return r, log, lines, readAt(o.at, err)
	}
	if log, err = o.logOf(e, lines, t); err != nil {
		return r, log, lines, err
	}
	called := log.Tag
	if c := log.Course; c != nil {
		called += fmt.Sprintf("/%d", c.Branch)
	}
	if log.Heard != nil {
		fmt.Fprintf(e.err, "coolhold: the office last heard of log %s %s; what was recorded since is not in it\n", called, log.Heard.Format("2006-01-02 15:04"))
	}
	if n := log.Waiting; n > 0 {
		fmt.Fprintf(e.err, "coolhold: of log %s %s at the office to be admitted, and is not in it; coolhold office known names the key\n", called, waits(n, ""))
	}
	return reading{id: lines.ID, tag: lines.Tag, entries: int(lines.Entries), asOf: stampAt(lines.Last, t)}, log, lines, nil
}

// logOf is the log that lines are of, as of a time.
func (o officeAsked) logOf(e edges, lines office.SiteLines, t time.Time) (log register.Log, err error) {
	log = register.Log{ID: lines.ID, Tag: lines.Tag, Entries: int(lines.Entries), Waiting: lines.Waiting}
	if t.Sub(lines.Upto) >= time.Minute { // as exact as what is said
		heard := lines.Upto.In(e.now().Local().Location())
		log.Heard = &heard
	}
	if c := lines.Course; c != nil {
		log.Course = &register.Course{Branch: c.Branch, Parted: c.Parted}
	}
	if lines.Sealed != "" {
		b, err := logbook.ReadEntry([]byte(lines.Sealed))
		if err != nil {
			return log, exitWith(exitLog, fmt.Errorf("%s: the seal that it answers with cannot be read: %w", o.at, err))
		}
		log.Seal = lastSeal([]logbook.Entry{b})
	}
	return log, nil
}

// merged is one site of several logs of the office, as readMerged has it of files.
func (o officeAsked) merged(e edges, logs []string, site, asOf string) (r reading, of []register.Log, err error) {
	var copies []logbook.LogCopy
	for _, log := range logs {
		one, whole, lines, err := o.lines(e, office.SiteAsk{Log: log, Site: site}, asOf)
		if err != nil {
			return r, nil, err
		}
		entries, err := lines.Entered()
		if err != nil {
			return r, nil, exitWith(exitLog, fmt.Errorf("%s: what it answers cannot be read: %w", o.at, err))
		}
		if slices.ContainsFunc(copies, func(c logbook.LogCopy) bool { return c.ID == one.id }) {
			return r, nil, usage("--log %s is of a log that was named before; two branches of one log are not merged, since their numbers may mean two pipes: ask for one of them", log)
		}
		of = append(of, whole)
		copies = append(copies, logbook.LogCopy{Name: log, ID: one.id, Tag: one.tag, Entries: entries})
		r.asOf = one.asOf
	}
	entries, err := logbook.Merge(copies)
	if err != nil {
		return r, nil, acted(err)
	}
	r.asOf = stampAt(lastMade(entries), r.asOf.Wall)
	r.book, r.entries = logbook.Fold(copies[0].Tag, entries), len(entries)
	return r, calledApart(of), nil
}

// recalled are the hits at an office, in all logs that it has or in those that are named.
// What it cannot know is said on stderr.
func (o officeAsked) recalled(e edges, logs []string, q recall.Query) ([]recall.Hit, error) {
	c, err := o.reader(e)
	if err != nil {
		return nil, err
	}
	defer c.Close()
	got, err := c.Recall(context.Background(), office.RecallAsk{Query: q, Logs: logs})
	if err != nil {
		return nil, readAt(o.at, err)
	}
	for _, line := range notKnown(got, e.now().Local().Location()) {
		fmt.Fprintf(e.err, "coolhold: %s\n", logbook.Clean(line))
	}
	hits := got.Hits
	var found []lookedThrough
	for _, l := range got.Logs {
		if l.Hits < 0 || l.Hits > len(hits) {
			return nil, exitWith(exitLog, fmt.Errorf("%s: what it answers does not add up", o.at))
		}
		found = append(found, lookedThrough{LogCopy: logbook.LogCopy{ID: l.ID, Tag: l.Tag}, hits: inBranch(hits[:l.Hits], l.Branch)})
		hits = hits[l.Hits:]
	}
	return named(found), nil
}

// mostNamed is how many silent logs are written out: our choice.
const mostNamed = 5

// notKnown are the lines on what an office cannot know when it says where a batch went.
func notKnown(got office.Recalled, zone *time.Location) (lines []string) {
	if len(got.Late) > 0 {
		lines = append(lines, "not looked through, since the office has not worked it up yet (try again in a minute; where it stays, what office serve writes says why): "+strings.Join(got.Late, ", "))
	}
	var silent []string
	for i, s := range got.Silent {
		switch {
		case i == mostNamed:
			silent = append(silent, fmt.Sprintf("and %d more (coolhold office silent)", len(got.Silent)-i))
		case i > mostNamed:
		case s.Tag == "":
			silent = append(silent, "a laptop that was admitted "+s.Heard.In(zone).Format(officeTime)+" and never sent")
		default:
			silent = append(silent, "log "+s.Tag+" since "+s.Heard.In(zone).Format(officeTime))
		}
	}
	if len(silent) > 0 {
		lines = append(lines, fmt.Sprintf("not heard of for more than %s, and what was recorded since is not looked through: %s", logbook.Count(office.SilentDays, "day"), strings.Join(silent, ", ")))
	}
	if n := got.Waiting; n > 0 {
		lines = append(lines, fmt.Sprintf("not looked through, since it waits to be admitted: what %s sent; coolhold office known names the key", logbook.Count(n, "laptop")))
	}
	return lines
}

// inBranch marks the welds of a log's further course: its numbers may mean other pipes.
func inBranch(hits []recall.Hit, no int) []recall.Hit {
	if no == 0 {
		return hits
	}
	out := make([]recall.Hit, len(hits))
	for i, h := range hits {
		h.Weld += fmt.Sprintf("/%d", no)
		out[i] = h
	}
	return out
}
