// Package loop is the arithmetic of a ground loop after its last weld: what a pipe
// holds, what water loses in it, what a pump gives against that, what a pressure test
// shows, and whether a pipe sweats. It imports nothing but the standard library and
// fusion, opens no file and asks for no time. What follows is its specification.
//
// Nothing here says that a pipe is tight or a weld good. A test is [Within] what its
// method allows, [NotWithin], or it [CannotDecide]. Designers decide on pipes and pumps.
//
// # Sources
//
// As in package fusion: "as printed" where the text of the source was read, "as
// restated by" where another told of it, "from memory", "common practice, no source",
// "derived" where it is arithmetic from the named formula, and "our choice". Bounds of
// sense are our choice; a figure outside them, or outside what a source covers, wraps
// [ErrRange] and is never reckoned with. Units: mm, m, L, L/min, kPa, MPa, °C, min.
//
// # Pipe
//
// [Pipe] has the least wall of [fusion.WallMM], 20 to 630 mm as far as one is known, or
// a wall that was measured. Bore = dn − 2e; litres a metre = π/4·bore²/1000. The least
// wall makes bore and litres an upper figure. [Pipe.PurgeFlow] is the flow for 0.6 m/s
// (UFGS 15741N, as printed): 19.1, 30.0 and 74.7 L/min in 32, 40 and 63 mm SDR 11.
//
// # Water
//
// [Viscosity] and [Density] hold 0, 5, … 30 °C (IAPWS values, from memory). Between
// them the logarithm of the viscosity goes straight, and the density. Water alone:
// fluid with antifreeze is thicker, and no figure for it is here.
//
// # Flow
//
// [Flow] is Darcy–Weisbach, h = f·L/D·v²/2g, g = 9.80665 m/s², over the pipe alone:
// fittings, valves and hoses are not counted. f is 64/Re below Re 2,300 and
// Colebrook–White, 1/√f = −2·log10(ε/3.7D + 2.51/(Re·√f)), from there up to 10^8 and
// ε/D 0.05 (textbook, from memory). Between 2,300 and 4,000 nothing is settled: the
// larger figure, Colebrook–White, is given and [Loss.Uncertain] says so. PE: ε 0.007 mm,
// as usual in design (from memory). Minutes = litres · changes / flow.
//
// A [Pump] is its curve as typed, straight between the points; nothing is known beyond
// the last or before the first. [Pump.Against] is where it meets what the run takes.
//
// # EN 805, A.27
//
// [STP] is the smaller of 1.5·MDP and MDP + 500 kPa, where surge is not calculated
// (Berlin WN 175:2009, as printed). Phases (Walloon CCT RW 99 P.4.3.2, as printed):
// relax 60 min, raise in under 10 min, hold 30 min by pumping, rest 60 min, where a fall
// above 30 % of STP ends the test ([Rest]); then the pressure is dropped by 10 to 15 %
// of STP ([Drop]) and the water let out is held against [AllowedVolume] (from memory):
//
//	ΔVmax = 1.2·V·Δp·(1/Ew + D/(e·ER))   V in L, Δp, Ew, ER in kPa, D inside and e in m
//
// with Ew = 2.1·10^6 kPa, summed over the pipes. ER is given with its source. From the
// least wall it is lenient, and it is no leakage allowance. In the main phase of 30 min
// the pressure must rise; in doubt it goes on to 90 min, with a fall of at most 25 kPa
// from the highest reading ([MainPhase]).
//
// # As specified
//
// A [Spec] is the job's own: pressure, minutes, allowed fall.
//
// # Decay trend
//
// [Decay] gives N1 and N2 = (log Pa − log Pb)/(log tb − log ta), each t being the time
// since loading + 0.4·tL (as restated by others, the formula from memory). A trend
// without a pass: the issue of the method now in force judges otherwise.
//
// # Gauge
//
// A reading lies within half a [Gauge] division (our choice); a difference of two
// readings of one gauge within a whole one, what the gauge shows too much or too little
// throughout being in both. What lies within that error is not decided, and the
// [Judgement] says which division would.
//
// # Heights
//
// [AtLowest] is the gauge's pressure and the water's weight below it, ρ·g·h. [Weakest]
// is the most that the gauge may show before some rated part has more than its rating.
//
// # Dew point
//
// [DewPoint] is the Magnus form with a = 17.625 and b = 243.04 °C (Alduchov & Eskridge
// 1996): 25 °C and 60 % give 16.70 °C (as printed). It is for the coldest pipe that is
// expected, near 0 °C in late winter (common practice, no source), not for today's.
package loop
