package plan

import (
	"slices"

	"coolhold/logbook/toml"
)

// readExtras reads the joints outside the chambers.
func readExtras(r *toml.Reader, l *labels) []Extra {
	rows := r.Tables("joint", "joint")
	limit(r, "joint", len(rows), maxExtra)
	l.any = l.any || len(rows) > 0
	var extras []Extra
	for _, row := range rows {
		extras = append(extras, readExtra(row, l))
	}
	return extras
}

func readExtra(r *toml.Reader, l *labels) Extra {
	e := Extra{Label: r.Str("label", maxLabel)}
	if e.Label != "" {
		r.Name(e.Label)
	}
	e.Fitting = r.Str("fitting", maxName)
	e.Where = r.Str("where", toml.MaxText)
	end := readEnd(r)
	e.OdMM, e.SDR, e.Pipe = end.OdMM, end.SDR, end.Pipe
	e.Ends = readEnds(r, 2, l)
	r.Done()
	if len(e.Ends) > 0 {
		checkEitherOr(r)
	}
	checkShared(r, end, l)
	if e.Label != "" && checkLabel(r, e.Label) {
		l.take(r, "label", e.joint(l.joints))
	} else {
		l.doubt = true
	}
	return e
}

// readFactory reads the joints that came fused from a works.
func readFactory(r *toml.Reader, chambers []Chamber, l *labels) []Factory {
	rows := r.Tables("factory", "factory joint")
	limit(r, "factory", len(rows), maxFactory)
	var out []Factory
	for _, row := range rows {
		f := Factory{Label: row.Str("label", maxLabel)}
		if f.Label != "" {
			row.Name(f.Label)
		}
		f.Where = row.Str("where", toml.MaxText)
		f.Certificate = row.OptStr("certificate", maxName)
		f.Chamber = readChamber(row, chambers)
		f.Ends = readEnds(row, 1, l)
		row.Done()
		if f.Label != "" && checkLabel(row, f.Label) {
			l.take(row, "label", Joint{Label: f.Label})
		}
		out = append(out, f)
	}
	return out
}

// readChamber reads the name of a chamber of the plan.
func readChamber(r *toml.Reader, chambers []Chamber) string {
	name := r.OptStr("chamber", maxChamber)
	at := slices.IndexFunc(chambers, func(c Chamber) bool { return fold(c.Name) == fold(name) })
	if name == "" || at < 0 {
		if name != "" {
			r.Fault("chamber", "no chamber of this plan is called %q", name)
		}
		return ""
	}
	return chambers[at].Name
}

// readEnd reads one end: size, class and the pipe that it is of.
func readEnd(r *toml.Reader) End {
	e := readSize(r, "od_mm", "sdr")
	e.Pipe = r.OptStr("pipe", maxPipe)
	return e
}

// readEnds reads the ends that meet at a joint.
func readEnds(r *toml.Reader, fewest int, l *labels) []End {
	rows := r.Tables("ends", "end")
	if n := len(rows); r.Has("ends") && (n < fewest || n > mostEnds) {
		r.Fault("ends", "%d to %d ends can meet at a joint, not %d", fewest, mostEnds, n)
	}
	var ends []End
	for _, row := range rows {
		e := readEnd(row)
		row.Done()
		checkShared(row, e, l)
		ends = append(ends, e)
	}
	return ends
}

// checkEitherOr notes a size or pipe of a joint whose ends have their own.
func checkEitherOr(r *toml.Reader) {
	for _, key := range []string{"od_mm", "sdr", "pipe"} {
		if r.Has(key) {
			r.Fault(key, "each of the ends has its own: leave it out here")
		}
	}
}

func orZero[N any](n *N) (zero N) {
	if n == nil {
		return zero
	}
	return *n
}

// checkShared notes an end on the pipe of a joint that the plan has not, or not
// yet, and one that contradicts that pipe's size.
func checkShared(r *toml.Reader, e End, l *labels) {
	if e.Pipe == "" {
		return
	}
	on, why := pipeNamed(l.joints, e.Pipe)
	switch {
	case why != "":
		r.Fault("pipe", "%s", why)
	case on.Pipe == "" && !l.doubt:
		r.Fault("pipe", "%q is no joint of this plan, or one further down: name one that stands above", e.Pipe)
	}
	if e.OdMM != 0 && on.OdMM != 0 && e.OdMM != on.OdMM {
		r.Fault("od_mm", "%d mm, but the pipe of %s is %d mm: leave it out or correct one", e.OdMM, l.as(e.Pipe), on.OdMM)
	}
	if e.SDR != 0 && on.SDR != 0 && e.SDR != on.SDR {
		r.Fault("sdr", "SDR %s, but the pipe of %s is SDR %s: leave it out or correct one", e.SDR, l.as(e.Pipe), on.SDR)
	}
	e.over(r, on)
}

// as is the name of a pipe with its label as the plan writes it.
func (l *labels) as(ref string) string {
	label := labelIn(ref)
	return l.joints[fold(label)].Label + ref[len(label):]
}

// checkLabel notes a label that cannot be written on a pipe or means two things.
func checkLabel(r *toml.Reader, label string) bool {
	if slices.Contains([]string{"flow", "return"}, fold(label)) {
		r.Fault("label", "%q is used both ways in the trade: name the place, and call the headers FG and TG", label)
		return false
	}
	return checkMarks(r, "label", label)
}
