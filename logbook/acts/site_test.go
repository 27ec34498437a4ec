package acts_test

import (
	"os"
	"slices"
	"strings"
	"testing"

	"coolhold/logbook"
	"coolhold/logbook/acts"
	"coolhold/logbook/crew"
	"coolhold/logbook/plan"
)

func TestOpenSite(t *testing.T) {
	c := crew.OnSite(t)
	s := c.Site()
	if s.Name != "Invented Meadow" || s.Scraping != logbook.RotaryTool || len(s.Chambers) != 1 || s.Joints != 6 {
		t.Errorf("site %+v", s)
	}
	var labels []string
	for _, j := range c.Book.Joints(c.H.Site) {
		labels = append(labels, j.Label)
	}
	if want := []string{"1A", "1B", "2A", "2B", "FG", "E1"}; !slices.Equal(labels, want) {
		t.Errorf("joints %q, want %q", labels, want)
	}
	if e := c.Entries[1]; e.Open().(logbook.PlanTaken).Text != crew.PlanText || s.Plan == nil || s.Plan.Site != s.Name {
		t.Errorf("the plan is kept as %+v", s.Plan)
	}
	if e := c.Entries[s.Tables[0].Seq-1]; e.Open().(logbook.TableTaken).Text != crew.TableText || s.Tables[0].Table == nil {
		t.Error("the table's text is not kept")
	}
	if len(s.UID) != 16 {
		t.Errorf("its own id is %q", s.UID)
	}
	if s.Tables[0].ReadBack != crew.Ada {
		t.Errorf("read back by %q", s.Tables[0].ReadBack)
	}
}

func TestOpenSiteRefused(t *testing.T) {
	c := crew.OnSite(t)
	other := strings.Replace(crew.PlanText, "Invented Meadow", "Invented Hill", 1)
	unnamed := strings.Replace(crew.PlanText, "Invented Meadow", "---", 1)
	table := acts.File{"table.toml", crew.TableText}
	tests := []struct {
		name   string
		plan   string
		tables []acts.File
		want   error
		says   string
	}{
		{"open already", crew.PlanText, nil, logbook.ErrExists, "invented-meadow"},
		{"no letter in its name", unnamed, nil, logbook.ErrRule, "---"},
		{"the same table twice", other, []acts.File{table, table}, logbook.ErrExists, "table.toml"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c.Refused(acts.OpenSite(c.H, acts.File{"p", tt.plan}, tt.tables), tt.want, tt.says)
		})
	}
	for says, bad := range map[string]acts.Act{
		"site: text": acts.OpenSite(c.H, acts.File{"p", "site = 7"}, nil),
		"84 s":       acts.OpenSite(c.H, acts.File{"p", other}, []acts.File{{"t", strings.Replace(crew.TableText, "44, 40", "44, 84", 1)}}),
	} {
		if drafts, err := bad(c.Book); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("a faulty file: %d entries, %v; want a word on %q", len(drafts), err, says)
		}
	}
	c.Refused(acts.TakeTable(c.H, table), logbook.ErrExists, "table.toml")
	c.H.Site = "nowhere"
	c.Refused(acts.TakeTable(c.H, table), logbook.ErrUnknown, "nowhere")
}

func TestReadBack(t *testing.T) {
	c := crew.Empty(t)
	c.Opens(crew.PlanText, crew.TableText)
	c.StartShift("2026-03-09")
	id := c.Begin("1A")
	c.Refused(acts.AnswerStep(c.H, id, logbook.StepFitting, crew.Fitting("coupler 40", "W-1")), logbook.ErrRule, "not read back")
	c.Refused(acts.ReadBack(c.H, "0123"), logbook.ErrUnknown, "0123")
	c.H.By = " "
	c.Refused(acts.ReadBack(c.H, logbook.Hash(crew.TableText)), logbook.ErrRule, "name")
	c.H.By = "Bo Invented"
	c.Do(acts.ReadBack(c.H, logbook.Hash(crew.TableText)), acts.AnswerStep(c.H, id, logbook.StepFitting, crew.Fitting("coupler 40", "W-1")))
}

func TestShifts(t *testing.T) {
	c := crew.OnSite(t)
	if c.H.Shift != "2026-03-09" || c.Site().Shift != c.H.Shift {
		t.Errorf("shift %q, open %q", c.H.Shift, c.Site().Shift)
	}
	day := logbook.ShiftStarted{Day: "2026-03-09", Operators: []logbook.Operator{{Name: crew.Ada}}, Units: []logbook.Unit{{Serial: crew.Unit}}}
	c.Refused(acts.StartShift(c.H, day), logbook.ErrRule, "still open")
	c.Do(acts.CloseShift(c.H))
	c.Refused(acts.CloseShift(c.H), logbook.ErrRule, "no shift is open")
	for _, want := range []string{"2026-03-09b", "2026-03-09c"} {
		c.StartShift("2026-03-09")
		if c.H.Shift != want {
			t.Errorf("the day's next shift is %q, want %q", c.H.Shift, want)
		}
		c.Do(acts.CloseShift(c.H))
	}
	day.Units = nil
	c.Refused(acts.StartShift(c.H, day), logbook.ErrRule, "operator and a control unit")
	if sh, _ := c.Book.Shift(c.H.Site, "2026-03-09"); sh.Closed == nil || len(c.Site().Shifts) != 3 {
		t.Errorf("shifts %q, the first %+v", c.Site().Shifts, sh)
	}
	c.H.Site = "nowhere"
	c.Refused(acts.StartShift(c.H, day), logbook.ErrUnknown, "nowhere")
}

func TestAddJoint(t *testing.T) {
	c := crew.OnSite(t)
	c.Do(acts.AddJoint(c.H, plan.Joint{Label: "X1", Fitting: "cap 40", OdMM: 40, SDR: 11}, "stub left open"))
	if j := c.Joint("X1"); j.Added != "stub left open" || !j.Open() || j.Order != 6 {
		t.Errorf("added %+v", j)
	}
	tests := []struct {
		label string
		want  error
	}{
		{"1A", logbook.ErrExists}, {"1a", logbook.ErrExists}, {"", logbook.ErrRule}, {"thirteen-long", logbook.ErrRule}, {"a b", logbook.ErrRule}, {"a\x1bb", logbook.ErrRule},
	}
	for _, tt := range tests {
		c.Refused(acts.AddJoint(c.H, plan.Joint{Label: tt.label}, "why"), tt.want, tt.label[:min(1, len(tt.label))])
	}
}

func TestStrikeJoint(t *testing.T) {
	c := crew.OnSite(t)
	c.Do(acts.StrikeJoint(c.H, "E1", "pipe runs straight"))
	if j := c.Joint("E1"); j.Counts() || j.Open() || j.Struck != "pipe runs straight" {
		t.Errorf("struck %+v", j)
	}
	walk, stands := c.Begin("1A"), c.Fused("1B")
	c.Refused(acts.StrikeJoint(c.H, "1A", "why"), logbook.ErrRule, walk)
	c.Refused(acts.StrikeJoint(c.H, "1B", "why"), logbook.ErrRule, stands)
	c.Refused(acts.StrikeJoint(c.H, "E1", "why"), logbook.ErrRule, "is not being built")
	c.Refused(acts.BeginWeld(c.H, "E1", crew.Ada, crew.Unit), logbook.ErrRule, "is not being built")
	c.Refused(acts.StrikeJoint(c.H, "9Z", "why"), logbook.ErrUnknown, "9Z")
}

// A joint that was struck off by mistake is taken up again, by name and with a reason.
func TestTakeUpJoint(t *testing.T) {
	c := crew.OnSite(t)
	c.Refused(acts.TakeUpJoint(c.H, "E1", "the pipe is there"), logbook.ErrRule, "joint E1 was not taken off the list")
	c.Refused(acts.TakeUpJoint(c.H, "9Z", "the pipe is there"), logbook.ErrUnknown, "9Z")
	c.Do(acts.StrikeJoint(c.H, "E1", "pipe runs straight"))
	c.Refused(acts.TakeUpJoint(c.H, "E1", "-"), logbook.ErrRule, "a joint that is built after all needs a reason")
	c.Do(acts.TakeUpJoint(c.H, "E1", "the pipe is there"))
	if j := c.Joint("E1"); !j.Open() || j.Struck != "" || len(j.Trail) < 2 {
		t.Errorf("taken up %+v", j)
	}
	c.Begin("E1")
	c.WantRebuilt()
}

func TestSplitJoint(t *testing.T) {
	c := crew.OnSite(t)
	id := c.Fused("1A")
	piece := acts.Piece{OdMM: 40, SDR: 11, Fittings: [2]string{"elbow 40", "coupler 40"}}
	c.Refused(acts.SplitJoint(c.H, "1A", "why", piece), logbook.ErrRule, "not open")
	c.Do(acts.Cut(c.H, id, "flat"), acts.SplitJoint(c.H, "1A", "pipe too short", piece))
	if j := c.Joint("1A"); j.Counts() || !slices.Equal(j.Split, []string{"1A.1", "1A.2"}) {
		t.Errorf("split %+v", j)
	}
	for i, l := range []string{"1A.1", "1A.2"} {
		if j := c.Joint(l); !j.Open() || !j.On("A/1") || !j.On("1A:piece") || j.Port != 1 || j.Fitting != piece.Fittings[i] {
			t.Errorf("%s is %+v", l, j)
		}
	}
	c.Fused("1A.2")
	c.Refused(acts.SplitJoint(c.H, "1A", "again", piece), logbook.ErrRule, "is not being built, or was replaced by a make-up piece")
	c.Do(acts.AddJoint(c.H, plan.Joint{Label: "twelve-chars"}, "why"))
	c.Refused(acts.SplitJoint(c.H, "twelve-chars", "why", piece), logbook.ErrRule, "twelve-chars.1")
	c.Begin("1B")
	c.Refused(acts.SplitJoint(c.H, "1B", "why", piece), logbook.ErrRule, "not open")
	c.WantRebuilt()
}

// A piece let in between a stub of 40 and a pipe of 32 mm: each new joint has the
// ends that meet there, and its own fitting. One that does not fit is refused, one
// that is not decided is none.
func TestWhatAPieceIsFusedWith(t *testing.T) {
	for _, tt := range []struct {
		label       string
		piece       acts.Piece
		here, there string
		refused     string
	}{
		{"1A", acts.Piece{OdMM: 40, SDR: 11, Fittings: [2]string{"", "reducer 40/32"}},
			"stub 40 mm SDR 11, pipe 40 mm SDR 11", "pipe 1A:piece 40 mm SDR 11, pipe W/1 32 mm SDR 11", ""},
		{"1A", acts.Piece{OdMM: 32, SDR: 11, Fittings: [2]string{"reducer 40/32", "coupler 32"}},
			"stub 40 mm SDR 11, pipe 32 mm SDR 11", "pipe 1A:piece 32 mm SDR 11, pipe W/1 32 mm SDR 11", ""},
		{"1A", acts.Piece{Fittings: [2]string{"reducer 40/32", "a sleeve in no table"}},
			"stub 40 mm SDR 11, pipe", "pipe 1A:piece, pipe W/1 32 mm SDR 11", ""},
		{"1A", acts.Piece{OdMM: 40, SDR: 11, Fittings: [2]string{"reducer 40/32", "reducer 40/32"}}, "", "",
			"joint 1A.1: reducer 40/32 joins 40 and 32 mm, and ends of 40 and 40 mm meet here"},
		{"1A", acts.Piece{OdMM: 40, SDR: 11, Fittings: [2]string{"", "coupler 32"}}, "", "",
			"joint 1A.2: pipe 1A:piece 40 mm SDR 11: coupler 32 takes 32 mm"},
		{"T1", acts.Piece{OdMM: 63, SDR: 11, At: 2, Fittings: [2]string{"tee 63/40", "coupler 63"}},
			"pipe W/FG 63 mm SDR 11, pipe T1:3 40 mm SDR 11, pipe T1:piece 63 mm SDR 11", "pipe T1:piece 63 mm SDR 11, pipe T1:2 63 mm SDR 11", ""},
		{"K1", acts.Piece{OdMM: 40, SDR: 11, Fittings: [2]string{"cap 40", ""}},
			"pipe 40 mm SDR 11", "pipe K1:piece 40 mm SDR 11, pipe T1:3 40 mm SDR 11", ""},
	} {
		c := onWeir(t)
		act := acts.SplitJoint(c.H, tt.label, "too short", tt.piece)
		if tt.refused != "" {
			c.Refused(act, logbook.ErrRule, tt.refused)
			continue
		}
		c.Do(act)
		here, there := c.Joint(tt.label+".1"), c.Joint(tt.label+".2")
		if here.PipeLine() != tt.here || there.PipeLine() != tt.there {
			t.Errorf("%s: got  %s | %s\nwant %s | %s", tt.label, here.PipeLine(), there.PipeLine(), tt.here, tt.there)
		}
		if here.Fitting != tt.piece.Fittings[0] || there.Fitting != tt.piece.Fittings[1] || !here.Shares(there.Joint) {
			t.Errorf("%s: %+v, %+v", tt.label, here.Joint, there.Joint)
		}
		c.WantRebuilt()
	}
}

// An added joint moves with the pipe that it is on, and its fitting must go on it.
func TestAddedJointOnAPipe(t *testing.T) {
	c := onWeir(t)
	x := plan.Joint{Label: "X1", Fitting: "coupler 63", OdMM: 63, SDR: 11, Pipe: "T1:2", AskPlace: true}
	c.Do(acts.AddJoint(c.H, x, "let in"))
	if j := c.Joint("X1"); !j.Shares(c.Joint("S1").Joint) || j.Shares(c.Joint("M1").Joint) {
		t.Errorf("X1 is on %v", j.Pipes())
	}
	x.Label, x.Fitting = "X2", "coupler 90"
	c.Refused(acts.AddJoint(c.H, x, "let in"), logbook.ErrRule, "joint X2: pipe 63 mm SDR 11: coupler 90 takes 90 mm")
	x.Label = "p1-FOOT"
	c.Refused(acts.AddJoint(c.H, x, "let in"), logbook.ErrExists, "factory joint P1-foot")
}

// A fitting that does not go where the plan puts it is refused before a site is
// opened; one in no table is not held against any.
func TestOpenSiteHoldsFittingsAgainstEnds(t *testing.T) {
	p, table := file(t, "plans/weir.toml"), file(t, "tables/weir.toml")
	c := crew.Empty(t)
	wrong := acts.File{Name: "p", Text: strings.Replace(p.Text, `fitting  = "reducer 40/32"`, `fitting  = "coupler 32"`, 1)}
	c.Refused(acts.OpenSite(c.H, wrong, []acts.File{table}), logbook.ErrRule, "joint 1A: stub 40 mm SDR 11: coupler 32 takes 32 mm; joint 1B: stub 40")
	other := acts.File{Name: "p", Text: strings.Replace(p.Text, `fitting  = "reducer 40/32"`, `fitting  = "sleeve 32"`, 1)}
	c.Do(acts.OpenSite(c.H, other, []acts.File{table}))
}

// The fitting of a weld is held against every end.
func TestAFittingIsHeldAgainstEveryEnd(t *testing.T) {
	c := onWeir(t)
	id := c.Begin("1A")
	c.Refused(acts.AnswerStep(c.H, id, logbook.StepFitting, crew.Fitting("coupler 32", "B-1")), logbook.ErrRule, "stub 40 mm SDR 11: coupler 32 takes 32 mm")
	c.Do(acts.AnswerStep(c.H, id, logbook.StepFitting, crew.Fitting("reducer 40/32", "B-1")))
}

// onWeir is a crew on the site that has joints of several pipes.
func onWeir(t *testing.T) *crew.Crew {
	t.Helper()
	return crew.On(t, file(t, "plans/weir.toml").Text, file(t, "tables/weir.toml").Text)
}

func file(t *testing.T, name string) acts.File {
	t.Helper()
	data, err := os.ReadFile("../../testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return acts.File{Name: name, Text: string(data)}
}
