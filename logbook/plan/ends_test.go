package plan

import (
	"encoding/json"
	"reflect"
	"strings"
	"testing"

	"coolhold/fusion"
)

// What meets at each joint of the site that has everything, and the pipes it is on.
func TestEnds(t *testing.T) {
	got := map[string]string{}
	joints := map[string]Joint{}
	for _, j := range loadPlan(t, "weir.toml").Joints() {
		got[j.Label] = j.PipeLine() + " | " + strings.Join(j.Pipes(), " ")
		joints[j.Label] = j
		if !j.Stated() || !j.StubStated() {
			t.Errorf("%s: not all of %+v is stated", j.Label, j.Ends)
		}
	}
	for label, want := range map[string]string{
		"1A": "stub 40 mm SDR 11, pipe 32 mm SDR 11 | W/1",
		"3B": "stub 32 mm SDR 11, pipe 32 mm SDR 13.6 | W/3",
		"FG": "stub 63 mm SDR 11, pipe 63 mm SDR 11 | W/FG",
		"TG": "stub 63 mm SDR 11, pipe 90 mm SDR 17 | W/TG",
		"T1": "pipe W/FG 63 mm SDR 11, pipe T1:2 63 mm SDR 11, pipe T1:3 40 mm SDR 11 | W/FG T1:2 T1:3",
		"K1": "pipe 40 mm SDR 11 | T1:3",
		"S1": "pipe T1:2 63 mm SDR 11, pipe S1:2 90 mm SDR 17 | T1:2 S1:2",
		"M1": "pipe S1:2 90 mm SDR 17, pipe M1:2 90 mm SDR 17 | S1:2 M1:2",
	} {
		if got[label] != want {
			t.Errorf("%s: got  %s\nwant %s", label, got[label], want)
		}
	}
	if j := joints["T1"]; j.OdMM != 63 || j.SDR != 11 || j.Pipe != "W/FG" || j.LengthM != 27 || !j.AskPlace {
		t.Errorf("the first pipe of T1 is %+v", j)
	}
	if j := joints["K1"]; j.LengthM != 0 || len(j.Ends) != 0 {
		t.Errorf("K1 is on a pipe of no known length: %+v", j)
	}
	if joints["2A"].Probe != "P1" || joints["3A"].Probe != "" {
		t.Error("the loops do not name their probe")
	}
	for _, tc := range []struct {
		a, b  string
		share bool
	}{
		{"T1", "FG", true}, {"T1", "K1", true}, {"T1", "S1", true}, {"S1", "M1", true}, {"S1", "T1", true}, {"K1", "S1", false}, {"FG", "M1", false}, {"1A", "1B", true}, {"1A", "2A", false},
	} {
		if got := joints[tc.a].Shares(joints[tc.b]); got != tc.share {
			t.Errorf("%s and %s share a pipe: %t", tc.a, tc.b, got)
		}
	}
}

// A 32 mm coupler does not go on a stub of 40 mm, a reducer does.
func TestBothSidesOfALegAreHeldAgainstAFitting(t *testing.T) {
	leg := loadPlan(t, "weir.toml").Joints()[0]
	coupler := fusion.Fitting{Name: "coupler 32", SizesMM: []int{32}, Ends: 2, SDR: []fusion.SDR{11}}
	if err := leg.Fits(coupler); err == nil || err.Error() != "stub 40 mm SDR 11: coupler 32 takes 32 mm" {
		t.Errorf("a coupler: %v", err)
	}
	if err := leg.Fits(fusion.Fitting{Name: "reducer 40/32", SizesMM: []int{40, 32}, Ends: 2, SDR: []fusion.SDR{11}}); err != nil {
		t.Errorf("a reducer: %v", err)
	}
}

// A joint that was stored before it had ends has the one pipe that it was stored
// with; where nothing was stated nothing is known.
func TestAJointWithoutEnds(t *testing.T) {
	var j Joint
	if err := json.Unmarshal([]byte(`{"label":"4B","chamber":"A","circuit":4,"leg":"B","port":8,"od_mm":32,"sdr":11,"pipe":"A/4"}`), &j); err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(j.Meet(), []End{{OdMM: 32, SDR: 11, Pipe: "A/4"}}) || j.PipeLine() != "pipe 32 mm SDR 11" || !j.On("A/4") || j.StubStated() || !j.Stated() {
		t.Errorf("got %+v, %q", j.Meet(), j.PipeLine())
	}
	bare := Joint{Label: "X"}
	if bare.Pipes() != nil || bare.Shares(Joint{Label: "Y"}) || bare.PipeLine() != "" || bare.Stated() || !bare.StubStated() {
		t.Errorf("a joint of which nothing is known: %v, %q", bare.Pipes(), bare.PipeLine())
	}
	if l := (Joint{OdMM: 40}).PipeLine(); l != "pipe 40 mm" {
		t.Errorf("a size alone: %q", l)
	}
}

// The stored form of a joint with ends.
func TestEndsJSON(t *testing.T) {
	joints := loadPlan(t, "weir.toml").Joints()
	for i, want := range map[int]string{
		0: `"ends":[{"od_mm":40,"sdr":11,"stub":true},{"od_mm":32,"sdr":11,"pipe":"W/1"}],"probe":"P1"}`,
		5: `"sdr":13.6,"length_m":142,"pipe":"W/3","ends":[{"od_mm":32,"sdr":11,"stub":true},{"od_mm":32,"sdr":13.6,"pipe":"W/3"}]}`,
	} {
		data, err := json.Marshal(joints[i])
		var back Joint
		if err == nil {
			err = json.Unmarshal(data, &back)
		}
		if err != nil || !strings.HasSuffix(string(data), want) || !reflect.DeepEqual(back, joints[i]) {
			t.Errorf("got  %s, %v\nwant %s", data, err, want)
		}
	}
}

func TestFactoryJoints(t *testing.T) {
	got := loadPlan(t, "weir.toml").NotOurs()
	if len(got) != 2 || got[0].Label != "P1-foot" || got[0].Says() != "certificate RG-5512 (invented)" || !got[0].On("W/1") || !got[0].On("W/2") || got[0].Chamber != "" {
		t.Fatalf("got %+v", got)
	}
	if got[1].Says() != "certificate not given" || got[1].Chamber != "W" || got[1].PipeLine() != "" || got[1].Fitting != "" {
		t.Errorf("got %+v", got[1])
	}
}

// The key was "bar" at first: it is read, and means the same.
func TestRailAndBarAreOne(t *testing.T) {
	bar, err := Parse([]byte(head + ring))
	if err != nil {
		t.Fatal(err)
	}
	rail, err := Parse([]byte(head + strings.ReplaceAll(ring, "bar =", "rail =")))
	if err != nil || !reflect.DeepEqual(bar, rail) {
		t.Errorf("got  %+v\nwant %+v, %v", rail, bar, err)
	}
}

// Two loops on two ports: the circuit ends at two tees, and the loops are their
// ends.
func TestTwoLoopsOnOnePort(t *testing.T) {
	p, err := Parse([]byte(head + ring + `[[joint]]
label = "T1"
fitting = "x"
where = "w"
ends = [{pipe = "1A"}, {od_mm = 25, sdr = 11}, {od_mm = 25, sdr = 11}]
[[joint]]
label = "T2"
fitting = "x"
where = "w"
ends = [{pipe = "1B"}, {pipe = "T1:2"}, {pipe = "t1:3"}]
`))
	if err != nil {
		t.Fatal(err)
	}
	j := p.Joints()
	if !j[3].Shares(j[2]) || strings.Join(j[3].Pipes(), " ") != "A/1 T1:2 T1:3" || j[3].Ends[2].OdMM != 25 {
		t.Errorf("got %+v", j[3])
	}
}

// Faults of what is new, each at its line.
func TestFaultsOfEnds(t *testing.T) {
	joint := "[[joint]]\nlabel = \"E1\"\nfitting = \"x\"\nwhere = \"w\"\n" // from line 15 on
	factory := "[[factory]]\nlabel = \"F1\"\nwhere = \"w\"\n"
	tee := joint + "ends = [{pipe = \"1A\"}, {od_mm = 32, sdr = 11}]\n" // line 19
	for name, tc := range map[string]struct{ data, want string }{
		"rail and bar": {strings.Replace(ring, `row = "low", bar = "from ground"`, `row = "low", bar = "from ground", rail = "from ground"`, 1),
			"7: chamber A port 1: bar: rail is given too, which is the same: leave bar out"},
		"no rail":               {strings.Replace(ring, `, bar = "from ground"`, "", 1), "7: chamber A port 1: rail is missing"},
		"no such rail":          {strings.Replace(ring, `bar = "from ground"`, `rail = "flow"`, 1), `7: chamber A port 1: rail: "flow" is not known; one of: from ground, to ground`},
		"a stub's size":         {strings.Replace(ring, `{no = 1, `, `{no = 1, od_mm = 41, `, 1), "7: chamber A port 1: od_mm: 41 mm is no size of PE pipe (16, 20, 25, 32, 40, 50, 63, 75, 90, 110 … 630)"},
		"a chamber's stubs":     {strings.Replace(ring, `name = "A"`, "name = \"A\"\nstub_sdr = 12", 1), "7: chamber A: stub_sdr: SDR 12 is not known for loop pipe; one of: 9, 11, 13.6, 17"},
		"a stub without a wall": {strings.Replace(strings.Replace(ring, `{no = 1, `, `{no = 1, od_mm = 20, `, 1), `name = "A"`, "name = \"A\"\nstub_sdr = 17", 1), "8: chamber A port 1: od_mm: no wall is listed for 20 mm pipe of SDR 17: check both against the pipe's print"},
		"an end without a wall": {ring + joint + "od_mm = 20\n" + strings.Replace(joint, "E1", "E2", 1) + "pipe = \"E1\"\nsdr = 17\n", "25: joint E2: sdr: no wall is listed for 20 mm pipe of SDR 17: check both against the pipe's print"},
		"one end":               {ring + joint + "ends = [{pipe = \"1A\"}]\n", "19: joint E1: ends: 2 to 4 ends can meet at a joint, not 1"},
		"no end":                {ring + joint + "ends = []\n", "19: joint E1: ends: 2 to 4 ends can meet at a joint, not 0"},
		"five ends":             {ring + joint + "ends = [{}, {}, {}, {}, {}]\n", "19: joint E1: ends: 2 to 4 ends can meet at a joint, not 5"},
		"ends and a size":       {ring + tee + "od_mm = 32\n", "20: joint E1: od_mm: each of the ends has its own: leave it out here"},
		"ends and a pipe":       {ring + tee + "pipe = \"1B\"\n", "20: joint E1: pipe: each of the ends has its own: leave it out here"},
		"an unknown pipe":       {ring + joint + "ends = [{pipe = \"7A\"}, {}]\n", `19: joint E1 end 1: pipe: "7A" is no joint of this plan, or one further down: name one that stands above`},
		"another size":          {ring + joint + "ends = [{}, {pipe = \"1a\", od_mm = 40}]\n", "19: joint E1 end 2: od_mm: 40 mm, but the pipe of 1A is 32 mm: leave it out or correct one"},
		"which end":             {ring + tee + strings.Replace(joint, "E1", "E2", 1) + "pipe = \"E1\"\n", "24: joint E2: pipe: 2 ends meet at E1: say which, E1:1 to E1:2"},
		"no such end":           {ring + tee + strings.Replace(joint, "E1", "E2", 1) + "pipe = \"e1:3\"\n", `24: joint E2: pipe: "e1:3" is no end of E1: it has E1:1 to E1:2`},
		"an end's class":        {ring + tee + strings.Replace(joint, "E1", "E2", 1) + "pipe = \"e1:2\"\nsdr = 13.6\n", "25: joint E2: sdr: SDR 13.6, but the pipe of E1:2 is SDR 11: leave it out or correct one"},
		"an unknown key":        {ring + joint + "ends = [{od_m = 32}, {}]\n", `19: joint E1 end 1: unknown key "od_m": is "od_mm" meant?`},
		"a label twice":         {ring + strings.Replace(factory, "F1", "1b", 1), `16: factory joint 1b: label: the label "1b" is that of the joint in line 9 already`},
		"no place":              {ring + strings.Replace(factory, "where = \"w\"\n", "", 1), "15: factory joint F1: where is missing"},
		"no such chamber":       {ring + factory + "chamber = \"B\"\n", `18: factory joint F1: chamber: no chamber of this plan is called "B"`},
		"only a factory's":      {factory, "1: no joint in the plan: give a chamber with a circuit or a header, or a [[joint]]"},
		"a certificate":         {ring + factory + "certificate = 12\n", "18: factory joint F1: certificate: text is needed here, not 12"},
		"on a factory's":        {ring + factory + joint + "pipe = \"F1\"\n", `22: joint E1: pipe: "F1" is no joint of this plan, or one further down: name one that stands above`},
	} {
		_, err := Parse([]byte(head + tc.data))
		if err == nil || err.Error() != tc.want {
			t.Errorf("%s: got\n%v\nwant\n%s", name, err, tc.want)
		}
	}
	if _, err := Parse([]byte(head + ring + joint + "ends = [{pipe = \"1A\"}, {}, {}, {od_mm = 40}]\n" + factory + "chamber = \"a\"\nends = [{pipe = \"1A\"}]\n")); err != nil {
		t.Errorf("what is sound: %v", err)
	}
}
