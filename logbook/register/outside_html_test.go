package register_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/logbook"
	"coolhold/logbook/register"
	"coolhold/logbook/register/account"
	"coolhold/logbook/register/html"
)

// A node is an element of a page, or a text (no name).
type node struct {
	name   string
	attrs  map[string]string
	within *node
	kids   []*node
	text   string
}

// readPage reads a page strictly: every element is closed, no name is made up.
func readPage(t testing.TB, page string) *node {
	t.Helper()
	dec := xml.NewDecoder(strings.NewReader(page))
	dec.Entity = map[string]string{}
	root := &node{}
	at := root
	for {
		tok, err := dec.Token()
		if errors.Is(err, io.EOF) {
			return root
		}
		if err != nil {
			t.Fatalf("it is not well formed: %v", err)
		}
		switch k := tok.(type) {
		case xml.StartElement:
			n := &node{name: k.Name.Local, attrs: map[string]string{}, within: at}
			for _, a := range k.Attr {
				n.attrs[a.Name.Local] = a.Value
			}
			at.kids, at = append(at.kids, n), n
		case xml.EndElement:
			at = at.within
		case xml.CharData:
			at.kids = append(at.kids, &node{text: string(k), within: at})
		}
	}
}

// all are the elements below, in order; of these names, or of any.
func (n *node) all(names ...string) (out []*node) {
	for _, k := range n.kids {
		if k.name == "" {
			continue
		}
		if len(names) == 0 || slices.Contains(names, k.name) {
			out = append(out, k)
		}
		out = append(out, k.all(names...)...)
	}
	return out
}

func (n *node) has(name string) *node {
	for _, k := range n.kids {
		if k.name == name {
			return k
		}
	}
	return nil
}

// says is the text below, blanks made one.
func (n *node) says() string {
	var out strings.Builder
	n.write(&out)
	return flat(out.String())
}

func (n *node) write(out *strings.Builder) {
	if n.name == "style" {
		return
	}
	out.WriteString(n.text)
	for _, k := range n.kids {
		k.write(out)
		out.WriteString(" ")
	}
}

// byID is the element of an anchor, an empty one where there is none.
func (n *node) byID(id string) *node {
	for _, k := range n.all() {
		if k.attrs["id"] == id {
			return k
		}
	}
	return &node{}
}

func pageOf(t testing.TB, rep register.Report) string {
	t.Helper()
	var out bytes.Buffer
	if err := html.Write(&out, rep, nil); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// reports are sites with all that a register shows among them.
func reports(t testing.TB) map[string]register.Report {
	part := register.Sample(t)
	part.Verdicts = []string{"fail"}
	part.Rows = part.Rows[1:2]
	return map[string]register.Report{
		"sample": register.Sample(t), "open": register.Open(t), "pressed": register.Pressed(t), "looked": register.Looked(t), "photographed": photographed(t),
		"a part": part, "one weld many times": register.Many(t, 40), "none": {Query: register.Query{AsOf: time.Date(2026, 3, 9, 8, 0, 0, 0, time.UTC)}},
	}
}

// A reader for the blind goes by landmarks, heads and names: each is there once, and leads
// where it says.
func TestThePageCanBeReadOut(t *testing.T) {
	for name, rep := range reports(t) {
		page := pageOf(t, rep)
		root := readPage(t, page)
		body := root.all("body")[0]
		if root.all("html")[0].attrs["lang"] != "en" || root.all("title")[0].says() == "" {
			t.Errorf("%s: no language or title", name)
		}
		for _, landmark := range []string{"header", "nav", "main", "footer", "h1"} {
			if n := len(root.all(landmark)); n != 1 {
				t.Errorf("%s: %s stands there %d times", name, landmark, n)
			}
		}
		for _, landmark := range []string{"header", "nav", "main", "footer"} {
			if body.has(landmark) == nil {
				t.Errorf("%s: %s is within another", name, landmark)
			}
		}
		if skip := body.all()[0]; skip.name != "a" || skip.attrs["href"] != "#main" || root.byID("main").name != "main" {
			t.Errorf("%s: the first thing is %s, not what leads to the content", name, skip.name)
		}
		headsInOrder(t, name, root)
		wellNamed(t, name, root)
	}
}

// headsInOrder wants no heading left out on the way down, and words in each.
func headsInOrder(t *testing.T, name string, root *node) {
	t.Helper()
	last := 0
	for _, h := range root.all("h1", "h2", "h3", "h4", "h5", "h6") {
		level := int(h.name[1] - '0')
		if level > last+1 || h.says() == "" {
			t.Errorf("%s: %s %q comes after a heading of level %d", name, h.name, h.says(), last)
		}
		last = level
	}
}

// wellNamed wants a name for all that needs one, one place a name, and a place for each that is
// led to.
func wellNamed(t *testing.T, name string, root *node) {
	t.Helper()
	ids, regions := map[string]bool{}, map[string]bool{}
	for _, n := range root.all() {
		if id, is := n.attrs["id"]; is {
			if ids[id] || id == "" || strings.ContainsAny(id, " \t\n\"<>#%") {
				t.Errorf("%s: id %q stands there twice, or is none", name, id)
			}
			ids[id] = true
		}
	}
	for _, n := range root.all() {
		for _, attr := range []string{"aria-labelledby", "aria-describedby"} {
			if to := n.attrs[attr]; to != "" && !ids[to] {
				t.Errorf("%s: %s of %s names %q, which is nowhere", name, attr, n.name, to)
			}
		}
		switch n.name {
		case "a":
			if to, is := strings.CutPrefix(n.attrs["href"], "#"); !is || !ids[to] || n.says() == "" {
				t.Errorf("%s: %q leads to %q, which is nowhere", name, n.says(), n.attrs["href"])
			}
		case "table":
			if n.has("caption") == nil || len(n.all("th")) == 0 {
				t.Errorf("%s: a table without caption or heads: %s", name, n.says())
			}
		case "th":
			if !slices.Contains([]string{"col", "row", "rowgroup"}, n.attrs["scope"]) {
				t.Errorf("%s: the head %q is of nothing", name, n.says())
			}
		case "svg":
			said := n.has("title") != nil && n.has("desc") != nil && n.has("title").says() != "" && n.has("desc").says() != "" && n.attrs["aria-labelledby"] != "" && n.attrs["role"] != ""
			if !said && n.attrs["aria-hidden"] != "true" {
				t.Errorf("%s: a drawing that says nothing: %v", name, n.attrs)
			}
		case "img":
			if n.attrs["alt"] == "" || n.attrs["width"] == "" {
				t.Errorf("%s: a picture that says nothing", name)
			}
		case "li":
			if n.within.name != "ul" {
				t.Errorf("%s: a line of no list, in %s", name, n.within.name)
			}
		}
		if n.attrs["role"] == "region" {
			if label := n.attrs["aria-label"]; label == "" || regions[label] || n.attrs["tabindex"] != "0" {
				t.Errorf("%s: what is moved sideways is named %q", name, label)
			}
			regions[n.attrs["aria-label"]] = true
		}
	}
}

// One file: no script, no way out, and the same bytes each time.
func TestThePageStandsAlone(t *testing.T) {
	for name, rep := range reports(t) {
		page := pageOf(t, rep)
		if page != pageOf(t, rep) {
			t.Errorf("%s: other bytes the second time", name)
		}
		for _, never := range []string{"http:", "https:", "url(", "@import", "javascript:", "//"} {
			if strings.Contains(withoutPictures(page), never) {
				t.Errorf("%s: %q stands in it", name, never)
			}
		}
		root := readPage(t, page)
		for _, n := range root.all() {
			if slices.Contains([]string{"script", "link", "iframe", "form", "object", "embed", "base", "use", "image", "video", "input", "button"}, n.name) {
				t.Errorf("%s: a %s stands in it", name, n.name)
			}
			for attr, v := range n.attrs {
				if strings.HasPrefix(attr, "on") || attr == "style" || attr == "src" && !strings.HasPrefix(v, "data:image/jpeg;base64,") {
					t.Errorf("%s: %s of %s is %.40q", name, attr, n.name, v)
				}
			}
		}
	}
}

// withoutPictures leaves the letters of pictures out.
func withoutPictures(page string) string {
	var out strings.Builder
	for i, part := range strings.Split(page, "data:image/jpeg;base64,") {
		if i > 0 {
			_, part, _ = strings.Cut(part, `"`)
		}
		out.WriteString(part)
	}
	return out.String()
}

// Every row has its section, and in it stands every value that is recorded, also what was
// there before it was corrected.
func TestEveryValueStandsInTheSectionOfItsWeld(t *testing.T) {
	for name, rep := range reports(t) {
		root := readPage(t, pageOf(t, rep))
		list, sections := root.byID("list").all("tr"), root.byID("welds").all("section")
		if len(sections) != len(rep.Rows) || len(rep.Rows) > 0 && len(list) != len(rep.Rows)+1 {
			t.Fatalf("%s: %d sections and %d lines for %d rows", name, len(sections), len(list), len(rep.Rows))
		}
		for i, row := range rep.Rows {
			says, whole := strings.ToLower(sections[i].says()), sections[i].says()
			var values []string
			for _, dd := range sections[i].all("dd") {
				values = append(values, dd.says())
			}
			if to := list[i+1].all("a")[0].attrs["href"]; to != "#"+sections[i].attrs["id"] {
				t.Errorf("%s: row %d leads to %s", name, i, to)
			}
			for _, c := range register.Columns {
				v := c.Cell(row)
				if v == nil || c.Name == "findings" || c.Name == "corrections" || c.Name == "verdict" && row.Weld.ID == "" {
					continue
				}
				for _, want := range strings.Split(written(v), " | ") {
					if !strings.Contains(says, strings.ToLower(flat(want))) {
						t.Fatalf("%s: %s %q of %s is not in\n%s", name, c.Name, want, row.Weld.ID, says)
					}
				}
				if c.Kind == register.Number && !inSentences[c.Name] && !slices.Contains(values, strings.TrimSpace(written(v)+" "+map[bool]string{true: "°C", false: c.Unit}[c.Name == "ambient_c"])) {
					t.Errorf("%s: %s %v of %s is not among %q", name, c.Name, v, row.Weld.ID, values)
				}
				for _, was := range row.CorrectedLines(c.Name) {
					if !strings.Contains(whole, flat(was)) {
						t.Errorf("%s: %s of %s does not say %s", name, c.Name, row.Weld.ID, was)
					}
				}
			}
			for _, f := range row.Findings {
				if !strings.Contains(whole, flat(account.Basis(f.Basis))) || !strings.Contains(says, strings.ReplaceAll(strings.ToLower(flat(strings.TrimPrefix(f.Says, row.Weld.ID+": "))), "walk open since", "begun, and not gone on with since")) {
					t.Errorf("%s: %q is not in\n%s", name, f.Says, says)
				}
			}
			for _, e := range row.Told {
				if !strings.Contains(whole, flat(e.Line)) {
					t.Errorf("%s: %q is not in\n%s", name, e.Line, says)
				}
			}
			if end, ended := row.Weld.EndedAt(); ended && !strings.Contains(whole, "fusion ended "+end.Format("2006-01-02 15:04:05 -07:00")) {
				t.Errorf("%s: no end of the fusion of %s", name, row.Weld.ID)
			}
		}
	}
}

// inSentences are figures that stand in a sentence alone.
var inSentences = map[string]bool{"circuit": true, "port": true}

// written is a value as the page writes it.
func written(v register.Value) string {
	if at, is := v.(time.Time); is {
		return at.Format("2006-01-02 15:04:05 -07:00")
	}
	return strings.ReplaceAll(register.Plain(v), "in the walk", "step by step while it was made")
}

// What the document says beside its welds, each where the contents lead to it.
func TestThePageSaysAll(t *testing.T) {
	rep := register.Sample(t)
	rep.Program = "coolhold v9.8.7 (invented)"
	root := readPage(t, pageOf(t, rep))
	if len(rep.Open)+len(rep.Site.Enclosed)+len(rep.Corrections())+len(rep.Tables) < 6 {
		t.Fatal("the sample shows less than it is to")
	}
	for id, wants := range map[string][]string{
		"short": {rep.JointLine(), rep.WeldLine(), "Findings still open, of which one weld may have several:", "sealed: log KM"}, "files": {"coil-0042.pdf", rep.Site.Enclosed[0].Hash, "4711 bytes"},
		"cut-outs": {"KM-0002", "moved by the digger", "replaced by KM-0003"}, "corrections": {"was 9", "now 8.5", "misread the thermometer", rep.Corrections()[0].By + " corrected 2 values within a minute, 2026-03-09 08:30 +01:00"}, "after-seal": {"Entries 33 to ", "no seal covers them", "coolhold verify --seal FILE"}, "missing": {"File 1A.jpg", "99 bytes"}, "lapsed": {"Every acceptance that was given still stands."},
		"covered": {"Chamber A", "Not settled at that moment: 1B"}, "signed": {"2026-03-09", "Open WHEN IT WAS SIGNED: 1 fail, each acknowledged"}, "events": {"a fence post beside it"},
		"people": {"Q-7", "valid until 2027-01-01", "Calibrated 2026-01-02"}, "tables": {"invented table", "39.5", "40", "Read back by"},
		"source": {rep.Program, "id log 1", "31 entries", rep.AsOf.Format("2006-01-02 15:04:05 -07:00"), "coolhold seal 1", "no. 1"}, "loop": {"None in this log."}, "pressure": {"None in this log."}, "cautions": {register.Cautions[0]},
	} {
		says := root.byID(id).says()
		for _, want := range wants {
			if !strings.Contains(says, flat(want)) {
				t.Errorf("%s: %q is not in\n%s", id, want, says)
			}
		}
	}
	for _, f := range rep.Open {
		if says := root.byID("open").says(); !strings.Contains(says, f.Do) {
			t.Errorf("%q is not among what is open", f.Do)
		}
	}
	if foot := root.all("footer")[0].says(); !strings.Contains(foot, rep.Program) || !strings.Contains(foot, flat(register.Caveat)) {
		t.Errorf("at the foot: %s", foot)
	}
	if says := root.byID("weld-KM-0003").says(); !strings.Contains(says, "Made before it in this joint: KM-0002.") {
		t.Errorf("a weld that took the place of another says: %s", says)
	}
	if says := root.byID("joint-E1").says(); !strings.Contains(says, "No weld stands in this joint. ") {
		t.Errorf("a joint without a weld says: %s", says)
	}
	hand := root.byID("handover").says()
	for _, p := range rep.Handover().Leaf().Parts {
		for _, want := range append(slices.Clone(p.Loud), p.Lines...) {
			if !strings.Contains(hand, flat(want)) {
				t.Errorf("%q is not in the hand-over", want)
			}
		}
	}
}

// A query that was accepted stands once in one list, with who, with role and firm, when and
// why; the rules' own short names stand nowhere.
func TestWhatWasAcceptedIsOneList(t *testing.T) {
	rep := register.Accepted(t)
	root := readPage(t, pageOf(t, rep))
	got := root.byID("accepted").all("li")
	if len(got) != 1 {
		t.Fatalf("%d lines: %s", len(got), root.byID("accepted").says())
	}
	for _, want := range []string{"KM-0001", "Accepted by Hedda Invented (foreman, Invented Loops) on 2026-03-09", "+01:00. Why: looked at with the crew."} {
		if !strings.Contains(got[0].says(), want) {
			t.Errorf("%q is not in %s", want, got[0].says())
		}
	}
	if to := got[0].all("a"); len(to) != 1 || to[0].attrs["href"] != "#weld-KM-0001" {
		t.Errorf("it leads to %v", to)
	}
	for _, f := range rep.Findings {
		if strings.Contains(f.Rule, "-") && strings.Contains(root.all("main")[0].says(), f.Rule) {
			t.Errorf("the short name %q stands in the page", f.Rule)
		}
	}
}

// A pressure test has its readings as a drawing, in words, and what it comes to.
func TestPressureTestsOnThePage(t *testing.T) {
	rep := register.Pressed(t)
	root := readPage(t, pageOf(t, rep))
	tests := root.byID("pressure").all("section")
	if len(tests) != len(rep.Tests) || len(tests) != 3 {
		t.Fatalf("%d tests, %d sections", len(rep.Tests), len(tests))
	}
	fell := 0
	for i, g := range slices.Concat(rep.TestsBySection()...) {
		says := tests[i].says()
		wants := append(register.Given(g)[1:], g.ID, register.TestLine(g)[1:])
		for _, line := range slices.Concat(wants, g.Course()) {
			if !strings.Contains(says, flat(line)) {
				t.Errorf("%q is not in\n%s", line, says)
			}
		}
		if points := g.Plot(); len(tests[i].all("circle")) != len(points) || len(points) == 0 {
			t.Errorf("%d points drawn of %d", len(tests[i].all("circle")), len(points))
		}
		if strings.Contains(says, "NOT WITHIN AND NOT REPEATED") {
			fell++
		}
	}
	if fell != 1 {
		t.Errorf("%d tests fell, want 1", fell)
	}
}

// Each joint of a chamber is in the drawing and leads to what stands in it.
func TestTheDrawingLeadsToTheJoints(t *testing.T) {
	rep := register.Sample(t)
	drawn := map[string]string{}
	for _, a := range readPage(t, pageOf(t, rep)).byID("drawing").all("a") {
		if a.within.name == "svg" {
			drawn[a.all("text")[0].says()] = a.attrs["href"]
		}
	}
	want := map[string]string{"1A": "#weld-KM-0001", "1B": "#weld-KM-0003", "TG": "#weld-KM-0004"}
	if fmt.Sprint(drawn) != fmt.Sprint(want) {
		t.Errorf("got %v, want %v", drawn, want)
	}
}

// What somebody typed never acts: the page has the same elements, whatever it was.
func TestHostileTextsOnThePage(t *testing.T) {
	shape := func(batch string) (elements, attrs []string, root *node) {
		rep := register.With(t, batch)
		rep.Site.Name, rep.Site.Client, rep.Site.Address = batch, batch, batch
		rep.Site.Enclosed = []logbook.Enclosure{{Enclosed: logbook.Enclosed{File: batch, What: batch, Hash: batch}}}
		for i := range rep.Rows {
			rep.Rows[i].Joint.Label = batch
		}
		for i := range rep.Joints {
			rep.Joints[i].Where = batch
		}
		root = readPage(t, pageOf(t, rep))
		for _, n := range root.all() {
			elements = append(elements, n.name)
			for name := range n.attrs {
				attrs = append(attrs, name)
			}
		}
		slices.Sort(attrs)
		return elements, attrs, root
	}
	want, wantAttrs, _ := shape("W-1")
	for _, bad := range []string{
		`"><script>alert(1)</script><img src=x onerror=x>`, `</style><style>*{display:none}`, `</title></svg></table><base href=x>`, "' onload='x", `{{.Site}}`, "&lt;b&gt;&amp;", "javascript:alert(1)", "]]><!--", "\x1b[2J\u202e\u0000\nx",
	} {
		got, gotAttrs, root := shape(bad)
		if !slices.Equal(got, want) || !slices.Equal(gotAttrs, wantAttrs) {
			t.Errorf("%q makes another page", bad)
		}
		wellNamed(t, bad, root)
		if n := strings.Count(root.says(), flat(logbook.Clean(bad))); n < 8 {
			t.Errorf("%q stands there %d times", bad, n)
		}
		if strings.ContainsAny(root.says(), "\x1b\u202e\x00") {
			t.Errorf("%q acts", bad)
		}
	}
}

// A part of a register says so before all else, and leads to nothing that is left out.
func TestAPartOfTheRegisterOnThePage(t *testing.T) {
	rep := reports(t)["a part"]
	root := readPage(t, pageOf(t, rep))
	if head := root.all("header")[0].says(); !strings.Contains(head, "Only a part is listed: verdict fail (1 of 5 rows).") {
		t.Errorf("it begins: %s", head)
	}
	if all := readPage(t, pageOf(t, register.Sample(t))).all("header")[0].says(); strings.Contains(all, "Only a part") {
		t.Errorf("a whole one begins: %s", all)
	}
	if says := root.byID("open").says(); !strings.Contains(says, "also of welds that this document leaves out") {
		t.Errorf("open: %s", says)
	}
}

// Photos that were found stand in the page, what was not found says why; a log holds none,
// so that without a folder they are named alone.
func TestPhotosOnThePage(t *testing.T) {
	rep := photographed(t)
	files := readPage(t, pageOf(t, rep)).byID("files")
	if n := len(files.all("img")); n != 15 {
		t.Errorf("%d pictures, want 15", n)
	}
	if got := files.all("img")[0].attrs["alt"]; got != "Photo: photo number 0, of chamber A" {
		t.Errorf("the first says %q", got)
	}
	if !strings.Contains(files.says(), "Not shown: nothing in the folder has its content. the gone one, of the site") {
		t.Error("the one that is gone is not named")
	}
	rep.Pictures = nil
	if files := readPage(t, pageOf(t, rep)).byID("files"); len(files.all("img")) > 0 || !strings.Contains(files.says(), strings.Repeat("ee", 32)) {
		t.Error("without a folder photos are named by their hash")
	}
}

// Twice the welds are twice the page and twice the work, no more.
func TestThePageGrowsAsTheWelds(t *testing.T) {
	size := func(rows int) (bytes int, allocs float64) {
		rep := register.Many(t, rows)
		return len(pageOf(t, rep)), testing.AllocsPerRun(1, func() { pageOf(t, rep) })
	}
	b1, a1 := size(100)
	b2, a2 := size(200)
	b4, a4 := size(400)
	if got, want := b4-b2, 2*(b2-b1); got > want*11/10 {
		t.Errorf("200 welds more are %d bytes, of 100 more %d", got, b2-b1)
	}
	if got, want := a4-a2, 2*(a2-a1); got > want*1.1 {
		t.Errorf("200 welds more are %.0f allocations, of 100 more %.0f", got, a2-a1)
	}
}

// What is done is told for each row, to the end.
func TestStepsOfThePage(t *testing.T) {
	rep, told := register.Sample(t), 0
	err := html.Write(io.Discard, rep, func(done, of int) {
		if told++; done != told || of != len(rep.Rows) {
			t.Errorf("%d of %d, as step %d", done, of, told)
		}
	})
	if err != nil || told != len(rep.Rows) {
		t.Errorf("%d steps, %v", told, err)
	}
}

type noRoom struct{}

var errNoRoom = errors.New("disk full")

func (noRoom) Write([]byte) (int, error) { return 0, errNoRoom }

func TestAFullDiskUnderThePage(t *testing.T) {
	if err := html.Write(noRoom{}, register.Sample(t), nil); !errors.Is(err, errNoRoom) {
		t.Errorf("got %v", err)
	}
}
