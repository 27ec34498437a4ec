package proof

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"

	"coolhold/cmd/coolhold/example"
	"coolhold/fusion"
	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
	"coolhold/logbook/seal"
	"coolhold/logbook/store/soaktest"
)

var monday = fusion.Stamp{Wall: time.Date(2026, 3, 9, 8, 0, 0, 0, time.UTC), Offset: 3600, Boot: 5 * time.Hour, BootID: "boot-1", Machine: "laptop"}

type fixed byte

func (f fixed) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = byte(f)
	}
	return len(p), nil
}

func keyOf(t testing.TB, name string, b byte) (seal.Key, note.Verifier) {
	t.Helper()
	k, err := seal.NewKey(fixed(b), name)
	if err != nil {
		t.Fatal(err)
	}
	v, err := seal.ReadPublic(k.Public())
	if err != nil {
		t.Fatal(err)
	}
	return k, v
}

func rootOf(t testing.TB, lines [][]byte) tlog.Hash {
	t.Helper()
	var tree hashes
	for n, line := range lines {
		more, err := tlog.StoredHashes(int64(n), line, tree)
		if err != nil {
			t.Fatal(err)
		}
		tree = append(tree, more...)
	}
	root, err := tlog.TreeHash(int64(len(lines)), tree)
	if err != nil {
		t.Fatal(err)
	}
	return root
}

const (
	logID       = "00112233445566778899aabbccddeeff"
	exampleSite = "larkrise-cottage-invented"
)

func sealOver(t testing.TB, lines [][]byte, k seal.Key) string {
	t.Helper()
	s := seal.Statement{Log: logID, Tag: example.Tag, Entries: int64(len(lines)), Root: rootOf(t, lines), At: monday.Local(), By: "Hedda Roan"}
	for _, line := range lines { // of the first site named
		e, err := logbook.ReadEntry(line)
		if err != nil {
			t.Fatal(err)
		}
		if opened, ok := e.Open().(logbook.SiteOpened); ok && e.Site == exampleSite {
			s.Site = opened.UID
		}
		if e.Site == exampleSite {
			s.OfSite++
		}
	}
	data, err := seal.Sign(s, k)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// worked is a register of the worked example with its proof.
func worked(t testing.TB) (data []byte, lines [][]byte, k seal.Key, v note.Verifier, q Request) {
	t.Helper()
	m := crew.NewMemory(example.Tag)
	if err := example.Write(m, monday); err != nil {
		t.Fatal(err)
	}
	lines = m.Lines(t)
	k, v = keyOf(t, "laptop-1", 1)
	q = Request{Site: exampleSite, Entries: len(lines), AsOf: monday.Add(1234567 * time.Nanosecond)}
	return made(t, q, lines, k), lines, k, v, q
}

func made(t testing.TB, q Request, lines [][]byte, k seal.Key) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Make(&b, "v1", q, lines, sealOver(t, lines, k), k); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestWhatIsMadeHolds(t *testing.T) {
	data, lines, k, v, q := worked(t)
	c, err := Check(data, "v1", v)
	if err != nil || !c.MadeNew || c.Seal.Entries != int64(len(lines)) || len(c.Signed) != 1 || c.Asked.Site != q.Site {
		t.Fatalf("%+v: %v", c, err)
	}
	again := made(t, q, lines, k)
	if !bytes.Equal(again, data) {
		t.Error("made again it differs")
	}
	for name, change := range map[string]func(*Request){
		"a day":        func(q *Request) { q.Day = "2026-03-08" },
		"since":        func(q *Request) { q.Since = monday.Local().Add(-time.Hour) },
		"verdicts":     func(q *Request) { q.Verdicts = []string{"fail", "no weld"} },
		"earlier time": func(q *Request) { q.Entries = 60; q.AsOf = monday.Add(-12 * time.Hour) },
	} {
		r := q
		change(&r)
		if c, err := Check(made(t, r, lines, k), "v1", v); err != nil || !c.MadeNew {
			t.Errorf("%s: %+v %v", name, c, err)
		}
	}
}

func TestKeys(t *testing.T) {
	data, lines, k, v, q := worked(t)
	other, ov := keyOf(t, "laptop-2", 2)
	if _, err := Check(data, "v1", ov); !errors.Is(err, seal.ErrUnsigned) {
		t.Errorf("an unknown key: %v", err)
	}
	if _, err := Check(data, "v1"); !errors.Is(err, seal.ErrUnsigned) {
		t.Errorf("no key: %v", err)
	}
	var b bytes.Buffer
	if err := Make(&b, "v1", q, lines, sealOver(t, lines, k), other); err != nil {
		t.Fatal(err)
	}
	if _, err := Check(b.Bytes(), "v1", v); !errors.Is(err, ErrAltered) {
		t.Errorf("signed by another than the seal: %v", err)
	}
	if c, err := Check(b.Bytes(), "v1", v, ov); err != nil || len(c.Signed) != 1 {
		t.Errorf("both known: %v", err)
	}
	if err := Make(&b, "v1", q, lines[1:], sealOver(t, lines, k), k); !errors.Is(err, ErrEntries) {
		t.Errorf("too few lines: %v", err)
	}
}

// Whoever has no key cannot leave an entry out, change one or list other rows;
// and not with the laptop's key against an earlier seal either.
func TestForgeries(t *testing.T) {
	_, lines, k, v, q := worked(t)
	sealed := sealOver(t, lines, k)
	s, err := seal.Parse([]byte(sealed))
	if err != nil {
		t.Fatal(err)
	}
	forge := func(change func(*Proof), rows func(string) string) []byte {
		p := Proof{Program: "v1", Asked: q}
		p.Asked.AsOf = q.AsOf.Cut()
		for _, l := range lines {
			p.Entries = append(p.Entries, string(l))
		}
		change(&p)
		text, err := p.write(s.Statement, sealed)
		if err != nil {
			t.Fatal(err)
		}
		text = []byte(rows(string(text)))
		signed, err := note.Sign(&note.Note{Text: statement(s.Statement, text)}, k.Signer())
		if err != nil {
			t.Fatal(err)
		}
		return bytes.Replace(text, []byte(`"signature": ""`), append([]byte(`"signature": `), quote(string(signed))...), 1)
	}
	same := func(s string) string { return s }
	if _, err := Check(forge(func(*Proof) {}, same), "v1", v); err != nil {
		t.Fatalf("the forger's tools do not work: %v", err)
	}
	swapped := func(p *Proof) {
		p.Entries[9], p.Entries[10] = renumber(p.Entries[10], 11, 10), renumber(p.Entries[9], 10, 11)
	}
	for name, tt := range map[string]struct {
		change func(*Proof)
		rows   func(string) string
		want   error
	}{
		"an entry changed":  {func(p *Proof) { p.Entries[40] = strings.Replace(p.Entries[40], "Ona", "Una", 1) }, same, ErrEntries},
		"the last left out": {func(p *Proof) { p.Entries = p.Entries[:len(p.Entries)-1] }, same, ErrEntries},
		"two swapped":       {swapped, same, ErrEntries},
		"a row changed":     {func(*Proof) {}, func(s string) string { return strings.Replace(s, `"verdict": "fail"`, `"verdict": "clear"`, 1) }, ErrRows},
	} {
		if _, err := Check(forge(tt.change, tt.rows), "v1", v); !errors.Is(err, tt.want) {
			t.Errorf("%s: %v, want %v", name, err, tt.want)
		}
	}
	// Another version may list otherwise: the signature stands for the rows, and
	// the check does not say that they were made anew.
	data := forge(func(*Proof) {}, func(s string) string { return strings.Replace(s, `"verdict": "fail"`, `"verdict": "failed"`, 1) })
	if c, err := Check(data, "v2", v); err != nil || c.MadeNew || c.Program != "v1" {
		t.Errorf("by another version: %+v %v", c, err)
	}
}

// threeSites is a log in which entries of the worked example stand between those
// of two other sites. All of it is invented.
func threeSites(t *testing.T) [][]byte {
	t.Helper()
	m := crew.NewMemory(example.Tag)
	say := func(act acts.Act) {
		t.Helper()
		if _, err := m.Append(context.Background(), act); err != nil {
			t.Fatal(err)
		}
	}
	other := func(name string) acts.Head {
		text := strings.ReplaceAll(otherPlan, "NAME", name)
		h := acts.Head{ID: "open " + name, At: monday, By: "Ivo Secret"}
		say(acts.OpenSite(h, acts.File{Name: name + ".toml", Text: text}, nil))
		h.Site = logbook.SiteID(name)
		return h
	}
	first := other("Secret Mews")
	if err := example.Write(m, monday); err != nil {
		t.Fatal(err)
	}
	second := other("Hidden Close")
	for i, h := range []acts.Head{first, {Site: exampleSite, By: "Ona Brill"}, second, {Site: exampleSite, By: "Ona Brill"}, first} {
		h.ID, h.At = fmt.Sprint("weather ", i), monday.Add(time.Duration(i)*time.Minute)
		say(acts.ChangeWeather(h, logbook.Weather{Sky: "dry", Shelter: "none"}))
	}
	return m.Lines(t)
}

const otherPlan = `site = "NAME"
client = "Client of NAME"
firm = "Firm of NAME"
address = "Lane of NAME"
[[joint]]
label = "E1"
fitting = "elbow 40"
where = "behind NAME"
`

// One site is shown whole and nothing of the others; whichever of its entries is
// left out, the newest too, is missed.
func TestOneSiteOfThree(t *testing.T) {
	lines := threeSites(t)
	k, v := keyOf(t, "laptop-1", 1)
	q := Request{Site: exampleSite, Entries: len(lines), AsOf: monday}
	data := made(t, q, lines, k)
	if c, err := Check(data, "v1", v); err != nil || !c.MadeNew {
		t.Fatalf("%+v: %v", c, err)
	}
	for _, word := range []string{"Secret", "secret", "Hidden", "hidden", "Ivo"} {
		if bytes.Contains(data, []byte(word)) {
			t.Errorf("the file says %q", word)
		}
	}
	sealed := sealOver(t, lines, k)
	s, err := seal.Parse([]byte(sealed))
	if err != nil {
		t.Fatal(err)
	}
	p := Proof{Program: "v1", Asked: q}
	for _, line := range lines {
		p.Entries = append(p.Entries, shown(line, exampleSite))
	}
	own := 0
	for i, line := range p.Entries {
		if !isLine(line) {
			continue
		}
		own++
		p.Entries[i] = tlog.RecordHash([]byte(line)).String()
		if err := p.sealed(s.Statement); !errors.Is(err, ErrEntries) {
			t.Errorf("entry %d as if it were another site's: %v", i+1, err)
		}
		p.Entries[i] = line
	}
	if err := p.sealed(s.Statement); err != nil || own != int(s.OfSite) || own == len(lines) {
		t.Errorf("%d of %d entries shown: %v", own, len(lines), err)
	}
	if err := Make(io.Discard, "v1", Request{Site: logbook.SiteID("Secret Mews")}, lines, sealed, k); !errors.Is(err, ErrEntries) {
		t.Errorf("by a seal that names another site: %v", err)
	}
}

func renumber(line string, from, to int) string {
	return strings.Replace(line, fmt.Sprintf(`"seq":%d,`, from), fmt.Sprintf(`"seq":%d,`, to), 1)
}

// Whatever single value of the file is another: it is refused.
func TestEveryValueCounts(t *testing.T) {
	data, _, _, v, _ := worked(t)
	var doc any
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.UseNumber()
	if err := dec.Decode(&doc); err != nil {
		t.Fatal(err)
	}
	spots := values(data)
	if len(spots) < 1000 {
		t.Fatalf("only %d values found", len(spots))
	}
	each := soaktest.Rounds(t, 8, 1, 1) // in every test an eighth of them, drawn
	draw := rand.New(rand.NewPCG(2026, 3))
	for _, s := range spots {
		if draw.IntN(each) != 0 {
			continue
		}
		changed := bytes.Join([][]byte{data[:s.from], []byte(other(string(data[s.from:s.to]))), data[s.to:]}, nil)
		if !json.Valid(changed) {
			t.Fatalf("value %q was changed into no JSON", data[s.from:s.to])
		}
		if _, err := Check(changed, "v1", v); err == nil {
			t.Fatalf("value %.60q at %d, changed, is not found", data[s.from:s.to], s.from)
		}
	}
}

type spot struct{ from, to int }

// values are the places of all values that are no object and no array.
func values(data []byte) (spots []spot) {
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.UseNumber()
	var inObject, key []bool
	for {
		tok, err := dec.Token()
		if err != nil {
			return spots
		}
		n := len(inObject) - 1
		if d, ok := tok.(json.Delim); ok {
			if d == '{' || d == '[' {
				inObject, key = append(inObject, d == '{'), append(key, d == '{')
				continue
			}
			inObject, key = inObject[:n], key[:n]
			n--
		} else if n >= 0 && inObject[n] && key[n] {
			key[n] = false
			continue
		} else {
			end := int(dec.InputOffset())
			spots = append(spots, spot{start(data, end), end})
		}
		if n >= 0 && inObject[n] {
			key[n] = true
		}
	}
}

// start is where the token that ends at end begins.
func start(data []byte, end int) int {
	if data[end-1] != '"' {
		return 1 + bytes.LastIndexAny(data[:end], " [:,\n")
	}
	for i := end - 2; ; i-- {
		if data[i] == '"' && (end-2-i == 0 || json.Valid(data[i:end])) && !escaped(data, i) {
			return i
		}
	}
}

func escaped(data []byte, at int) bool {
	n := 0
	for at--; at >= 0 && data[at] == '\\'; at-- {
		n++
	}
	return n%2 == 1
}

// other is another value of the same kind.
func other(v string) string {
	switch {
	case v == "null":
		return `""`
	case v == "true":
		return "false"
	case v == "false":
		return "true"
	case v == `""`:
		return `"x"`
	case v[0] == '"':
		return v[:len(v)-1] + `x"`
	}
	return "1" + strings.TrimPrefix(v, "-")
}

// No byte of the file can be another, wherever it stands.
func TestAnyByte(t *testing.T) {
	data, _, _, v, _ := worked(t)
	r := rand.New(rand.NewPCG(1, 2))
	for range 300 {
		at := r.IntN(len(data))
		changed := bytes.Clone(data)
		changed[at] ^= 1 << r.IntN(8)
		if _, err := Check(changed, "v1", v); err == nil {
			t.Fatalf("byte %d, %q for %q, is not found", at, changed[at], data[at])
		}
	}
	for _, cut := range [][]byte{nil, data[:len(data)/2], []byte("{}"), []byte(`{"seal":"","proof":{}}`), append(bytes.Clone(data), ' ')} {
		if _, err := Check(cut, "v1", v); err == nil {
			t.Errorf("%.30q passes", cut)
		}
	}
}
