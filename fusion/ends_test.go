package fusion

import (
	"encoding/json"
	"fmt"
	"testing"
)

// A fitting is held against every end that is stated; the error names the end.
func TestFits(t *testing.T) {
	coupler := Fitting{Name: "coupler 32", Kind: "coupler", SizesMM: []int{32}, Ends: 2, SDR: []SDR{11, 13.6}}
	reducer := Fitting{Name: "reducer 40/32", Kind: "reducer", SizesMM: []int{40, 32}, Ends: 2, SDR: []SDR{11}}
	tee := Fitting{Name: "tee 63/40", Kind: "tee", SizesMM: []int{63, 40}, Ends: 3, SDR: []SDR{9, 11, 17}}
	faces := Fitting{Name: "tee 63/63/40", Kind: "tee", SizesMM: []int{63, 63, 40}, Ends: 3, SDR: []SDR{11}}
	saddle := Fitting{Name: "saddle 63-90", Kind: "saddle", SizesMM: []int{63, 90}, Ends: 1, SDR: []SDR{11}}
	stub := func(mm int, sdr SDR) End { return End{"stub", mm, sdr} }
	pipe := func(mm int, sdr SDR) End { return End{"pipe", mm, sdr} }
	for i, tc := range []struct {
		fitting Fitting
		ends    []End
		want    string
	}{
		{reducer, nil, ""}, // nobody stated anything
		{reducer, []End{pipe(0, 0)}, ""},
		{reducer, []End{pipe(32, 11)}, ""}, // one side is stated
		{reducer, []End{pipe(40, 0)}, ""},
		{reducer, []End{stub(40, 11), pipe(32, 11)}, ""},
		{reducer, []End{stub(32, 11), pipe(40, 11)}, ""},
		{reducer, []End{stub(0, 0), pipe(32, 11)}, ""},
		{coupler, []End{stub(40, 11), pipe(32, 11)}, "stub 40 mm SDR 11: coupler 32 takes 32 mm"},
		{coupler, []End{stub(32, 13.6), pipe(40, 11)}, "pipe 40 mm SDR 11: coupler 32 takes 32 mm"},
		{coupler, []End{stub(32, 13.6), pipe(32, 17)}, "pipe 32 mm SDR 17: coupler 32 is for SDR 11 or 13.6"},
		{coupler, []End{pipe(0, 17)}, "pipe SDR 17: coupler 32 is for SDR 11 or 13.6"},
		{coupler, []End{pipe(40, 0)}, "pipe 40 mm: coupler 32 takes 32 mm"},
		{reducer, []End{stub(40, 11), pipe(40, 11)}, "reducer 40/32 joins 40 and 32 mm, and ends of 40 and 40 mm meet here"},
		{reducer, []End{stub(25, 11), pipe(32, 11)}, "stub 25 mm SDR 11: reducer 40/32 takes 40 or 32 mm"},
		{tee, []End{pipe(63, 11), pipe(63, 11), pipe(40, 11)}, ""},
		{tee, []End{pipe(63, 11), pipe(63, 11), pipe(63, 11)}, "tee 63/40 joins 63 and 40 mm, and ends of 63, 63 and 63 mm meet here"},
		{tee, []End{pipe(63, 11), pipe(63, 11), pipe(0, 0)}, ""}, // the branch is not stated
		{faces, []End{pipe(63, 11), pipe(40, 11), pipe(63, 11)}, ""},
		{faces, []End{pipe(63, 11), pipe(40, 11), pipe(40, 11)}, "tee 63/63/40 joins 63, 63 and 40 mm, and ends of 63, 40 and 40 mm meet here"},
		{faces, []End{pipe(40, 11), pipe(40, 11)}, "tee 63/63/40 joins 63, 63 and 40 mm, and ends of 40 and 40 mm meet here"},
		{faces, []End{pipe(63, 11), pipe(63, 11)}, ""},
		{tee, []End{pipe(40, 11), pipe(40, 11)}, ""}, // its third face may be of 63 mm
		{coupler, []End{pipe(32, 11), pipe(32, 11), {"pipe C", 32, 11}}, "pipe C 32 mm SDR 11: coupler 32 takes 2 of the 3 ends that meet here"},
		{saddle, []End{pipe(90, 11)}, ""}, // it takes the one or the other
	} {
		got := ""
		if err := tc.fitting.Fits(tc.ends...); err != nil {
			got = err.Error()
		}
		if got != tc.want {
			t.Errorf("%d, %s: got %q, want %q", i, tc.fitting.Name, got, tc.want)
		}
	}
}

// A class is written as it is printed on a pipe, and one that was stored as a
// whole number is read.
func TestSDR(t *testing.T) {
	for sdr, want := range map[SDR]string{11: "11", 13.6: "13.6", 17: "17", 0: "0"} {
		data, err := json.Marshal(sdr)
		if err != nil || string(data) != want || sdr.String() != want {
			t.Errorf("%g is written %s and stored as %s, %v", float64(sdr), sdr, data, err)
		}
		var back SDR
		if err := json.Unmarshal([]byte(want), &back); err != nil || back != sdr {
			t.Errorf("%s is read as %g, %v", want, float64(back), err)
		}
	}
}

func ExampleFitting_Takes() {
	fmt.Println(Fitting{SizesMM: []int{40, 32}, SDR: []SDR{11, 17}}.Takes())
	fmt.Println(Fitting{SizesMM: []int{63}, SDR: []SDR{9, 11, 13.6}}.Takes())
	// Output:
	// 40 and 32 mm, SDR 11 or 17
	// 63 mm, SDR 9, 11 or 13.6
}
