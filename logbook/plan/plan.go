// Package plan reads a site plan: which joints must exist, what each is called
// on the pipe, and which of them share a pipe. Without it a joint that nobody
// made could not be missed.
package plan

import (
	"fmt"
)

// A Plan is a site plan. One that came from Parse holds no contradiction.
type Plan struct {
	Site, Client, Firm, Address string
	Contract                    string // number or name; may be ""
	Version                     string // of the plan, as it says itself; may be ""
	Scraping                    string // method required: "rotary scraper", "hand scraper", or "" for either
	Chambers                    []Chamber
	Extra                       []Extra
}

// A Chamber is a buried manifold chamber.
type Chamber struct {
	Name     string
	Lid      string // where the lid lies; may be ""
	Ports    []Port
	Circuits []Circuit
	Headers  []Header
}

// A Port is one stub of a chamber.
type Port struct {
	No  int
	Row string // "low" or "high"
	Bar string // "from ground" or "to ground"
}

// A Circuit is one loop of pipe out and back. Leg A ends at the first port,
// leg B at the second.
type Circuit struct {
	No        int
	OdMM, SDR int // outside diameter in mm and class of the pipe
	LengthM   float64
	Ports     [2]int
	Fitting   string
	Tape      string // colour of the tape on its pipe, one word; may be ""
}

// A Header is one of the two pipes between a chamber and the plant room.
type Header struct {
	Way       string // "from ground" or "to ground", written out as in the file
	OdMM, SDR int
	LengthM   float64
	Fitting   string
}

// An Extra is a joint outside the chambers.
type Extra struct {
	Label, Fitting, Where string
	OdMM, SDR             int    // 0 where not stated
	Pipe                  string // label of a joint whose pipe it is on, or ""
}

// A Joint is a place in the plan where a fitting must be fused. It is stored
// as it stands, so its JSON form only ever gains fields.
type Joint struct {
	Label    string  `json:"label"`              // what is written on the pipe
	Chamber  string  `json:"chamber,omitempty"`  // "" outside the chambers
	Circuit  int     `json:"circuit,omitempty"`  // 0 where it is none's
	Leg      string  `json:"leg,omitempty"`      // "A" or "B" of a circuit
	Way      string  `json:"way,omitempty"`      // "FG" or "TG" of a header
	Port     int     `json:"port,omitempty"`     // 0 where there is none
	Row      string  `json:"row,omitempty"`      // "low" or "high"
	Bar      string  `json:"bar,omitempty"`      // "from ground" or "to ground"
	Fitting  string  `json:"fitting,omitempty"`  // name in a fusion table
	OdMM     int     `json:"od_mm,omitempty"`    // pipe, mm; 0 where not stated
	SDR      int     `json:"sdr,omitempty"`      // pipe; 0 where not stated
	LengthM  float64 `json:"length_m,omitempty"` // pipe, m
	Pipe     string  `json:"pipe,omitempty"`     // joints with the same pipe move together
	Tape     string  `json:"tape,omitempty"`     // colour of the tape on the pipe
	Where    string  `json:"where,omitempty"`
	AskPlace bool    `json:"ask_place,omitempty"` // outside a chamber: the position must be asked
}

// The ways water goes and the two bars, written in full: "flow" is used for
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
			Pipe: fmt.Sprintf("%s/%d", c.Name, k.No), Tape: k.Tape,
		})
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
	}
}

func (c Chamber) port(no int) Port {
	for _, p := range c.Ports {
		if p.No == no {
			return p
		}
	}
	return Port{}
}

// joint expands an extra joint. One that shares a pipe has that pipe's size
// and length; any other is on a pipe of its own, called by its label.
func (e Extra) joint(before map[string]Joint) Joint {
	j := Joint{
		Label: e.Label, Fitting: e.Fitting, OdMM: e.OdMM, SDR: e.SDR,
		Pipe: e.Label, Where: e.Where, AskPlace: true,
	}
	if e.Pipe != "" {
		on := before[fold(e.Pipe)]
		j.Pipe, j.OdMM, j.SDR, j.LengthM, j.Tape = on.Pipe, on.OdMM, on.SDR, on.LengthM, on.Tape
		if e.OdMM != 0 {
			j.OdMM = e.OdMM
		}
		if e.SDR != 0 {
			j.SDR = e.SDR
		}
	}
	return j
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
