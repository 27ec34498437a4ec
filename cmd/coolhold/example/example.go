// Package example writes the worked example into a log: an invented site of five
// boreholes half done, yesterday's shift with welds of each verdict and one cut out
// and replaced, what the foreman said of them in the evening, today's joints open. It
// uses the acts of the screens, so that it can hold nothing that a crew could not have
// entered, and goes at the pace of one: low ports first, and the other leg of a circuit
// when the hold of the first is long over.
package example

import (
	"cmp"
	"context"
	_ "embed"
	"fmt"
	"strconv"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ahead"
	"coolhold/logbook/audit"
)

//go:embed plan.toml
var planText string

//go:embed table.toml
var tableText string

// Log is all that the example needs of a store.
type Log interface {
	Append(context.Context, func(logbook.Reader) ([]logbook.Draft, error)) ([]logbook.Entry, error)
}

// Tag is the tag of the example's log.
const Tag = "XM"

const (
	ona   = "Ona Brill"
	tam   = "Tam Velding"
	hedda = "Hedda Roan, foreman"
	unit  = "CU-208"
)

// A pen writes one act after another, as a person would, at times of its own.
type pen struct {
	log  Log
	h    acts.Head
	last []logbook.Entry
	n    int
	made int // welds walked through so far
	err  error
	base time.Time // that the dates of cards and calibrations count from
}

func (p *pen) do(act func(acts.Head) acts.Act) {
	if p.err != nil {
		return
	}
	p.n++
	p.h.ID = fmt.Sprintf("example-%d", p.n)
	p.last, p.err = p.log.Append(context.Background(), act(p.h))
}

func (p *pen) wait(d time.Duration) { p.h.At = p.h.At.Add(d) }

// Write writes the example as seen at now.
func Write(log Log, now fusion.Stamp) error {
	p := &pen{log: log}
	p.h.At = yesterday(now)
	p.base = p.h.At.Local()
	p.h.By = ona
	p.do(func(h acts.Head) acts.Act {
		return acts.OpenSite(h, acts.File{Name: "plan.toml", Text: planText}, []acts.File{{Name: "table.toml", Text: tableText}})
	})
	if p.err != nil {
		return p.err
	}
	p.h.Site = p.last[0].Site
	p.do(func(h acts.Head) acts.Act { return acts.ReadBack(h, logbook.Hash(tableText)) })
	p.yesterday()
	p.today(now)
	return p.err
}

// yesterday at one, on another start of the machine.
func yesterday(now fusion.Stamp) fusion.Stamp {
	local := now.Local()
	at := time.Date(local.Year(), local.Month(), local.Day()-1, 13, 2, 0, 0, local.Location())
	return fusion.Stamp{Wall: at.UTC(), Offset: now.Offset, Boot: time.Hour, BootID: "example-yesterday", Machine: now.Machine}
}

// shift is one day of the crew. Their cards and the unit's calibration carry
// dates by base, the same on both days.
func shift(day, base time.Time, w logbook.Weather) logbook.ShiftStarted {
	return logbook.ShiftStarted{
		Day: day.Format("2006-01-02"),
		Operators: []logbook.Operator{
			{Name: ona, Mark: "OB", Number: "Q-1177 (invented)", Expiry: base.AddDate(1, 2, 0).Format("2006-01-02")},
			{Name: tam, Mark: "TV", Number: "Q-2048 (invented)", Expiry: base.AddDate(0, 5, 0).Format("2006-01-02")},
		},
		Units:     []logbook.Unit{{Serial: unit, Calibrated: base.AddDate(0, -7, 0).Format("2006-01-02"), Corrects: logbook.No}},
		Generator: "6 kVA, on the trailer", Thermometer: "TH-3", Weather: w,
	}
}

func (p *pen) startShift(w logbook.Weather) {
	p.do(func(h acts.Head) acts.Act { return acts.StartShift(h, shift(h.At.Local(), p.base, w)) })
	if p.err == nil {
		p.h.Shift = p.last[0].Shift
	}
}

// yesterday goes as such days go: a lead pulled off, a fitting that reads
// unlike the others of its batch, a wall in the way of the clamp, a digger, the last weld
// while the laptop was in the van. A hold is released once the next joint is fused.
func (p *pen) yesterday() {
	p.startShift(logbook.Weather{Sky: "dry", Shelter: "none"})
	p.wait(2 * time.Minute)
	first := p.weld("1A", manner{air: "9.5"})
	second := p.weld("2A", manner{air: "9.5", ohms: 2.42})
	p.release(first, logbook.Up)
	stopped := p.weld("3A", loose(17))
	p.release(second, logbook.Up)
	p.wait(7 * time.Minute) // it cools
	p.do(func(h acts.Head) acts.Act {
		return acts.Cut(h, stopped, "lead pulled off the terminal at 17 s")
	})
	p.wait(3 * time.Minute)
	again := p.weld("3A", manner{air: "9"})
	part := p.weld("4A", manner{air: "9", ohms: 2.58, misread: "W-4000-1"})
	p.release(again, logbook.Up)
	p.h.By = tam
	noClamp := p.weld("5A", couldNotClamp())
	p.release(part, logbook.Part)
	refusedOnce := p.weld("1B", manner{refuse: "contact", coil: "coil 5591"})
	p.release(noClamp, logbook.Up)
	moved := p.weld("FG", good())
	p.release(refusedOnce, logbook.Up)
	p.wait(3 * time.Minute)
	p.do(func(h acts.Head) acts.Act {
		return acts.Disturb(h, moved, 4, "", "digger touched the header pipe")
	})
	p.wait(25 * time.Minute)
	inVan := p.late("TG")
	p.wait(4 * time.Minute)
	for _, id := range []string{first, second, again, part, noClamp, refusedOnce, inVan} {
		second := logbook.Up
		if id == part {
			second = logbook.Part // what was half up when it was cold stays so
		}
		p.look(id, logbook.LookRound, second)
	}
	p.do(acts.CloseShift)
	p.wait(4 * time.Minute)
	p.do(func(h acts.Head) acts.Act {
		return acts.Correct(h, refusedOnce, logbook.ItemPipeBatch, "coil 5519", "two digits changed over in typing; read again on the coil")
	})
	p.evening(part, inVan)
}

// evening is the foreman's answer to what the crew left open.
func (p *pen) evening(part, inVan string) {
	p.h.By = hedda
	p.wait(30 * time.Minute)
	p.accept(part, "indicator-part", "looked at it with the operator; the other side stands full")
	p.accept(part, "resistance-unlike-sisters", "inside its window; the terminals of this one were dull")
	p.accept(inVan, "scraping-method", "the blade of the rotary scraper broke on FG; the band is even all round")
}

// today one joint is fused, and its hold runs.
func (p *pen) today(now fusion.Stamp) {
	p.h.At, p.h.By, p.h.Shift = now.Add(-12*time.Minute), ona, ""
	p.startShift(logbook.Weather{Sky: "dry", Shelter: "none"})
	p.wait(time.Minute)
	p.weld("2B", good())
	p.h.At = now
}

func (p *pen) accept(weld, rule, why string) {
	p.do(func(h acts.Head) acts.Act {
		return func(r logbook.Reader) ([]logbook.Draft, error) {
			f, _ := audit.Run(r, h.Site, h.At, fusion.Stamp{}).Find(rule + ":" + weld)
			return acts.Accept(h, fusion.Stamp{}, f.Judged(), why)(r)
		}
	})
}

// A manner is how one weld of the example goes.
type manner struct {
	prep    []logbook.Answer
	air     string  // °C; "" is 8.5
	coil    string  // as typed; "" is the one in the trench
	misread string  // a batch that is typed first and put right before the current
	batch   string  // of the coupler; "" is the one in the van
	unit    string  // "" is the crew's only one
	ohms    float64 // 0 is what most others of its batch read
	refuse  string
	stop    *int
}

func good() manner { return manner{} }

// loose is a lead that reads too high, and comes off after s seconds.
func loose(s int) manner { return manner{air: "9", ohms: 2.71, stop: &s} }

func couldNotClamp() manner {
	return manner{prep: []logbook.Answer{{Item: "clamped", V: logbook.CouldNot, How: logbook.Typed, Reason: "noaccess", Why: "chamber wall in the way"}}}
}

// paces are how long one joint after another takes from its number to the current:
// 7 to 9 min (common practice, no source).
var paces = []time.Duration{
	490 * time.Second, 445 * time.Second, 465 * time.Second, 470 * time.Second, 505 * time.Second,
	520 * time.Second, 500 * time.Second, 455 * time.Second, 480 * time.Second,
}

// weld makes one weld from its number to the look after fusion, and goes on to the
// next joint. Most of the time goes into the preparation; what is read on the unit
// follows in the last minute and a half.
func (p *pen) weld(joint string, m manner) string {
	p.do(func(h acts.Head) acts.Act { return acts.BeginWeld(h, joint, h.By, cmp.Or(m.unit, unit)) })
	if p.err != nil {
		return ""
	}
	id := p.last[0].Weld
	pace := paces[p.made%len(paces)]
	p.made++
	p.wait(45 * time.Second)
	p.fitting(id, joint, m)
	p.wait(pace - 135*time.Second)
	p.prepare(id, m)
	p.ambient(id, cmp.Or(m.air, "8.5"))
	p.bag(id)
	p.wait(20 * time.Second)
	s := p.key(id, joint, m)
	p.do(func(h acts.Head) acts.Act { return acts.StartFusion(h, id, 0) })
	p.end(id, s.seconds, m)
	return id
}

func (p *pen) ambient(id, air string) {
	p.wait(20 * time.Second)
	c, err := fusion.ParseCelsius(air)
	p.err = cmp.Or(p.err, err)
	p.do(func(h acts.Head) acts.Act { return acts.ReadAmbient(h, id, c, logbook.Typed, nil) })
}

// key is what the unit shows, and a start that it refuses.
func (p *pen) key(id, joint string, m manner) figures {
	s := settings(joint)
	s.ohms = cmp.Or(m.ohms, s.ohms)
	p.do(func(h acts.Head) acts.Act {
		return acts.KeySettings(h, id, logbook.ModeKeyed, s.seconds, &s.volts)
	})
	p.wait(15 * time.Second)
	ohms := func(h acts.Head) acts.Act { return acts.ReadOhms(h, id, &s.ohms) }
	p.do(ohms)
	p.wait(15 * time.Second)
	if m.refuse != "" {
		p.do(func(h acts.Head) acts.Act { return acts.RefuseStart(h, id, m.refuse, nil) })
		p.wait(15 * time.Second)
		p.do(ohms)
	}
	p.wait(20 * time.Second)
	return s
}

func (p *pen) fitting(id, joint string, m manner) {
	fitting := map[string]string{"FG": "coupler 63", "TG": "coupler 63", "E1": "elbow 63"}[joint]
	batch, coil := "W-6312", "length 63-18"
	if fitting == "" {
		fitting, batch, coil = "coupler 40", "W-4000-7", "coil 5519"
	}
	batch, coil = cmp.Or(m.batch, batch), cmp.Or(m.coil, coil)
	answers := []logbook.Answer{
		{Item: logbook.ItemFitting, V: fitting, How: logbook.Offered},
		{Item: logbook.ItemBatch, V: cmp.Or(m.misread, batch), How: logbook.Typed},
		{Item: logbook.ItemPrint, V: logbook.AsPlanned, How: logbook.Typed},
		{Item: logbook.ItemPipeBatch, V: coil, How: logbook.Typed},
		{Item: logbook.ItemStubBatch, V: "stub 071", How: logbook.Offered},
	}
	p.port(id, joint)
	p.do(func(h acts.Head) acts.Act { return acts.AnswerStep(h, id, logbook.StepFitting, answers) })
	if m.misread != "" {
		right := []logbook.Answer{{Item: logbook.ItemBatch, V: batch, How: logbook.Typed}}
		p.wait(15 * time.Second)
		p.do(func(h acts.Head) acts.Act { return acts.AnswerStep(h, id, logbook.StepFitting, right) })
	}
}

// bag is read where its batch is new.
func (p *pen) bag(id string) {
	p.do(func(h acts.Head) acts.Act {
		return func(r logbook.Reader) ([]logbook.Draft, error) {
			site, _ := r.Site(h.Site)
			w, _ := r.Weld(h.Site, id)
			if !ahead.DueOf(r, logbook.ShelfOf(site), w, h.At, fusion.Stamp{}).Bag {
				return nil, nil
			}
			return acts.ReadBag(h, id, true)(r)
		}
	})
}

// port says that the leg goes to the port of the plan, where there is one.
func (p *pen) port(id, joint string) {
	p.do(func(h acts.Head) acts.Act {
		return func(r logbook.Reader) ([]logbook.Draft, error) {
			j, _ := r.Joint(h.Site, joint)
			if !logbook.AsksPort(j) {
				return nil, nil
			}
			return acts.ChoosePort(h, id, logbook.Answer{V: strconv.Itoa(j.Port), How: logbook.Typed})(r)
		}
	})
}

func (p *pen) prepare(id string, m manner) {
	answers := append([]logbook.Answer{}, m.prep...)
	marked := map[string]bool{}
	for _, a := range answers {
		marked[a.Item] = true
	}
	for _, item := range logbook.PrepItems {
		if !marked[item.Item] {
			answers = append(answers, logbook.Answer{Item: item.Item, V: logbook.Done, How: logbook.Typed})
		}
	}
	answers = append(answers, logbook.Answer{Item: logbook.ItemMethod, V: logbook.RotaryTool, How: logbook.Offered})
	p.do(func(h acts.Head) acts.Act { return acts.AnswerStep(h, id, logbook.StepPrep, answers) })
}

type figures struct {
	seconds     int
	volts, ohms float64
}

// settings are those of the example's table in its band 5…14 °C.
func settings(joint string) figures {
	switch joint {
	case "FG", "TG":
		return figures{80, 39.5, 1.22}
	case "E1":
		return figures{89, 39.5, 0}
	}
	return figures{50, 39.5, 2.43}
}

func (p *pen) end(id string, seconds int, m manner) {
	if m.stop != nil {
		p.wait(time.Duration(*m.stop) * time.Second)
		p.do(func(h acts.Head) acts.Act {
			return acts.EndFusion(h, id, logbook.FusionEnded{Outcome: logbook.Stopped, AtS: m.stop, Said: "voltage lost"})
		})
		p.wait(30 * time.Second)
		return
	}
	p.wait(time.Duration(seconds+1) * time.Second)
	p.do(func(h acts.Head) acts.Act {
		return acts.EndFusion(h, id, logbook.FusionEnded{Outcome: logbook.Completed})
	})
	p.do(func(h acts.Head) acts.Act { return acts.ReadRun(h, id, &seconds) })
	p.wait(15 * time.Second)
	p.do(func(h acts.Head) acts.Act {
		return acts.ReadLook(h, id, logbook.Look{
			When: logbook.LookHot, Indicators: []string{logbook.Up, logbook.Up}, Melt: "none", Wire: "none", Marks: "inplace", Straight: "yes", How: logbook.Typed,
		})
	})
	p.wait(30 * time.Second)
}

func (p *pen) look(id string, when logbook.Occasion, second string) {
	p.do(func(h acts.Head) acts.Act { return acts.ReadLook(h, id, felt(when, second)) })
	p.wait(20 * time.Second)
}

func (p *pen) release(id, second string) {
	p.do(func(h acts.Head) acts.Act {
		return acts.Release(h, id, felt(logbook.LookRelease, second), fusion.Stamp{})
	})
	p.wait(20 * time.Second)
}

func felt(when logbook.Occasion, second string) logbook.Look {
	return logbook.Look{When: when, Indicators: []string{logbook.Up, second}, Felt: "firm", How: logbook.Typed}
}

// late is a weld made while the laptop was in the van.
func (p *pen) late(joint string) string {
	started := p.h.At.Local().Add(-15 * time.Minute)
	s := settings(joint)
	l := acts.LateWeld{
		Joint: joint, Operator: tam, Unit: unit, Corrects: logbook.No, Mode: logbook.ModeKeyed,
		SecondsShown: s.seconds, VoltsShown: &s.volts, Ohms: &s.ohms, Started: started, Ended: started.Add(time.Duration(s.seconds) * time.Second),
		Outcome: logbook.Completed, Run: &s.seconds, HoldStated: true, Released: started.Add(14 * time.Minute),
		Look: logbook.Look{When: logbook.LookHot, Indicators: []string{logbook.Up}, Melt: "none", Wire: "none", Marks: "inplace", Straight: "yes"},
		Why:  "laptop in the van, battery flat; hold from the stated end on the word of Tam Velding",
		Answers: []logbook.Answer{
			{Item: logbook.ItemFitting, V: "coupler 63"}, {Item: logbook.ItemBatch, V: "W-6312"},
			{Item: logbook.ItemPipeBatch, V: logbook.NotKnown}, {Item: logbook.ItemMethod, V: logbook.HandTool},
		},
	}
	for _, item := range logbook.PrepItems {
		l.Answers = append(l.Answers, logbook.Answer{Item: item.Item, V: logbook.Done})
	}
	l.Ambient, p.err = fusion.ParseCelsius("9")
	p.do(func(h acts.Head) acts.Act { return acts.EnterLater(h, l) })
	if p.err != nil {
		return ""
	}
	return p.last[0].Weld
}
