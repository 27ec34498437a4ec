package xlsx

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/register"
	"coolhold/logbook/register/account"
)

// pipes are the circuits and headers, with their pipe and how far their joints are; behind the
// sum of them the metres of each size.
func (b *book) pipes() error {
	r := rows{
		heads:  []string{"chamber the pipe belongs to", "circuit", "header", "probe", "pipe OD, mm", "pipe SDR", "length, m", "tape", "joints", "with a weld", "without a weld", "findings still open", "which joints", "neither clear nor accepted", "no pressure before", "waits of the fittings", "remark"},
		widths: []float64{13, 8, 13, 9, 8, 8, 9, 9, 8, 9, 9, 10, 26, 26, 34, 34, 24},
	}
	all := b.rep.Pipes()
	sum, unknown := register.PipeOf{}, 0
	for _, p := range all {
		circuit, length, od, sdr := b.above(p.Circuit), b.metres(p.LengthM), b.above(p.OdMM), b.metres(p.SDR)
		remark := ""
		switch {
		case p.Together():
			od, sdr, length = nil, nil, nil
			remark = togetherSays(p)
		case p.LengthM == 0:
			unknown++
			remark = "its length is not in the plan"
		}
		sum.Joints, sum.Made, sum.Open, sum.LengthM = sum.Joints+p.Joints, sum.Made+p.Made, sum.Open+p.Open, sum.LengthM+p.LengthM
		r.add(append(append([]any{b.say(cmp.Or(p.Chamber, noPipe)), circuit, b.say(p.Header), b.say(p.Probe), od, sdr, length, b.say(p.Tape), b.counted(p.Joints), b.counted(p.Made), b.counted(p.Joints - p.Made), b.counted(p.Open), b.say(strings.Join(p.Labels, ", "))}, b.standing(p)...), b.say(remark))...)
	}
	r.add(b.pipeSum(sum, unknown)...)
	for _, s := range register.Sizes(all) {
		says := []string{logbook.Count(s.Pipes, "pipe")}
		if s.OdMM == 0 {
			says = append(says, "their size is not in the plan")
		}
		if s.Unknown > 0 {
			says = append(says, "without the lengths of "+logbook.Count(s.Unknown, "pipe"))
		}
		r.add(b.say(ofThese), nil, nil, nil, b.above(s.OdMM), b.metres(s.SDR), b.metres(s.LengthM), nil, nil, nil, nil, nil, nil, nil, nil, nil, b.say(strings.Join(says, ", ")))
	}
	return b.write(Pipes, r)
}

// ofThese begins the rows behind the sum of the pipes.
const ofThese = "of these"

// above is a number above nothing in a cell, metres one that was added up; else none.
func (b *book) above(n int) any {
	if n == 0 {
		return nil
	}
	return b.counted(n)
}

func (b *book) metres(m float64) any {
	if m == 0 {
		return nil
	}
	return b.counted(math.Round(100*m) / 100)
}

// togetherSays is the remark of joints that lie on no one pipe: which sizes, as far as they are
// stated.
func togetherSays(p register.PipeOf) string {
	says := "joints on several pipes"
	if len(p.Sizes) > 0 {
		says += ", of " + strings.Trim(strings.ReplaceAll(fmt.Sprint(p.Sizes), " ", ", "), "[]") + " mm"
	}
	if len(p.Unsized) > 0 {
		says += "; the size of " + strings.Join(p.Unsized, ", ") + " is not stated"
	}
	return says + "; their lengths are in the rows of the pipes"
}

// batches are all batches that a weld names, a row each, with what became of those welds and,
// of coils, how many metres of the plan are of it.
func (b *book) batches() error {
	r := rows{heads: []string{}, widths: []float64{16, 16, 20, 8, 9, 9, 9, 8, 10, 12, 12, 34, 10, 24, 10, 34, 40, 24, 20, 16}}
	for _, h := range ofBatches {
		r.heads = append(r.heads, h[0])
	}
	for _, u := range b.rep.Batches() {
		if u.OfPipes() {
			cells := make([]any, len(r.heads))
			cells[0], cells[1], cells[14], cells[15] = b.say(u.Kind()), b.say(u.Batch), b.counted(math.Round(100*u.LengthM)/100), b.say(strings.Join(u.Shared, "; "))
			r.add(cells...)
			continue
		}
		first, last := ends(u.Days)
		read, not := any(nil), any(nil)
		if u.Item == logbook.ItemBatch {
			read, not = b.counted(len(u.BagRead)), b.say(cmp.Or(strings.Join(u.BagNot, ", "), "none"))
		}
		r.add(b.say(u.Kind()), b.say(cmp.Or(u.Batch, "none recorded")), b.say(strings.Join(u.Of, ", ")), b.counted(len(u.Welds)), b.counted(len(u.Joints)), b.counted(len(u.Failed)), b.counted(len(u.Failing)), b.counted(len(u.CutOut)), b.counted(len(u.Unused)),
			b.date(first), b.date(last), b.say(strings.Join(u.Days, ", ")), read, not, b.metres(u.LengthM), b.say(strings.Join(u.Shared, "; ")), b.say(strings.Join(u.Joints, ", ")), b.say(strings.Join(u.Failed, ", ")), b.say(strings.Join(u.Before, ", ")), b.say(strings.Join(u.Written, ", ")))
	}
	return b.write(Batches, r)
}

// ground are the parts of the site as they stand towards being covered with ground.
func (b *book) ground() error {
	r := rows{heads: []string{}, widths: []float64{22, 14, 60, 20, 18, 30, 14, 40}}
	for _, h := range ofGround {
		r.heads = append(r.heads, h[0])
	}
	for _, c := range b.rep.Coverings() {
		on, by, unsettled, dug := any(nil), any(nil), any(nil), any(nil)
		if k := c.Covered; k != nil {
			if on = b.date(k.On); k.On == "" {
				on = b.at(k.At.Local())
			}
			by, unsettled = b.say(k.By), b.say(cmp.Or(strings.Join(k.Missing, ", "), "none"))
		}
		if c.DugUp != nil {
			dug = b.date(c.DugUp.On)
		}
		r.add(b.say(c.Section), b.say(b.rep.MaySay(c)), b.say(account.Plainly(b.over.Lacks(c))), on, by, unsettled, dug, b.say(strings.Join(c.Tested, "; ")))
	}
	return b.write(Ground, r)
}

// noPipe is where joints are that lie on no one pipe of a chamber: what Work by chamber has as
// outside is more, since a joint outside may be on the pipe of one.
const noPipe = "of no chamber's pipe"

// pipeSum is the last row of the pipes: all of them together.
func (b *book) pipeSum(sum register.PipeOf, unknown int) []any {
	remark := ""
	if unknown > 0 {
		remark = "without the lengths of " + logbook.Count(unknown, "pipe") + ", which the plan does not give"
	}
	length := any(nil)
	if sum.LengthM > 0 {
		length = b.counted(math.Round(100*sum.LengthM) / 100)
	}
	return []any{b.say("in all"), nil, nil, nil, nil, nil, length, nil, b.counted(sum.Joints), b.counted(sum.Made), b.counted(sum.Joints - sum.Made), b.counted(sum.Open), nil, nil, nil, nil, b.say(remark)}
}

// standing is what keeps a circuit or header from its pressure test, and until when: a time
// stands there only where nothing but time is wanting.
func (b *book) standing(p register.PipeOf) []any {
	not, before := slices.Concat(p.Bare, p.Unsettled), b.say(p.NotYet())
	if p.Standing == nil {
		return []any{b.say(strings.Join(not, ", ")), before, nil}
	}
	wait, waits := p.Standing.Testing.Wait(), ""
	over := logbook.UpMinute(wait.Over)
	switch {
	case wait.Over.IsZero():
	case before == nil:
		before = b.at(over)
	case wait.Runs:
		waits = "the wait of joint " + wait.Joint + " runs until " + over.Format("2006-01-02 15:04")
	default:
		waits = "those of what is welded are over since " + over.Format("2006-01-02 15:04")
	}
	if len(wait.NoWait) > 0 {
		waits = logbook.Joined("; ", waits, "none is printed for "+strings.Join(wait.NoWait, ", ")+": ask before anything is put under pressure")
	}
	if before == nil {
		before = b.say("the tables say no time: ask before anything is put under pressure")
	}
	return []any{b.say(strings.Join(not, ", ")), before, b.say(waits)}
}
