package register_test

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/logbook/register"
	"coolhold/logbook/register/xlsx"
)

// A told is what somebody reads of a site who has nothing but the page or the paper.
type told struct {
	root *node
	doc  document
}

func tells(t *testing.T, rep register.Report) told {
	t.Helper()
	return told{readPage(t, pageOf(t, rep)), drawn(t, rep)}
}

// asRead is the text of markup as it is read: no blank stands before a stop.
func asRead(n *node) string {
	return strings.NewReplacer(" ,", ",", " .", ".", " :", ":", " ;", ";").Replace(flat(n.says()))
}

// wants looks for texts in a section of the page, and where the paper tells that too, in it.
func (k told) wants(t *testing.T, id string, wants ...string) {
	t.Helper()
	says := asRead(k.root.byID(id))
	for _, want := range wants {
		if !strings.Contains(says, want) {
			t.Errorf("%s: %q is not in\n%s", id, want, says)
		}
	}
}

func (k told) never(t *testing.T, id string, nevers ...string) {
	t.Helper()
	says := asRead(k.root.byID(id))
	for _, never := range nevers {
		if at := strings.Index(says, never); at >= 0 || len(says) < 40 {
			t.Errorf("%s: %q stands in\n%s", id, never, says)
		}
	}
}

// paper looks for texts in the whole PDF.
func (k told) paper(t *testing.T, wants ...string) {
	t.Helper()
	for _, want := range wants {
		if !strings.Contains(k.doc.flow(), want) {
			t.Errorf("the PDF does not say %q", want)
		}
	}
}

// items are those of a list as they are read.
func items(n *node) (out []string) {
	for _, li := range n.all("li") {
		out = append(out, asRead(li))
	}
	return out
}

// itemAt is where an item stands that begins so; -1 for nowhere.
func itemAt(list []string, begins string) int {
	return slices.IndexFunc(list, func(s string) bool { return strings.HasPrefix(s, begins) })
}

// The larger log as both readers have it.
func TestTheLargerSiteMisleadsNobody(t *testing.T) {
	k := tells(t, corrie(t))
	now := items(k.root.byID("now"))
	t.Run("work under the ground", func(t *testing.T) {
		dig := "dig it up first, ground lies over it (said by Bryn Calder, 2026-03-19 08:00 +01:00); then "
		k.wants(t, "open", "What to do, by the crew: "+dig+"look at the indicators.",
			"What to do, by the crew: "+dig+"feel, look, and enter the release: its cooling time is over since 2026-03-17 09:07 +01:00.",
			"Where to dig: chamber Moss, circuit 5, leg B, port 10, pipe 40 mm SDR 11, tape green, lid: 0.3 m below the path, no distances from fixed points are recorded.")
		k.wants(t, "weld-CL-0025", "What to do, by the crew: "+dig+"look at the indicators.")
		k.wants(t, "weld-CL-0016", "What to do, by the crew: "+dig+"cut it out and weld again with a new fitting.", "What to do, by the crew: dig it up and cut it out for its fault first; no answer to this keeps it in its joint.")
		k.wants(t, "weld-CL-0042", "What to do, by the crew: feel, look, and enter the release") // no ground lies there
		k.wants(t, "now", "7 other things to do, see these 7: The crew. Under the ground, and to be dug up first: Moss-3B, Moss-5A, Moss-5B.")
		i := itemAt(now, "UNDER THE GROUND, and something is to be done to it, joint Moss-5B: Dig here: chamber Moss, circuit 5, leg B, port 10,")
		if i < 0 || !strings.Contains(now[i], "To be done there, by the crew: "+dig+"look at the indicators.") {
			t.Errorf("where to dig at Moss-5B: %q", now)
		}
		if i = itemAt(now, "Covered, a fail taken away by a correction, joint Moss-3B: It lies here:"); i < 0 || !strings.Contains(now[i], "To be done there, by the crew: "+dig+"feel,") ||
			!strings.Contains(now[i], "To be decided there, by the foreman (nobody is named): 4 queries.") {
			t.Errorf("what is to be done at Moss-3B: %q", now)
		}
		k.paper(t, "UNDER THE GROUND, and something is to be done to it, joint Moss-5B, page ", dig+"look at the indicators.")
	})
	t.Run("one answer on who must act", func(t *testing.T) {
		k.wants(t, "now", "16 queries on welds that are to be cut out first, see these 16: The crew.", "70 queries to decide, see these 70: The foreman (nobody is named).", "87 queries, ")
		n := 0
		for _, id := range []string{"weld-CL-0016", "weld-CL-0019", "weld-CL-0022", "weld-CL-0037"} {
			n += strings.Count(asRead(k.root.byID(id)), "no answer to this keeps it in its joint")
		}
		if n != 16 {
			t.Errorf("the welds have %d queries that no answer settles, the front says 16", n)
		}
		says := asRead(k.root.byID("open"))
		foreman, crew, both := strings.Cut(says, "queries on welds that are to be cut out first")
		_, foreman, found := strings.Cut(foreman, "70 queries to decide: the foreman")
		if !both || !found {
			t.Fatalf("no such headings in %s", says)
		}
		crew, _, _ = strings.Cut(crew, "other things to do: the crew")
		for _, cut := range []string{"CL-0016", "CL-0019", "CL-0022", "CL-0037"} {
			if strings.Contains(foreman, "weld "+cut) || !strings.Contains(crew, cut) {
				t.Errorf("%s stands with what the foreman decides, or not with what the crew does", cut)
			}
		}
		k.paper(t, "16 queries on welds that are to be cut out first: the crew")
	})
	t.Run("what is open at the joint is open at its weld", func(t *testing.T) {
		k.wants(t, "weld-CL-0017", "Query: Joint Moss-1B was not settled when chamber Moss was covered on 19 Mar 08:00. What to do: the foreman decides: accept by name with a reason, or dig it up.")
		if n := strings.Count(asRead(k.root.byID("weld-CL-0017")), "Nobody has accepted it yet."); n != 3 {
			t.Errorf("%d queries are open on CL-0017", n)
		}
		_, row, _ := strings.Cut(k.doc.flow(), "CL-0017 Moss-1B chamber Moss")
		row, _, _ = strings.Cut(row, "CL-0018")
		if !strings.Contains(flat(row), "open, query: 3") {
			t.Errorf("its row says %s", row)
		}
		_, failed, _ := strings.Cut(asRead(k.root.byID("weld-CL-0037")), "What the rules find")
		if n := strings.Count(failed, "Fail: "); n != 2 {
			t.Errorf("CL-0037 has %d fails: that it stands in its joint is none of its own", n)
		}
	})
	t.Run("who ordered a cut-out", func(t *testing.T) {
		k.wants(t, "cut-outs", "Ordered, and not carried out, joint Loam-4A, weld CL-0037: It stands in its joint. Ordered by Bryn Calder, 2026-03-19 09:00 +01:00: 2 s too short, and nobody knows why.",
			"Replaced by make-up piece: Dew-3A.1 (weld CL-0007) and Dew-3A.2 (without a weld).", "That it was cut out is recorded by Odile Fenn")
		list := items(k.root.byID("cut-outs"))
		for begins, ordered := range map[string]bool{"Cut out, joint Dew-3B, weld CL-0006": false, "Cut out, joint Dew-4B, weld CL-0014": true, "Cut out, joint Moss-TG, weld CL-0027": false} {
			i := itemAt(list, begins)
			if i < 0 || strings.Contains(list[i], "Nobody is recorded as having ordered it.") == ordered || strings.Contains(list[i], "Ordered by Bryn Calder") != ordered {
				t.Errorf("%s: %q", begins, list)
			}
		}
		k.paper(t, "Ordered, and not carried out, joint Loam-4A, weld CL-0037, page", "replaced by make-up piece: Dew-3A.1 (weld CL-0007) and Dew-3A.2 (without a weld)")
	})
	t.Run("a corrected value is marked on its page", func(t *testing.T) {
		k.wants(t, "weld-CL-0016", "by Ilka Morrow (corrected: was Wren Ashdown) with control unit CU-500 (corrected: was CU-412).")
		k.wants(t, "weld-CL-0023", "port 9 (corrected: was 5)")
		k.wants(t, "weld-CL-0010", "Joint Dew-5B (corrected: was Dew-5A), chamber Dew")
		k.never(t, "weld-CL-0017", "(corrected: ")
		k.wants(t, "corrections", "A corrected value is marked where its own weld is told and among its values, with what stood there before; elsewhere it stands as it is now.")
		k.never(t, "corrections", "wherever it stands")
		k.paper(t, "by Ilka Morrow (corrected: was Wren Ashdown) with control unit CU-500 (corrected: was CU-412).")
	})
	t.Run("no hold of what was not there any more", func(t *testing.T) {
		k.never(t, "weld-CL-0027", "To be held", "to be held until", "no reason given")
		k.wants(t, "weld-CL-0027", "Cut out: the unit said earth fault (when: not stated); replaced by CL-0028.", "Fusion stopped at 33 s (nobody gave a reason when it stopped).")
		k.wants(t, "weld-CL-0028", "To be held, not moved, until ")
		_, row, _ := strings.Cut(k.doc.flow(), "CL-0014 Dew-4B chamber Dew")
		row, _, _ = strings.Cut(row, "CL-0015 ")
		if !strings.Contains(flat(row), "its end is not recorded") || strings.Contains(row, "held until") {
			t.Errorf("its row says %s", row)
		}
	})
	t.Run("no port outside the chambers", func(t *testing.T) {
		k.wants(t, "weld-CL-0038", "port 7 was said of Loam-4B, for which it was entered")
		k.never(t, "weld-CL-0038", "in the plan none")
		k.paper(t, "port 7 was said of Loam-4B, for which it was entered")
	})
	t.Run("a shift that went on", func(t *testing.T) {
		k.wants(t, "people", "valid until 2028-03-31, as stated for 2026-03-18 (its shift went on on 2026-03-19).", "CU-412: Calibrated 2025-11-03; corrects for temperature by itself: no; as stated for 2026-03-16, 2026-03-18 (its shift went on on 2026-03-19).")
		k.wants(t, "missing", "on other days: 2026-03-01 for 2026-03-16; 2028-03-31 for 2026-03-18 (its shift went on on 2026-03-19).")
		if says := asRead(k.root); regexp.MustCompile(`stated for [^.;]*2026-03-18, 2026-03-19`).MatchString(says) {
			t.Error("a day without a shift is named as one of a shift")
		}
	})
	t.Run("one rounding of a cooling time", func(t *testing.T) {
		k.wants(t, "weld-CL-0042", "To be held, not moved, until 2026-03-19 11:03 +01:00", "its cooling time is over since 2026-03-19 11:03 +01:00", "2026-03-19 11:02:41 +01:00, on the pipe 11:03")
		k.never(t, "open", "11:02")
		k.paper(t, "held until 11:03", "its cooling time is over since 2026-03-19 11:03 +01:00")
	})
	t.Run("what cannot wait comes first", func(t *testing.T) {
		order := []string{"Pressure lost, chamber Loam:", "3 failed welds under the ground, joint Moss-1A, joint Moss-2B, joint Moss-4A:", "Whom to call,", "Cooling or fusing now:", "Pressure test now,", "FAIL UNDER THE GROUND, joint Moss-1A", "4 failed welds,", "5 joints without a weld,", "70 queries", "2 days not signed,"}
		last := -1
		for _, begins := range order {
			i := itemAt(now, begins)
			if i <= last {
				t.Errorf("%q stands at %d, what comes before it at %d", begins, i, last)
			}
			last = i
		}
		if last != len(now)-1 {
			t.Errorf("behind a matter of form comes %q", now[len(now)-1])
		}
		lost := k.root.byID("now").all("li")[0].all("a")
		if len(lost) != 1 || lost[0].attrs["href"] != "#drawing-of-loam" || asRead(k.root.byID("drawing-of-loam")) != "Chamber Loam" {
			t.Errorf("a loss of pressure leads to %v", lost)
		}
		k.wants(t, "now", "Cooling or fusing now: Nothing is recorded as cooling or fusing at 2026-03-19 11:30 +01:00. End of fusion not recorded, so that no hold can be told: T.1. Cooling time over, and not released: Dew-6A, Moss-3B, Moss-5A.",
			"Pressure test now, each circuit: by the record none of the 23 circuits and headers may be tested.")
		at := regexp.MustCompile(`Pressure lost, chamber Loam, page (\d+): `).FindStringSubmatch(k.doc.flow())
		if at == nil || !slices.ContainsFunc(k.doc.pages(), func(p string) bool {
			return strings.Contains(flat(p), "page "+at[1]+" of ") && strings.Contains(p, "Chamber Loam")
		}) {
			t.Errorf("on paper it leads to %q", at)
		}
	})
	t.Run("which degree counts", func(t *testing.T) {
		k.wants(t, "weld-CL-0016", "row -10…4 °C; 4.5 °C on site (corrected: was 8.5), which counts as 4 °C;")
		k.wants(t, "weld-CL-0004", "9 °C on site; ran 40 s")
	})
	t.Run("batches", func(t *testing.T) {
		list := items(k.root.byID("batches"))
		for _, want := range []string{
			"coupler 40, SR-41-3: 16 welds (CL-0016, CL-0017, CL-0019 to CL-0025, CL-0031 to CL-0037) on 2026-03-17, 2026-03-18; failed: CL-0016, CL-0019, CL-0022, CL-0037; bag not read against the table: CL-0016, CL-0017, CL-0019 to CL-0025, CL-0031 to CL-0037; named until it was corrected: CL-0018.",
			"32 mm, coil 7713: 1 weld (CL-0008) on 2026-03-16; 180 m of pipe; of its pipes: circuit 4 of chamber Dew, 180 m: all of it is counted here, but CL-0009, CL-0014, cut out or given up, named coil 7712.", "all pipes of the plan: 3001.5 m of pipe.", "40 mm, coil 88-3: no weld that was fused; named until it was corrected: CL-0019.",
		} {
			if !slices.Contains(list, want) {
				t.Errorf("%q is not among %q", want, list)
			}
		}
		if n := len(corrie(t).Batches()); len(list) != n {
			t.Errorf("%d lines for %d batches", len(list), n)
		}
		k.wants(t, "short", "From paper: CL-0016 to CL-0028: typed in by Odile Fenn, 2026-03-17 17:00 +01:00; CL-0031 to CL-0040: typed in by Wren Ashdown, 2026-03-18 13:00 +01:00.")
		k.paper(t, "coupler 40, SR-41-9: 3 welds (CL-0018, CL-0038, CL-0041) on", "From paper: CL-0016 to CL-0028: typed in by Odile Fenn")
		if contents, _, _ := strings.Cut(k.doc.flow(), "What is open, and who must act Not settled"); !regexp.MustCompile(`Batches \d+ ·`).MatchString(contents) {
			t.Errorf("no batches in the contents: %s", contents)
		}
	})
	t.Run("who welded what", func(t *testing.T) {
		k.wants(t, "people", "Welded on 2026-03-16 with CU-412: CL-0015; 2026-03-16 with CU-500: CL-0002; 2026-03-17 with CU-500: CL-0016, CL-0019;")
		_, values, _ := strings.Cut(k.doc.flow(), "Values of each weld Times are local")
		row := regexp.MustCompile(`CL-0016 Moss-1A told whole, page \d+ coupler 40 Ilka Morrow \(corrected: was Wren Ashdown\) CU-500 \(corrected: was CU-412\)`)
		if !row.MatchString(flat(values)) {
			t.Errorf("the row of a weld that is told whole does not say who made it:\n%.3000s", flat(values))
		}
	})
	t.Run("the list that says the same", func(t *testing.T) {
		for _, caption := range k.root.byID("drawing").all("figcaption") {
			if says := asRead(caption); !strings.HasSuffix(says, "All joints and welds says the same in words, joint by joint.") || caption.all("a")[0].attrs["href"] != "#list" {
				t.Errorf("%q", says)
			}
		}
	})
}

// A weld that cools is named with its end, one that nobody released under the ground is dug
// for, and the distances that were measured stand beside the lid.
func TestWhatCoolsAndWhereToDig(t *testing.T) {
	k := tells(t, register.DugFor(t))
	k.wants(t, "now", "Cooling or fusing now: Cooling, not to be moved: E1 until 2026-03-09 ", "Cooling time over, and not released: 1B.",
		"UNDER THE GROUND, and something is to be done to it, joint 1B: Dig here: chamber A, circuit 1, leg B, port 2,", "distances: 4.35 m from house corner to lid, 7.1 m from gate post to lid")
	k.never(t, "now", "Nothing is recorded as cooling", "no distances from fixed points")
	k.paper(t, "Cooling, not to be moved: E1 until")
	k = tells(t, register.EndUnknown(t))
	k.wants(t, "now", "Nothing is recorded as cooling or fusing at ", "End of fusion not recorded, so that no hold can be told: 2A.")
	k.wants(t, "open", "What to do, by the crew: say how it ended.") // nobody digs for that
	k.never(t, "open", "then say how it ended")
}

// Who let a joint go within the minute to which its cooling time is rounded up did not let it go
// before: both stand to the second.
func TestLetGoWithinTheMinute(t *testing.T) {
	rep := register.LetGoAtOnce(t)
	until, held := rep.Rows[0].Weld.HoldUntil()
	let, is := rep.Rows[0].Cell("released_at").(time.Time)
	if !held || !is || let.Before(until) || !let.Before(until.Truncate(time.Minute).Add(time.Minute)) {
		t.Fatalf("held until %s, let go %s", until, let)
	}
	tells(t, rep).wants(t, "weld-"+rep.Rows[0].Weld.ID, "To be held, not moved, until "+until.Format("2006-01-02 15:04:05 -07:00")+"; released "+let.Format("2006-01-02 15:04:05 -07:00"))
}

// What many joints have in common says which of them lie under the ground.
func TestManyUnderTheGround(t *testing.T) {
	tells(t, register.FourUnread(t)).wants(t, "open", "look at the indicators; under the ground, and to be dug up first: 1A, 1B, 2A, 2B (said by Ada Invented,")
}

// Which circuits may be tested is one line, and says no more than the record and what is printed.
func TestOneLineOnPressure(t *testing.T) {
	k := tells(t, register.AllMade(t, 12*time.Hour))
	k.wants(t, "now", "Pressure test now, each circuit: by the record, as far as waits are printed, ", "may be tested: circuit 1, circuit 2, header from ground.")
	k.paper(t, "may be tested: circuit 1, circuit 2, header from ground.", "The instructions of the fittings and the method of the test go before this.")
	k = tells(t, register.AllMadeAndLost(t)) // no joint of it is unsettled
	k.wants(t, "now", "by the record none of the 3 circuits and headers may be tested.")
	k = tells(t, register.AllMade(t, time.Minute))
	k.wants(t, "now", "by the record none of the 3 circuits and headers may be tested. Not before its printed wait is over: circuit 1 from 2026-03-09 ")
	k = tells(t, register.Buried(t))
	k.wants(t, "now", "by the record none of the 3 circuits and headers may be tested.")
	loss := k.root.byID("now").all("li")[0].all("a")
	if loss[0].attrs["href"] != "#a-circuit-2" || len(k.root.byID("a-circuit-2").all("h3")) != 1 {
		t.Errorf("a loss on a circuit leads to %q", loss[0].attrs["href"])
	}
}

// On a phone whom to call is in sight at once, a long code breaks within the screen, and links
// beside each other are high enough for a thumb.
func TestTheFirstScreenOfAPhone(t *testing.T) {
	const measure = `<script>
document.querySelector("iframe").addEventListener("load", e => {
  const w = e.target.contentWindow, d = e.target.contentDocument, says = [];
  const call = [...d.querySelectorAll("#now li")].find(li => li.textContent.includes("Whom to call"));
  if (call.querySelector("a").getBoundingClientRect().bottom > w.innerHeight) says.push("whom to call begins at " + call.getBoundingClientRect().top);
  d.querySelectorAll("details").forEach(k => k.open = true);
  for (const dd of d.querySelectorAll("dd")) if (dd.scrollWidth > dd.clientWidth) says.push("runs off: " + dd.textContent);
  for (const dd of d.querySelectorAll("#weld-CL-0003 dd")) {
    const r = d.createRange();
    r.selectNodeContents(dd);
    if (r.getBoundingClientRect().right > w.innerWidth) says.push("runs off the screen: " + dd.textContent);
  }
  const many = [...d.querySelectorAll("#circuits .links a")];
  if (many.length < 20) says.push("only " + many.length + " joints");
  for (const a of many) if (a.getClientRects()[0].height < 40) says.push("low: " + a.textContent);
  document.documentElement.dataset.found = "done " + says.slice(0, 5).join("; ");
});
</script>`
	if says := foundIn(t, inFrame("a phone", 360, 640, pageOf(t, corrie(t)))+measure); says != "done " {
		t.Errorf("got %q", says)
	}
}

// A query on a weld that is to be cut out goes with it: in the workbook too it is the crew's, and
// its counts are those of the documents.
func TestOneAnswerOnWhoMustActInTheWorkbook(t *testing.T) {
	rep := corrie(t)
	book := workbook(t, rep)
	failing, n, sum := map[string]bool{}, 0, map[string]int{}
	list := named(book[xlsx.Findings])
	for _, row := range list {
		failing[row["weld"].Value] = failing[row["weld"].Value] || row["kind"].Value == "fail" && row["still open"].Value == "yes"
	}
	for _, row := range list {
		if row["still open"].Value != "yes" {
			continue
		}
		who := row["who must act"].Value
		if sum[who]++; row["kind"].Value == "query" && row["weld"].Value != "" && failing[row["weld"].Value] {
			if n++; who != "the crew" {
				t.Errorf("%s, to be cut out: %q is for %q", row["weld"].Value, row["what is found"].Value, who)
			}
		}
	}
	said, inAll := fmt.Sprint(book[xlsx.Summary]), 0
	for who, k := range sum {
		inAll += k
		if !strings.Contains(said, who) {
			t.Errorf("the summary does not name %s", who)
		}
	}
	if n < 10 || inAll != len(rep.Open) {
		t.Errorf("%d queries on welds to be cut out, %v open", n, sum)
	}
}

// The hand-over within the register has no names of columns either.
func TestTheHandoverTellsASheetInWords(t *testing.T) {
	says := readPage(t, pageOf(t, register.OffPaper(t, "left blank: released_at, ohms"))).byID("handover").says()
	if strings.Contains(says, "left blank") || !strings.Contains(says, "was transcribed from paper by Ada Invented (its row has no answer for: released, resistance") {
		t.Errorf("it says %s", says)
	}
}
