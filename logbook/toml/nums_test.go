package toml

import (
	"reflect"
	"testing"
)

// Numbers of a list may be whole or decimal; a faulty one keeps its place.
func TestOptNums(t *testing.T) {
	in := ends{2, 10, "mm"}
	for _, tc := range []struct {
		data, fault string
		want        []Num
	}{
		{"", "", nil},
		{"k = [4.0, 5]\n", "", []Num{{4, 1, true}, {5, 1, true}}},
		{"k = [4.7,\n 11, 4]\n", "2: k: 11 is outside 2…10 mm", []Num{{4.7, 1, true}, {0, 2, false}, {4, 2, true}}},
		{"k = [nan]\n", "1: k: nan is outside 2…10 mm", []Num{{0, 1, false}}},
		{"k = [\"4\"]\n", "1: k: a number is needed here, not text (\"4\")", []Num{{0, 1, false}}},
		{"k = []\n", "1: k: is empty", nil},
		{"k = 4.0\n", "1: k: a list is needed here, not 4.0", nil},
	} {
		r, err := Open([]byte(tc.data))
		if err != nil {
			t.Fatal(err)
		}
		got := r.OptNums("k", in)
		r.Done()
		fault := ""
		if err := r.Err(); err != nil {
			fault = err.Error()
		}
		if fault != tc.fault || !reflect.DeepEqual(got, tc.want) {
			t.Errorf("%q: got %+v, %q, want %+v, %q", tc.data, got, fault, tc.want, tc.fault)
		}
	}
}
