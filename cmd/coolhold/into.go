package main

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
)

// several are logs that are read together, and the one of them that an answer goes
// into.
type several struct {
	logs []string
	into string
}

func (s *several) flags(cmd *cobra.Command) {
	logsFlag(cmd, &s.logs)
	cmd.Flags().StringVar(&s.into, "into", "", "of several logs the `file` of the one that the answer is stored in")
}

// check wants the log named that an answer goes into, where there are several.
func (s several) check() error {
	switch {
	case len(s.logs) < 2 && s.into != "":
		return usage("--into goes with --log given more than once: one log takes its own answers")
	case len(s.logs) >= 2 && !slices.Contains(s.logs, s.into):
		return usage("the answer is stored in one of the logs: name it with --into, as it was named with --log")
	}
	return nil
}

// putOver stores an act that is decided over several logs in one of them, and prints
// each entry that it wrote. Of one log it is put.
func (f *said) putOver(e edges, cmd *cobra.Command, logs several, decide func(scene) (acts.Act, error)) error {
	if err := logs.check(); err != nil {
		return err
	}
	if len(logs.logs) < 2 {
		f.log = strings.Join(logs.logs, "")
		return f.put(e, cmd, decide)
	}
	r, copies, err := readMerged(e, logs.logs, "")
	if err != nil {
		return err
	}
	if err := logs.newest(copies); err != nil {
		return err
	}
	site, err := pickSite(r.book, f.site)
	if err != nil {
		return err
	}
	log, err := logs.origin(site, copies)
	if err != nil {
		return err
	}
	f.log, f.site = logs.into, log.Site
	return f.put(e, cmd, func(s scene) (acts.Act, error) {
		all := scene{Reader: r.book, site: site, head: s.head}
		all.head.Site = site.ID
		act, err := decide(all)
		if err != nil {
			return nil, err
		}
		return intoLog(log, r.book, act), nil
	})
}

// newest refuses an answer into a copy of which a longer one is named too: both would
// have gone on, and then neither can be read with the other.
func (s several) newest(copies []logbook.LogCopy) error {
	own := copies[slices.Index(s.logs, s.into)]
	long := own
	for _, c := range copies {
		if c.ID == own.ID && len(c.Entries) > len(long.Entries) {
			long = c
		}
	}
	if len(long.Entries) == len(own.Entries) {
		return nil
	}
	return usage("%s is an older copy of the log in %s, and an answer in it would make two logs of them: write --into %s", own.Name, long.Name, long.Name)
}

// origin is the log that takes the answer, as the site knows it.
func (s several) origin(site logbook.Site, copies []logbook.LogCopy) (*logbook.Origin, error) {
	id := copies[slices.Index(s.logs, s.into)].ID
	for _, o := range site.Logs {
		if o.ID == id {
			return o, nil
		}
	}
	if len(site.Logs) == 0 { // they are copies of one log
		return &logbook.Origin{ID: id, Site: site.ID}, nil
	}
	return nil, exitWith(exitFindings, fmt.Errorf("%s has no site %s: name another log with --into", s.into, site.ID))
}

// intoLog is an act that was decided on several logs, as one of them stores it: sites
// and its own welds have the names that they have there.
func intoLog(log *logbook.Origin, all logbook.Reader, act acts.Act) acts.Act {
	return func(logbook.Reader) ([]logbook.Draft, error) {
		drafts, err := act(all)
		for i, d := range drafts {
			d.Site, d.Weld = log.Site, log.Own(d.Weld)
			if b, ok := d.Body.(logbook.Reviewed); ok {
				b.Judged = audit.In(log, b.Judged)
				d.Body = b
			}
			drafts[i] = d
		}
		return drafts, err
	}
}

func newSiteSame(e edges) *cobra.Command {
	var f said
	var logs several
	var withdraw bool
	cmd := &cobra.Command{
		Use:   "same --log A --log B --into A --by NAME --why TEXT",
		Short: "Say that the sites of one name in several logs are one, though their plans differ",
		Long: `same says by name that two logs speak of one site. Where their plans are alike
nothing need be said; where they are not, two sites of one name are taken for two
jobs. What differs is then a finding of the audit over these logs, and each weld
keeps the place of its own log's plan.

It is stored in the log that --into names, and holds for these plans.`,
		Example: `  coolhold site same --log monday.coolhold --log van.coolhold --into monday.coolhold --by "Hedda Invented" --why "the van had the older drawing"`,
		Args:    noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := f.named(cmd); err != nil {
				return err
			}
			if err := logs.check(); err != nil {
				return err
			}
			of, err := logs.siteIn(&f.site)
			if err != nil {
				return err
			}
			f.log = logs.into
			return f.put(e, cmd, func(s scene) (acts.Act, error) { return acts.SameSite(s.head, of, f.why, withdraw), nil })
		},
	}
	logs.flags(cmd)
	f.whoFlags(cmd)
	cmd.Flags().StringVar(&f.why, "why", "", "`text`: how that is known")
	cmd.Flags().BoolVar(&withdraw, "withdraw", false, "take it back: they are two sites after all")
	return cmd
}

// siteIn is the site as each of the logs has it. Where it is not named it must be the
// only one of the first.
func (s several) siteIn(site *string) (of []logbook.SiteIn, err error) {
	copies, err := readCopies(s.logs, time.Time{})
	if err == nil && s.into != "" {
		err = s.newest(copies)
	}
	if err != nil {
		return nil, err
	}
	for _, c := range copies {
		its, err := pickSite(logbook.Fold(c.Tag, c.Entries), *site)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", c.Name, err)
		}
		*site = its.ID
		ref, _ := its.PlanOf(nil)
		if in := (logbook.SiteIn{Log: c.ID, Plan: ref.Hash}); !slices.ContainsFunc(of, func(o logbook.SiteIn) bool { return o.Log == c.ID }) {
			of = append(of, in)
		}
	}
	return of, nil
}
