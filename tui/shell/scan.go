package shell

import (
	"strings"
	"time"
	"unicode"

	tea "github.com/charmbracelet/bubbletea"
)

// The times and lengths by which a scanner is told from a hand.  All are our
// own choice: a scanner types a rune every few milliseconds, a quick hand one
// every 60 ms or slower.
const (
	burstGap  = 30 * time.Millisecond  // longest gap between the messages of one burst
	keyQuiet  = 40 * time.Millisecond  // quiet after which fewer than scanRunes runes are keys
	scanQuiet = 150 * time.Millisecond // quiet after which a scan without a terminator has ended
	lateEnd   = 350 * time.Millisecond // after that quiet, a terminator still belongs to the scan
	scanRunes = 4                      // a burst of so many runes is no longer a hand
	maxScan   = 512                    // runes kept of one scan; the others are swallowed
)

// Scan is what a scanner typed in one burst.  It is delivered instead of its
// keys.  Text holds no control rune, no terminator and at most 512 runes.
type Scan struct{ Text string }

// ScanBuffer gathers runes until it is clear whether a scanner or a hand
// typed them; the zero value is ready.  It stands before all key handling, so
// that a scan that arrives on any screen never runs as commands and its
// terminator never presses a default.
//
// It is a plain value: Take and Flush return its successor and keep nothing.
// Times are readings of one monotonic clock and may start anywhere from 0 up.
//
//   - A burst of four runes or more is a Scan, ended by Enter, ctrl+j or Tab,
//     by any other special key, or by 150 ms of quiet.  Up to the fourth rune
//     the gaps may be 30 ms; a burst that is known to be a scan may stall for
//     any time below 150 ms, since its tail must not turn into commands.
//   - The terminator is never delivered, nor one that comes up to 350 ms after
//     a scan was ended by quiet, nor a second one on the heels of the first.
//   - Fewer than four runes are delivered one by one, as keys.
//   - A ctrl+j is the Enter of some terminals and scanners, and is delivered
//     as Enter; after an Enter it is only the second half of a line end.
//   - A paste of four runes or more is a Scan of its first line.
type ScanBuffer struct {
	text string        // the runes gathered, no more than maxScan
	came int           // runes that came, those beyond maxScan too; 0: nothing is held
	last time.Duration // when the latest of them came

	ends time.Duration // until then any terminator belongs to the scan before it; 0: none
	twin time.Duration // until then a ctrl+j belongs to the Enter before it; 0: none
}

// Take is given each key with the time at which it came.  It returns the
// messages to deliver now, in order: tea.KeyMsg with one rune at most, or
// Scan.  The duration says after what time Flush wants to be called; 0 means
// that nothing is held.
func (b ScanBuffer) Take(k tea.KeyMsg, at time.Duration) (ScanBuffer, []tea.Msg, time.Duration) {
	var before, now []tea.Msg
	if b.came > 0 && b.torn(at) {
		b, before = b.lapse()
	}
	switch {
	case k.Paste:
		b, now = ScanBuffer{}, b.paste(k.Runes)
	case isText(k):
		b = b.gather(k, at)
	case isSeparator(k) && b.came > 0:
		b.last = at
	case isTerminator(k):
		b, now = b.terminate(k, at)
	default:
		now = append(b.held(), k)
		b = ScanBuffer{}
	}
	return b, append(before, now...), b.wait(at)
}

// Flush delivers what has been held long enough.  Called too early it
// delivers nothing and says how long it still wants; called late or too often
// it does no harm.
func (b ScanBuffer) Flush(at time.Duration) (ScanBuffer, []tea.Msg, time.Duration) {
	if b.came == 0 || b.wait(at) > 0 {
		return b, nil, b.wait(at)
	}
	b, out := b.lapse()
	return b, out, 0
}

// torn reports whether the gap since the latest rune is too long for another
// one to join the burst.
func (b ScanBuffer) torn(at time.Duration) bool {
	if b.came >= scanRunes {
		return at-b.last >= scanQuiet
	}
	return at-b.last > burstGap
}

// wait is the time until Flush has something to deliver; 0 or less: it has
// now, or nothing is held.
func (b ScanBuffer) wait(at time.Duration) time.Duration {
	switch {
	case b.came == 0:
		return 0
	case b.came < scanRunes:
		return b.last + keyQuiet - at
	default:
		return b.last + scanQuiet - at
	}
}

// held is what the runes gathered amount to: one Scan, or their keys.
func (b ScanBuffer) held() []tea.Msg {
	if b.came >= scanRunes {
		return []tea.Msg{Scan{b.text}}
	}
	return keysOf(b.text)
}

// lapse delivers what is held because of quiet.  A scan's terminator may
// still be on its way: the time left for it counts from the last rune, so that
// it does not depend on when Flush was called.
func (b ScanBuffer) lapse() (ScanBuffer, []tea.Msg) {
	var next ScanBuffer
	if b.came >= scanRunes {
		next.ends = b.last + scanQuiet + lateEnd
	}
	return next, b.held()
}

// gather adds the runes of k.  A message without a printable rune (a bare
// ctrl or shift on some systems) only keeps a burst going.
func (b ScanBuffer) gather(k tea.KeyMsg, at time.Duration) ScanBuffer {
	runes := printable(k.Runes)
	if len(runes) > 0 {
		b.ends, b.twin = 0, 0
	}
	room := max(maxScan-b.came, 0)
	b.text += string(runes[:min(room, len(runes))])
	b.came += len(runes)
	b.last = at
	return b
}

// terminate takes Enter, ctrl+j or Tab: the end of a scan, which is
// swallowed, or a key.
func (b ScanBuffer) terminate(k tea.KeyMsg, at time.Duration) (ScanBuffer, []tea.Msg) {
	var key, swallowed ScanBuffer
	if k.Type == tea.KeyEnter {
		key.twin = at + scanQuiet
	}
	swallowed.ends, swallowed.twin = at+burstGap, key.twin
	switch {
	case b.came >= scanRunes:
		return swallowed, b.held()
	case b.ends > 0 && at <= b.ends:
		return swallowed, nil
	case k.Type == tea.KeyCtrlJ && b.twin > 0 && at <= b.twin:
		return ScanBuffer{}, nil
	case k.Type == tea.KeyCtrlJ:
		k.Type = tea.KeyEnter
	}
	return key, append(b.held(), k)
}

// paste takes a whole paste.  Its first line counts; what follows is dropped,
// and so are line ends, since a paste must not press anything.
func (b ScanBuffer) paste(runes []rune) []tea.Msg {
	const ends = "\r\n\t"
	line := strings.TrimLeft(string(runes), ends)
	if i := strings.IndexAny(line, ends); i >= 0 {
		line = line[:i]
	}
	text := printable([]rune(line))
	out := b.held()
	switch {
	case len(runes) < scanRunes:
		out = append(out, keysOf(string(text))...)
	case len(text) > 0:
		out = append(out, Scan{string(text[:min(maxScan, len(text))])})
	}
	return out
}

// isText reports whether k is made of runes that a scanner may have typed.  A
// rune with alt is a command of a hand.
func isText(k tea.KeyMsg) bool {
	return (k.Type == tea.KeyRunes || k.Type == tea.KeySpace) && !k.Alt
}

func isTerminator(k tea.KeyMsg) bool {
	return (k.Type == tea.KeyEnter || k.Type == tea.KeyCtrlJ || k.Type == tea.KeyTab) && !k.Alt
}

// isSeparator reports whether k is one of the control characters FS, GS, RS
// and US, which some printed codes hold between their fields.
func isSeparator(k tea.KeyMsg) bool {
	switch k.Type {
	case tea.KeyCtrlBackslash, tea.KeyCtrlCloseBracket, tea.KeyCtrlCaret, tea.KeyCtrlUnderscore:
		return !k.Alt
	}
	return false
}

// printable returns the runes without control runes, in a slice of its own.
func printable(runes []rune) []rune {
	out := make([]rune, 0, len(runes))
	for _, r := range runes {
		if !unicode.IsControl(r) {
			out = append(out, r)
		}
	}
	return out
}

// keysOf returns one key for each rune of text, as if struck one by one.
func keysOf(text string) []tea.Msg {
	var out []tea.Msg
	for _, r := range text {
		out = append(out, tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}})
	}
	return out
}
