package audit

import (
	"encoding/json"
	"fmt"
	"math"
	"reflect"
	"slices"
	"testing"
	"time"

	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"

	"coolhold/logbook"
)

// What the tests outside need of the inside.
var (
	Digest    = digest
	FindingOf = finding
)

// Reword makes a rule tell its findings otherwise.
func Reword(r *Rule, other func(told string) string) {
	tell := r.Check.tell
	r.Check.tell = func(about string, facts any) string { return other(tell(about, facts)) }
}

// Each field of the facts counts: none is left out when they are stored.
func TestEveryFieldOfFactsBinds(t *testing.T) {
	for _, r := range Rules {
		raw, err := r.Check.read(written(nil))
		if err != nil {
			t.Fatalf("%s: %v", r.Slug, err)
		}
		v := reflect.New(reflect.TypeOf(raw)).Elem()
		before := digest(r.Slug+":about", written(v.Interface()))
		for _, set := range fields(v) {
			set()
			after := digest(r.Slug+":about", written(v.Interface()))
			if after == before {
				t.Errorf("%s: a field of %T does not count", r.Slug, raw)
			}
			before = after
		}
	}
}

// fields are what changes each value in v, one after the other.
func fields(v reflect.Value) (out []func()) {
	switch v.Kind() {
	case reflect.Struct:
		if v.Type() == reflect.TypeFor[time.Time]() {
			return []func(){func() { v.Set(reflect.ValueOf(time.Unix(1, 0).UTC())) }}
		}
		for i := range v.NumField() {
			out = append(out, fields(v.Field(i))...)
		}
	case reflect.Pointer:
		out = append(out, func() { v.Set(reflect.New(v.Type().Elem())) })
	case reflect.Slice:
		if v.Type() == reflect.TypeFor[json.RawMessage]() {
			return []func(){func() { v.SetBytes([]byte("1")) }}
		}
		e := reflect.New(v.Type().Elem()).Elem()
		out = append(out, func() { v.Set(reflect.Append(v, e)) })
		for i := range fields(e) {
			out = append(out, func() { fields(v.Index(0))[i]() })
		}
	case reflect.String:
		out = append(out, func() { v.SetString(v.String() + "x") })
	case reflect.Int, reflect.Int64:
		out = append(out, func() { v.SetInt(v.Int() + 1) })
	case reflect.Float64:
		out = append(out, func() { v.SetFloat(v.Float() + 1) })
	case reflect.Bool:
		out = append(out, func() { v.SetBool(!v.Bool()) })
	default:
		panic(fmt.Sprint("facts of kind ", v.Kind()))
	}
	return out
}

// statMedian is the median by a general statistics library: the middle of its
// lower and its upper empirical quantile.
func statMedian(list []float64) float64 {
	up := slices.Sorted(slices.Values(list))
	down := make([]float64, len(list))
	for i, x := range list {
		down[i] = -x
	}
	slices.Sort(down)
	return (stat.Quantile(0.5, stat.Empirical, up, nil) - stat.Quantile(0.5, stat.Empirical, down, nil)) / 2
}

func TestMedianAndMADAgreeWithALibrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		list := rapid.SliceOfN(rapid.Float64Range(0.1, 20), 1, 40).Draw(t, "ohms")
		median, mad := medianAndMAD(list)
		want := statMedian(list)
		away := make([]float64, len(list))
		for i, x := range list {
			away[i] = math.Abs(x - want)
		}
		if math.Abs(median-want) > 1e-12 || math.Abs(mad-statMedian(away)) > 1e-12 {
			t.Fatalf("median %v, MAD %v; the library says %v, %v", median, mad, want, statMedian(away))
		}
	})
}

// Of normal readings the scaled MAD is the standard deviation; the library
// gives both of a symmetric list whose quantiles are those of the normal.
func TestTheScaleOfTheMAD(t *testing.T) {
	var list []float64
	const n = 20001
	for i := range n {
		list = append(list, math.Sqrt2*math.Erfinv(2*(float64(i)+0.5)/n-1))
	}
	_, mad := medianAndMAD(list)
	if sd := stat.StdDev(list, nil); math.Abs(madScale*mad-sd) > 1e-3 {
		t.Errorf("scaled MAD %v, standard deviation %v", madScale*mad, sd)
	}
}

// Each state of a weld goes through the rules once, however many corrections it has:
// that looks at all welds beside it.
func TestEachStateIsJudgedOnce(t *testing.T) {
	k := logbook.Corrected{Correction: logbook.Correction{Field: logbook.ItemBatch, Old: "W-1", New: "W-2"}, Signature: logbook.Signature{By: "Ada Invented"}}
	w := logbook.Weld{ID: "KM-0001", Operator: "Ada Invented", Corrections: []logbook.Corrected{k, k, k}}
	judged := 0
	c := Case{Matter: &Matter{Weld: w}, scene: &scene{people: peopleOf(logbook.NewBook("KM", 1), "")}, queries: func(Case, logbook.Weld) []ruled {
		judged++
		return nil
	}}
	if correctedOwn(c); judged != len(w.AsRecorded()) || judged != 4 {
		t.Errorf("%d times, of %d states", judged, len(w.AsRecorded()))
	}
}
