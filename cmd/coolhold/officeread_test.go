package main

import (
	"archive/zip"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/logbook/office"
)

// readable is a firm whose office has all, for who reads there.
func readable(t *testing.T) *firm {
	t.Helper()
	f := admitted(t)
	f.send(exitDone, "the office has all", "--to", f.url)
	f.env["COOLHOLD_OFFICE_TOKEN"] = "invented"
	return f
}

// The verbs that read at the office write the very bytes that they write from the laptop's
// own log, as of a time then and as of now.
func TestTheOfficeGivesTheSameBytes(t *testing.T) {
	f := readable(t)
	if got := f.run("seal", "--log", f.log); got.code != exitDone {
		t.Fatalf("%+v", got)
	}
	f.send(exitDone, "the office has all")
	var verbs [][]string
	for _, at := range []string{"2026-03-09 07:30", "2026-03-09 17:40"} {
		for _, format := range []string{"csv", "json", "html"} {
			verbs = append(verbs, []string{"register", "--format", format, "--as-of", at})
		}
		verbs = append(verbs, []string{"audit", "--as-of", at}, []string{"audit", "--json", "--as-of", at}, []string{"audit", "--day", "yesterday", "--as-of", at})
	}
	verbs = append(verbs, []string{"history", "--circuit", "1", "--chamber", "A"}, []string{"history", "--batch", "W-4000-7", "--json"}, []string{"history", "--weld", "XM-0001"},
		[]string{"recall", "--batch", "W-4000-7"}, []string{"recall", "--unit", "CU-208", "--format", "json"}, []string{"recall", "--batch", "W-4000-7", "--format", "csv", "--from", "2026-03-08"})
	said := 0
	for _, args := range verbs {
		own := f.run(append(args, "--log", f.log)...)
		there := f.run(append(args, "--office", f.url)...)
		if own.out != there.out || own.code != there.code {
			t.Errorf("%v: exit code %d and %d bytes at the office (%s), %d and %d from the log (%s)", args, there.code, len(there.out), there.err, own.code, len(own.out), own.err)
		}
		if len(own.out) > 0 {
			said++
		} else {
			t.Logf("%v: %s", args, own.err)
		}
	}
	if said < len(verbs) {
		t.Errorf("%d of %d verbs said anything", said, len(verbs))
	}
	if now, then := f.run("audit", "--office", f.url), f.run("audit", "--log", f.log, "--as-of", "2026-03-09 17:40"); now.out != then.out || now.out == "" {
		t.Errorf("now\n%s, as of now\n%s", now.out, then.out)
	}
}

// PDF and workbook hold the same; their bytes differ from one writing to the next, of the
// log itself too.
func TestTheOfficeGivesTheSameDocuments(t *testing.T) {
	f := readable(t)
	for _, c := range []struct {
		format string
		holds  func(*testing.T, string) string
	}{{"xlsx", membersOf}, {"pdf", textOf}} {
		args := []string{"register", "--as-of", "2026-03-09 17:40", "--format", c.format}
		own, there := c.holds(t, f.run(append(args, "--log", f.log)...).out), c.holds(t, f.run(append(args, "--office", f.url)...).out)
		if own != there || len(own) < 2000 {
			t.Errorf("%s: %d bytes at the office, %d from the log", c.format, len(there), len(own))
		}
	}
}

// membersOf are those of a workbook, one after the other.
func membersOf(t *testing.T, doc string) string {
	t.Helper()
	z, err := zip.NewReader(strings.NewReader(doc), int64(len(doc)))
	if err != nil {
		t.Fatal(err)
	}
	var all []string
	for _, part := range z.File {
		r, err := part.Open()
		if err != nil {
			t.Fatal(err)
		}
		data, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, part.Name+"\n"+string(data))
	}
	slices.Sort(all)
	return strings.Join(all, "\n")
}

// What was recorded since the office heard of the log is not in its answer, and that is
// said.
func TestTheOfficeSaysUpToWhen(t *testing.T) {
	f := readable(t)
	got := f.run("audit", "--office", f.url)
	if strings.Contains(got.err, "last heard") {
		t.Errorf("it heard just now, and says %q", got.err)
	}
	f.now = f.now.Add(59e9)
	if got = f.run("audit", "--office", f.url); strings.Contains(got.err, "last heard") {
		t.Errorf("it heard within the minute, and says %q", got.err)
	}
	f.now = f.now.Add(3 * 3600e9)
	got = f.run("audit", "--office", f.url)
	if !strings.Contains(got.err, "the office last heard of log XM 2026-03-09 17:40; what was recorded since is not in it") {
		t.Errorf("said %q", got.err)
	}
	if got = f.run("audit", "--office", f.url, "--as-of", "2026-03-09 12:00"); strings.Contains(got.err, "last heard") {
		t.Errorf("of noon it has all, and says %q", got.err)
	}
}

// Of a log that went on in two ways each register says which it was made from, and of one
// of which more waits at the office that is said.
func TestTheRegistersOfTwoBranches(t *testing.T) {
	f := firmIn(t)
	stick := t.TempDir()
	does := func(code int, args ...string) string {
		t.Helper()
		got := f.run(args...)
		if got.code != code {
			t.Fatalf("%v: %+v", args, got)
		}
		return got.out
	}
	does(exitDone, "office", "admit", f.public(), "--crew", "crew north", "--by", "Ida Invented")
	back := f.copyLog()
	does(exitDone, "note", "XM-0001", "on the one", "--by", "Ada Invented", "--log", f.log)
	f.send(exitDone, "put there", "--to", stick)
	does(exitDone, "office", "take", stick)
	f.env["COOLHOLD_OFFICE_TOKEN"] = strings.TrimSpace(does(exitDone, "office", "grant", "--by", "Ida Invented"))
	o, err := officeDB(f.e, "")
	if err != nil {
		t.Fatal(err)
	}
	defer o.Close()
	s := f.servesFrom(o, serving{listen: "127.0.0.1:0"}, nil)
	defer func() { s.ends(); <-s.over }()
	if out := does(exitDone, "register", "--format", "html", "--office", s.url); strings.Contains(out, "went on in two ways") {
		t.Error("it is told of a log that did not part")
	}
	back()
	does(exitDone, "note", "XM-0001", "on the other", "--by", "Ada Invented", "--log", f.log)
	stick = t.TempDir()
	f.send(exitDone, "", "--to", stick)
	does(exitFindings, "office", "take", stick)
	for branch := range 2 {
		for _, format := range []string{"html", "json"} {
			args := []string{"register", "--format", format, "--office", s.url, "--log", fmt.Sprintf("XM/%d", branch)}
			out := does(exitDone, args...)
			want := fmt.Sprintf("branch %d of a log that went on in two ways: from entry 158 on another branch has other entries", branch)
			if format == "json" {
				out, want = strings.Join(strings.Fields(out), ""), fmt.Sprintf(`"course":{"branch":%d,"parted":158}`, branch)
			}
			if !strings.Contains(out, want) {
				t.Errorf("%v: not said: %q", args, want)
			}
		}
	}
	for _, letters := range []int{4, 6} { // where two logs have the letters it names one by its id
		does(exitDone, "history", "--weld", "XM-0001 ("+f.run1(1).ID[:letters]+")", "--office", s.url, "--log", "XM/1")
	}
	does(exitFindings, "history", "--weld", "XM-0001 (0000)", "--office", s.url, "--log", "XM/1")
	if out := does(exitDone, "history", "--weld", "XM-0001/1", "--office", s.url); !strings.Contains(out, "on the other") || strings.Contains(out, "on the one") {
		t.Errorf("of a weld as recall names it:\n%s", out)
	}
	does(exitDone, "office", "withdraw", publicID(f.public()), "--by", "Ida Invented")
	does(exitDone, "note", "XM-0001", "waits", "--by", "Ada Invented", "--log", f.log)
	stick = t.TempDir()
	f.send(exitDone, "", "--to", stick)
	does(exitFindings, "office", "take", stick)
	for _, verb := range []string{"audit", "register", "history --weld XM-0001"} {
		got := f.run(append(strings.Fields(verb), "--office", s.url, "--log", "XM/1")...)
		if want := "coolhold: of log XM/1 1 parcel waits at the office to be admitted, and is not in it; coolhold office known names the key\n"; !strings.Contains(got.err, want) {
			t.Errorf("%s: said %q, want %q", verb, got.err, want)
		}
	}
	f.now = f.now.Add(time.Hour)
	if out := does(exitDone, "register", "--format", "html", "--office", s.url, "--log", "XM/1"); !strings.Contains(out, "read at an office that had last heard of it 2026-03-09 17:40") || !strings.Contains(out, "more of it (1 parcel) waited at the office to be admitted, and is not in this") {
		t.Error("the register does not say what the office did not have")
	}
}

// Where several logs have the site one is named, by its letters or its id.
func TestTheOfficeHasSeveralLogsOfASite(t *testing.T) {
	f := readable(t)
	first, id := f.log, f.run1(1).ID
	f.log = filepath.Join(filepath.Dir(f.log), "second.coolhold")
	if got := f.run("demo", "--keep", f.log, "--no-screen", "--tag", "QT"); got.code != exitDone {
		t.Fatalf("%+v", got)
	}
	f.send(exitDone, "the office has all", "--to", f.url)
	if got := f.run("audit", "--office", f.url); got.code != exitFindings || got.out != "" || !strings.Contains(got.err, "name one") {
		t.Errorf("%+v", got)
	}
	want := f.run("audit", "--log", first, "--as-of", "2026-03-09 17:40")
	for _, name := range []string{"XM", id} {
		if got := f.run("audit", "--office", f.url, "--log", name); got.out != want.out || got.code != want.code || want.out == "" {
			t.Errorf("--log %s: %+v", name, got)
		}
	}
	for _, args := range [][]string{{"audit", "--as-of", "2026-03-09 17:40"}, {"register", "--format", "csv", "--as-of", "2026-03-09 17:40"}, {"register", "--format", "json", "--as-of", "2026-03-09 17:40"}, {"history", "--batch", "W-4000-7"}} {
		own, there := f.run(append(args, "--log", first, "--log", f.log)...), f.run(append(args, "--office", f.url, "--log", "XM", "--log", "QT")...)
		if own.out != there.out || own.code != there.code || len(own.out) < 500 {
			t.Errorf("%v of both logs: exit code %d and %d bytes at the office (%s), %d and %d from the logs (%s)", args, there.code, len(there.out), there.err, own.code, len(own.out), own.err)
		}
	}
	if got := f.run("audit", "--office", f.url, "--log", "ZZ"); got.code != exitFindings || !strings.Contains(got.err, "does not hold it") {
		t.Errorf("%+v", got)
	}
	for name, logs := range map[string][]string{"": {first, f.log}, "XM": {first}, "QT": {f.log}} {
		own, there := []string{"recall", "--batch", "W-4000-7"}, []string{"recall", "--batch", "W-4000-7", "--office", f.url}
		for _, log := range logs {
			own = append(own, "--log", log)
		}
		if name != "" {
			there = append(there, "--log", name)
		}
		lines := func(s string) map[string]bool {
			out := map[string]bool{}
			for line := range strings.Lines(s) {
				out[line] = true
			}
			return out
		}
		a, b := f.run(own...), f.run(there...)
		if got, want := lines(b.out), lines(a.out); len(want) == 0 || fmt.Sprint(got) != fmt.Sprint(want) {
			t.Errorf("--log %q: %q, want %q (%s%s)", name, b.out, a.out, a.err, b.err)
		}
	}
}

// Who may not read gets a line and no page; what does not go together is refused before
// anybody is asked.
func TestReadingAtTheOfficeIsRefused(t *testing.T) {
	f := readable(t)
	file := filepath.Join(t.TempDir(), "token")
	if err := os.WriteFile(file, []byte("invented\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		token string
		args  []string
		code  int
		says  string
	}{
		{"another", []string{"audit", "--office", f.url}, exitRefused, "the token is not known; the office gives a token with coolhold office grant"},
		{"another", []string{"recall", "--batch", "W-4000-7", "--office", f.url}, exitRefused, "the token is not known"},
		{"", []string{"audit", "--office", f.url}, exitUsage, "a token is needed"},
		{"a b", []string{"audit", "--office", f.url}, exitUsage, "what is given as the token is none"},
		{"", []string{"audit", "--office", f.url, "--token-file", "/nowhere"}, exitInput, "cannot read /nowhere"},
		{"invented", []string{"audit", "--office", "http://office.invalid"}, exitUsage, "in the open"},
		{"invented", []string{"audit", "--office", "http://127.0.0.1:1"}, exitLog, "there is no way to the office"},
		{"invented", []string{"audit", "--token-file", file}, exitUsage, "--token-file goes with --office"},
		{"invented", []string{"audit", "--office", f.url, "--log", "XM", "--log", "QT"}, exitFindings, "does not hold it: no site"},
		{"invented", []string{"audit", "--office", f.url, "--log", "XM", "--log", "XM"}, exitUsage, "--log XM is of a log that was named before; two branches of one log are not merged"},
		{"invented", []string{"recall", "--batch", "B", "--office", f.url, "--log", "XM", "--log", "QT"}, exitFindings, `does not hold it: no log "QT"`},
		{"invented", []string{"register", "--format", "json", "--prove", "--office", f.url}, exitUsage, "leave --office out"},
		{"invented", []string{"audit", "--office", f.url, "--site", "nowhere"}, exitFindings, "does not hold it"},
		{"invented", []string{"recall", "--batch", "never", "--office", f.url}, exitFindings, "no weld has or had"},
		{"invented", []string{"audit", "--office", f.url, "--as-of", "2031-01-01 12:00"}, exitUsage, "is still to come"},
	} {
		f.env["COOLHOLD_OFFICE_TOKEN"] = c.token
		if got := f.run(c.args...); got.code != c.code || got.out != "" || !strings.Contains(got.err, c.says) || strings.Count(got.err, "\n") != 1 {
			t.Errorf("%v: %+v, want %d %q", c.args, got, c.code, c.says)
		}
	}
	f.env["COOLHOLD_OFFICE_TOKEN"] = "invented"
	ill := f.servesFrom(&held{Holder: f.office, err: errors.New("the disk is full")}, serving{listen: "127.0.0.1:0"}, nil)
	for _, verb := range []string{"audit", "register", "recall --batch B"} {
		if got := f.run(append(strings.Fields(verb), "--office", ill.url)...); got.code != exitLog || got.out != "" || !strings.Contains(got.err, "the office has a fault of its own") {
			t.Errorf("%s at an office that is ill: %+v", verb, got)
		}
	}
	ill.ends()
	if err := <-ill.over; err != nil {
		t.Error(err)
	}
	f.env["COOLHOLD_OFFICE_TOKEN"] = ""
	if got := f.run("audit", "--office", f.url, "--token-file", file); got.code != exitFindings || got.out == "" {
		t.Errorf("with the token in a file: %+v", got)
	}
}

// What an office cannot know when it says where a batch went is a line each, and where days
// were named it is said once.
func TestARecallSaysWhatIsNotKnown(t *testing.T) {
	heard := time.Date(2026, 3, 1, 17, 40, 0, 0, time.UTC)
	var many []office.Unheard
	for i := range 7 {
		many = append(many, office.Unheard{Tag: fmt.Sprint("L", i), Heard: heard})
	}
	for _, c := range []struct {
		got  office.Recalled
		want []string
	}{
		{office.Recalled{}, nil},
		{office.Recalled{Late: []string{"log KM site s", "log QT/1 from entry 1"}}, []string{"not looked through, since the office has not worked it up yet (try again in a minute; where it stays, what office serve writes says why): log KM site s, log QT/1 from entry 1"}},
		{office.Recalled{Silent: []office.Unheard{{Log: "id", Tag: "NC", Heard: heard}, {Heard: heard}}, Waiting: 1}, []string{
			"not heard of for more than 7 days, and what was recorded since is not looked through: log NC since 2026-03-01 17:40, a laptop that was admitted 2026-03-01 17:40 and never sent",
			"not looked through, since it waits to be admitted: what 1 laptop sent; coolhold office known names the key",
		}},
		{office.Recalled{Silent: many}, []string{"not heard of for more than 7 days, and what was recorded since is not looked through: log L0 since 2026-03-01 17:40, log L1 since 2026-03-01 17:40, log L2 since 2026-03-01 17:40, log L3 since 2026-03-01 17:40, log L4 since 2026-03-01 17:40, and 2 more (coolhold office silent)"}},
	} {
		if got := notKnown(c.got, time.UTC); !slices.Equal(got, c.want) {
			t.Errorf("%+v:\n%s", c.got, strings.Join(got, "\n"))
		}
	}
	f := readable(t)
	f.now = f.now.Add(8 * 24 * time.Hour)
	silent := "coolhold: not heard of for more than 7 days, and what was recorded since is not looked through: log XM since "
	for _, c := range []struct {
		args []string
		code int
	}{{[]string{"--batch", "W-4000-7"}, exitDone}, {[]string{"--batch", "W-4000-7", "--log", "XM"}, exitDone}, {[]string{"--batch", "W-4000-7", "--from", "2026-03-11"}, exitFindings}} {
		if got := f.run(append([]string{"recall", "--office", f.url}, c.args...)...); got.code != c.code || strings.Count(got.err, silent) != 1 {
			t.Errorf("%v: %+v", c.args, got)
		}
	}
}
