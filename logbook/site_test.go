package logbook

import (
	"slices"
	"strings"
	"testing"
	"time"

	"coolhold/logbook/plan"
)

func TestOpenSite(t *testing.T) {
	c := onSite(t)
	s := c.site()
	if s.Name != "Invented Meadow" || s.Scraping != RotaryTool || len(s.Chambers) != 1 || s.Joints != 6 {
		t.Errorf("site %+v", s)
	}
	var labels []string
	for _, j := range c.book.Joints(c.h.Site) {
		labels = append(labels, j.Label)
	}
	if want := []string{"1A", "1B", "2A", "2B", "FG", "E1"}; !slices.Equal(labels, want) {
		t.Errorf("joints %q, want %q", labels, want)
	}
	if e := c.entries[1]; e.Open().(PlanTaken).Text != planText || s.Plan == nil || s.Plan.Site != s.Name {
		t.Errorf("the plan is kept as %+v", s.Plan)
	}
	if e := c.entries[s.Tables[0].Seq]; e.Open().(TableTaken).Text != tableText || s.Tables[0].Table == nil {
		t.Error("the table's text is not kept")
	}
	if len(s.UID) != 16 {
		t.Errorf("its own id is %q", s.UID)
	}
	if s.Tables[0].ReadBack != ada {
		t.Errorf("read back by %q", s.Tables[0].ReadBack)
	}
}

func TestOpenSiteRefused(t *testing.T) {
	c := onSite(t)
	other := strings.Replace(planText, "Invented Meadow", "Invented Hill", 1)
	unnamed := strings.Replace(planText, "Invented Meadow", "---", 1)
	table := File{"table.toml", tableText}
	tests := []struct {
		name   string
		plan   string
		tables []File
		want   error
		says   string
	}{
		{"open already", planText, nil, ErrExists, "invented-meadow"},
		{"no letter in its name", unnamed, nil, ErrRule, "---"},
		{"the same table twice", other, []File{table, table}, ErrExists, "table.toml"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c.refused(OpenSite(c.h, File{"p", tt.plan}, tt.tables), tt.want, tt.says)
		})
	}
	for _, bad := range []Act{
		OpenSite(c.h, File{"p", "site = 7"}, nil),
		OpenSite(c.h, File{"p", other}, []File{{"t", strings.Replace(tableText, "44, 40", "44, 84", 1)}}),
	} {
		if drafts, err := bad(c.book); err == nil || len(drafts) > 0 && c.try(bad) == nil {
			t.Error("a faulty file was taken")
		}
	}
	c.refused(TakeTable(c.h, table), ErrExists, "table.toml")
	c.h.Site = "nowhere"
	c.refused(TakeTable(c.h, table), ErrUnknown, "nowhere")
}

func TestSiteID(t *testing.T) {
	for name, want := range map[string]string{
		"Invented Meadow": "invented-meadow", "  A -- b/7 ": "a-b-7", "Mühle": "mühle", "...": "",
	} {
		if got := SiteID(name); got != want {
			t.Errorf("%q gives %q, want %q", name, got, want)
		}
	}
}

func TestReadBack(t *testing.T) {
	c := empty(t)
	c.do(OpenSite(c.h, File{"plan.toml", planText}, []File{{"table.toml", tableText}}))
	c.h.Site = "invented-meadow"
	c.startShift("2026-03-09")
	id := c.begin("1A")
	c.refused(AnswerStep(c.h, id, StepFitting, fitting("coupler 40", "W-1")), ErrRule, "not read back")
	c.refused(ReadBack(c.h, "0123"), ErrUnknown, "0123")
	c.h.By = " "
	c.refused(ReadBack(c.h, Hash(tableText)), ErrRule, "name")
	c.h.By = "Bo Invented"
	c.do(ReadBack(c.h, Hash(tableText)), AnswerStep(c.h, id, StepFitting, fitting("coupler 40", "W-1")))
}

func TestShifts(t *testing.T) {
	c := onSite(t)
	if c.h.Shift != "2026-03-09" || c.site().Shift != c.h.Shift {
		t.Errorf("shift %q, open %q", c.h.Shift, c.site().Shift)
	}
	day := ShiftStarted{Day: "2026-03-09", Operators: []Operator{{Name: ada}}, Units: []Unit{{Serial: unit}}}
	c.refused(StartShift(c.h, day), ErrRule, "still open")
	c.do(CloseShift(c.h))
	c.refused(CloseShift(c.h), ErrRule, "no shift is open")
	for _, want := range []string{"2026-03-09b", "2026-03-09c"} {
		c.startShift("2026-03-09")
		if c.h.Shift != want {
			t.Errorf("the day's next shift is %q, want %q", c.h.Shift, want)
		}
		c.do(CloseShift(c.h))
	}
	day.Units = nil
	c.refused(StartShift(c.h, day), ErrRule, "operator and a control unit")
	if sh, _ := c.book.Shift(c.h.Site, "2026-03-09"); sh.Closed == nil || len(c.site().Shifts) != 3 {
		t.Errorf("shifts %q, the first %+v", c.site().Shifts, sh)
	}
	c.h.Site = "nowhere"
	c.refused(StartShift(c.h, day), ErrUnknown, "nowhere")
}

func TestWeather(t *testing.T) {
	c := onSite(t)
	start := c.h.At
	c.wait(time.Hour)
	c.do(ChangeWeather(c.h, Weather{"rain or snow", "none"}))
	c.wait(time.Hour)
	c.do(ChangeWeather(c.h, Weather{"rain or snow", "tent"}))
	sh, _ := c.book.Shift(c.h.Site, c.h.Shift)
	for _, tt := range []struct {
		after time.Duration
		want  string
	}{
		{0, "dry, shelter none"}, {59 * time.Minute, "dry, shelter none"}, {time.Hour, "rain or snow, shelter none"},
		{119 * time.Minute, "rain or snow, shelter none"}, {3 * time.Hour, "rain or snow, shelter tent"},
	} {
		if got := sh.WeatherAt(start.Add(tt.after)).String(); got != tt.want {
			t.Errorf("after %v: %s, want %s", tt.after, got, tt.want)
		}
	}
	if sh.Weather.Shelter != "tent" || (Weather{}).String() != "weather not given" {
		t.Errorf("now %v", sh.Weather)
	}
	if _, ok := sh.Operator("nobody"); ok {
		t.Error("nobody is an operator")
	}
}

func TestAddJoint(t *testing.T) {
	c := onSite(t)
	c.do(AddJoint(c.h, plan.Joint{Label: "X1", Fitting: "cap 40", OdMM: 40, SDR: 11}, "stub left open"))
	if j := c.joint("X1"); j.Added != "stub left open" || !j.Open() || j.Order != 6 {
		t.Errorf("added %+v", j)
	}
	tests := []struct {
		label string
		want  error
	}{
		{"1A", ErrExists}, {"1a", ErrExists}, {"", ErrRule}, {"thirteen-long", ErrRule}, {"a b", ErrRule}, {"a\x1bb", ErrRule},
	}
	for _, tt := range tests {
		c.refused(AddJoint(c.h, plan.Joint{Label: tt.label}, "why"), tt.want, tt.label[:min(1, len(tt.label))])
	}
}

func TestStrikeJoint(t *testing.T) {
	c := onSite(t)
	c.do(StrikeJoint(c.h, "E1", "pipe runs straight"))
	if j := c.joint("E1"); j.Counts() || j.Open() || j.Struck != "pipe runs straight" {
		t.Errorf("struck %+v", j)
	}
	walk, stands := c.begin("1A"), c.fused("1B")
	c.refused(StrikeJoint(c.h, "1A", "why"), ErrRule, walk)
	c.refused(StrikeJoint(c.h, "1B", "why"), ErrRule, stands)
	c.refused(StrikeJoint(c.h, "E1", "why"), ErrRule, "struck off")
	c.refused(BeginWeld(c.h, "E1", ada, unit), ErrRule, "struck off")
	c.refused(StrikeJoint(c.h, "9Z", "why"), ErrUnknown, "9Z")
}

func TestSplitJoint(t *testing.T) {
	c := onSite(t)
	id := c.fused("1A")
	c.refused(SplitJoint(c.h, "1A", "why"), ErrRule, "not open")
	c.do(Cut(c.h, id, "flat"), SplitJoint(c.h, "1A", "pipe too short"))
	if j := c.joint("1A"); j.Counts() || !slices.Equal(j.Split, []string{"1A.1", "1A.2"}) {
		t.Errorf("split %+v", j)
	}
	for _, l := range []string{"1A.1", "1A.2"} {
		if j := c.joint(l); !j.Open() || j.Pipe != "A/1" || j.Port != 1 || j.Fitting != "coupler 40" {
			t.Errorf("%s is %+v", l, j)
		}
	}
	c.fused("1A.2")
	c.refused(SplitJoint(c.h, "1A", "again"), ErrRule, "struck off or split")
	c.do(AddJoint(c.h, plan.Joint{Label: "twelve-chars"}, "why"))
	c.refused(SplitJoint(c.h, "twelve-chars", "why"), ErrRule, "twelve-chars.1")
	c.begin("1B")
	c.refused(SplitJoint(c.h, "1B", "why"), ErrRule, "not open")
	c.wantRebuilt()
}

// A bag that prints otherwise stops the row for the whole site until a
// corrected table is taken and read back.
func TestBagStopsTheRow(t *testing.T) {
	c := onSite(t)
	id, other := c.begin("1A"), c.begin("1B")
	c.do(AnswerStep(c.h, id, StepFitting, fitting("coupler 40", "W-1")), ReadBag(c.h, id, false))
	if b := last[BagRead](c); b.Band.Low != 5 || b.Seconds != 40 || b.Matches {
		t.Errorf("bag read as %+v", b) // the middle band: no reading yet
	}
	c.wantNext(id, StepFitting)
	answers := fitting("coupler 40", "W-1")
	c.refused(AnswerStep(c.h, other, StepFitting, answers), ErrRule, "stopped")
	c.do(AnswerStep(c.h, other, StepFitting, fitting("elbow 40", "W-5"))) // another row goes on
	corrected := strings.Replace(tableText, "44, 40, 36", "46, 40, 36", 1)
	c.do(TakeTable(c.h, File{"table2.toml", corrected}))
	c.refused(AnswerStep(c.h, id, StepFitting, answers), ErrRule, "not read back")
	c.do(ReadBack(c.h, Hash(corrected)), AnswerStep(c.h, id, StepFitting, answers))
	c.wantNext(id, StepBag)
	c.do(ReadBag(c.h, id, true))
	c.wantNext(id, StepPrep)
	shelf := ShelfOf(c.site())
	if rows := shelf.Rows(); len(rows) != 4 || rows[0].Ref.Hash != Hash(corrected) || len(shelf.Tables()) != 2 {
		t.Errorf("%d rows, %d tables", len(rows), len(shelf.Tables()))
	}
	c.wantRebuilt()
}

// The bag is read for the band of the last reading.
func TestBagBand(t *testing.T) {
	c := onSite(t)
	row, err := ShelfOf(c.site()).Row("coupler 40")
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		last *Reading
		want int
	}{{nil, 1}, {&Reading{C: -1_00}, 0}, {&Reading{C: 20_00}, 2}, {&Reading{C: 40_00}, 1}} {
		if got := row.BagBand(tt.last); got != tt.want {
			t.Errorf("%+v: band %d, want %d", tt.last, got, tt.want)
		}
	}
}
