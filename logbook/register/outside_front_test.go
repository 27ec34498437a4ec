package register_test

import (
	"cmp"
	"fmt"
	stdhtml "html"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/thedatashed/xlsxreader"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/chart"
	"coolhold/logbook/register"
	"coolhold/logbook/register/account"
	"coolhold/logbook/register/xlsx"
)

// The first thing on the page is what is wrong and who must act; the PDF says the same.
func TestTheFrontSaysWhatIsWrong(t *testing.T) {
	rep := register.Buried(t)
	root := readPage(t, pageOf(t, rep))
	now := root.byID("now")
	if first := root.all("h2")[0]; first.within != now {
		t.Errorf("the first heading is %q", first.says())
	}
	wants := []string{
		"Not settled: 1 loss of pressure that is not repaired, 1 failed weld in its joint (1 under the ground), 3 joints without a weld,",
		"Pressure lost", "To be done by the crew: find the leak, repair it and say so.",
		"Dig here: Chamber A, circuit 1, leg A, port 1, invented place, pipe 40 mm SDR 11, no distances from fixed points are recorded.", "Covered: said by Ada Invented", "Before anybody digs: find the services.",
		"Cut out, and weld again with a new fitting: the crew.", "3 joints without a weld", "The foreman (Hedda Invented).", "Last entry: 2026-03-09", "by Ada Invented",
	}
	d := drawn(t, rep)
	for _, want := range wants {
		if !strings.Contains(strings.ToLower(now.says()), strings.ToLower(want)) {
			t.Errorf("%q is not in %s", want, now.says())
		}
		if front, _, _ := strings.Cut(d.flow(), "Each circuit and header"); !strings.Contains(strings.ToLower(front), strings.ToLower(want)) {
			t.Errorf("%q is not in the front of the PDF:\n%s", want, front)
		}
	}
	var to []string
	for _, li := range now.all("li") {
		if strings.Contains(li.says(), "FAIL UNDER THE GROUND") || strings.Contains(li.says(), "without a weld") {
			for _, a := range li.all("a") {
				to = append(to, a.attrs["href"])
			}
		}
	}
	if want := []string{"#weld-KM-0001", "#joint-1B", "#joint-FG", "#joint-E1"}; !slices.Equal(to, want) {
		t.Errorf("it leads to %q, want %q", to, want)
	}
}

// Who reads it beside an open trench must find at once whom to call: with the number and the
// role, or that neither is recorded.
func TestTheFrontSaysWhomToCall(t *testing.T) {
	for want, rep := range map[string]register.Report{
		"Whom to call , hand-over : Hedda Invented, foreman, phone 01 23, Invented Loops.":             register.Called(t),
		"NOT RECORDED, neither who nor a number: ask invented firm. Named as foreman: Hedda Invented.": register.Buried(t),
	} {
		all := readPage(t, pageOf(t, rep)).byID("now").all("li")
		now := all[slices.IndexFunc(all, func(li *node) bool { return strings.Contains(li.says(), "Whom to call") })]
		if urgent := strings.Contains(want, "NOT RECORDED"); all[0] == now == urgent {
			t.Errorf("%s: what cannot wait, and only that, stands before it", want)
		}
		if !strings.Contains(strings.ToLower(now.says()), strings.ToLower(want)) || now.all("a")[0].attrs["href"] != "#handover-call" {
			t.Errorf("it begins %s, want %s", now.says(), want)
		}
		_, person, _ := strings.Cut(want, "hand-over : ") // on paper its page stands between
		if d := drawn(t, rep); !strings.Contains(d.flow(), cmp.Or(person, want)) || !strings.Contains(d.flow(), "Whom to call, hand-over, page ") {
			t.Errorf("the PDF does not say %s, and on which page it stands", want)
		}
	}
}

// Where nothing is open that is said, and never that a weld is good.
func TestTheFrontOfASiteWithNothingOpen(t *testing.T) {
	rep := register.Buried(t)
	rep.Open, rep.Joints = nil, slices.DeleteFunc(rep.Joints, func(p chart.Place) bool { return !p.State.Is(audit.Clear) })
	says := readPage(t, pageOf(t, rep)).byID("now").says()
	if !strings.Contains(says, "Nothing is open: as far as this record goes nobody has anything left to do.") || strings.Contains(says, "Not settled") {
		t.Errorf("it says %s", says)
	}
}

// However often it is said how many joints have no weld, it is one number.
func TestWithoutAWeldIsOneNumber(t *testing.T) {
	for name, rep := range map[string]register.Report{"buried": register.Buried(t), "open": register.Open(t), "sample": register.Sample(t)} {
		_, bare := register.Made(rep.Joints)
		if !strings.Contains(rep.JointLine(), fmt.Sprintf("without a weld %d.", bare)) {
			t.Errorf("%s: %d, and %s", name, bare, rep.JointLine())
		}
		sum := 0
		for _, w := range rep.Work() {
			sum += w.Bare
		}
		pipes := 0
		for _, p := range rep.Pipes() {
			pipes += p.Joints - p.Made
		}
		rows := readPage(t, pageOf(t, rep)).byID("work").all("tr")
		last := rows[len(rows)-1].all("td")
		if got := []string{fmt.Sprint(sum), fmt.Sprint(pipes), last[3].says()}; !slices.Equal(got, []string{fmt.Sprint(bare), fmt.Sprint(bare), fmt.Sprint(bare)}) {
			t.Errorf("%s: %q, want %d each time", name, got, bare)
		}
		in := 0
		for _, c := range rep.Counts {
			in += c.InPlace()
		}
		if made, _ := register.Made(rep.Joints); in != made {
			t.Errorf("%s: %d welds in place by verdict, %d joints with a weld", name, in, made)
		}
	}
}

// circuitOf is the section of a circuit.
func circuitOf(t *testing.T, root *node, name string) *node {
	t.Helper()
	for _, s := range root.byID("circuits").all("section") {
		if s.all("h3")[0].says() == name {
			return s
		}
	}
	t.Fatalf("no %s in %s", name, root.byID("circuits").says())
	return nil
}

// Of each circuit stands what is made, what is open, whether ground may lie on it, and from
// when it may be tested: a time of the clock, or why not.
func TestEachCircuitSaysHowItStands(t *testing.T) {
	rep, over := register.Waiting(t)
	root, d := readPage(t, pageOf(t, rep)), drawn(t, rep)
	until := logbook.UpMinute(over).Format("2006-01-02 15:04 -07:00")
	for name, wants := range map[string][]string{
		"Circuit 2": {"2 joints: with a weld 2, without a weld 0.", "2A: clear", "Open Nothing at its joints.", "Not yet: nothing is left to do at its own joints, but the rest of chamber A hangs together with it, and neither clear nor accepted there: 1A (cooling over, not released), 1B, FG, E1; not before " + until + ", until when the wait of joint 2B runs.",
			"Chamber A: NO; nothing is missing at its own joints; beside it 3 joints."},
		"Circuit 1": {"1B: without a weld", "Not yet: no weld in 1B, E1; neither clear nor accepted: 1A (cooling over, not released); the rest of chamber A hangs together with it and is not ready either: 1 joint there.", "missing:", "Run A/1: NO; missing: E1 without a weld",
			"CONFLICT: port 3 of chamber A is said of 1A (circuit 1, as welded) and of 2A (circuit 2, as planned)."},
	} {
		says := circuitOf(t, root, name).says()
		for _, want := range wants {
			if !strings.Contains(strings.ToLower(says), strings.ToLower(want)) {
				t.Errorf("%s: %q is not in %s", name, want, says)
			}
		}
	}
	for _, want := range []string{"Circuit 2 2 of 2 nothing chamber A: no not yet: the rest of chamber A is not ready; not before " + until[:16], "Circuit 1 1 of 3 query 1, to do 4 chamber A: no; run A/1: no not yet: no weld in 1B, E1; not accepted: 1A", "CONFLICT: port 3 of chamber A is said of 1A (circuit 1, as welded)"} {
		if !strings.Contains(bare(d.flow()), bare(want)) {
			t.Errorf("%q is not in the PDF", want)
		}
	}
	if links := circuitOf(t, root, "Circuit 2").all("a"); len(links) != 2 || links[0].attrs["href"] != "#weld-KM-0002" {
		t.Errorf("it leads to %v", links)
	}
	if says := root.byID("weld-KM-0003").says(); !strings.Contains(says, "No pressure on it before "+until) {
		t.Errorf("a weld whose wait runs says %s", says)
	}
	if says := root.byID("weld-KM-0001").says(); !strings.Contains(says, "CONFLICT: port 3 of chamber A") {
		t.Errorf("a weld at the port of another says %s", says)
	}
	if says := root.byID("handover").says(); !strings.Contains(says, "CONFLICT: port 3 of chamber A") {
		t.Errorf("the hand-over says %s", says)
	}
	if says := root.byID("joint-E1").says(); !strings.Contains(says, "On the pipe of circuit 1, chamber A") {
		t.Errorf("a joint outside says %s", says)
	}
}

// Where pressure was lost that keeps the next test away before all else.
func TestALossKeepsThePressureAway(t *testing.T) {
	root := readPage(t, pageOf(t, register.Buried(t)))
	for name, has := range map[string]bool{"Circuit 2": true, "Circuit 1": false} {
		if says := circuitOf(t, root, name).says(); strings.Contains(says, "Earliest pressure test Not yet: pressure was lost there, and nobody repaired it; ") != has {
			t.Errorf("%s says %s", name, says)
		}
	}
}

// A leg with a make-up piece lies at one port: the piece in which no weld is yet is where the
// other was welded, in what is said of the circuit and on what is handed over.
func TestAMakeUpPieceLiesAtTheLegsPort(t *testing.T) {
	root := readPage(t, pageOf(t, register.Pieced(t)))
	says := circuitOf(t, root, "Circuit 1").says()
	if strings.Contains(says, "several ports") || !strings.Contains(says, "CONFLICT: port 3 of chamber A is said of 2A (circuit 2, as planned) and of 1A.1 (circuit 1, as welded) and of 1A.2 (circuit 1, as 1A.1 was welded).") {
		t.Errorf("circuit 1 says %s", says)
	}
	if says := root.byID("joint-1A.2").says(); !strings.Contains(says, "port 3, where another piece of its leg was welded (in the plan 1)") {
		t.Errorf("1A.2 says %s", says)
	}
	if says := root.byID("handover").says(); !strings.Contains(says, "FG port 3 (1A.1 and 1A.2)") {
		t.Errorf("the hand-over says %s", says)
	}
}

// What lies under the ground and is not settled is told of its circuit, also where the part
// was dug up in another place.
func TestACircuitUnderTheGroundSaysSo(t *testing.T) {
	root := readPage(t, pageOf(t, register.DugElsewhere(t)))
	if says := circuitOf(t, root, "Circuit 1").says(); !strings.Contains(says, "UNDER THE GROUND and not settled: 1A, 1B; chamber A: Covered on 2026-03-09 BEFORE IT WAS SETTLED; missing: 1A fail") || strings.Contains(strings.ToLower(says), "dug up") {
		t.Errorf("circuit 1 says %s", says)
	}
	if says := circuitOf(t, root, "Circuit 2").says(); strings.Contains(says, "UNDER THE GROUND") || !strings.Contains(says, "covered on 2026-03-09, of it only 2A dug up, on 2026-03-09") {
		t.Errorf("circuit 2, which is settled, says %s", says)
	}
}

// What still runs when the register is made is not said to be over.
func TestACoolingTimeThatRunsIsNotOver(t *testing.T) {
	root := readPage(t, pageOf(t, register.Open(t)))
	for id, want := range map[string]string{"a-header-tg": "TG: cooling .", "list": "unfinished, cooling 2026-03-09", "drawing": "cooling", "circuits": "TG (cooling)"} {
		if says := root.byID(id).says(); !strings.Contains(says, want) || strings.Contains(says, "not released") || strings.Contains(says, "cooling over") {
			t.Errorf("%s: %q is not in %s", id, want, says)
		}
	}
}

// Circuits that stand alike are one row of the table in the PDF; none is left out.
func TestCircuitsThatStandAlikeAreOneRow(t *testing.T) {
	all := account.Of(register.Sample(t), nil).Circuits()
	rows := account.Together(all)
	if len(all) != 3 || len(rows) != 3 || rows[0].Name != "Circuit 1" || rows[1].Name != "Header to ground" || rows[2].Name != "In no circuit and on no header: E1 (run E1)" {
		t.Fatalf("%d circuits, %d rows: %+v", len(all), len(rows), rows)
	}
	unlike := account.Of(register.Buried(t), nil).Circuits()
	if rows := account.Together(unlike); len(rows) != len(unlike) {
		t.Errorf("%d circuits that stand unlike are %d rows", len(unlike), len(rows))
	}
	fresh := account.Of(register.Fresh(t), nil).Circuits()
	rows = account.Together(fresh)
	if len(fresh) != 3 || len(rows) != 2 || rows[0].Name != "Circuits 1 to 2" || rows[1].Name != fresh[2].Name {
		t.Errorf("%d circuits that stand alike are %d rows: %+v", len(fresh), len(rows), rows)
	}
}

// What was open as a day was signed is told as that, and what became of it since.
func TestASignedDaySaysWhatWasOpenThen(t *testing.T) {
	says := readPage(t, pageOf(t, register.Signed(t))).byID("signed").says()
	for _, want := range []string{"Open WHEN IT WAS SIGNED:", "KM-0001: disturbed 2 min after fusion, before its cooling time was over: the trench wall slid. Not open any more.", "KM-0002: disturbed 2 min after fusion, before its cooling time was over: the trench wall slid. Still open now."} {
		if !strings.Contains(says, want) {
			t.Errorf("%q is not in %s", want, says)
		}
	}
}

// What is one line for many welds leads to each of them.
func TestAGroupLeadsToEachOfItsWelds(t *testing.T) {
	root := readPage(t, pageOf(t, register.Later(t)))
	n := 0
	for _, li := range root.byID("open").all("li") {
		if !strings.Contains(li.says(), "and so 1 more") {
			continue
		}
		var to []string
		for _, a := range li.all("a") {
			to = append(to, a.attrs["href"])
		}
		if want := []string{"#weld-KM-0001", "#weld-KM-0002"}; !slices.Equal(to, want) {
			t.Errorf("%s leads to %q, want %q", li.says(), to, want)
		}
		n++
	}
	if n == 0 {
		t.Fatalf("nothing is one line for both: %s", root.byID("open").says())
	}
}

// That each cell of a row was filled in does not say that all was known: a reader who sees
// both must not take them for a contradiction, nor meet the names of columns.
func TestTheBlanksOfASheetInWords(t *testing.T) {
	for why, want := range map[string]string{"nothing left blank": "each cell of its row was filled in", "left blank: released_at, ohms": "its row has no answer for: released, resistance"} {
		rep := register.OffPaper(t, why)
		root := readPage(t, pageOf(t, rep))
		if row := named(workbook(t, rep)[xlsx.Findings]); !slices.ContainsFunc(row, func(c map[string]xlsxreader.Cell) bool { return strings.Contains(c["what is found"].Value, want) }) {
			t.Errorf("no finding in the workbook says %q", want)
		}
		for _, id := range []string{"open", "weld-KM-0001"} {
			if says := root.byID(id).says(); !strings.Contains(says, want) || strings.Contains(says, "left blank") {
				t.Errorf("%s says %s", id, says)
			}
		}
	}
	// What a person wrote is not put into other words.
	noted := register.With(t, "left blank: ohms, nothing left blank")
	if says := readPage(t, pageOf(t, noted)).byID("weld-KM-0001").says(); strings.Count(says, "left blank: ohms, nothing left blank") < 2 || strings.Contains(says, "has no answer") {
		t.Errorf("a note reads %s", says)
	}
}

// A phone is held in a glove: each link that stands by itself is 44 dots high and wide, one in a
// sentence is part of it; nothing runs off the screen, no word of a table is broken, what is
// moved sideways says so and nothing else does, and a way back is always in sight and covers no
// end of a line.
func TestThePageUnderAThumb(t *testing.T) {
	const measure = `<script>
const found = [];
addEventListener("load", () => { for (const frame of document.querySelectorAll("iframe")) {
  const w = frame.contentWindow, d = frame.contentDocument;
  const says = [];
  const box = n => n.getBoundingClientRect();
  for (const a of d.querySelectorAll("nav a, .back a, table.lines a, summary")) {
    const r = box(a);
    if (w.innerWidth < 768 && r.width > 0 && (r.width < 44 || r.height < 44)) says.push("small: " + a.textContent);
  }
  for (const a of d.querySelectorAll("p a, li a")) {
    if (!a.closest("nav") && !a.closest(".back") && w.getComputedStyle(a).display !== "inline") says.push("no part of its sentence: " + a.textContent);
  }
  for (const k of d.querySelectorAll(".wide")) {
    const moves = k.scrollWidth > k.clientWidth, hint = k.previousElementSibling;
    const told = hint && hint.matches(".hint") && box(hint).height > 0;
    if (moves && !told) says.push("moves and does not say so: " + k.getAttribute("aria-label") + " " + k.scrollWidth + " in " + k.clientWidth);
    if (!moves && told) says.push("says that it moves: " + k.getAttribute("aria-label") + " " + k.scrollWidth + " in " + k.clientWidth);
  }
  for (const cell of d.querySelectorAll("td, th")) {
    const walk = d.createTreeWalker(cell, NodeFilter.SHOW_TEXT);
    for (let n; n = walk.nextNode();) for (const m of n.textContent.matchAll(/[^\s-]+/g)) {
      const r = d.createRange();
      r.setStart(n, m.index); r.setEnd(n, m.index + m[0].length);
      if (new Set([...r.getClientRects()].map(b => b.top)).size > 1) says.push("broken: " + m[0]);
    }
  }
  const off = d.documentElement.scrollWidth - w.innerWidth;
  if (off > 0) says.push(off + " off");
  w.scrollTo(0, 5000);
  const up = box(d.querySelector(".up"));
  if (up.bottom > w.innerHeight || up.top < 0) says.push("no way back in sight");
  if (up.left > 0 || up.right < d.documentElement.clientWidth) says.push("the way back covers a part of a line");
  found.push("\n" + frame.title + ": " + says.slice(0, 5).join("; "));
  document.documentElement.dataset.found = found.sort().join("");
}});
</script>`
	var frames strings.Builder
	want := ""
	for _, k := range []struct {
		name string
		rep  register.Report
	}{{"buried", register.Buried(t)}, {"pressed", register.Pressed(t)}, {"sample", register.Sample(t)}} {
		page := pageOf(t, k.rep)
		for _, wide := range []int{1280, 360, 700} {
			name := fmt.Sprintf("%s, %d dots wide", k.name, wide)
			want += "\n" + name + ": "
			frames.WriteString(inFrame(name, wide, 700, page))
		}
	}
	if got := foundIn(t, frames.String()+measure); got != want {
		t.Errorf("got %q", got)
	}
}

// inFrame is a page in a frame so wide and high, in dots.
func inFrame(title string, wide, high int, page string) string {
	return fmt.Sprintf(`<iframe title="%s" width="%d" height="%d" style="border:0" srcdoc="%s"></iframe>`, title, wide, high, stdhtml.EscapeString(page))
}

// foundIn is what a script in a page leaves of what it found (data-found).
func foundIn(t *testing.T, body string) string {
	t.Helper()
	program, dir := browser(t), t.TempDir()
	file := filepath.Join(dir, "r.html")
	if err := os.WriteFile(file, []byte(`<!DOCTYPE html><meta charset="utf-8"/><body>`+body+`</body>`), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.CommandContext(t.Context(), program, "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", "--user-data-dir="+filepath.Join(dir, "browser"), "--window-size=1400,900", "--dump-dom", "file://"+file).Output()
	if err != nil {
		t.Fatal(err)
	}
	_, says, _ := strings.Cut(string(out), `data-found="`)
	says, _, _ = strings.Cut(says, `"`)
	return says
}
