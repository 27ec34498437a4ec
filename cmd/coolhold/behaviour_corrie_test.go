package main

import (
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
	s.t.Log(s.found("audit"))
	s.t.Log(s.found("audit", "--json"))
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
	b.answers("another operator", "2")
	b.types("operator 2: name", ilka)
	b.write("I-98 (invented)")
	b.write("2026-03-01") // over since
	b.answers("another operator", "1")
	b.types("control unit 1: serial", "CU-412")
	b.write("2025-11-03")
	b.answers("does it correct", "2")
	b.answers("another control unit", "2")
	b.types("control unit 2: serial", "CU-500")
	b.press("enter") // no calibration known
	b.answers("does it correct", "1")
	b.answers("another control unit", "1")
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
		m.port, m.who, m.unit, m.mode, m.method, m.volts = "7", "2", "2", "", "2", "0"
	}))
	b.releases("Dew-1A", "1", "1", "1")
	s.is("2026-03-16 08:05")
	b.releases("Dew-1B", "1", "1", "1")
	m := welded("Dew-2A", func(m *making) { m.port, m.batch, m.bag, m.print, m.ohms = "3", "SR-40-12", "1", "2", "2.40" })
	b.begins(m)
	b.scan("123456789012345678901234")
	b.sees("kept as scanned")
	b.press("1")
	b.types("number of the port this leg goes to", m.port)
	b.scan(m.batch)
	b.press(m.print)
	b.write(m.coil)
	b.write(m.stub)
	b.answers("This bag prints", m.bag)
	b.prepares(m)
	b.reads(m)
	b.sets(m)
	b.fuses(m)
	s.is("2026-03-16 08:20")
	b.releases("Dew-2A", "1", "1", "1")
	s.done("codes", "teach", "123456789012345678901234", "--fitting", "reducer 40x32", "--by", ilka)
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
	b.reads(m)
	b.sees("41 °C is outside the bands")
	m.ambient = "9"
	b.reads(m)
	b.answers("the unit's time is", "1", "enter")
	b.display("38", "39.5")
	b.sees("STOPPED: the unit shows 38 s")
	b.display("40", "39.5")
	b.types("resistance the unit shows", "3.4")
	b.answers("start", "3")
	b.types("what the unit said", "contact")
	b.types("resistance the unit shows", m.ohms)
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
	b.reads(m)
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
	b.answers("the hold", "1")
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
	b.takes("split")
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
	b.sees("scrape, wipe and dry again")
	b.prepares(m)
	b.reads(m)
	b.sets(m)
	b.fuses(m)

	s.is("2026-03-16 09:55")
	b.releases("Dew-4A", "1", "1", "1")
	m = welded("Dew-4B", func(m *making) { m.port = "10" })
	b.begins(m)
	b.fits(m)
	b.prepares(m)
	b.reads(m)
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
	b.sees("The row was stopped")
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
	b.reads(m)
	b.sets(m)
	b.answers("start", "1")
	s.is("2026-03-16 11:10") // with the lid closed
	b = s.board()
	b.press("right")
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
	b.types("resistance it showed", "0")
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
	b.write("coupler 40")
	b.write("feed of the spare branch")
	b.write("the branch is longer than drawn")
	b.chooses("T.1-cap", "strike it off")
	b.write("the branch is used")
	b.press("esc")
	b.releases("Dew-4B", "1", "1", "1")
	b.releases("Dew-TG", "1", "1", "1")
	up := []string{"1", "1", "1"}
	b.goesRound(up, up, []string{"2", "1", "1"}, up, up, up, up, up, up, []string{"1", "1", "5"})
}
