package main

import (
	"encoding/json"
	"flag"
	"fmt"
	"slices"
	"strings"
	"testing"

	"coolhold/logbook/audit"
	"coolhold/logbook/paper"
)

var update = flag.Bool("update", false, "write the goldens of behaviour anew")

// sameRules holds the names on a list against the rules, in their order.
func sameRules(t *testing.T, listed []string) {
	t.Helper()
	var slugs []string
	for _, r := range audit.Rules {
		slugs = append(slugs, r.Slug)
	}
	if !slices.Equal(listed, slugs) {
		t.Errorf("listed are\n%q\nand the rules are\n%q", listed, slugs)
	}
	if len(slugs) < 30 {
		t.Errorf("only %d rules", len(slugs))
	}
}

// The list is every rule of the audit, in their order, each whole, and nothing
// else.
func TestTheListOfRules(t *testing.T) {
	got := tryRun("rules")
	if got.code != exitDone {
		t.Fatalf("exit code %d: %s", got.code, got.err)
	}
	lines := strings.Split(strings.TrimSuffix(got.out, "\n"), "\n")
	var slugs []string
	for n := 0; n < len(lines); n += 4 {
		slug, _, _ := strings.Cut(lines[n], "  (")
		slugs = append(slugs, slug)
	}
	sameRules(t, slugs)
	if t.Failed() {
		return
	}
	for i, r := range audit.Rules {
		severity := r.Severity.String()
		if r.Work && r.Severity != audit.Fail { // a fail that is work too is told as the fail
			severity = "to do"
		}
		want := []string{
			fmt.Sprintf("%s  (%s, on each %s)", r.Slug, severity, r.Scope),
			"  " + r.Says, "  do: " + r.Do, "  basis: " + r.Basis,
		}
		if !slices.Equal(lines[4*i:4*i+4], want) {
			t.Errorf("%q is listed, and the rule is %q", lines[4*i:4*i+4], want)
		}
		if r.Says == "" || r.Do == "" || r.Basis == "" {
			t.Errorf("%s looks for nothing, asks for nothing or rests on nothing", r.Slug)
		}
	}
}

// The same list for programs.
func TestTheListOfRulesAsJSON(t *testing.T) {
	got := tryRun("rules", "--json")
	var list []map[string]any
	if err := json.Unmarshal([]byte(got.out), &list); err != nil || got.code != exitDone {
		t.Fatalf("exit code %d, %v", got.code, err)
	}
	var slugs []string
	for _, r := range list {
		slugs = append(slugs, fmt.Sprint(r["slug"]))
	}
	sameRules(t, slugs)
	if t.Failed() {
		return
	}
	for i, r := range audit.Rules {
		want := map[string]any{
			"slug": r.Slug, "severity": r.Severity.String(), "scope": string(r.Scope), "work": r.Work,
			"says": r.Says, "do": r.Do, "basis": r.Basis, "doors": doorsAsJSON(r),
		}
		if fmt.Sprint(list[i]) != fmt.Sprint(want) {
			t.Errorf("%v is listed, and the rule is %v", list[i], want)
		}
	}
}

func doorsAsJSON(r audit.Rule) []any {
	out := []any{}
	for _, d := range r.Doors() {
		door := map[string]any{"act": d.Act}
		for key, v := range map[string]string{"screen": d.Screen, "verb": d.Verb, "paper": d.Paper} {
			if v != "" {
				door[key] = v
			}
		}
		out = append(out, door)
	}
	return out
}

// What a door names is there: the verb on the command line, the column on the sheet.
func TestTheDoorsAreThere(t *testing.T) {
	verbs := map[string]bool{}
	for _, cmd := range newRoot(edges{}).Commands() {
		verbs[cmd.Name()] = true
		for _, sub := range cmd.Commands() {
			verbs[cmd.Name()+" "+sub.Name()] = true
		}
	}
	seen := 0
	for _, r := range audit.Rules {
		for _, d := range r.Doors() {
			if d.Verb != "" {
				if seen++; !verbs[d.Verb] {
					t.Errorf("%s is ended by coolhold %s, which is no verb", r.Slug, d.Verb)
				}
			}
			if d.Paper != "" {
				if seen++; !slices.Contains(paper.Names(), d.Paper) {
					t.Errorf("%s is ended by column %s, which is none of the sheet", r.Slug, d.Paper)
				}
			}
		}
	}
	if seen < 30 {
		t.Errorf("only %d verbs and columns were looked at", seen)
	}
}
