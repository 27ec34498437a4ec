package main

import (
	"fmt"
	"io"
	"strings"

	"coolhold/logbook"
	"coolhold/logbook/store"
)

// print says in plain words what holds, what does not, and what is proved.
func (v *verification) print(w io.Writer) error {
	var b strings.Builder
	say := func(format string, args ...any) { fmt.Fprintln(&b, logbook.Clean(fmt.Sprintf(format, args...))) }
	say("%s: log %s %s, %s, root %s", v.path, v.Tag, v.ID, entries(v.Entries), v.Root)
	for _, f := range v.faults {
		say("DOES NOT HOLD  %s", f.What)
	}
	if len(v.faults) == 0 {
		say("holds  %d stored values, each against its checksum", v.Values)
		say("holds  %s, each against its hash, and all hashes above them", entries(v.Entries))
	}
	if v.Journal > 0 {
		say("holds  the journal: %s, each the entry of its place", logbook.Count(v.Journal, "line"))
	}
	if v.Deep {
		say("holds  the index: it is what the entries make; each of them is read, and the records of each site are made")
	}
	for _, s := range v.seals {
		word := "holds"
		if len(s.Signed) == 0 {
			word = "fits " // the tree has its root; who signed it is not known
		}
		say("%s  %s", word, s.line())
	}
	for _, f := range v.files {
		say("%s", f.line())
	}
	if v.filesIn != "" && len(v.files) == 0 {
		say("note   no file is enclosed in this log")
	}
	for _, line := range v.Remarks {
		say("note   %s", line)
	}
	for _, j := range v.clocks.said {
		say("note   %s", j.line())
	}
	say("")
	if line := v.inItself(); line != "" {
		say("IN ITSELF   %s", line)
	}
	for _, line := range v.proved() {
		say("PROVED      %s", line)
	}
	for _, line := range v.notProved() {
		say("NOT PROVED  %s", line)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// entries gives "1 entry" or "3 entries".
func entries(n int64) string {
	if n == 1 {
		return "1 entry"
	}
	return fmt.Sprintf("%d entries", n)
}

// line is a seal that holds, in one line.
func (s checkedSeal) line() string {
	line := fmt.Sprintf("the seal in %s: %s; ", s.where(), sealLine(s.Statement))
	if len(s.Signed) > 0 {
		line += "signed by " + strings.Join(s.Signed, " and ")
	}
	if len(s.Unknown) > 0 {
		line += strings.Repeat("; ", min(1, len(s.Signed))) + "not checked, for the key is not known here: " + strings.Join(s.Unknown, ", ")
	}
	return line
}

// inItself is what holds whoever stands for it: it proves nothing against somebody who
// made all hashes anew.
func (v *verification) inItself() string {
	_, signed := v.best()
	switch {
	case len(v.faults) > 0:
		return ""
	case len(v.Seals) == 0:
		return fmt.Sprintf("%s, in order and content: consistent in itself, not sealed.", entries(v.Entries))
	case !signed:
		return fmt.Sprintf("%s, in order and content: consistent in itself; whose seals stand there is not known here.", entries(v.Entries))
	}
	return fmt.Sprintf("%s, in order and content: consistent in itself.", entries(v.Entries))
}

// proved is what follows if nothing is wrong: of what part, and as of when. Without a
// signature that was checked it is nothing.
func (v *verification) proved() (lines []string) {
	best, ok := v.best()
	if len(v.faults) > 0 || !ok {
		return nil
	}
	line := fmt.Sprintf("the first %s of %d are those that %s signed as of %s, in that order, none changed, removed or inserted: %s.",
		entries(best.Entries), v.Entries, strings.Join(best.Signed, " and "), best.At.Format("2006-01-02 15:04 -07:00"), best.where())
	if best.file != "" {
		line += " The log extends that seal."
	}
	return append(lines, line)
}

// notProved is what no such check can prove, in words for whoever relies on it.
func (v *verification) notProved() (lines []string) {
	if len(v.faults) > 0 {
		lines = append(lines, "that the log is what was stored: see what does not hold.")
	}
	best, ok := v.best()
	switch rest := v.after(best); {
	case !ok:
		lines = append(lines, "that somebody stands for it: no seal bears a key that is known here.")
	case rest > 0:
		lines = append(lines, fmt.Sprintf("that somebody stands for what came after: no seal with a known key covers the last %s.", entries(rest)))
	}
	return append(lines,
		"the date: the time in a seal is what the laptop's clock showed. Only a copy handed over that day dates it.",
		"the truth: that what was entered is so.",
		"anything against the laptop's owner, by a key on the laptop: log and seals can be made anew with it. Only a seal that left the laptop counts, best counter-signed with a key kept elsewhere: coolhold verify --seal FILE --key KEY.")
}

// after is how many entries a seal does not reach. The seals themselves are not
// counted: each would need another seal over it, for ever.
func (v *verification) after(best checkedSeal) int64 {
	rest := v.Entries - best.Entries
	for _, s := range v.Seals {
		if int64(s.Seq) > best.Entries {
			rest--
		}
	}
	return rest
}

// sealJSON is a seal for other programs.
type sealJSON struct {
	Entry     uint64   `json:"entry,omitempty"` // where it stands in the log
	File      string   `json:"file,omitempty"`  // where it comes from otherwise
	Entries   int64    `json:"entries"`
	Root      string   `json:"root"`
	Claimed   string   `json:"claimed"`
	Day       string   `json:"day,omitempty"`
	By        string   `json:"by,omitempty"`
	Signed    []string `json:"signed"`
	Unchecked []string `json:"unchecked"`
}

// verifyJSON is the answer for other programs; its keys never change.
type verifyJSON struct {
	File    string        `json:"file"`
	Log     string        `json:"log"`
	Tag     string        `json:"tag"`
	Entries int64         `json:"entries"`
	Root    string        `json:"root"`
	Values  int           `json:"values"`
	Journal int           `json:"journal"` // lines of it that are the entries of their places
	Deep    bool          `json:"deep"`    // records were compared
	Holds   bool          `json:"holds"`
	Faults  []store.Fault `json:"faults"`
	Remarks []string      `json:"remarks"`
	Seals   []sealJSON    `json:"seals"` // those that hold
	Jumps   []clockJump   `json:"clock_jumps"`

	Files []enclosedFile `json:"files,omitempty"` // the enclosed ones, where they were looked for
}

func (v *verification) json() verifyJSON {
	out := verifyJSON{
		File: v.path, Log: v.ID, Tag: v.Tag, Entries: v.Entries, Root: v.Root.String(), Values: v.Values, Journal: v.Journal, Deep: v.Deep,
		Holds: len(v.faults) == 0, Faults: append([]store.Fault{}, v.faults...), Remarks: append([]string{}, v.Remarks...), Seals: []sealJSON{}, Jumps: append([]clockJump{}, v.clocks.said...),
		Files: v.files,
	}
	for _, s := range v.seals {
		out.Seals = append(out.Seals, sealJSON{
			Entry: s.seq, File: s.file, Entries: s.Entries, Root: s.Root.String(), Claimed: s.At.Format("2006-01-02T15:04:05-07:00"),
			Day: s.Day, By: s.By, Signed: append([]string{}, s.Signed...), Unchecked: append([]string{}, s.Unknown...),
		})
	}
	return out
}
