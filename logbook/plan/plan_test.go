package plan

import (
	"encoding/json"
	"fmt"
	"os"
	"reflect"
	"strings"
	"testing"
)

func loadPlan(t testing.TB, name string) Plan {
	t.Helper()
	data, err := os.ReadFile("../../testdata/plans/" + name)
	if err != nil {
		t.Fatal(err)
	}
	p, err := Parse(data)
	if err != nil {
		t.Fatalf("%s:\n%v", name, err)
	}
	return p
}

func labelsOf(joints []Joint) string {
	var ls []string
	for _, j := range joints {
		ls = append(ls, j.Label)
	}
	return strings.Join(ls, " ")
}

func TestJoints(t *testing.T) {
	for name, want := range map[string]string{
		"hillfoot.toml": "1A 1B 2A 2B 3A 3B 4A 4B FG TG E1",
		"weir.toml":     "1A 1B 2A 2B 3A 3B FG TG T1 K1 S1 M1",
		"orchard.toml":  "A-1A A-1B A-FG B-1A B-1B B-3A B-3B B-TG T.1 T.1-cap",
	} {
		if got := labelsOf(loadPlan(t, name).Joints()); got != want {
			t.Errorf("%s: got  %s\nwant %s", name, got, want)
		}
	}
}

// One of each sort of joint, whole.
func TestJointFields(t *testing.T) {
	hill, orchard := loadPlan(t, "hillfoot.toml").Joints(), loadPlan(t, "orchard.toml").Joints()
	for _, tc := range []struct {
		got, want Joint
	}{
		{hill[5], Joint{
			Label: "3B", Chamber: "A", Circuit: 3, Leg: "B", Port: 7, Row: "high", Bar: "to ground",
			Fitting: "reducer 40x32", OdMM: 32, SDR: 11, LengthM: 180, Pipe: "A/3",
			Ends: []End{{OdMM: 40, SDR: 11, Stub: true}, {OdMM: 32, SDR: 11, Pipe: "A/3"}},
		}},
		{hill[8], Joint{
			Label: "FG", Chamber: "A", Way: "FG", Bar: "from ground",
			Fitting: "coupler 63", OdMM: 63, SDR: 11, LengthM: 18, Pipe: "A/FG",
			Ends: []End{{OdMM: 63, SDR: 11, Stub: true}, {OdMM: 63, SDR: 11, Pipe: "A/FG"}},
		}},
		{hill[10], Joint{
			Label: "E1", Fitting: "elbow 63", OdMM: 63, SDR: 11, LengthM: 18, Pipe: "A/FG",
			Where: "header from ground, bend before the plant room wall", AskPlace: true,
		}},
		{orchard[3], Joint{
			Label: "B-1A", Chamber: "B", Circuit: 1, Leg: "A", Port: 2, Row: "low", Bar: "from ground",
			Fitting: "coupler 40", OdMM: 40, SDR: 11, LengthM: 240, Pipe: "B/1",
		}},
		{orchard[9], Joint{
			Label: "T.1-cap", Fitting: "cap 40", Pipe: "T.1-cap", Where: "end of the spare branch", AskPlace: true,
		}},
	} {
		if !reflect.DeepEqual(tc.got, tc.want) {
			t.Errorf("got  %+v\nwant %+v", tc.got, tc.want)
		}
	}
}

func TestPlanFields(t *testing.T) {
	hill, orchard := loadPlan(t, "hillfoot.toml"), loadPlan(t, "orchard.toml")
	if hill.Site != "Hillfoot barn (invented)" || hill.Scraping != "rotary scraper" || hill.Chambers[0].Lid != "ground level" {
		t.Errorf("got %q, %q, %q", hill.Site, hill.Scraping, hill.Chambers[0].Lid)
	}
	if orchard.Scraping != "" || orchard.Chambers[0].Lid != "" {
		t.Errorf("what is not in the file was filled in: %q, %q", orchard.Scraping, orchard.Chambers[0].Lid)
	}
}

// The stored form names its units and leaves out what is not there.
func TestJointJSON(t *testing.T) {
	j := loadPlan(t, "orchard.toml").Joints()[6]
	data, err := json.Marshal(j)
	want := `{"label":"B-3B","chamber":"B","circuit":3,"leg":"B","port":3,"row":"high","bar":"to ground",` +
		`"fitting":"coupler 40","od_mm":40,"sdr":11,"length_m":240,"pipe":"B/3"}`
	if err != nil || string(data) != want {
		t.Errorf("got  %s, %v\nwant %s", data, err, want)
	}
	var back Joint
	if err := json.Unmarshal(data, &back); err != nil || !reflect.DeepEqual(back, j) {
		t.Errorf("came back as %+v, %v", back, err)
	}
}

func ExamplePlan_Joints() {
	p, err := Parse([]byte(`
site    = "An invented site"
client  = "N. Body"
firm    = "No Such Firm"
address = "Nowhere"

[[chamber]]
name  = "A"
ports = [{no = 1, row = "low", bar = "from ground"}, {no = 2, row = "high", bar = "to ground"}]

[[chamber.circuit]]
no       = 3
od_mm    = 32
sdr      = 11
length_m = 200
ports    = [1, 2]
fitting  = "reducer 40x32"

[[chamber.header]]
way      = "to ground"
od_mm    = 63
sdr      = 11
length_m = 18
fitting  = "coupler 63"

[[joint]]
label   = "E1"
fitting = "elbow 63"
where   = "before the wall"
pipe    = "TG"
`))
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, j := range p.Joints() {
		fmt.Println(j.Label, j.Fitting, "on pipe", j.Pipe)
	}
	// Output:
	// 3A reducer 40x32 on pipe A/3
	// 3B reducer 40x32 on pipe A/3
	// TG coupler 63 on pipe A/TG
	// E1 elbow 63 on pipe A/TG
}

// The colour of a circuit's tape is on both its legs and on whatever shares
// their pipe. The same colour twice in a chamber is said and is no fault.
func TestTape(t *testing.T) {
	data, err := os.ReadFile("../../testdata/plans/orchard.toml")
	if err != nil {
		t.Fatal(err)
	}
	text := string(data)
	for i, tape := range []string{"blue", "Green", "green"} { // of A1, B1, B3
		at, fitting := 0, `fitting  = "coupler 40"`+"\n"
		for range i + 1 {
			at += strings.Index(text[at:], fitting) + len(fitting)
		}
		text = text[:at] + "tape = \"" + tape + "\"\n" + text[at:]
	}
	text += "[[joint]]\nlabel = \"X\"\nfitting = \"coupler 40\"\nwhere = \"at the hedge\"\npipe = \"B-3A\"\n"
	p, err := Parse([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	got := ""
	for _, j := range p.Joints() {
		if j.Tape != "" {
			got += j.Label + " " + j.Tape + ", "
		}
	}
	if want := "A-1A blue, A-1B blue, B-1A Green, B-1B Green, B-3A green, B-3B green, X green, "; got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	if got, want := p.SameTape(), []string{"circuits 1 and 3 of chamber B both have Green tape"}; !reflect.DeepEqual(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	if got := loadPlan(t, "orchard.toml").SameTape(); got != nil {
		t.Errorf("without tapes: %q", got)
	}
}

// So many chambers, ports, circuits and joints of their own a plan may have; one
// more is said.
func TestHowMuchAPlanMayHold(t *testing.T) {
	rows := func(n int, row string) string {
		var b strings.Builder
		for i := range n {
			b.WriteString(strings.ReplaceAll(row, "#", fmt.Sprint(i+1)))
		}
		return b.String()
	}
	port := "  {no = #, row = \"low\", bar = \"from ground\"},\n"
	for name, c := range map[string]struct {
		most int
		text func(n int) string
	}{
		"chamber": {maxChambers, func(n int) string { return rows(n, "[[chamber]]\nname = \"#\"\n") }},
		"ports":   {maxPorts, func(n int) string { return "[[chamber]]\nname = \"A\"\nports = [\n" + rows(n, port) + "]\n" }},
		"circuit": {maxCircuits, func(n int) string { return "[[chamber]]\nname = \"A\"\n" + rows(n, "[[chamber.circuit]]\nno = #\n") }},
		"joint":   {maxExtra, func(n int) string { return rows(n, "[[joint]]\nlabel = \"E#\"\n") }},
	} {
		for n, want := range map[int]bool{c.most: false, c.most + 1: true} {
			_, err := Parse([]byte("site = \"x\"\n" + c.text(n)))
			if got := err != nil && strings.Contains(err.Error(), fmt.Sprintf("%s: %d are too many, at most %d", name, n, c.most)); got != want {
				t.Errorf("%d times %s is said to be too much: %v\n%.300s", n, name, got, fmt.Sprint(err))
			}
		}
	}
}

// The former words of the method are read as those of today, and no fault names them.
func TestFormerMethodsAreRead(t *testing.T) {
	data, err := os.ReadFile("../../testdata/plans/hillfoot.toml")
	if err != nil {
		t.Fatal(err)
	}
	for said, want := range map[string]string{"rotary tool": "rotary scraper", "hand tool": "hand scraper", "hand scraper": "hand scraper"} {
		text := strings.Replace(string(data), `"rotary scraper"`, `"`+said+`"`, 1)
		if p, err := Parse([]byte(text)); err != nil || p.Scraping != want {
			t.Errorf("%q is read as %q: %v", said, p.Scraping, err)
		}
	}
}
