package desk

import (
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
)

// A circuit is opened alone: nothing is offered, crossed legs are seen at once with the
// joints to look at, and a later look that sees none ends it.
func TestFlowOfACircuitOnTheScreen(t *testing.T) {
	b := onBench(t)
	b.show(80, 24, newLoops)
	b.sees("Flow, purge and fluid", "circuit 1", "no flow check; no purge; what is in it was not said", "header from ground", "Water at 10 °C, changed once, no pump given.")
	b.lacks("good")
	b.keys("enter")
	b.sees("Flow, purge and fluid: circuit 1", "0.6 m/s is 30.0 L/min", "What is in it was not said.")
	b.keys("1")
	b.sees("Flow of circuit 1, opened alone", "one rail only")
	b.keys("enter") // no default
	b.sees("press a digit")
	b.keys("1")
	b.keys("enter")
	b.sees("flow on its own gauge") // still: a figure is wanted, or that it was not read
	b.text("12")
	b.keys("2")
	b.text("7")
	b.sees("there is no circuit 7 on the site")
	b.text("2=14000")
	b.sees(`"14000" is outside 0…10000 L/min`)
	b.keys("esc", "esc")
	b.keys("1", "1")
	b.show(100, 40, newLoops)
	b.keys("enter", "1", "1")
	b.text("12")
	b.keys("2")
	b.text("2=14")
	b.text("42")
	b.text("Hedda Roan")
	if f := b.last().(logbook.FlowChecked); *f.LPM != 12 || f.Shut != logbook.ShutBoth || len(f.Seen) != 1 || *f.Seen[0].LPM != 14 || *f.GaugeMaxLPM != 42 {
		t.Errorf("stored as %+v", f)
	}
	b.sees("with circuit 1 open alone flow was seen in circuit 2")
	b.keys("esc")
	b.sees("flow: flow in circuit 2 while it is shut: legs are crossed", "no flow check: flow was seen in it while it was shut and circuit 1 open: legs are crossed")
	b.keys("enter")
	b.pass(time.Minute)
	b.keys("1", "1")
	b.text("28")
	b.keys("1", "enter") // the gauge goes as far as before: a thing, no observation
	b.keys("enter")
	b.sees("28 L/min")
	b.lacks("was seen in circuit 2")
	if f := b.last().(logbook.FlowChecked); *f.GaugeMaxLPM != 42 || f.Others != logbook.OthersStill {
		t.Errorf("stored as %+v", f)
	}
}

// A purge and a filling are asked without a default; what they lack stands on the screen,
// and one said by mistake is taken back.
func TestPurgeAndFluidOnTheScreen(t *testing.T) {
	b := onBench(t)
	b.show(100, 40, newLoops)
	b.keys("1")
	b.sees("Water and pump", "It is kept with a purge that it was used for")
	b.text("31")
	b.sees("out of range: it goes from 0 to 30 °C")
	b.keys("backspace", "backspace")
	b.text("8")
	b.keys("enter")
	b.text("20:12 60:8")
	b.sees("Water at 8 °C, changed once, a pump of 20 to 60 L/min.")
	b.keys("enter")
	b.sees("the pump gives")
	b.keys("2")
	b.text("20")
	b.text("30")
	b.keys("down")
	b.text("1213")
	b.sees("1213", "▸ temperature of the water")
	b.text("61")
	b.sees(`"61" is outside -20…60 °C`, "▸ temperature of the water")
	b.text("9")
	b.keys("1", "1", "1")
	b.sees("purged with the pump 20:12 60:8", "1 yes", "2 no")
	b.keys("enter")
	b.sees("press a digit")
	b.keys("1")
	b.text("Hedda Roan")
	b.sees("20 L/min is less than the 30 that 0.6 m/s wants", "how long it went on after the last bubble is not known")
	if p := b.last().(logbook.Purged); p.AfterBubble != nil || p.WaterC.String() != "9" || logbook.PumpLine(p.Pump) != "20:12 60:8" || p.Bypassed != logbook.Yes {
		t.Errorf("stored as %+v", p)
	}
	b.keys("3", "2")
	b.text("invented fluid")
	b.text("130")
	b.sees(`"130" is outside 0…100 %`, "▸ its share") // there, and not at the last question
	b.text("30")
	b.keys("down", "1", "enter", "1", "enter")
	b.text("-140")
	b.sees(`"-140" is outside -60…5 °C`, "▸ freezing point as read")
	b.text("-14")
	b.text("R-1")
	b.keys("2", "enter")
	b.sees("in circuit 1 of chamber A: ready-mixed fluid", "the instrument is meant for that fluid: no", "the figures here are those of water")
	if f := b.last().(logbook.FluidFilled); f.FreezingC.String() != "-14" || f.Batch != logbook.UnknownWord || f.Litres != nil {
		t.Errorf("stored as %+v", f)
	}
	b.keys("4", "2", "1", "enter", "enter")
	b.sees("What is in it was not said.", "taken back by")
	b.show(100, 40, newLoops)
	b.sees("a pump of 20 to 60 L/min") // as it is kept
	b.keys("1", "enter", "enter")
	b.sees("curve of the pump", "Enter: 20:12 60:8")
	b.keys("enter")
	b.sees("a pump of 20 to 60 L/min")
	b.show(100, 40, newLoops)
	b.keys("enter")
	b.lacks("meant for that fluid: no.")
}

// What makes it doubtful what is in all of it stands with each part, too.
func TestDoubtsOfAFluidStandWithEachPart(t *testing.T) {
	b := onBench(t)
	b.does(acts.FillFluid(b.head("Hedda Roan"), logbook.FluidFilled{Content: logbook.ContentReady, Name: "invented fluid", Litres: new(300.0), FreezingC: new(fusion.Celsius(-14_00)), Instrument: "R-1", MeantFor: logbook.Yes}))
	b.show(80, 24, newLoops)
	b.sees("in it: ready-mixed fluid, in doubt")
	b.keys("enter")
	b.sees("300 L were filled in and there is room for up to 1059.7: what else is in the pipe was not said")
}

// In a small window, with all three recorded, the foot still says how to leave.
func TestTheLoopInASmallWindow(t *testing.T) {
	b := onBench(t)
	b.show(60, 20, newLoops)
	b.sees("Esc back")
	b.keys("enter", "1", "1")
	b.text("28")
	b.keys("1")
	b.text("42")
	b.text("Hedda Roan")
	b.keys("2")
	b.text("31")
	b.text("40")
	b.text("15")
	b.keys("down", "1", "1", "1")
	b.keys("enter", "3", "1")
	b.keys("enter")
	b.sees("4 take back", "Esc back")
	b.keys("esc")
	b.sees("flow: no crossing seen", "in it: water only")
}

// The next look comes before the disk is done with the last: the name that was given is
// offered all the same.
func TestANameIsOfferedBeforeTheDiskIsDone(t *testing.T) {
	b := onBench(t)
	b.show(100, 40, newLoops)
	b.keys("enter", "1", "1")
	b.text("12")
	b.keys("1")
	b.text("42")
	b.slow = true
	b.text("Hedda Roan")
	b.sees("12 L/min")
	before := b.log.Newest()
	b.keys("1", "1")
	b.text("28")
	b.keys("1", "enter")
	b.sees("your name", "Hedda Roan")
	b.keys("enter")
	b.sees("28 L/min")
	if b.log.Newest().Seq != before.Seq {
		t.Fatal("the disk was not slow")
	}
	b.catchesUp()
	if e := b.log.Newest(); e.By != "Hedda Roan" || *e.Open().(logbook.FlowChecked).LPM != 28 {
		t.Errorf("stored last: %q %+v", e.By, e.Open())
	}
}
