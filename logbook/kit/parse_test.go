package kit

import (
	"os"
	"reflect"
	"testing"

	"coolhold/fusion"
	"coolhold/logbook/fault/faulttest"
)

// Each file with faults has its exact lines behind it.
func TestBadKits(t *testing.T) {
	faulttest.Refused(t, "../../testdata/bad/kits.txtar", 18, Parse)
}

// The invented kit of the examples. 230 V and the pin sizes are from memory.
func TestParse(t *testing.T) {
	data, err := os.ReadFile("../../testdata/kits/brookside.toml")
	if err != nil {
		t.Fatal(err)
	}
	got, err := Parse(data)
	if err != nil {
		t.Fatal(err)
	}
	want := Kit{
		Units: []Unit{{
			Serial: "CU-208", InputKVA: new(3.5), InputVolts: new(230.0), InputVoltsLow: new(195.0), InputAmps: new(16.0),
			VoltsLow: new(8.0), VoltsHigh: new(48.0), LongestS: new(900), LeadPinsMM: []float64{4},
			Counts: CountsDown,
		}},
		Adapters:  []Adapter{{4, 4.7}},
		Generator: new(6.0), GeneratorVolts: new(230.0),
		Extension: &Extension{new(25.0), new(2.5), new(true)},
		Stock:     []Stock{{"reducer 40x32", 10}, {"coupler 63", 2}, {"elbow 63", 1}},
		Clamps:    []Clamp{{[]int{32, 40, 63}, new(4)}}, Scrapers: []Scraper{{RotaryTool, new(32), new(63)}}, Rerounders: []Rerounder{{[]int{32, 40, 63}}},
		EndCaps: []EndCap{{32, 12}, {40, 4}, {63, 4}}, Wipes: new(100), Markers: new(2),
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
}

// All but the serial may be left out, and what is left out stays not known.
func TestParseLittle(t *testing.T) {
	for data, want := range map[string]Kit{
		"[[unit]]\nserial = \"CU-1\"\n":                         {Units: []Unit{{Serial: "CU-1"}}},
		"\ufeff[generator]\r\n":                                 {},
		"[extension]\nlength_m = 0\n":                           {Extension: &Extension{LengthM: new(0.0)}},
		"[[adapter]]\nfrom_mm = 4\nto_mm = 4.7\n":               {Adapters: []Adapter{{4, 4.7}}},
		"[[stock]]\nfitting = \"x\"\ncount = 0\n":               {Stock: []Stock{{"x", 0}}},
		"[[unit]]\nserial = \"1\"\noutput_volts_low = 40\n":     {Units: []Unit{{Serial: "1", VoltsLow: new(40.0)}}},
		"[[clamp]]\nsizes_mm = [40]\n":                          {Clamps: []Clamp{{SizesMM: []int{40}}}},
		"[[scraper]]\nkind = \"hand scraper\"\n":                {Scrapers: []Scraper{{Kind: HandTool}}},
		"[[scraper]]\nkind = \"hand tool\"\n":                   {Scrapers: []Scraper{{Kind: HandTool}}}, // a former word
		"[[end_cap]]\nsize_mm = 40\ncount = 0\n":                {EndCaps: []EndCap{{40, 0}}},
		"[sundries]\n":                                          {},
		"[extension]\nunreeled = \"no\"\n":                      {Extension: &Extension{Unreeled: new(false)}},
		"unit = [{serial = \"1\", longest_seconds = 9999}]\n":   {Units: []Unit{{Serial: "1", LongestS: new(9999)}}},
		"[[unit]]\nserial = \"1\"\nlead_pins_mm = [4, 4.031]\n": {Units: []Unit{{Serial: "1", LeadPinsMM: []float64{4, 4.031}}}},
	} {
		got, err := Parse([]byte(data))
		if err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("%q: got %+v, %v, want %+v", data, got, err, want)
		}
	}
}

// Whatever a kit may declare can be computed with.
func TestBoundsCanBeComputedWith(t *testing.T) {
	for _, amps := range []float64{saneAmps.Low, saneAmps.High} {
		for _, length := range []float64{saneLength.Low, saneLength.High} {
			for _, section := range []float64{saneSection.Low, saneSection.High} {
				if _, err := fusion.CopperDrop(amps, length, section); err != nil {
					t.Error(err)
				}
			}
		}
	}
}

func TestReaches(t *testing.T) {
	k := Kit{Adapters: []Adapter{{4.7, 4}, {4, 6}}}
	for _, tc := range []struct {
		leads []float64
		pin   float64
		with  *Adapter
		ok    bool
	}{
		{[]float64{4}, 4, nil, true},
		{[]float64{4}, 4.03, nil, true}, // ±0.03 mm, ISO 8085-3 annex from memory
		{[]float64{4}, 4.04, nil, false},
		{[]float64{4}, 4.7, nil, false}, // no adapter is used the other way round
		{[]float64{4.7}, 4, &Adapter{4.7, 4}, true},
		{[]float64{4.7}, 6, nil, false}, // nor are two put together
		{[]float64{4.7, 4}, 6, &Adapter{4, 6}, true},
		{[]float64{4.7, 4}, 4, nil, true},
		{nil, 4, nil, false},
	} {
		with, ok := k.Reaches(Unit{LeadPinsMM: tc.leads}, tc.pin)
		if ok != tc.ok || !reflect.DeepEqual(with, tc.with) {
			t.Errorf("leads %v, pin %g: got %v, %t", tc.leads, tc.pin, with, ok)
		}
	}
}

func TestNamesInAKit(t *testing.T) {
	k := Kit{Units: []Unit{{Serial: "CU-1"}}, Stock: []Stock{{"coupler 40", 3}}}
	if n, ok := k.InVan(" Coupler  40"); n != 3 || !ok {
		t.Errorf("got %d, %t", n, ok)
	}
	if n, ok := k.InVan("coupler 63"); n != 0 || ok {
		t.Errorf("got %d, %t", n, ok)
	}
	if u, ok := k.Unit("cu-1 "); u.Serial != "CU-1" || !ok {
		t.Errorf("got %+v, %t", u, ok)
	}
	if _, ok := k.Unit("CU-2"); ok {
		t.Error("a unit that is not there was found")
	}
}
