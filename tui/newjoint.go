package tui

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/plan"
	"coolhold/tui/form"
	"coolhold/tui/shell"
)

// undecided is chosen where nobody knows yet what a new joint is fused with.
const undecided = "not decided yet"

// splitting asks what the piece of pipe is and where it goes, then what it is fused
// with: two couplers more often than what was there.
func splitting(env shell.Env, j logbook.Joint) shell.Screen {
	return form.Ask{
		About: "piece",
		Title: fmt.Sprintf("Make-up piece at %s: joints %s.1 and %s.2", j.Label, j.Label, j.Label),
		Text: func(shell.Env) []string {
			return []string{"A make-up piece is fused at both its ends; two joints take the place of the one."}
		},
		Form: form.New(append([]form.Field{letInAt(j)}, sizeFields("the make-up piece")...)),
		Done: func(env shell.Env, a form.Answers) {
			size := sizeOf(a)
			at, _ := strconv.Atoi(a.V("at"))
			env.Do.Push(splitWith(env, j, acts.Piece{OdMM: size.OdMM, SDR: size.SDR, At: at}))
		},
	}
}

// letInAt asks at which of several pipes the piece goes. With two ends it lies
// between them, whichever way it is put.
func letInAt(j logbook.Joint) form.Field {
	ends := j.Meet()
	var places []string
	for i := range ends {
		places = append(places, strconv.Itoa(i+1))
	}
	return form.Field{
		Item: "at", Label: "the make-up piece goes in at", Manner: form.Choice, Options: places,
		Says: func(v string) string { n, _ := strconv.Atoi(v); return endWords(ends[n-1]) },
		Skip: func(form.Answers) bool { return len(ends) < 3 },
	}
}

func endWords(e plan.End) string {
	if e.Stub {
		return fusion.End{Name: "the stub", OdMM: e.OdMM, SDR: e.SDR}.String()
	}
	return fusion.End{Name: "pipe " + e.Pipe, OdMM: e.OdMM, SDR: e.SDR}.String()
}

// splitWith asks the fitting of each new joint, among those that fit.
func splitWith(env shell.Env, j logbook.Joint, piece acts.Piece) shell.Screen {
	into := piece.Into(j.Joint)
	var fields []form.Field
	for _, n := range into {
		fields = append(fields, fittingFor(env, n, n.Label))
	}
	return form.Ask{
		About: "piece",
		Title: fmt.Sprintf("Make-up piece at %s: the fitting at each of its ends", j.Label),
		Text: func(shell.Env) []string {
			return []string{into[0].Label + ": " + cmp.Or(into[0].PipeLine(), "nothing of its pipes is stated"), into[1].Label + ": " + cmp.Or(into[1].PipeLine(), "nothing of its pipes is stated")}
		},
		Form: form.New(append(fields, signed(env, whyField("why", logbook.WhyMakeUp...))...)),
		Done: func(env shell.Env, a form.Answers) {
			for i, n := range into {
				piece.Fittings[i] = decided(a, n.Label)
			}
			form.Saves(signedBy(env, a), j.Label+" make-up piece", func(h acts.Head) acts.Act { return acts.SplitJoint(h, j.Label, a.V("why"), piece) })
		},
	}
}

// fittingFor asks the fitting of a joint that does not exist yet: nothing is
// offered, what goes there by its table can be chosen.
func fittingFor(env shell.Env, j plan.Joint, item string) form.Field {
	names := []string{}
	for _, row := range env.Shelf.Rows() {
		if j.Fits(row.Fitting) == nil {
			names = append(names, row.Fitting.Name)
		}
	}
	return form.Field{Item: item, Label: "fitting of " + j.Label, Manner: form.Choice, Options: append(names, undecided)}
}

// decided is the fitting that was chosen, or "".
func decided(a form.Answers, item string) string {
	if v := a.V(item); v != undecided {
		return v
	}
	return ""
}

// sizeFields ask what is printed on a pipe; Enter leaves it open.
func sizeFields(what string) []form.Field {
	return []form.Field{
		{Item: "od", Label: what + ": outside diameter as printed, mm", Hint: "Enter alone: not known yet.", Manner: form.Number, Blank: true, Check: checkSize},
		{Item: "sdr", Label: what + ": SDR as printed", Hint: "Enter alone: not known yet.", Manner: form.Number, Blank: true, Check: checkClass},
	}
}

func checkSize(s string) (string, error) {
	if n, err := strconv.Atoi(s); s != "" && (err != nil || !fusion.IsPipeSize(n)) {
		return "", fmt.Errorf("%q is no size of PE pipe (16, 20, 25, 32, 40, 50, 63, 75, 90, 110 … 630)", s)
	}
	return s, nil
}

func checkClass(s string) (string, error) {
	if x, err := strconv.ParseFloat(s, 64); s != "" && (err != nil || !slices.Contains(fusion.PipeClasses, fusion.SDR(x))) {
		return "", fmt.Errorf("SDR %s is not known for loop pipe; one of: 9, 11, 13.6, 17", s)
	}
	return s, nil
}

// sizeOf is what sizeFields were answered.
func sizeOf(a form.Answers) plan.End {
	od, _ := strconv.Atoi(a.V("od"))
	sdr, _ := strconv.ParseFloat(a.V("sdr"), 64)
	return plan.End{OdMM: od, SDR: fusion.SDR(sdr)}
}

// ownPipe is chosen where a joint is on none of the pipes that are known.
const ownPipe = "a pipe of its own"

// newAddJoint adds a joint that is not in the plan: first its pipe, since work
// there moves whatever else is on it, then what is fused on it.
func newAddJoint(env shell.Env) shell.Screen {
	pipes := pipesOf(env)
	size := sizeFields("its pipe")
	for i, stated := range []func(plan.End) bool{func(e plan.End) bool { return e.OdMM != 0 }, func(e plan.End) bool { return e.SDR != 0 }} {
		size[i].Skip = func(a form.Answers) bool { return stated(pipeCalled(pipes, a.V("pipe")).End) }
	}
	fields := []form.Field{
		{Item: "label", Label: "label, as written on the pipe", Manner: form.Text, Check: checkLabel},
		pipeField(pipes),
	}
	return form.Ask{
		About: "add",
		Title: "Add a joint that is not in the plan",
		Form:  form.New(append(fields, size...)),
		Done: func(env shell.Env, a form.Answers) {
			j := plan.Joint{Label: a.V("label"), Pipe: a.V("label"), AskPlace: true}
			end := sizeOf(a)
			if on := pipeCalled(pipes, a.V("pipe")); on.Pipe != "" {
				j.Pipe, j.Tape = on.Pipe, on.tape
				end.OdMM, end.SDR = cmp.Or(on.OdMM, end.OdMM), cmp.Or(on.SDR, end.SDR)
			}
			j.OdMM, j.SDR = end.OdMM, end.SDR
			env.Do.Push(addWith(env, j))
		},
	}
}

func addWith(env shell.Env, j plan.Joint) shell.Screen {
	return form.Ask{
		About: "add",
		Title: "Add " + j.Label + ": what is fused there",
		Text:  func(shell.Env) []string { return []string{cmp.Or(j.PipeLine(), "nothing of its pipe is stated")} },
		Form: form.New([]form.Field{
			fittingFor(env, j, "fitting"),
			{Item: "where", Label: "where", Manner: form.Text},
			form.Reason("why", "why it is needed", logbook.WhyAdded),
		}),
		Done: func(env shell.Env, a form.Answers) {
			j.Fitting, j.Where = decided(a, "fitting"), a.V("where")
			form.Saves(env, j.Label+" added", func(h acts.Head) acts.Act { return acts.AddJoint(h, j, a.V("why")) })
		},
	}
}

// A sitePipe is one pipe of a site with the joints on it.
type sitePipe struct {
	plan.End
	tape   string
	joints []string
}

// pipesOf are the pipes of a site, in the order in which joints name them.
func pipesOf(env shell.Env) []sitePipe {
	var out []sitePipe
	for _, j := range env.Sight.Joints(env.Site.ID) {
		if !j.Counts() {
			continue
		}
		for _, e := range j.Meet() {
			if e.Pipe == "" {
				continue
			}
			i := slices.IndexFunc(out, func(p sitePipe) bool { return p.Pipe == e.Pipe })
			if i < 0 {
				i, out = len(out), append(out, sitePipe{End: e})
			}
			out[i].OdMM, out[i].SDR = cmp.Or(out[i].OdMM, e.OdMM), cmp.Or(out[i].SDR, e.SDR)
			out[i].joints = append(out[i].joints, j.Label)
			if e.Pipe == j.Pipe {
				out[i].tape = cmp.Or(out[i].tape, j.Tape)
			}
		}
	}
	return out
}

func pipeCalled(pipes []sitePipe, name string) sitePipe {
	i := slices.IndexFunc(pipes, func(p sitePipe) bool { return p.Pipe == name })
	if i < 0 {
		return sitePipe{}
	}
	return pipes[i]
}

func pipeField(pipes []sitePipe) form.Field {
	options := []string{ownPipe}
	for _, p := range pipes {
		options = append(options, p.Pipe)
	}
	return form.Field{
		Item: "pipe", Label: "the pipe it is on", Hint: "What is on one pipe moves together: a hold there holds them all.",
		Manner: form.Choice, Options: options,
		Says: func(v string) string {
			if v == ownPipe {
				return v
			}
			p := pipeCalled(pipes, v)
			return endWords(p.End) + ", with " + strings.Join(p.joints, ", ")
		},
	}
}
