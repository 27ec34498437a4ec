package audit

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"strings"

	"coolhold/logbook"
)

// A Check judges a case, and tells what it judged. It judges by facts: figures,
// times, names and codes as they are recorded, the body of an entry, never a
// sentence. What is told follows from the facts and from what the finding is
// about, from nothing else. So a word may be changed, and nothing that was
// accepted or signed opens again.
type Check struct {
	judge func(Case) (facts any, found bool)
	tell  func(about string, facts any) string
	read  func(json.RawMessage) (any, error)
}

// CheckOf makes one of a judgement and its words.
func CheckOf[F any](judge func(Case) (F, bool), tell func(about string, facts F) string) Check {
	return Check{
		judge: func(c Case) (any, bool) {
			if f, found := judge(c); found {
				return f, true
			}
			return nil, false // most are: nothing is put into memory for them
		},
		tell: func(about string, facts any) string { return tell(about, facts.(F)) },
		read: func(raw json.RawMessage) (any, error) {
			var f F
			err := json.Unmarshal(raw, &f)
			return f, err
		},
	}
}

// plain makes a check that judges by no value: that it speaks says all. The
// format has a place for what it is about.
func plain(judge func(Case) bool, format string) Check {
	type none struct{}
	return CheckOf(
		func(c Case) (none, bool) { return none{}, judge(c) },
		func(about string, _ none) string { return fmt.Sprintf(format, about) },
	)
}

// written are facts as they are stored: maps sorted, fields in the order of
// their type.
func written(facts any) json.RawMessage {
	raw, err := json.Marshal(facts)
	if err != nil {
		panic(fmt.Sprintf("facts of a rule that cannot be written down: %v", err)) // a fault of ours: no entry holds such a value
	}
	return raw
}

// digest names what a rule found on something: as long as rule, subject and
// facts are the same it is the same finding. 64 bits are enough, since nobody
// gains by making two alike: who may write to the log may accept.
func digest(key string, facts json.RawMessage) string {
	rule, about, _ := strings.Cut(key, ":")
	sum := sha256.Sum256(written([]any{rule, about, facts}))
	return hex.EncodeToString(sum[:8])
}

// Tell is a finding that was answered, in the words of today. One of a rule that
// is not known here is told by its key.
func Tell(j logbook.Judged) string {
	slug, about, _ := strings.Cut(j.Key, ":")
	rule, known := bySlug[slug]
	if !known {
		return j.Key
	}
	facts, err := rule.Check.read(j.Facts)
	if err != nil {
		return j.Key
	}
	return rule.Check.tell(about, facts)
}

// bySlug are the rules by name. It is filled once they stand, since some of them
// tell what others found.
var bySlug = map[string]*Rule{}

func init() {
	for i := range Rules {
		bySlug[Rules[i].Slug] = &Rules[i]
	}
}

// A reason is why somebody could not do a thing, or did it otherwise.
type reason struct {
	Reason string `json:"reason,omitempty"` // a code of logbook.CouldNotReasons
	Why    string `json:"why,omitempty"`
}

func (r reason) says() string { return orNone(logbook.Answer{Reason: r.Reason, Why: r.Why}.Because()) }

// names are values of a weld by what they are called.
func names(keys []string) []string {
	out := make([]string, len(keys))
	for i, key := range keys {
		out[i] = logbook.NameOf(key)
	}
	return out
}

// An ask is what a named person wanted, and why.
type ask struct {
	By  string `json:"by"`
	Why string `json:"why,omitempty"`
}

// An unlike is a value beside the one that it should be.
type unlike struct {
	Is     string `json:"is"`
	Should string `json:"should"`
}

// lineSays tells facts that are the body of an entry.
func lineSays[B logbook.Body](about string, f B) string { return about + ": " + f.Line() }

func orNone(s string) string { return cmp.Or(s, "no reason given") }

func orNothing(s string) string { return cmp.Or(s, "nothing") }
