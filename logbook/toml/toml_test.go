package toml

import (
	"errors"
	"fmt"
	"reflect"
	"strings"
	"testing"

	"coolhold/logbook/fault"
)

// ends are the two ends of a range, both in it.
type ends struct {
	low, high float64
	unit      string
}

func (e ends) Holds(x float64) bool { return x >= e.low && x <= e.high }

func (e ends) String() string {
	return strings.TrimSpace(fmt.Sprintf("%g…%g %s", e.low, e.high, e.unit))
}

// open is Open for data that is TOML.
func open(t *testing.T, data string) *Reader {
	t.Helper()
	r, err := Open([]byte(data))
	if err != nil {
		t.Fatalf("not readable:\n%s\n%v", data, err)
	}
	return r
}

func faultsOf(t *testing.T, err error) fault.List {
	t.Helper()
	var fs fault.List
	if !errors.As(err, &fs) {
		t.Fatalf("error is %T (%v), want fault.List", err, err)
	}
	return fs
}

func TestOpenRefuses(t *testing.T) {
	for name, tc := range map[string]struct {
		data, part string
		line       int
	}{
		"too large":         {strings.Repeat("#", fault.MaxBytes+1), "larger than 1 MiB", 1},
		"NUL":               {"a = 1\nb = \"\x00\"\n", "NUL", 2},
		"UTF-16":            {"a\x00=\x00", "NUL", 1},
		"Latin-1 at once":   {"\xe9 = 1\n", "UTF-8", 1},
		"NUL at once":       {"\x00 = 1\n", "NUL", 1},
		"Latin-1":           {"a = 1\n\nb = \"caf\xe9\"\n", "UTF-8", 3},
		"no value":          {"a = 1\nb =\n", "not TOML", 2},
		"key twice":         {"a = 1\nb = 2\na = 3\n", "already", 3},
		"key twice inline":  {"a = 1\nb = {c = 1, c = 2}\n", "already", 2},
		"table twice":       {"[a]\nb = 1\n[a]\nb = 1\n", "already", 3},
		"list and tables":   {"a = [1]\n[[a]]\n", "", 2},
		"nested too deep":   {"a = " + strings.Repeat("[", 20000), "nested", 1},
		"number too large":  {"a = 1\nb = 99999999999999999999\n", "", 2},
		"lone CR":           {"a = 1\rb = 2\n", "", 1},
		"too many keys":     {strings.Repeat("a.b = 1\n", maxKeys/2+1), "more than 20000 keys", maxKeys/2 + 1},
		"control in string": {"a = 1\nb = \"\x1b[2J\"\n", "", 2},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := Open([]byte(tc.data))
			fs := faultsOf(t, err)
			if len(fs) != 1 || fs[0].Line != tc.line || !strings.Contains(fs[0].What, tc.part) {
				t.Errorf("got %q, want one fault in line %d with %q", fs, tc.line, tc.part)
			}
			if strings.ContainsFunc(fs.Error(), func(c rune) bool { return c < ' ' }) {
				t.Errorf("a control character of the file reached the message %q", fs.Error())
			}
		})
	}
}

func TestOpenAccepts(t *testing.T) {
	for name, data := range map[string]string{
		"plain":     "s = \"x\"\nn = 7\n",
		"BOM":       "\ufeffs = \"x\"\nn = 7\n",
		"CRLF":      "s = \"x\"\r\nn = 7\r\n",
		"BOM, CRLF": "\ufeffs = \"x\"\r\nn = 7\r\n",
		"no end":    "s = \"x\"\nn = 7",
		"just 1 MiB": "s = \"x\"\nn = 7\n#" +
			strings.Repeat("-", fault.MaxBytes-len("s = \"x\"\nn = 7\n#")),
	} {
		t.Run(name, func(t *testing.T) {
			r := open(t, data)
			n, ok := r.Int("n", ends{0, 10, ""})
			if s := r.Str("s", 5); s != "x" || n != 7 || !ok || r.Line("n") != 2 {
				t.Errorf("read %q and %d in line %d, want x and 7 in line 2", s, n, r.Line("n"))
			}
			if r.Done(); r.Err() != nil {
				t.Error(r.Err())
			}
		})
	}
}

// ask runs one question on one value and gives what was found wrong.
func ask(t *testing.T, data string, question func(*Reader)) string {
	t.Helper()
	r := open(t, data)
	question(r)
	r.Done()
	if r.Err() == nil {
		return ""
	}
	return r.Err().Error()
}

func TestStr(t *testing.T) {
	need := func(r *Reader) { r.Str("k", 5) }
	opt := func(r *Reader) { r.OptStr("k", 5) }
	word := func(r *Reader) { r.Word("k", "low", "high") }
	for _, tc := range []struct {
		data     string
		question func(*Reader)
		want     string
	}{
		{`k = "12345"`, need, ""},
		{`k = "  äöüß5  "`, need, ""}, // characters count, not bytes, and not the blanks around
		{`k = "123456"`, need, "1: k: 6 characters are too many, at most 5"},
		{`k = " "`, need, "1: k: is empty"},
		{`k = ""`, opt, ""},
		{``, opt, ""},
		{``, need, "1: k is missing"},
		{`k = 4`, need, "1: k: text is needed here, not 4"},
		{`k = ["a"]`, opt, "1: k: text is needed here, not a list"},
		{`k = "a\u0000b"`, need, "1: k: holds the character U+0000, which cannot be printed: take it out"},
		{`k = "a\nb"`, opt, "1: k: holds the character U+000A, which cannot be printed: take it out"},
		{`k = "a\u202Eb"`, opt, "1: k: holds the character U+202E, which cannot be printed: take it out"},
		{`k = "low"`, word, ""},
		{`k = "Low"`, word, `1: k: "Low" is not known; one of: low, high`},
		{`k = ""`, word, `1: k: "" is not known; one of: low, high`},
		{`k = true`, word, "1: k: text is needed here, not a date, a time, true or false"},
		{``, word, "1: k is missing"},
	} {
		if got := ask(t, tc.data, tc.question); got != tc.want {
			t.Errorf("%s: got %q, want %q", tc.data, got, tc.want)
		}
	}
}

func TestNumbers(t *testing.T) {
	in := ends{2, 50, "mm"}
	whole := func(r *Reader) { r.Int("k", in) }
	optWhole := func(r *Reader) { r.OptInt("k", in) }
	num := func(r *Reader) { r.Num("k", in) }
	optNum := func(r *Reader) { r.OptNum("k", in) }
	for _, tc := range []struct {
		data     string
		question func(*Reader)
		want     string
	}{
		{`k = 2`, whole, ""},
		{`k = 50`, optWhole, ""},
		{`k = 0x10`, whole, ""},
		{`k = +4_0`, whole, ""},
		{`k = 1`, whole, "1: k: 1 is outside 2…50 mm"},
		{`k = 51`, optWhole, "1: k: 51 is outside 2…50 mm"},
		{`k = 4.0`, whole, "1: k: a whole number is needed here, not 4.0"},
		{`k = "4"`, optWhole, `1: k: a whole number is needed here, not text ("4")`},
		{``, whole, "1: k is missing"},
		{``, optWhole, ""},
		{`k = 2.0`, num, ""},
		{`k = 4_9.5`, optNum, ""},
		{`k = 5`, num, ""},
		{`k = 1.99`, num, "1: k: 1.99 is outside 2…50 mm"},
		{`k = 1`, num, "1: k: 1 is outside 2…50 mm"},
		{`k = nan`, optNum, "1: k: nan is outside 2…50 mm"},
		{`k = -inf`, num, "1: k: -inf is outside 2…50 mm"},
		{`k = [4]`, num, "1: k: a number is needed here, not a list"},
		{``, num, "1: k is missing"},
		{``, optNum, ""},
	} {
		if got := ask(t, tc.data, tc.question); got != tc.want {
			t.Errorf("%s: got %q, want %q", tc.data, got, tc.want)
		}
	}
}

func TestNumbersRead(t *testing.T) {
	r := open(t, "a = 0x28\nb = 39.5\nc = 1_000.5\nd = 7\nlist = [4, 5]\n")
	in := ends{0, 2000, ""}
	a, _ := r.Int("a", in)
	b, _ := r.Num("b", in)
	if c, d := r.OptNum("c", in), r.OptNum("d", in); a != 40 || b != 39.5 || *c != 1000.5 || *d != 7 {
		t.Errorf("read %d, %g, %g, %g", a, b, *c, *d)
	}
	if list := Numbers(r.Ints("list", in)); !reflect.DeepEqual(list, []int{4, 5}) {
		t.Errorf("read the list %v", list)
	}
}

func TestLists(t *testing.T) {
	in := ends{0, 9, ""}
	ints := func(r *Reader) { r.Ints("k", in) }
	either := func(r *Reader) { r.IntOrInts("k", in) }
	pairs := func(r *Reader) { r.Pairs("k", in) }
	for _, tc := range []struct {
		data     string
		question func(*Reader)
		want     string
	}{
		{"k = [1, 2]", ints, ""},
		{"k = [\n1,\n10,\n\"x\",\n11]", ints, "3: k: 10 is outside 0…9\n" +
			"4: k: a whole number is needed here, not text (\"x\")\n5: k: 11 is outside 0…9"},
		{"k = []", ints, "1: k: is empty"},
		{"k = 1", ints, "1: k: a list is needed here, not 1"},
		{"", ints, "1: k is missing"},
		{"k = 1", either, ""},
		{"k = [1, 2]", either, ""},
		{"k = 10", either, "1: k: 10 is outside 0…9"},
		{"", either, "1: k is missing"},
		{"k = [[1, 2], [3, 4]]", pairs, ""},
		{"k = [\n[1, 2],\n[3],\n[4, 10],\n[],\n5,\n]", pairs, "3: k: a pair such as [5, 14] is needed here, not a list of 1\n" +
			"4: k: 10 is outside 0…9\n" +
			"4: k: a pair such as [5, 14] is needed here, not a list of 0\n" +
			"6: k: a list is needed here, not 5"},
		{"k = []", pairs, "1: k: is empty"},
		{"", pairs, "1: k is missing"},
	} {
		if got := ask(t, tc.data, tc.question); got != tc.want {
			t.Errorf("%s: got\n%s\nwant\n%s", tc.data, got, tc.want)
		}
	}
}

func TestListsKeepPlaces(t *testing.T) {
	r := open(t, "k = [1, 99, 3]\n")
	want := []Int{{1, 1, true}, {0, 1, false}, {3, 1, true}}
	if got := r.Ints("k", ends{0, 9, ""}); !reflect.DeepEqual(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	r = open(t, "k = [\n[1, 2],\n5,\n[3],\n[4, 10],\n]\n")
	pairs := []Pair{{1, 2, 2, true}, {0, 0, 3, false}, {0, 0, 4, false}, {4, 0, 5, false}}
	if got := r.Pairs("k", ends{0, 9, ""}); !reflect.DeepEqual(got, pairs) {
		t.Errorf("got %v, want %v", got, pairs)
	}
}

// Tables can be written in three ways, and each keeps its lines.
func TestTables(t *testing.T) {
	for name, data := range map[string]string{
		"headers":   "top = 1\n[[box]]\nno = 7\n[[box]]\nno = 8\nno2 = 9\n",
		"in line":   "top = 1\nbox = [{no = 7},\n\n\n{no = 8,\nno2 = 9}]\n",
		"dotted":    "top = 1\n[[box]]\nno = 7\n\n[[box]]\n\nno = 8\nno2 = 9\n",
		"CR and LF": "top = 1\r\n[[box]]\r\nno = 7\r\n[[box]]\r\nno = 8\r\nno2 = 9\r\n",
	} {
		t.Run(name, func(t *testing.T) {
			r := open(t, data)
			r.Int("top", ends{0, 9, ""})
			var seen []string
			for _, b := range r.Tables("box", "box") {
				no, _ := b.Int("no", ends{0, 9, ""})
				b.Name(no)
				b.Done()
				seen = append(seen, b.where)
			}
			if r.Done(); fmt.Sprint(seen) != "[box 7 box 8]" {
				t.Errorf("saw %v", seen)
			}
			want := 1 + strings.Count(data[:strings.Index(data, "no2")], "\n")
			fs := faultsOf(t, r.Err())
			if len(fs) != 1 || fs[0].Line != want || fs[0].Where != "box 8" {
				t.Errorf("got %v, want one fault in line %d", fs, want)
			}
		})
	}
}

func TestTablesBelowTables(t *testing.T) {
	data := `[[a]]
name = "x"
[a.b]
n = 1
[[a.c]]
n = 2
[[a.c]]
n = 3
[[a]]
name = "y"
b.n = 4
[[a.c]]
n = 50
`
	r := open(t, data)
	var got []string
	note := func(r *Reader) {
		n, ok := r.Int("n", ends{0, 9, ""})
		got = append(got, fmt.Sprintf("%s = %d %t", r.where, n, ok))
		r.Done()
	}
	for _, a := range r.Tables("a", "a") {
		a.Name(a.Str("name", 9))
		note(a.Table("b"))
		for _, c := range a.Tables("c", "c") {
			note(c)
		}
		a.Done()
	}
	r.Done()
	want := "a x b = 1 true; a x c 1 = 2 true; a x c 2 = 3 true; a y b = 4 true; a y c 1 = 0 false"
	if s := strings.Join(got, "; "); s != want {
		t.Errorf("got  %s\nwant %s", s, want)
	}
	if err := r.Err(); err == nil || err.Error() != "13: a y c 1: n: 50 is outside 0…9" {
		t.Errorf("got %v", err)
	}
}

func TestTablesRefuse(t *testing.T) {
	tables := func(r *Reader) { r.Tables("k", "k") }
	needed := func(r *Reader) { r.NeedTables("k", "k") }
	one := func(r *Reader) { r.Table("k") }
	for _, tc := range []struct {
		data     string
		question func(*Reader)
		want     string
	}{
		{"", tables, ""},
		{"k = []", tables, ""},
		{"", needed, "1: k is missing"},
		{"k = []", needed, "1: k: is empty"},
		{"a.x = 1\n[k]\nn = 1", tables, "1: unknown key \"a\": check the spelling or take it out\n" +
			"2: k: is written once with single brackets: write [[…]] with two, so that there can be more"},
		{"k = 3", tables, "1: k: a list is needed here, not 3"},
		{"k = [{a = 1},\n 3]", needed, "2: k: a table is needed here, not 3"},
		{"", one, ""},
		{"[[k]]", one, "1: k: a table is needed here, not a list"},
	} {
		if got := ask(t, tc.data, tc.question); got != tc.want {
			t.Errorf("%s: got\n%s\nwant\n%s", tc.data, got, tc.want)
		}
	}
}

func TestDone(t *testing.T) {
	r := open(t, "title = \"x\"\ntitel = \"y\"\nsecnds = 3\n\"\\u001b[2J\" = 1\n[other]\nk = 1\n")
	r.Str("title", 9)
	r.Int("seconds", ends{0, 9, ""})
	r.Int("volts", ends{0, 9, ""})
	if r.Err() != nil {
		t.Fatalf("faults before Done: %v", r.Err())
	}
	r.Done()
	want := `1: volts is missing
2: unknown key "titel": is "title" meant?
3: unknown key "secnds": is "seconds" meant?
4: unknown key "\x1b[2J": check the spelling or take it out
5: unknown key "other": check the spelling or take it out`
	if got := r.Err().Error(); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// A file that is wrong all over is answered in a bounded way and soon.
func TestBounds(t *testing.T) {
	var keys strings.Builder
	for i := range 3000 {
		fmt.Fprintf(&keys, "seconds_%x = 1\n", i)
	}
	r := open(t, keys.String())
	r.Int("seconds_0", ends{1, 1, ""})
	r.Str("missing", 9)
	r.Done()
	fs := faultsOf(t, r.Err())
	last := fs[len(fs)-1]
	if len(fs) != fault.MaxFaults+1 || last.What != "and 2000 more: is it the right file?" || last.Line != fault.MaxFaults+1 {
		t.Errorf("%d faults, the last %q", len(fs), last)
	}
	long := func(n int) string { return "k = [" + strings.Repeat("1, ", n) + "]" }
	ints := func(r *Reader) { r.Ints("k", ends{0, 9, ""}) }
	if got := ask(t, long(fault.MaxItems), ints); got != "" {
		t.Errorf("the longest list: %s", got)
	}
	if got := ask(t, long(fault.MaxItems+1), ints); got != "1: k: 1001 are too many, at most 1000" {
		t.Errorf("a list too long: %s", got)
	}
	if got := ask(t, strings.Repeat("[[k]]\n", fault.MaxItems+1), func(r *Reader) { r.Tables("k", "k") }); got != "1: k: 1001 are too many, at most 1000" {
		t.Errorf("too many tables: %s", got)
	}
}
