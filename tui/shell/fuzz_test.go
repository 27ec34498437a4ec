package shell

import (
	"testing"
	"time"
	"unicode"
	"unicode/utf8"
)

// Whatever comes from scanner and keyboard, however it is cut and whatever the screen
// takes: a scan holds no control rune and no more than can be kept, and nothing hangs.
func FuzzScanBuffer(f *testing.F) {
	f.Add("1234567890\r", uint8(1), uint8(5), uint8(0))
	f.Add("ab c\r\n\t12\x1b\x1d3\n", uint8(2), uint8(40), uint8(1))
	f.Add("a\nb\r\nc", uint8(255), uint8(200), uint8(2))
	f.Fuzz(func(t *testing.T, typed string, step, gap, into uint8) {
		p := player{into: Taking(into % 5)}
		at := time.Duration(0)
		for runes := []rune(typed); len(runes) > 0; {
			n := min(len(runes), int(step)%9+1)
			x := piece{typed: string(runes[:n])}
			if step > 250 {
				x = piece{paste: string(runes[:n])}
			}
			runes = runes[n:]
			for _, k := range x.keys() {
				p.flushUntil(at)
				b, out, wait := p.b.Take(k, at, p.into)
				p.b, p.want = b, 0
				if wait > 0 {
					p.want = at + wait
				}
				for _, m := range out {
					if s, is := m.(Scan); is {
						wantScan(t, s)
					}
				}
				at += time.Duration(gap) * time.Millisecond
			}
		}
		p.flushUntil(at + time.Hour)
		if p.want > 0 {
			t.Errorf("%q is waited for without end", typed)
		}
	})
}

func wantScan(t *testing.T, s Scan) {
	t.Helper()
	if utf8.RuneCountInString(s.Text) > maxScan {
		t.Errorf("a scan of %d", utf8.RuneCountInString(s.Text))
	}
	for _, r := range s.Text {
		if unicode.IsControl(r) {
			t.Errorf("the scan %q holds a control rune", s.Text)
		}
	}
}
