package tui

import (
	"fmt"
	"reflect"
	"strings"
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/kit"
)

// A kit is typed from plates: what is left blank is not known, what a file would be
// refused for is said and mended, and it is taken as a file is.
func TestAKitTyped(t *testing.T) {
	log := hillfoot(t)
	d := driveReady(t, log, 80, 24, nil)
	d.keys("2")
	d.picks("type it")
	d.types("CU-208", "3.5", "230", "250", "", "8", "48", "900", "4 4.7")
	d.picks("down")
	d.sees("unit CU-208: 250 V is above input, 230 V")
	d.keys("1")
	d.sees("not taken:")
	if !chosenIs(d.frame(), "lowest input it allows") {
		t.Errorf("the cursor is not at the wrong line:\n%s", d.frame())
	}
	d.keys("enter")
	d.text("195")
	d.keys("1")
	d.sees("Kit: control unit 2")
	d.picks("no further one")
	d.types("6", "9")
	d.picks("one is used")
	d.types("25", "2.5")
	d.picks("yes")
	d.picks("rotary scraper")
	d.types("32 40 63", "40 63")
	d.sees("▸ clamps: how many sets", `one figure is asked here, "40 63" are several`)
	d.types("4063")
	d.sees(`"4063" is no whole number from 0 to 99 sets`)
	d.types("4", "")
	d.types("", "10", "2", "1", "", "")
	d.types("Tam Velding")
	d.sees("generator: 9 is outside 50…500 V")
	d.keys("1", "enter")
	d.text("230")
	d.sees("1: the kit is so, take it")
	d.keys("1")
	d.sees("Readiness:")
	if e := log.Newest(); e.Kind != "kit taken" || e.By != "Tam Velding" {
		t.Fatalf("the last entry is %+v", e)
	}
	got, _ := logbook.KitOf(log.site(t))
	f := func(x float64) *float64 { return &x }
	want := kit.Kit{
		Units:     []kit.Unit{{Serial: "CU-208", InputKVA: f(3.5), InputVolts: f(230), InputVoltsLow: f(195), VoltsLow: f(8), VoltsHigh: f(48), LongestS: new(900), LeadPinsMM: []float64{4, 4.7}, Counts: kit.CountsDown}},
		Generator: f(6), GeneratorVolts: f(230),
		Extension: &kit.Extension{LengthM: f(25), SectionMM2: f(2.5), Unreeled: new(true)},
		Stock:     []kit.Stock{{Fitting: "reducer 40x32", Count: 10}, {Fitting: "coupler 63", Count: 2}, {Fitting: "elbow 63", Count: 1}},
		Clamps:    []kit.Clamp{{SizesMM: []int{32, 40, 63}, Count: new(4)}},
		Scrapers:  []kit.Scraper{{Kind: kit.RotaryTool}},
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("typed\n%+v\nwant\n%+v", got, want)
	}
}

// A unit that is dropped leaves those before it; the kit itself is dropped only when Esc
// is pressed twice.
func TestAKitThatIsDropped(t *testing.T) {
	log := hillfoot(t)
	d := driveReady(t, log, 60, 20, nil)
	n := len(log.Entries)
	d.keys("2")
	d.picks("type it")
	d.types("CU-208", "", "", "", "", "", "", "", "")
	d.picks("not known")
	d.keys("1")
	d.picks("a further control unit")
	d.types("CU-209", "3.5")
	d.keys("esc", "esc")
	d.sees("Kit: control unit 2", "no further one")
	d.keys("esc")
	d.sees("Esc again drops the kit that is typed")
	d.keys("esc")
	d.sees("Readiness:")
	if len(log.Entries) != n {
		t.Error("something was stored")
	}
}

// A kit that was declared is typed again from what stands: one figure is put right, and
// what is not asked, adapters or tools of several kinds, stays as it was.
func TestAKitTypedAgain(t *testing.T) {
	c := ona(t)
	c.Opens(fileOf(t, "plans/hillfoot.toml").Text, fileOf(t, "tables/valley.toml").Text)
	c.Do(acts.TakeKit(c.H, fileOf(t, "kits/brookside.toml")))
	log := logOf(c.Memory)
	was, _ := logbook.KitOf(log.site(t))
	d := driveReady(t, log, 80, 24, nil)
	d.keys("pgdown", "2")
	d.picks("type it")
	for n := 1; n <= len(was.Units); n++ {
		d.sees(fmt.Sprintf("Kit: control unit %d", n), was.Units[n-1].Serial, "1: the unit is so")
		d.keys("1")
	}
	d.picks("no further one")
	d.sees("Kit: supply, tools, the van", "▸ declared by (name)")
	d.text("Tam Velding")
	d.goesTo("re-rounders for pipe of")
	d.keys("enter")
	d.text("32 40")
	d.keys("1")
	d.sees("Readiness:")
	if e := log.Newest(); e.Kind != "kit taken" || e.By != "Tam Velding" {
		t.Fatalf("the last entry is %+v\n%s", e, d.frame())
	}
	if top := strings.Split(d.frame(), "\n")[5]; strings.Contains(top, "in order:") {
		t.Errorf("readiness does not begin at its top:\n%s", d.frame())
	}
	got, _ := logbook.KitOf(log.site(t))
	want := was
	want.Rerounders = []kit.Rerounder{{SizesMM: []int{32, 40}}}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("typed again\n%+v\nwant\n%+v", got, want)
	}
}

// What the kit has is offered where a shift begins: serials and supply are not asked as
// if nobody knew them.
func TestAShiftOffersTheKit(t *testing.T) {
	c := ona(t)
	c.Opens(fileOf(t, "plans/hillfoot.toml").Text, fileOf(t, "tables/valley.toml").Text)
	c.Do(acts.TakeKit(c.H, fileOf(t, "kits/brookside.toml")))
	d := drive(t, logOf(c.Memory), monday, 80, 24)
	d.keys("3")
	d.types("Ada Invented", "", "")
	d.keys("2")
	d.sees("▸ control unit 1: serial", "Enter: CU-208")
	d.types("", "")
	d.keys("3")
	for !strings.Contains(d.frame(), "▸ generator") {
		d.keys("2")
		if strings.Contains(d.frame(), "▸ control unit 4") {
			break
		}
	}
	d.sees("▸ generator", "Enter: 6 kVA")
}
