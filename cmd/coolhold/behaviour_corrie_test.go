package main

import (
	"strings"
	"testing"
	"time"
)

// Corrie Lane is the larger script: three chambers, two operators, two control
// units, four days. All people, places, makers and figures are invented, except
// those that its tables name.
const corrie = "testdata/behaviour/corrie/"

const (
	wren  = "Wren Ashdown"
	ilka  = "Ilka Morrow"
	bryn  = "Bryn Calder" // the foreman
	odile = "Odile Fenn"  // the office
)

func corrieLane(t *testing.T) *told {
	s := tells(newDoor(t, "2026-03-16 07:10"))
	s.done("site", "new", "--tag", "CL", "--plan", corrie+"plan.toml", "--table", corrie+"sorrel.toml", "--table", corrie+"bracken.toml")
	s.done("site", "kit", corrie+"kit.toml", "--by", ilka)
	s.found("ready", "--expect", "5..12")
	corrieBegins(s)
	corrieMorning(s)
	corrieTrouble(s)
	corrieForenoon(s)
	corrieAfternoon(s)
	corrieEvening(s)
	corrieTuesday(s)
	corrieWednesday(s)
	corrieCorrections(s)
	corrieThursday(s)
	corrieDesk(s)
	corrieLast(s)
	return s
}

// corrieBegins reads the tables back and starts the shift.
func corrieBegins(s *told) {
	b := s.board()
	b.press("5", "enter")
	b.answers("every figure is as printed", "1")
	b.types("compared by", ilka)
	b.press("2", "enter")
	b.answers("every figure is as printed", "1")
	b.types("compared by", wren)
	b.press("esc", "3")
	b.types("operator 1: name", wren)
	b.write("W-311 (invented)")
	b.write("2027-05-31")
	b.answers("another operator", "1")
	b.types("operator 2: name", ilka)
	b.write("I-98 (invented)")
	b.write("2026-03-01") // over since
	b.answers("another operator", "2")
	b.types("control unit 1: serial", "CU-412")
	b.write("2025-11-03")
	b.answers("does it correct", "2")
	b.answers("another control unit", "1")
	b.types("control unit 2: serial", "CU-500")
	b.press("enter") // no calibration known
	b.answers("does it correct", "1")
	b.answers("another control unit", "2")
	b.types("generator", "8 kVA, behind the boiler house")
	b.types("thermometer", "TH-9")
	b.answers("weather", "2", "1")
	b.sees("41 of 41 joints open.", "Next: ")
}

// corrieMorning is three welds as they should go, on both units, and one at
// another port than the plan's.
func corrieMorning(s *told) {
	s.is("2026-03-16 07:40")
	b := s.board()
	b.makes(welded("Dew-1A", func(m *making) { m.port, m.bag, m.ambient = "1", "1", "8.5" }))
	s.is("2026-03-16 07:52")
	b.makes(welded("Dew-1B", func(m *making) {
		m.port, m.who, m.unit, m.mode, m.method, m.volts = "7", "2", "2", "", "2", ""
	}))
	b.releases("Dew-1A", "1", "1", "1")
	s.is("2026-03-16 08:05")
	b.releases("Dew-1B", "1", "1", "1")
	m := welded("Dew-2A", func(m *making) { m.port, m.batch, m.bag, m.print, m.ohms = "3", "SR-40-12", "1", "2", "2.40" })
	b.begins(m)
	b.scan("123456789012345678901234")
	b.sees("kept as scanned")
	b.press("1")
	b.sees("batches as last time")
	b.press("2")
	b.scan(m.batch)
	b.fits(m)
	b.prepares(m)
	b.measures(m)
	b.sets(m)
	b.fuses(m)
	s.is("2026-03-16 08:20")
	b.releases("Dew-2A", "1", "1", "1")
	s.done("codes", "teach", "123456789012345678901234", "--fitting", "reducer 40x32", "--by", ilka)
	s.done("order", "--prepare", "10") // nothing has failed yet, so a pressure test is forecast
}

// corrieTrouble is what else a morning brings: a place out of reach, stops, a
// refusal, a lead that came off, a kerb machine.
func corrieTrouble(s *told) {
	s.is("2026-03-16 08:30")
	b := s.board()
	m := welded("Dew-2B", func(m *making) { m.port, m.ambient, m.mode, m.ohms = "8", "41", "", "2.60" })
	b.begins(m)
	b.fits(m)
	b.sees("0  all done")
	b.press("7", "3", "2") // could not, no access
	b.write("the wall of the chamber")
	b.press("2", "3", "5")
	b.write("a scratch")
	b.prepares(m)
	b.measures(m)
	b.sees("41 °C is outside the bands")
	m.ambient = "9"
	b.measures(m)
	b.keyed("1")
	b.display("38", "39.5")
	b.sees("STOPPED: the unit shows 38 s")
	b.display("40", "39.5")
	b.types("resistance the unit shows", "3.4")
	b.sees("3.4 Ω lies outside")
	b.types("resistance the unit shows", "3.4")
	b.answers("start", "3")
	b.types("what the unit said", "contact")
	b.types("resistance the unit shows", m.ohms)
	b.passes(12 * time.Second)
	b.answers("start", "2")
	b.types("seconds ago", "12")
	b.passes(30 * time.Second)
	b.answers("how the fusion ended", "1")
	b.looks(m)

	s.is("2026-03-16 08:44")
	b.releases("Dew-2B", "1", "1", "1")
	m = welded("Dew-3A", func(m *making) { m.port = "2" })
	b.begins(m)
	b.fits(m)
	b.prepares(m)
	b.measures(m)
	b.sets(m)
	b.answers("start", "1")
	b.passes(17 * time.Second)
	b.answers("how the fusion ended", "2")
	b.types("stopped at how many seconds", "17")
	b.types("what the unit said", "lead off")
	b.press("enter")

	s.is("2026-03-16 08:50")
	b.makes(welded("Dew-3B", func(m *making) { m.port, m.run, m.look = "9", "41", []string{"1", "2", "2", "1", "1", "1"} }))
	b.passes(3 * time.Minute)
	b.press("right")
	b.takes("Dew-3B ")
	b.answers("the hold", "2")
	b.types("how many minutes after the fusion", "3")
	b.types("what happened", "a kerb machine leant on the pipe")
}

// corrieForenoon: what stopped is cut out and its joint split, a walk is left and
// taken up again, one is given up, the weather turns, a bag prints otherwise.
func corrieForenoon(s *told) {
	s.is("2026-03-16 09:10")
	b := s.board()
	b.chooses("Dew-3A", "record that CL-0005 was cut out")
	b.types("why it was cut out", "stopped at 17 s, a lead came off")
	b.takes("make-up piece")
	b.types("the make-up piece: outside diameter", "32")
	b.types("the make-up piece: SDR", "11")
	b.takes("reducer 40x32")
	b.takes("not decided yet")
	b.write("the stub is too short now")
	b.press("esc")
	b.makes(welded("Dew-3A.1", func(m *making) { m.port, m.place, m.ambient = "2", "0.4 m from the chamber wall", "9" }))

	s.is("2026-03-16 09:25")
	b.releases("Dew-3A.1", "1", "1", "1")
	m := welded("Dew-4A", func(m *making) { m.port, m.ambient = "4", "8.5" })
	b.begins(m)
	b.fits(m)
	b.prepares(m)
	b.press("esc")
	s.is("2026-03-16 09:40")
	b.press("1")
	b.answers("the joint after the break", "2")
	b.measures(m)
	b.sets(m)
	b.fuses(m)

	s.is("2026-03-16 09:55")
	b.releases("Dew-4A", "1", "1", "1")
	m = welded("Dew-4B", func(m *making) { m.port = "10" })
	b.begins(m)
	b.fits(m)
	b.prepares(m)
	b.measures(m)
	b.sets(m)
	b.answers("start", "4")
	b.types("why it is given up", "the fitting fell into the mud")
	b.press("enter")

	s.is("2026-03-16 10:05")
	b.press("2")
	b.answers("weather", "3", "3")
	b.makes(welded("Dew-5A", func(m *making) { m.port, m.ambient, m.unit, m.mode, m.seconds, m.run = "5", "7.5", "2", "", "41", "41" }))
	corrieHeaders(s, b)
}

// corrieHeaders: the bag of the first header's fitting prints another time.
func corrieHeaders(s *told, b *hand) {
	s.is("2026-03-16 10:20")
	b.releases("Dew-5A", "1", "1", "1")
	m := welded("Dew-FG", func(m *making) { m.batch, m.coil, m.bag = "BK-63-4", "length 63-2", "2" })
	b.begins(m)
	b.fits(m)
	b.prepares(m)
	b.measures(m)
	b.types("seconds the bag prints", "88")
	b.sees("BLOCKED on the whole site", "prints 88 s for", "The table has 86 s")
	b.press("esc")
	b.chooses("Dew-FG", "give CL-0011 up")
	b.write("its bag prints 88 s, the table 86 s")
	s.done("site", "table", "--table", corrie+"bracken-2.toml")
	b = s.board()
	b.press("5", "3", "enter")
	b.answers("every figure is as printed", "1")
	b.types("compared by", wren)
	b.press("esc")
	m.bag, m.ambient, m.seconds, m.run, m.ohms = "1", "8", "88", "88", "1.58"
	b.makes(m)
}

// corrieAfternoon: a machine that was off while a hold ran, a fusion that nobody
// saw end, a weld made without the laptop, a joint more and one less, the round.
func corrieAfternoon(s *told) {
	s.is("2026-03-16 10:50")
	b := s.board()
	b.releases("Dew-FG", "1", "1", "1")
	b.makes(welded("Dew-5B", func(m *making) { m.port, m.ambient = "11", "7" }))
	b.passes(40 * time.Second)
	s.restarts(4 * time.Minute)
	b = s.board()
	b.press("right")
	b.takes("Dew-5B ")
	b.answers("the hold", "3")
	b.types("who accepts", bryn)
	b.write("the clock of the boiler house says so")
	b.press("esc")
	s.is("2026-03-16 11:02")
	b = s.board()
	b.releases("Dew-5B", "1", "1", "1")
	m := welded("Dew-4B", func(m *making) { m.port, m.ambient = "10", "8" })
	b.begins(m)
	b.fits(m)
	b.prepares(m)
	b.measures(m)
	b.sets(m)
	b.answers("start", "1")
	s.is("2026-03-16 11:10") // with the lid closed
	b = s.board()
	b.press("right", "enter")
	b.answers("how the fusion ended", "4")
	b.press("enter")
	corrieLate(s, b)
	corrieCloses(s)
}

// corrieLate is a weld that was made while the laptop was in the van.
func corrieLate(s *told, b *hand) {
	s.is("2026-03-16 12:10")
	b.press("4")
	b.sees("A weld made without the laptop")
	b.picks("Dew-TG")
	b.takes("coupler 63")
	b.types("batch of the fitting", "BK-63-4")
	b.press("enter") // coil not known
	b.answers("who welded", "2")
	b.answers("control unit", "1")
	b.answers("preparation", "3")
	b.takes("no water")
	b.types("why", "rain")
	b.answers("scraped with", "1")
	b.types("ambient temperature", "7.5")
	b.answers("the unit's time was", "1")
	b.types("seconds the unit was set to", "86")
	b.types("volts it showed", "39.5")
	b.figure("resistance it showed", "")
	b.types("fusion began at", "11:20")
	b.answers("the fusion", "1")
	b.types("seconds the unit said it ran", "86")
	b.answers("indicators (the worst of them)", "1", "1", "1", "3", "1")
	b.answers("the hold counts", "2")
	b.types("on whose word", ilka)
	b.types("why it was not logged at once", "rain, the laptop was in the van")
	b.sees("Dew-TG hold over")
}

// corrieCloses ends the day of the crew.
func corrieCloses(s *told) {
	s.is("2026-03-16 15:30")
	b := s.board()
	b.press("6", "5")
	b.types("label", "X.1")
	b.takes("a pipe of its own")
	b.types("its pipe: outside diameter", "40")
	b.types("its pipe: SDR", "11")
	b.takes("not decided yet")
	b.write("feed of the spare branch")
	b.write("the branch is longer than drawn")
	b.chooses("T.1-cap", "it is not being built")
	b.write("Bryn Calder")
	b.write("the branch is used")
	b.press("esc")
	b.releases("Dew-4B", "1", "1", "1")
	b.releases("Dew-TG", "1", "1", "1")
	up := []string{"1", "1", "1"}
	b.goesRound(up, up, []string{"2", "1", "1"}, up, up, up, up, up, up, []string{"1", "1", "5"})
}

// corrieEvening is what the foreman says of the first day.
func corrieEvening(s *told) {
	s.is("2026-03-16 17:30")
	s.says(exitDone, bryn, "the rotary tool was on the other stub; the band is even", "review", "scraping-method", "--weld", "cl-0002")
	s.says(exitDone, bryn, "the new card is in the office, seen", "review", "operator-out-of-date:CL-0002")
	s.says(exitDone, bryn, "labels and valves changed", "review", "leg-on-wrong-port:CL-0003")
	s.says(exitDone, bryn, "the scratch is outside the zone", "review", "preparation-could-not:CL-0004")
	s.says(exitDone, wren, "read it twice", "review", "resistance-unlike-sisters:CL-0004")
	s.says(exitDone, odile, "asked both", "review", "self-accepted:CL-0004")
	s.says(exitDone, bryn, "the clock of the boiler house is right", "review", "clock-doubted:CL-0013")
	s.says(exitDone, bryn, "asked Ilka", "review", "entered-later:CL-0015")
	s.says(exitDone, bryn, "it was another weld that I asked of", "review", "entered-later:CL-0015", "--withdraw")
	s.says(exitRefused, bryn, "it looks well", "review", "disturbed:CL-0006")
	s.says(exitDone, bryn, "it was still warm when the others were cold", "recheck", "CL-0003")
	s.says(exitDone, bryn, "nobody saw its fusion", "cut-order", "CL-0014")
	s.says(exitDone, bryn, "taken for CL-0014", "cut-order", "CL-0001")
	s.says(exitDone, bryn, "CL-0014 was meant", "cut-order", "CL-0001", "--withdraw")
	s.done("note", "CL-0004", "photo taken from above, with the wall", "--by", bryn)
	s.says(exitDone, ilka, "the display is on the photo: 88 s", "correct", "CL-0015", "seconds set", "88")
	s.refused("sign", "--day", "today", "--by", bryn)
	s.done("sign", "--day", "today", "--by", bryn, "--seen", "melt-outside:CL-0006", "--seen", "disturbed:CL-0006", "--seen", "cut-ordered:CL-0014")
}

// corrieTuesday: the laptop stays in the office, and the sheet is typed there.
func corrieTuesday(s *told) {
	s.is("2026-03-17 17:00")
	s.ends(exitInput, "transcribe", corrie+"slips.csv", "--by", odile)
	s.done("transcribe", corrie+"van-tuesday.csv", "--by", odile)
	s.done("transcribe", corrie+"van-tuesday.csv", "--by", odile)
}

// corrieWednesday: yesterday's crew again, on both units at once.
func corrieWednesday(s *told) {
	s.is("2026-03-18 07:45")
	b := s.board()
	b.press("3", "enter", "enter", "enter", "enter", "enter", "enter")
	b.types("valid to", "2028-03-31")
	b.press("enter", "enter", "enter", "enter", "enter", "enter", "enter", "enter", "enter", "enter", "enter")
	b.answers("weather", "1", "1")
	b.chooses("Dew-3B", "record that CL-0006 was cut out")
	b.types("why it was cut out", "disturbed by the kerb machine")
	b.press("esc")
	b.chooses("Dew-4B", "record that CL-0014 was cut out")
	b.types("why it was cut out", "as ordered")
	b.press("esc")

	s.is("2026-03-18 08:00")
	m := welded("Dew-3B", func(m *making) { m.port, m.ambient, m.batch, m.ohms = "9", "15.2", "SR-40-12", "2.41" })
	m.seconds, m.run = "38", "38"
	b.begins(m)
	b.fits(m)
	b.prepares(m)
	b.measures(m)
	b.sets(m)
	b.answers("start", "1")
	b.press("esc")
	o := welded("M.1", func(m *making) {
		m.who, m.unit, m.mode, m.batch, m.coil, m.place = "2", "2", "", "BK-63-5", "length 63-9", "1.1 m from the wall, 0.9 m deep"
		m.bag, m.seconds, m.run, m.ohms = "1", "84", "84", "1.61"
	})
	b.begins(o)
	b.fits(o)
	b.passes(39 * time.Second)
	b.press("right", "enter")
	b.answers("how the fusion ended", "1")
	b.looks(m)
	b.prepares(o)
	b.measures(o)
	b.sets(o)
	b.fuses(o)
	s.is("2026-03-18 08:30")
	b.releases("Dew-3B", "1", "1", "1")
	b.releases("M.1", "1", "1", "2")
	s.is("2026-03-18 13:00")
	s.done("transcribe", corrie+"van-wednesday.csv", "--by", wren)
}

// corrieCorrections puts every kind of value right, some so that a fail goes and
// some so that one comes.
func corrieCorrections(s *told) {
	s.is("2026-03-18 14:00")
	for _, c := range [][3]string{
		{"CL-0016", "operator", ilka}, {"CL-0016", "control unit", "CU-500"}, {"CL-0016", "ambient", "4.5"},
		{"CL-0016", "wire after fusion (look 1)", "seen"}, {"CL-0018", "fitting", "cap 40"}, {"CL-0018", "fitting", "coupler 40"},
		{"CL-0018", "fitting batch", "SR-41-9"}, {"CL-0018", "indicators after fusion (look 1)", "up, up"},
		{"CL-0019", "coil batch", "coil 88-3"}, {"CL-0019", "stub batch", "stub M2"}, {"CL-0019", "time from", "keyed by hand"},
		{"CL-0039", "position", "2.2 m from the boiler house, 0.8 m deep"}, {"CL-0023", "port as welded", "9"},
		{"CL-0024", "port as welded", "5"}, {"CL-0003", "pipe print", "as planned"}, {"CL-0002", "scraping method", "rotary tool"},
		{"CL-0003", "code scanned", "123456789012345678901232"}, {"CL-0020", "scraped", "done"}, {"CL-0004", "clamped", "done"},
		{"CL-0022", "seconds set", "41"}, {"CL-0036", "volts set", "39,5"}, {"CL-0022", "ohms", "2.9"}, {"CL-0031", "outcome", "completed"},
		{"CL-0027", "stopped at", "33"}, {"CL-0006", "seconds run", "40"}, {"CL-0006", "melt after fusion (look 1)", "none"},
		{"CL-0022", "marks after fusion (look 1)", "in place"}, {"CL-0022", "straight after fusion (look 1)", "yes"},
		{"CL-0003", "felt at the round (look 3)", "cold and firm"}, {"CL-0021", "disturbed", "no"},
		{"CL-0028", "started", "2026-03-17 10:31"}, {"CL-0028", "ended", "2026-03-17 10:33"}, {"CL-0028", "released", "2026-03-17T10:47:00+01:00"},
		{"CL-0019", "coil batch", "coil 88-1"},
	} {
		s.says(exitDone, bryn, "read again on the sheet", append([]string{"correct"}, c[:]...)...)
	}
	s.says(exitRefused, bryn, "so it was", "correct", "CL-0022", "marks after fusion (look 1)", "gone")
	s.says(exitRefused, bryn, "so it was", "correct", "CL-0022", "volts set", "4000")
	s.says(exitFindings, bryn, "so it was", "correct", "CL-0003", "no such field", "x")
	s.says(exitDone, bryn, "the ink says X.1", "correct", "CL-0038", "--joint", "x.1")
	s.says(exitRefused, bryn, "asked both", "correct", "CL-0010", "--joint", "Dew-5B")
	s.says(exitDone, bryn, "asked both", "correct", "CL-0010", "--joint", "Dew-5B", "--swap")
}

// corrieThursday is what is said of the parts of the site, and of its papers.
func corrieThursday(s *told) {
	s.is("2026-03-19 08:00")
	s.found("cover")
	for _, rule := range []string{"transcribed", "bag-not-read", "preparation-unsaid"} {
		s.says(exitDone, bryn, "asked Wren, and the bag was kept", "review", rule, "--weld", "CL-0039")
	}
	s.found("cover")
	s.done("cover", "run Dew/FG", "--by", bryn)
	s.refused("cover", "chamber Moss", "--by", bryn)
	s.done("cover", "chamber Moss", "--by", bryn, "--all-the-same")
	s.happens("pressure lost", "the gauge fell by 0.3 bar", "--chamber", "moss", "--circuit", "2")
	s.happens("pressure lost", "the gauge fell by 0.1 bar", "--chamber", "Loam")
	s.happens("dug up", "wet ground at the low stub", "--joint", "moss-2a")
	s.happens("repaired", "the valve was open", "--chamber", "Moss", "--circuit", "2")
	s.happens("other", "a lorry over the path")
	photo := s.keeps("photo.jpg", "no photo, for a test\n")
	s.done("enclose", photo, "--what", "indicators of Dew-3B", "--weld", "CL-0029", "--by", odile)
	s.done("enclose", s.keeps("card.pdf", "no card, for a test\n"), "--what", "the new card of Ilka Morrow", "--by", odile)
	s.done("enclose", photo, "--what", "indicators of Dew-3B", "--weld", "CL-0029", "--by", odile)
}

// corrieDesk is the same from the foreman's screens.
func corrieDesk(s *told) {
	s.is("2026-03-19 09:00")
	b := s.board()
	b.chooses("Dew-4A", "everything known of CL-0008")
	b.corrects("batch of the coil or pipe")
	b.types("right value of batch of the coil or pipe", "coil 7713")
	b.signs(bryn, "the print on the coil")
	b.corrects("straight after fusion (look 1)")
	b.answers("right value of straight", "1")
	b.signs(bryn, "a bow of 2 cm at the clamp")
	b.press("4")
	b.signs(bryn, "the spoil heap is close")
	b.press("3")
	b.signs(bryn, "is it straight when the clamp is off")
	b.press("1")
	b.answers("which query", "1")
	b.signs(bryn, "a bow of 2 cm does no harm here")
	b = s.board()
	b.chooses("Loam-4A", "everything known of CL-0037")
	b.press("2")
	b.signs(bryn, "2 s too short, and nobody knows why")
	s.is("2026-03-19 09:20")
	b = s.board()
	b.press("9", "5", "enter")
	for range 20 {
		if !strings.Contains(b.frame(), "1  I have seen this") {
			break
		}
		b.passes(2 * time.Second)
		b.press("1")
	}
	b.sees("Every open fail was shown and is acknowledged.")
	b.press("enter")
	b.types("signed by (name)", bryn)
	b.sees("Signed by Bryn Calder", "signed; sealed over")
}

// corrieLast leaves one hold running, one fusion, and a walk in its middle.
func corrieLast(s *told) {
	s.is("2026-03-19 10:20")
	b := s.board()
	b.press("2")
	b.answers("weather", "4", "2")
	m := welded("Loam-4B", func(m *making) { m.port, m.stub, m.coil, m.ambient, m.ohms = "7", "stub L4", "coil 88-2", "11", "2.30" })
	m.batch, m.bag = "SR-41-9", "1"
	b.makes(m)
	s.is("2026-03-19 10:40")
	b.releases("Loam-4B", "1", "1", "1")
	s.is("2026-03-19 10:56")
	b.makes(welded("Dew-6A", func(m *making) { m.port, m.ambient = "6", "11.5" }))
	m = welded("Dew-6B", func(m *making) { m.port, m.unit, m.mode = "12", "2", "" })
	b.begins(m)
	b.fits(m)
	b.prepares(m)
	b.press("esc")
	m = welded("T.1", func(m *making) {
		m.who, m.batch, m.coil, m.place, m.bag = "2", "BK-T-1", "length 63-9", "1.5 m from the tank, 0.9 m deep", "1"
		m.seconds, m.run, m.ohms = "108", "108", "1.19"
	})
	b.begins(m)
	b.fits(m)
	b.prepares(m)
	b.measures(m)
	b.sets(m)
	b.answers("start", "1")
	b.passes(30 * time.Second)
}
