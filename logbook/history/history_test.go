package history

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
	"coolhold/logbook/plan"
)

// An invented site of two chambers with a circuit 1 each; E1 lies on the pipe
// of the first.
const planText = `site = "Meadow"
client = "invented client"
firm = "invented firm"
address = "invented address"
[[chamber]]
name = "A"
ports = [{no = 1, row = "low", bar = "from ground"}, {no = 2, row = "low", bar = "to ground"}]
[[chamber.circuit]]
no = 1
od_mm = 40
sdr = 11
length_m = 200
ports = [1, 2]
fitting = "coupler 40"
[[chamber]]
name = "B"
ports = [{no = 1, row = "low", bar = "from ground"}, {no = 2, row = "low", bar = "to ground"}]
[[chamber.circuit]]
no = 1
od_mm = 40
sdr = 11
length_m = 200
ports = [1, 2]
fitting = "coupler 40"
[[joint]]
label = "E1"
fitting = "coupler 40"
where = "bend in the trench"
pipe = "A-1A"
`

const site = "meadow"

// A team says things of the site, a minute apart.
type team struct{ *crew.Crew }

func onSite(t *testing.T, tag string) *team {
	c := &team{crew.Tagged(t, tag)}
	c.Opens(planText, crew.TableText)
	return c
}

func (c *team) do(act acts.Act) {
	c.T.Helper()
	c.Do(act)
	c.Wait(time.Minute)
}

// weld is a weld in a joint with a batch of its fitting.
func (c *team) weld(joint, batch string) string {
	c.T.Helper()
	c.do(acts.EnterLater(c.H, acts.LateWeld{
		Joint: joint, Operator: crew.Ada, Started: c.H.At.Local(), Outcome: logbook.NotSeen, Why: "van", NoAmbient: true,
		Answers: []logbook.Answer{{Item: logbook.ItemBatch, V: batch}, {Item: logbook.ItemPipeBatch, V: "coil 7"}},
	}))
	return c.Newest().Weld
}

func (c *team) happens(joint, chamber string, circuit int, text string) {
	c.T.Helper()
	c.do(acts.Happen(c.H, joint, logbook.Happened{What: logbook.OtherEvent, On: "2026-03-09", Chamber: chamber, Circuit: circuit, Text: text}))
}

// tells checks which texts a history tells, and that it tells no other of all.
func (c *team) tells(q Query, all []string, want ...string) {
	c.T.Helper()
	told, once := "", map[uint64]bool{}
	for _, l := range Of(c.Book, site, q) {
		told += l.What + "\n"
		if once[l.Seq] {
			c.T.Errorf("%s tells %q twice", q, l.What)
		}
		once[l.Seq] = true
	}
	for _, text := range all {
		if got := strings.Contains(told, text); got != slices.Contains(want, text) {
			c.T.Errorf("%s tells %q: %v in\n%s", q, text, got, told)
		}
	}
}

// What happened to a part concerns what lies in it, and nothing else.
func TestEvents(t *testing.T) {
	c := onSite(t, "KM")
	all := []string{"site-wide", "chamber A only", "circuit A/1 only", "circuit B/1 only", "joint A-1B only", "joint E1 only"}
	c.happens("", "", 0, all[0])
	c.happens("", "A", 0, all[1])
	c.happens("", "A", 1, all[2])
	c.happens("", "B", 1, all[3])
	c.happens("A-1B", "", 0, all[4])
	c.happens("E1", "", 0, all[5])
	c.tells(Query{Circuit: 1, Chamber: "a"}, all, all[0], all[1], all[2], all[4], all[5])
	c.tells(Query{Circuit: 1, Chamber: "B"}, all, all[0], all[3])
	c.tells(Query{Joint: "a-1a"}, all, all[0], all[1], all[2])
	c.tells(Query{Joint: "E1"}, all, all[0], all[1], all[2], all[5])
	id := c.weld("A-1B", "W-1")
	c.tells(Query{Weld: strings.ToLower(id)}, all, all[0], all[1], all[2], all[4])
	c.tells(Query{Batch: "w-1"}, all, all[0], all[1], all[2], all[4])
}

// A tee is on the circuit of each pipe that it joins, whichever stands first.
func TestATeeOnACircuitsPipe(t *testing.T) {
	c := onSite(t, "KM")
	c.do(acts.AddJoint(c.H, plan.Joint{Label: "T1", Pipe: "lawn", Ends: []plan.End{{Pipe: "lawn"}, {Pipe: "B/1"}}}, "needed"))
	all := []string{"circuit A/1 only", "circuit B/1 only", "joint T1 only"}
	c.happens("", "A", 1, all[0])
	c.happens("", "B", 1, all[1])
	c.happens("T1", "", 0, all[2])
	c.tells(Query{Joint: "T1"}, all, all[1], all[2])
	c.tells(Query{Circuit: 1, Chamber: "B"}, all, all[1], all[2])
	c.tells(Query{Circuit: 1, Chamber: "A"}, all, all[0])
}

func TestWhatIsSaidOfTheSite(t *testing.T) {
	c := onSite(t, "KM")
	id := c.weld("A-1A", "W-1")
	other := c.weld("B-1A", "WK-2")
	all := []string{"chamber A covered", "chamber B covered", "day 2026-03-09 signed", "day 2026-03-10 signed", "photo of one", "photo of other", "of joint", "certificate of W-1"}
	c.do(crew.Raw(c.H, "", "", logbook.Covered{Section: "chamber A"}))
	c.do(crew.Raw(c.H, "", "", logbook.Covered{Section: "chamber B"}))
	for _, day := range []string{"2026-03-09", "2026-03-10"} {
		c.do(crew.Raw(c.H, "", "", logbook.DaySigned{Day: day}))
	}
	c.do(acts.Enclose(c.H, id, "", logbook.Enclosed{File: "1.jpg", Hash: "1", What: "photo of one"}))
	c.do(acts.Enclose(c.H, other, "", logbook.Enclosed{File: "2.jpg", Hash: "2", What: "photo of other"}))
	c.do(acts.Enclose(c.H, "", "A-1A", logbook.Enclosed{File: "3.jpg", Hash: "3", What: "of joint"}))
	c.do(acts.Enclose(c.H, "", "", logbook.Enclosed{File: "4.pdf", Hash: "4", What: "certificate of W-1"}))
	c.tells(Query{Circuit: 1, Chamber: "A"}, all, all[0], all[2], all[4], all[6])
	c.tells(Query{Weld: id}, all, all[0], all[2], all[4], all[6])
	c.tells(Query{Batch: "w-1"}, all, all[0], all[2], all[4], all[6], all[7])
	c.tells(Query{Joint: "B-1B"}, all, all[1])
}

// A photo of a part, a section or a test is told of the joints in it, and of no others.
func TestPhotosOfMoreThanAJoint(t *testing.T) {
	c := onSite(t, "KM")
	test := c.Begins(crew.Pressing(logbook.SectionID{Chamber: "B", Circuit: 1}))
	all := []string{"photo of the chamber", "photo of the circuit", "photo of the gauge"}
	c.do(acts.Enclose(c.H, "", "", logbook.Enclosed{File: "1.jpg", Hash: "1", What: all[0], Part: "chamber A"}))
	c.do(acts.Enclose(c.H, "", "", logbook.Enclosed{File: "2.jpg", Hash: "2", What: all[1], Section: &logbook.SectionID{Chamber: "A", Circuit: 1}}))
	c.do(acts.Enclose(c.H, "", "", logbook.Enclosed{File: "3.jpg", Hash: "3", What: all[2], Test: test}))
	c.tells(Query{Joint: "A-1A"}, all, all[0], all[1])
	c.tells(Query{Circuit: 1, Chamber: "B"}, all, all[2])
}

// A batch is found wherever it was ever recorded.
func TestBatch(t *testing.T) {
	c := onSite(t, "KM")
	first, second, third := c.weld("A-1A", "W-1"), c.weld("A-1B", "WK-2"), c.weld("B-1A", "W-3")
	c.do(acts.Correct(c.H, second, logbook.ItemBatch, "W-1b", "read off the bag again"))
	c.do(acts.Correct(c.H, third, "operator", "WK-2", "an odd name"))
	for batch, want := range map[string][]string{
		"w-1": {first}, " WK-2 ": {second}, "W-1B": {second}, "COIL  7": {first, second, third}, "W-9": nil, "W": nil,
	} {
		var got []string
		for _, l := range Of(c.Book, site, Query{Batch: batch}) {
			if l.Weld != "" && !slices.Contains(got, l.Weld) {
				got = append(got, l.Weld)
			}
		}
		if !slices.Equal(got, want) {
			t.Errorf("%q: %v, want %v", batch, got, want)
		}
	}
	bag := logbook.Weld{Bag: &logbook.BagRead{Batch: "W-7"}}
	if !HasBatch(bag, "w-7") || HasBatch(logbook.Weld{}, "") || HasBatch(bag, "W-8") {
		t.Error("a batch on a bag that was unlike the table")
	}
}

// The words before a batch's number may be left out, on either side.
func TestBatchWithoutItsWords(t *testing.T) {
	for _, c := range []struct {
		stored, asked string
		is            bool
	}{
		{"coil 5591", "5591", true}, {"Coil 5591", "coil  5591", true}, {"5591", "coil 5591", true}, {"pipe coil 5591", "5591", true},
		{"coil 5591", "591", false}, {"coil 3", "stub 3", false}, {"7", "W-4032 7", false}, {"coil", "coil", true}, {"coil 5591", "coil", false},
	} {
		w := logbook.Weld{Bag: &logbook.BagRead{Batch: c.stored}}
		if got := HasBatch(w, c.asked); got != c.is {
			t.Errorf("%q asked for as %q: %v", c.stored, c.asked, got)
		}
	}
}

// A decision on a finding is told by its facts, not by its key; what has none
// keeps its stored line.
func TestSaid(t *testing.T) {
	j := logbook.Judged{Key: "run-unlike-set:KM-0001", Digest: "d", Facts: json.RawMessage(`{"ran_s":39,"set_s":40}`)}
	b := logbook.Reviewed{Judged: j, Accepted: true, Why: "seen"}
	no, old := b, b
	no.Accepted, old.Digest = false, ""
	for _, c := range []struct {
		body logbook.Body
		want string
	}{
		{b, "accepted: KM-0001 ran 39 s, its unit was set to 40 s: seen"},
		{no, "not accepted: KM-0001 ran 39 s, its unit was set to 40 s: seen"},
		{old, old.Line()}, {logbook.Note{Text: "n"}, "note: n"},
	} {
		e, err := logbook.Draft{ID: "r", By: "Bo Invented", Weld: "KM-0001", Body: c.body}.Entry(7, 0)
		if err != nil {
			t.Fatal(err)
		}
		w := logbook.Weld{ID: "KM-0001"}.After(&e)
		if got := Said(logbook.TraceOf(&e), w.Reviews); got != c.want {
			t.Errorf("told %q, want %q", got, c.want)
		}
		if got := Said(logbook.Trace{Seq: 8, Kind: b.Kind(), Line: "kept"}, w.Reviews); got != "kept" {
			t.Errorf("another decision is told as %q", got)
		}
	}
}

// A weld that was logged at the wrong joint belongs to both, and every entry
// is told once, in order, with who said it.
func TestMovedWeld(t *testing.T) {
	c := onSite(t, "KM")
	id := c.weld("A-1A", "W-1")
	c.do(acts.MoveWeld(c.H, id, "B-1A", "the label was misread", false))
	for _, q := range []Query{{Joint: "A-1A"}, {Joint: "B-1A"}, {Weld: id}} {
		lines := Of(c.Book, site, q)
		told := 0
		for i, l := range lines {
			if i > 0 && l.Seq <= lines[i-1].Seq {
				t.Errorf("%s: entry %d after %d", q, l.Seq, lines[i-1].Seq)
			}
			if l.Kind == "correction" {
				told++
			}
			if l.By != crew.Ada || l.At == "" || l.What == "" {
				t.Errorf("%+v", l)
			}
		}
		if told != 1 {
			t.Errorf("%s tells the correction %d times", q, told)
		}
	}
}

// Logs that were merged tell one history, in the order of the clock.
func TestMergedLogs(t *testing.T) {
	first, second := onSite(t, "KM"), onSite(t, "XT")
	a := first.weld("A-1A", "W-1")
	second.H.At = first.H.At
	b := second.weld("A-1B", "W-1")
	first.H.At = second.H.At
	first.happens("", "A", 1, "gauge fell")
	entries, err := logbook.Merge([]logbook.LogCopy{{Name: "a", ID: "1", Tag: "KM", Entries: first.Entries}, {Name: "b", ID: "2", Tag: "XT", Entries: second.Entries}})
	if err != nil {
		t.Fatal(err)
	}
	var order []string
	lines := Of(logbook.Fold("KM", entries), site, Query{Batch: "w-1"})
	for _, l := range lines {
		if n := len(order); n == 0 || order[n-1] != l.Weld {
			order = append(order, l.Weld)
		}
	}
	if !slices.Equal(order, []string{a, b, ""}) || lines[len(lines)-1].Kind != "happened" {
		t.Errorf("told in the order %v", order)
	}
}

func TestNothing(t *testing.T) {
	c := onSite(t, "KM")
	for _, q := range []Query{{}, {Weld: "KM-0099"}, {Joint: "9Z"}, {Circuit: 7}, {Circuit: 1, Chamber: "C"}, {Batch: "none"}} {
		if lines := Of(c.Book, site, q); lines != nil {
			t.Errorf("%s: %v", q, lines)
		}
	}
	if lines := Of(c.Book, "elsewhere", Query{Circuit: 1}); lines != nil {
		t.Errorf("on no site: %v", lines)
	}
}

func TestQueryInWords(t *testing.T) {
	for want, q := range map[string]Query{
		"weld KM-0001": {Weld: "KM-0001"}, "joint 1A": {Joint: "1A"}, "batch W": {Batch: "W"}, "circuit 3": {Circuit: 3}, "circuit 3 of chamber A": {Circuit: 3, Chamber: "A"},
	} {
		if q.String() != want {
			t.Errorf("%q, want %q", q, want)
		}
	}
}

// A pressure test is told with the joints of its section, each entry once, a reading as
// it was first written down and as it was put right; with others it is not.
func TestPressureTestsInTheHistory(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Presses(crew.Pressing(crew.Circuit1), 6.1, 5.1)
	c.Do(acts.ReadPressure(c.H, "", logbook.PressureRead{Test: id, Bar: new(6.1), Instead: 2, Why: "mistyped"}), acts.WithdrawPressure(c.H, id, "it was circuit 2"))
	var got []string
	for _, h := range Of(c.Book, c.H.Site, Query{Joint: "E1"}) {
		if strings.HasPrefix(h.What, "pressure test") {
			got = append(got, strings.TrimPrefix(h.What, "pressure test KM-P1"))
		}
	}
	want := []string{
		" begun: circuit 1 of chamber A, before cover, as the specification says, 6 bar for 30 min, allowed to fall 0.2 bar, while not accepted: 1A, 1B, E1",
		": pressure reached", ": 6.1 bar", ": 5.1 bar", ": run to its end; leaks: looked at every joint, no leak; left standing at 2 bar",
		": reading 2 is 6.1 bar (mistyped)", " was no test, as was said: it was circuit 2",
	}
	if !slices.Equal(got, want) {
		t.Errorf("told %q", got)
	}
	for _, h := range Of(c.Book, c.H.Site, Query{Circuit: 2}) {
		if strings.HasPrefix(h.What, "pressure test") {
			t.Errorf("of circuit 2: %s", h.What)
		}
	}
}

// A flow check, and how it was left, is told with the joints of its circuit, and what took
// it back; a filling of all of it with every joint.
func TestTheLoopInTheHistory(t *testing.T) {
	c := crew.OnSite(t)
	c.Do(acts.CheckFlow(c.H, logbook.FlowChecked{Section: crew.Circuit1, LPM: new(28.5), Shut: logbook.ShutBoth, Others: logbook.OthersStill}))
	seq, _ := acts.NewestLoop(c.Book, c.H.Site, acts.LoopKinds["flow"], crew.Circuit1)
	c.Do(acts.WithdrawLoop(c.H, acts.LoopKinds["flow"], crew.Circuit1, seq, "it was circuit 2"), acts.FillFluid(c.H, logbook.FluidFilled{Content: logbook.ContentWater}),
		acts.LeaveAs(c.H, logbook.LeftAs{Section: crew.Circuit1, LPM: new(18.0)}))
	for q, want := range map[Query]int{{Circuit: 1}: 4, {Circuit: 2}: 1, {Joint: "E1"}: 4} {
		var got []string
		for _, h := range Of(c.Book, c.H.Site, q) {
			if strings.HasPrefix(h.What, "flow") || strings.HasPrefix(h.What, "in all") || strings.HasPrefix(h.What, "left as") {
				got = append(got, h.What)
			}
		}
		if len(got) != want {
			t.Errorf("%+v: told %q", q, got)
		}
	}
}

// A look at a section is told with the joints in it, and what took it back.
func TestLooksInTheHistory(t *testing.T) {
	c := crew.OnSite(t)
	c.Do(acts.CheckGround(c.H, logbook.GroundChecked{Section: "chamber A", Stage: logbook.GroundCovered, Seen: []logbook.GroundSeen{{Line: logbook.GroundBed, State: logbook.Yes}}}))
	now, _ := c.Site().GroundOf("chamber A")
	c.Do(acts.WithdrawGround(c.H, "chamber A", now.Seq, "it was the run"))
	for q, want := range map[Query][]string{
		{Joint: "1A"}: {"chamber A looked at before the cover: bed: yes", "the newest look at chamber A is taken back: it was the run"}, {Joint: "E1"}: nil,
	} {
		var got []string
		for _, h := range Of(c.Book, c.H.Site, q) {
			if strings.Contains(h.What, "look") {
				got = append(got, h.What)
			}
		}
		if !slices.Equal(got, want) {
			t.Errorf("%+v: told %q", q, got)
		}
	}
}
