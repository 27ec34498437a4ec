package seal

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
)

// All people and logs in these tests are invented.

func key(t testing.TB, seed byte, name string) Key {
	t.Helper()
	k, err := NewKey(rand.NewChaCha8([32]byte{seed}), name)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func verifier(t testing.TB, k Key) note.Verifier {
	t.Helper()
	v, err := ReadPublic(k.Public())
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func statement() Statement {
	return Statement{
		Log: "0123456789abcdef0123456789abcdef", Tag: "KM", Entries: 412, Root: tlog.RecordHash([]byte("invented")),
		At:  time.Date(2026, 3, 9, 18, 4, 5, 0, time.FixedZone("", 3600)),
		Day: "2026-03-09", By: "Ada Invented",
	}
}

func sealed(t testing.TB, s Statement, k Key) []byte {
	t.Helper()
	data, err := Sign(s, k)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// The format is pinned to the byte: seals on paper stay readable.
func TestTheFormat(t *testing.T) {
	const (
		public = "laptop+f0c5f7cf+AS2t66Y8jqA6iglM+/cf9SK9to/kWF5ZOKQuzBizIkt0"
		want   = `coolhold seal 1
log 0123456789abcdef0123456789abcdef KM
entries 412
root 4kjN5GOyEJ0Ukxu+s4ycuhCVJH+OWmknHh/9DqNgKjQ=
claimed 2026-03-09T18:04:05+01:00
day 2026-03-09
by Ada Invented

— laptop 8MX3zxxTBHsMt200349DWrRJgXwKLQ8xKMDoYL/A4NI0svD509AVzjgzCVXxGywsD8VAXqvvIhX3aTVIqDCHoyrnKQE=
`
	)
	k := key(t, 1, "laptop")
	if got := string(sealed(t, statement(), k)); got != want {
		t.Errorf("the seal is\n%s", got)
	}
	v, err := ReadPublic(public)
	if err != nil {
		t.Fatal(err)
	}
	if s, err := Verify([]byte(want), v); err != nil || s.Entries != 412 {
		t.Errorf("read as %+v, %v", s, err)
	}
}

func TestReadBack(t *testing.T) {
	k := key(t, 1, "laptop")
	plain := statement()
	plain.Day, plain.By = "", ""
	utc := statement()
	utc.At = utc.At.UTC()
	for _, s := range []Statement{statement(), plain, utc} {
		got, err := Verify(sealed(t, s, k), verifier(t, key(t, 2, "other")), verifier(t, k), verifier(t, k))
		if err != nil {
			t.Fatal(err)
		}
		if !got.At.Equal(s.At) || got.At.Format(time.RFC3339) != s.At.Format(time.RFC3339) {
			t.Errorf("claimed %v, was %v", got.At, s.At)
		}
		got.At, s.At = time.Time{}, time.Time{}
		if got.Statement != s || len(got.Signed) != 1 || got.Signed[0] != KeyID(verifier(t, k)) || len(got.Unknown) != 0 {
			t.Errorf("read back as %+v, was %+v", got, s)
		}
	}
}

func TestTheLongestFitsACode(t *testing.T) {
	s := statement()
	s.Entries, s.By = 1<<63-1, strings.Repeat("ä", maxName/2)
	s.Site, s.OfSite = "0123456789abcdef", 1<<63-1
	if n := len(sealed(t, s, key(t, 1, strings.Repeat("k", maxKeyName)))); n > 400 {
		t.Errorf("%d bytes, more than 400", n)
	}
}

func TestWhatCannotBeStated(t *testing.T) {
	for name, spoil := range map[string]func(*Statement){
		"no log":         func(s *Statement) { s.Log = "" },
		"capitals in id": func(s *Statement) { s.Log = strings.ToUpper(s.Log) },
		"long id":        func(s *Statement) { s.Log += "0" },
		"tag":            func(s *Statement) { s.Tag = "K" },
		"tag with break": func(s *Statement) { s.Tag = "KM\n" },
		"no entry":       func(s *Statement) { s.Entries = 0 },
		"negative":       func(s *Statement) { s.Entries = -1 },
		"no such site":   func(s *Statement) { s.Site, s.OfSite = "meadow", 1 },
		"none of a site": func(s *Statement) { s.Site, s.OfSite = "0123456789abcdef", 0 },
		"more than all":  func(s *Statement) { s.Site, s.OfSite = "0123456789abcdef", s.Entries+1 },
		"far year":       func(s *Statement) { s.At = time.Date(10000, 1, 1, 0, 0, 0, 0, time.UTC) },
		"no such day":    func(s *Statement) { s.Day = "2026-02-30" },
		"day and time":   func(s *Statement) { s.Day = "2026-03-09T00" },
		"long name":      func(s *Statement) { s.By = strings.Repeat("x", maxName+1) },
		"two lines":      func(s *Statement) { s.By = "Ada\nentries 500" },
		"no text":        func(s *Statement) { s.By = "Ada\xff" },
		"turned":         func(s *Statement) { s.By = "Ada\u202e" },
		"spaces":         func(s *Statement) { s.By = " Ada" },
	} {
		s := statement()
		spoil(&s)
		if data, err := Sign(s, key(t, 1, "laptop")); !errors.Is(err, ErrStatement) || data != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A name that was given long before is made to fit, and seen to be.
func TestFitting(t *testing.T) {
	for name, want := range map[string]string{
		"Ada Invented": "Ada Invented", " Ada\u202eInvented\n": "Ada·Invented", "Ada\xff\ufffd": "Ada··", "": "",
		strings.Repeat("a", 48): strings.Repeat("a", 48), strings.Repeat("a", 49): strings.Repeat("a", 45) + "…",
		strings.Repeat("ä", 25): strings.Repeat("ä", 22) + "…",
	} {
		got := Fitting(name)
		s := statement()
		if s.By = got; got != want {
			t.Errorf("%q is %q, want %q", name, got, want)
		}
		if _, err := s.Text(); err != nil {
			t.Errorf("%q as %q: %v", name, got, err)
		}
	}
}

// Whatever single bit of a seal is turned, and whatever byte is taken out or
// doubled: it is not a seal of the key any more.
func TestEveryBitCounts(t *testing.T) {
	k := key(t, 1, "laptop")
	v := verifier(t, k)
	data := sealed(t, statement(), k)
	try := func(what string, at int, bad []byte) {
		if _, err := Verify(bad, v); !errors.Is(err, ErrForged) && !errors.Is(err, ErrNoSeal) && !errors.Is(err, ErrUnsigned) {
			t.Errorf("%s at byte %d: %v", what, at, err)
		}
	}
	for at := range data {
		for bit := range 8 {
			bad := bytes.Clone(data)
			bad[at] ^= 1 << bit
			try(fmt.Sprint("bit ", bit, " turned"), at, bad)
		}
		try("cut", at, data[:at])
		try("taken out", at, append(bytes.Clone(data[:at]), data[at+1:]...))
		try("doubled", at, append(bytes.Clone(data[:at+1]), data[at:]...))
	}
	if _, err := Verify(data, v); err != nil {
		t.Error(err)
	}
}

// Texts that a key did sign and that still are no seals.
func TestSignedButNoSeal(t *testing.T) {
	k := key(t, 1, "laptop")
	good, err := statement().Text()
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.SplitAfter(good, "\n")
	swapped := strings.Join([]string{lines[0], lines[2], lines[1]}, "") + strings.Join(lines[3:], "")
	for name, text := range map[string]string{
		"another format":  strings.Replace(good, "seal 1", "seal 2", 1),
		"swapped":         swapped,
		"twice":           good + lines[6],
		"a line more":     good + "good weld\n",
		"an empty line":   good + "\n",
		"no root":         strings.Replace(good, lines[3], "", 1),
		"a plus":          strings.Replace(good, "entries 4", "entries +4", 1),
		"a zero":          strings.Replace(good, "entries 4", "entries 04", 1),
		"no number":       strings.Replace(good, "entries 4", "entries x4", 1),
		"zone Z":          strings.Replace(good, "+01:00", "Z", 1),
		"two spaces":      strings.Replace(good, "by ", "by  ", 1),
		"by nobody":       strings.Replace(good, "by Ada Invented", "by ", 1),
		"only a heading":  lines[0],
		"nothing":         "\n",
		"root not in b64": strings.Replace(good, "root ", "root !", 1),
	} {
		data, err := note.Sign(&note.Note{Text: text}, k.signer)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := Verify(data, verifier(t, k)); !errors.Is(err, ErrNoSeal) {
			t.Errorf("%s: %v", name, err)
		}
		if _, err := Countersign(data, k); !errors.Is(err, ErrNoSeal) {
			t.Errorf("%s, countersigned: %v", name, err)
		}
	}
}

func TestKeysThatAreNotKnown(t *testing.T) {
	k := key(t, 1, "laptop")
	data := sealed(t, statement(), k)
	for name, known := range map[string][]note.Verifier{
		"none": nil, "another": {verifier(t, key(t, 2, "laptop"))}, "another name": {verifier(t, key(t, 1, "desk"))},
	} {
		s, err := Verify(data, known...)
		if !errors.Is(err, ErrUnsigned) || len(s.Signed) != 0 || len(s.Unknown) != 1 || s.Entries != 412 {
			t.Errorf("%s: %+v, %v", name, s, err)
		}
	}
	text, _, _ := strings.Cut(string(data), "— ")
	if _, err := Parse([]byte(text + "— laptop AAAAAAAA\n")); !errors.Is(err, ErrNoSeal) {
		t.Errorf("a signature of two bytes: %v", err)
	}
	if s, err := Parse(data); err != nil || len(s.Signed) != 0 || s.By != "Ada Invented" {
		t.Errorf("parsed as %+v, %v", s, err)
	}
}

func TestCountersign(t *testing.T) {
	laptop, foreman := key(t, 1, "laptop"), key(t, 2, "foreman")
	data := sealed(t, statement(), laptop)
	both, err := Countersign(data, foreman)
	if err != nil {
		t.Fatal(err)
	}
	s, err := Verify(both, verifier(t, laptop), verifier(t, foreman))
	if err != nil || len(s.Signed) != 2 || len(s.Unknown) != 0 {
		t.Errorf("%+v, %v", s, err)
	}
	s, err = Verify(both, verifier(t, foreman))
	if err != nil || s.Signed[0] != KeyID(verifier(t, foreman)) || s.Unknown[0] != KeyID(verifier(t, laptop)) {
		t.Errorf("%+v, %v", s, err)
	}
	again, err := Countersign(both, foreman)
	if err != nil || !bytes.Equal(again, both) {
		t.Errorf("signed once more it is %q, %v", again, err)
	}
	forged := bytes.Replace(both, []byte("entries 412"), []byte("entries 413"), 1)
	if _, err := Countersign(forged, foreman); !errors.Is(err, ErrForged) {
		t.Errorf("its own signature does not hold: %v", err)
	}
	twice := append(bytes.Clone(both), both[bytes.LastIndex(both, []byte("— ")):]...)
	other := statement()
	other.Entries++
	also := sealed(t, other, laptop) // a signature of the same key, of another text
	also = append(bytes.Clone(both), also[bytes.LastIndex(also, []byte("— ")):]...)
	for name, bad := range map[string][]byte{"a signature": twice, "a key": also} {
		if _, err := Verify(bad, verifier(t, foreman)); !errors.Is(err, ErrNoSeal) {
			t.Errorf("%s that stands twice: %v", name, err)
		}
	}
}

func TestKeys(t *testing.T) {
	k := key(t, 1, "laptop")
	again, err := ReadKey("  " + k.Secret() + "\n")
	if err != nil || again.Public() != k.Public() || again.Secret() != k.Secret() || again.Signer().Name() != "laptop" {
		t.Errorf("read back as %+v, %v", again, err)
	}
	if other := key(t, 2, "laptop"); other.Secret() == k.Secret() {
		t.Error("two keys are the same")
	}
	// What is signed with the key is what note itself would sign with it.
	signer, err := note.NewSigner(k.Secret())
	if err != nil {
		t.Fatal(err)
	}
	text, _ := statement().Text()
	if want, err := note.Sign(&note.Note{Text: text}, signer); err != nil || !bytes.Equal(want, sealed(t, statement(), k)) {
		t.Errorf("note signs %q, %v", want, err)
	}
	for _, name := range []string{"", "two words", "a+b", "line\nbreak", strings.Repeat("k", maxKeyName+1), "\xff"} {
		if _, err := NewKey(rand.NewChaCha8([32]byte{1}), name); !errors.Is(err, ErrKey) {
			t.Errorf("name %q: %v", name, err)
		}
	}
	if _, err := NewKey(strings.NewReader("short"), "laptop"); err == nil {
		t.Error("a key was made of five bytes")
	}
	for at := range k.Secret() {
		bad := []byte(k.Secret())
		bad[at] ^= 1
		if other, err := ReadKey(string(bad)); err == nil && other.Public() != k.Public() {
			t.Errorf("byte %d turned makes another key", at)
		} else if err != nil && strings.Contains(err.Error(), k.Secret()[30:]) {
			t.Errorf("the error tells the secret: %v", err)
		}
	}
	if _, err := ReadPublic(k.Secret()); !errors.Is(err, ErrKey) {
		t.Errorf("a secret key as a public one: %v", err)
	}
}

func FuzzParse(f *testing.F) {
	k := key(f, 1, "laptop")
	f.Add(sealed(f, statement(), k))
	f.Add([]byte("coolhold seal 1\n\n— x AAAA\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := Parse(data)
		if err != nil {
			return
		}
		text, err := s.Text()
		if err != nil || !bytes.HasPrefix(data, []byte(text+"\n— ")) {
			t.Errorf("%q was read as %q (%v)", data, text, err)
		}
	})
}
