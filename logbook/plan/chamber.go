package plan

import (
	"cmp"
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
		cr.c.LevelM, cr.c.LidM = row.OptNum("chamber_level_m", SaneHeight), row.OptNum("lid_height_m", SaneHeight)
		stub := readStub(row)
		cr.c.Ports = readPorts(row, stub)
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

// readStub reads what is said of a stub for a whole chamber, or for a header.
func readStub(r *toml.Reader) End { return readSize(r, "stub_od_mm", "stub_sdr") }

// readSize reads a size and class that need not be stated.
func readSize(r *toml.Reader, odKey, sdrKey string) End {
	od, sdr := r.OptInt(odKey, anyNumber), r.OptNum(sdrKey, anyNumber)
	e := End{OdMM: orZero(od), SDR: fusion.SDR(orZero(sdr))}
	checkPipe(r, odKey, sdrKey, e, od != nil, sdr != nil)
	return e
}

// readPorts reads the ports. What one does not say of its stub holds from the
// chamber.
func readPorts(r *toml.Reader, stub End) []Port {
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
		p := Port{No: no, Row: row.Word("row", "low", "high"), Bar: readRail(row)}
		own := readSize(row, "od_mm", "sdr").over(row, stub)
		p.OdMM, p.SDR = own.OdMM, own.SDR
		ports = append(ports, p)
		row.Done()
	}
	return ports
}

// readRail reads the rail that a port is on. Its key was "bar" at first, which is
// a unit of pressure too.
func readRail(r *toml.Reader) string {
	if !r.Has("bar") {
		return r.Word("rail", fromGround, toGround)
	}
	if r.Has("rail") {
		r.Fault("bar", "rail is given too, which is the same: leave bar out")
		r.OptWord("rail", fromGround, toGround)
	}
	return r.Word("bar", fromGround, toGround)
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
		k.Probe = row.OptStr("probe", maxLabel)
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
		stub := readStub(row)
		h.StubOdMM, h.StubSDR = stub.OdMM, stub.SDR
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
func readPipe(r *toml.Reader) (odMM int, sdr fusion.SDR, lengthM float64) {
	odMM, haveOd := r.Int("od_mm", anyNumber)
	class, haveSDR := r.Num("sdr", anyNumber)
	e := End{OdMM: odMM, SDR: fusion.SDR(class)}
	checkPipe(r, "od_mm", "sdr", e, haveOd, haveSDR)
	lengthM, _ = r.Num("length_m", saneLength)
	return e.OdMM, e.SDR, lengthM
}

// checkPipe notes a size or class that no pipe has, alone or together.
func checkPipe(r *toml.Reader, odKey, sdrKey string, e End, haveOd, haveSDR bool) {
	sizeOK := haveOd && fusion.IsPipeSize(e.OdMM)
	if haveOd && !sizeOK {
		r.Fault(odKey, "%d mm is no size of PE pipe (16, 20, 25, 32, 40, 50, 63, 75, 90, 110 … 630)", e.OdMM)
	}
	classOK := haveSDR && slices.Contains(fusion.PipeClasses, e.SDR)
	if haveSDR && !classOK {
		r.Fault(sdrKey, "SDR %s is not known for loop pipe; one of: 9, 11, 13.6, 17", e.SDR)
	}
	if sizeOK && classOK {
		checkWall(r, sdrKey, e)
	}
}

// checkWall notes a size and class that are each made, but not together.
func checkWall(r *toml.Reader, key string, e End) {
	if _, ok := fusion.WallMM(e.OdMM, e.SDR); !ok {
		r.Fault(key, "no wall is listed for %d mm pipe of SDR %s: check both against the pipe's print", e.OdMM, e.SDR)
	}
}

// over is an end with what it does not say itself taken from another.
func (e End) over(r *toml.Reader, other End) End {
	out := End{OdMM: cmp.Or(e.OdMM, other.OdMM), SDR: cmp.Or(e.SDR, other.SDR)}
	switch {
	case !fusion.IsPipeSize(out.OdMM) || !slices.Contains(fusion.PipeClasses, out.SDR):
	case e.SDR == 0 && e.OdMM != 0:
		checkWall(r, "od_mm", out)
	case e.OdMM == 0 && e.SDR != 0:
		checkWall(r, "sdr", out)
	}
	return out
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
// two rails. used holds the ports that have a leg, with its line.
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
		r.Fault("ports", "ports %d and %d are both on the rail %q: crossed legs on one rail mean no flow", a.No, b.No, a.Bar)
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
