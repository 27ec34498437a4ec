package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/labels"
	"coolhold/tui/shell"
)

func newHold(e edges) *cobra.Command {
	var f said
	var word logbook.HoldSaid
	cmd := &cobra.Command{
		Use:   "hold [WELD --watch TIME (--cool-until TIME | --began TIME) --by NAME --why TEXT]",
		Short: "List the holds that run, or state how much of one has run",
		Long: `hold lists what cools, and what is left by the clocks. Without a weld it writes nothing.

Where the log came to another machine a hold runs anew at full length, from when it
was first seen there, and across a restart only what the clocks prove counts. Then a
named person may state more: what stands on the pipe in ink, or when a watch showed
that the hold began; and what the watch shows now. Neither is the laptop's clock. A time
to the minute is taken so that the hold is longer.

The statement is kept with its query, which somebody else answers: neither who made
the weld nor who stated it.`,
		Example: `  coolhold hold
  coolhold hold KM-0006 --watch 14:49 --cool-until 14:52 --by "Hedda Invented" --why "read on the pipe"
  coolhold hold KM-0006 --watch 14:49:30 --began 14:46:10 --by "Hedda Invented" --why "the laptop was left in the van"`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 {
				return noMore(args[1:])
			}
			return nil
		},
	}
	f.whyFlag(cmd, "how that is known")
	cmd.Flags().StringVar(&word.Watch, "watch", "", "`time` that a watch shows now, 14:49 or 14:49:30")
	cmd.Flags().StringVar(&word.Ink, "cool-until", "", "`time` that stands on the pipe in ink")
	cmd.Flags().StringVar(&word.Began, "began", "", "`time` that the watch showed when the hold began")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if len(args) == 0 {
			return f.holds(e, cmd)
		}
		return f.states(e, cmd, args[0], word)
	}
	return cmd
}

// holds lists what cools. What is said of a hold needs its weld.
func (f said) holds(e edges, cmd *cobra.Command) error {
	for _, flag := range []string{"watch", "cool-until", "began", "by", "why"} {
		if cmd.Flags().Changed(flag) {
			return usage("--%s is said of which weld? write coolhold %s", flag, cmd.Use)
		}
	}
	r, s, err := readSite(e, f.log, f.site, "")
	if err != nil {
		return err
	}
	printHolds(cmd.OutOrStdout(), ahead.RunningOn(r.book, s.ID, r.asOf, r.beat))
	return nil
}

func printHolds(w io.Writer, running []ahead.Running) {
	none := true
	for _, line := range running {
		if !line.Fusing && line.Weld.Holding() {
			fmt.Fprintln(w, logbook.Clean(holdLine(line)))
			none = false
		}
	}
	if none {
		fmt.Fprintln(w, "nothing cools")
	}
}

// holdLine is what is left of a hold, and why less of it may be left than that.
func holdLine(line ahead.Running) string {
	text := line.Weld.Joint + "  " + line.Weld.ID + "  "
	switch {
	case !line.Known:
		return text + "no cooling time is known"
	case line.Over():
		return text + "the hold is over: feel it, look at it, release it on the board"
	}
	text += shell.Clock(line.Left) + " left, " + labels.CoolUntil + " " + logbook.UpMinute(line.Ends).Format("15:04")
	if line.Doubt != fusion.Sure {
		text += " (" + line.Doubt.Says() + ")"
	}
	return text
}

// states records what somebody read, and says what is left then.
func (f said) states(e edges, cmd *cobra.Command, weld string, word logbook.HoldSaid) error {
	if err := f.named(cmd); err != nil {
		return err
	}
	var id string
	done, err := f.deed(e).write(func(s scene) (acts.Act, error) {
		w, err := s.weld(weld)
		if id, word.Why = w.ID, f.why; err != nil {
			return nil, err
		}
		return acts.SayHold(s.head, w.ID, word, s.beat), nil
	})
	if err != nil {
		return err
	}
	done.print(cmd.OutOrStdout())
	r, err := readLog(e, f.log, done.site.ID, "")
	if err != nil {
		return err
	}
	w, _ := r.book.Weld(done.site.ID, id)
	for _, line := range ahead.RunningOn(r.book, done.site.ID, r.asOf, r.beat) {
		if line.Weld.ID == w.ID {
			printHolds(cmd.OutOrStdout(), []ahead.Running{line})
		}
	}
	return nil
}
