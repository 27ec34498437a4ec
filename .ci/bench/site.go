//go:build linux

package main

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
	"coolhold/logbook/crew"
	"coolhold/logbook/plan"
)

// tag is the tag of every log that is made here.
const tag = "KM"

// A script says what is done on one site.
type script struct {
	joints int
	open   bool // the last site of a log: a tenth of the joints is left, some welds are held, one is prepared
	tour   bool // everything that can be recorded is, once
}

// A place is where a site's part of a log begins. Sites of one script have as many
// welds, so that they can be made side by side.
type place struct {
	no    int // of the site, from 0
	welds int // the number of its first weld
	begun time.Time
}

// halted is a fault of a script: it ends the making of a log.
type halted struct{ error }

// stop stands for a test where there is none.
type stop struct{ testing.TB }

func (stop) Helper()                  {}
func (stop) Context() context.Context { return context.Background() }
func (stop) Fatal(args ...any)        { panic(halted{fmt.Errorf("%s", fmt.Sprint(args...))}) }
func (stop) Fatalf(f string, a ...any) {
	panic(halted{fmt.Errorf(f, a...)})
}

// A hand is a crew at work in one site of a log that is made.
type hand struct {
	*crew.Crew
	s     script
	p     place
	day   int
	fused int
	done  []string // welds of the day, to be looked at once more
}

// make plays a script. Its entries are numbered from 1, wherever they come to stand in
// the log: no body names an entry by its number, but in the tour, which is the first.
func (s script) make(p place) (entries []logbook.Entry, err error) {
	defer func() {
		if h, is := recover().(halted); is {
			err = fmt.Errorf("site %d of %d joints: %w", p.no, s.joints, h.error)
		}
	}()
	h := &hand{Crew: crew.Tagged(stop{}, tag), s: s, p: p}
	h.Book = logbook.NewBook(tag, p.welds)
	h.N = (p.no + 1) * 1_000_000 // ids of acts are used once in a log
	h.H.ID = fmt.Sprintf("act %d", h.N)
	h.H.At = fusion.Stamp{Wall: p.begun, Offset: 3600, Boot: time.Hour, BootID: h.boot(), Machine: "laptop"}
	h.play()
	return h.Entries, nil
}

func (h *hand) boot() string { return fmt.Sprintf("boot %d-%d", h.p.no, h.day) }

// mostChambers is how many a plan may have.
const mostChambers = 50

// planOf is an invented site of so many joints, ten a chamber: four circuits and both
// headers. A site of more than fifty such chambers has larger ones.
func planOf(no, joints int) string {
	var b strings.Builder
	fmt.Fprintf(&b, "site = \"Invented Meadow %d\"\nclient = \"invented client\"\nfirm = \"invented firm\"\naddress = \"invented address\"\n[require]\nscraping = \"rotary tool\"\n", no+1)
	chambers := min(joints/10, mostChambers)
	circuits := joints/chambers/2 - 1
	for c := range chambers {
		fmt.Fprintf(&b, "[[chamber]]\nname = \"C%d\"\nports = [\n", c)
		for p := 1; p <= 2*circuits; p++ {
			row, way := "high", "from ground"
			if p > circuits {
				row = "low"
			}
			if p%2 == 0 {
				way = "to ground"
			}
			fmt.Fprintf(&b, "  {no = %d, row = %q, bar = %q},\n", p, row, way)
		}
		b.WriteString("]\n")
		for n := 1; n <= circuits; n++ {
			fmt.Fprintf(&b, "[[chamber.circuit]]\nno = %d\nod_mm = 40\nsdr = 11\nlength_m = 200\nports = [%d, %d]\nfitting = \"coupler 40\"\n", n, 2*n-1, 2*n)
		}
		for _, way := range []string{"from ground", "to ground"} {
			fmt.Fprintf(&b, "[[chamber.header]]\nway = %q\nod_mm = 63\nsdr = 11\nlength_m = 30\nfitting = \"coupler 63\"\n", way)
		}
	}
	return b.String()
}

func (h *hand) play() {
	h.Opens(planOf(h.p.no, h.s.joints), crew.TableText)
	h.Do(acts.ReadBack(h.H, logbook.Hash(crew.TableText)))
	h.shift()
	if h.s.tour {
		h.tour()
	}
	free := h.free()
	if !h.s.open {
		h.weldAll(free)
		h.evening()
		return
	}
	// A leg A shares its pipe with the leg B of its circuit alone, which is left.
	left := len(free) - min(len(free), h.s.joints/10+10)
	var legs []logbook.Joint
	var other string
	for _, j := range free[left:] {
		switch {
		case j.Leg == "A" && len(legs) < 8:
			legs = append(legs, j)
		case j.Leg == "" && other == "":
			other = j.Label
		}
	}
	h.weldAll(free[:left])
	for _, j := range legs {
		h.Fused(j.Label)
	}
	if other != "" {
		h.Prepared(other)
	}
}

// free are the joints in which no weld stands.
func (h *hand) free() (free []logbook.Joint) {
	for _, j := range h.Book.Joints(h.H.Site) {
		if j.Open() && j.Walk == "" && !strings.HasPrefix(j.Label, "X") {
			free = append(free, j)
		}
	}
	return free
}

func (h *hand) shift() {
	day := h.H.At.Local().Format(time.DateOnly)
	h.StartShift(day)
}

// aDay is how many welds a crew makes in one.
const aDay = 20

func (h *hand) weldAll(joints []logbook.Joint) {
	for _, j := range joints {
		h.weld(j.Label)
	}
}

// weld is a usual weld, and now and then one that is not; its hold is waited for.
func (h *hand) weld(label string) {
	if len(h.done) == aDay {
		h.evening()
		h.morning()
	}
	h.fused++
	id := h.Fitted(label)
	batch := fmt.Sprintf("W-%d-%d", h.p.no, h.fused/25)
	h.Do(acts.AnswerStep(h.H, id, logbook.StepFitting, []logbook.Answer{crew.Say(logbook.ItemBatch, batch)}))
	h.Wait(2 * time.Minute)
	h.Do(acts.AnswerStep(h.H, id, logbook.StepPrep, crew.Card()))
	h.Settle(id)
	if h.fused%17 == 0 {
		h.Do(acts.RefuseStart(h.H, id, "contact", nil))
	}
	h.Do(acts.StartFusion(h.H, id, 0))
	h.Wait(time.Duration(h.Table(id).Seconds) * time.Second)
	h.Do(acts.EndFusion(h.H, id, logbook.FusionEnded{Outcome: logbook.Completed}))
	h.Do(acts.ReadRun(h.H, id, new(h.Table(id).Seconds)))
	h.Do(acts.ReadLook(h.H, id, hot()))
	h.Wait(10 * time.Minute)
	h.Do(acts.Release(h.H, id, crew.Look(logbook.LookRelease), fusion.Stamp{}))
	h.done = append(h.done, id)
}

func hot() logbook.Look {
	return logbook.Look{When: logbook.LookHot, Indicators: []string{logbook.Up, logbook.Up}, Melt: "none", Wire: "none", Marks: "inplace", Straight: "yes", How: logbook.Typed}
}

func (h *hand) evening() {
	for _, id := range h.done {
		if h.Weld(id).Stands() {
			h.Do(acts.ReadLook(h.H, id, crew.Look(logbook.LookRound)))
		}
	}
	h.done = nil
	h.Do(acts.CloseShift(h.H))
}

func (h *hand) morning() {
	h.day++
	at := h.H.At.Wall
	next := time.Date(at.Year(), at.Month(), at.Day()+1, 7, 0, 0, 0, time.UTC)
	h.Boot(h.boot(), next.Sub(at)-time.Minute, time.Minute)
	h.shift()
}

// restart starts the machine anew while something is held.
func (h *hand) restart(name string) {
	h.Boot(h.boot()+" "+name, time.Minute, time.Minute)
	h.Do(acts.FoundAtStart(h.H, fusion.Stamp{}))
}

const hedda = "Hedda Invented"

// by is somebody else than the welder.
func (h *hand) by(name string) acts.Head {
	head := h.H
	head.By = name
	return head
}

// tour records everything once that can be, but for what is of the whole log.
func (h *hand) tour() {
	h.desk()
	first := h.free()
	a, b := first[0].Label, first[1].Label // both legs of circuit 1
	h.walked(a)
	h.troubled(b)
	h.held()
	h.tested(b)
	h.looped()
	h.signed()
	h.evening()
	h.morning()
}

// desk is what is on paper before a weld: kit, codes, people, joints.
func (h *hand) desk() {
	const code = "123456789012345678901234"
	why := "found on the drawing"
	h.Do(
		acts.TakeKit(h.H, acts.File{Name: "kit.toml", Text: "[[unit]]\nserial = \"CU-1\"\n"}),
		acts.TeachCode(h.H, code, "coupler 40", ""),
		acts.NamePerson(h.H, hedda, logbook.PersonNamed{}, acts.Telling{}),
		acts.ChangeWeather(h.H, logbook.Weather{Sky: "wind", Shelter: "tent"}),
	)
	for _, label := range []string{"X1", "X2"} {
		j := plan.Joint{Label: label, Fitting: "elbow 40", Where: "bend", OdMM: 40, SDR: 11}
		h.Do(acts.AddJoint(h.H, j, why))
	}
	h.Do(acts.StrikeJoint(h.H, "X1", why), acts.TakeUpJoint(h.H, "X1", why), acts.StrikeJoint(h.H, "X1", why))
	h.Do(acts.SplitJoint(h.H, "X2", "the stub became too short", acts.Piece{Fittings: [2]string{"coupler 40", "coupler 40"}}))
	for _, label := range []string{"X2.1", "X2.2"} {
		h.Do(acts.StrikeJoint(h.H, label, why))
	}
}

// walked is a weld that was left, taken up, given up and begun anew, and what was said
// of it later.
func (h *hand) walked(label string) {
	id := h.Numbered(label)
	h.Do(acts.AbandonWalk(h.H, id, "the bag was wet"))
	id = h.Fitted(label)
	h.Do(acts.LeaveWalk(h.H, id, logbook.StepPrep), acts.ResumeWalk(h.H, id, logbook.StepPrep), acts.AnswerStep(h.H, id, logbook.StepPrep, crew.Card()))
	h.Do(acts.ReadAmbient(h.H, id, 9_00, logbook.Typed, nil))
	h.Bagged(id)
	h.Do(acts.KeySettings(h.H, id, logbook.ModeKeyed, 38, nil)) // it is stopped
	h.Settle(id)
	h.Do(acts.RefuseStart(h.H, id, "contact", nil))
	h.fuse(id)
	why := "looked at again"
	h.Do(acts.NoteOn(h.H, id, "nothing to say"), acts.Correct(h.H, id, logbook.ItemBatch, "W-2", "misread"),
		acts.OrderCut(h.by(hedda), id, why), acts.WithdrawCut(h.by(hedda), id, why), acts.AskRecheck(h.by(hedda), id, why),
		acts.Enclose(h.H, id, "", logbook.Enclosed{File: "photo.jpg", Hash: logbook.Hash("photo"), Bytes: 3, What: "photo"}))
}

// fuse is what follows a preparation, to the release.
func (h *hand) fuse(id string) {
	h.Do(acts.StartFusion(h.H, id, 0))
	h.Wait(time.Duration(h.Table(id).Seconds) * time.Second)
	h.Do(acts.EndFusion(h.H, id, logbook.FusionEnded{Outcome: logbook.Completed}), acts.ReadRun(h.H, id, new(h.Table(id).Seconds)), acts.ReadLook(h.H, id, hot()))
	h.Wait(20 * time.Minute)
	h.Do(acts.Release(h.H, id, crew.Look(logbook.LookRelease), fusion.Stamp{}))
}

// troubled is a weld that was disturbed and cut out, one entered later in its stead.
func (h *hand) troubled(label string) {
	id := h.Fused(label)
	h.Do(acts.Disturb(h.H, id, 2, "", "the digger"), acts.Cut(h.H, id, "it was moved"))
	h.Wait(time.Hour)
	h.Late(func(l *acts.LateWeld) { l.Joint = label })
	h.Wait(time.Hour)
	h.Do(acts.Release(h.H, h.Newest().Weld, crew.Look(logbook.LookRelease), fusion.Stamp{}))
}

// held are two holds over which the machine was started anew.
func (h *hand) held() {
	all := h.free()
	id := h.Fused(all[0].Label)
	h.restart("second")
	h.Do(acts.AcceptGap(h.H, id, "sat beside it"))
	h.Wait(time.Hour)
	h.Do(acts.Release(h.H, id, crew.Look(logbook.LookRelease), fusion.Stamp{}))
	id = h.Fused(all[1].Label)
	h.restart("third")
	watch := h.H.At.Local()
	h.Do(acts.SayHold(h.H, id, logbook.HoldSaid{Watch: watch.Format("15:04"), Ink: watch.Add(3 * time.Minute).Format("15:04"), Why: "read on the pipe"}, fusion.Stamp{}))
	h.Wait(time.Hour)
	h.Do(acts.Release(h.H, id, crew.Look(logbook.LookRelease), fusion.Stamp{}), acts.DoubtDrift(h.H, 3*time.Second))
}

// section is circuit 1 of the first chamber.
var section = logbook.SectionID{Chamber: "C0", Circuit: 1}

// tested are two pressure tests, one taken back, and a weld made after the other.
func (h *hand) tested(label string) {
	h.Presses(crew.Pressing(section), 6.1, 6.05)
	h.Do(acts.WithdrawPressure(h.H, h.Presses(crew.Pressing(section), 6.1, 5.0), "another circuit"))
	j := h.Joint(label)
	h.Do(acts.Cut(h.H, j.Stands, "crooked"))
	h.fuse(h.Prepared(label))
	id := h.Joint(label).Stands
	h.Do(acts.NameClosing(h.H, id, "the last one"),
		acts.LookUnderPressure(h.by(hedda), id, logbook.PressureLook{Bar: 3, Leaks: logbook.LeakNone, Witness: crew.Witness}))
}

// looped is what follows the tests: flow, purge, fluid, and what came later.
func (h *hand) looped() {
	h.Do(
		acts.CheckFlow(h.H, logbook.FlowChecked{Section: section, LPM: new(28.5), Shut: logbook.ShutBoth, Others: logbook.OthersStill}),
		acts.RecordPurge(h.H, logbook.Purged{Section: section, LPM: new(31.0), Bypassed: logbook.Yes, Strainer: logbook.Yes, Turned: logbook.Yes}),
		acts.FillFluid(h.H, logbook.FluidFilled{Section: section, Content: logbook.ContentWater}),
		acts.LeaveAs(h.H, logbook.LeftAs{Section: section, NoneShut: true, Pressure: logbook.PressureNone}),
	)
	seq, _ := acts.NewestLoop(h.Book, h.H.Site, acts.LoopKinds["flow"], section)
	h.Do(acts.WithdrawLoop(h.H, acts.LoopKinds["flow"], section, seq, "it was circuit 2"))
	h.Do(acts.Happen(h.H, "", logbook.Happened{What: logbook.DugUp, On: h.H.At.Local().Format(time.DateOnly), Text: "a fence post"}))
}

// signed is what the foreman does: a cover, taken back; a finding accepted; the day.
func (h *hand) signed() {
	foreman := h.by(hedda)
	all := ahead.Sections(h.Book, h.H.Site)
	for range 2 { // the first is taken back
		h.Do(acts.CheckGround(h.H, logbook.GroundChecked{Section: all[0].Name, Stage: logbook.GroundCovered, Seen: []logbook.GroundSeen{{Line: logbook.GroundBed, State: logbook.Yes}}}))
		if look, _ := h.Site().GroundOf(all[0].Name); look.Seq > 0 && len(h.Site().Ground) == 1 {
			h.Do(acts.WithdrawGround(foreman, all[0].Name, look.Seq, "it was the other chamber"))
		}
	}
	seen := audit.CoveringOf(h.Book, h.audit(), all[0])
	h.Do(acts.CoverSection(foreman, fusion.Stamp{}, seen, true))
	cover, _ := h.Site().CoverOf(all[0].Name)
	h.Do(acts.UncoverSection(foreman, cover, "it was the other chamber"))
	res := h.audit()
	for _, f := range res.Findings {
		if f.Open() && h.Try(acts.Accept(foreman, fusion.Stamp{}, f.Judged(), "seen by the foreman")) == nil {
			break
		}
	}
	day := h.H.At.Local().Format(time.DateOnly)
	var fails []logbook.Judged
	for _, f := range h.audit().OpenFails(day) {
		fails = append(fails, f.Acks()...)
	}
	h.Do(acts.SignDay(foreman, fusion.Stamp{}, day, fails))
	h.Do(acts.SameSite(h.H, []logbook.SiteIn{{Log: "1", Plan: logbook.Hash("one")}, {Log: "2", Plan: logbook.Hash("two")}}, "one job", false))
}

func (h *hand) audit() audit.Result {
	return audit.Run(h.Book, h.H.Site, h.H.At, fusion.Stamp{})
}
