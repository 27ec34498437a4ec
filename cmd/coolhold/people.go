package main

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/register"
)

// tellFlags gives every verb that takes a name the flags that say whose a new
// name is.
func tellFlags(cmd *cobra.Command, tell *acts.Telling) {
	for _, sub := range cmd.Commands() {
		tellFlags(sub, tell)
	}
	if cmd.Flags().Lookup("by") == nil || cmd.Annotations != nil || ofOffice(cmd) {
		return // there it names nobody of a site
	}
	cmd.Flags().StringVar(&tell.Same, "same", "", "a new name near a known one is another writing of this `name`")
	cmd.Flags().BoolVar(&tell.Other, "other", false, "a new name near a known one is somebody else's")
}

// aboutOthers marks a verb that is itself about whose a name is.
var aboutOthers = map[string]string{"people": "others"}

// saidOnce says with a refused name which flag answers.
func saidOnce(err error) error {
	var near acts.NearError
	if errors.As(err, &near) {
		return fmt.Errorf("%w (--same %q or --other)", err, near.Near[0])
	}
	return err
}

func newPeople(e edges) *cobra.Command {
	var f said
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "people",
		Short: "List who is who on a site, tell people apart, say who works alone",
		Long: `people lists who said or did something on a site: those on the list of the site with
role and firm, then the names that stand in the log and on no list.

A name that is new and near a known one (a full stop, the order of its parts,
initials, an accent, letters that look alike, a role behind it) is asked about once:
it is the same person's or somebody else's, and the answer is stored. Until it is
told, near names count as one person, who does not pass his own work.

Who has the very name of another gets a number: Name (2), which is then written as
the name.`,
		Example: `  coolhold people
  coolhold people add "Hedda Invented" --role foreman --firm "invented firm" --by "Ona Brill"
  coolhold people other "Ola Nord" "O. Nord" --by "Hedda Invented"
  coolhold people alone --by "Ona Brill"`,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				return group(cmd, args)
			}
			return listPeople(e, cmd.OutOrStdout(), f, asJSON)
		},
	}
	logFlag(cmd, &f.log)
	cmd.Flags().StringVar(&f.site, "site", "", "the `site`, where the log has several")
	cmd.Flags().BoolVar(&asJSON, "json", false, "write JSON")
	cmd.AddCommand(newPeopleAdd(e), newPeopleTell(e, true), newPeopleTell(e, false), newPeopleAlone(e))
	return cmd
}

// ofPeople makes no question of who says it: the verb is about others.
func (f said) ofPeople(e edges, cmd *cobra.Command, act func(acts.Head) acts.Act) error {
	e.tell = nil
	return f.put(e, cmd, just(act))
}

func newPeopleAdd(e edges) *cobra.Command {
	var f said
	var role, firm string
	cmd := &cobra.Command{
		Use:   "add NAME --by NAME [--role WORD] [--firm TEXT] [--same NAME | --other]",
		Short: "Put a person on the list of a site, or say more of one",
		Long: `add puts a person on the list of a site. Said again of the same name it changes role
and firm. Where the name is near a known one, --same says whose other writing it is
and --other that it is somebody else; of the very same name --other makes a second
person, Name (2).`,
		Example: `  coolhold people add "Hedda Invented" --role foreman --by "Ona Brill"
  coolhold people add "Ola Nord" --other --role operator --by "Hedda Invented"`,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := f.named(cmd); err != nil {
				return err
			}
			code, known := logbook.Roles.Begun(role)
			switch {
			case len(args) != 1:
				return usage("one name is needed, not %d; write coolhold people %s", len(args), cmd.Use)
			case role != "" && !known:
				return usage("--role %q is not known; write %s", role, logbook.Roles.Either())
			}
			name, gone := logbook.TypedName(args[0])
			if gone != "" {
				fmt.Fprintf(e.err, "coolhold: taken out of the name %q, since nobody sees it: %s\n", name, gone)
			}
			tell := *e.tell
			return f.ofPeople(e, cmd, func(h acts.Head) acts.Act {
				return acts.NamePerson(h, args[0], logbook.PersonNamed{Role: logbook.Role(code), Firm: strings.TrimSpace(firm)}, tell)
			})
		},
	}
	f.flags(cmd)
	cmd.Flags().StringVar(&role, "role", "", "`word`: "+strings.Join(logbook.Roles.Words(), ", "))
	cmd.Flags().StringVar(&firm, "firm", "", "`text`: whom the person works for")
	return cmd
}

func newPeopleTell(e edges, same bool) *cobra.Command {
	var f said
	word, short := "other", "Say that two names are two people's"
	if same {
		word, short = "same", "Say that two names are one person's"
	}
	cmd := &cobra.Command{
		Annotations: aboutOthers,
		Use:         word + " NAME NAME --by NAME",
		Short:       short,
		Example:     fmt.Sprintf("  coolhold people %s \"Ola Nord\" \"O. Nord\" --by \"Hedda Invented\"", word),
		Long: short + `. What was said last counts. Where one of the two says that they are
two people the audit asks somebody else.`,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := f.named(cmd); err != nil {
				return err
			}
			if len(args) != 2 {
				return usage("two names are needed, not %d; write coolhold people %s", len(args), cmd.Use)
			}
			return f.ofPeople(e, cmd, func(h acts.Head) acts.Act { return acts.TellPeople(h, args[0], args[1], same) })
		},
	}
	f.flags(cmd)
	return cmd
}

func newPeopleAlone(e edges) *cobra.Command {
	var f said
	var withdraw bool
	cmd := &cobra.Command{
		Use:   "alone --by NAME [--withdraw]",
		Short: "State to work alone on a site, or take that back",
		Long: `alone states that the person works alone on the site: nobody else is there to look at
his welds. What he accepts of his own work then counts as own welder only: accepted
by its own welder, nobody else looked. It is never counted as accepted, and the first
page of the register says so. Whoever looks later can still accept by name.`,
		Example: `  coolhold people alone --by "Ona Brill"
  coolhold people alone --withdraw --by "Ona Brill"`,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := f.named(cmd); err != nil {
				return err
			}
			if err := noMore(args); err != nil {
				return err
			}
			return f.put(e, cmd, just(func(h acts.Head) acts.Act { return acts.WorksAlone(h, !withdraw) }))
		},
	}
	f.flags(cmd)
	cmd.Flags().BoolVar(&withdraw, "withdraw", false, "the person does not work alone any more")
	return cmd
}

// A personJSON is a name of a site for other programs.
type personJSON struct {
	register.Named
	Listed bool     `json:"listed"`
	Near   []string `json:"near,omitempty"` // and nobody told them apart
}

// peopleOf are the people of a site: those on its list, then the other names.
func peopleOf(r logbook.Reader, s logbook.Site) []personJSON {
	out := []personJSON{}
	for _, n := range register.NamedOf(s) {
		out = append(out, personJSON{Named: n, Listed: true})
	}
	known := logbook.KnownNames(r, s.ID)
	for _, name := range known[len(out):] {
		out = append(out, personJSON{Named: register.Named{Name: name}})
	}
	for i := range out {
		for k, other := range known {
			if k != i && s.SamePerson(out[i].Name, other) && !s.ToldSame(out[i].Name, other) {
				out[i].Near = append(out[i].Near, other)
			}
		}
	}
	return out
}

func listPeople(e edges, w io.Writer, f said, asJSON bool) error {
	r, s, err := readSite(e, f.log, f.site, "")
	if err != nil {
		return err
	}
	people := peopleOf(r.book, s)
	if asJSON {
		return printJSON(w, people)
	}
	if len(people) == 0 {
		_, err := fmt.Fprintln(w, "nobody is named on this site yet")
		return err
	}
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "name\trole\tfirm\tmore")
	for _, p := range people {
		more := p.Notes()
		if !p.Listed {
			more = "on no list"
		}
		if len(p.Near) > 0 {
			more = logbook.Joined("; ", more, "counts as one with "+strings.Join(p.Near, ", "))
		}
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\n", logbook.Clean(p.Name), cmp.Or(p.Role, "-"), cmp.Or(logbook.Clean(p.Firm), "-"), logbook.Clean(more))
	}
	return t.Flush()
}
