package tui

import (
	"fmt"
	"slices"

	"coolhold/logbook/plan"
	"coolhold/tui/form"
)

// mostEnds are as many as can meet at a joint.
const mostEnds = 4

// newPipe is chosen where a pipe begins at the joint.
const newPipe = "a pipe that begins here"

// joint asks one joint outside the chambers. Where several pipes meet each is asked: it
// is one that a joint above is on, or begins here.
func (j jobTyping) joint(no int) part {
	return part{
		title: "A joint outside the chambers", text: "An elbow, tee or coupler in a run, say.",
		yes: "the joint is so", fields: j.jointFields(no),
		wrong: func(a form.Answers) []mistake { return j.mistakesIn(j.so(no, nil, a)) },
		shows: func(a form.Answers, w int) []string {
			for _, joint := range j.so(no, nil, a).Joints() {
				if joint.Label == a.V("label") {
					return plannedLines(joint, w)
				}
			}
			return nil
		},
	}
}

func (j jobTyping) jointFields(no int) func(form.Answers) []form.Field {
	pipes := j.pipesAbove(no)
	return func(a form.Answers) []form.Field {
		fields := []form.Field{{Item: "label", Label: "label, as written on the pipe", Manner: form.Text, Keep: true, Check: marks(12)}}
		fields = append(fields, j.fittingFields("fitting", "fitting", func(form.Answers) bool { return false })...)
		fields = append(fields, form.Field{Item: "where", Label: "where it is", Manner: form.Text, Keep: true, Check: atMost(200)})
		for i := range mostEnds {
			fields = append(fields, j.endFields(pipes, a, i)...)
		}
		return fields
	}
}

// endsOf is how many ends are asked: of a coupler or elbow one, since it stays on its
// pipe; where pipes of two sizes or three pipes meet, each.
func (j jobTyping) endsOf(a form.Answers) int {
	for _, t := range j.fusionTables() {
		if f, ok := t.Find(fittingIn(a, "fitting")); ok && (f.Kind == "tee" || f.Kind == "reducer") {
			return min(f.Ends, mostEnds)
		}
	}
	return 1
}

func endItem(i int, what string) string { return fmt.Sprintf("end %d %s", i+1, what) }

func (j jobTyping) endFields(pipes []string, a form.Answers, i int) []form.Field {
	skip := func(a form.Answers) bool { return i >= j.endsOf(a) }
	own := func(a form.Answers) bool { return skip(a) || a.V(endItem(i, "pipe")) != newPipe }
	name := "its pipe"
	if j.endsOf(a) > 1 {
		name = fmt.Sprintf("pipe %d that meets there", i+1)
	}
	return []form.Field{
		{Item: endItem(i, "pipe"), Label: name, Hint: "What is on one pipe moves together: a hold there holds them all.", Manner: form.Choice, Options: append(slices.Clone(pipes), newPipe), Says: func(v string) string {
			if v == newPipe {
				return v
			}
			return "the pipe of " + v
		}, Skip: skip},
		sizeField(endItem(i, "of od"), name+": outside diameter, mm", true, own),
		classField(endItem(i, "of sdr"), name+": SDR", true, own),
	}
}

// pipesAbove are the pipes that joints typed before are on, by a label.
func (j jobTyping) pipesAbove(no int) []string {
	j.outside = j.outside[:min(no, len(j.outside))]
	var out []string
	had := map[string]bool{}
	for _, joint := range j.planned().Joints() {
		ends := slices.DeleteFunc(slices.Clone(joint.Meet()), func(e plan.End) bool { return e.Stub })
		for i, e := range ends {
			if e.Pipe == "" || had[e.Pipe] {
				continue
			}
			had[e.Pipe] = true
			if len(ends) == 1 {
				out = append(out, joint.Label)
			} else {
				out = append(out, fmt.Sprintf("%s:%d", joint.Label, i+1))
			}
		}
	}
	return out
}

// extraOf is the joint that was typed.
func extraOf(a form.Answers) plan.Extra {
	e := plan.Extra{Label: a.V("label"), Fitting: fittingIn(a, "fitting"), Where: a.V("where")}
	var ends []plan.End
	for i := range mostEnds {
		pipe := a.V(endItem(i, "pipe"))
		if pipe == "" {
			continue
		}
		end := plan.End{Pipe: pipe}
		if pipe == newPipe {
			end = pipeEnd(a, endItem(i, "of"))
			end.Pipe = ""
		}
		ends = append(ends, end)
	}
	if len(ends) == 1 {
		e.OdMM, e.SDR, e.Pipe = ends[0].OdMM, ends[0].SDR, ends[0].Pipe
		return e
	}
	e.Ends = ends
	return e
}
