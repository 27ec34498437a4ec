package logbook_test

import (
	"encoding/json"
	"reflect"
	"strings"
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/crew"
)

// slowly is a line as encoding/json reads it.
func slowly(line []byte) (e logbook.Entry, err error) {
	if err = json.Unmarshal(line, &e); err != nil {
		return logbook.Entry{}, err
	}
	return e.Opened(), nil
}

// lines are an entry of every kind, and what readers of other programs or a
// damaged disk may put before us.
func lines(t testing.TB) (out []string) {
	for i, b := range filled() {
		draft := logbook.Draft{ID: "x", At: crew.Morning, By: "Zoë Invented", Site: "s", Shift: "h", Weld: "w", Joint: "j", Body: b}
		if i%2 == 0 {
			draft.By, draft.Shift, draft.Weld, draft.Joint = "", "", "", ""
		}
		e, err := draft.Entry(uint64(7+i), i)
		if err != nil {
			t.Fatal(err)
		}
		e.N = uint64(i)
		line, err := json.Marshal(e)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, string(line))
	}
	const plain = `{"seq":12,"n":3,"id":"a.0","at":{"wall":"2026-03-09T08:00:00.000Z","offset_s":-3600,"boot_ms":5,"boot_id":"b","machine":"m"},"by":"Ada","site":"s","kind":"note","v":1,"body":{"text":"x"}}`
	out = append(out, plain)
	for _, change := range [][2]string{
		{`"seq":12`, `"seq":-12`}, {`"seq":12`, `"seq":012`}, {`"seq":12`, `"seq":1.0`}, {`"seq":12`, `"seq":18446744073709551615`},
		{`"seq":12`, `"seq": 12`}, {`"seq":12`, `"seq":`}, {`"seq":12`, `"Seq":12`}, {`"n":3`, `"n":0`}, {`"n":3`, `"n":null`}, {`"n":3`, `"n":3,"more":[1]`},
		{`"a.0"`, `"a\u0022.0"`}, {`"a.0"`, "\"a\x01.0\""}, {`"a.0"`, "\"a\xff.0\""}, {`"a.0"`, `"a.0\"`}, {`"a.0"`, `"a,\"body\":{}.0"`}, {`"a.0"`, `7`},
		{`-3600`, `-0`}, {`-3600`, `--1`}, {`-3600`, `1e3`}, {`08:00`, `28:00`}, {`.000Z`, `Z`}, {`,"machine":"m"`, ``}, {`"Ada"`, `"A<d>a&"`},
		{`"by":"Ada","site":"s"`, `"site":"s","by":"Ada"`}, {`"note"`, `"unheard of"`}, {`"v":1`, `"v":2`}, {`"v":1`, `"v":9223372036854775808`},
		{`{"text":"x"}`, `{"text":7}`}, {`{"text":"x"}`, `{"text":"x"},"text":"y"`}, {`{"text":"x"}`, `{"text":"x"} `}, {`{"text":"x"}`, `"x"`},
		{`{"text":"x"}`, `{"text":"x"`}, {`{"text":"x"}`, `{"text":"x"}}`}, {`{"text":"x"}`, ` {"text":"x"}`}, {`{"text":"x"}`, `null`},
		{`"note","v":1,"body":{"text":"x"}`, `"unheard of","v":1,"body":{"text":}`},
		{`"s"`, `"s","site":"t"`}, {`"kind":"note",`, ``}, {`}}`, `}}x`}, {`}}`, `}} `}, {`{"seq"`, ` {"seq"`},
	} {
		changed := strings.Replace(plain, change[0], change[1], 1)
		if changed == plain {
			t.Fatalf("%s does not stand in the line", change[0])
		}
		out = append(out, changed)
	}
	return out
}

// A line is read the same in either way, whatever stands in it.
func wantReadAlike(t *testing.T, line string) (plain bool) {
	t.Helper()
	want, wantErr := slowly([]byte(line))
	got, plain := logbook.ReadPlain([]byte(line))
	if plain && (wantErr != nil || !reflect.DeepEqual(got, want)) {
		t.Errorf("%s\nis read as\n%+v\nwant\n%+v, %v", line, got, want, wantErr)
	}
	if e, err := logbook.ReadEntry([]byte(line)); (err == nil) != (wantErr == nil) || !reflect.DeepEqual(e, want) {
		t.Errorf("%s\nis read as\n%+v, %v\nwant\n%+v, %v", line, e, err, want, wantErr)
	}
	return plain
}

func TestALineIsReadAlikeInBothWays(t *testing.T) {
	all := lines(t)
	for i, line := range all {
		if plain := wantReadAlike(t, line); !plain && i <= len(filled()) && !strings.Contains(line, `\`) {
			t.Errorf("%s\nis not read the short way", line)
		}
	}
}

// What was read does not change when the memory that the line stood in does.
func TestAnEntryIsItsOwn(t *testing.T) {
	line := []byte(lines(t)[0])
	e, err := logbook.ReadEntry(line)
	if err != nil {
		t.Fatal(err)
	}
	want := crew.Reread(t, e)
	for i := range line {
		line[i] = '#'
	}
	if e.ID != want.ID || string(e.Body) != string(want.Body) {
		t.Errorf("%+v, want %+v", e, want)
	}
}

func FuzzReadEntry(f *testing.F) {
	for _, line := range lines(f) {
		f.Add(line)
	}
	f.Fuzz(func(t *testing.T, line string) { wantReadAlike(t, line) })
}
