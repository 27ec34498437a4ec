package main

import (
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/ready"
	"coolhold/logbook/store"
)

var heldMorning = fusion.Stamp{Wall: time.Date(2026, 3, 9, 8, 0, 0, 0, time.UTC), Boot: time.Hour, BootID: "boot", Machine: "laptop"}

// tryReady runs ready in the morning of the test's day.
func tryReady(out io.Writer, args ...string) int {
	return run(args, edges{
		out: out, err: io.Discard, now: func() fusion.Stamp { return heldMorning },
		getenv: func(string) string { return "" }, rand: strings.NewReader(""),
	})
}

// outfitted is a log of the invented Hillfoot site with its table read back and
// a shift begun today.
func outfitted(t *testing.T) string {
	return arrived(t, "hillfoot", "hillfoot-barn-invented", "CU-208", "valley")
}

// arrived is a log of an invented site with its tables read back and a shift
// begun today.
func arrived(t *testing.T, plan, site, unit string, tables ...string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "site.coolhold")
	l, err := store.Create(path, store.NewLog{Tag: "HF"})
	if err != nil {
		t.Fatal(err)
	}
	file := func(name string) acts.File {
		data, err := os.ReadFile("../../testdata/" + name)
		if err != nil {
			t.Fatal(err)
		}
		return acts.File{Name: filepath.Base(name), Text: string(data)}
	}
	var files []acts.File
	for _, name := range tables {
		files = append(files, file("tables/"+name+".toml"))
	}
	h := acts.Head{At: heldMorning, By: "Ona Brill", Site: site}
	day := h.At.Local()
	list := []func(acts.Head) acts.Act{
		func(h acts.Head) acts.Act { return acts.OpenSite(h, file("plans/"+plan+".toml"), files) },
	}
	for _, table := range files {
		list = append(list, func(h acts.Head) acts.Act { return acts.ReadBack(h, logbook.Hash(table.Text)) })
	}
	list = append(list, func(h acts.Head) acts.Act {
		return acts.StartShift(h, logbook.ShiftStarted{
			Day:       day.Format("2006-01-02"),
			Operators: []logbook.Operator{{Name: "Ona Brill", Mark: "OB", Expiry: day.AddDate(1, 0, 0).Format("2006-01-02")}},
			Units:     []logbook.Unit{{Serial: unit, Calibrated: day.AddDate(0, -3, 0).Format("2006-01-02"), Corrects: logbook.No}},
		})
	})
	for i, act := range list {
		h.ID = string(rune('a' + i))
		if _, err := l.Append(t.Context(), act(h)); err != nil {
			t.Fatal(err)
		}
	}
	return path
}

// With everything there the exit code is 0, and the JSON is what was printed.
func TestReadyEndsWithNothingFound(t *testing.T) {
	log := outfitted(t)
	args := []string{"ready", "--log", log, "--kit", "../../testdata/kits/brookside.toml", "--expect", "5..14"}
	var text, asJSON, less strings.Builder
	if code := tryReady(&text, args...); code != exitDone || strings.Count(text.String(), "\n") != 50 {
		t.Errorf("exit code %d\n%s", code, text.String())
	}
	var lines []ready.Comparison
	code := tryReady(&asJSON, append(args, "--json")...)
	if err := json.Unmarshal([]byte(asJSON.String()), &lines); err != nil || code != exitDone {
		t.Fatalf("exit code %d, %v\n%s", code, err, asJSON.String())
	}
	same := ""
	for _, l := range lines {
		same += l.String() + "\n    " + l.Ground() + "\n"
	}
	if same != text.String() {
		t.Errorf("JSON says\n%stext says\n%s", same, text.String())
	}
	if code := tryReady(&less, args[:len(args)-2]...); code != exitFindings || !strings.HasPrefix(less.String(), "not known: today's ambient temperature") {
		t.Errorf("without a temperature: exit code %d\n%s", code, less.String())
	}
	if code := tryReady(fullDisk{}, args...); code != exitFindings {
		t.Errorf("a full disk ends with %d", code)
	}
}
