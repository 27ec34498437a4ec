package logbook_test

import (
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
)

func TestJumpsOfTheClock(t *testing.T) {
	at := func(wall, boot time.Duration, start, machine string) fusion.Stamp {
		return fusion.Stamp{Wall: time.Date(2026, 3, 9, 7, 0, 0, 0, time.UTC).Add(wall), Boot: boot, BootID: start, Machine: machine}
	}
	const h, m, s = time.Hour, time.Minute, time.Second
	for _, tt := range []struct {
		name   string
		stamps []fusion.Stamp
		by     []time.Duration
	}{
		{"none", []fusion.Stamp{at(0, h, "1", "a"), at(h, 2*h, "1", "a")}, nil},
		{"two minutes are no jump", []fusion.Stamp{at(0, h, "1", "a"), at(-2*m, h, "1", "a")}, nil},
		{"a second more is", []fusion.Stamp{at(0, h, "1", "a"), at(-2*m-s, h, "1", "a")}, []time.Duration{-2*m - s}},
		{"forward too", []fusion.Stamp{at(0, h, "1", "a"), at(h, h+m, "1", "a"), at(h+m, h+2*m, "1", "a")}, []time.Duration{59 * m}},
		{"back and on again", []fusion.Stamp{at(0, h, "1", "a"), at(-32*h, h, "1", "a"), at(-31*h, 2*h, "1", "a"), at(h, 2*h, "1", "a")}, []time.Duration{-32 * h, 32 * h}},
		{"small steps that add up", []fusion.Stamp{at(0, h, "1", "a"), at(-m, h, "1", "a"), at(-2*m, h, "1", "a"), at(-3*m, h, "1", "a")}, []time.Duration{-3 * m}},
		{"set slowly over five days", []fusion.Stamp{at(0, h, "1", "a"), at(120*h+5*m, 121*h, "1", "a")}, nil},
		{"asleep", []fusion.Stamp{at(0, h, "1", "a"), at(14*h, 15*h, "1", "a")}, nil},
		{"another start", []fusion.Stamp{at(0, h, "1", "a"), at(h, m, "2", "a")}, nil},
		{"set back over a start", []fusion.Stamp{at(0, h, "1", "a"), at(-h, m, "2", "a")}, []time.Duration{-h - m}},
		{"set back over a start, and run past it", []fusion.Stamp{at(0, h, "1", "a"), at(h, 3*h, "2", "a")}, []time.Duration{-2 * h}},
		{"a start that is not told", []fusion.Stamp{at(0, 9*h, "", "a"), at(h, 10*h, "", "a"), at(0, 9*h, "", "a")}, []time.Duration{-h}},
		{"a machine that is not told", []fusion.Stamp{at(0, h, "1", ""), at(h, h, "1", ""), at(0, h, "1", "")}, []time.Duration{-h}},
		{"another machine", []fusion.Stamp{at(0, h, "1", "a"), at(h, m, "1", "b"), at(2*h, 3*h, "1", "a")}, nil},
		{"another machine, behind", []fusion.Stamp{at(0, h, "1", "a"), at(-h, m, "1", "b"), at(-h+m, 2*m, "1", "b")}, []time.Duration{-h}},
		{"set back while another one wrote", []fusion.Stamp{at(0, h, "1", "a"), at(5*h, m, "1", "b"), at(h, m, "2", "a")}, []time.Duration{-4 * h}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var c logbook.Clocks
			var by []time.Duration
			for i, stamp := range tt.stamps {
				var jump *logbook.Jump
				if c, jump = c.After(uint64(i+1), stamp); jump != nil {
					by = append(by, jump.By)
					if jump.Seq != uint64(i+1) || jump.After != stamp || jump.ID != logbook.NameOfTime(stamp) {
						t.Errorf("jump %+v", jump)
					}
				}
			}
			if len(by) != len(tt.by) {
				t.Fatalf("jumps by %v, want %v", by, tt.by)
			}
			for i := range by {
				if by[i] != tt.by[i] {
					t.Errorf("jumps by %v, want %v", by, tt.by)
				}
			}
		})
	}
}
