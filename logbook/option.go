package logbook

import (
	"slices"
	"strings"

	"coolhold/fusion"
)

// An Option is one answer to choose. The code is what is stored; it is short
// and never changed. The word is what people see and write: it may change, and
// no log is touched by that. A word that was changed stays among the former
// ones: a sheet may lie in the van for months and is read as it was printed.
type Option struct {
	Code, Word string
	Former     []string // read, never shown
}

// Options are the answers to one question, in the order they are offered.
type Options struct {
	Of   string // what they answer
	List []Option
}

// AllOptions are the options of every question whose answer is stored.
var AllOptions []*Options

// options are those with these codes, each followed by its word.
func options(of string, codesAndWords ...string) *Options {
	o := &Options{Of: of}
	for i := 0; i < len(codesAndWords); i += 2 {
		o.List = append(o.List, Option{Code: codesAndWords[i], Word: codesAndWords[i+1]})
	}
	AllOptions = append(AllOptions, o)
	return o
}

// formerly are the same options with words that some of them had before.
func (o *Options) formerly(codesAndWords ...string) *Options {
	for i := 0; i < len(codesAndWords); i += 2 {
		at := slices.IndexFunc(o.List, func(opt Option) bool { return opt.Code == codesAndWords[i] })
		o.List[at].Former = append(o.List[at].Former, codesAndWords[i+1])
	}
	return o
}

// Word is the word of a code. What is no code, of a newer version or a text
// that was given instead, stands as it is.
func (o *Options) Word(code string) string {
	for _, opt := range o.List {
		if opt.Code == code {
			return opt.Word
		}
	}
	return code
}

// Formerly is the word that a code had last, that of today where it had no other.
func (o *Options) Formerly(code string) string {
	for _, opt := range o.List {
		if n := len(opt.Former); opt.Code == code && n > 0 {
			return opt.Former[n-1]
		}
	}
	return o.Word(code)
}

// Has tells whether a code is one of them.
func (o *Options) Has(code string) bool {
	return slices.ContainsFunc(o.List, func(opt Option) bool { return opt.Code == code })
}

// Code finds the option that is meant by a word, one of today first, or by a
// code. Upper and lower case and the width of blanks do not count.
func (o *Options) Code(said string) (code string, known bool) {
	for _, names := range []func(Option) []string{
		func(o Option) []string { return []string{o.Word} },
		func(o Option) []string { return o.Former },
		func(o Option) []string { return []string{o.Code} },
	} {
		for _, opt := range o.List {
			if slices.ContainsFunc(names(opt), func(n string) bool { return fusion.Folded(n) == fusion.Folded(said) }) {
				return opt.Code, true
			}
		}
	}
	return "", false
}

// shortest is how much of a word of several must be written for it to be
// known: our choice.
const shortest = 4

// Begun finds the option that is meant by a word, a code, or the first words of
// one option alone.
func (o *Options) Begun(said string) (code string, known bool) {
	if code, known = o.Code(said); known || len(said) < shortest {
		return code, known
	}
	if begun := o.begun(said); len(begun) == 1 {
		return begun[0].Code, true
	}
	return "", false
}

// begun are the options of which a word, of today or before, begins with what
// was said.
func (o *Options) begun(said string) (out []Option) {
	for _, opt := range o.List {
		if slices.ContainsFunc(append([]string{opt.Word}, opt.Former...), func(word string) bool {
			rest, begins := strings.CutPrefix(fusion.Folded(word), fusion.Folded(said))
			return begins && (strings.HasPrefix(rest, " ") || strings.HasPrefix(rest, ","))
		}) {
			out = append(out, opt)
		}
	}
	return out
}

// Vague are the words of which a person's "firm" may be the half; nil where it
// says one thing. A program that hands over codes does not ask.
func (o *Options) Vague(said string) (words []string) {
	begun := o.begun(said)
	if len(begun) < 2 || slices.ContainsFunc(o.List, func(opt Option) bool { return fusion.Folded(opt.Word) == fusion.Folded(said) }) {
		return nil
	}
	for _, opt := range begun {
		words = append(words, opt.Word)
	}
	return words
}

// Codes are the codes of all.
func (o *Options) Codes() []string {
	out := make([]string, len(o.List))
	for i, opt := range o.List {
		out[i] = opt.Code
	}
	return out
}

// Words are the words of codes; of all where none are given.
func (o *Options) Words(codes ...string) []string {
	if len(codes) == 0 {
		codes = o.Codes()
	}
	out := make([]string, len(codes))
	for i, code := range codes {
		out[i] = o.Word(code)
	}
	return out
}

// Either is what can be written for codes: "up, part or flat".
func (o *Options) Either(codes ...string) string {
	words := o.Words(codes...)
	last := len(words) - 1
	if last == 0 {
		return words[0]
	}
	return strings.Join(words[:last], ", ") + " or " + words[last]
}

// fill puts words into a text in place of their codes in braces.
func (o *Options) fill(text string) string {
	if o == nil {
		return text
	}
	for _, opt := range o.List {
		text = strings.ReplaceAll(text, "{"+opt.Code+"}", opt.Word)
	}
	return text
}

// A YesNo answers a question that may be answered by nobody.
type YesNo string

// The answers to "does this unit correct for temperature itself". NotKnown is
// also what is said of a batch that nobody can read.
const (
	Yes      = "yes"
	No       = "no"
	NotKnown = "unknown"
)

// YesNos are the three.
var YesNos = options("does it correct for temperature itself", Yes, "yes", No, "no", NotKnown, "not known")

// String is the word.
func (v YesNo) String() string { return YesNos.Word(string(v)) }

var (
	batches     = options("a batch that cannot be read", NotKnown, "not known")
	undisturbed = options("not disturbed", No, "no")
)

// Skies and Shelters are what is offered; the lists are those of the
// DVS 2207-1 form, from memory, in our words.
var (
	Skies    = options("sky", "sun", "sun", "dry", "dry", SkyWet, "rain or snow", "wind", "wind")
	Shelters = options("shelter", ShelterNone, "none", "umbrella", "umbrella", "tent", "tent", "heated", "heated tent")
)

// What rules speak of.
const (
	SkyWet      = "wet"
	ShelterNone = "none"
)

// The answers about the print on the pipe: size, SDR and material.
const (
	AsPlanned  = "planned"
	UnlikePlan = "unlike"
)

// Prints are both.
var Prints = options("print on the pipe", AsPlanned, "as planned", UnlikePlan, "unlike the plan")

// The methods of scraping.
const (
	RotaryTool = "rotary"
	HandTool   = "hand"
)

// ScrapeMethods are the methods offered.
var ScrapeMethods = options("scraping method", RotaryTool, "rotary scraper", HandTool, "hand scraper").
	formerly(RotaryTool, "rotary tool", HandTool, "hand tool")

// The marks of an item of the preparation card.
const (
	Done     = "done"
	NotYet   = "notyet"
	CouldNot = "couldnot"
	NoSuch   = "nosuch" // of a fitting that takes one end only
)

// Marks are all of them.
var Marks = options("mark on the card", Done, "done", NotYet, "not yet", CouldNot, "could not", NoSuch, "no such end")

// A Doubt is why a figure is asked for twice. It is taken all the same.
type Doubt string

// The doubts.
const (
	Tenfold Doubt = "tenfold"
	Nought  Doubt = "nought"
	Longer  Doubt = "longer"
	Shorter Doubt = "shorter"
	Leaping Doubt = "leap"
)

// String is the word.
func (d Doubt) String() string { return doubts.Word(string(d)) }

// What may be said of a joint held on the same pipe while another is made ready, and
// of what a break did to one that was ready.
const (
	Unsure      = "unsure"
	TurnedWet   = "wet"
	WasTouched  = "touched"
	PipeMoved   = "pipe"
	NotRunning  = "program"
	MachineOff  = "machine"
	OtherLaptop = "elsewhere"
	NobodyThere = "absence"
	Untouched   = "untouched"
	Cleaned     = "cleaned"
	CutBack     = "anew"
	HandAgain   = "scraped"
	NotPutRight = "nothing"
	BeforeTime  = "before"
	AfterTime   = "after"
)

var (
	// Besides answer whether a held joint stays clamped and is not disturbed.
	Besides = options("the joint held beside", Yes, "clamped, undisturbed", No, "disturbed or not clamped", Unsure, "not sure")

	// AfterBreak answers what is true of a prepared joint when its walk is taken up.
	AfterBreak = options("after the break", Untouched, "fitting on, clamped, dry, untouched",
		Cleaned, "wet, dirty or fitting off: cleaned as its instructions say",
		CutBack, "cut back and prepared anew", HandAgain, "scraped by hand once more", NotPutRight, "wet, dirty or fitting off, and nothing done")

	// Betweens are what may have spoiled a joint that was set down prepared.
	Betweens = options("what came between", TurnedWet, "rain or snow without a shelter", WasTouched, "it was touched, moved or uncovered",
		PipeMoved, "another joint on its pipe was moved or cut out", NotRunning, "coolhold was not running all the time", MachineOff, "the laptop was started anew",
		OtherLaptop, "the log is on another laptop", NobodyThere, "for over 30 min nobody entered anything")

	doubts = options("why a figure was doubted", string(Tenfold), "about ten times off", string(Nought), "nought", string(Longer), "longer than was set",
		string(Shorter), "shorter than was set", string(Leaping), "far from the last reading")

	// Befores answer when a joint was moved: the time is that of its hold.
	Befores = options("moved", BeforeTime, "before its time was up", AfterTime, "after its time was up", Unsure, "not sure")
)

// CouldNotReasons are the reasons offered by digit; a text may be added.
var CouldNotReasons = options("why it could not be done", "notool", "no tool", "noaccess", "no access", "weather", "weather", "short", "pipe too short", "other", "other")

// A Mode is how a unit comes by its time.
type Mode string

// The modes.
const (
	ModeKeyed Mode = "keyed"
	ModeCode  Mode = "code"
	ModeSelf  Mode = "self"
)

// Modes are the three.
var Modes = options("how the time is set", string(ModeKeyed), "keyed by hand", string(ModeCode), "read from a code", string(ModeSelf), "unit corrects for temperature")

// String is the word.
func (m Mode) String() string { return Modes.Word(string(m)) }

// An Outcome is how a fusion ended.
type Outcome string

// The outcomes.
const (
	Completed Outcome = "completed"
	Stopped   Outcome = "stopped"
	NotSeen   Outcome = "unseen"
)

// Outcomes are the three.
var Outcomes = options("outcome", string(Completed), "completed", string(Stopped), "stopped", string(NotSeen), "nobody saw")

// String is the word.
func (o Outcome) String() string { return Outcomes.Word(string(o)) }

// An Occasion is when a weld is looked at.
type Occasion string

// The occasions.
const (
	LookHot     Occasion = "hot"
	LookRelease Occasion = "release"
	LookRound   Occasion = "round"
	LookAgain   Occasion = "again"
)

// Occasions are all of them.
var Occasions = options("occasion", string(LookHot), "after fusion", string(LookRelease), "at release", string(LookRound), "at the end-of-shift check", string(LookAgain), "at another look").
	formerly(string(LookRound), "at the round")

// String is the word.
func (o Occasion) String() string { return Occasions.Word(string(o)) }

// What can be seen of an indicator, and of anything that was looked for and
// could not be seen.
const (
	Up     = "up"
	Part   = "part"
	Flat   = "flat"
	None   = "none"
	Unseen = "unseen"
)

// What else a look can see or feel, as far as rules speak of it.
const (
	MeltOutside = "outside"
	WireSeen    = "seen"
	MarksMoved  = "moved"
	FeltMoves   = "moves"
)

// couldNotLook is what is said of a thing that nobody could see: "not seen" was
// taken for "there is none".
const couldNotLook = "could not look"

// What can be seen and felt, by item of a look.
var (
	Indicators = options("indicator", Up, "up", Part, "part", Flat, "flat", None, "none on this fitting", Unseen, couldNotLook).formerly(Unseen, "not seen")
	melts      = options("melt", "none", "none", MeltOutside, "outside", Unseen, couldNotLook).formerly(Unseen, "not seen")
	wires      = options("wire", "none", "no wire", WireSeen, "wire", Unseen, couldNotLook).formerly("none", "none seen", WireSeen, "seen", Unseen, "not seen")
	inserts    = options("insertion marks", "inplace", "in place", MarksMoved, "moved", Unseen, couldNotLook).formerly(Unseen, "not seen")
	straights  = options("in line", Yes, "yes", No, "no", Unseen, couldNotLook).formerly(Unseen, "not seen")
	felts      = options("felt", "firm", "firm, cool", "warm", "firm, still hot", FeltMoves, "loose", Unseen, "could not feel").
			formerly("firm", "cold and firm", "warm", "still warm", FeltMoves, "moves", Unseen, "not seen")
)

// A Happening is what can happen to a site once its welds are made.
type Happening string

// The happenings.
const (
	PressureLost Happening = "lost"
	DugUp        Happening = "dug"
	Repaired     Happening = "repaired"
	OtherEvent   Happening = "other"
)

// Happenings are those offered.
var Happenings = options("what happened", string(PressureLost), "pressure lost", string(DugUp), "dug up", string(Repaired), "repaired", string(OtherEvent), "other")

// String is the word.
func (h Happening) String() string { return Happenings.Word(string(h)) }

var hows = options("how a value came", string(Typed), "typed", string(Scanned), "scanned", string(Computed), "computed", string(Offered), "default taken", string(Carried), "carried over", string(Later), "entered later")

// String is the word.
func (h How) String() string { return hows.Word(string(h)) }

var stepWords = options("step", string(StepPeople), "people and unit", string(StepBeside), "held beside", string(StepBreak), "after the break", string(StepFitting), "fitting", string(StepBag), "bag", string(StepPrep), "preparation", string(StepAmbient), "ambient",
	string(StepSettings), "settings", string(StepScrape), "scraped too long ago", string(StepResistance), "resistance", string(StepStart), "start", string(StepFusion), "fusion",
	string(StepRun), "seconds run", string(StepLook), "look", string(StepDone), "done")

// String is the word.
func (s Step) String() string { return stepWords.Word(string(s)) }
