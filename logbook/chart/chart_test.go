package chart

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"coolhold/logbook"
	"coolhold/logbook/audit"
	"coolhold/logbook/plan"
)

// chamber is an invented chamber with so many circuits, its headers, and one
// joint outside it.
func chamber(circuits int) []Place {
	var out []Place
	put := func(j plan.Joint, state audit.State) {
		out = append(out, Place{Joint: logbook.Joint{Joint: j}, Weld: fmt.Sprintf("KM-%04d", len(out)+1), State: state})
	}
	for i := 1; i <= circuits; i++ {
		put(plan.Joint{Label: fmt.Sprint("A-", i, "A"), Chamber: "A", Circuit: i, Leg: "A", Port: i, Row: "low", Bar: fromGround, OdMM: 40, SDR: 11, LengthM: 200}, "clear")
		put(plan.Joint{Label: fmt.Sprint("A-", i, "B"), Chamber: "A", Circuit: i, Leg: "B", Port: circuits + i, Row: "high", Bar: toGround, OdMM: 40, SDR: 11}, "query")
	}
	put(plan.Joint{Label: "A-FG", Chamber: "A", Way: "FG", Bar: fromGround, OdMM: 63, SDR: 11}, "fail")
	put(plan.Joint{Label: "A-TG", Chamber: "A", Way: "TG", Bar: toGround, OdMM: 63, SDR: 11}, "open")
	put(plan.Joint{Label: "E1", Where: "bend in the trench", Fitting: "elbow 63", OdMM: 63}, "hold")
	return out
}

func names(drawings ...Drawing) []string {
	var out []string
	for _, d := range drawings {
		for _, b := range d.Boxes {
			if len(b.Lines) == 3 {
				out = append(out, b.Lines[0])
			}
		}
	}
	slices.Sort(out)
	return out
}

func labels(places []Place, chamber string) []string {
	var out []string
	for _, p := range places {
		if p.Chamber == chamber && len(p.Split) == 0 {
			out = append(out, p.Label)
		}
	}
	slices.Sort(out)
	return out
}

// Whatever the number of circuits and the width: every joint is drawn once,
// nothing lies outside the drawing, no two boxes meet.
func TestEveryJointOnceAndApart(t *testing.T) {
	for circuits := range 13 {
		for _, width := range []int{0, 80, 197} {
			places := chamber(circuits)
			drawings := Chamber("A", places, width)
			if got, want := names(drawings...), labels(places, "A"); !slices.Equal(got, want) {
				t.Errorf("%d circuits in %d: %q, want %q", circuits, width, got, want)
			}
			for _, d := range drawings {
				inside(t, d, max(width, Least))
			}
			if width == 197 && len(drawings) != 1 {
				t.Errorf("%d circuits on a page take %d drawings", circuits, len(drawings))
			}
		}
	}
}

// The small drawing as well: and eight circuits fit 80 columns and 16 lines.
func TestSmallEveryJointOnceAndApart(t *testing.T) {
	for circuits := range 13 {
		for _, width := range []int{0, 60, 80, 120} {
			places := chamber(circuits)
			drawings := Small("A", places, width)
			var got []string
			for _, d := range drawings {
				for _, b := range d.Boxes {
					got = append(got, b.Joint)
				}
				inside(t, d, max(width, 2*smallHeader+1))
			}
			slices.Sort(got)
			if want := labels(places, "A"); !slices.Equal(got, want) {
				t.Errorf("%d circuits in %d: %q, want %q", circuits, width, got, want)
			}
			if width == 80 && circuits <= 8 && (len(drawings) != 1 || drawings[0].H != 16) {
				t.Errorf("%d circuits take %d drawings, %d lines", circuits, len(drawings), drawings[0].H)
			}
		}
	}
}

// What is drawn, letter by letter, for a case that was drawn by hand: a hold, a
// leg made on another port than the plan's, long words, a split header.
func TestSmallText(t *testing.T) {
	places := chamber(2)[:5]
	for i, state := range []audit.State{"hold", "in the walk", "unfinished", "fail", "open again"} {
		places[i].State = state
	}
	places[0].Left, places[0].Tape = "3:51", "red"
	places[1].Label, places[1].Moved = "SOUTHEND-1B", &plan.Port{No: 4}
	got := "\n" + strings.Join(Small("A", places, 80)[0].Chosen("SOUTHEND-1B").Chosen("A-FG").Text(), "\n") + "\n"
	want := `
━━━━━━━━━━━ chamber A, rail to ground, high row ━━━━━━━━━━━━
┌made 4╌╌┐┏port 4━━┓
╎▸…END-1B╎┃░░A-2B░░┃
╎ in the ╎┃░░fail░░┃
╎  walk  ╎┃░░░░░░░░┃
└╌╌╌╌╌╌╌╌┘┗━━━━━━━━┛
circuit 1 circuit 2
   red      40 mm
┌port 1╌╌┐┌port 2╌╌┐
╎  A-1A  ╎╎  A-2A  ╎
╎  hold  ╎╎ unfin- ╎
╎  3:51  ╎╎ ished  ╎
└╌╌╌╌╌╌╌╌┘└╌╌╌╌╌╌╌╌┘
━━━━━━━━━━━ chamber A, rail from ground, low row ━━━━━━━━━━━
[▸A-FG  open again     ] header from ground 63 mm SDR 11
`
	if got != want {
		t.Errorf("drawn\n%s\nwant\n%s", got, want)
	}
	if _, ok := Small("A", places, 80)[0].Find("A-2B"); !ok {
		t.Error("a joint that is drawn is not found")
	}
	if b, ok := Small("A", places, 80)[0].Find(""); ok {
		t.Errorf("no joint is found as %+v", b)
	}
}

func inside(t *testing.T, d Drawing, width int) {
	t.Helper()
	if d.W > width || d.H <= 0 {
		t.Errorf("drawing is %d by %d", d.W, d.H)
	}
	for i, b := range d.Boxes {
		if b.X < 0 || b.Y < 0 || b.X+b.W > d.W || b.Y+b.H > d.H {
			t.Errorf("box %q lies outside: %+v of %d by %d", b.Lines, b, d.W, d.H)
		}
		for _, o := range d.Boxes[:i] {
			if b.X < o.X+o.W && o.X < b.X+b.W && b.Y < o.Y+o.H && o.Y < b.Y+b.H {
				t.Errorf("boxes %q and %q meet", b.Lines, o.Lines)
			}
		}
		for _, l := range d.Labels {
			if l.Text != "" && l.Y >= b.Y && l.Y < b.Y+b.H && l.X < b.X+b.W && b.X < l.X+l.W {
				t.Errorf("%q is written over box %q", l.Text, b.Lines)
			}
		}
	}
	for _, l := range d.Strokes {
		if l.X1 != l.X2 && l.Y1 != l.Y2 || l.X1 > l.X2 || l.Y1 > l.Y2 || l.X1 < 0 || l.X2 > d.W || l.X1 >= d.W || l.Y1 < 0 || l.Y2 > d.H {
			t.Errorf("line %+v", l)
		}
	}
}

// A leg whose joint was split has its pieces one above the other, a header too.
func TestMakeUpPieceAndNotBeingBuilt(t *testing.T) {
	places := chamber(2)
	for _, i := range []int{0, 5} { // A-1A and A-TG
		places[i].Split = []string{places[i].Label + ".1", places[i].Label + ".2"}
		for _, label := range places[i].Split {
			piece := places[i]
			piece.Label, piece.Split = label, nil
			places = append(places, piece)
		}
	}
	places[3].Struck, places[3].State, places[3].Weld = "not needed", audit.StruckOff, ""
	d := Chamber("A", places, 100)
	if len(d) != 1 || !slices.Equal(names(d...), labels(places, "A")) {
		t.Fatalf("%q", names(d...))
	}
	inside(t, d[0], 100)
	i := slices.IndexFunc(d[0].Boxes, func(b Box) bool { return b.Lines[0] == "A-2B" })
	if b := d[0].Boxes[i]; b.Edge != Dotted || b.Lines[1] != "no weld" || b.Lines[2] != "not built" {
		t.Errorf("not being built: %+v", b)
	}
}

// Only clear and accepted look settled; a word of a later version does not.
func TestStyles(t *testing.T) {
	for state, want := range map[audit.State]Style{
		"clear": {Edge: Solid}, "accepted": {Edge: Solid}, "query": {Edge: Heavy}, "fail": {Edge: Heavy, Hatch: true}, "open": {Edge: Dotted},
		"hold": {Edge: Dashed}, "fusing": {Edge: Dashed}, "unfinished": {Edge: Dashed}, "in the walk": {Edge: Dashed},
		"open again": {Edge: Dotted}, "a new word": {Edge: Dashed}, "": {Edge: Dashed},
	} {
		if got := styleOf(state); got.Edge != want.Edge || got.Hatch != want.Hatch {
			t.Errorf("%q is drawn as %+v", state, got)
		}
	}
}

func TestText(t *testing.T) {
	places := chamber(3)
	places[0].Label = strings.Repeat("long", 9)
	places[1].Label = "\x1b[2J焊"
	places[2].Moved, places[2].Planned, places[2].Tape = &plan.Port{No: 9}, plan.Port{No: 2}, "red"
	d := Chamber("A", places, 80)[0]
	text := d.Text()
	all := strings.Join(text, "\n")
	for _, want := range []string{"longlonglo…", "·[2J焊", "rail from ground, low row", "rail to ground, high row", "plan 2", "port 9", "circuit 3", "40 mm SDR 11", "  red 200 m  ", "┃░░░fail░░░░┃", "to ground"} {
		if !strings.Contains(all, want) {
			t.Errorf("the text does not show %q:\n%s", want, all)
		}
	}
	for _, line := range text {
		if utf8.RuneCountInString(line) > d.W || strings.ContainsFunc(line, unicode.IsControl) {
			t.Errorf("line %q", line)
		}
	}
	if len(text) != d.H {
		t.Errorf("%d lines, want %d", len(text), d.H)
	}
}

// The high row is drawn over the low one, whichever way its water goes, in full
// and in small, headers and spare ports with it; of a rail in both rows each port
// says its own.
func TestHighRowIsOnTop(t *testing.T) {
	for _, tt := range []struct{ from, to, top, bottom string }{
		{"low", "high", "rail to ground, high row", "rail from ground, low row"},
		{"high", "low", "rail from ground, high row", "rail to ground, low row"},
		{"low", "low", "rail from ground, low row", "rail to ground, low row"},
		{"", "", "rail from ground", "rail to ground"},
	} {
		places := chamber(3)
		for i := range places {
			places[i].Row = map[string]string{fromGround: tt.from, toGround: tt.to}[places[i].Bar]
		}
		spare := Place{}
		spare.Chamber, spare.Joint.Port, spare.Bar, spare.Row = "A", 9, toGround, tt.to
		for name, d := range map[string]Drawing{"full": Chamber("A", places, 100, spare)[0], "small": Small("A", places, 100)[0]} {
			y := map[string]int{}
			for i, line := range d.Text() {
				for _, word := range []string{tt.top, tt.bottom, "A-FG", "A-TG", "A-1A", "A-1B", "spare"} {
					if strings.Contains(line, word) {
						y[word] = i
					}
				}
			}
			upper, lower := []string{"A-FG", "A-1A"}, []string{"A-TG", "A-1B"}
			if name == "full" {
				lower = append(lower, "spare")
			}
			if strings.Contains(tt.top, "to ground") {
				upper, lower = lower, upper
			}
			middle := d.H / 2
			for _, word := range append(upper, tt.top) {
				if at, drawn := y[word]; !drawn || at > middle {
					t.Errorf("%s: %q is drawn %v in line %d of %d:\n%s", name, word, drawn, at, d.H, strings.Join(d.Text(), "\n"))
				}
			}
			for _, word := range append(lower, tt.bottom) {
				if y[word] < middle {
					t.Errorf("%s: %q is drawn in line %d of %d:\n%s", name, word, y[word], d.H, strings.Join(d.Text(), "\n"))
				}
			}
		}
	}
	places := chamber(3)
	places[0].Row, places[2].Row = "high", "high"
	small := strings.Join(Small("A", places, 100)[0].Text(), "\n")
	for _, want := range []string{"chamber A, rail to ground, high row", "chamber A, rail from ground ━", "┌1 high", "┌2 high", "┌3 low", "port 4"} {
		if !strings.Contains(small, want) {
			t.Errorf("%q is not in\n%s", want, small)
		}
	}
	inside(t, Small("A", places, 100)[0], 100)
}

// A drawing set over another keeps both, one below the other.
func TestAbove(t *testing.T) {
	places := chamber(2)
	top, low := Heading("Chamber A", 60), Small("A", places, 80)[0]
	d := top.Above(low).Above(SmallRuns(places, 80))
	want := append(append(top.Text(), low.Text()...), SmallRuns(places, 80).Text()...)
	if got := d.Text(); !slices.Equal(got, want) {
		t.Errorf("drawn\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	inside(t, d, 80)
	if b, ok := d.Find("E1"); !ok || b.Y != d.H-1 {
		t.Errorf("E1 is found %v at %+v", ok, b)
	}
}

func TestRuns(t *testing.T) {
	d := Runs(chamber(2), 60)
	inside(t, d, 60)
	if got := strings.Join(d.Text(), "\n"); !strings.Contains(got, "bend in the trench") || !strings.Contains(got, "E1") || strings.Contains(got, "A-1A") {
		t.Errorf("runs:\n%s", got)
	}
	if d := Runs(nil, 60); d.H != 0 || len(d.Boxes) > 0 {
		t.Errorf("no runs: %+v", d)
	}
}

// Spare ports stand on their rails, after the circuits or on a drawing of their own.
func TestSparePorts(t *testing.T) {
	spare := func(no int, chamber, bar string) Place {
		p := Place{}
		p.Chamber, p.Joint.Port, p.Bar = chamber, no, bar
		return p
	}
	spares := []Place{spare(3, "A", fromGround), spare(6, "A", toGround), spare(7, "A", toGround), spare(9, "B", toGround)}
	for _, width := range []int{0, 60, 197} {
		places, shown := chamber(2), 0
		for _, d := range Chamber("A", places, width, spares...) {
			inside(t, d, max(width, Least))
			for _, b := range d.Boxes {
				if len(b.Lines) == 2 && b.Lines[1] == "spare" {
					shown++
				}
			}
		}
		if shown != 3 {
			t.Errorf("%d spare ports in %d columns, want 3", shown, width)
		}
	}
}

// What lies under the ground and is not settled says so in each drawing.
func TestCoveredIsDrawn(t *testing.T) {
	places := chamber(1)
	for i := range places {
		places[i].Covered = places[i].State != "clear"
	}
	large := strings.Join(Chamber("A", places, 80)[0].Text(), "\n")
	small := strings.Join(Small("A", places, 80)[0].Text(), "\n")
	if n := strings.Count(large, "covered"); n != 3 {
		t.Errorf("covered %d times in\n%s", n, large)
	}
	if n := strings.Count(small, "covered"); n != 3 {
		t.Errorf("covered %d times in\n%s", n, small)
	}
	if runs := strings.Join(SmallRuns(places, 80).Text(), "\n"); !strings.Contains(runs, "hold covered") {
		t.Errorf("runs:\n%s", runs)
	}
}

// The pipe of a joint outside the chambers is named in words.
func TestPipeOfARun(t *testing.T) {
	at := func(label, chamber, pipe string, circuit int) Place {
		p := Place{}
		p.Label, p.Chamber, p.Pipe, p.Circuit, p.Bar = label, chamber, pipe, circuit, fromGround
		return p
	}
	places := []Place{at("FG", "North", "North/FG", 0), at("1A", "North", "North/1", 1), at("E1", "", "North/FG", 0), at("E2", "", "North/1", 0), at("E3", "", "E3", 0), at("E4", "", "E3", 0)}
	for i, want := range map[int]string{
		2: "on the header from ground, chamber North", 3: "on the pipe of circuit 1, chamber North", 5: "on the pipe of joint E3",
	} {
		if got := pipeOf(places, places[i]); got != want {
			t.Errorf("%s is %q, want %q", places[i].Label, got, want)
		}
	}
	if got := pipeOf(places[4:5], places[4]); got != "on a pipe of its own" {
		t.Errorf("got %q", got)
	}
}

// A joint of several pipes says what meets there, and is what further joints are
// on; what came from a works says so, and can be chosen nowhere.
func TestJointsOfSeveralPipes(t *testing.T) {
	leg, tee, end, seam := Place{}, Place{}, Place{}, Place{}
	leg.Label, leg.Chamber, leg.Circuit, leg.Pipe, leg.Joint.Port, leg.Bar = "1A", "A", 1, "A/1", 1, fromGround
	leg.OdMM, leg.SDR, leg.Ends = 32, 13.6, []plan.End{{OdMM: 40, SDR: 11, Stub: true}, {OdMM: 32, SDR: 13.6, Pipe: "A/1"}}
	tee.Label, tee.Pipe, tee.Ends = "T1", "A/1", []plan.End{{OdMM: 32, SDR: 13.6, Pipe: "A/1"}, {OdMM: 32, Pipe: "T1:2"}, {Pipe: "T1:3"}}
	end.Label, end.Pipe, end.OdMM = "K1", "T1:3", 25
	seam.Label, seam.Fitting, seam.State, seam.NotOurs = "F1", "certificate not given", notOurs, true
	places := []Place{leg, tee, end, seam}
	for i := range places[:3] {
		places[i].On = pipeOf(places, places[i])
	}
	text := func(d Drawing) string { return strings.Join(d.Text(), "\n") }
	got := text(Runs(places, 80))
	for _, want := range []string{"on the pipe of circuit 1, chamber A, 32 + 32 + ? mm", "on the pipe of joint T1, 25 mm", "from works", "not ours", "certificate not given"} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is not among\n%s", want, got)
		}
	}
	if _, ok := Runs(places, 80).Find("F1"); ok {
		t.Error("a factory joint can be chosen")
	}
	got = text(Chamber("A", places[:1], 80)[0])
	if !strings.Contains(got, "┌40 mm──┐") || !strings.Contains(got, "32, SDR 13.6") {
		t.Errorf("the leg is drawn as\n%s", got)
	}
}

// The factory joints of a plan, each with its certificate.
func TestFactory(t *testing.T) {
	s := logbook.Site{Plan: &plan.Plan{Factory: []plan.Factory{{Label: "F1", Where: "foot", Certificate: "C-1"}, {Label: "F2", Where: "seam", Chamber: "A"}}}}
	got := Factory(s)
	if len(got) != 2 || got[0].Fitting != "certificate C-1" || got[1].Fitting != "certificate not given" || got[1].On != "in chamber A" || got[1].Chamber != "" || !got[0].NotOurs {
		t.Errorf("got %+v", got)
	}
	if Factory(logbook.Site{}) != nil {
		t.Error("without a plan there are factory joints")
	}
}

// A circuit's pipe runs from stub to stub; where a leg has no joint, from the rail.
func TestALegWithoutAJoint(t *testing.T) {
	legs := chamber(1)[:2]
	for _, tt := range []struct {
		name        string
		legs        []Place
		top, bottom int // heights of stubs
	}{{"both", legs, portH, portH}, {"the low leg alone", legs[:1], 0, portH}, {"the high leg alone", legs[1:], portH, 0}} {
		d := Chamber("A", tt.legs, 80)[0]
		top, bottom := d.H, 0
		for _, l := range d.Strokes {
			top, bottom = min(top, l.Y1), max(bottom, l.Y2)
		}
		if top != barH+tt.top || bottom != d.H-barH-tt.bottom {
			t.Errorf("%s: the pipe runs from %d to %d of %d", tt.name, top, bottom, d.H)
		}
	}
}
