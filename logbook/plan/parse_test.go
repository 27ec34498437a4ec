package plan

import (
	"bytes"
	"fmt"
	"reflect"
	"strings"
	"testing"

	"coolhold/fusion"
	"coolhold/logbook/fault/faulttest"
)

// Each file with faults has its exact lines behind it.
func TestBadPlans(t *testing.T) {
	faulttest.Refused(t, "../../testdata/bad/plan.txtar", 35, Parse)
}

const (
	head = "site = \"s\"\nclient = \"c\"\nfirm = \"f\"\naddress = \"a\"\n"
	ring = `[[chamber]]
name = "A"
ports = [{no = 1, row = "low", bar = "from ground"}, {no = 2, row = "low", bar = "to ground"}]
[[chamber.circuit]]
no = 1
od_mm = 32
sdr = 11
length_m = 200
ports = [1, 2]
fitting = "x"
`
	bend = "[[joint]]\nlabel = \"E1\"\nfitting = \"x\"\nwhere = \"w\"\n"
)

// A fault is not followed by others that only it has made, and what is nearly
// a fault is none.
func TestParseEdges(t *testing.T) {
	sub := func(s, old, new string) string {
		if !strings.Contains(s, old) {
			t.Fatalf("%q is not there", old)
		}
		return strings.Replace(s, old, new, 1)
	}
	other := sub(sub(ring, `"A"`, `"B"`), "no = 1\n", "no = 7\n")
	for _, tc := range []struct{ name, data, want string }{
		{"only a chamber", head + ring, ""},
		{"only a joint", head + bend, ""},
		{"CRLF and BOM", "\ufeff" + strings.ReplaceAll(head+ring, "\n", "\r\n"), ""},
		{"a chamber without circuits beside a joint", head + ring[:strings.Index(ring, "[[chamber.c")] + bend, ""},
		{"shortest and longest", head + sub(ring, "200", "0.1") + sub(other, "200", "5000"), ""},
		{"lists that are empty", head + "chamber = []\njoint = []\n",
			"1: no joint in the plan: give a chamber with a circuit or a header, or a [[joint]]"},
		{"no ports in the list", head + sub(ring, ring[strings.Index(ring, "[{"):strings.Index(ring, "[[chamber.c")], "[]\n"),
			"7: chamber A: ports: is empty"},
		{"a port without number", head + sub(ring, "no = 2, ", ""), "7: chamber A port 2: no is missing"},
		{"a chamber without name", head + sub(ring, "name = \"A\"\n", "") + sub(bend, "E1", "E2") + "pipe = \"1A\"\n",
			"5: chamber 1: name is missing"},
		{"a circuit without number", head + sub(ring, "no = 1\n", "") + bend + "pipe = \"1A\"\n",
			"8: chamber A circuit 1: no is missing"},
		{"a pipe of another chamber", head + ring + other + bend + "pipe = \"b-7a\"\n", ""},
		{"a pipe by a label without its chamber", head + ring + other + bend + "pipe = \"7A\"\n",
			"29: joint E1: pipe: \"7A\" is no joint of this plan, or one further down: name one that stands above"},
		{"a pipe of its own", head + bend + "pipe = \"E1\"\n",
			"9: joint E1: pipe: \"E1\" is no joint of this plan, or one further down: name one that stands above"},
		{"a label of a circuit of another chamber", head + ring + other + sub(bend, "E1", "B-7A"),
			"26: joint B-7A: label: the label \"B-7A\" is that of the joint in line 19 already"},
		{"the same label with one chamber is free", head + ring + sub(bend, "E1", "A-1A"), ""},
		{"a circuit number too large for a label", head + sub(ring, "no = 1\n", "no = 1000\n"),
			"9: chamber A circuit 1: no: 1000 is outside 1…999"},
		{"three ports", head + sub(ring, "[1, 2]", "[1, 2, 1]"),
			"13: chamber A circuit 1: ports: two ports are needed, for leg A and leg B, not 3"},
		{"port nought", head + sub(ring, "[1, 2]", "[0, 2]"),
			"13: chamber A circuit 1: ports: port 0 is not among the ports of the chamber"},
		{"a list of wishes that is empty", head + "[require]\nbefore_cover = []\n" + ring,
			"6: require: before_cover: is empty"},
		{"a word in place of a list", head + "[require]\nbefore_cover = \"bed\"\n" + ring,
			"6: require: before_cover: a list is needed here, not text (\"bed\")"},
		{"a level of nought and a lid below it", head + sub(ring, "name = \"A\"\n", "name = \"A\"\nchamber_level_m = 0\nlid_height_m = -0.5\n"), ""},
		{"a size alone", head + bend + "od_mm = 20\n", ""},
		{"size and class that nobody lists", head + bend + "od_mm = 20\nsdr = 17\n",
			"10: joint E1: sdr: no wall is listed for 20 mm pipe of SDR 17: check both against the pipe's print"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			_, err := Parse([]byte(tc.data))
			got := ""
			if err != nil {
				got = err.Error()
			}
			if got != tc.want {
				t.Errorf("got\n%s\nwant\n%s\n%s", got, tc.want, tc.data)
			}
		})
	}
}

// Joints that share a pipe through each other share the first one's.
func TestSharedPipes(t *testing.T) {
	second := strings.Replace(bend, "E1", "E2", 1)
	third := strings.Replace(bend, "E1", "E3", 1)
	p, err := Parse([]byte(head + ring + bend + "pipe = \"1b\"\n" + second + "od_mm = 40\n" + third + "pipe = \"e1\"\nsdr = 11\n"))
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]string{}
	for _, j := range p.Joints() {
		got[j.Label] = fmt.Sprint(j.Pipe, " ", j.OdMM, " ", j.SDR, " ", j.LengthM)
	}
	want := map[string]string{
		"1A": "A/1 32 11 200", "1B": "A/1 32 11 200", "E1": "A/1 32 11 200", "E2": "E2 40 0 0", "E3": "A/1 32 11 200",
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got  %v\nwant %v", got, want)
	}
}

// render writes a plan as a file again.
func render(p Plan) []byte {
	var b bytes.Buffer
	put := func(key, s string) {
		if s != "" {
			fmt.Fprintf(&b, "%s = \"%s\"\n", key, strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(s))
		}
	}
	num := func(key string, x float64) {
		if x != 0 {
			fmt.Fprintf(&b, "%s = %s\n", key, fusion.Figure(x))
		}
	}
	size := func(before string, od int, sdr fusion.SDR) {
		num(before+"od_mm", float64(od))
		num(before+"sdr", float64(sdr))
	}
	pipe := func(od int, sdr fusion.SDR, m float64) {
		size("", od, sdr)
		fmt.Fprintf(&b, "length_m = %f\n", m)
	}
	ends := func(table string, list []End) {
		for _, e := range list {
			fmt.Fprintf(&b, "[[%s.ends]]\n", table)
			size("", e.OdMM, e.SDR)
			put("pipe", e.Pipe)
		}
	}
	put("site", p.Site)
	put("client", p.Client)
	put("firm", p.Firm)
	put("address", p.Address)
	put("version", p.Version)
	put("require.scraping", p.Scraping)
	num("require.longest_since_scraping_min", float64(p.ScrapedMin))
	put("require.pressure_test", p.PressureTest)
	words := func(key string, list []string) {
		if len(list) > 0 {
			fmt.Fprintf(&b, "%s = [\"%s\"]\n", key, strings.Join(list, "\", \""))
		}
	}
	words("require.before_welding", p.BeforeWelding)
	words("require.before_cover", p.BeforeCover)
	num("require.least_cover_m", p.LeastCoverM)
	num("require.set_out_within_m", p.SetOutWithinM)
	for _, c := range p.Chambers {
		b.WriteString("[[chamber]]\n")
		put("name", c.Name)
		put("lid", c.Lid)
		if c.LevelM != nil {
			fmt.Fprintf(&b, "chamber_level_m = %s\n", fusion.Figure(*c.LevelM))
		}
		if c.LidM != nil {
			fmt.Fprintf(&b, "lid_height_m = %s\n", fusion.Figure(*c.LidM))
		}
		for _, port := range c.Ports {
			fmt.Fprintf(&b, "[[chamber.ports]]\nno = %d\nrow = %q\nrail = %q\n", port.No, port.Row, port.Bar)
			size("", port.OdMM, port.SDR)
		}
		for _, k := range c.Circuits {
			fmt.Fprintf(&b, "[[chamber.circuit]]\nno = %d\nports = [%d, %d]\n", k.No, k.Ports[0], k.Ports[1])
			put("fitting", k.Fitting)
			put("tape", k.Tape)
			put("probe", k.Probe)
			pipe(k.OdMM, k.SDR, k.LengthM)
		}
		for _, h := range c.Headers {
			fmt.Fprintf(&b, "[[chamber.header]]\nway = %q\n", h.Way)
			put("fitting", h.Fitting)
			pipe(h.OdMM, h.SDR, h.LengthM)
			size("stub_", h.StubOdMM, h.StubSDR)
		}
	}
	for _, e := range p.Extra {
		b.WriteString("[[joint]]\n")
		put("label", e.Label)
		put("fitting", e.Fitting)
		put("where", e.Where)
		put("pipe", e.Pipe)
		size("", e.OdMM, e.SDR)
		ends("joint", e.Ends)
	}
	for _, f := range p.Factory {
		b.WriteString("[[factory]]\n")
		put("label", f.Label)
		put("where", f.Where)
		put("certificate", f.Certificate)
		put("chamber", f.Chamber)
		ends("factory", f.Ends)
	}
	return b.Bytes()
}

func TestRenderedPlanIsTheSame(t *testing.T) {
	for _, name := range []string{"hillfoot.toml", "orchard.toml", "weir.toml"} {
		p := loadPlan(t, name)
		back, err := Parse(render(p))
		if err != nil || !reflect.DeepEqual(back, p) {
			t.Errorf("%s came back as %+v, %v", name, back, err)
		}
	}
}

// The joints of an accepted plan have labels of their own that can be written,
// legs on two bars, and pipes with walls; and the plan reads the same again. A
// refused plan says why, in printable lines in the order of the file.
func FuzzParsePlan(f *testing.F) {
	faulttest.Seeds(f, "../../testdata/plans/*.toml", "../../testdata/bad/plan.txtar", 34)
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := Parse(data)
		if err != nil {
			faulttest.Printable(t, data, err)
			return
		}
		checkJoints(t, p.Joints())
		// Lengths are written with six decimals, so compare from there on.
		again, err := Parse(render(p))
		if err != nil {
			t.Fatalf("%+v is not readable again: %v", p, err)
		}
		third, err := Parse(render(again))
		if err != nil || !reflect.DeepEqual(third, again) || labelsOf(again.Joints()) != labelsOf(p.Joints()) {
			t.Fatalf("%+v came back as %+v, %v", again, third, err)
		}
	})
}

func checkJoints(t *testing.T, joints []Joint) {
	t.Helper()
	if len(joints) == 0 {
		t.Fatal("an accepted plan without joints")
	}
	seen := map[string]bool{}
	legs := map[string]string{}
	for _, j := range joints {
		label := strings.ToLower(j.Label)
		if label == "" || len(label) > 12 || label == "flow" || seen[label] ||
			strings.Trim(label, "abcdefghijklmnopqrstuvwxyz0123456789-.") != "" {
			t.Fatalf("the label %q", j.Label)
		}
		seen[label] = true
		for _, e := range j.Meet() {
			if _, ok := fusion.WallMM(e.OdMM, e.SDR); !ok && e.OdMM != 0 && e.SDR != 0 {
				t.Fatalf("%s: no pipe has %d mm and SDR %s", j.Label, e.OdMM, e.SDR)
			}
			if e.Stub == (e.Pipe != "") {
				t.Fatalf("%s: the end %+v", j.Label, e)
			}
		}
		if j.AskPlace == (j.Chamber != "") || j.Fitting == "" || j.Pipe == "" {
			t.Fatalf("%+v", j)
		}
		if j.Leg != "" && (j.Port == 0 || j.Row == "" || j.Bar == legs[j.Pipe]) {
			t.Fatalf("%s: port %d, row %q, bar %q, the other leg on %q", j.Label, j.Port, j.Row, j.Bar, legs[j.Pipe])
		}
		if j.Leg != "" {
			legs[j.Pipe] = j.Bar
		}
	}
}
