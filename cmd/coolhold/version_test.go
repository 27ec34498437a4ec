package main

import (
	"encoding/json"
	"runtime/debug"
	"strings"
	"testing"
)

func built(main string, settings ...string) *debug.BuildInfo {
	info := &debug.BuildInfo{Main: debug.Module{Version: main}}
	for i := 0; i < len(settings); i += 2 {
		info.Settings = append(info.Settings, debug.BuildSetting{Key: settings[i], Value: settings[i+1]})
	}
	return info
}

func TestVersionOfABuild(t *testing.T) {
	const rev = "0123456789abcdef0123456789abcdef01234567"
	for _, c := range []struct {
		release string
		info    *debug.BuildInfo
		want    string
	}{
		{"v1.2.0", built("v1.2.0", "vcs.revision", rev, "vcs.modified", "false"), "v1.2.0, revision " + rev},
		{"v1.2.0", built("v1.2.0+dirty", "vcs.revision", rev, "vcs.modified", "true"), "v1.2.0, revision " + rev + ", changed since"},
		{"", built("v0.0.0-20261127080000-0123456789ab", "vcs.revision", rev), "revision " + rev},
		{"", built("v1.2.0", "vcs.revision", rev), "v1.2.0, revision " + rev},
		{"", built("(devel)", "vcs.revision", rev), "revision " + rev},
		{"", built("(devel)"), "(devel)"},
		{"", built("v1.2.0"), "v1.2.0"}, // go install
		{"v1.2.0", nil, "v1.2.0"},
		{"", nil, "not known"},
	} {
		if got := versionOf(c.release, c.info); got != c.want {
			t.Errorf("%q of %+v: %q, want %q", c.release, c.info, got, c.want)
		}
	}
}

// The version stands in whatever is handed out.
func TestTheVersionStandsInWhatIsWritten(t *testing.T) {
	_, log, _ := atDesk(t)
	for _, args := range [][]string{{"--version"}, {"register", "--version"}, {"people", "alone", "--version"}} {
		if got := tryRun(args...); got.out != program()+"\n" {
			t.Errorf("%v: %q, want %q", args, got.out, program())
		}
	}
	for _, verb := range []string{"register", "handover"} {
		var doc struct {
			Program string `json:"program"`
		}
		got := tryRun(verb, "--format", "json", "--log", log)
		if err := json.Unmarshal([]byte(got.out), &doc); err != nil || doc.Program != program() {
			t.Errorf("%s: program %q, %v", verb, doc.Program, err)
		}
	}
	if got := tryRun("handover", "--format", "html", "--log", log); strings.Count(got.out, program()) != 2 { // for a reader and for a machine
		t.Errorf("the HTML does not name %q twice", program())
	}
	for _, verb := range []string{"register", "handover"} {
		pdf := tryRun(verb, "--format", "pdf", "--log", log).out
		if !strings.Contains(pdf, utf16be(program())) {
			t.Errorf("the PDF of %s does not name what wrote it", verb)
		}
	}
}

// utf16be is a text as a PDF has it in what it says of itself.
func utf16be(s string) string {
	var b strings.Builder
	for _, r := range s {
		b.WriteByte(byte(r >> 8))
		if strings.ContainsRune("()\\", r) {
			b.WriteByte('\\')
		}
		b.WriteByte(byte(r))
	}
	return b.String()
}
