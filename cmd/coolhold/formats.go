package main

import (
	"fmt"

	"github.com/spf13/cobra"
)

// The formats of the three files that a person writes, each the help of its verb. That
// every key of a file stands here is held by a test.
const (
	planFormat = `A site plan says which joints must exist; without it a joint that nobody made could
not be missed. It is a text file in TOML: KEY = VALUE, texts in quotes, figures
without, lists in [ ], # before what is only said. It can also be typed on the
screens: coolhold, then 1. Begin a file with: coolhold plan new --out FILE

  site, client, firm, address   texts
  contract, version             may stay out

[require]                       may stay out
  scraping                      "rotary scraper" or "hand scraper", where only one
                                is allowed
  longest_since_scraping_min    minutes from scraping to the current, where the client
                                prints a limit
  pressure_test                 "before cover", where one must be recorded first
  before_welding                what is looked at before a chamber is welded:
                                ["chamber level", "lid height"]
  before_cover                  the same before ground lies on a part: ["bed",
                                "cover level", "marker tape", "ducts capped",
                                "ducts lagged", "chamber level", "lid height",
                                "offsets", "loop routes", "photo"]
  least_cover_m                 least cover over the pipe, where the client states one
  set_out_within_m              how far a height may lie from its set-out, where the
                                client states that

[[chamber]]                     one for each chamber
  name                          letters and digits, at most 6; with several chambers
                                it stands in every label
  lid                           where the lid lies; may stay out
  chamber_level_m, lid_height_m its level and its lid as set out, in m by the datum of
                                the set-out; may stay out
  stub_od_mm, stub_sdr          of its stubs; may stay out
[[chamber.ports]]               one for each port
  no                            its number
  row                           "low" or "high"
  rail                          "from ground" or "to ground"
  od_mm, sdr                    of its stub, where not the chamber's
[[chamber.circuit]]             one for each circuit
  no                            its number; its joints are called 3A and 3B by it
  od_mm, sdr, length_m          of its pipe, out and back
  ports                         [leg A, leg B], on two rails
  fitting                       by its name in a fusion table
  tape                          colour of its tape, one word; may stay out
  probe                         what its loop hangs in, where several hang in one
[[chamber.header]]              at most two, called FG and TG
  way                           "from ground" or "to ground"
  od_mm, sdr, length_m, fitting
  stub_od_mm, stub_sdr          of the stub that it is on; may stay out

[[joint]]                       one for each joint outside the chambers
  label                         up to 12 letters, digits, "-" and "."
  fitting, where
  pipe                          label of a joint above whose pipe it is on
  od_mm, sdr                    of its pipe, where none above has it
  ends                          where several pipes meet, in place of the three:
                                [{pipe = LABEL}, {od_mm = MM, sdr = SDR}]; an end
                                without pipe begins one, called LABEL:2 by its place

[[factory]]                     what came fused from a works; nobody is to weld it
  label, where
  certificate, chamber, ends    may stay out`

	tableFormat = `A fusion table is a typed copy of what is printed on the bags of fittings. It is a
text file in TOML: KEY = VALUE, texts in quotes, figures without, lists in [ ],
# before what is only said. It can also be typed on the screens: coolhold, then 1,
or on the board key 5. Begin a file with: coolhold table new --out FILE

  title                         of these fittings
  source                        where it was copied from
  bands                         ambient temperatures in whole °C, coldest first, each
                                degree in one band: [[FROM, TO], [FROM, TO]]

[[fitting]]                     one for each fitting
  name                          as a plan calls it
  kind                          coupler, reducer, elbow, tee, saddle, cap, transition
  sizes_mm                      [MM]; a reducer has two
  sdr                           [SDR, SDR]: pipe classes it may be fused to
  volts                         V
  seconds                       [S, S]: fusion time for each band
  cooling_min                   minutes: one figure, or [MIN, MIN] for each band
These may stay out:
  ends                          faces that are fused (a cap or saddle 1, a tee 3,
                                others 2)
  zones                         fused one after another, each by its own terminals
  indicators                    how many it has
  ohms, ohms_tolerance_pct      resistance in Ω, and ± % beside it
  pressure_wait_min             minutes before a pressure test
  pressure_wait_from            "cooling end" or "fusion end"
  pin_mm                        terminal pin

A table that is taken must be read back once against the print by a named person.`

	kitFormat = `A kit is what the crew has with it: it is compared with plan and tables before
anything is scraped (coolhold ready). It is a text file in TOML: KEY = VALUE, texts in
quotes, figures without, lists in [ ], # before what is only said. It can also be
typed on the screens (board, readiness). Begin a file with: coolhold kit new --out FILE

All but a unit's serial may stay out; it is then not known.

[[unit]]                        one for each control unit
  serial                        text
  input_kva, input_volts        from its plate
  input_volts_low               the lowest that its instructions allow
  input_amps
  output_volts_low, output_volts_high
  longest_seconds               the longest fusion time that can be set
  counts                        its display while it fuses: "up", "down" or "no"
  lead_pins_mm                  [MM]: pins that its leads' ends take
[[adapter]]                     of a lead's end
  from_mm, to_mm
[generator]                     or the supply in its place
  kva, volts
[extension]                     between generator and unit
  length_m                      one way; 0 where there is none
  section_mm2                   of one conductor
  unreeled                      "yes" or "no"
[[stock]]                       fittings in the van
  fitting, count
[[clamp]]                       sets of clamps
  sizes_mm, count
[[scraper]]
  kind                          "rotary scraper" or "hand scraper"
  from_mm, to_mm                smallest and largest pipe
[[rerounder]]
  sizes_mm
[[end_cap]]                     keeps dirt out of an open end
  size_mm, count
[sundries]
  wipes, markers`
)

// newBlank prints a file to begin with.
func newBlank(what, verb, text string) *cobra.Command {
	var out outlet
	cmd := &cobra.Command{
		Use:   "new",
		Short: fmt.Sprintf("Print a %s to fill in", what),
		Long: fmt.Sprintf(`new prints a %s with every key and what it is for. In place of each value
stands "<fill in>", which coolhold %s check names until it is written over: no figure
in it is a figure to weld or build by.`, what, verb),
		Example: fmt.Sprintf("  coolhold %s new\n  coolhold %s new --out mine.toml", verb, verb),
		Args:    noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return out.deliver(cmd.OutOrStdout(), []byte(text))
		},
	}
	out.flags(cmd, "it")
	return cmd
}
