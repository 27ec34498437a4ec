package shell

import (
	"strings"
	"time"
	"unicode"

	tea "github.com/charmbracelet/bubbletea"
)

// The times and lengths by which a scanner is told from a hand. All are our own
// choice: a scanner types a rune every few milliseconds, a slow one over radio
// every 55 ms with some jitter; a quick hand needs 60 ms or more from one key to
// the next, and four in a row that are quicker are none.
const (
	burstGap  = 60 * time.Millisecond   // the messages of one burst are less than this apart
	fastGap   = 30 * time.Millisecond   // up to here two keys and an Enter are no hand's
	keyQuiet  = 60 * time.Millisecond   // quiet after which fewer than scanRunes runes are keys
	scanQuiet = 150 * time.Millisecond  // quiet after which a scan without a terminator has ended
	lateEnd   = 350 * time.Millisecond  // after that quiet, a terminator still belongs to the scan
	habit     = 1500 * time.Millisecond // after that quiet an Enter is a hand's, which gives what was taken already
	scanRunes = 4                       // a burst of so many runes is no longer a hand
	aloneKey  = 400 * time.Millisecond  // quiet after which a digit has come alone: a hand that types a figure needs less from one to the next
	looseMost = 8                       // a slow burst without an end, of fewer runes, may be a hand all the same
	maxScan   = 512                     // runes kept of one scan; of a longer one nothing is taken
)

// Scan is what a scanner typed in one burst.  It is delivered instead of its
// keys.  Text holds no control rune, no terminator and at most 512 runes.
type Scan struct {
	Text  string
	All   string // of a paste: every line of it, a blank between them
	More  bool   // the next line of a burst that was answered with already
	Over  int    // runes behind those that are kept
	Loose bool   // slow and without an end: where text is typed it may be a hand's
	Spilt bool   // a figure where a digit answers alone: it was typed for another question
	Pace  Pace
}

// Pace is how fast a burst came.
type Pace struct {
	Runes   int
	Took    time.Duration // from the first to the last
	Longest time.Duration // the longest gap
}

// InOneGo says that a burst of text was typed into a field, and that the Enter
// behind it was kept from giving it.
type InOneGo struct{}

// Already says that the Enter of a hand came behind a scan that was taken without one,
// and was kept from answering the next question.
type Already struct{}

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
//     the gaps are below 60 ms; a burst that is known to be a scan may stall for
//     any time below 150 ms, since its tail must not turn into commands.
//   - The terminator is never delivered, nor one that comes up to 350 ms after
//     a scan was ended by quiet, nor a second one on the heels of the first. One that
//     comes up to 1500 ms after it is a hand's, and Already says so.
//   - Fewer than four runes are delivered one by one, as keys, after 60 ms of
//     quiet.
//   - Runes on the heels of a burst's Enter are the next line of it, a Scan
//     however short, and so is an Enter: they must not answer what is asked next.
//   - A ctrl+j is the Enter of some terminals and scanners, and is delivered
//     as Enter; after an Enter it is only the second half of a line end.
//   - A paste is a Scan, however short; Text is its first line.
//   - Where a digit answers alone it is delivered only after 400 ms of quiet, or
//     before the next special key; what follows it sooner makes a Scan of it.
//   - Where text is typed its runes are delivered at once, as keys, whatever
//     their pace; only the Enter of a burst is not, and InOneGo says so.
type ScanBuffer struct {
	text    string        // the runes gathered, no more than maxScan
	came    int           // runes that came, those beyond maxScan too; 0: nothing is held
	first   time.Duration // when the first of them came
	last    time.Duration // when the latest of them came
	longest time.Duration // the longest gap between them
	written bool          // they were delivered already, as text
	on      bool          // they follow on the heels of a burst's Enter
	alone   bool          // a digit where it answers alone

	ends  time.Duration // until then any terminator belongs to the scan before it; 0: none
	late  time.Duration // until then an Enter does, from the habit of a hand
	twin  time.Duration // until then a ctrl+j belongs to the Enter before it; 0: none
	heels time.Duration // until then runes belong to the burst whose Enter came before; 0: none
	gave  bool          // that Enter was delivered: what follows it is no text of the same field
}

// Take is given each key with the time at which it came and what the screen
// takes.  It returns the messages to deliver now, in order: tea.KeyMsg with one
// rune at most, Scan or InOneGo.  The duration says after what time Flush wants
// to be called; 0 means that nothing is held.
func (b ScanBuffer) Take(k tea.KeyMsg, at time.Duration, into Taking) (ScanBuffer, []tea.Msg, time.Duration) {
	var before, now []tea.Msg
	if b.came > 0 && b.torn(at) {
		b, before = b.lapse()
	}
	switch {
	case k.Paste:
		b, now = ScanBuffer{}, append(b.held(), b.paste(k.Runes)...)
	case isText(k) && into.Typed() && (b.came == 0 || b.written):
		b, now = b.write(k, at, into)
	case isText(k):
		b = b.gather(k, at, into)
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
	if b.came == 0 || b.written || b.wait(at) > 0 {
		return b, nil, b.wait(at)
	}
	b, out := b.lapse()
	return b, out, 0
}

// scans tells whether what is held is a scanner's.
func (b ScanBuffer) scans() bool { return b.came >= scanRunes || b.on || b.alone && b.came > 1 }

// torn reports whether the gap since the latest rune is too long for another
// one to join the burst.
func (b ScanBuffer) torn(at time.Duration) bool {
	switch {
	case b.alone:
		return at-b.last >= aloneKey
	case b.scans() && !b.written:
		return at-b.last >= scanQuiet
	}
	return at-b.last >= burstGap
}

// wait is the time until Flush has something to deliver; 0 or less: it has
// now, or nothing is held.
func (b ScanBuffer) wait(at time.Duration) time.Duration {
	switch {
	case b.came == 0 || b.written:
		return 0
	case b.alone:
		return b.last + aloneKey - at
	case !b.scans():
		return b.last + keyQuiet - at
	default:
		return b.last + scanQuiet - at
	}
}

// held is what the runes gathered amount to: one Scan, or their keys; nothing
// where they were delivered already.
func (b ScanBuffer) held() []tea.Msg {
	switch {
	case b.written:
		return nil
	case b.scans():
		return []tea.Msg{b.scan()}
	}
	return keysOf(b.text)
}

func (b ScanBuffer) scan() Scan {
	return Scan{Text: b.text, More: b.on, Over: max(0, b.came-maxScan), Spilt: b.alone && b.longest >= burstGap, Pace: Pace{b.came, b.last - b.first, b.longest}}
}

// lapse delivers what is held because of quiet.  A scan's terminator may
// still be on its way: the time left for it counts from the last rune, so that
// it does not depend on when Flush was called.
func (b ScanBuffer) lapse() (ScanBuffer, []tea.Msg) {
	var next ScanBuffer
	out := b.held()
	if b.scans() && !b.written {
		next.ends = b.last + scanQuiet + lateEnd
		s := b.scan()
		s.Loose = b.longest > fastGap && b.came < looseMost && !b.on
		if !s.Loose { // what may be a hand's is text, which its own Enter gives
			next.late = b.last + scanQuiet + habit
		}
		out = []tea.Msg{s}
	}
	return next, out
}

// gather adds the runes of k to what is held.
func (b ScanBuffer) gather(k tea.KeyMsg, at time.Duration, into Taking) ScanBuffer {
	if b.written { // the field that took them is gone
		b = ScanBuffer{}
	}
	if b.came == 0 {
		b.alone = into == OneKey && isFigure(string(printable(k.Runes)))
	}
	return b.add(k, at)
}

// add counts the runes of k in.  A message without a printable rune (a bare
// ctrl or shift on some systems) only keeps a burst going.
func (b ScanBuffer) add(k tea.KeyMsg, at time.Duration) ScanBuffer {
	runes := printable(k.Runes)
	if b.came > 0 {
		b.longest = max(b.longest, at-b.last)
	} else if len(runes) > 0 {
		b.first, b.on = at, b.heels > 0 && at <= b.heels
	}
	if len(runes) > 0 {
		b.ends, b.late, b.twin, b.heels = 0, 0, 0, 0
	}
	room := max(maxScan-b.came, 0)
	b.text += string(runes[:min(room, len(runes))])
	b.came += len(runes)
	b.last = at
	return b
}

// write delivers the runes of k as text at once and only counts them. The next
// line of a burst is text too, behind a blank; no figure goes on with it, nor the
// field that is asked next.
func (b ScanBuffer) write(k tea.KeyMsg, at time.Duration, into Taking) (ScanBuffer, []tea.Msg) {
	begins := b.came == 0
	b = b.add(k, at)
	if b.on && (b.gave || into == FigureField) {
		return b, nil // held: a Scan, which is not taken there
	}
	out := keysOf(string(printable(k.Runes)))
	if b.on && begins && len(out) > 0 {
		out = append(keysOf(" "), out...)
	}
	b.written = b.came > 0
	return b, out
}

// burst tells whether text that ends now was typed by no hand.
func (b ScanBuffer) burst(at time.Duration) bool {
	return b.scans() || b.came > 1 && max(b.longest, at-b.last) <= fastGap
}

// terminate takes Enter, ctrl+j or Tab: the end of a scan, which is
// swallowed, or a key.
func (b ScanBuffer) terminate(k tea.KeyMsg, at time.Duration) (ScanBuffer, []tea.Msg) {
	var key, swallowed ScanBuffer
	if k.Type == tea.KeyEnter {
		key.twin = at + scanQuiet
	}
	if b.came == 0 || at-b.last <= fastGap { // what follows as fast is no hand's: the next line
		key.heels = at + fastGap
	}
	key.gave = true
	swallowed.ends, swallowed.twin, swallowed.heels, swallowed.gave = at+burstGap-1, key.twin, at+burstGap-1, b.gave
	switch {
	case b.written && b.burst(at):
		return swallowed, []tea.Msg{InOneGo{}}
	case !b.written && b.scans():
		return swallowed, b.held()
	case b.ends > 0 && at <= b.ends:
		return swallowed, nil
	case b.late > 0 && at <= b.late:
		return ScanBuffer{twin: key.twin}, []tea.Msg{Already{}}
	case b.came == 0 && b.heels > 0 && at <= b.heels: // an empty line of it
		b.heels = at + fastGap
		return b, nil
	case k.Type == tea.KeyCtrlJ && b.twin > 0 && at <= b.twin:
		return ScanBuffer{heels: b.heels, gave: b.gave}, nil
	case k.Type == tea.KeyCtrlJ:
		k.Type = tea.KeyEnter
	}
	return key, append(b.held(), k)
}

// paste takes a whole paste.  Where it is a scan its first line counts; its line
// ends are blanks, since a paste must not press anything.
func (b ScanBuffer) paste(runes []rune) []tea.Msg {
	const ends = "\r\n\t"
	whole := strings.Trim(string(runes), ends)
	line := whole
	if i := strings.IndexAny(line, ends); i >= 0 {
		line = line[:i]
	}
	all := strings.Join(strings.FieldsFunc(whole, func(r rune) bool { return strings.ContainsRune(ends, r) }), " ")
	text := clipped(line)
	if text == "" {
		return nil
	}
	over := max(0, len(printable([]rune(all)))-maxScan)
	return []tea.Msg{Scan{Text: text, All: clipped(all), Over: over, Pace: Pace{Runes: len([]rune(text))}}}
}

// clipped is a text without control runes, no longer than a scan.
func clipped(text string) string {
	runes := printable([]rune(text))
	return string(runes[:min(maxScan, len(runes))])
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
