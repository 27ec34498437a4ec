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
	od, sdr := r.OptInt("od_mm", anyNumber), r.OptInt("sdr", anyNumber)
	e.OdMM, e.SDR = orZero(od), orZero(sdr)
	checkPipe(r, e.OdMM, e.SDR, od != nil, sdr != nil)
	e.Pipe = r.OptStr("pipe", maxLabel)
	r.Done()
	checkShared(r, e, l)
	if e.Label != "" && checkLabel(r, e.Label) {
		l.take(r, "label", e.joint(l.joints))
	} else {
		l.doubt = true
	}
	return e
}

func orZero(n *int) int {
	if n == nil {
		return 0
	}
	return *n
}

// checkShared notes a joint on the pipe of one that the plan has not, or not
// yet, and one that contradicts that pipe's size.
func checkShared(r *toml.Reader, e Extra, l *labels) {
	if e.Pipe == "" {
		return
	}
	on, ok := l.joints[fold(e.Pipe)]
	if !ok {
		if !l.doubt {
			r.Fault("pipe", "%q is no joint of this plan, or one further down: name one that stands above", e.Pipe)
		}
		return
	}
	if e.OdMM != 0 && on.OdMM != 0 && e.OdMM != on.OdMM {
		r.Fault("od_mm", "%d mm, but the pipe of %s is %d mm: leave it out or correct one", e.OdMM, on.Label, on.OdMM)
	}
	if e.SDR != 0 && on.SDR != 0 && e.SDR != on.SDR {
		r.Fault("sdr", "SDR %d, but the pipe of %s is SDR %d: leave it out or correct one", e.SDR, on.Label, on.SDR)
	}
}

// checkLabel notes a label that cannot be written on a pipe or means two things.
func checkLabel(r *toml.Reader, label string) bool {
	if slices.Contains([]string{"flow", "return"}, fold(label)) {
		r.Fault("label", "%q is used both ways in the trade: name the place, and call the headers FG and TG", label)
		return false
	}
	return checkMarks(r, "label", label)
}
