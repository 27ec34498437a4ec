package store

import (
	"bytes"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"reflect"
	"regexp"
	"slices"
	"testing"

	bolt "go.etcd.io/bbolt"

	"coolhold/fusion"
	"coolhold/logbook"
)

// A row is what the bucket site has of one site, in the words of the format.
type row struct {
	UID     string        `json:"uid"`
	Site    string        `json:"site"`
	No      int           `json:"no"`
	Entries uint64        `json:"entries"`
	Newest  fusion.Stamp  `json:"newest"`
	Run     []string      `json:"run,omitempty"`
	Opened  logbook.Entry `json:"opened"`
}

// An oracle makes the index from the entries a second time, by the words of the
// package comment.
type oracle struct {
	rows   []*row
	within map[string]uint64
	sealed uint64
}

func newOracle() *oracle { return &oracle{within: map[string]uint64{}} }

func (o *oracle) at(site string) *row {
	for _, r := range o.rows {
		if r.Site == site {
			return r
		}
	}
	return nil
}

// take counts an entry in and gives the number it should have within its site.
func (o *oracle) take(e logbook.Entry) uint64 {
	if e.Kind == "sealed" {
		o.sealed = e.Seq
	}
	r := o.at(e.Site)
	if r == nil {
		if e.Site == "" || e.Kind != "site opened" {
			return 0
		}
		r = &row{UID: o.uid(e), Site: e.Site, No: len(o.rows) + 1, Opened: e}
		o.rows = append(o.rows, r)
	}
	r.Newest, r.Entries = e.At, r.Entries+1
	o.within[fmt.Sprintf("%s%016x", r.UID, r.Entries)] = e.Seq
	r.run(e)
	return r.Entries
}

var uidForm = regexp.MustCompile(`^[0-9a-f]{16}$`)

func (o *oracle) uid(e logbook.Entry) string {
	var said struct{ UID string }
	_ = json.Unmarshal(e.Body, &said)
	free := func(id string) bool {
		return !slices.ContainsFunc(o.rows, func(r *row) bool { return r.UID == id })
	}
	if uidForm.MatchString(said.UID) && free(said.UID) {
		return said.UID
	}
	n := len(o.rows) + 1
	for !free(fmt.Sprintf("%016d", n)) {
		n++
	}
	return fmt.Sprintf("%016d", n)
}

func (r *row) run(e logbook.Entry) {
	at := slices.Index(r.Run, e.Weld)
	switch e.Kind {
	case "released", "disturbed", "cut out", "walk abandoned":
		if at >= 0 && e.V == 1 {
			r.Run = slices.Delete(r.Run, at, at+1)
		}
		if e.V == 1 {
			return
		}
	case "weld begun", "fusion started", "fusion ended", "attempt refused":
	case "correction":
		var said struct{ Field string }
		if _ = json.Unmarshal(e.Body, &said); said.Field != logbook.FieldDisturbed && e.V == 1 {
			return
		}
	default:
		if _, unknown := e.Open().(logbook.Unknown); !unknown {
			return
		}
	}
	if at < 0 && e.Weld != "" {
		r.Run = append(r.Run, e.Weld)
	}
}

// values are the buckets site and within, as key and payload.
func (o *oracle) values(t testing.TB) map[string]string {
	t.Helper()
	all := map[string]string{"meta sealed": fmt.Sprint(o.sealed)}
	for _, r := range o.rows {
		text, err := json.Marshal(r)
		if err != nil {
			t.Fatal(err)
		}
		all["site "+r.UID] = string(text)
	}
	for key, seq := range o.within {
		all["within "+key] = fmt.Sprintf("%016x", seq)
	}
	return all
}

// indexed holds the index in the file against what the entries make.
func indexed(t testing.TB, path string, entries []logbook.Entry) {
	t.Helper()
	o := newOracle()
	for _, e := range entries {
		if n := o.take(e); e.N != n {
			t.Errorf("entry %d says that it is entry %d of its site, it is %d", e.Seq, e.N, n)
		}
	}
	got := storedIndex(t, path)
	delete(got, "meta next")
	if want := o.values(t); !reflect.DeepEqual(got, want) {
		t.Errorf("the index is\n%q\nthe entries make it\n%q", got, want)
	}
}

// storedIndex is the index in the file: keys and payloads of site and within,
// and the numbers of meta.
func storedIndex(t testing.TB, path string) map[string]string {
	t.Helper()
	got := map[string]string{}
	raw(t, path, func(b *bolt.Tx) error {
		for _, name := range []string{"meta", "site", "within"} {
			err := b.Bucket([]byte(name)).ForEach(func(k, v []byte) error {
				payload, ok := unsum(k, v)
				if !ok {
					t.Errorf("%s %q has a wrong checksum", name, k)
				}
				switch {
				case name == "within":
					got["within "+hex.EncodeToString(k)] = hex.EncodeToString(payload)
				case name == "site" || bytes.Equal(k, []byte("next")) || bytes.Equal(k, []byte("sealed")):
					got[name+" "+string(k)] = string(payload)
				}
				return nil
			})
			if err != nil {
				return err
			}
		}
		return nil
	})
	return got
}

// The index of a day, as it stands in the file.
func TestIndex(t *testing.T) {
	l := aDay(t)
	sealNow(t, l, "seal")
	got := storedIndex(t, l.path)
	const at = `{"wall":"2026-03-09T12:00:00.000Z","offset_s":3600,"boot_ms":3600000,"boot_id":"0f8c3b52-1e0d-4a7b-9a57-2d1f0b6c1e11","machine":"laptop"}`
	for key, want := range map[string]string{
		"meta next":                               "6",
		"meta sealed":                             "25",
		"site 00000000000000a1":                   `{"uid":"00000000000000a1","site":"meadow","no":1,"entries":24,"newest":` + at + `,"run":["KM-0001","KM-0002","KM-0003"],"opened":{"seq":1,"n":1,"id":"open meadow.0","at":` + at + `,"site":"meadow","kind":"site opened","v":1,"body":{"uid":"00000000000000a1","name":"Invented meadow","client":"","firm":"","address":""}}}`,
		"site 0000000000000002":                   `{"uid":"0000000000000002","site":"hill","no":2,"entries":1,"newest":` + at + `,"opened":{"seq":2,"n":1,"id":"open hill.0","at":` + at + `,"site":"hill","kind":"site opened","v":1,"body":{"name":"Invented hill","client":"","firm":"","address":""}}}`,
		"within 00000000000000a10000000000000001": "0000000000000001",
		"within 00000000000000a10000000000000002": "0000000000000003",
		"within 00000000000000a10000000000000018": "0000000000000019",
		"within 00000000000000020000000000000001": "0000000000000002",
	} {
		if got[key] != want {
			t.Errorf("%s is %s, want %s", key, got[key], want)
		}
	}
	if len(got) != 2+2+25 {
		t.Errorf("%d values", len(got))
	}
	indexed(t, l.path, readAll(t, l.path).Entries)
}

// Every entry that could set a weld going lists it, one of an unknown kind or
// of a newer version too; only what surely ends it strikes it off.
func TestRunList(t *testing.T) {
	begun, fused, ended := logbook.WeldBegun{}, logbook.FusionStarted{}, logbook.FusionEnded{}
	for name, c := range map[string]struct {
		bodies []logbook.Body
		newer  string // a kind of a newer coolhold, or a newer version of a known one
		runs   bool
	}{
		"begun":                        {[]logbook.Body{begun}, "", true},
		"given up":                     {[]logbook.Body{begun, logbook.WalkAbandoned{Why: "rain"}}, "", false},
		"fused":                        {[]logbook.Body{begun, fused}, "", true},
		"held":                         {[]logbook.Body{begun, fused, ended}, "", true},
		"released":                     {[]logbook.Body{begun, fused, ended, logbook.Released{}}, "", false},
		"disturbed":                    {[]logbook.Body{begun, fused, ended, logbook.Disturbed{}}, "", false},
		"cut out":                      {[]logbook.Body{begun, fused, logbook.CutOut{Why: "x"}}, "", false},
		"refused":                      {[]logbook.Body{begun, fused, logbook.AttemptRefused{}}, "", true},
		"not disturbed after all":      {[]logbook.Body{begun, fused, ended, logbook.Disturbed{}, logbook.Correction{Field: logbook.FieldDisturbed}}, "", true},
		"corrected otherwise":          {[]logbook.Body{begun, fused, ended, logbook.Released{}, logbook.Correction{Field: "unit"}}, "", false},
		"a note":                       {[]logbook.Body{logbook.Note{Text: "of a weld that nobody began"}}, "", false},
		"released, then a newer kind":  {[]logbook.Body{begun, fused, ended, logbook.Released{}}, `"kind":"from later","v":1`, true},
		"released by a newer version":  {[]logbook.Body{begun, fused, ended}, `"kind":"released","v":2`, true},
		"a newer version of something": {nil, `"kind":"note","v":2`, true},
	} {
		l := fresh(t)
		add(t, l, draft("site", logbook.SiteOpened{Name: "Meadow"}))
		for i, b := range c.bodies {
			d := draft(fmt.Sprint(i), b)
			d.Weld = "KM-0001"
			add(t, l, d)
		}
		if c.newer != "" {
			foreign(t, l, fmt.Sprintf(`"site":"meadow","weld":"KM-0001",%s,"body":{}`, c.newer))
		}
		entries := readAll(t, l.path).Entries
		indexed(t, l.path, entries)
		again, err := Open(l.path)
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range []*Log{l, again} {
			err := l.View(bg, func(r logbook.Reader) error {
				if got := slices.Contains(r.MayRun("meadow"), "KM-0001"); got != c.runs {
					t.Errorf("%s: may run: %v", name, got)
				}
				return nil
			})
			if err != nil {
				t.Error(err)
			}
		}
	}
}

// index is the index as a transaction finds it.
func index(t testing.TB, l *Log, tx *tx) *logbook.Index {
	t.Helper()
	var rows indexRows
	rows.take(tx, atOnce)
	x, err := rows.read(l)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// foreign stores a line as a newer coolhold would, with the number it has.
func foreign(t testing.TB, l *Log, fields string) {
	t.Helper()
	raw(t, l.path, func(b *bolt.Tx) error {
		tx := newTx(&session{path: l.path}, b)
		tx.bind()
		x, seq := index(t, l, tx), tx.lastSeq()+1
		tx.take(x, seq, fmt.Appendf(nil, `{"seq":%d,"n":%d,"id":"foreign.0","at":{"wall":"2026-03-09T12:00:00.000Z","offset":3600},%s}`,
			seq, x.At("meadow").Entries+1, fields))
		tx.noted(x)
		return nil
	})
	if _, err := Open(l.path); err != nil { // brings the journal up
		t.Fatal(err)
	}
}

// A site without an id of its own gets the next that is free, whatever others
// gave themselves.
func TestSitesWithoutAnIDOfTheirOwn(t *testing.T) {
	l := fresh(t)
	for i, c := range []struct{ gives, want string }{
		{"0000000000000002", "0000000000000002"},
		{"", "0000000000000003"},
		{"0000000000000002", "0000000000000004"},
		{"00000000000000A1", "0000000000000005"},
		{"a1", "0000000000000006"},
		{"00000000000000a1", "00000000000000a1"},
	} {
		site := fmt.Sprint("site ", i)
		add(t, l, logbook.Draft{ID: site, At: stamp(i), Site: site, Body: logbook.SiteOpened{Name: site, UID: c.gives}})
		got := storedIndex(t, l.path)
		var r row
		if err := json.Unmarshal([]byte(got["site "+c.want]), &r); err != nil || r.Site != site {
			t.Errorf("%s gave %q: %q", site, c.gives, got)
		}
	}
	indexed(t, l.path, readAll(t, l.path).Entries)
}

// Names that are no text are stored with another sign in place of what is none:
// they are counted, and a save is found again, by what is stored.
func TestNamesThatAreNoText(t *testing.T) {
	l := fresh(t)
	drafts := []logbook.Draft{
		{ID: "s\xff", At: stamp(0), Site: "mea\xff\xfedow", Body: logbook.SiteOpened{Name: "Meadow"}},
		{ID: "s\xff", At: stamp(0), Site: "mea\xff\xffdow", Body: logbook.Note{Text: "one"}},
		{ID: "s\xfe", At: stamp(0), Site: "mea\ufffd\ufffddow", Body: logbook.Note{Text: "two"}},
	}
	got := add(t, l, drafts...)
	for i, e := range got {
		if want := fmt.Sprintf("s\ufffd.%d", i); e.ID != want || e.Site != "mea\ufffd\ufffddow" || e.N != uint64(i+1) {
			t.Errorf("entry %d is %q of %q, %d of its site", i+1, e.ID, e.Site, e.N)
		}
	}
	if again := add(t, l, drafts...); !reflect.DeepEqual(again, got) {
		t.Errorf("repeated as %+v", again)
	}
}
