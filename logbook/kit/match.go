package kit

import (
	"fmt"
	"slices"
	"strings"

	"coolhold/fusion"
)

// A Match is what a control unit can do with a fitting, figure by figure. What is
// not declared, or not printed, stands against nothing and is named.
type Match struct {
	Volts    float64  // V that the fitting's supply lies above the unit's output; below 0: under it
	Pins     bool     // its leads do not take the pins
	Adapter  *Adapter // by which they do
	Seconds  int      // s that the fusion time is above the longest that can be set
	KVA      float64  // kVA that the generator is short of for unit or fitting
	Mains    float64  // V that the generator lies under what the unit works with
	NotKnown []string // what could not be compared
}

// Match compares a unit of the kit with a fitting that is fused for so many
// seconds, 0 where that is not known. It is the one place that says what a unit can
// fuse.
func (k Kit) Match(u Unit, f fusion.Fitting, seconds int) Match {
	m := Match{Volts: u.off(f.Volts), KVA: max(k.plateShort(u), k.PowerShort(f)), Mains: k.MainsShort(u)}
	unknown := func(is bool, what string) {
		if is {
			m.NotKnown = append(m.NotKnown, what)
		}
	}
	if f.PinMM != nil && len(u.LeadPinsMM) > 0 {
		with, ok := k.Reaches(u, *f.PinMM)
		m.Adapter, m.Pins = with, !ok
	}
	if u.LongestS != nil {
		m.Seconds = max(0, seconds-*u.LongestS)
	}
	unknown(u.VoltsLow == nil || u.VoltsHigh == nil, "the output volts of "+u.Serial)
	unknown(len(u.LeadPinsMM) == 0, "the lead pins of "+u.Serial)
	unknown(f.PinMM == nil, "the pins of "+f.Name)
	unknown(u.LongestS == nil, "the longest time of "+u.Serial)
	unknown(u.InputKVA == nil, "the plate input of "+u.Serial)
	unknown(k.Generator == nil, "what the generator gives")
	return m
}

// Can tells whether nothing that is known speaks against it.
func (m Match) Can() bool {
	return m.Volts == 0 && !m.Pins && m.Seconds == 0 && m.KVA == 0 && m.Mains == 0
}

// Why says what speaks against it, in short; "" where nothing does.
func (m Match) Why() string {
	var why []string
	switch {
	case m.Volts > 0:
		why = append(why, "output "+Tidied(m.Volts)+" V short")
	case m.Volts < 0:
		why = append(why, "output "+Tidied(-m.Volts)+" V too high")
	}
	if m.Pins {
		why = append(why, "leads do not take its pins")
	}
	if m.Seconds > 0 {
		why = append(why, fmt.Sprintf("longest time %d s short", m.Seconds))
	}
	if m.KVA > 0 {
		why = append(why, "generator "+Tidied(m.KVA)+" kVA short")
	}
	if m.Mains > 0 {
		why = append(why, "generator "+Tidied(m.Mains)+" V short")
	}
	return strings.Join(why, ", ")
}

// off is by how much v lies outside the ends of the output that are known, 0 if
// inside.
func (u Unit) off(v float64) float64 {
	switch {
	case u.VoltsLow != nil && v < *u.VoltsLow:
		return v - *u.VoltsLow
	case u.VoltsHigh != nil && v > *u.VoltsHigh:
		return v - *u.VoltsHigh
	}
	return 0
}

// plateShort is what the generator lacks for a unit's plate input alone.
func (k Kit) plateShort(u Unit) float64 {
	if k.Generator == nil || u.InputKVA == nil {
		return 0
	}
	return max(0, *u.InputKVA-*k.Generator)
}

// PowerShort is what the generator lacks in kVA for what a fitting takes, which
// understates what the unit draws.
func (k Kit) PowerShort(f fusion.Fitting) float64 {
	if k.Generator == nil || f.Ohms == nil {
		return 0
	}
	watts, err := fusion.Watts(f.Volts, *f.Ohms)
	if err != nil {
		return 0
	}
	return max(0, watts/1000-*k.Generator)
}

// MainsShort is by how many volts the generator lies under the lowest that a unit's
// instructions allow.
func (k Kit) MainsShort(u Unit) float64 {
	if k.GeneratorVolts == nil || u.InputVoltsLow == nil {
		return 0
	}
	return max(0, *u.InputVoltsLow-*k.GeneratorVolts)
}

// ClampSets is how many clamp sets there are in all; false where no count, or not
// each, is declared.
func (k Kit) ClampSets() (int, bool) {
	sets := 0
	for _, c := range k.Clamps {
		if c.Count == nil {
			return 0, false
		}
		sets += *c.Count
	}
	return sets, sets > 0
}

// Without are those of some sizes that no part of the kit is declared for.
func Without(sizes []int, declared func(mm int) bool) []int {
	return slices.DeleteFunc(slices.Clone(sizes), declared)
}

// Tidied writes a difference without what binary fractions leave over.
func Tidied(x float64) string {
	return strings.TrimSuffix(strings.TrimRight(fmt.Sprintf("%.2f", x), "0"), ".")
}
