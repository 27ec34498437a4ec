package shell

import (
	"fmt"
	"math/rand"
	"slices"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

// typist strikes runes one at a time, each a drawn gap after the one before.
func typist(r *rand.Rand, at int, text string, gap, jitter int) (out []piece, last int) {
	for _, c := range text {
		out = append(out, piece{at: at, typed: string(c)})
		last = at
		at += gap - jitter + r.Intn(2*jitter+1)
	}
	return out, last
}

// A scanner is one at each pace up to 60 ms a character, jitter and all: its
// digits are no commands, its end presses nothing, and the pace is told.
func TestScannersOfEachPace(t *testing.T) {
	for _, s := range []struct{ gap, jitter int }{{5, 4}, {32, 9}, {40, 15}, {55, 4}} {
		r := rand.New(rand.NewSource(int64(s.gap)))
		for _, end := range []string{"\r", "\n", "\r\n", "\t"} {
			for _, into := range []Taking{NoScan, ScanField} {
				for n := scanRunes; n <= 40; n++ {
					code := strings.Repeat("4006123912", 4)[:n]
					pieces, last := typist(r, 1000, code+end, s.gap, s.jitter)
					p := player{into: into}
					var pace Pace
					for _, x := range pieces {
						for _, k := range x.keys() {
							at := time.Duration(x.at) * time.Millisecond
							p.flushUntil(at)
							b, out, wait := p.b.Take(k, at, into)
							p.b, p.want = b, 0
							if wait > 0 {
								p.want = at + wait
							}
							for _, m := range out {
								if scan, is := m.(Scan); is {
									pace = scan.Pace
								}
							}
							p.note(out)
						}
					}
					p.flushUntil(time.Hour)
					if want := []string{"scan " + code}; !slices.Equal(p.got, want) {
						t.Fatalf("%d ms a character, %q: got %q, want %q", s.gap, end, p.got, want)
					}
					if ms := time.Millisecond; pace.Runes != n || pace.Took > time.Duration(last-1000)*ms || pace.Longest > time.Duration(s.gap+s.jitter)*ms ||
						pace.Longest < time.Duration(s.gap-s.jitter)*ms || pace.Took < time.Duration((n-1)*(s.gap-s.jitter))*ms {
						t.Fatalf("%d ms a character: its pace is told as %+v", s.gap, pace)
					}
				}
			}
		}
	}
}

// A quick hand is heard key by key: none is swallowed, each acts 60 ms after it
// was struck at the latest, two struck nearly together too.
func TestAQuickHandIsHeard(t *testing.T) {
	r := rand.New(rand.NewSource(7))
	for range 200 {
		var b ScanBuffer
		var got, want []string
		var struck []time.Duration
		var wake time.Duration
		at := time.Second
		hear := func(out []tea.Msg, now time.Duration) {
			for _, m := range out {
				if late := now - struck[len(got)]; late > keyQuiet {
					t.Fatalf("key %d acts %v after it was struck", len(got), late)
				}
				got = append(got, name(m))
			}
		}
		flush := func(until time.Duration) {
			for wake > 0 && wake <= until {
				now := wake
				next, out, wait := b.Flush(now)
				b, wake = next, 0
				if wait > 0 {
					wake = now + wait
				}
				hear(out, now)
			}
		}
		for i := range 12 {
			digit := fmt.Sprint(r.Intn(10))
			if i%3 == 2 { // a second finger follows at once, then the hand rests
				at += time.Duration(25+r.Intn(30)) * time.Millisecond
				struck[len(struck)-1] = at // both wait for the later one
			} else {
				at += time.Duration(60+r.Intn(80)) * time.Millisecond
			}
			flush(at)
			want, struck = append(want, digit), append(struck, at)
			next, out, wait := b.Take(piece{typed: digit}.keys()[0], at, NoScan)
			b, wake = next, 0
			if wait > 0 {
				wake = at + wait
			}
			hear(out, at)
		}
		flush(time.Hour)
		if !slices.Equal(got, want) {
			t.Fatalf("heard %q, struck %q", got, want)
		}
	}
}

// Where text is typed nothing is thrown away, however it comes: a burst, a paste,
// several lines; only the Enter of a burst is kept back, and no line of it answers
// what is asked next.
func TestTextIsNeverThrownAway(t *testing.T) {
	r := rand.New(rand.NewSource(3))
	slow, _ := typist(r, 0, "4006123\r", 40, 15)
	hand, end := typist(r, 0, "Bo Inv", 110, 40)
	for _, tt := range []struct {
		name string
		into Taking
		in   []piece
		want string
	}{
		{"one burst", TextField, []piece{{at: 0, typed: "Ona Brill\r"}}, "O,n,a, ,B,r,i,l,l,shell.InOneGo"},
		{"and digits on its heels", TextField, []piece{{at: 0, typed: "Ona\r11\r"}}, "O,n,a,shell.InOneGo, ,1,1,shell.InOneGo"},
		{"in reads of their own", TextField, []piece{{at: 0, typed: "Ona Br"}, {at: 3, typed: "ill\r\n"}, {at: 20, typed: "1\r"}}, "O,n,a, ,B,r,i,l,l,shell.InOneGo, ,1,shell.InOneGo"},
		{"the Enter of a hand gives it", TextField, []piece{{at: 0, typed: "Ona Brill"}, {at: 60, typed: "\r"}}, "O,n,a, ,B,r,i,l,l,enter"},
		{"a hand", TextField, append(hand, piece{at: end + 60, typed: "\r"}), "B,o, ,I,n,v,enter"},
		{"a hand's last two keys", TextField, []piece{{at: 0, typed: "4"}, {at: 80, typed: "0"}, {at: 125, typed: "\r"}}, "4,0,enter"},
		{"a slow scanner", TextField, slow, "4,0,0,6,1,2,3,shell.InOneGo"},
		{"a paste", TextField, []piece{{at: 0, paste: "Ona\r\nBrill\r\n"}}, "scan Ona"},
		{"figures", FigureField, []piece{{at: 0, typed: "39.5\r"}}, "3,9,.,5,shell.InOneGo"},
		{"figures and more", FigureField, []piece{{at: 0, typed: "39.5\r1\r"}}, "3,9,.,5,shell.InOneGo,scan 1"},
		{"a key, Enter and a key in one read", NoScan, []piece{{at: 0, typed: "7\r1\r"}}, "7,enter,scan 1"},
		{"so slowly that it is three keys", NoScan, []piece{{at: 0, typed: "7\r"}, {at: 31, typed: "1"}, {at: 200, typed: "\r"}}, "7,enter,1,enter"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p := player{into: tt.into}
			for _, x := range tt.in {
				for _, k := range x.keys() {
					p.take(k, time.Duration(x.at)*time.Millisecond)
				}
			}
			p.flushUntil(time.Hour)
			if got := strings.Join(p.got, ","); got != tt.want {
				t.Errorf("\n got %q\nwant %q", got, tt.want)
			}
		})
	}
	_, out, _ := ScanBuffer{}.Take(piece{paste: "\tOna\r\nBrill \x1b\r\n\r\n1\r\n"}.keys()[0], 0, TextField)
	if s, is := out[0].(Scan); len(out) != 1 || !is || s.All != "Ona Brill  1" || s.Text != "Ona" {
		t.Errorf("a paste of lines is %+v", out)
	}
}

// Slow runes without an end may be a hand's where text is asked for; a scanner's
// long code is none, nor is a quick one.
func TestALooseBurst(t *testing.T) {
	for _, tt := range []struct {
		text string
		gap  int
		want bool
	}{{"W-40", 45, true}, {"W-40", 5, false}, {"400612391", 45, false}} {
		r := rand.New(rand.NewSource(1))
		pieces, last := typist(r, 0, tt.text, tt.gap, 4)
		var b ScanBuffer
		for _, x := range pieces {
			b, _, _ = b.Take(x.keys()[0], time.Duration(x.at)*time.Millisecond, ScanField)
		}
		_, out, _ := b.Flush(time.Duration(last)*time.Millisecond + scanQuiet)
		if s, is := out[0].(Scan); len(out) != 1 || !is || s.Text != tt.text || s.Loose != tt.want {
			t.Errorf("%q at %d ms is %+v", tt.text, tt.gap, out)
		}
	}
}
