package crew

import (
	"errors"
	"fmt"

	"pgregory.net/rapid"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/plan"
)

// attempts is what random acts are drawn from: each is tried on one weld and
// one joint, whether or not it makes sense there.
func attempts(t *rapid.T, c *Crew, id, label string) map[string]acts.Act {
	yes := rapid.Bool().Draw(t, "yes")
	n := rapid.IntRange(0, 50).Draw(t, "n")
	fit := rapid.SampledFrom([]string{"coupler 40", "coupler 63", "elbow 40", "cap 40"}).Draw(t, "fitting")
	mark := rapid.SampledFrom([]string{logbook.Done, logbook.Done, logbook.NotYet, logbook.CouldNot}).Draw(t, "mark")
	outcome := rapid.SampledFrom([]logbook.Outcome{logbook.Completed, logbook.Stopped, logbook.NotSeen}).Draw(t, "outcome")
	h := c.H
	return map[string]acts.Act{
		"begin": acts.BeginWeld(h, label, Ada, Unit), "abandon": acts.AbandonWalk(h, id, "why"),
		"fit":     acts.AnswerStep(h, id, logbook.StepFitting, Fitting(fit, fmt.Sprint("W-", n%3))),
		"prepare": acts.AnswerStep(h, id, logbook.StepPrep, Card(logbook.Answer{Item: logbook.PrepItems[n%9].Item, V: mark})),
		"bag":     acts.ReadBag(h, id, n > 2), "ambient": acts.ReadAmbient(h, id, fusion.Celsius(n*100-1000), logbook.Typed, nil),
		"settings": acts.KeySettings(h, id, logbook.ModeKeyed, 40, nil), "code": acts.KeySettings(h, id, logbook.ModeCode, n+1, nil),
		"ohms": acts.ReadOhms(h, id, new(float64(n)/10)), "start": acts.StartFusion(h, id, n%5), "refuse": acts.RefuseStart(h, id, "why", nil),
		"end": acts.EndFusion(h, id, logbook.FusionEnded{Outcome: outcome}), "run": acts.ReadRun(h, id, &n), "look": acts.ReadLook(h, id, Look(logbook.LookHot)),
		"release": acts.Release(h, id, Look(logbook.LookRelease), fusion.Stamp{}), "disturb": acts.Disturb(h, id, n%10, "", "why"),
		"cut": acts.Cut(h, id, "why"), "leave": acts.LeaveWalk(h, id, logbook.StepPrep), "resume": acts.ResumeWalk(h, id, logbook.StepPrep),
		"setdown": acts.SetDown(h, id, fusion.Stamp{}), "takenext": acts.TakeNext(h, id, h.At, fusion.Stamp{}),
		"inbatch": acts.PrepareInBatch(h, label, acts.Preparation{Operator: Ada, Unit: Unit, Fitting: Fitting(fit, "W-1"), Port: new(Say(logbook.ItemPort, fmt.Sprint(n%5))), Card: Card()}, fusion.Stamp{}),
		"note":    acts.NoteOn(h, id, "note"), "gap": acts.AcceptGap(h, id, "why"), "found": acts.FoundAtStart(h, fusion.Stamp{}),
		"accept": Review(h, id, logbook.Reviewed{Judged: logbook.Judged{Key: "key"}, Accepted: yes, Why: "why"}), "weather": acts.ChangeWeather(h, logbook.Weather{Sky: "wind", Shelter: "tent"}),
		"later": acts.EnterLater(h, c.LateWeld(func(l *acts.LateWeld) { l.Joint, l.HoldStated, l.Outcome = label, yes, outcome })),
		"add":   acts.AddJoint(h, plan.Joint{Label: fmt.Sprint("X", n)}, "why"), "strike": acts.StrikeJoint(h, label, "why"),
		"split": acts.SplitJoint(h, label, "why", acts.Piece{Fittings: [2]string{fit, fit}}), "close": acts.CloseShift(h),
		"correct": acts.Correct(h, id, logbook.ItemBatch, fmt.Sprint("W-", n%3), "why"), "move": acts.MoveWeld(h, id, label, "why", yes),
		"order": acts.OrderCut(h, id, "why"), "recheck": acts.AskRecheck(h, id, "why"), "cover": CoverSection(h, "chamber A", nil),
	}
}

// Act tries one drawn act. Only the refusals of the acts may come of it.
func (c *Crew) Act(t *rapid.T) {
	var ids, labels []string
	for _, w := range c.Book.Welds(c.H.Site) {
		ids = append(ids, w.ID)
	}
	for _, j := range c.Book.Joints(c.H.Site) {
		labels = append(labels, j.Label)
	}
	if len(ids) > 2 {
		ids = ids[len(ids)-2:] // so that welds get somewhere
	}
	all := attempts(t, c, rapid.SampledFrom(append(ids, "KM-0000")).Draw(t, "weld"), rapid.SampledFrom(labels).Draw(t, "joint"))
	names := []string{
		"begin", "begin", "fit", "prepare", "bag", "ambient", "settings", "code", "ohms", "start", "start", "refuse", "end", "run",
		"look", "release", "disturb", "cut", "leave", "resume", "setdown", "takenext", "inbatch", "note", "gap", "found", "accept", "weather", "later", "add",
		"strike", "split", "close", "abandon", "correct", "move", "move", "order", "recheck", "cover",
	}
	err := c.Try(all[rapid.SampledFrom(names).Draw(t, "act")])
	if err != nil && !errors.Is(err, logbook.ErrRule) && !errors.Is(err, logbook.ErrUnknown) && !errors.Is(err, logbook.ErrExists) && !errors.Is(err, fusion.ErrOutsideBands) {
		t.Fatalf("%T: %v", err, err)
	}
}
