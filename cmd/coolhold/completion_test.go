package main

import (
	"bytes"
	"crypto/rand"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"coolhold/logbook/audit"
)

// completes gives the words that a shell is told, without what they are, and what is said
// beside them.
func completes(t *testing.T, e edges, args ...string) (words []string, said string) {
	t.Helper()
	var out, err bytes.Buffer
	e.out, e.err = &out, &err
	if code := run(append([]string{cobra.ShellCompRequestCmd}, args...), e); code != exitDone {
		t.Fatalf("%q: exit code %d, %s", args, code, &err)
	}
	for line := range strings.Lines(out.String()) {
		word, _, _ := strings.Cut(strings.TrimSuffix(line, "\n"), "\t")
		if !strings.HasPrefix(word, ":") {
			words = append(words, word)
		}
	}
	return words, err.String()
}

// What can stand at a place of a line is told out of the log: joints, welds, sites,
// people, batches, and what else the verbs take.
func TestCompletion(t *testing.T) {
	e, log, _ := atDesk(t)
	for _, c := range []struct {
		args string
		want []string // of these at least; the last empty: nothing else
		not  string
	}{
		{"note ", []string{"XM-0001", "XM-0010"}, "1A"},
		{"correct XM-0003 ", []string{"fitting batch", "operator"}, "joint"},
		{"note XM-0003 text --by ", []string{"Ona Brill", "Tam Velding", "Hedda Roan, foreman"}, "XM-0001"},
		{"history --joint ", []string{"1A", "FG"}, "XM-0001"},
		{"history --batch ", []string{"W-4000-7", "coil 5519", "stub 071"}, "unknown"},
		{"recall --unit ", []string{"CU-208"}, ""},
		{"recall --operator ", []string{"Ona Brill"}, ""},
		{"history --circuit ", []string{"1", "5"}, "circuit 1"},
		{"register --site ", []string{"larkrise-cottage-invented", ""}, ""},
		{"--site ", []string{"larkrise-cottage-invented", ""}, ""},
		{"--theme ", []string{"dark", "bright", "plain", ""}, ""},
		{"register --verdict ", []string{"fail", "query", "clear"}, ""},
		{"audit --day ", []string{"2026-03-09", "2026-03-08", "yesterday", "today", ""}, ""},
		{"pressure begin ", []string{"circuit 1", "header from ground"}, "chamber B"},
		{"cover ", []string{"chamber A", "run A/FG"}, "circuit 1"},
		{"cover check ", []string{"chamber A"}, "check"},
		{"drawing --chamber ", []string{"A", ""}, ""},
		{"review ", []string{"entered-later:XM-0009"}, "disturbed:XM-0008"},
		{"sign --seen ", []string{"disturbed:XM-0008"}, "entered-later:XM-0009"},
		{"take-up ", nil, "1A"},
		{"help ", []string{"register", "units"}, "look-through"},
		{"help pressure ", []string{"begin", "show"}, "register"},
		{"fluid --batch ", nil, "W-4000-7"},
		{"seal ", nil, "XM-0001"},
		{"sheet --format ", []string{"pdf", "xlsx", "csv", "text", ""}, ""},
		{"register --format ", []string{"csv", "html", "json", "pdf", "xlsx", ""}, ""},
	} {
		args := strings.Split(c.args, " ")
		named := slices.Concat([]string{"--log", log}, args)
		if args[0] == "help" {
			named = args
		}
		got, said := completes(t, e, named...)
		only := len(c.want) > 0 && c.want[len(c.want)-1] == ""
		want := slices.DeleteFunc(c.want, func(w string) bool { return w == "" })
		for _, w := range want {
			if !slices.Contains(got, w) {
				t.Errorf("%q: %q is not among %q", c.args, w, got)
			}
		}
		if only && len(got) != len(want) || c.not != "" && slices.Contains(got, c.not) || strings.Contains(said, "coolhold:") {
			t.Errorf("%q: %q, and %q", c.args, got, said)
		}
	}
	got, said := completes(t, e, "note", "--log", filepath.Join(t.TempDir(), "none.coolhold"), "")
	if len(got) > 0 || strings.Contains(said, "coolhold:") {
		t.Errorf("without a log: %q, %q", got, said)
	}
}

// Whatever word is told of a format or a query is taken.
func TestWhatIsCompletedIsTaken(t *testing.T) {
	e, log, _ := atDesk(t)
	verbs := 0
	var each func(cmd *cobra.Command)
	each = func(cmd *cobra.Command) {
		for _, sub := range cmd.Commands() {
			each(sub)
		}
		if cmd.Flags().Lookup("format") == nil {
			return
		}
		verbs++
		name := strings.Fields(cmd.CommandPath())[1]
		forms, _ := completes(t, e, name, "--format", "")
		if len(forms) < 2 {
			t.Errorf("%s: formats %q", name, forms)
		}
		for _, form := range forms {
			args := []string{name, "--format", form, "--log", log, "--out", filepath.Join(t.TempDir(), "out")}
			if name == "recall" {
				args = append(args, "--batch", "W-4000-7")
			}
			if got := tryRun(args...); got.code != exitDone {
				t.Errorf("%v: %+v", args, got)
			}
		}
	}
	each(newRoot(e))
	if verbs < 5 {
		t.Errorf("%d verbs with formats", verbs)
	}
	e.rand = rand.Reader
	keys, _ := completes(t, e, "review", "--log", log, "")
	for _, key := range keys {
		if code := run([]string{"review", key, "--by", "Bo Invented", "--why", "seen", "--other", "--log", log}, e); code != exitDone {
			t.Errorf("review %s: exit code %d: %s", key, code, e.err)
		}
	}
	r, s, err := readSite(e, log, "", "")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range audit.Run(r.book, s.ID, r.asOf, r.beat).Open() {
		if f.Unanswerable() == "" {
			t.Errorf("%s was not told", f.Key)
		}
	}
}

// Each entry of the tables names a verb or a flag that is there.
func TestTheWordsAreOfVerbs(t *testing.T) {
	root := newRoot(edges{})
	flags := map[string]bool{}
	var each func(cmd *cobra.Command)
	each = func(cmd *cobra.Command) {
		cmd.LocalFlags().VisitAll(func(f *pflag.Flag) { flags[f.Name] = true })
		for _, sub := range cmd.Commands() {
			each(sub)
		}
	}
	each(root)
	for name := range flagWords {
		if !flags[name] {
			t.Errorf("no verb has the flag --%s", name)
		}
	}
	names := slices.Clone(verbFolders)
	for name := range verbWords {
		names = append(names, name)
	}
	for name := range formatWords {
		names = append(names, name)
	}
	for _, name := range names {
		if cmd, rest, err := root.Find(strings.Fields(name)); err != nil || len(rest) > 0 || !cmd.HasParent() {
			t.Errorf("%q is no verb: %v %v", name, rest, err)
		}
	}
}
