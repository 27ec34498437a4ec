package main

import (
	"bytes"
	"encoding/json"
	"path/filepath"
	"strings"
	"testing"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/audit"
)

// Yesterday of the worked example shows what an audit is for: many kinds of
// finding, open and settled, and welds without any beside them.
func TestYesterdayOfTheExample(t *testing.T) {
	t.Parallel()
	clock := holdClock(t)
	log := filepath.Join(t.TempDir(), "example.coolhold")
	if got := verb(t, clock.env(), "demo", "--keep", log, "--no-screen"); got.code != exitDone {
		t.Fatal(got)
	}
	got := verb(t, clock.env(), "audit", "--log", log, "--day", "yesterday", "--json")
	var findings []struct {
		Rule, Severity, Weld string
		Settled              bool
		Accepted             *logbook.Review
	}
	if err := json.Unmarshal([]byte(got.out), &findings); err != nil || got.code != exitFindings {
		t.Fatalf("exit code %d, %v", got.code, err)
	}
	rules, open, accepted, touched := map[string]bool{}, 0, 0, map[string]bool{}
	for _, f := range findings {
		rules[f.Rule], touched[f.Weld] = true, true
		if !f.Settled && f.Severity != "note" {
			open++
		}
		if f.Accepted != nil {
			accepted++
		}
	}
	if len(rules) < 10 || open == 0 || open == len(findings) || accepted < 2 {
		t.Errorf("%d rules speak, %d of %d findings open, %d accepted", len(rules), open, len(findings), accepted)
	}
	plain := verb(t, clock.env(), "audit", "--log", log, "--day", "2026-03-08")
	for _, clean := range []string{"XM-0001", "XM-0002", "XM-0004"} {
		if touched[clean] || !strings.Contains(plain.out, "clear  "+clean+" in ") {
			t.Errorf("%s is not clean:\n%s", clean, plain.out)
		}
	}
}

// No text of a log acts on the terminal that it is printed on, whatever the
// form.
func TestAuditPrintsNothingThatActs(t *testing.T) {
	acts := "a\x1b[31mb\u009bc\u202ed\ne"
	findings := []audit.Finding{{Says: acts, Do: acts, Accepted: &audit.Acceptance{By: acts}}}
	var text, doc bytes.Buffer
	printOpen(&text, audit.Groups(findings))
	if err := printJSON(&doc, findings); err != nil {
		t.Fatal(err)
	}
	for _, out := range []string{strings.TrimSuffix(text.String(), "\n"), strings.ReplaceAll(doc.String(), "\n", "")} {
		if strings.ContainsAny(out, "\x1b\u009b\u202e\n") {
			t.Errorf("printed as %q", out)
		}
	}
	var says []struct{ Says string }
	if err := json.Unmarshal(doc.Bytes(), &says); err != nil || says[0].Says != acts {
		t.Errorf("read back as %q, %v", says, err)
	}
}

func TestDays(t *testing.T) {
	now := fusion.Stamp{Wall: holdClock(t).at.Wall, Offset: 3600}.Local() // 9 March 2026
	tests := []struct {
		day, since string
		want       days
		code       int
	}{
		{"", "", days{}, exitDone},
		{"today", "", days{"2026-03-09", "2026-03-09"}, exitDone},
		{"yesterday", "", days{"2026-03-08", "2026-03-08"}, exitDone},
		{"2026-02-28", "", days{"2026-02-28", "2026-02-28"}, exitDone},
		{"", "yesterday", days{"2026-03-08", "9999-12-31"}, exitDone},
		{"2026-02-29", "", days{}, exitUsage},
		{"monday", "", days{}, exitUsage},
		{"", "9.3.2026", days{}, exitUsage},
		{"today", "today", days{}, exitUsage},
	}
	for _, tt := range tests {
		got, err := parseDays(tt.day, tt.since, now)
		var sink strings.Builder
		if code := report(&sink, err); code != tt.code || err == nil && got != tt.want {
			t.Errorf("--day %q --since %q: %v, exit code %d", tt.day, tt.since, got, code)
		}
	}
}
