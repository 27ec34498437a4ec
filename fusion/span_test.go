package fusion

import (
	"encoding/json"
	"testing"
	"time"

	"pgregory.net/rapid"
)

var noon = time.Date(2026, 3, 9, 12, 0, 0, 0, time.UTC)

func at(wall, boot time.Duration, id string) Stamp {
	return Stamp{Wall: noon.Add(wall), Offset: 3600, Boot: boot, BootID: id, Machine: "laptop"}
}

func TestSpanLeft(t *testing.T) {
	const m = time.Minute
	hold := Span{Began: at(0, 100*m, "one"), Want: 6 * m}
	for _, c := range []struct {
		name      string
		span      Span
		now, beat Stamp
		left      time.Duration
		doubt     Doubt
	}{
		{"runs by the boot clock", hold, at(2*m, 102*m, "one"), Stamp{}, 4 * m, Sure},
		{"a clock set forward does not shorten it", hold, at(60*m, 102*m, "one"), Stamp{}, 4 * m, Sure},
		{"a clock set back does not lengthen it", hold, at(-60*m, 102*m, "one"), Stamp{}, 4 * m, Sure},
		{"a closed lid counts", hold, at(7*m, 107*m, "one"), Stamp{}, -m, Sure},
		{"restart: heartbeat plus uptime", hold, at(5*m, m, "two"), at(2*m, 102*m, "one"), 3 * m, Restarted},
		{"restart with no heartbeat: uptime only", hold, at(50*m, m, "two"), Stamp{}, 5 * m, Restarted},
		{"a heartbeat of another start is no help", hold, at(5*m, m, "two"), at(2*m, 102*m, "zero"), 5 * m, Restarted},
		{"a heartbeat before the start of the span is nothing", hold, at(5*m, m, "two"), at(-m, 99*m, "one"), 5 * m, Restarted},
		{"start unknown: the smaller clock, wall", hold, at(m, 103*m, ""), Stamp{}, 5 * m, NoBoot},
		{"start unknown: the smaller clock, boot", hold, at(9*m, 101*m, ""), Stamp{}, 5 * m, NoBoot},
		{"start unknown and boot clock gone back: uptime", hold, at(9*m, m, ""), Stamp{}, 5 * m, NoBoot},
		{"start unknown and the wall set back: nothing ran", hold, at(-9*m, 103*m, ""), Stamp{}, 6 * m, NoBoot},
		{"what ran before counts", Span{Began: at(0, 0, "two"), Done: 4 * m, Want: 6 * m}, at(m, m, "two"), Stamp{}, m, Sure},
	} {
		t.Run(c.name, func(t *testing.T) {
			left, doubt := c.span.Left(c.now, c.beat)
			if left != c.left || doubt != c.doubt {
				t.Errorf("left %v, %q; want %v, %q", left, doubt, c.left, c.doubt)
			}
			if got := c.span.Over(c.now, c.beat); got != (c.left <= 0) {
				t.Errorf("over is %v with %v left", got, c.left)
			}
			if got, want := c.span.Ends(c.now, c.beat), c.now.Local().Add(c.left); !got.Equal(want) {
				t.Errorf("ends %v, want %v", got, want)
			}
		})
	}
}

// Whatever a restart, a sleep and a set wall clock do, the time that counts is
// never more than the time that really passed.
func TestSpanNeverCountsMoreThanPassed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		secs := func(name string, most int) time.Duration {
			return time.Duration(rapid.IntRange(0, most).Draw(t, name)) * time.Second
		}
		jump := time.Duration(rapid.IntRange(-5000, 5000).Draw(t, "wall jump")) * time.Second
		beforeBeat, beatToOff, off, up := secs("to heartbeat", 900), secs("to power loss", 15), secs("off", 9000), secs("up", 900)
		span := Span{Began: at(0, time.Hour, "one"), Want: time.Hour}
		beat := at(beforeBeat, time.Hour+beforeBeat, "one")
		passed := beforeBeat + beatToOff + off + up
		now := at(passed+jump, up, "two")
		ran, doubt := span.Ran(now, beat)
		if ran > passed || ran < 0 {
			t.Fatalf("counts %v of %v passed", ran, passed)
		}
		if doubt != Restarted {
			t.Fatalf("doubt %q", doubt)
		}
	})
}

func TestStampStored(t *testing.T) {
	s := Stamp{Wall: noon.Add(123456789 * time.Nanosecond), Offset: -7200, Boot: 90*time.Second + 999, BootID: "one", Machine: "laptop"}
	data, err := json.Marshal(s)
	if err != nil {
		t.Fatal(err)
	}
	const want = `{"wall":"2026-03-09T12:00:00.123Z","offset_s":-7200,"boot_ms":90000,"boot_id":"one","machine":"laptop"}`
	if string(data) != want {
		t.Errorf("stored as %s\nwant      %s", data, want)
	}
	var back Stamp
	if err := json.Unmarshal(data, &back); err != nil || back != s.Cut() {
		t.Errorf("read back as %+v, %v; want %+v", back, err, s.Cut())
	}
	if got := back.Local().Format("15:04 -07:00"); got != "10:00 -02:00" {
		t.Errorf("local time is %s", got)
	}
	if err := json.Unmarshal([]byte(`{"wall":"soon"}`), &back); err == nil {
		t.Error("an unreadable time was read")
	}
}

// A hold that begins when the fusion is due, though its end was said before,
// is never shown shorter than it is.
func TestASpanThatIsStillToBegin(t *testing.T) {
	now := Stamp{Wall: time.Date(2026, 3, 9, 8, 0, 0, 0, time.UTC), Boot: time.Hour, BootID: "one", Machine: "laptop"}
	s := Span{Began: now.Add(30 * time.Second), Want: 6 * time.Minute}
	if left, doubt := s.Left(now, Stamp{}); left != 6*time.Minute+30*time.Second || doubt != Sure {
		t.Errorf("%v left, %q", left, doubt)
	}
	if ends := s.Ends(now, Stamp{}); !ends.Equal(now.Wall.Add(6*time.Minute + 30*time.Second)) {
		t.Errorf("ends %v", ends)
	}
	if s.Over(now.Add(6*time.Minute+29*time.Second), Stamp{}) || !s.Over(now.Add(6*time.Minute+30*time.Second), Stamp{}) {
		t.Error("it is over at another time")
	}
}

// On another machine, however long that is on and whatever its clock says, a span
// has run what the heartbeat of the first proves. From there it runs on; on the
// first machine it is counted as before, and a restart of either touches the other's
// count in nothing.
func TestASpanOnAnotherMachine(t *testing.T) {
	const m = time.Minute
	elsewhere := func(wall, boot time.Duration) Stamp {
		s := at(wall, boot, "two")
		s.Machine = "office"
		return s
	}
	first := Span{Began: at(0, 100*m, "one"), Want: 6 * m}
	beat := at(m, 101*m, "one")
	for _, wall := range []time.Duration{-24 * time.Hour, 0, 2 * m, 24 * time.Hour} {
		if left, doubt := first.Left(elsewhere(wall, 50*time.Hour), Stamp{}); left != 6*m || doubt != Elsewhere {
			t.Errorf("its clock %v on: %v left, %q", wall, left, doubt)
		}
		if left, doubt := first.Left(elsewhere(wall, 50*time.Hour), beat); left != 5*m || doubt != Elsewhere {
			t.Errorf("its clock %v on, with a heartbeat: %v left, %q", wall, left, doubt)
		}
	}
	there := first.From(elsewhere(m, 2*time.Hour), m)
	for _, c := range []struct {
		name  string
		now   Stamp
		left  time.Duration
		doubt Doubt
	}{
		{"it runs on there", elsewhere(4*m, 123*m), 2 * m, Sure},
		{"the first goes by its own clock", at(4*m, 104*m, "one"), 2 * m, Sure},
		{"the first has counted longer", at(5*m, 105*m, "one"), m, Sure},
		{"the first was restarted, its heartbeat lost", at(5*m, m/2, "three"), 5 * m, Elsewhere}, // half a minute is sure, and the minute that was found there
		{"a third knows what the second found", Stamp{Wall: noon, Boot: 99 * time.Hour, BootID: "four", Machine: "phone"}, 5 * m, Elsewhere},
	} {
		if left, doubt := there.Left(c.now, Stamp{}); left != c.left || doubt != c.doubt {
			t.Errorf("%s: %v left, %q; want %v, %q", c.name, left, doubt, c.left, c.doubt)
		}
	}
	again := there.From(at(5*m, m/2, "three"), m)
	if again.Other == nil || again.Other.Other != nil || again.Other.Began.Machine != "office" {
		t.Errorf("a machine counts it twice: %+v", again)
	}
	if left, _ := again.Left(elsewhere(4*m, 123*m), Stamp{}); left != 2*m {
		t.Errorf("a restart of the first: %v left on the second", left)
	}
	if nameless := there.From(Stamp{Wall: noon}, 0); nameless.Other != nil {
		t.Errorf("a stamp that names no machine is counted beside others: %+v", nameless)
	}
}

// Another start of the machine with a wall clock at or before the span's start: only
// what the heartbeat proves counts, however long the machine is on.
func TestASpanWhoseWallClockWentBack(t *testing.T) {
	const m = time.Minute
	s := Span{Began: at(0, 100*m, "one"), Want: 6 * m}
	for _, wall := range []time.Duration{0, -time.Millisecond, -24 * time.Hour} {
		for _, up := range []time.Duration{m, 50 * time.Hour} {
			if left, doubt := s.Left(at(wall, up, "two"), Stamp{}); left != 6*m || doubt != Restarted {
				t.Errorf("%v on, up %v: %v left, %q", wall, up, left, doubt)
			}
			if left, _ := s.Left(at(wall, up, "two"), at(2*m, 102*m, "one")); left != 4*m {
				t.Errorf("%v on, up %v, with a heartbeat: %v left", wall, up, left)
			}
		}
	}
	if left, _ := s.Left(at(m, 50*time.Hour, "two"), Stamp{}); left != 5*m {
		t.Errorf("a machine that is on for longer than the wall clocks say: %v left", left)
	}
	if left, _ := s.Left(at(m, 50*time.Hour, "two"), at(2*m, 102*m, "one")); left != 4*m {
		t.Errorf("wall clocks that say less than the heartbeat proves: %v left", left)
	}
}

// A span that begins only when a fusion is due has not begun at a restart before
// that.
func TestASpanStillToBeginAcrossARestart(t *testing.T) {
	const m = time.Minute
	s := Span{Began: at(0, 100*m, "one"), Done: -9 * m, Want: 6 * m}
	for _, c := range []struct {
		now, beat Stamp
		left      time.Duration
	}{
		{at(m, 101*m, "one"), Stamp{}, 14 * m},
		{at(2*m, m, "two"), Stamp{}, 14 * m},
		{at(2*m, m, "two"), at(m, 101*m, "one"), 13 * m},
		{at(20*m, 10*m, "two"), at(5*m, 105*m, "one"), 0},
	} {
		if left, _ := s.Left(c.now, c.beat); left != c.left {
			t.Errorf("at %+v: %v left, want %v", c.now, left, c.left)
		}
	}
}

// A stamp stated as earlier than the machine's start is one at its start.
func TestAStampBeforeTheStart(t *testing.T) {
	s := Stamp{Wall: time.Date(2026, 3, 9, 8, 0, 0, 0, time.UTC), Boot: time.Hour, BootID: "one"}
	for by, boot := range map[time.Duration]time.Duration{-30 * time.Minute: 30 * time.Minute, -time.Hour: 0, -2 * time.Hour: 0, time.Hour: 2 * time.Hour} {
		if got := s.Add(by); got.Boot != boot || !got.Wall.Equal(s.Wall.Add(by)) || got.BootID != "one" {
			t.Errorf("%v on: %+v", by, got)
		}
	}
}

// Where the system does not tell its start and its boot clock has not moved,
// nothing is sure to have run, whatever the wall clock says.
func TestASpanOnAClockThatStands(t *testing.T) {
	began := Stamp{Wall: time.Date(2026, 3, 9, 8, 0, 0, 0, time.UTC), Boot: time.Hour, Machine: "laptop"}
	now := began
	now.Wall = now.Wall.Add(10 * time.Minute)
	if left, doubt := (Span{Began: began, Want: 6 * time.Minute}).Left(now, Stamp{}); left != 6*time.Minute || doubt != NoBoot {
		t.Errorf("%v left, %q", left, doubt)
	}
}
