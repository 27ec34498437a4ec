package paper

import (
	"encoding/binary"
	"fmt"
	"reflect"
	"strings"
	"testing"
	"time"
	"unicode"
	"unicode/utf16"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/fault"
	"coolhold/logbook/fault/faulttest"
)

// plain is a sheet of two invented welds, written as the template asks.
const plain = `joint,operator,date,start,end,outcome,ambient_c,seconds_set,volts_set,scraped,clamped,indicators,remarks
1A,Ada Ünvented,2026-03-09,14:05,14:06,completed,8.5,40,39.5,done,could not: no access,up / up,"rain, then sun"
2A,Ada Ünvented,2026-03-09,15:00,,nobody saw,-1,,,done,,,
`

func parsed(t testing.TB, data []byte) []Row {
	t.Helper()
	lines, faults := Parse(data, time.UTC)
	if len(faults) > 0 {
		t.Fatalf("refused:\n%v", faults)
	}
	return lines
}

func TestWeldOfARow(t *testing.T) {
	lines := parsed(t, []byte(plain))
	if len(lines) != 2 || lines[0].No != 2 || lines[1].No != 3 {
		t.Fatalf("%+v", lines)
	}
	w := lines[0].Weld("van.csv")
	started := time.Date(2026, 3, 9, 14, 5, 0, 0, time.UTC)
	seconds, volts := 40, 39.5
	want := acts.LateWeld{
		Joint: "1A", Operator: "Ada Ünvented", Ambient: 8_50, SecondsShown: seconds, VoltsShown: &volts, Started: started, Ended: started.Add(time.Minute),
		Outcome: logbook.Completed, HoldStated: true, Remarks: "rain, then sun", Why: "left blank: unit, unit_corrects, fitting, fitting_batch, coil_batch, stub_batch, print, method, ends, bore, other_end_scraped, wiped, pushed_home, no_water, same_temperature, time_from, ohms, seconds_run, melt, wire, marks, straight, cooling_min, released_at",
		Answers: []logbook.Answer{{Item: "scraped", V: logbook.Done, How: logbook.Later}, {Item: "clamped", V: logbook.CouldNot, How: logbook.Later, Reason: "noaccess"}},
		Look:    logbook.Look{When: logbook.LookHot, Indicators: []string{"up", "up"}},
		Paper:   &logbook.PaperRow{File: "van.csv", Line: 2, Key: lines[0].Key},
	}
	if !reflect.DeepEqual(w, want) {
		t.Errorf("got  %+v\nwant %+v", w, want)
	}
	blank := lines[1].Weld("van.csv")
	if blank.Look.Any() || blank.HoldStated || blank.SecondsShown != 0 || blank.VoltsShown != nil || blank.Run != nil || blank.NoAmbient || blank.Corrects != "" || blank.Mode != "" {
		t.Errorf("a blank was filled in: %+v", blank)
	}
	if _, faults := Parse([]byte(strings.Replace(plain, ",-1,", ",,", 1)), time.UTC); faults != nil {
		t.Error(faults)
	}
}

// utf16Of is the text as some spreadsheets save it.
func utf16Of(s string, order binary.AppendByteOrder) []byte {
	out := order.AppendUint16(nil, 0xfeff)
	for _, u := range utf16.Encode([]rune(s)) {
		out = order.AppendUint16(out, u)
	}
	return out
}

// Sheets that look odd and say the same: each gives the same rows with the
// same keys.
func TestOddSheetsThatSayTheSame(t *testing.T) {
	sub := func(pairs ...string) []byte { return []byte(strings.NewReplacer(pairs...).Replace(plain)) }
	quoted := `"rain, then sun"`
	semicolons := strings.ReplaceAll(strings.ReplaceAll(strings.ReplaceAll(plain, quoted, "@"), ",", ";"), "@", "rain, then sun")
	tabs := strings.ReplaceAll(semicolons, ";", "\t")
	commas := strings.NewReplacer("8.5", "8,5", "39.5", "39,5").Replace(semicolons)
	for _, c := range []struct {
		name string
		data []byte
	}{
		{"byte order mark", []byte("\ufeff" + plain)},
		{"CRLF", []byte(strings.ReplaceAll(plain, "\n", "\r\n"))},
		{"lone CR", []byte(strings.ReplaceAll(plain, "\n", "\r"))},
		{"no line end at the end", []byte(strings.TrimSuffix(plain, "\n"))},
		{"semicolons", []byte(semicolons)},
		{"tabs", []byte(tabs)},
		{"the line that names the separator", []byte("sep=;\n" + semicolons)},
		{"decimal commas", []byte(commas)},
		{"UTF-16 little end first", utf16Of(tabs, binary.LittleEndian)},
		{"UTF-16 big end first", utf16Of(plain, binary.BigEndian)},
		{"blank lines", sub("\n", "\n\n  \n,,,,\n")},
		{"more cells that are blank", sub("\n", ",,\n")},
		{"all cells in quotation marks", sub("1A,Ada Ünvented,2026-03-09", `"1A","Ada Ünvented","2026-03-09"`)},
		{"names written otherwise", sub("seconds_set", "Seconds set", "joint,", " JOINT ,", "ambient_c", "Ambient-C")},
		{"blanks around and within", sub("1A,Ada Ünvented", " 1A\t, Ada   Ünvented ", quoted, `"rain,  then`+"\n"+`sun "`)},
		{"a hard blank", sub("Ada Ünvented", "Ada\u00a0Ünvented")},
		{"dotted days", sub("2026-03-09", "9.3.2026")},
		{"dotted days with noughts", sub("2026-03-09", "09.03.2026")},
		{"dotted days with blanks", sub("2026-03-09", "9. 3. 2026")},
		{"a day as a spreadsheet writes it", sub("2026-03-09", "2026-03-09 00:00:00")},
		{"no noughts", sub("2026-03-09", "2026-3-9")},
		{"dotted times", sub("14:05", "14.05", "15:00", "15.00.00")},
		{"times with their day", sub("14:06", "2026-03-09 14:06", "15:00", "9.3.2026 15:00")},
		{"capitals", sub("completed", "COMPLETED", "nobody saw", "Nobody  saw", "done", "Done", "up / up", "Up/UP")},
		{"a label in small letters", sub("1A", "1a")},
		{"units behind the numbers", sub(",40,", ",40 s,", "39.5", "39.5 V", "8.5", "8.5 °C")},
		{"the long minus", sub("-1,", "−1,")},
		{"noughts behind", sub("39.5", "39.50", "8.5", "8.50", ",40,", ",040,")},
		{"a column nobody filled in", []byte(withColumn(plain, "ohms"))},
	} {
		t.Run(c.name, func(t *testing.T) {
			want := parsed(t, []byte(plain))
			got := parsed(t, c.data)
			for i := range want {
				if len(got) != len(want) || got[i].Key != want[i].Key {
					t.Fatalf("got %+v\nwant %+v", got, want)
				}
				want[i].No = got[i].No
			}
			if strings.EqualFold(c.name, "a label in small letters") {
				got[0].weld.Joint = "1A" // the log gives it the label of its joint
			}
			if !reflect.DeepEqual(got, want) {
				t.Errorf("got  %+v\nwant %+v", got, want)
			}
		})
	}
}

// withColumn puts a blank column behind the others.
func withColumn(s, name string) string {
	lines := strings.Split(strings.TrimSpace(s), "\n")
	for i := range lines {
		lines[i] += map[bool]string{true: "," + name, false: ","}[i == 0]
	}
	return strings.Join(lines, "\n")
}

// Another content is another key.
func TestKeys(t *testing.T) {
	seen := map[string]string{}
	for _, change := range []string{"", "1A→1B", "Ada→Bo", "2026-03-09→2026-03-08", "14:05→14:04", "8.5→8.6", ",40,→,41,", "no access→no tool", "up / up→up / part", "rain→hail"} {
		old, repl, _ := strings.Cut(change, "→")
		data := plain
		if change != "" {
			data = strings.Replace(plain, old, repl, 1)
		}
		key := parsed(t, []byte(data))[0].Key
		if was, twice := seen[key]; twice {
			t.Errorf("%q and %q have one key", was, change)
		}
		seen[key] = change
	}
}

// Faults that lie in single bytes, or take more than a small file.
func TestHostileBytes(t *testing.T) {
	head := "joint,operator,date,start,outcome\n"
	row := "1A,Ada,2026-03-09,14:05,completed\n"
	many := head
	for i := range 1001 {
		many += fmt.Sprintf("J%d,Ada,2026-03-09,14:05,completed\n", i)
	}
	bad := head + strings.Repeat("1A,Ada,x,y,z\n", 400)
	for _, c := range []struct{ name, data, want string }{
		{"Latin-1", head + "1A,J\xfcrg,2026-03-09,14:05,completed\n2A,Ada,2026-03-09,14:05,completed\n3A,Ren\xe9,2026-03-09,14:05,completed\n",
			"2: the byte FC is no UTF-8 (saved as Latin-1?): save the sheet as CSV in UTF-8\n4: the byte E9 is no UTF-8 (saved as Latin-1?): save the sheet as CSV in UTF-8"},
		{"UTF-16 without its mark", string(utf16Of(head+row, binary.LittleEndian)[2:]), "1: a NUL byte: save the sheet as CSV in UTF-8"},
		{"UTF-16 cut in a character", string(utf16Of(head+row, binary.LittleEndian)[:len(head+row)*2-1]), "2: outcome: \"complete\ufffd\" holds the character U+FFFD, which cannot be read: take it out"},
		{"half a pair", string(utf16Of(head, binary.LittleEndian)) + "1\x00A\x00\x00\xd8,\x00", "2: 2 cells, and the head names 5 columns: cells are missing, or another separator stands between them"},
		{"NUL", head + "1A\x00,Ada,2026-03-09,14:05,completed\n", "2: a NUL byte: save the sheet as CSV in UTF-8"},
		{"a zip file", "PK\x03\x04\x14\x00\x06", "1: the workbook is damaged (zip: not a valid zip file): save it again"},
		{"too many rows", many, "1: 1001 rows are too many, at most 1000: split the file"},
		{"far too large", head + strings.Repeat(row, 40000), "1: the file is larger than 1 MiB: is it the right file?"},
		{"two byte order marks", "\ufeff\ufeff" + head + row, "1: \"\\ufeffjoint\" is no column of the sheet; is joint meant?\n1: joint: the column is missing: name one so in this line"},
		{"a mark within", strings.Replace(head+row, "Ada", "A\ufeffda", 1), "2: operator: \"A\\ufeffda\" holds the character U+FEFF, which cannot be read: take it out"},
		{"an open quotation mark to the end", head + row + "\"2A,Ada", "3: a cell in quotation marks is not closed, or goes on behind them; the rest was not read"},
		{"lines counted through a cell of two", head + "1A,\"Ada\nInvented\",2026-03-09,14:05,completed\n2A,Ada,9.3.26,14:05,completed\n", `4: date: "9.3.26" has no whole year: write 2026-03-09`},
	} {
		t.Run(c.name, func(t *testing.T) {
			if _, faults := Parse([]byte(c.data), time.UTC); faults.Error() != c.want {
				t.Errorf("got\n%v\nwant\n%s", faults, c.want)
			}
		})
	}
	if _, faults := Parse([]byte(bad), time.UTC); len(faults) != fault.MaxFaults+1 || !strings.HasSuffix(faults.Error(), "and 200 more: is it the right file?") {
		t.Errorf("%d faults, the last %v", len(faults), faults[len(faults)-1])
	}
}

// A time that the clock jumped over has no place in the day.
func TestClockPutForward(t *testing.T) {
	zone, err := time.LoadLocation("Europe/London")
	if err != nil {
		t.Skip("no zones on this machine")
	}
	sheet := "joint,operator,date,start,outcome\n1A,Ada,2026-03-29,%s,completed\n"
	_, faults := Parse(fmt.Appendf(nil, sheet, "01:30"), zone)
	if faults.Error() != `2: start: "01:30": the clock was put forward over that time: write what it showed then, an hour more` {
		t.Errorf("got %v", faults)
	}
	lines, faults := Parse(fmt.Appendf(nil, sheet, "02:30"), zone)
	if faults != nil || lines[0].weld.Started.UTC().Hour() != 1 {
		t.Errorf("%v, %v", lines, faults)
	}
}

// The template names every column once, each example can be read, and the
// whole of them is one weld.
func TestTemplate(t *testing.T) {
	var cells []string
	for _, c := range Printed() {
		v := c.Example
		if c.Name == colStopped || c.Name == colFelt || c.Name == colAgain {
			v = "" // it contradicts a fusion that was completed, or is of another row
		}
		cells = append(cells, v)
	}
	lines := parsed(t, []byte(Template()+strings.Join(cells, ",")+"\n"))
	if len(lines) != 1 || len(lines[0].Blank) != 0 || lines[0].Weld("f").Why != "nothing left blank" {
		t.Errorf("%+v", lines)
	}
	w := lines[0].weld
	if len(w.Answers) != 13+len(logbook.PrepItems) || *w.Disturbed != 4 || w.CutOut == "" || w.CoolingMin != 6 || *w.Ohms != 2.43 {
		t.Errorf("%+v", w)
	}
	stopped := strings.NewReplacer("completed", "stopped").Replace(Template() + strings.Join(cells, ",") + "\n")
	if got := parsed(t, []byte(stopped))[0].weld; got.Outcome != logbook.Stopped {
		t.Errorf("%+v", got)
	}
}

// A sheet that is accepted gives rows that are whole; one that is refused says
// why, in printable lines in the order of the file.
func FuzzParse(f *testing.F) {
	for _, c := range faulttest.Cases(f, "../../testdata/bad/paper.txtar", 56) {
		f.Add(c.Data)
	}
	f.Add([]byte(plain))
	f.Add(utf16Of(plain, binary.BigEndian))
	f.Fuzz(func(t *testing.T, data []byte) {
		lines, faults := Parse(data, time.UTC)
		last := 0
		for _, fault := range faults {
			if fault.Line < last || fault.What == "" || strings.ContainsFunc(fault.String(), unicode.IsControl) {
				t.Fatalf("the fault %q after line %d", fault, last)
			}
			last = fault.Line
		}
		keys := map[string]bool{}
		for _, l := range lines {
			if l.Empty {
				continue
			}
			w := l.Weld("f.csv")
			whole := w.Joint != "" && w.Operator != "" && !w.Started.IsZero() && (w.Outcome != "" || w.Again && w.Look.Saw())
			if !l.Faulty && (!whole || keys[l.Key]) || l.Faulty && len(faults) == 0 {
				t.Fatalf("%+v, faults %v", l, faults)
			}
			keys[l.Key] = true
		}
	})
}
