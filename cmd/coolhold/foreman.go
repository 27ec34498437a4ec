package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/acts"
)

// said is what the foreman's verbs have in common: who says it and why, of
// which site in which log.
type said struct{ log, site, by, why string }

func (f *said) flags(cmd *cobra.Command) {
	logFlag(cmd, &f.log)
	f.whoFlags(cmd)
}

func (f *said) whoFlags(cmd *cobra.Command) {
	cmd.Flags().StringVar(&f.site, "site", "", "the `site`, where the log has several")
	cmd.Flags().StringVar(&f.by, "by", "", "the `name` of who says so")
}

func (f *said) whyFlag(cmd *cobra.Command, what string) {
	f.flags(cmd)
	cmd.Flags().StringVar(&f.why, "why", "", "`text`: "+what)
}

// named wants a person and, where there is the flag, a reason.
func (f said) named(cmd *cobra.Command) error {
	switch {
	case strings.TrimSpace(f.by) == "":
		return usage("--by is missing: who says so?")
	case cmd.Flags().Lookup("why") != nil && strings.TrimSpace(f.why) == "":
		return usage("--why is missing: write coolhold %s", cmd.Use)
	}
	return nil
}

// weld finds a weld by its number, in upper and lower case alike.
func (s scene) weld(id string) (logbook.Weld, error) {
	for _, w := range s.Welds(s.site.ID) {
		if strings.EqualFold(w.ID, id) {
			return w, nil
		}
	}
	if err := oneOfTwins(s, s.site, id); err != nil {
		return logbook.Weld{}, err
	}
	return logbook.Weld{}, exitWith(exitFindings, fmt.Errorf("no weld %q on %s", id, s.site.ID))
}

// deed is what is said, on the log and site that it is said of.
func (f said) deed(e edges) deed {
	return deedOn(logPath(e, f.log), f.site, head(e, strings.TrimSpace(f.by)))
}

// put stores an act and prints each entry that it wrote.
func (f said) put(e edges, cmd *cobra.Command, decide func(scene) (acts.Act, error)) error {
	done, err := f.deed(e).write(decide)
	if err == nil {
		done.print(cmd.OutOrStdout())
	}
	return err
}

// onWeld is a verb that says one thing of one weld.
func onWeld(e edges, cmd *cobra.Command, f *said, words int, act func(acts.Head, logbook.Weld, []string) (acts.Act, error)) *cobra.Command {
	cmd.Args = func(cmd *cobra.Command, args []string) error {
		if len(args) < words {
			return usage("write coolhold %s", cmd.Use)
		}
		return nil
	}
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if err := f.named(cmd); err != nil {
			return err
		}
		return f.put(e, cmd, func(s scene) (acts.Act, error) {
			w, err := s.weld(args[0])
			if err != nil {
				return nil, err
			}
			return act(s.head, w, args[1:])
		})
	}
	return cmd
}

// noMore refuses words that nobody asked for.
func noMore(args []string) error {
	if len(args) > 0 {
		return usage("%q is not expected", args[0])
	}
	return nil
}

func newCutOrder(e edges) *cobra.Command {
	f, withdraw := new(said), false
	cmd := &cobra.Command{
		Use:   "cut-order WELD --by NAME --why TEXT [--withdraw]",
		Short: "Order a weld to be cut out, or take that back",
		Long: `cut-order orders a weld that stands in its joint to be cut out. From then on it
counts as a fail; that it was cut out is another entry, of the crew.

With --withdraw an order is taken back. Order and withdrawal stay in the log, and
the audit notes them.`,
		Example: `  coolhold cut-order KM-0006 --by "Hedda Invented" --why "clamped on one side only"
  coolhold cut-order KM-0006 --withdraw --by "Hedda Invented" --why "it was KM-0007"`,
	}
	f.whyFlag(cmd, "why it must go, or need not")
	cmd.Flags().BoolVar(&withdraw, "withdraw", false, "take the order back")
	return onWeld(e, cmd, f, 1, func(h acts.Head, w logbook.Weld, rest []string) (acts.Act, error) {
		if withdraw {
			return acts.WithdrawCut(h, w.ID, f.why), noMore(rest)
		}
		return acts.OrderCut(h, w.ID, f.why), noMore(rest)
	})
}

func newRecheck(e edges) *cobra.Command {
	f := new(said)
	cmd := &cobra.Command{
		Use:     "recheck WELD --by NAME --why TEXT",
		Short:   "Ask for another look at a weld",
		Long:    `recheck asks the crew to look at a weld once more. It is open until somebody did.`,
		Example: `  coolhold recheck KM-0006 --by "Hedda Invented" --why "the melt at the far side"`,
	}
	f.whyFlag(cmd, "what to look at, and why")
	return onWeld(e, cmd, f, 1, func(h acts.Head, w logbook.Weld, rest []string) (acts.Act, error) {
		return acts.AskRecheck(h, w.ID, f.why), noMore(rest)
	})
}

func newTakeUp(e edges) *cobra.Command {
	f := new(said)
	cmd := &cobra.Command{
		Use:   "take-up JOINT --by NAME --why TEXT",
		Short: "Put a joint that is not being built on the list again",
		Long: `take-up puts a joint that was taken off the list, as not being built, on it again.
Both stay in the log. A joint is taken off the list on its screen.`,
		Example: `  coolhold take-up E1 --by "Hedda Invented" --why "it was E2 that fell away"`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 {
				return usage("one joint is needed, not %d; write coolhold %s", len(args), cmd.Use)
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := f.named(cmd); err != nil {
				return err
			}
			return f.put(e, cmd, func(s scene) (acts.Act, error) {
				j, err := jointOf(s, s.site, args[0])
				return acts.TakeUpJoint(s.head, j.Label, f.why), err
			})
		},
	}
	f.whyFlag(cmd, "why it is built after all")
	return cmd
}

func newNote(e edges) *cobra.Command {
	f := new(said)
	cmd := &cobra.Command{
		Use:     "note WELD TEXT --by NAME",
		Short:   "Write a note on a weld",
		Long:    `note writes a text on a weld. It stays with the weld and settles nothing.`,
		Example: `  coolhold note KM-0006 "photo taken from above" --by "Hedda Invented"`,
	}
	f.flags(cmd)
	return onWeld(e, cmd, f, 2, func(h acts.Head, w logbook.Weld, rest []string) (acts.Act, error) {
		text := strings.TrimSpace(strings.Join(rest, " "))
		if text == "" {
			return nil, usage("the note is blank; write coolhold %s", cmd.Use)
		}
		return acts.NoteOn(h, w.ID, text), nil
	})
}

func newCorrect(e edges) *cobra.Command {
	var joint string
	var swap bool
	f := new(said)
	cmd := &cobra.Command{
		Use:   "correct WELD FIELD VALUE --by NAME --why TEXT",
		Short: "Put a recorded value of a weld, or its joint, right",
		Long: `correct puts one recorded value of a weld right. What was recorded stays in the
log, and every form of the record marks the value as corrected. What the table says
for the new value is looked up anew.

With --joint the weld was logged at one joint and made at another. Where a weld
stands there the two were taken for each other: with --swap both are put right.`,
		Example: `  coolhold correct KM-0003 "fitting batch" W-1 --by "Tam Invented" --why "read upside down"
  coolhold correct KM-0006 --joint 4B --by "Hedda Invented" --why "the ink says 4B"
  coolhold correct KM-0006 --joint 3B --swap --by "Hedda Invented" --why "asked both"`,
	}
	f.whyFlag(cmd, "why it was wrong, and how you know")
	cmd.Flags().StringVar(&joint, "joint", "", "the weld was made at the joint with this `label`")
	cmd.Flags().BoolVar(&swap, "swap", false, "the weld that stands there was made at this one's joint; with --joint")
	return onWeld(e, cmd, f, 1, func(h acts.Head, w logbook.Weld, rest []string) (acts.Act, error) {
		switch {
		case joint != "":
			return moving(h, w, joint, f.why, swap), noMore(rest)
		case swap:
			return nil, usage("--swap goes with --joint")
		case len(rest) != 2:
			return nil, usage("a field and its value are needed; write coolhold %s", cmd.Use)
		}
		key, err := fieldOf(w, rest[0], rest[1])
		return acts.Correct(h, w.ID, key, rest[1], f.why), err
	})
}

// moving corrects the joint of a weld, its label in upper and lower case alike.
func moving(h acts.Head, w logbook.Weld, joint, why string, swap bool) acts.Act {
	return func(r logbook.Reader) ([]logbook.Draft, error) {
		j, err := jointOf(r, logbook.Site{ID: h.Site}, joint)
		if err != nil {
			return nil, err
		}
		drafts, err := acts.MoveWeld(h, w.ID, j.Label, why, swap)(r)
		if there := j.Stands; err != nil && there != "" && !swap && w.Stands() {
			err = fmt.Errorf("%w (--swap)", err)
		}
		return drafts, err
	}
}

// fieldOf is the key of a value that is named by its words or its key. Half of
// what a person saw or felt is not taken for the whole of it.
func fieldOf(w logbook.Weld, name, said string) (string, error) {
	if f, ok := logbook.FieldOf(w, name); ok && f.Key != logbook.FieldJoint {
		if f.Options != nil && f.Options.Vague(said) != nil {
			return "", usage("%q does not say which: write %s", said, strings.Join(f.Options.Vague(said), " or "))
		}
		return f.Key, nil
	}
	var names []string
	for _, f := range logbook.Fields(w) {
		if f.Key != logbook.FieldJoint { // by --joint
			names = append(names, f.Name)
		}
	}
	return "", exitWith(exitFindings, fmt.Errorf("%s has no field %q; it has %s; for its joint write --joint", w.ID, name, strings.Join(names, ", ")))
}
