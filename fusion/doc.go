// Package fusion is the trade's arithmetic: fusion tables and how one is read,
// times that must pass, the window of a resistance, currents and cables, walls of
// pipe, scanned codes, and the order in which joints are welded. What follows is
// its specification.
//
// No welding figure is computed. Fusion time and cooling time are those of the
// fitting's own table; no public source has a generic time, a generic per cent per
// kelvin or a generic cooling time by diameter. Where the table prints nothing the
// answer is that nothing is known.
//
// The package imports the standard library alone, opens no file and never asks for
// the time: every now is handed in. The same questions give the same answers.
//
// # Sources
//
// Each figure says where it comes from: "as printed" where the text of the source
// was read, "from memory", "common practice, no source", "derived" where it is
// arithmetic from the named formula and printed nowhere, and "our choice". Bounds
// of sense are our choice throughout, [Bounds] with both ends in it: they catch a
// slipped digit and are no welding figures.
//
// # Temperatures
//
// [Celsius] counts hundredths of a degree. [ParseCelsius] reads what people type,
// "14", "14.5", "14,5", "-3", with at most two decimals, from −60 to 80 °C; what it
// refuses wraps [ErrNotCelsius].
//
// A table goes by whole degrees. A reading is taken as the nearest one, a half as
// the colder, which never has the shorter fusion time: 14.5 °C is 14, 14.51 °C is
// 15, −0.5 °C is −1. At a half the cooling time is the longer of the two bands', since
// it may rise with warmth (our choice). Where a reading was rounded that is said
// beside it.
//
// # Tables
//
// A bag prints bands of whole degrees across the top and one fusion time a band: 40 s
// in 5…14 °C for a fitting of the 32 mm class, keyed as three digits, 040, and not to
// be moved for 6 minutes (common practice, no source). The usual supply is 39.5 V, 48
// and 80 V are met too (UK gas checklists DN.14A/DN.27). A [Table] is a
// typed copy of a bag. [Table.Flaws] names everything in one that cannot be meant:
//
//	bands          1 to 20, each in -30…60 °C, the colder end first; coldest band
//	               first, each beginning one degree above the end of the one before
//	fittings       1 to 500, names of 1 to 40 characters that differ in more than
//	               case and the width of blanks
//	kind           coupler, reducer, elbow, tee, saddle, cap or transition
//	sizes          1 to 4 outside diameters that PE pipe is made in, none twice; one
//	               for a coupler, elbow or cap, two or more for a reducer; of a tee
//	               also one for each face, the same one twice
//	SDR            6, 9, 11, 13.6, 17, 21, 26, 33 or 41 (ISO 4065, from memory), none
//	               twice
//	ends           1 to 4 faces that are welded
//	zones          1 to 4, each fused by itself through its own pair of terminals;
//	               the table's fusion time is that of each
//	indicators     0 to 6, or not stated
//	volts          8…80 V
//	fusion time    one a band, 5…3600 s, never longer in a warmer band: a colder
//	               joint never needs less, so that is a slip such as 83 for 38
//	cooling time   one a band, 1…600 min; it may rise, as a warm day cools slower
//	pressure wait  0…2880 min, or not printed; from when only beside it
//	resistance     0.05…100 Ω, or not printed; its tolerance, 0…50 %, only beside it
//	terminal pin   2…10 mm, or not printed
//
// That a table has no flaw does not say that it was copied rightly.
//
// [Table.Settings] reads the figures of one weld: the band that holds the degree
// read, and what is printed for it. Outside the bands it wraps [ErrOutsideBands]:
// nothing is extrapolated. A pressure wait that does not say from when counts from
// the end of cooling, the later.
//
// # Times
//
// A [Stamp] is one moment by two clocks, the wall clock, which people set, and the
// boot clock, which only runs on, also through sleep. A [Span] is a stretch that
// must pass; it is its start, and what is left follows from a now and the last
// heartbeat:
//
//   - On one start of the machine it has run the difference of the boot clocks,
//     whatever the wall clock says.
//   - Across a restart it has run from its start to the last heartbeat before the
//     restart, and from the restart to now; without such a heartbeat only the
//     latter. It is not more than the wall clocks say, and where these went back or
//     stood only what the heartbeat proves. [Restarted] is said.
//   - On another machine it has run what the heartbeat of the first proves.
//     [Elsewhere] is said. [Span.From] lets it run on there; on the first machine it
//     is counted as before, and of what two machines prove the longer counts, since
//     neither counts too much.
//   - Where the system does not tell its start it has run the smaller of the
//     differences of the two clocks, of a boot clock that went back its reading,
//     never less than nothing. [NoBoot] is said.
//
// A wait that outlasts a day's work goes by a [Course] besides: the entries of a log
// prove that time passed while the program ran.
//
// Every error makes it run shorter, so a hold longer. Times are exact to the
// nanosecond, and to the millisecond once stored.
//
// # Resistance
//
// [Fitting.OhmsWindow] is the range in Ω for a nominal resistance Rn:
//
//	with a printed tolerance of p %   Rn × (1 − p/100) … Rn × (1 + p/100)
//	else                              Rn × 0.90 … Rn × 1.10 + 0.1 Ω
//
// The latter is a product requirement (ISO 8085-3, EN 1555-3, from memory), 0.1 Ω of
// it for contacts: 1.00 Ω gives 0.90…1.20, 3.00 Ω gives 2.70…3.40. It holds at about
// 23 °C; a copper coil at −10 °C reads some 13 % low (from memory). So the fitting's
// own tolerance goes first, and a reading outside is a query, never a stop: the unit
// stops by itself. The ends are rounded to 0.0001 Ω and are in the window. Without
// a printed Rn there is no window.
//
// # Currents and cables
//
// [Amps] I = V/R and [Watts] P = V²/R (Ohm's law) take 8…80 V and 0.05…100 Ω:
// 39.5 V on 1.0 Ω gives 39.5 A and 1560 W (derived). [CopperDrop] is ΔV = I·ρ·2L/A
// with ρ = 0.0172 Ω·mm²/m at 20 °C (textbook), for 0…500 A, 0…200 m one way and
// 0.5…120 mm²: 30 A over 10 m of 4 mm² lose 2.58 V (derived). What lies outside, or
// is no number, wraps [ErrNotElectrical], which names each figure and its bounds.
// What a control unit draws from its supply is more than it gives the fitting.
//
// # Pipe
//
// [WallMM] is the least wall of PE pipe of SDR 9, 11, 13.6 and 17, in mm. From 90
// to 630 mm it is the rule of ISO 4065, e = dn/(2S + 1), S exactly from the R10
// series (10^0.6, 10^0.7, 10^0.8, 10^0.9), taken to 0.01 mm and then up to 0.1 mm; it gives what
// MS 1058-2:2005 (= ISO 4427-2) prints from 90 to 180 mm (as printed). dn/SDR gives
// walls that are printed nowhere: 140 mm SDR 11 is 12.7, not 12.8. Up to 75 mm the
// listed figures hold (ISO 4427-2, from memory), since some thin walls are raised
// above the rule. Sizes are those of ISO 4065, 16 to 630 mm (from memory). For any
// other pipe no wall is known. The ends of two pipes that meet may have other walls
// each, also in one class.
//
// [Fitting.Fits] holds a fitting against every [End] that meets at a joint: the
// size of each must be one of its sizes, the class one of its classes. Where it has
// a size for each face no face takes two ends; where it has fewer, and the sizes at
// all its faces are stated, each of its own must be among them. What is not stated
// is not compared. So a coupler has one size on both sides, a reducer needs both of
// its own, and of a tee each face gets what it is made for.
//
// # Codes
//
// [ReadCode] tells what a scanned code is by its length and signs alone and keeps
// every digit: 24 digits are the fusion data of ISO 13950, 26 the traceability of a
// component and 40 that of a pipe by ISO 12176-4, fields parted by ] and ~ a
// two-dimensional code by ISO 12176-5:2021. No digit of one is ever read as a figure:
// no public source prints enough of these standards for that. [ITFCheckDigit] is the
// check digit of Interleaved 2 of 5: weights 3, 1 from the right,
// (10 − sum mod 10) mod 10; 12345 has 7 (as printed). That the last digit of a code
// is one is from memory, so it is reported and nothing is refused for it.
//
// # Order
//
// [Simulate] times jobs in an order: each begins as soon as a control unit that can
// fuse it, a clamp set, its pipe and the lower ranks of its group let it, and none
// before the one it follows. A unit is taken from the preparation to the end of the
// fusion, a clamp set and a pipe to the end of the cooling; a higher rank waits for
// the fusions of the lower ones, since lower ports are welded first (common practice,
// no source). A unit that goes from one place to another begins so much later. Fusions
// that together draw more than the supply carries lie apart; a unit whose draw is not
// known counts as nothing there. In hours of work a job is begun and its hold is over,
// else it falls on the next; one that no day is long enough for begins with a day.
//
// [Order] proposes an order that ends the last hold early: of the jobs that can be
// begun soonest the one after which the longest time must still pass. With one unit,
// clamps enough, no pipe shared and no rows that is the longest cooling first, which is
// optimal (J. R. Jackson, 1955). Of orders that end alike it proposes one with few
// moves. Up to six jobs all orders are tried, so theirs is the best where units are
// alike and nothing is moved; of more, orders that differ by a move or a swap, up to a
// fixed effort. Which unit takes a job is a rule, not a search. So the rest is near the
// best as measured in the tests, which is no proof: 360 drawn sites of up to seven
// joints, with what each unit can fuse, a short supply, ways and evenings, ended at
// worst 1.101 times, on average 1.001 times as late as the best of all orders and all
// ways to share them out. Equal jobs stay as given: the same jobs always get the same
// order.
package fusion
