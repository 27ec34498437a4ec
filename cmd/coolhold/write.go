package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
	"coolhold/logbook/store"
)

// A deed is what a verb, or a screen through this program, has written into a
// log: in which, on which site of it, and in whose name.
type deed struct {
	path  string
	site  string    // as it was named; "": the only one
	whole bool      // it is said of the log, or of a site that is not there yet
	head  acts.Head // made when it was asked for
	long  bool      // deciding takes so long that nobody should be kept from the log by it
	open  func(path string) (*store.Log, error)
}

// deedOn is a deed on a log that is there.
func deedOn(path, site string, h acts.Head) deed {
	return deed{path: path, site: site, head: h, open: openLog}
}

// A scene is what a deed is decided on, inside the transaction that stores it.
type scene struct {
	logbook.Reader
	site logbook.Site
	head acts.Head
	beat fusion.Stamp
}

func (s scene) audit() audit.Result { return audit.Run(s, s.site.ID, s.head.At, s.beat) }

// A written is what came of a deed. Where it was refused it has no entries.
type written struct {
	log     *store.Log
	site    logbook.Site
	entries []logbook.Entry
}

// write is the one way into a log: it opens it, decides on the records as they
// stand and stores what follows, all or nothing. Its error has its exit code.
func (d deed) write(decide func(scene) (acts.Act, error)) (done written, err error) {
	if t := d.head.Tell; t != nil && t.Same != "" && t.Other {
		return done, usage("--same and --other contradict each other: give one")
	}
	if done.log, err = d.open(d.path); err != nil {
		return done, err
	}
	beat, err := done.log.LastBeat()
	if err != nil {
		return done, exitWith(exitLog, err)
	}
	end := func() {}
	defer func() { end() }()
	save := done.log.Append
	if d.long {
		save = done.log.AppendAhead
	}
	done.entries, err = save(context.Background(), func(r logbook.Reader) ([]logbook.Draft, error) {
		end()
		end = underSave.begin() // while it only waits for the log it can be broken off
		s := scene{Reader: r, head: d.head, beat: beat}
		if !d.whole {
			site, err := pickSite(r, d.site)
			if err != nil {
				return nil, err
			}
			s.site, s.head.Site, done.site = site, site.ID, site
		}
		act, err := decide(s)
		if err != nil {
			return nil, err
		}
		if !d.whole {
			act = acts.As(s.head, act)
		}
		return act(r)
	})
	return done, acted(saidOnce(err))
}

// just is a decision that asks nothing of the records.
func just(act func(acts.Head) acts.Act) func(scene) (acts.Act, error) {
	return func(s scene) (acts.Act, error) { return act(s.head), nil }
}

// hinted is an act whose refusal says which flag helps.
func hinted(act acts.Act, hint string) acts.Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		drafts, err := act(r)
		if errors.Is(err, logbook.ErrRule) {
			err = fmt.Errorf("%w; %s", err, hint)
		}
		return drafts, err
	}
}

// print names each entry.
func (w written) print(to io.Writer) {
	for _, e := range w.entries {
		fmt.Fprintf(to, "%s: %s\n", strings.TrimSpace(w.site.ID+" "+e.Weld), logbook.Clean(e.Open().Line()))
	}
}
