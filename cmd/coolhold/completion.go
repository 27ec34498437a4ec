package main

import (
	"cmp"
	"context"
	"maps"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
	"coolhold/logbook/register"
	"coolhold/logbook/store"
	"coolhold/tui/shell"
)

// completing tells whether a shell asks what a word may be. Only then is it prepared:
// nothing of it costs a start.
func completing(args []string) bool {
	return len(args) > 0 && (args[0] == cobra.ShellCompRequestCmd || args[0] == cobra.ShellCompNoDescRequestCmd)
}

// completionWait is how long a shell waits for a log that another program has.
const completionWait = time.Second

// A word completes as one of what it stands for: a joint, a weld, a name of the site.
type word func(c *wordsOf) []string

// wordsOf is where the words of a line come from. The log is read where one is asked for,
// and never waited for.
type wordsOf struct {
	e    edges
	cmd  *cobra.Command
	args []string
	book *logbook.Book
	site logbook.Site
	beat fusion.Stamp
}

// flagWords are the words of flags, by their names: the same name is the same everywhere
// but where verbWords says otherwise.
var flagWords = map[string]word{
	"site": siteWords, "by": peopleWords, "same": peopleWords, "operator": peopleWords, "joint": jointWords, "weld": weldWords,
	"batch": batchWords, "unit": unitWords, "chamber": chamberWords, "circuit": circuitWords, "section": sectionWords,
	"part": coverWords, "test": testWords, "day": dayWords, "since": dayWords, "from": dayWords, "to": dayWords,
	"theme": fixedWords(shell.Themes...), "verdict": fixedWords(register.Verdicts...), "seen": failWords,
}

// flagFolders take a folder.
var flagFolders = []string{"files", "twin"}

// formatWords are the formats of a verb.
var formatWords = map[string]func() []string{
	"register": func() []string { return slices.Sorted(maps.Keys(formats)) },
	"recall":   func() []string { return slices.Sorted(maps.Keys(recallForms)) },
	"handover": func() []string { return handingForms },
	"labels":   func() []string { return []string{"pdf", "text"} },
	"sheet":    func() []string { return sheetFormats },
}

// verbWords are what verbs take without a flag, in their order.
var verbWords = map[string][]word{
	"note": {weldWords}, "look": {weldWords}, "recheck": {weldWords}, "cut-order": {weldWords}, "hold": {weldWords},
	"correct": {weldWords, fieldWords}, "take-up": {struckWords}, "review": {findingWords},
	"cover": {coverWords}, "cover check": {coverWords}, "handover left": {sectionWords},
	"pressure begin": {sectionWords}, "pressure show": {testWords}, "pressure look": {weldWords},
	"pressure closing": {weldWords}, "pressure withdraw": {testWords},
	"flow": {circuitWords}, "purge": {sectionWords}, "fluid": {sectionWords},
	"people same": {peopleWords, peopleWords}, "people other": {peopleWords, peopleWords}, "people add": {peopleWords},
}

// verbFolders take a folder without a flag.
var verbFolders = []string{"backup", "man", "photos", "twin"}

// completeWords lets every verb say what its words may be.
func completeWords(cmd *cobra.Command, e edges) {
	for _, sub := range cmd.Commands() {
		completeWords(sub, e)
	}
	name := strings.TrimPrefix(cmd.CommandPath(), "coolhold ")
	complete := func(w word) cobra.CompletionFunc {
		return func(cmd *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
			return w(&wordsOf{e: e, cmd: cmd, args: args}), cobra.ShellCompDirectiveNoFileComp
		}
	}
	switch words, is := verbWords[name]; {
	case slices.Contains(verbFolders, name):
		cmd.ValidArgsFunction = folderWords
	case is:
		cmd.ValidArgsFunction = func(cmd *cobra.Command, args []string, begun string) ([]string, cobra.ShellCompDirective) {
			if len(args) >= len(words) {
				return nil, cobra.ShellCompDirectiveNoFileComp
			}
			return complete(words[len(args)])(cmd, args, begun)
		}
	}
	cmd.LocalFlags().VisitAll(func(f *pflag.Flag) {
		w, is := flagWords[f.Name]
		switch {
		case slices.Contains(flagFolders, f.Name):
			_ = cmd.RegisterFlagCompletionFunc(f.Name, folderWords)
			return
		case f.Name == "format" && formatWords[name] != nil:
			w, is = fixedWords(formatWords[name]()...), true
		case name == "fluid" && f.Name == "batch": // of the fluid: it is read off its can
			is = false
		}
		if is {
			_ = cmd.RegisterFlagCompletionFunc(f.Name, complete(w)) // the flag is there
		}
	})
}

func folderWords(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return nil, cobra.ShellCompDirectiveFilterDirs
}

// read reads the log and its site: the one named, else the one opened last. Where it
// cannot be read there are no words of it, and nothing is said: a line is being typed.
func (c *wordsOf) read() bool {
	ctx, cancel := context.WithTimeout(context.Background(), completionWait)
	defer cancel()
	path, name := logPath(c.e, c.flag("log")), c.flag("site")
	shot, err := store.ReadSite(ctx, path, name, time.Time{})
	if err != nil {
		return false
	}
	c.book, c.beat = shot.Book, shot.Beat
	if c.site, err = pickSite(c.book, name); err == nil {
		return true
	}
	sites := c.book.Sites()
	if name != "" || len(sites) == 0 {
		return true
	}
	if shot, err = store.ReadSite(ctx, path, sites[len(sites)-1].ID, time.Time{}); err != nil {
		return false
	}
	c.book = shot.Book
	c.site, _ = c.book.Site(sites[len(sites)-1].ID)
	return true
}

// flag is what a flag was given, the first of several; "" where it was not.
func (c *wordsOf) flag(name string) string {
	f := c.cmd.Flags().Lookup(name)
	if f == nil {
		return ""
	}
	if several, is := f.Value.(pflag.SliceValue); is {
		return append(several.GetSlice(), "")[0]
	}
	return f.Value.String()
}

// asWord is a word with what it is. What would break the line is left out.
func asWord(word, is string) string {
	word, is = logbook.Clean(word), strings.Join(strings.Fields(logbook.Clean(is)), " ")
	if strings.ContainsAny(word, "\t\n") || word == "" {
		return ""
	}
	if is == "" {
		return word
	}
	return word + "\t" + is
}

// onceEach keeps each word once, in order.
func onceEach(words []string) (out []string) {
	had := map[string]bool{"": true}
	for _, w := range words {
		bare, _, _ := strings.Cut(w, "\t")
		if !had[bare] {
			had[bare] = true
			out = append(out, w)
		}
	}
	return out
}

// ofSite are words of the site that the line speaks of.
func ofSite(words func(c *wordsOf) []string) word {
	return func(c *wordsOf) []string {
		if !c.read() || c.site.ID == "" {
			return nil
		}
		return onceEach(words(c))
	}
}

func fixedWords(words ...string) word { return func(*wordsOf) []string { return words } }

func siteWords(c *wordsOf) (out []string) {
	if !c.read() {
		return nil
	}
	for _, s := range c.book.Sites() {
		out = append(out, asWord(s.ID, s.Name))
	}
	return out
}

var peopleWords = ofSite(func(c *wordsOf) (out []string) {
	for _, name := range logbook.KnownNames(c.book, c.site.ID) {
		out = append(out, asWord(name, ""))
	}
	return out
})

var jointWords = ofSite(func(c *wordsOf) (out []string) {
	for _, j := range c.book.Joints(c.site.ID) {
		out = append(out, asWord(j.Label, logbook.Joined(", ", j.Fitting, j.Stands)))
	}
	return out
})

// struckWords are the joints that are not being built.
var struckWords = ofSite(func(c *wordsOf) (out []string) {
	for _, j := range c.book.Joints(c.site.ID) {
		if j.Struck != "" {
			out = append(out, asWord(j.Label, j.Fitting))
		}
	}
	return out
})

var weldWords = ofSite(func(c *wordsOf) (out []string) {
	for _, w := range slices.Backward(c.book.Welds(c.site.ID)) { // the newest first
		out = append(out, asWord(w.ID, logbook.Joined(", ", w.Joint, w.Fitting())))
	}
	return out
})

var batchWords = ofSite(func(c *wordsOf) (out []string) {
	for _, w := range c.book.Welds(c.site.ID) {
		for key, is := range map[string]string{logbook.ItemBatch: "fitting", logbook.ItemPipeBatch: "coil or pipe", logbook.ItemStubBatch: "stub"} {
			if batch := w.Answers[key].V; batch != logbook.NotKnown {
				out = append(out, asWord(batch, is))
			}
		}
	}
	slices.Sort(out)
	return out
})

var unitWords = ofSite(func(c *wordsOf) (out []string) {
	for _, w := range c.book.Welds(c.site.ID) {
		out = append(out, asWord(w.Unit, ""))
	}
	return out
})

var chamberWords = ofSite(func(c *wordsOf) (out []string) {
	for _, ch := range c.site.Chambers {
		out = append(out, asWord(ch.Name, ""))
	}
	return out
})

var circuitWords = ofSite(func(c *wordsOf) (out []string) {
	for _, s := range ahead.TestSections(c.book, c.site.ID) {
		if number, is := strings.CutPrefix(s.Name, "circuit "); is {
			out = append(out, asWord(number, ""))
		}
	}
	return out
})

var sectionWords = ofSite(func(c *wordsOf) (out []string) {
	for _, s := range ahead.TestSections(c.book, c.site.ID) {
		out = append(out, asWord(s.Name, ""))
	}
	return out
})

var coverWords = ofSite(func(c *wordsOf) (out []string) {
	for _, s := range ahead.Sections(c.book, c.site.ID) {
		out = append(out, asWord(s.Name, logbook.Count(len(s.Joints), "joint")))
	}
	return out
})

var testWords = ofSite(func(c *wordsOf) (out []string) {
	for _, t := range slices.Backward(c.site.Tests) {
		out = append(out, asWord(t.ID, t.Section.String()))
	}
	return out
})

// dayWords are the days on which somebody worked, the newest first.
var dayWords = ofSite(func(c *wordsOf) (out []string) {
	for _, id := range slices.Backward(c.site.Shifts) {
		sh, _ := c.book.Shift(c.site.ID, id)
		out = append(out, asWord(sh.Day, ""))
	}
	return append(out, "yesterday", "today")
})

var findingWords = ofSite(func(c *wordsOf) (out []string) {
	for _, f := range audit.Run(c.book, c.site.ID, c.e.now(), c.beat).Open() {
		if f.Unanswerable() == "" {
			out = append(out, asWord(f.Key, f.Says))
		}
	}
	return out
})

var failWords = ofSite(func(c *wordsOf) (out []string) {
	day, err := parseDay("--day", cmp.Or(c.flag("day"), "today"), c.e.now().Local())
	if err != nil {
		return nil
	}
	for _, fail := range audit.Run(c.book, c.site.ID, c.e.now(), c.beat).OpenFails(day) {
		for _, f := range fail {
			out = append(out, asWord(f.Key, f.Says))
		}
	}
	return out
})

// fieldWords are the values of a weld that can be put right.
var fieldWords = ofSite(func(c *wordsOf) (out []string) {
	w, _ := c.book.Weld(c.site.ID, c.args[0])
	for _, f := range logbook.Fields(w) {
		if f.Key != logbook.FieldJoint { // by --joint
			out = append(out, asWord(f.Name, f.Get(w)))
		}
	}
	return out
})

// helpWords are the verbs and topics that there is help for, below what is named already.
func helpWords(cmd *cobra.Command, args []string) (out []string) {
	about, rest, err := cmd.Root().Find(args)
	if err != nil || len(rest) > 0 {
		return nil
	}
	for _, sub := range about.Commands() {
		if sub.IsAvailableCommand() || sub.IsAdditionalHelpTopicCommand() {
			out = append(out, asWord(sub.Name(), sub.Short))
		}
	}
	return out
}
