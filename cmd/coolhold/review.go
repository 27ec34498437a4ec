package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"coolhold/logbook/acts"
	"coolhold/logbook/audit"
)

func newReview(e edges) *cobra.Command {
	var f said
	var logs several
	var weld string
	var withdraw, alike bool
	cmd := &cobra.Command{
		Use:   "review KEY --by NAME --why TEXT [--withdraw]",
		Short: "Accept a query by name, with a reason, or take that back",
		Long: `review accepts one open query of the audit by its key, as coolhold audit --json
prints it. With --weld the name of the rule is enough. When the facts change the
query is open again.

A formality is one finding on many welds: a sheet that was typed, a card that was
out of date, a table that nobody read back. With --alike all welds of one shift or
sheet on which the cause is the same are accepted at once. What nobody said of
preparation, settings, cooling or indicators is none, and is accepted weld by weld.

A fail is never accepted: it is cut out. What is not done is not accepted either.
Where the operator who made the weld accepts a query of it, that is a query in turn,
for somebody else to answer.

What only several logs read together show (two welds in one joint, plans unlike each
other) is answered over all of them, and the answer is stored in the one that --into
names. Where these logs are read together again it counts.

With --withdraw an acceptance is taken back: the query is open again, and both
answers stay in the log.`,
		Example: `  coolhold review indicator-part:KM-0005 --by "Hedda Invented" --why "seen: the seat holds it"
  coolhold review indicator-part --weld KM-0005 --by "Hedda Invented" --why "seen: the seat holds it"
  coolhold review transcribed --weld KM-0005 --alike --by "Hedda Invented" --why "compared with the paper"
  coolhold review two-in-joint:KM-0005 --log monday.coolhold --log van.coolhold --into monday.coolhold --by "Hedda Invented" --why "VN-0002 is the make-up piece"
  coolhold review indicator-part:KM-0005 --withdraw --by "Hedda Invented" --why "it was KM-0006"`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 {
				return usage("one key is needed, not %d; write coolhold %s", len(args), cmd.Use)
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := f.named(cmd); err != nil {
				return err
			}
			all := ""
			err := f.putOver(e, cmd, logs, func(s scene) (acts.Act, error) {
				found, err := s.finding(args[0], weld)
				all = found.OneAnswer()
				switch {
				case err != nil:
					return nil, err
				case withdraw && alike:
					return nil, usage("--alike goes with accepting: what was accepted is withdrawn one by one")
				case withdraw:
					return acts.Withdraw(s.head, s.beat, found.Judged(), f.why), nil
				case alike && found.Cause == "" && found.Unanswerable() == "":
					return nil, usage("%s is no formality: it is accepted weld by weld, without --alike", found.Key)
				case alike && found.Unanswerable() == "":
					return acts.AcceptAll(s.head, s.beat, audit.Group{Findings: s.audit().Alike(found)}.Judged(), f.why), nil
				}
				return acts.Accept(s.head, s.beat, found.Judged(), f.why), nil
			})
			if err == nil && all != "" && !withdraw {
				fmt.Fprintf(cmd.OutOrStdout(), "  %s\n", all)
			}
			return err
		},
	}
	logs.flags(cmd)
	f.whoFlags(cmd)
	cmd.Flags().StringVar(&f.why, "why", "", "`text`: why it can stay as it is")
	cmd.Flags().StringVar(&weld, "weld", "", "`number` of the weld it is about; then the rule's name is enough")
	cmd.Flags().BoolVar(&alike, "alike", false, "of a formality: on every weld of the shift or sheet with the same cause")
	cmd.Flags().BoolVar(&withdraw, "withdraw", false, "take the acceptance of this query back")
	return cmd
}

// finding is the one with a key, or the one of a rule on a weld and its joint.
func (s scene) finding(key, weld string) (audit.Finding, error) {
	res := s.audit()
	among, on := res.Findings, s.site.ID
	if weld != "" {
		w, err := s.weld(weld)
		if err != nil {
			return audit.Finding{}, err
		}
		among, on = res.At(w), w.ID
	}
	for _, f := range among {
		if f.Key == key || weld != "" && f.Rule == key {
			return f, nil
		}
	}
	return audit.Finding{}, exitWith(exitFindings, fmt.Errorf("nothing with the key %q is found on %s; coolhold audit --json prints the keys", key, on))
}
