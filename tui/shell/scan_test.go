package shell

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode"

	tea "github.com/charmbracelet/bubbletea"
	"pgregory.net/rapid"
)

// piece is one read of the terminal: typed bytes, or a paste.
type piece struct {
	at    int // ms
	typed string
	paste string
	alt   bool
}

// keys cuts what was read into messages in the way of Bubble Tea: printable
// runes together, each space and each control character alone.  An arrow
// stands for the down key.
func (p piece) keys() []tea.KeyMsg {
	if p.paste != "" {
		return []tea.KeyMsg{{Type: tea.KeyRunes, Runes: []rune(p.paste), Paste: true}}
	}
	var out []tea.KeyMsg
	joined := false
	for _, r := range p.typed {
		special := r == ' ' || r == '↓' || unicode.IsControl(r)
		switch {
		case r == ' ':
			out = append(out, tea.KeyMsg{Type: tea.KeySpace, Runes: []rune{' '}})
		case r == '↓':
			out = append(out, tea.KeyMsg{Type: tea.KeyDown})
		case r == 0: // a bare ctrl or shift, as Windows reports it
			out = append(out, tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{0}})
		case special:
			out = append(out, tea.KeyMsg{Type: tea.KeyType(r), Alt: p.alt})
		case joined:
			last := &out[len(out)-1]
			last.Runes = append(last.Runes, r)
		default:
			out = append(out, tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}, Alt: p.alt})
		}
		joined = !special
	}
	return out
}

// player drives a buffer as a program does: it calls Flush when asked to, each
// time late by lag, unless another key comes first.
type player struct {
	b    ScanBuffer
	want time.Duration // when Flush wants to be called; 0: not at all
	lag  time.Duration
	into Taking // what the screen takes
	got  []string
}

func (p *player) take(k tea.KeyMsg, at time.Duration) {
	p.flushUntil(at)
	b, out, wait := p.b.Take(k, at, p.into)
	p.b, p.want = b, 0
	if wait > 0 {
		p.want = at + wait
	}
	p.note(out)
}

func (p *player) flushUntil(at time.Duration) {
	for p.want > 0 && p.want+p.lag < at {
		now := p.want + p.lag
		b, out, wait := p.b.Flush(now)
		p.b, p.want = b, 0
		if wait > 0 {
			p.want = now + wait
		}
		p.note(out)
	}
}

func (p *player) note(out []tea.Msg) {
	for _, m := range out {
		p.got = append(p.got, name(m))
	}
}

// name writes a delivered message as the tests do.
func name(m tea.Msg) string {
	switch m := m.(type) {
	case Scan:
		return "scan " + m.Text
	case tea.KeyMsg:
		return m.String()
	}
	return fmt.Sprintf("%T", m)
}

func play(lag time.Duration, pieces ...piece) []string {
	p := player{lag: lag}
	for _, x := range pieces {
		for _, k := range x.keys() {
			p.take(k, time.Duration(x.at)*time.Millisecond)
		}
	}
	p.flushUntil(time.Hour)
	return p.got
}

func TestScanBuffer(t *testing.T) {
	long := strings.Repeat("0123456789", 60)
	tests := []struct {
		name string
		in   []piece
		want string // delivered messages, joined by commas
	}{
		{"a scan in one read", []piece{{at: 5, typed: "40061234\r"}}, "scan 40061234"},
		{"a scan rune by rune", []piece{{at: 0, typed: "4"}, {at: 30, typed: "0"}, {at: 60, typed: "0"}, {at: 90, typed: "6"}, {at: 120, typed: "\r"}}, "scan 4006"},
		{"a scan in two reads", []piece{{at: 0, typed: "40"}, {at: 4, typed: "06\r"}}, "scan 4006"},
		{"one rune too few is typed", []piece{{at: 0, typed: "040\r"}}, "0,4,0,enter"},
		{"one rune too late is typed", []piece{{at: 0, typed: "040"}, {at: 60, typed: "6"}}, "0,4,0,6"},
		{"a hand types digits", []piece{{at: 0, typed: "0"}, {at: 60, typed: "4"}, {at: 120, typed: "0"}, {at: 180, typed: "7"}, {at: 240, typed: "\r"}}, "0,4,0,7,enter"},
		{"a scan that stalls goes on", []piece{{at: 0, typed: "400612"}, {at: 149, typed: "34"}, {at: 290, typed: "\r"}}, "scan 40061234"},
		{"after quiet a rune is typed", []piece{{at: 0, typed: "4006"}, {at: 150, typed: "7"}}, "scan 4006,7"},

		{"CR LF is one end", []piece{{at: 0, typed: "4006\r\n"}}, "scan 4006"},
		{"CR and then LF", []piece{{at: 0, typed: "4006\r"}, {at: 150, typed: "\n"}}, "scan 4006"},
		{"LF is an end", []piece{{at: 0, typed: "4006\n"}}, "scan 4006"},
		{"Tab is an end", []piece{{at: 0, typed: "4006\t"}}, "scan 4006"},
		{"Tab and CR LF", []piece{{at: 0, typed: "4006\t\r\n"}}, "scan 4006"},
		{"no end", []piece{{at: 0, typed: "4006"}}, "scan 4006"},
		{"an end after the quiet", []piece{{at: 0, typed: "4006"}, {at: 500, typed: "\r"}, {at: 501, typed: "\n"}}, "scan 4006"},
		{"an Enter from habit", []piece{{at: 0, typed: "4006"}, {at: 501, typed: "\r"}}, "scan 4006,shell.Already"},
		{"an Enter from habit and the next", []piece{{at: 0, typed: "4006"}, {at: 1650, typed: "\r"}, {at: 1900, typed: "\r"}}, "scan 4006,shell.Already,enter"},
		{"an end that is too late is typed", []piece{{at: 0, typed: "4006"}, {at: 1651, typed: "\r"}}, "scan 4006,enter"},
		{"a key in between ends the waiting", []piece{{at: 0, typed: "4006"}, {at: 300, typed: "7"}, {at: 400, typed: "\r"}}, "scan 4006,7,enter"},
		{"the next Enter is a hand's", []piece{{at: 0, typed: "4006\r"}, {at: 60, typed: "\r"}}, "scan 4006,enter"},
		{"two scans in one read", []piece{{at: 0, typed: "4006\r\n5007\r\n"}}, "scan 4006,scan 5007"},

		{"three runes and CR LF", []piece{{at: 0, typed: "040\r\n"}}, "0,4,0,enter"},
		{"three runes and Tab", []piece{{at: 0, typed: "040\t"}}, "0,4,0,tab"},
		{"ctrl+j alone is Enter", []piece{{at: 0, typed: "\n"}}, "enter"},
		{"ctrl+j twice is Enter twice", []piece{{at: 0, typed: "\n"}, {at: 100, typed: "\n"}}, "enter,enter"},
		{"Enter twice", []piece{{at: 0, typed: "\r"}, {at: 33, typed: "\r"}}, "enter,enter"},
		{"ctrl+j after another key is Enter", []piece{{at: 0, typed: "\r"}, {at: 70, typed: "↓"}, {at: 140, typed: "\n"}}, "enter,down,enter"},
		{"a special key passes", []piece{{at: 0, typed: "↓"}}, "down"},
		{"a special key follows what was typed", []piece{{at: 0, typed: "04↓"}}, "0,4,down"},
		{"a special key ends a scan", []piece{{at: 0, typed: "4006"}, {at: 60, typed: "\x1b"}}, "scan 4006,esc"},
		{"ctrl+c always passes", []piece{{at: 0, typed: "4006"}, {at: 1, typed: "\x03"}}, "scan 4006,ctrl+c"},
		{"alt is a hand's", []piece{{at: 0, typed: "04"}, {at: 9, typed: "x", alt: true}, {at: 18, typed: "0"}}, "0,4,alt+x,0"},
		{"alt and Enter end nothing", []piece{{at: 0, typed: "040"}, {at: 9, typed: "\r", alt: true}, {at: 18, typed: "\n"}}, "0,4,0,alt+enter,enter"},
		{"alt and a separator are a hand's", []piece{{at: 0, typed: "04"}, {at: 9, typed: "\x1d", alt: true}}, "0,4,alt+ctrl+]"},

		{"spaces are runes", []piece{{at: 0, typed: "KM 0012\r"}}, "scan KM 0012"},
		{"a lone space", []piece{{at: 0, typed: " "}}, " "},
		{"separators of a code are dropped", []piece{{at: 0, typed: "01400\x1d10\x1e7\r"}}, "scan 01400107"},
		{"separators keep a burst going", []piece{{at: 0, typed: "01"}, {at: 30, typed: "\x1d"}, {at: 60, typed: "40"}}, "scan 0140"},
		{"a lone separator passes", []piece{{at: 0, typed: "\x1d"}}, "ctrl+]"},
		{"a bare modifier is no key", []piece{{at: 0, typed: "\x00"}}, ""},
		{"a bare modifier within a line end", []piece{{at: 0, typed: "4006\r\x00\n"}}, "scan 4006"},
		{"a bare modifier within a burst", []piece{{at: 0, typed: "40"}, {at: 20, typed: "\x00"}, {at: 40, typed: "06"}}, "scan 4006"},
		{"a long scan is cut", []piece{{at: 0, typed: long}, {at: 9, typed: "9\r"}}, "scan " + long[:512]},

		{"a paste", []piece{{at: 0, paste: "4006"}}, "scan 4006"},
		{"a paste ends with its line", []piece{{at: 0, paste: "4006\r\n5007\r\n"}}, "scan 4006"},
		{"a paste ends with its column", []piece{{at: 0, paste: "\n4006\t5007"}}, "scan 4006"},
		{"a paste holds controls", []piece{{at: 0, paste: "40\x1b[A\x0006\x7f"}}, "scan 40[A06"},
		{"a paste of ends only", []piece{{at: 0, paste: "\r\n\r\n"}}, ""},
		{"a paste of one runs no command", []piece{{at: 0, paste: "1\r"}}, "scan 1"},
		{"a long paste is cut", []piece{{at: 0, paste: long}}, "scan " + long[:512]},
		{"a paste follows what was typed", []piece{{at: 0, typed: "04"}, {at: 9, paste: "4006"}}, "0,4,scan 4006"},
		{"Enter after a paste is a hand's", []piece{{at: 0, paste: "4006"}, {at: 60, typed: "\r"}}, "scan 4006,enter"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			for _, lag := range []time.Duration{0, 20 * time.Millisecond, time.Second} {
				if got := strings.Join(play(lag, tt.in...), ","); got != tt.want {
					t.Errorf("Flush late by %v:\n got %q\nwant %q", lag, got, tt.want)
				}
			}
		})
	}
}

// Each step continues with the buffer of the one before.
// Where a digit answers alone it waits for quiet, a hand's figure is one Scan that is told
// as spilt, and what is no figure waits no longer than elsewhere.
func TestADigitAlone(t *testing.T) {
	for in, want := range map[string]string{
		"1": "1", "1 \r": "1,enter", "1 .12\r": "scan 1.12", "12": "scan 12", "2 3\r": "scan 23", "a b": "a,b", "1 ↓": "1,down",
	} {
		p, at := player{into: OneKey}, 1000
		for _, typed := range strings.Split(in, " ") {
			for _, k := range (piece{typed: typed}).keys() {
				p.take(k, time.Duration(at)*time.Millisecond)
				at += 200
			}
		}
		p.flushUntil(time.Hour)
		if got := strings.Join(p.got, ","); got != want {
			t.Errorf("%q: got %q, want %q", in, got, want)
		}
	}
}

func TestScanBufferWaits(t *testing.T) {
	const ms = time.Millisecond
	steps := []struct {
		name  string
		typed string // "": Flush
		at    time.Duration
		wait  time.Duration
		want  string
	}{
		{"one rune waits for the next", "0", 0, 60 * ms, ""},
		{"a flush too early says so", "", 10 * ms, 50 * ms, ""},
		{"each rune waits anew", "4", 20 * ms, 60 * ms, ""},
		{"keys after 60 ms of quiet", "", 80 * ms, 0, "0,4"},
		{"a flush too many", "", 90 * ms, 0, ""},
		{"a scan waits for its end", "4006", 100 * ms, 150 * ms, ""},
		{"and goes on waiting", "", 249 * ms, 1 * ms, ""},
		{"a scan after 150 ms of quiet", "", 250 * ms, 0, "scan 4006"},
		{"its end needs no flush", "\r", 300 * ms, 0, ""},
		{"a special key needs none", "\x1b", 400 * ms, 0, "esc"},
	}
	var b ScanBuffer
	for _, s := range steps {
		var out []tea.Msg
		var wait time.Duration
		if s.typed == "" {
			b, out, wait = b.Flush(s.at)
		} else {
			b, out, wait = b.Take(piece{typed: s.typed}.keys()[0], s.at, NoScan)
		}
		p := player{}
		p.note(out)
		if got := strings.Join(p.got, ","); got != s.want || wait != s.wait {
			t.Fatalf("%s: got %q and wait %v, want %q and %v", s.name, got, wait, s.want, s.wait)
		}
	}
}

// act is one thing that a scanner or a hand does.
type act struct {
	gap  int    // ms since the act before
	text string // what is typed in one burst
	end  string // the terminator of the burst, or "" for none
	want []string
}

var endKeys = map[string]string{"\r": "enter", "\n": "enter", "\r\n": "enter", "\t": "tab"}

// drawActs invents a stream and says, from the rules and without a buffer,
// what must come of it.
func drawActs(t *rapid.T) []act {
	var acts []act
	open := false // the act before was a scan without a terminator
	for range rapid.IntRange(1, 8).Draw(t, "acts") {
		a := act{gap: rapid.IntRange(60, 1900).Draw(t, "gap")}
		switch rapid.IntRange(0, 4).Draw(t, "kind") {
		case 0:
			a.text = rapid.StringMatching(`[0-9q]`).Draw(t, "key")
		case 1: // at these gaps a lone ctrl+j is never the twin of an Enter
			a.gap += scanMs
			a.end = rapid.SampledFrom([]string{"\r", "\n", "\t"}).Draw(t, "special")
		default:
			a.text = rapid.StringMatching(`[0-9A-Zü ]{2,12}`).Draw(t, "burst")
			a.end = rapid.SampledFrom([]string{"", "\r", "\n", "\r\n", "\t"}).Draw(t, "end")
			if n := len([]rune(a.text)); n >= scanRunes && n < looseMost && a.end == "" {
				a.end = "\r" // by its pace it might be a hand's: see TestALooseBurst
			}
		}
		if open && a.text != "" {
			a.gap += scanMs // a scan without a terminator is over after its quiet
		}
		late := open && a.text == "" && a.gap <= int((scanQuiet+lateEnd)/time.Millisecond)
		byHabit := open && a.text == "" && !late && a.gap <= int((scanQuiet+habit)/time.Millisecond)
		a.want, open = outcome(a, late)
		if byHabit {
			a.want = []string{"shell.Already"}
		}
		acts = append(acts, a)
	}
	return acts
}

const scanMs = int(scanQuiet / time.Millisecond)

// outcome says what an act delivers, and whether it leaves a scan that still
// waits for its terminator.
func outcome(a act, late bool) (want []string, open bool) {
	if n := len([]rune(a.text)); n >= scanRunes {
		return []string{"scan " + a.text}, a.end == ""
	}
	for _, r := range a.text {
		want = append(want, string(r))
	}
	if a.end != "" && !late {
		want = append(want, endKeys[a.end])
	}
	return want, false
}

// cut divides the bytes of an act into reads less than 60 ms apart, and
// returns the time of the last.
func cut(t *rapid.T, typed string, at int) ([]piece, int) {
	var out []piece
	how := rapid.SampledFrom([]string{"whole", "singly", "anyhow"}).Draw(t, "cut")
	for _, r := range typed {
		whole := how == "whole" || how == "anyhow" && rapid.Bool().Draw(t, "join")
		if whole && len(out) > 0 {
			out[len(out)-1].typed += string(r)
			continue
		}
		if len(out) > 0 {
			at += rapid.IntRange(0, int(burstGap/time.Millisecond)-1).Draw(t, "within")
		}
		out = append(out, piece{at: at, typed: string(r)})
	}
	return out, at
}

func TestDeliveryDoesNotDependOnTheCut(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		acts := drawActs(t)
		var want []string
		for _, a := range acts {
			want = append(want, a.want...)
		}
		for range 2 {
			var pieces []piece
			now := 0
			for _, a := range acts {
				more, last := cut(t, a.text+a.end, now+a.gap)
				pieces, now = append(pieces, more...), last
			}
			lag := time.Duration(rapid.IntRange(0, 200).Draw(t, "lag")) * time.Millisecond
			if got := play(lag, pieces...); !slices.Equal(got, want) {
				t.Fatalf("reads %+v\n got %q\nwant %q", pieces, got, want)
			}
		}
	})
}

// Whatever the times, no rune is lost, doubled or moved, and a key never
// holds more than one.
func TestNoRuneIsLost(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var pieces []piece
		var want strings.Builder
		at := 0
		for range rapid.IntRange(1, 30).Draw(t, "reads") {
			at += rapid.IntRange(0, 200).Draw(t, "gap")
			typed := rapid.StringMatching("[a-c0-9 \r\n\t↓\x1b\x1d]{1,9}").Draw(t, "typed")
			pieces = append(pieces, piece{at: at, typed: typed})
			for _, r := range typed {
				if r != '↓' && !unicode.IsControl(r) {
					want.WriteRune(r)
				}
			}
		}
		var got strings.Builder
		for _, m := range play(0, pieces...) {
			text, scanned := strings.CutPrefix(m, "scan ")
			if scanned || len([]rune(m)) == 1 {
				got.WriteString(text)
			} else if !slices.Contains([]string{"enter", "tab", "esc", "down", "ctrl+]"}, m) {
				t.Fatalf("%q was delivered as a key", m)
			}
		}
		if got.String() != want.String() {
			t.Fatalf("reads %+v\n got %q\nwant %q", pieces, got.String(), want.String())
		}
	})
}
