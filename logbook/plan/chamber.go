package plan

import (
	"slices"
	"strings"
	"unicode"

	"coolhold/fusion"
	"coolhold/logbook/toml"
)

func readChambers(r *toml.Reader, l *labels) []Chamber {
	rows := r.Tables("chamber", "chamber")
	limit(r, "chamber", len(rows), maxChambers)
	var chambers []Chamber
	taken := names[string]{}
	for _, row := range rows {
		cr := chamberReader{Reader: row, labels: l}
		cr.named = cr.readName(taken)
		cr.prefix = cr.c.prefix(len(rows))
		cr.c.Lid = row.OptStr("lid", toml.MaxText)
		cr.c.Ports = readPorts(row)
		cr.readCircuits()
		cr.readHeaders()
		row.Done()
		chambers = append(chambers, cr.c)
	}
	return chambers
}

// A chamberReader reads one chamber.
type chamberReader struct {
	*toml.Reader
	labels *labels
	c      Chamber
	prefix string
	named  bool // the name is its own, so labels can be made with it
}

func (r *chamberReader) readName(taken names[string]) bool {
	r.c.Name = r.Str("name", maxChamber)
	if r.c.Name == "" {
		return false
	}
	r.Name(r.c.Name)
	checkMarks(r.Reader, "name", r.c.Name)
	return taken.take(r.Reader, "name", fold(r.c.Name))
}

func readPorts(r *toml.Reader) []Port {
	rows := r.NeedTables("ports", "port")
	limit(r, "ports", len(rows), maxPorts)
	taken := names[int]{}
	var ports []Port
	for _, row := range rows {
		no, ok := row.Int("no", saneNo)
		if ok {
			row.Name(no)
			taken.take(row, "no", no)
		}
		ports = append(ports, Port{no, row.Word("row", "low", "high"), row.Word("bar", fromGround, toGround)})
		row.Done()
	}
	return ports
}

func (r *chamberReader) readCircuits() {
	rows := r.Tables("circuit", "circuit")
	limit(r.Reader, "circuit", len(rows), maxCircuits)
	taken, used := names[int]{}, map[int]int{}
	for _, row := range rows {
		no, ok := row.Int("no", saneNo)
		if ok {
			row.Name(no)
			ok = taken.take(row, "no", no)
		}
		k := Circuit{No: no}
		k.OdMM, k.SDR, k.LengthM = readPipe(row)
		k.Ports = readLegs(row, r.c, used)
		k.Fitting = row.Str("fitting", maxName)
		k.Tape = readTape(row)
		row.Done()
		r.c.Circuits = append(r.c.Circuits, k)
		r.label(row, "no", ok, r.c.legs(r.prefix, k)...)
	}
}

func (r *chamberReader) readHeaders() {
	taken := names[string]{}
	for _, row := range r.Tables("header", "header") {
		h := Header{Way: row.Word("way", fromGround, toGround)}
		ok := h.Way != ""
		if ok {
			row.Name(h.Way)
			ok = taken.take(row, "way", h.Way)
		}
		h.OdMM, h.SDR, h.LengthM = readPipe(row)
		h.Fitting = row.Str("fitting", maxName)
		row.Done()
		r.c.Headers = append(r.c.Headers, h)
		r.label(row, "way", ok, r.c.head(r.prefix, h))
	}
}

// label gives joints their labels, unless what the labels are made of is faulty.
func (r *chamberReader) label(row *toml.Reader, key string, ok bool, joints ...Joint) {
	r.labels.any = true
	if !ok || !r.named {
		r.labels.doubt = true
		return
	}
	for _, j := range joints {
		r.labels.take(row, key, j)
	}
}

// readPipe reads the pipe of a circuit or header, which must be there in full.
func readPipe(r *toml.Reader) (odMM, sdr int, lengthM float64) {
	odMM, haveOd := r.Int("od_mm", anyNumber)
	sdr, haveSDR := r.Int("sdr", anyNumber)
	checkPipe(r, odMM, sdr, haveOd, haveSDR)
	lengthM, _ = r.Num("length_m", saneLength)
	return odMM, sdr, lengthM
}

// checkPipe notes a size or class that no pipe has, alone or together.
func checkPipe(r *toml.Reader, odMM, sdr int, haveOd, haveSDR bool) {
	sizeOK := haveOd && fusion.IsPipeSize(odMM)
	if haveOd && !sizeOK {
		r.Fault("od_mm", "%d mm is no size of PE pipe (16, 20, 25, 32, 40, 50, 63, 75, 90, 110 … 630)", odMM)
	}
	classOK := haveSDR && slices.Contains([]int{9, 11, 17}, sdr)
	if haveSDR && !classOK {
		r.Fault("sdr", "SDR %d is not known for loop pipe; one of: 9, 11, 17", sdr)
	}
	if sizeOK && classOK {
		if _, ok := fusion.WallMM(odMM, sdr); !ok {
			r.Fault("sdr", "no wall is listed for %d mm pipe of SDR %d: check both against the pipe's print", odMM, sdr)
		}
	}
}

// readTape reads the colour of a circuit's tape, one word.
func readTape(r *toml.Reader) string {
	tape := r.OptStr("tape", maxTape)
	if strings.ContainsFunc(tape, func(c rune) bool { return !unicode.IsLetter(c) && c != '-' }) {
		r.Fault("tape", "%q: write the colour as one word of letters, such as light-blue", tape)
	}
	return tape
}

// readLegs reads the two ports of a circuit and checks that its legs land on
// two bars. used holds the ports that have a leg, with its line.
func readLegs(r *toml.Reader, c Chamber, used map[int]int) (ports [2]int) {
	list := r.Ints("ports", anyNumber)
	if len(list) != 2 {
		if len(list) > 0 {
			r.Fault("ports", "two ports are needed, for leg A and leg B, not %d", len(list))
		}
		return ports
	}
	sound := true
	for i, it := range list {
		ports[i] = it.N
		sound = it.OK && checkPort(r, c, it, used) && sound
	}
	a, b := c.port(ports[0]), c.port(ports[1])
	if sound && a.Bar != "" && a.Bar == b.Bar {
		r.Fault("ports", "ports %d and %d are both on the bar %q: crossed legs on one bar mean no flow", a.No, b.No, a.Bar)
	}
	return ports
}

// checkPort notes a port that the chamber has not or that a leg has already.
// Where the ports themselves are faulty it is not known what is missing.
func checkPort(r *toml.Reader, c Chamber, it toml.Int, used map[int]int) bool {
	numbered := func(no int) bool {
		return slices.ContainsFunc(c.Ports, func(p Port) bool { return p.No == no })
	}
	if !numbered(it.N) || it.N == 0 {
		if len(c.Ports) > 0 && !numbered(0) {
			r.FaultAt(it.Line, "ports", "port %d is not among the ports of the chamber", it.N)
		}
		return false
	}
	if first := used[it.N]; first != 0 {
		r.FaultAt(it.Line, "ports", "port %d has the leg of line %d already", it.N, first)
		return false
	}
	used[it.N] = it.Line
	return true
}
