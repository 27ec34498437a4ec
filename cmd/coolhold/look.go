package main

import (
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/paper"
)

func newLook(e edges) *cobra.Command {
	f, on := new(said), ""
	seen := map[string]*string{}
	cmd := &cobra.Command{
		Use:   "look WELD --by NAME --indicators WORDS --melt WORD --wire WORD --marks WORD --straight WORD --felt WORD",
		Short: "Record another look at a weld that stands",
		Long: `look records that somebody looked at a weld again, on a shift or not. Everything
that is asked must be said; that nobody could look is said too. Half of a word is
not taken for the whole of it.

It adds what was seen and takes no fail away: an indicator that is flat when cold
stays a fail; one that was flat when hot and is up when cold is a query. It makes up
for a missed end-of-shift check. It closes a re-check, but not where who looked is
who made the weld.

With --on the look was made at another time: a day, or a day and a time.

` + lookHelp(),
		Example: `  coolhold look KM-0006 --by "Hedda Invented" --indicators "up, up" --melt none --wire "no wire" --marks "in place" --straight yes --felt "firm, cool"
  coolhold look KM-0006 --by "Hedda Invented" --on "2026-03-10 14:05" --indicators "up, flat" --melt "could not look" --wire "could not look" --marks "in place" --straight yes --felt "could not feel"`,
	}
	f.flags(cmd)
	cmd.Flags().StringVar(&on, "on", "", "`when` it was made, if not now: 2026-03-10, or 2026-03-10 14:05")
	for _, v := range logbook.LookValues {
		seen[v.Key] = cmd.Flags().String(v.Key, "", "`words`: "+v.Options.Either()+sides(v))
	}
	return onWeld(e, cmd, f, 1, func(h acts.Head, w logbook.Weld, rest []string) (acts.Act, error) {
		if err := noMore(rest); err != nil {
			return nil, err
		}
		b, err := lookedAt(h, on)
		if err != nil {
			return nil, err
		}
		if b.Look, err = sawOf(h, w, b, seen); err != nil {
			return nil, err
		}
		return acts.LookAgain(h, w.ID, b), nil
	})
}

func sides(v logbook.Value[logbook.Look]) string {
	if v.Kind == logbook.AsChoices {
		return ", one a side with a comma between"
	}
	return ""
}

// lookHelp lists what is asked with its words.
func lookHelp() string {
	var b strings.Builder
	b.WriteString("What is asked, and the words for it:")
	for _, v := range logbook.LookValues {
		fmt.Fprintf(&b, "\n  --%-11s %s", v.Key, strings.Join(v.Options.Words(), "; "))
	}
	return b.String()
}

// lookedAt is a look that was made at a time as written, or now.
func lookedAt(h acts.Head, on string) (logbook.IndicatorsRead, error) {
	b := logbook.IndicatorsRead{Look: logbook.Look{How: logbook.Typed}}
	said := strings.TrimSpace(on)
	if said == "" {
		return b, nil
	}
	zone := zoneOf(h.At)
	at, err := time.ParseInLocation("2006-01-02 15:04", said, zone)
	if err != nil {
		if at, err = paper.ParseDay(said, zone); err != nil {
			return b, usage("--on: %q is no time: write 2026-03-10, or \"2026-03-10 14:05\"", said)
		}
		b.DayOnly = true
	}
	b.Stated, b.How = &at, logbook.Later
	return b, nil
}

// sawOf is what was seen and felt, each said. How a hot joint feels is not asked.
func sawOf(h acts.Head, w logbook.Weld, b logbook.IndicatorsRead, seen map[string]*string) (logbook.Look, error) {
	var missing []string
	hot := acts.HotAt(w, h.At, b.Stated, b.DayOnly)
	for _, v := range logbook.LookValues {
		said := strings.TrimSpace(*seen[v.Key])
		if said == "" {
			if v.Key != "felt" || !hot {
				missing = append(missing, "--"+v.Key)
			}
			continue
		}
		if vague := v.Options.Vague(said); vague != nil {
			return b.Look, usage("--%s %q does not say which: write %s", v.Key, said, strings.Join(vague, " or "))
		}
		stored, err := v.Read(said)
		if err != nil {
			return b.Look, usage("--%s: %w", v.Key, err)
		}
		b.Look = v.Set(b.Look, stored)
	}
	if len(missing) > 0 {
		return b.Look, usage("%s missing: nothing that is seen is taken for granted; see coolhold look --help", strings.Join(missing, " and "))
	}
	return b.Look, nil
}
