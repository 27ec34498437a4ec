package kit

import (
	"reflect"
	"testing"

	"coolhold/fusion"
)

// What speaks against a unit, one figure at a time. Figures are invented, but 39.5
// and 230 V and the pins (common practice, from memory).
func TestMatch(t *testing.T) {
	fitting := fusion.Fitting{Name: "coupler 63", Volts: 39.5, Ohms: new(1.5), PinMM: new(4.7)}
	unit := func() Unit {
		return Unit{Serial: "CU-1", InputKVA: new(3.5), InputVoltsLow: new(195.0), VoltsLow: new(8.0), VoltsHigh: new(48.0), LongestS: new(100), LeadPinsMM: []float64{4.7}}
	}
	for why, change := range map[string]func(*Kit, *Unit){
		"":                           func(*Kit, *Unit) {},
		"output 0.5 V too high":      func(_ *Kit, u *Unit) { u.VoltsLow = new(40.0) },
		"output 3.5 V short":         func(_ *Kit, u *Unit) { u.VoltsHigh = new(36.0) },
		"leads do not take its pins": func(_ *Kit, u *Unit) { u.LeadPinsMM = []float64{4} },
		"longest time 5 s short":     func(_ *Kit, u *Unit) { u.LongestS = new(85) },
		"generator 0.5 kVA short":    func(k *Kit, _ *Unit) { k.Generator = new(3.0) },
		"generator 85 V short":       func(k *Kit, _ *Unit) { k.GeneratorVolts = new(110.0) },
		"generator 0.04 kVA short":   func(k *Kit, u *Unit) { k.Generator, u.InputKVA = new(1.0), nil }, // 39.5²/1.5 = 1040 W, derived
		"output 2 V short, leads do not take its pins": func(_ *Kit, u *Unit) { u.VoltsHigh, u.LeadPinsMM = new(37.5), []float64{4} },
	} {
		k, u := Kit{Generator: new(6.0), GeneratorVolts: new(230.0)}, unit()
		change(&k, &u)
		if m := k.Match(u, fitting, 90); m.Why() != why || m.Can() != (why == "") {
			t.Errorf("got %q, can %t, want %q", m.Why(), m.Can(), why)
		}
	}
}

// An adapter does; nothing that is not declared speaks against a unit, and all of
// it is named.
func TestMatchByAdapterAndUnknown(t *testing.T) {
	k := Kit{Adapters: []Adapter{{4, 4.7}}}
	fitting := fusion.Fitting{Name: "coupler 63", Volts: 39.5, PinMM: new(4.7)}
	if m := k.Match(Unit{LeadPinsMM: []float64{4}}, fitting, 90); !m.Can() || m.Adapter == nil || *m.Adapter != (Adapter{4, 4.7}) {
		t.Errorf("got %+v", m)
	}
	m := Kit{}.Match(Unit{Serial: "CU-1"}, fusion.Fitting{Name: "cap 40", Volts: 39.5}, 90)
	want := []string{"the output volts of CU-1", "the lead pins of CU-1", "the pins of cap 40", "the longest time of CU-1", "the plate input of CU-1", "what the generator gives"}
	if !m.Can() || m.Why() != "" || !reflect.DeepEqual(m.NotKnown, want) {
		t.Errorf("got %+v", m)
	}
}

func TestClampSets(t *testing.T) {
	for _, tt := range []struct {
		clamps []Clamp
		n      int
		ok     bool
	}{
		{nil, 0, false}, {[]Clamp{{[]int{32}, nil}}, 0, false}, {[]Clamp{{[]int{32}, new(2)}, {[]int{63}, nil}}, 0, false},
		{[]Clamp{{[]int{32}, new(0)}}, 0, false}, {[]Clamp{{[]int{32}, new(2)}, {[]int{63}, new(1)}}, 3, true},
	} {
		if n, ok := (Kit{Clamps: tt.clamps}).ClampSets(); n != tt.n || ok != tt.ok {
			t.Errorf("%+v: got %d, %t", tt.clamps, n, ok)
		}
	}
}
