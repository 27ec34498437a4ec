package tui

import (
	"errors"
	"reflect"
	"strings"
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/plan"
	"coolhold/tui/shell"
)

// opensInto lets the screens open a site in a log, as the program does.
func opensInto(t *testing.T, log *memLog) func(*shell.Outside) {
	return func(o *shell.Outside) {
		o.OpenSite = func(h acts.Head, _ string, p acts.File, tables []acts.File) (shell.Log, error) {
			_, err := log.Append(t.Context(), acts.OpenSite(h, p, tables))
			return log, err
		}
	}
}

// typesSite types the head of a plan.
func typesSite(d *driver) {
	d.t.Helper()
	d.types("Hillfoot barn", "Marta Quill", "Brookside", "1 Nowhere Lane")
	d.picks("either")
	d.types("km")
	d.sees("two letters for this laptop's log", "KM", "1: the site is so")
	d.keys("1")
}

// typesChamber types the chamber of the invented site: four circuits of 32 mm on stubs of
// 40 mm, two headers of 63 mm.
func typesChamber(d *driver) {
	d.t.Helper()
	d.types("", "", "40")
	d.picks("11")
	d.types("4")
	d.picks("the first half")
	d.picks("from ground")
	d.types("", "32")
	d.picks("11")
	d.types("200 200 180 180.5")
	d.picks("reducer 40x32")
	d.types("")
	d.picks("both, alike")
	d.types("63")
	d.picks("11")
	d.types("63")
	d.picks("11")
	d.types("18")
	d.picks("coupler 63")
}

// takesChamber reads what comes of a chamber to its end, both headers too, and takes it:
// not before.
func (d *driver) takesChamber() {
	d.t.Helper()
	d.sees("1: the chamber is so", "PgUp PgDn read on")
	d.lacks(" TG ")
	d.keys("1")
	d.sees("first read what comes of it to its end: PgDn")
	for range 12 {
		d.keys("pgdown")
	}
	d.sees("1: the chamber is so", " TG ")
	d.keys("1")
}

// typesRest types two more fittings of the invented table.
func typesRest(d *driver) {
	d.t.Helper()
	d.keys("1")
	d.picks("reducer")
	d.types("40x32", "")
	d.picks("SDR 11")
	d.types("39.5", "2.6", "", "44", "42", "40", "38", "36", "6")
	d.picks("nothing more")
	d.keys("1")
	d.picks("coupler")
	d.types("63", "")
	d.picks("SDR 11 and 17")
	d.types("39.5", "1.5", "8", "92", "88", "84", "80", "76", "9 9 10 10 11")
	d.picks("nothing more")
	d.keys("1")
	d.picks("no further fitting")
}

// goesTo moves the cursor to a line.
func (d *driver) goesTo(what string) {
	d.t.Helper()
	for range 60 {
		d.keys("up")
	}
	for range 60 {
		if chosenIs(d.frame(), what) {
			return
		}
		d.keys("down")
	}
	d.t.Fatalf("no line names %q:\n%s", what, d.frame())
}

// From the bare program a site is typed without a file: the plan is built from what was
// typed, shown back, and taken as a plan's file is; the joints are those of the file.
func TestASiteTypedWithoutFiles(t *testing.T) {
	log := newMemLog()
	d := driveWith(t, nil, monday, 80, 24, opensInto(t, log))
	d.sees("1  type the job in here", "2  open a site from a plan file", "3  see the worked example")
	d.keys("1")
	d.sees("▸ 1  fusion tables, typed from the bags")
	d.keys("enter")
	d.types("Valley", "")
	typesFirst(d)
	typesRest(d)
	d.sees("Valley (3 fittings)", "▸ 2  the site")
	d.keys("enter")
	typesSite(d)
	d.sees("Hillfoot barn", "▸ 3  chambers")
	d.keys("enter")
	typesChamber(d)
	d.takesChamber()
	d.sees("▸ 5  read the plan back")
	d.picks("joints outside")
	d.types("E1")
	d.picks("coupler 63")
	d.types("header from ground, before the wall")
	for range 20 {
		if !chosenIs(d.frame(), "the pipe of FG") {
			d.keys("down")
		}
	}
	d.keys("enter", "1", "5")
	d.sees("The plan as it was typed", "11 joints to weld:", "1A   reducer 40x32 · port 1 low, from ground")
	d.keys("1")
	d.sees("first read to the end of the plan: ↓")
	d.keys("pgdown", "pgdown")
	d.sees("E1   coupler 63 · pipe 63 mm SDR 11", "1: every joint is so, open the site")
	d.keys("1")
	d.sees("Hillfoot barn", "11 of 11 joints open")
	p := *log.site(t).Plan
	want := hillfootPlan(t)
	want.Site, want.Client, want.Firm, want.Address, want.Scraping, want.Chambers[0].Lid = "Hillfoot barn", "Marta Quill", "Brookside", "1 Nowhere Lane", "", ""
	want.Extra[0].Fitting, want.Extra[0].Where = "coupler 63", "header from ground, before the wall"
	if !reflect.DeepEqual(p, want) {
		t.Errorf("typed\n%+v\nwant\n%+v", p, want)
	}
}

func hillfootPlan(t *testing.T) plan.Plan {
	t.Helper()
	p, err := plan.Parse([]byte(fileOf(t, "plans/hillfoot.toml").Text))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// A site that is refused keeps all that was typed, and says why; what does not go
// together is said while it is typed.
func TestASiteThatIsRefusedKeepsWhatWasTyped(t *testing.T) {
	log := newMemLog()
	fails := errors.New("no space left on device")
	d := driveWith(t, nil, monday, 60, 20, func(o *shell.Outside) {
		opensInto(t, log)(o)
		into := o.OpenSite
		o.OpenSite = func(h acts.Head, tag string, p acts.File, tables []acts.File) (shell.Log, error) {
			if fails != nil {
				return nil, fails
			}
			return into(h, tag, p, tables)
		}
	})
	d.keys("1", "1")
	d.types("Valley", "")
	typesFirst(d)
	typesRest(d)
	d.keys("2")
	typesSite(d)
	d.keys("3")
	typesChamber(d)
	d.goesTo("its ports are numbered")
	d.keys("enter", "3") // rows and rails are typed: what that asks is asked
	d.types("1 2 3 4", "5 6 7 8", "1 2 3 5", "1 5", "2 6", "3 7", "4 8")
	d.sees("ports 1 and 5 are both on", "and 1 more")
	d.keys("1")
	d.sees("not taken:")
	d.goesTo("ports on the rail from ground")
	d.keys("enter")
	d.text("1 2 3 4")
	d.takesChamber()
	d.keys("5", "pgdown", "pgdown", "pgdown", "1")
	d.sees("not opened: no space left on device")
	fails = nil
	d.keys("1")
	d.sees("Hillfoot barn", "10 of 10 joints open")
	if j := log.typedJoint(t, "4B"); j.Port != 8 || len(log.site(t).Tables) != 1 {
		t.Errorf("what was typed is not what was taken: %+v", j)
	}
}

func (l *memLog) typedJoint(t *testing.T, label string) logbook.Joint {
	t.Helper()
	j, ok := l.Memory.Book.Joint(l.site(t).ID, label)
	if !ok {
		t.Fatalf("there is no joint %s", label)
	}
	return j
}

// Files are given one at a time; each is checked when it is given, what was typed stays
// at an error, and the error goes when the name is changed.
func TestFilesAreCheckedWhenTheyAreGiven(t *testing.T) {
	log := newMemLog()
	d := driveWith(t, nil, monday, 80, 24, func(o *shell.Outside) {
		opensInto(t, log)(o)
		o.ReadInput = func(what, name string) (shell.Input, error) {
			if strings.HasSuffix(name, "none.toml") {
				return shell.Input{}, errors.New("cannot read none.toml; check the name")
			}
			return shell.Input{File: fileOf(t, name), Says: "a " + what}, nil
		}
		o.Folder = func(_, dir string) (shell.Folder, error) {
			if dir == "" {
				return shell.Folder{Path: "/job", Above: "/", Names: []string{"tables/"}}, nil
			}
			return shell.Folder{Path: "tables", Above: "/job", Names: []string{"valley.toml", "ridge.toml"}}, nil
		}
	})
	d.keys("2")
	d.text("plans/none.toml")
	d.sees("cannot read none.toml; check the name", "plans/none.toml")
	d.keys("backspace")
	d.lacks("cannot read")
	d.sees("plans/none.tom")
	d.keys("esc", "2")
	d.text("plans/hillfoot.toml")
	d.sees("plan plans/hillfoot.toml: no fault found, a plan", "table file")
	d.keys("enter")
	d.sees("table file")
	d.keys("down")
	d.sees("table file: /job", "▸ ../")
	d.keys("down", "enter")
	d.sees("valley.toml", "ridge.toml")
	d.keys("down", "enter")
	d.sees("table tables/valley.toml: no fault found, a table", "a further table file")
	d.keys("enter")
	d.text("k9")
	d.sees("two letters A to Z are needed")
	d.keys("backspace", "m", "enter")
	d.sees("Hillfoot barn (invented)", "11 of 11 joints open")
}

// What the client wants looked at is typed beside the rest, by numbers, and its figures
// where one of them is wanted; the plan that is opened has it as a file's would.
func TestWhatIsLookedAtIsTyped(t *testing.T) {
	log := newMemLog()
	d := driveWith(t, nil, monday, 80, 24, opensInto(t, log))
	d.keys("1", "enter")
	d.types("Valley", "")
	typesFirst(d)
	typesRest(d)
	d.keys("enter")
	typesSite(d)
	d.sees("7  what is looked at before welding and cover, if wanted")
	d.keys("7")
	d.sees("before a chamber is welded", "1 chamber level · 2 lid height. Numbers with a blank")
	d.types("3")
	d.sees("is no whole number from 1 to 2")
	d.keys("backspace")
	d.types("2")
	d.sees("before the cover", "1 bed · 2 cover level", "10 photo")
	d.types("10 1 2")
	d.sees("least cover over the pipe, m")
	d.types("90")
	d.sees(`"90" is outside 0.1…20 m`)
	d.types("0.9")
	d.sees("how far a height may lie from its set-out, m")
	d.types("0.02")
	d.keys("1", "3")
	typesChamber(d)
	d.takesChamber()
	d.sees("before the cover: bed, cover level, photo;", "heights not asked yet: chamber A")
	d.keys("7")
	d.sees("chamber A: height of its lid as set out, m") // its level is not wanted
	d.types("102.5")
	d.sees("before the cover", "bed, cover level, photo", "1: this is to be looked at")
	d.keys("1")
	d.sees("before welding: lid height; before the cover: bed, cover level, photo")
	d.keys("5", "pgdown", "pgdown", "pgdown", "1")
	s := log.site(t)
	if got := []any{s.BeforeWelding, s.BeforeCover, s.LeastCoverM, s.SetOutWithinM, *s.Chambers[0].LidM, s.Chambers[0].LevelM}; !reflect.DeepEqual(got, []any{
		[]string{logbook.GroundLid}, []string{logbook.GroundBed, logbook.GroundCover, logbook.GroundPhoto}, 0.9, 0.02, 102.5, (*float64)(nil),
	}) {
		t.Errorf("opened with %v", got)
	}
}
