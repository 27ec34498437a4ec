//go:build unix

package main

import (
	"regexp"
	"strings"
	"testing"
)

var titleSet = regexp.MustCompile(`\x1b\](?:0|2);([^\a\x1b]*)\a|\x1b\[(2[23]);2t`)

// titles are what the window was called, "22" where its own title was kept and "23"
// where it got that back.
func (x *terminal) titles() []string {
	x.mu.Lock()
	defer x.mu.Unlock()
	var all []string
	for _, m := range titleSet.FindAllStringSubmatch(string(x.said), -1) {
		all = append(all, m[1]+m[2])
	}
	return all
}

// The window is called after the next release while the board has it, and gets its own
// title back whenever a shell has the terminal.
func TestTheTitleIsGivenBack(t *testing.T) {
	t.Parallel()
	clock := holdClock(t)
	x, _ := inShell(t, clock)
	x.burst("\x1a")
	x.waitFor("coolhold is put aside")
	x.waitFor("Stopped")
	x.burst("fg\r")
	x.waitFor("joints open.")
	x.waitGone("Stopped")
	titled := func() bool { all := x.titles(); return strings.Contains(all[len(all)-1], "2B release – Larkrise") }
	if err := x.await(titled, patience); err != nil {
		t.Fatal(err)
	}
	x.press("esc")
	x.waitFor("▸ leave")
	x.press("1")
	shift := regexp.MustCompile(`\d\d:\d\d 2B release – Larkrise cottage \(invented\)`)
	got := func() string { return shift.ReplaceAllString(strings.Join(x.titles(), "|"), "RELEASE") }
	if err := x.await(func() bool { return got() == "22|RELEASE||23|22|RELEASE||23" }, patience); err != nil {
		t.Fatalf("the titles were %q: %v", got(), err)
	}
	bare := openBoard(t, []string{selfEnv + "=1", raceEnv, "TERM=linux", "TMPDIR=" + t.TempDir()}, "demo")
	bare.waitFor("joints open.")
	bare.press("esc")
	bare.waitFor("▸ leave")
	bare.press("1")
	bare.exitCode()
	<-bare.ended
	if got := bare.titles(); len(got) > 0 {
		t.Errorf("a console that has no title was told %q", got)
	}
}
