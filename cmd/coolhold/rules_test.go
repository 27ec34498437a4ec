package main

import (
	"encoding/json"
	"flag"
	"os"
	"strings"
	"testing"

	"coolhold/logbook/audit"
)

var update = flag.Bool("update", false, "write the table of rules in README.md and the goldens of behaviour anew")

const readme = "../../README.md"

// README and code agree: the table between the two comments is the one that
// the rules give.
func TestRulesOfReadme(t *testing.T) {
	data, err := os.ReadFile(readme)
	if err != nil {
		t.Fatal(err)
	}
	text := strings.ReplaceAll(string(data), "\r", "")
	head, rest, begun := strings.Cut(text, "<!-- rules: ")
	comment, rest, closed := strings.Cut(rest, " -->\n")
	table, tail, ended := strings.Cut(rest, "<!-- end of rules -->")
	if !begun || !closed || !ended {
		t.Fatal("the comments around the table of rules are not there")
	}
	if *update {
		text = head + "<!-- rules: " + comment + " -->\n" + rulesTable() + "<!-- end of rules -->" + tail
		if err := os.WriteFile(readme, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if table != rulesTable() {
		t.Errorf("the table of rules in README.md is not that of the code; write it anew with -update")
	}
	if n := strings.Count(table, "\n| `"); n != len(audit.Rules) {
		t.Errorf("%d rows for %d rules", n, len(audit.Rules))
	}
}

func TestRulesVerb(t *testing.T) {
	got := tryRun("rules", "--json")
	var list []map[string]string
	if err := json.Unmarshal([]byte(got.out), &list); err != nil || got.code != exitDone {
		t.Fatalf("exit code %d, %v", got.code, err)
	}
	if len(list) != len(audit.Rules) || len(list) < 30 {
		t.Errorf("%d rules written of %d", len(list), len(audit.Rules))
	}
	plain := tryRun("rules").out
	for i, r := range list {
		want := audit.Rules[i]
		if len(r) != 5 || r["slug"] != want.Slug || r["severity"] != want.Severity.String() || r["scope"] != string(want.Scope) || r["basis"] != want.Basis || r["says"] != want.Says {
			t.Errorf("rule %s is written as %v", want.Slug, r)
		}
		if r["basis"] == "" {
			t.Errorf("%s rests on nothing", want.Slug)
		}
		if !strings.Contains(plain, "\n  "+want.Says+"\n  do: "+want.Do+"\n  basis: "+want.Basis+"\n") {
			t.Errorf("the list says nothing of %s", want.Slug)
		}
	}
}
