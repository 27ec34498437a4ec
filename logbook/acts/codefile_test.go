package acts_test

import (
	"bytes"
	"errors"
	"fmt"
	"runtime"
	"slices"
	"strings"
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
	"coolhold/logbook/fault"
)

// What one more code costs must not grow with the codes that are there: 20,000 fit
// into a file.
func TestManyCodes(t *testing.T) {
	c := crew.OnSite(t)
	const many = 3000
	lines := make([]acts.CodeLine, many)
	for i := range lines {
		lines[i] = acts.CodeLine{Line: i + 2, Code: fmt.Sprintf("%024d", i), Fitting: "coupler 40", Table: logbook.Hash(crew.TableText), TaughtBy: "Bo"}
	}
	before := c.Site()
	var start, end runtime.MemStats
	runtime.ReadMemStats(&start)
	c.Do(acts.TakeCodes(c.H, lines))
	runtime.ReadMemStats(&end)
	if got := (end.TotalAlloc - start.TotalAlloc) / many; got > 100<<10 {
		t.Errorf("%d bytes for each code", got)
	}
	codes := slices.Collect(c.Site().Codes.All())
	for i, code := range codes {
		if code.Code != lines[i].Code {
			t.Fatalf("place %d has code %s", i, code.Code)
		}
	}
	if n := len(slices.Collect(before.Codes.All())); len(codes) != many || n != 0 {
		t.Errorf("%d codes, %d in the site as it was", len(codes), n)
	}
	c.Do(acts.TeachCode(c.H, lines[0].Code, "elbow 40", "the bag"))
	all := c.Site().TaughtCodes()
	if len(all) != many || all[0].Code != lines[1].Code || all[many-1].Fitting != "elbow 40" {
		t.Errorf("%d codes from %s to %+v", len(all), all[0].Code, all[many-1])
	}
}

// A book that stands keeps its codes when two others go on from it.
func TestCodesOfTwoBooks(t *testing.T) {
	c := crew.OnSite(t)
	c.Do(acts.TeachCode(c.H, code24, "coupler 40", ""))
	base := c.Site()
	c.Do(acts.TeachCode(c.H, "222222222222222222222222", "elbow 40", ""))
	other := base.After(&logbook.Entry{Kind: (logbook.CodeTaught{}).Kind(), V: 1, Body: []byte(`{"code":"333"}`)})
	last := slices.Collect(c.Site().Codes.All())[1]
	if third := slices.Collect(other.Codes.All())[1]; last.Fitting != "elbow 40" || third.Code != "333" {
		t.Errorf("%+v, %+v", last, third)
	}
}

// Whatever stands in the file, it is read or refused with lines; what was read can be
// written and read again.
func FuzzReadCodes(f *testing.F) {
	f.Add([]byte("code,fitting,table\n123456789012345678901234,coupler 40,abc\n"))
	f.Add([]byte("\xef\xbb\xbfcode,fitting,table,taught_by\r\n\" 123456789012345678901234\",\"a\nb\",abc,\"Bo, welder\"\r\n"))
	f.Add([]byte("code,fitting,table\n\"123"))
	f.Fuzz(func(t *testing.T, data []byte) {
		lines, err := acts.ReadCodes(data)
		var faults fault.List
		if err != nil && (!errors.As(err, &faults) || len(faults) == 0 || lines != nil) {
			t.Fatalf("%v, %v", lines, err)
		}
		for _, f := range faults {
			if said := strings.ReplaceAll(f.String(), "\ufffd", ""); f.Line < 1 || logbook.Clean(said) != said {
				t.Errorf("%q", f)
			}
		}
		if err != nil {
			return
		}
		var taught []logbook.Taught
		for _, l := range lines {
			b := logbook.CodeTaught{Code: l.Code, Fitting: l.Fitting, Table: l.Table, Imported: true, TaughtBy: l.TaughtBy}
			taught = append(taught, logbook.Taught{CodeTaught: b})
		}
		var out bytes.Buffer
		again, err := lines, acts.WriteCodes(&out, taught)
		if err == nil {
			again, err = acts.ReadCodes(out.Bytes())
		}
		if err != nil && out.Len() < fault.MaxBytes || len(again) != len(lines) {
			t.Fatalf("%q: %v", out.String(), err)
		}
		for i, l := range again {
			if was := lines[i]; l.Code != was.Code || strings.ReplaceAll(was.Fitting, "\r\n", "\n") != strings.ReplaceAll(l.Fitting, "\r\n", "\n") {
				t.Errorf("%+v became %+v", was, l)
			}
		}
	})
}
