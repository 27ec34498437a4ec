package plan

import (
	"os"
	"reflect"
	"strings"
	"testing"
)

// Two plans of one site: in each case one text stands for another.
func TestDiffer(t *testing.T) {
	data, err := os.ReadFile("../../testdata/plans/hillfoot.toml")
	if err != nil {
		t.Fatal(err)
	}
	tests := []struct{ old, now, want string }{
		{"Marta Quill", "Nora Quill", "client Marta Quill (invented) / Nora Quill (invented)"},
		{"Marta Quill", "MARTA  quill", ""},
		{"# An invented site", "# Retyped:", ""},
		{"site    =", "version = \"B\"\nsite    =", ""},
		{"ports    = [1, 5]", "ports    = [1, 6]\n#", "joint 1B port 5 / 6; joint 2B port 6 / 5"},
		{"[require]\n", "[require]\nbefore_welding = [\"lid height\"]\nbefore_cover = [\"photo\", \"bed\"]\nleast_cover_m = 0.9\nset_out_within_m = 0.02\n",
			"before welding none / lid height; before cover none / bed, photo; least cover none / 0.9 m; set-out within none / 0.02 m"},
		{"stub_od_mm = 40", "stub_od_mm = 40\nchamber_level_m = 0\nlid_height_m = 1.5", "chamber A level none / 0 m; chamber A lid height none / 1.5 m"},
		{"no = 8, row = \"high\"", "no = 8, row = \"low\"", "chamber A port 8 row high / low"},
		{"stub_od_mm = 40", "stub_od_mm = 50", "chamber A port 1 stub 40 mm SDR 11 / 50 mm SDR 11"},
		{"length_m = 200", "length_m = 210", "joint 1A length 200 m / 210 m; joint 1B length 200 m / 210 m"},
		{"\"elbow 63\"", "\"elbow 90\"", "joint E1 fitting elbow 63 / elbow 90"},
		{"label   = \"E1\"", "label   = \"E2\"", "joint E1 is in the plan / none; joint E2 none / is in the plan"},
	}
	for _, tt := range tests {
		text := strings.Replace(string(data), tt.old, tt.now, 1)
		if strings.HasPrefix(tt.old, "ports    = [1") { // no port is taken twice
			text = strings.Replace(text, "ports    = [2, 6]", "ports    = [2, 5]", 1)
		}
		a, errA := Parse(data)
		b, errB := Parse([]byte(text))
		if errA != nil || errB != nil {
			t.Fatalf("%q: %v, %v", tt.now, errA, errB)
		}
		var got []string
		for _, d := range Differ(a, b) {
			got = append(got, d.String())
		}
		if all := strings.Join(got, "; "); all != tt.want && (tt.want == "" || !strings.HasPrefix(all, tt.want)) {
			t.Errorf("%q for %q differs in %q, want %q", tt.now, tt.old, all, tt.want)
		}
	}
}

// Whatever a joint holds is compared: none of its fields can be unlike unseen, but for
// what follows from its port or its chamber.
func TestEveryFieldOfAJointIsCompared(t *testing.T) {
	follows := []string{"Label", "Row", "Bar", "AskPlace"}
	kind := reflect.TypeOf(Joint{})
	for i := range kind.NumField() {
		f := kind.Field(i)
		if strings.Contains(strings.Join(follows, " "), f.Name) {
			continue
		}
		a, b := Joint{Label: "1A"}, Joint{Label: "1A"}
		switch v := reflect.ValueOf(&b).Elem().Field(i); v.Kind() {
		case reflect.String:
			v.SetString("x")
		case reflect.Int:
			v.SetInt(7)
		case reflect.Float64:
			v.SetFloat(7)
		case reflect.Slice:
			v.Set(reflect.ValueOf([]End{{OdMM: 40}}))
		default:
			t.Fatalf("%s is of kind %s: say how it is changed", f.Name, v.Kind())
		}
		if f.Name == "Leg" {
			a.Circuit, b.Circuit = 1, 1
		}
		if len(a.Unlike(b)) == 0 {
			t.Errorf("joints of unlike %s are said to be alike", f.Name)
		}
	}
}

// What is stored of a thing that one plan lacks is a code; a client of that name is
// himself.
func TestADifferenceIsStoredAsACode(t *testing.T) {
	d := differences{}
	d.byName(jointsBy([]Joint{{Label: "1A"}}), jointsBy(nil))
	if want := (Difference{Of: "joint 1A", A: "there"}); len(d.found) != 1 || d.found[0] != want {
		t.Errorf("stored as %+v", d.found)
	}
	if got := (Difference{What: "client", A: "there"}).String(); got != "client there / none" {
		t.Error(got)
	}
}
