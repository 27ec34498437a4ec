// Package plan reads a site plan: which joints must exist, what each is called
// on the pipe, which pipe ends meet there, and which joints share a pipe. Without
// it a joint that nobody made could not be missed.
//
// A chamber has ports, stubs with a size of their own; a circuit is one loop of
// pipe, its two legs on two ports; a header goes to the plant room; all other
// joints are listed by themselves. What is not so simple is put together from
// these:
//
//   - A tee, or a step from one size to another within a run, is a joint with
//     ends: each a pipe that stands above by a label, or one that begins here and
//     is then called LABEL:1, LABEL:2 and so on, by its place among the ends.
//   - A probe of four legs is two circuits that name one probe, each on two ports
//     of its own.
//   - Where its four legs, or two loops, share two ports the circuit is the pipe
//     from the ports to two tees. The first tee begins both loops: its ends are
//     {pipe = "1A"} and two without a pipe. The second ends them: {pipe = "1B"},
//     {pipe = "T1:2"} and {pipe = "T1:3"}.
//   - What came fused from a works, such as the foot of a probe, is a factory
//     joint: it is in the plan and the register, and nobody is to weld it.
package plan

import (
	"fmt"

	"coolhold/fusion"
)

// A Plan is a site plan. One that came from Parse holds no contradiction.
type Plan struct {
	Site, Client, Firm, Address string
	Contract                    string   // number or name; may be ""
	Version                     string   // of the plan, as it says itself; may be ""
	Scraping                    string   // method required: "rotary scraper", "hand scraper", or "" for either
	ScrapedMin                  int      // longest time from scraping to the current, in minutes, where the client states one; else 0
	PressureTest                string   // "before cover" where the client wants each joint tested before ground lies on it; else ""
	BeforeWelding, BeforeCover  []string // what the client wants looked at first, by the words of the file
	LeastCoverM                 float64  // least cover over the pipe, where the client states one; else 0
	SetOutWithinM               float64  // how far a height may lie from its set-out, where the client states that; else 0
	Chambers                    []Chamber
	Extra                       []Extra
	Factory                     []Factory
}

// BeforeCover is when a plan may want pressure tests.
const BeforeCover = "before cover"

// What a plan may want looked at before a chamber is welded, and before ground lies on a
// part of the site.
var (
	KnownBeforeWelding = []string{"chamber level", "lid height"}
	KnownBeforeCover   = []string{"bed", "cover level", "marker tape", "ducts capped", "ducts lagged", "chamber level", "lid height", "offsets", "loop routes", "photo"}
)

// A Chamber is a buried manifold chamber.
type Chamber struct {
	Name     string
	Lid      string   // where the lid lies; may be ""
	LevelM   *float64 // its level as set out; nil where not stated
	LidM     *float64 // height of its lid as set out
	Ports    []Port
	Circuits []Circuit
	Headers  []Header
}

// A Port is one stub of a chamber.
type Port struct {
	No   int
	Row  string // "low" or "high"
	Bar  string // the rail it is on: "from ground" or "to ground"
	OdMM int    // of the stub, mm; 0 where not stated
	SDR  fusion.SDR
}

// A Circuit is one loop of pipe out and back. Leg A ends at the first port,
// leg B at the second.
type Circuit struct {
	No      int
	OdMM    int // outside diameter of the pipe in mm
	SDR     fusion.SDR
	LengthM float64
	Ports   [2]int
	Fitting string
	Tape    string // colour of the tape on its pipe, one word; may be ""
	Probe   string // what its loop hangs in, where several hang in one; may be ""
}

// A Header is one of the two pipes between a chamber and the plant room.
type Header struct {
	Way      string // "from ground" or "to ground", written out as in the file
	OdMM     int
	SDR      fusion.SDR
	LengthM  float64
	Fitting  string
	StubOdMM int // of the chamber's stub that it is on; 0 where not stated
	StubSDR  fusion.SDR
}

// An Extra is a joint outside the chambers.
type Extra struct {
	Label, Fitting, Where string
	OdMM                  int // 0 where not stated
	SDR                   fusion.SDR
	Pipe                  string // label of a joint whose pipe it is on, or ""
	Ends                  []End  // in place of size and pipe, where several pipes meet; Pipe as in the file
}

// A Factory is a joint that came fused from a works. Nobody is to weld it.
type Factory struct {
	Label, Where, Certificate string // Certificate may be ""
	Chamber                   string // "" outside the chambers
	Ends                      []End  // what meets there, where the plan says; Pipe as in the file
}

// A Joint is a place in the plan where a fitting must be fused. It is stored
// as it stands, so its JSON form only ever gains fields.
type Joint struct {
	Label    string     `json:"label"`              // what is written on the pipe
	Chamber  string     `json:"chamber,omitempty"`  // "" outside the chambers
	Circuit  int        `json:"circuit,omitempty"`  // 0 where it is none's
	Leg      string     `json:"leg,omitempty"`      // "A" or "B" of a circuit
	Way      string     `json:"way,omitempty"`      // "FG" or "TG" of a header
	Port     int        `json:"port,omitempty"`     // 0 where there is none
	Row      string     `json:"row,omitempty"`      // "low" or "high"
	Bar      string     `json:"bar,omitempty"`      // the rail: "from ground" or "to ground"
	Fitting  string     `json:"fitting,omitempty"`  // name in a fusion table
	OdMM     int        `json:"od_mm,omitempty"`    // pipe, mm; 0 where not stated
	SDR      fusion.SDR `json:"sdr,omitempty"`      // pipe; 0 where not stated
	LengthM  float64    `json:"length_m,omitempty"` // pipe, m
	Pipe     string     `json:"pipe,omitempty"`     // joints with the same pipe move together
	Tape     string     `json:"tape,omitempty"`     // colour of the tape on the pipe
	Where    string     `json:"where,omitempty"`
	AskPlace bool       `json:"ask_place,omitempty"` // outside a chamber: the position must be asked

	// Ends are what meets here, where more is stated than the one pipe above. The
	// size, class and pipe above are those of the first pipe among them.
	Ends  []End  `json:"ends,omitempty"`
	Probe string `json:"probe,omitempty"` // what the circuit hangs in
}

// The ways water goes and the two rails, written in full: "flow" is used for
// both in the trade.
const (
	fromGround = "from ground"
	toGround   = "to ground"
)

// wayMarks are the ways as they are written on a pipe.
var wayMarks = map[string]string{fromGround: "FG", toGround: "TG"}

// Joints lists the joints in the order of the plan: by chamber the circuits,
// leg A before leg B, then the headers; after all chambers the extra joints.
func (p Plan) Joints() []Joint {
	var joints []Joint
	for _, c := range p.Chambers {
		joints = append(joints, c.joints(c.prefix(len(p.Chambers)))...)
	}
	byLabel := map[string]Joint{}
	for _, j := range joints {
		byLabel[fold(j.Label)] = j
	}
	for _, e := range p.Extra {
		j := e.joint(byLabel)
		byLabel[fold(j.Label)] = j
		joints = append(joints, j)
	}
	return joints
}

// A NotOurs is a factory joint as it is listed beside the joints to weld.
type NotOurs struct {
	Joint
	Certificate string
}

// Says is its certificate in words, also where the plan gives none.
func (n NotOurs) Says() string {
	if n.Certificate == "" {
		return "certificate not given"
	}
	return "certificate " + n.Certificate
}

// NotOurs lists the factory joints in the order of the plan.
func (p Plan) NotOurs() []NotOurs {
	if len(p.Factory) == 0 {
		return nil
	}
	byLabel := map[string]Joint{}
	for _, j := range p.Joints() {
		byLabel[fold(j.Label)] = j
	}
	var out []NotOurs
	for _, f := range p.Factory {
		j := Joint{Label: f.Label, Chamber: f.Chamber, Where: f.Where}.withEnds(f.Ends, byLabel)
		out = append(out, NotOurs{j, f.Certificate})
	}
	return out
}

// prefix is what labels of a chamber begin with on a site of so many chambers:
// with one there is nothing to tell apart, and a marker on a wet pipe is slow.
func (c Chamber) prefix(chambers int) string {
	if chambers < 2 {
		return ""
	}
	return c.Name + "-"
}

func (c Chamber) joints(prefix string) []Joint {
	var joints []Joint
	for _, k := range c.Circuits {
		joints = append(joints, c.legs(prefix, k)...)
	}
	for _, h := range c.Headers {
		joints = append(joints, c.head(prefix, h))
	}
	return joints
}

// legs gives the two joints of a circuit.
func (c Chamber) legs(prefix string, k Circuit) []Joint {
	var joints []Joint
	for i, leg := range []string{"A", "B"} {
		port := c.port(k.Ports[i])
		joints = append(joints, Joint{
			Label: fmt.Sprintf("%s%d%s", prefix, k.No, leg), Chamber: c.Name,
			Circuit: k.No, Leg: leg, Port: port.No, Row: port.Row, Bar: port.Bar,
			Fitting: k.Fitting, OdMM: k.OdMM, SDR: k.SDR, LengthM: k.LengthM,
			Pipe: fmt.Sprintf("%s/%d", c.Name, k.No), Tape: k.Tape, Probe: k.Probe,
		}.onStub(port.OdMM, port.SDR))
	}
	return joints
}

// head gives the joint of a header.
func (c Chamber) head(prefix string, h Header) Joint {
	way := wayMarks[h.Way]
	return Joint{
		Label: prefix + way, Chamber: c.Name, Way: way, Bar: h.Way,
		Fitting: h.Fitting, OdMM: h.OdMM, SDR: h.SDR, LengthM: h.LengthM,
		Pipe: c.Name + "/" + way,
	}.onStub(h.StubOdMM, h.StubSDR)
}

func (c Chamber) port(no int) Port {
	for _, p := range c.Ports {
		if p.No == no {
			return p
		}
	}
	return Port{}
}

// SameTape gives one line for each two circuits of a chamber whose pipes have
// tape of one colour. It is no fault: they may lie far apart.
func (p Plan) SameTape() []string {
	var lines []string
	for _, c := range p.Chambers {
		for i, k := range c.Circuits {
			for _, o := range c.Circuits[:i] {
				if k.Tape != "" && fold(k.Tape) == fold(o.Tape) {
					lines = append(lines, fmt.Sprintf("circuits %d and %d of chamber %s both have %s tape", o.No, k.No, c.Name, o.Tape))
				}
			}
		}
	}
	return lines
}
