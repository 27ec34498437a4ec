package ready

import (
	"errors"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
	"coolhold/logbook/kit"
	"coolhold/logbook/plan"
)

// swap changes texts that must be there.
func swap(t *testing.T, s string, pairs ...string) string {
	t.Helper()
	for i := 0; i < len(pairs); i += 2 {
		if !strings.Contains(s, pairs[i]) {
			t.Fatalf("%q is not there", pairs[i])
		}
		s = strings.ReplaceAll(s, pairs[i], pairs[i+1])
	}
	return s
}

// with is the invented kit with some of its text changed.
func with(t *testing.T, pairs ...string) *kit.Kit {
	t.Helper()
	k, err := kit.Parse([]byte(swap(t, text(t, "kits/brookside.toml"), pairs...)))
	if err != nil {
		t.Fatal(err)
	}
	return &k
}

// Each change to a kit that was in order turns one line, and says by how much.
func TestKits(t *testing.T) {
	const cu = "CU-208: "
	v := outfitted(t)
	for _, tc := range []struct {
		slug  string
		pairs []string
		want  []string
	}{
		{"volts", []string{"= 8\n", "= 40\n"}, []string{
			"short: " + cu + "reducer 40x32 needs 39.5 V, its output is 40…48 V: 0.5 V too high",
			"short: " + cu + "coupler 63 needs 39.5 V, its output is 40…48 V: 0.5 V too high",
			"short: " + cu + "elbow 63 needs 39.5 V, its output is 40…48 V: 0.5 V too high",
		}},
		{"volts", []string{"= 48\n", "= 33.5\n"}, []string{
			"short: " + cu + "reducer 40x32 needs 39.5 V, its output is 8…33.5 V: 6 V short",
			"short: " + cu + "coupler 63 needs 39.5 V, its output is 8…33.5 V: 6 V short",
			"short: " + cu + "elbow 63 needs 39.5 V, its output is 8…33.5 V: 6 V short",
		}},
		{"volts", []string{"output_volts_low  = 8\n", ""}, []string{"not known: the output voltage of CU-208 from lowest to highest: to 48 V, from what is not declared"}},
		{"volts", []string{"output_volts_high = 48\n", ""}, []string{"not known: the output voltage of CU-208 from lowest to highest: from 8 V, to what is not declared"}},
		{"volts", []string{"output_volts_high = 48\n", "", "output_volts_low  = 8\n", ""}, []string{"not known: the output voltage of CU-208 from lowest to highest: not declared"}},
		{"volts", []string{"= 48\n", "= 39.5\n", "= 8\n", "= 39.5\n"}, []string{"in order: " + cu + "its output of 39.5…39.5 V covers 39.5 V"}},
		{"time", []string{"= 900", "= 84"}, []string{"short: " + cu + "elbow 63 needs 90 s, it can be set to 84 s at most: 6 s short"}},
		{"time", []string{"= 900", "= 90"}, []string{"in order: " + cu + "it can be set to 90 s, the longest time needed is 90 s (elbow 63)"}},
		{"time", []string{"longest_seconds   = 900\n", ""}, []string{"not known: the longest time that CU-208 can be set to: not declared"}},
		{"pins", []string{"[4.0]", "[4.7, 6]"}, []string{
			"short: " + cu + "its leads of 4.7 and 6 mm do not take the pins of reducer 40x32, 4 mm: an adapter from 4.7 to 4 mm is missing",
			"short: " + cu + "its leads of 4.7 and 6 mm do not take the pins of coupler 63, 4 mm: an adapter from 4.7 to 4 mm is missing",
			"short: " + cu + "its leads of 4.7 and 6 mm do not take the pins of elbow 63, 4 mm: an adapter from 4.7 to 4 mm is missing",
		}},
		{"pins", []string{"[4.0]", "[4.7]", "from_mm = 4.0\nto_mm   = 4.7", "from_mm = 4.7\nto_mm   = 4.0"}, []string{
			"in order: " + cu + "its leads take the pins of reducer 40x32 (4 mm, by an adapter from 4.7 mm), coupler 63 (4 mm, by an adapter from 4.7 mm), elbow 63 (4 mm, by an adapter from 4.7 mm)",
		}},
		{"pins", []string{"lead_pins_mm      = [4.0]\n", ""}, []string{"not known: which pins the leads of CU-208 take: not declared"}},
		{"power", []string{"kva = 6", "kva = 1"}, []string{"short: elbow 63 takes 1114 W, the generator gives 1 kVA: 0.11 kVA short at least"}},
		{"power", []string{"kva = 6\n", ""}, []string{"not known: what the generator gives in kVA; elbow 63 takes 1114 W"}},
		{"plate", []string{"kva = 6", "kva = 3"}, []string{"short: " + cu + "its plate input is 3.5 kVA, the generator gives 3 kVA: 0.5 kVA short"}},
		{"plate", []string{"kva = 6", "kva = 3.5"}, []string{"no shortage found: " + cu + "its plate input is 3.5 kVA, the generator gives 3.5 kVA"}},
		{"plate", []string{"input_kva         = 3.5\n", ""}, []string{"not known: the plate input of CU-208 in kVA: not declared"}},
		{"plate", []string{"kva = 6\n", ""}, []string{"not known: what the generator gives in kVA; the plate of CU-208 says 3.5 kVA"}},
		// 16 A · 0.0172 · 2 · 180 m / 2.5 mm² = 39.63 V, derived.
		{"extension", []string{"= 25 ", "= 180 "}, []string{"short: " + cu + "180 m of 2.5 mm² lose 39.63 V at 16 A, 17.2 % of 230 V; 190.4 V are left, its instructions ask for 195 V: 4.6 V short"}},
		{"extension", []string{"= 25 ", "= 0 "}, []string{"no shortage found: no extension between generator and unit, so nothing is lost in one"}},
		{"extension", []string{"input_amps        = 16\n", ""}, []string{"not known: what 25 m of 2.5 mm² lose: the input amperes of CU-208 are not declared"}},
		{"extension", []string{"volts = 230\n", "volts = 200\n"}, []string{"short: " + cu + "25 m of 2.5 mm² lose 5.50 V at 16 A, 2.8 % of 200 V; 194.5 V are left, its instructions ask for 195 V: 0.5 V short"}},
		{"extension", []string{"volts = 230\n", ""}, []string{"no shortage found: " + cu + "25 m of 2.5 mm² lose 5.50 V at 16 A, 2.4 % of 230 V; 224.5 V are left, its instructions ask for 195 V"}},
		{"extension", []string{"volts = 230\n", "", "input_volts       = 230\n", ""}, []string{"not known: " + cu + "25 m of 2.5 mm² lose 5.50 V at 16 A; what part of its input that is: its input volts are not declared"}},
		{"extension", []string{"input_volts_low   = 195 ", "# "}, []string{"not known: " + cu + "25 m of 2.5 mm² lose 5.50 V at 16 A, 2.4 % of 230 V; how much it allows stands in its own instructions (input_volts_low)"}},
		{"extension", []string{"section_mm2 = 2.5\n", ""}, []string{"not known: the cross-section of the extension: declare its section_mm2"}},
		{"extension", []string{"length_m    = 25 ", "# "}, []string{"not known: how long the extension between generator and unit is: declare its length_m, 0 where there is none"}},
		{"mains", nil, []string{"no shortage found: " + cu + "the generator gives 230 V, its instructions ask for 195 V at least"}},
		{"mains", []string{"volts = 230\n", ""}, nil},
		{"mains", []string{"volts = 230\n", "volts = 110\n"}, []string{"short: " + cu + "the generator gives 110 V, its instructions ask for 195 V: 85 V short"}},
		{"mains", []string{"volts = 230\n", "volts = 400\n"}, []string{"not known: " + cu + "the generator gives 400 V, its plate says 230 V: see in its instructions whether that is allowed"}},
		{"mains", []string{"volts = 230\n", "volts = 220\n", "input_volts_low   = 195 ", "# "}, []string{"not known: " + cu + "the generator gives 220 V, its plate says 230 V: see in its instructions whether that is allowed"}},
		{"mains", []string{"input_volts_low   = 195 ", "# "}, []string{"no shortage found: " + cu + "the generator gives 230 V, as its plate says"}},
		{"mains", []string{"input_volts_low   = 195 ", "# ", "input_volts       = 230\n", ""}, []string{"not known: " + cu + "the generator gives 230 V; what it works with is not declared"}},
		{"unreel", nil, []string{"in order: the extension is unreeled fully before use"}},
		{"unreel", []string{`unreeled    = "yes"`, `unreeled    = "no"`}, []string{"open: the extension is not unreeled fully: unreel it fully before use"}},
		{"unreel", []string{`unreeled    = "yes"`, ""}, []string{"not known: whether the extension is unreeled fully: not declared; unreel it fully before use"}},
		{"unreel", []string{"= 25 ", "= 0 "}, nil},
		{"clamps", nil, []string{"in order: clamps: declared for 32, 40 and 63 mm"}},
		{"clamps", []string{"sizes_mm = [32, 40, 63]\ncount    = 4", "sizes_mm = [32]\ncount = 4\n[[clamp]]\nsizes_mm = [40]\ncount = 0"}, []string{"short: clamps: none is declared for 40 and 63 mm"}},
		{"scrapers", nil, []string{"in order: scrapers (the plan requires a rotary scraper): declared for 32, 40 and 63 mm"}},
		{"scrapers", []string{"to_mm   = 63", "to_mm = 50"}, []string{"short: scrapers (the plan requires a rotary scraper): none is declared for 63 mm"}},
		{"scrapers", []string{"rotary scraper", "hand scraper"}, []string{"short: scrapers (the plan requires a rotary scraper): none is declared for 32, 40 and 63 mm"}},
		{"scrapers", []string{"from_mm = 32\nto_mm   = 63", ""}, []string{"not known: for which sizes the rotary scraper is: declare its from_mm and to_mm"}},
		{"rerounders", nil, []string{"in order: re-rounders: declared for 32, 40 and 63 mm"}},
		{"rerounders", []string{"[[rerounder]]\nsizes_mm = [32, 40, 63]", "[[rerounder]]\nsizes_mm = [32, 40]"}, []string{"open: re-rounders: none is declared for 63 mm: see whether that pipe is round enough"}},
		{"end caps", nil, []string{"in order: end caps: declared for 32, 40 and 63 mm"}},
		{"end caps", []string{"count   = 12", "count   = 0"}, []string{"open: end caps: none is declared for 32 mm: tape those ends; open ends are kept closed at all times (UFGS 15741N 3.2)"}},
		{"wipes", nil, []string{"in order: wipes: 100; how many the day takes is yours to judge"}},
		{"wipes", []string{"wipes   = 100", "wipes = 0"}, []string{"short: wipes: none"}},
		{"markers", []string{"markers = 2", "markers = 0"}, []string{"short: markers for the pipe: none"}},
		{"tools", nil, nil},
		{"tools", []string{"wipes   = 100\n", "", "volts = 230\n", ""}, []string{"not known: the generator's volts, wipes: not declared"}},
		{"kit", []string{"CU-208", "CU-301"}, []string{"not known: what control unit CU-208 of the shift can do: the kit does not declare it"}},
		{"pick", []string{"count   = 10", "count   = 7", "fitting = \"elbow 63\"", "fitting = \"elbow 40\""}, []string{
			"short: reducer 40x32: 8 needed, 7 in the van: 1 short",
			"in order: coupler 63: 2 needed, 2 in the van",
			"short: elbow 63: 1 needed, not among what is in the van: 1 short",
		}},
	} {
		wantLines(t, v.check(Given{Expect: mild, Kit: with(t, tc.pairs...)}), tc.slug, tc.want...)
	}
}

// A kit may leave out nearly everything.
func TestBareKits(t *testing.T) {
	v := outfitted(t)
	lines := v.check(Given{Expect: mild, Kit: &kit.Kit{}})
	wantLines(t, lines, "kit", "not known: what the control units can do: the kit declares none")
	wantLines(t, lines, "pick", "not known: what is in the van; needed are 8 × reducer 40x32, 2 × coupler 63, 1 × elbow 63")
	wantLines(t, lines, "tools", "not known: the generator's volts, clamps, scrapers, re-rounders, end caps, wipes, markers: not declared")
	two := &kit.Kit{Units: []kit.Unit{{Serial: "A", InputKVA: new(4.0)}, {Serial: "CU-208", InputKVA: new(3.0)}}, Generator: new(3.5)}
	lines = v.check(Given{Expect: mild, Kit: two})
	wantLines(t, lines, "plate", "short: A: its plate input is 4 kVA, the generator gives 3.5 kVA: 0.5 kVA short", "no shortage found: CU-208: its plate input is 3 kVA, the generator gives 3.5 kVA")
	for _, l := range lines {
		if l.Slug == "plate" && (!l.Assumed || !strings.Contains(l.Basis, "one unit runs at a time")) {
			t.Errorf("that the units run one at a time is assumed and not said: %s", l.Ground())
		}
	}
}

// The line about power can turn short and never in order, whatever is declared.
func TestPowerIsNeverInOrder(t *testing.T) {
	v := outfitted(t)
	for _, kva := range []string{"0.5", "1.2", "6", "500"} {
		for _, l := range v.check(Given{Expect: mild, Kit: with(t, "kva = 6", "kva = "+kva)}) {
			if (l.Slug == "power" || l.Slug == "plate" || l.Slug == "extension") && l.State == InOrder {
				t.Errorf("%s kVA: %s", kva, l)
			}
		}
	}
}

func TestAmbient(t *testing.T) {
	v := outfitted(t)
	for _, tc := range []struct {
		expect Range
		want   string
	}{
		{Range{-10_00, 40_00}, "in order: elbow 63: -10…40 °C lies in its bands, -10…40 °C"},
		{Range{-10_49, 40_50}, "in order: elbow 63: -10.49…40.5 °C lies in its bands, -10…40 °C"}, // a half goes to the colder degree
		{Range{-12_00, 5_00}, "short: elbow 63: -12…5 °C is not all in its bands, -10…40 °C: 2 °C short at the cold end; no time is ever extrapolated"},
		{Range{-11_00, 43_00}, "short: elbow 63: -11…43 °C is not all in its bands, -10…40 °C: 1 °C short at the cold end, 3 °C short at the warm end; no time is ever extrapolated"},
		{Range{-10_50, 40_51}, "short: elbow 63: -10.5…40.51 °C is not all in its bands, -10…40 °C: 1 °C short at the cold end, 1 °C short at the warm end; no time is ever extrapolated"},
		{Range{41_00, 41_00}, "short: elbow 63: 41 °C is not in its bands, -10…40 °C: 1 °C short at the warm end; no time is ever extrapolated"},
	} {
		got := said(v.check(Given{Expect: &tc.expect}), "ambient")
		if len(got) != 3 || got[2] != tc.want {
			t.Errorf("%s: got %q, want %q", tc.expect, got, tc.want)
		}
	}
}

// The longest time is taken over the bands that the temperature touches.
func TestBandsThatCount(t *testing.T) {
	v := outfitted(t)
	for _, tc := range []struct {
		expect *Range
		want   string
		ground string
	}{
		{&Range{4_51, 14_50}, "90 s (elbow 63)", "assumed: "},
		{&Range{5_00, 5_00}, "90 s (elbow 63)", "the bands of 5 °C count"},
		{&Range{14_50, 14_50}, "90 s (elbow 63)", "the bands of 14.5 °C count"},
		{&Range{4_50, 14_00}, "94 s (elbow 63)", "the bands of 4.5…14 °C count"},
		{&Range{30_00, 30_00}, "82 s (elbow 63)", "the bands of 30 °C count"},
		{&Range{-20_00, -15_00}, "98 s (elbow 63)", "every band of the table counts"},
		{nil, "98 s (elbow 63)", "every band of the table counts"},
	} {
		for _, l := range v.check(Given{Expect: tc.expect}) {
			if l.Slug == "time" && (!strings.HasSuffix(l.Says, tc.want) || !strings.Contains(l.Ground(), tc.ground) || !l.Assumed) {
				t.Errorf("%v: got %s, %s", tc.expect, l, l.Ground())
			}
		}
	}
}

// The reading of today counts unless a range is given; yesterday's does not.
func TestReadings(t *testing.T) {
	v := outfitted(t)
	v.put(logbook.AmbientRead{C: 9_50, How: logbook.Typed})
	lines := v.check(Given{})
	if got := said(lines, "ambient"); len(got) != 3 || got[0] != "in order: reducer 40x32: 9.5 °C lies in its bands, -10…40 °C" {
		t.Errorf("got %q", got)
	}
	for _, l := range lines {
		if (l.Slug == "ambient" || l.Slug == "time") && (l.Assumed || !strings.Contains(l.Basis, "read today at 08:00")) {
			t.Errorf("%s: %s", l, l.Ground())
		}
	}
	if got := said(v.check(Given{Expect: &Range{10_00, 14_00}}), "ambient"); len(got) != 4 || got[0] != "open: 9.5 °C was read today, outside the 10…14 °C that you expect: give another range" {
		t.Errorf("got %q", got)
	}
	if got := said(v.check(Given{Now: morning.Add(24 * 3600e9)}), "ambient"); len(got) != 1 || !strings.HasPrefix(got[0], "not known: ") {
		t.Errorf("a reading of yesterday counts: %q", got)
	}
}

// A joint that is welded needs no fitting any more: the list shrinks with it.
func TestOnlyOpenJointsCount(t *testing.T) {
	v := outfitted(t)
	for _, label := range []string{"FG", "TG", "E1"} {
		v.Do(acts.StrikeJoint(v.H, label, "not built (invented)"))
	}
	lines := v.check(Given{Expect: mild})
	wantLines(t, lines, "pick", "in order: reducer 40x32: 8 needed, 10 in the van")
	for i := range 4 {
		for _, leg := range []string{"A", "B"} {
			v.Do(acts.StrikeJoint(v.H, string(rune('1'+i))+leg, "not built (invented)"))
		}
	}
	if lines = v.check(Given{}); len(lines) != 1 || lines[0].String() != "in order: no joint is open, so nothing is needed" {
		t.Errorf("got %v", lines)
	}
}

// What was fused since the kit was declared is no longer in the van, and is said;
// of a walk given up nobody knows whether its fitting is still good.
func TestThePickCountsWhatIsUsed(t *testing.T) {
	valley := text(t, "tables/valley.toml")
	v := arrived(t, valley)
	v.Do(acts.ReadBack(v.H, logbook.Hash(valley)), acts.TakeKit(v.H, acts.File{Name: "brookside.toml", Text: text(t, "kits/brookside.toml")}))
	v.StartShift("2026-03-09")
	v.Wait(time.Minute)
	v.Fused("FG")
	wantLines(t, v.check(Given{Expect: mild}), "pick",
		"in order: reducer 40x32: 8 needed, 10 in the van",
		"in order: coupler 63: 1 needed, 1 left in the van (2 declared, 1 fused since)",
		"in order: elbow 63: 1 needed, 1 in the van")
	wantLines(t, v.check(Given{Expect: mild, Kit: with(t, "count   = 2", "count   = 1")}), "pick", // as it is now
		"in order: reducer 40x32: 8 needed, 10 in the van", "in order: coupler 63: 1 needed, 1 in the van", "in order: elbow 63: 1 needed, 1 in the van")
	v.Do(acts.AbandonWalk(v.H, v.Fitted("TG"), "dropped (invented)"))
	got := said(v.check(Given{Expect: mild}), "pick")
	if want := "not known: coupler 63: 1 needed, 1 left in the van (2 declared, 1 fused since); 1 walk given up since, not counted: see whether its fitting is still good"; got[1] != want {
		t.Errorf("got %s, want %s", got[1], want)
	}
}

// A site whose plan requires no method takes any scraper; a hand scraper without a
// range is for every size.
func TestScrapersOfAnyKind(t *testing.T) {
	v := &van{crew.Empty(t)}
	v.H.At, v.H.By = morning, ona
	v.Opens(swap(t, text(t, "plans/hillfoot.toml"), `scraping = "rotary scraper"`, ""), text(t, "tables/valley.toml"))
	for _, tt := range []struct{ was, is, want string }{
		{"to_mm   = 63", "to_mm = 63", "in order: scrapers: declared for 32, 40 and 63 mm"},
		{"kind    = \"rotary scraper\"\nfrom_mm = 32\nto_mm   = 63", "kind = \"hand scraper\"", "in order: scrapers: declared for 32, 40 and 63 mm"},
		{"kind    = \"rotary scraper\"\nfrom_mm = 32\nto_mm   = 63", "kind = \"hand scraper\"\nfrom_mm = 20\nto_mm = 40", "short: scrapers: none is declared for 63 mm"},
	} {
		wantLines(t, v.check(Given{Expect: mild, Kit: with(t, tt.was, tt.is)}), "scrapers", tt.want)
	}
}

// Rows that are missing, stopped, or not made for the pipe.
func TestRows(t *testing.T) {
	valley := text(t, "tables/valley.toml")
	later := swap(t, valley, `"elbow 63"`, `"elbow 75"`, "sizes_mm           = [63]\nindicators         = 2\nsdr                = [11, 17]\nvolts              = 39.5\nseconds            = [92",
		"sizes_mm           = [75]\nindicators         = 2\nsdr                = [11, 17]\nvolts              = 39.5\nseconds            = [92", "pin_mm             = 4.0\n", "", "ohms               = 2.6\n", "")
	// At first no table has a coupler of 63 mm, so the plan is taken; the table that
	// comes after it has another size.
	v := arrived(t, swap(t, later, `"coupler 63"`, `"coupler 75"`, "Valley Fittings", "Other Fittings"))
	v.Do(acts.TakeTable(v.H, acts.File{Name: "later.toml", Text: later}))
	s, _ := v.Book.Site(v.H.Site)
	v.Do(acts.ReadBack(v.H, s.Tables[0].Hash), acts.ReadBack(v.H, s.Tables[1].Hash))
	v.Do(acts.AddJoint(v.H, plan.Joint{Label: "E2", Fitting: "cap 40", Where: "end (invented)"}, "let in (invented)"))
	lines := v.check(Given{Expect: mild, Kit: with(t)})
	wantLines(t, lines, "row",
		`in order: reducer 40x32: in table "Valley Fittings, all sizes (invented)", read back by Ona Brill; fits 1A, 2A, 3A, 4A, 1B, 2B, 3B, 4B`,
		"short: elbow 63 is in no table of this site: 1 row missing for E1")
	wantLines(t, lines, "fits",
		"short: FG: stub 63 mm SDR 11: coupler 63 takes 75 mm", "short: TG: stub 63 mm SDR 11: coupler 63 takes 75 mm",
		"not known: whether cap 40 fits at E2: the plan does not state size and SDR of all that meets there")
	wantLines(t, lines, "pins",
		"not known: the pin size of reducer 40x32: its table prints none; read it off the fitting and try the leads",
		"not known: the pin size of coupler 63: its table prints none; read it off the fitting and try the leads",
		"not known: the pin size of cap 40: its table prints none; read it off the fitting and try the leads")
	wantLines(t, lines, "power",
		"not known: the power of reducer 40x32: its table prints no resistance", "not known: the power of cap 40: its table prints no resistance",
		"no shortage found: coupler 63 takes 1040 W, the generator gives 6 kVA")
}

func TestStoppedRow(t *testing.T) {
	v := outfitted(t)
	s, _ := v.Book.Site(v.H.Site)
	v.put(logbook.BagRead{Fitting: "elbow 63", Batch: "W-1", Table: s.Tables[0].Hash, Seconds: 60})
	got := said(v.check(Given{Expect: mild}), "row")
	if len(got) != 3 || got[2] != `short: elbow 63: its row in table "Valley Fittings, all sizes (invented)" is stopped by a bag: a corrected table is missing` {
		t.Errorf("got %q", got)
	}
}

// Dates are compared by the day; the last one is still in.
func TestDates(t *testing.T) {
	for _, tc := range []struct {
		expiry, calibrated string
		want               []string
	}{
		{"2026-03-09", "2025-03-09", []string{
			"in order: the qualification of Ona Brill runs out on 2026-03-09, in 0 days", "in order: the calibration of CU-208 runs out on 2026-03-09, in 0 days",
		}},
		{"2026-03-08", "2025-03-08", []string{
			"short: the qualification of Ona Brill expired 1 day ago, on 2026-03-08", "short: the calibration of CU-208 expired 1 day ago, on 2026-03-08",
		}},
		{"2026-04-08", "2025-04-08", []string{
			"in order: the qualification of Ona Brill runs out on 2026-04-08, in 30 days", "in order: the calibration of CU-208 runs out on 2026-04-08, in 30 days",
		}},
		{"2026-04-09", "2025-04-09", []string{
			"in order: the qualification of Ona Brill is valid to 2026-04-09", "in order: the calibration of CU-208 is valid to 2026-04-09",
		}},
		{"", "", []string{
			"not known: Ona Brill: card expiry not given", "not known: when control unit CU-208 was calibrated: not stated",
		}},
		{"soon", "2026-03-10", []string{
			"not known: Ona Brill: card expiry not given", "not known: when control unit CU-208 was calibrated: 2026-03-10 is still to come",
		}},
	} {
		v := arrived(t, text(t, "tables/valley.toml"))
		b := day()
		b.Operators[0].Expiry, b.Units[0].Calibrated = tc.expiry, tc.calibrated
		v.Do(acts.StartShift(v.H, b))
		lines := v.check(Given{})
		wantLines(t, lines, "qualification", tc.want[0])
		wantLines(t, lines, "calibration", tc.want[1])
		v.Do(acts.CloseShift(v.H))
		for _, l := range v.check(Given{}) {
			if l.Slug == "qualification" && (!l.Assumed || !strings.Contains(l.Basis, "those of the last shift, 2026-03-09")) {
				t.Errorf("that the last shift's people come again is assumed and not said: %s", l.Ground())
			}
		}
	}
}

// Nothing that stands in a stored text acts on a screen.
func TestLinesAreClean(t *testing.T) {
	v := arrived(t, text(t, "tables/valley.toml"))
	b := day()
	b.Operators[0].Name = "Ona\x1b[2J"
	v.Do(acts.StartShift(v.H, b))
	for _, l := range v.check(Given{}) {
		if strings.ContainsRune(l.String()+l.About+l.Basis, 0x1b) {
			t.Errorf("%q", l)
		}
	}
}

func TestParseRange(t *testing.T) {
	for in, want := range map[string]string{
		"5..14": "5…14 °C", "-2,5..0": "-2.5…0 °C", " -10 … 40 ": "-10…40 °C", "7..7": "7 °C", "−3..−1": "-3…-1 °C",
	} {
		if r, err := ParseRange(in); err != nil || r.String() != want {
			t.Errorf("%q: got %s, %v", in, r, err)
		}
	}
	for in, want := range map[string]string{
		"":         `"" is not a range of temperatures: write it as -2..14, the colder end first`,
		"14":       `"14" is not a range`,
		"14..5":    "14 to 5 °C is not a range of temperatures: the colder end comes first",
		"..5":      `"" is not a temperature`,
		"5..":      `"" is not a temperature`,
		"5..warm":  `"warm" is not a temperature`,
		"5..400":   "not a temperature of the air on a site",
		"1..2..3":  `"2..3" is not a temperature`,
		"nan..inf": `"nan" is not a temperature`,
		"a range that is far too long to be quoted": `"a range that is far…" is not a range`,
	} {
		if r, err := ParseRange(in); !errors.Is(err, ErrRange) || !strings.Contains(err.Error(), want) || r != (Range{}) {
			t.Errorf("%q: got %v, %v", in, r, err)
		}
	}
}
