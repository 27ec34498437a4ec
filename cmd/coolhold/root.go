package main

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"coolhold/logbook/acts"
	"coolhold/logbook/store"
)

// run is the whole program: one command line, one exit code.
func run(args []string, e edges) int {
	e.ascii = new(string)
	e.said = &watched{w: inLetters(e.err, e)}
	e.err = e.said
	e.bar = newProgress(e)
	e.said.before = e.bar.clears
	defer e.bar.end()
	store.WhenWaiting(func(path, holder string) { e.bar.clears(); waitingLine(path, holder) })
	root := newRoot(e)
	root.SetArgs(belowZero(args))
	if completing(args) {
		store.WhenWaiting(nil) // nobody waits for long, and a line is being typed
		completeWords(root, e)
	}
	out := &watched{w: inLetters(e.out, e), before: e.bar.clears}
	root.SetOut(out)
	var unknown error // a word that no help can be shown for
	show := root.HelpFunc()
	root.SetHelpFunc(func(cmd *cobra.Command, args []string) {
		if words := cmd.Flags().Args(); cmd.HasSubCommands() && len(words) > 0 {
			unknown = group(cmd, words)
			return
		}
		show(cmd, args)
	})
	err := root.Execute()
	if err == nil {
		err = unknown
	}
	e.bar.end()
	code := report(e.err, out.complete(err))
	staysReadable(e, code, out.wrote || e.said.wrote)
	return code
}

// complete is the error of a run whose output may not have come through. What was
// found counts for nothing where it could not be said.
func (o *watched) complete(err error) error {
	var ee *exitError
	silent := errors.As(err, &ee) && ee.err == nil
	switch {
	case o.err == nil:
		return err
	case err == nil, silent, errors.Is(err, o.err):
		return fmt.Errorf("the output is not complete: %w; make room, or write it elsewhere", o.err)
	}
	return fmt.Errorf("%w; nor is the output complete: %w", err, o.err)
}

// newHelp is help that knows what it has none for.
func newHelp() *cobra.Command {
	return &cobra.Command{
		Use:   "help [verb]",
		Short: "Help about any verb",
		ValidArgsFunction: func(cmd *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
			return helpWords(cmd, args), cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			about, rest, err := cmd.Root().Find(args)
			if err != nil || len(rest) > 0 {
				return group(cmp.Or(about, cmd.Root()), rest)
			}
			return about.Help()
		},
	}
}

var negative = regexp.MustCompile(`^-[0-9]`)

// belowZero puts a figure below zero among the words of correct behind all flags:
// where it stands it would be read as flags itself.
func belowZero(args []string) []string {
	for i, a := range args {
		switch {
		case i == 0 && a != "correct", a == "--":
			return args
		case i > 0 && negative.MatchString(a) && (!strings.HasPrefix(args[i-1], "--") || strings.Contains(args[i-1], "=")):
			return slices.Concat(args[:i], args[i+1:], []string{"--", a})
		}
	}
	return args
}

// watched is stdout or stderr with a memory, so that a full disk behind a redirection is
// not taken for success.
type watched struct {
	w      io.Writer
	err    error
	wrote  bool
	before func() // nil: nothing is to be done before it is written to
}

func (o *watched) Write(p []byte) (int, error) {
	o.wrote = true
	if o.before != nil {
		o.before()
	}
	n, err := o.w.Write(p)
	if o.err == nil {
		o.err = err
	}
	return n, err
}

// newRoot builds the verbs afresh, so that no flag of one run reaches another.
func newRoot(e edges) *cobra.Command {
	e.tell = &acts.Telling{Idle: new(bool)}
	var log, site, theme string
	var plain bool
	e.twin = new(string)
	if e.ascii == nil {
		e.ascii = new(string)
	}
	root := &cobra.Command{
		Use:   "coolhold",
		Short: "A logbook for the electrofusion welds of a ground loop",
		Long: `coolhold walks a crew through the electrofusion welds of a ground loop, holds
every cooling time and keeps every weld. It never says that a weld is good: it
says that no fault is recorded. The instructions of the fitting's maker, the
site's own rules and the law come first.

Exit codes: 0 done, 1 something found or not found, 2 wrong command line,
3 wrong input file, 4 log locked, damaged or unreadable, or an office or its
database out of reach, 5 refused by a rule of the trade.`,
		SilenceUsage:  true,
		SilenceErrors: true,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				return group(cmd, args)
			}
			return runBoard(e, log, site, theme, plain)
		},
	}
	root.PersistentPreRun = func(cmd *cobra.Command, _ []string) {
		if cmd.HasParent() && !showsScreens(cmd) {
			endsCleanly()
			e.bar.begins()
		}
	}
	root.PersistentPostRun = func(*cobra.Command, []string) {
		if *e.tell.Idle {
			fmt.Fprintln(e.err, "coolhold: --same and --other were not needed and say nothing: the name is known on this site, or near no other")
		}
	}
	logFlag(root, &log)
	root.Flags().StringVar(&site, "site", "", "open the board on this `site` of the log")
	themeFlag(root, &theme)
	plainFlag(root, &plain)
	root.Flags().StringVar(e.twin, "twin", "", twinFlagHelp)
	root.PersistentFlags().Var((*yesNo)(e.ascii), "ascii", "send the terminal nothing but ASCII, as in a locale without UTF-8")
	root.PersistentFlags().Lookup("ascii").NoOptDefVal = "true"
	root.SetIn(e.in)
	root.SetErr(e.err)
	root.SetFlagErrorFunc(func(cmd *cobra.Command, err error) error {
		if errors.Is(err, errTwice) {
			err = errTwice
		}
		if said := noFigure.FindStringSubmatch(err.Error()); said != nil {
			err = fmt.Errorf("%s %q is no number", said[2], said[1]) // the library tells of its parser
		}
		return usage("%w; see %s --help", err, cmd.CommandPath())
	})
	addVerbs(root, e)
	for _, cmd := range root.Commands() {
		openArgs(cmd)
		tellFlags(cmd, e.tell)
		twinFlags(cmd, e)
	}
	root.AddCommand(newTopics()...)
	sayVersion(root)
	openArgs(root)
	root.SetHelpCommand(newHelp())
	root.SetHelpCommandGroupID("about")
	root.SetCompletionCommandGroupID("about")
	return root
}

// showsScreens tells whether a verb may take the terminal for itself, and ends by keys, or
// ends in its own order; or whether a line is being typed there.
func showsScreens(cmd *cobra.Command) bool {
	return cmd.Name() == "checkup" || cmd.CommandPath() == "coolhold office serve" || strings.HasPrefix(cmd.Name(), cobra.ShellCompRequestCmd) || cmd.Name() == "demo" && cmd.Flags().Lookup("no-screen").Value.String() != "true"
}

// addVerbs adds the verbs in their groups, in the order of the work.
func addVerbs(root *cobra.Command, e edges) {
	for _, g := range []struct {
		id, title string
		verbs     []*cobra.Command
	}{
		{"before", "Before the first weld:", []*cobra.Command{
			newDemo(e), newTime(e), newTable(e), newPlan(e), newKit(e), newSite(e), newReady(e), newOrder(e), newCodes(e), newLabels(e), newDrawing(e), newHold(e),
		}},
		{"loop", "The loop, after its last weld:", []*cobra.Command{newPressure(e), newFlow(e), newPurge(e), newFluid(e), newHandover(e), newPipe(e), newDew(e)}},
		{"paper", "Without the laptop:", []*cobra.Command{newSheet(e), newTranscribe(e)}},
		{"desk", "The foreman, the morning after:", []*cobra.Command{
			newAudit(e), newRules(e), newReview(e), newCorrect(e), newCutOrder(e), newRecheck(e), newLook(e), newNote(e), newTakeUp(e), newCover(e), newSign(e), newPeople(e), newHappened(e),
		}},
		{"file", "For the file:", []*cobra.Command{newRegister(e), newRecall(e), newHistory(e), newPhotos(e), newEnclose(e)}},
		{"office", "A firm's office:", []*cobra.Command{newSend(e), newOffice(e)}},
		{"log", "The log itself:", []*cobra.Command{newCopy(e), newBackup(e), newTwin(e), newSeal(e), newVerify(e), newRestore(e), newLookThrough()}},
		{"about", "About coolhold:", []*cobra.Command{newCheckup(e), newLicences(e), newMan(e)}},
	} {
		root.AddGroup(&cobra.Group{ID: g.id, Title: g.title})
		for _, v := range g.verbs {
			v.GroupID = g.id
		}
		root.AddCommand(g.verbs...)
	}
}

// sayVersion lets every verb tell of which version it is.
func sayVersion(cmd *cobra.Command) {
	cmd.Version = version()
	cmd.SetVersionTemplate("coolhold {{.Version}}\n")
	if cmd.HasParent() { // at the root it is told of
		cmd.InitDefaultVersionFlag()
		_ = cmd.Flags().MarkHidden("version")
	}
	for _, sub := range cmd.Commands() {
		sayVersion(sub)
	}
}

// noFigure is how the library refuses a flag's figure.
var noFigure = regexp.MustCompile(`^invalid argument "(.*)" for "(?:-., )?(--[a-z-]+)" flag: (?:strconv\.|parse error)`)

// openArgs lets a command that only holds others take any words, so that group
// can say what was meant.
func openArgs(cmd *cobra.Command) {
	if cmd.HasSubCommands() {
		cmd.Args = cobra.ArbitraryArgs
	}
}

// group runs a command that only holds others: alone it shows its help, with a
// word it does not know it says which was likely meant.
func group(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return cmd.Help()
	}
	hint := ""
	cmd.SuggestionsMinimumDistance = 2
	if near := cmd.SuggestionsFor(args[0]); len(near) > 0 {
		hint = "is " + quoted(near) + " meant? "
	}
	return usage("%q is no verb of %s; %ssee %s --help", args[0], cmd.CommandPath(), hint, cmd.CommandPath())
}

// quoted sets words in quotes, with "or" between them.
func quoted(words []string) string {
	var out []string
	for _, w := range words {
		out = append(out, strconv.Quote(w))
	}
	return strings.Join(out, " or ")
}

// files wants at least one file named.
func files(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return usage("no file given; write %s", cmd.UseLine())
	}
	return nil
}

// oneFile wants just one file named.
func oneFile(cmd *cobra.Command, args []string) error {
	if len(args) != 1 {
		return usage("one file is needed, not %d; write %s", len(args), cmd.UseLine())
	}
	return nil
}

// noArgs wants nothing but flags.
func noArgs(cmd *cobra.Command, args []string) error {
	if len(args) > 0 {
		return usage("%q is not expected; write %s", args[0], cmd.UseLine())
	}
	return nil
}
