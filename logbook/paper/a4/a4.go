// Package a4 draws the sheet for the van: A4 across, black on white, boxes to tick and
// to write in with a glove. A page for the day, then two sides with a line a joint: made
// ready, and fused.
package a4

import (
	"fmt"
	"io"
	"slices"
	"time"

	"coolhold/logbook/paper"
	"coolhold/logbook/paper/page"
)

// Lengths in mm; all are our choice.
const (
	wide, high = 297.0, 210.0
	margin     = 8.0
	across     = wide - 2*margin
	headHigh   = 11.0 // of the page's head
	capHigh    = 20.0 // of the captions over the lines
	lineHigh   = 18.0 // of a joint
	perPage    = 9    // joints
	tickWide   = 4.2  // of a box to tick
)

// A slot is a box in the line of a joint: to write in, to tick, or of several to tick
// one. What it takes down stands in these columns of the file.
type slot struct {
	caption string
	wide    float64
	ticks   []string // words beside the boxes; "" alone for one box without a word
	columns []string
}

var one = []string{""}

// sides are the two sides of a line.
var sides = [][]slot{
	{
		{"joint, planned with", 30, nil, []string{"joint"}},
		{"by (mark)", 12, nil, []string{"operator"}},
		{"fitting on the bag", 20, nil, []string{"fitting"}},
		{"batch of the fitting", 19, nil, []string{"fitting_batch"}},
		{"batch of coil or pipe", 17, nil, []string{"coil_batch"}},
		{"batch of the stub", 15, nil, []string{"stub_batch"}},
		{"port, if not the plan's", 10, nil, []string{"port"}},
		{"print on the pipe", 16, []string{"as plan", "unlike"}, []string{"print"}},
		{"scraped with", 15, []string{"rotary", "hand"}, []string{"method"}},
		{"ends square, round", 8.5, one, []string{"ends"}},
		{"clean, bore no swarf", 8.5, one, []string{"bore"}},
		{"scraped: stub or first end", 8.5, one, []string{"scraped"}},
		{"scraped: pipe or other end", 8.5, one, []string{"other_end_scraped"}},
		{"wiped, fully dry", 8.5, one, []string{"wiped"}},
		{"home to both marks", 8.5, one, []string{"pushed_home"}},
		{"clamped, no load", 8.5, one, []string{"clamped"}},
		{"no water, ends capped", 8.5, one, []string{"no_water"}},
		{"at air temperature", 8.5, one, []string{"same_temperature"}},
		{"in the shade, °C", 11, nil, []string{"ambient_c"}},
		{"read-back: s on the bag", 11, nil, []string{"read_back"}},
		{"set, s", 9.5, nil, []string{"seconds_set"}},
		{"set, V", 9.5, nil, []string{"volts_set"}},
		{"shows, Ω", 9.5, nil, []string{"ohms"}},
	},
	{
		{"joint", 14, nil, []string{"joint"}},
		{"current on", 14, nil, []string{"start"}},
		{"end of fusion", 14, nil, []string{"end"}},
		{"it ended", 20, []string{"completed", "stopped", "nobody saw"}, []string{"outcome"}},
		{"if stopped: at s", 9, nil, []string{"stopped_at_s"}},
		{"unit says it ran, s", 10, nil, []string{"seconds_run"}},
		{"indicators, one a side: up, part, flat", 20, nil, []string{"indicators"}},
		{"melt", 15, []string{"none", "outside", "no look"}, []string{"melt"}},
		{"wire", 15, []string{"none", "seen", "no look"}, []string{"wire"}},
		{"marks", 15, []string{"in place", "moved", "no look"}, []string{"marks"}},
		{"in line", 15, []string{"yes", "no", "no look"}, []string{"straight"}},
		{"cooling on the bag, min", 10, nil, []string{"cooling_min"}},
		{"clamp off", 14, nil, []string{"released_at"}},
		{"moved: min after end", 9, nil, []string{"disturbed_min"}},
		{"mark on the pipe", 20, nil, []string{"pipe_mark"}},
		{"END: at", 13, nil, []string{"check_at"}},
		{"END: up, part, flat", 14, nil, []string{"check_indicators"}},
		{"END: felt", 18, []string{"firm, cool", "still hot", "loose"}, []string{"check_felt"}},
		{"cut out, why; remarks", 22, nil, []string{"cut_out", "remarks"}},
	},
}

// day are the boxes of the day: what is the same for many lines is written once.
var day = [][]slot{
	{{"date", 30, nil, []string{"date"}}, {"control unit, serial number", 60, nil, []string{"unit"}}, {"it corrects for temperature", 54, []string{"yes", "no", "not known"}, []string{"unit_corrects"}},
		{"the unit's time is", 76, []string{"keyed by hand", "read from a code", "unit corrects"}, []string{"time_from"}}, {"end-of-shift check made by", 61, nil, []string{"check_by"}}},
	{{"who welds, 1", 74, nil, []string{"operator"}}, {"card number", 36, nil, []string{"card_number"}}, {"mark on the pipe", 30, nil, []string{"pipe_mark"}},
		{"who welds, 2", 74, nil, []string{"operator"}}, {"card number", 36, nil, []string{"card_number"}}, {"mark on the pipe", 31, nil, []string{"pipe_mark"}}},
	{{"weather from (time)", 30, nil, []string{"weather"}}, {"", 110.5, []string{"sun", "dry", "rain or snow", "wind"}, []string{"weather"}}, {"shelter", 140.5, []string{"none", "umbrella", "tent", "heated tent"}, []string{"shelter"}}},
	{{"changed at (time)", 30, nil, []string{"weather"}}, {"", 110.5, []string{"sun", "dry", "rain or snow", "wind"}, []string{"weather"}}, {"shelter", 140.5, []string{"none", "umbrella", "tent", "heated tent"}, []string{"shelter"}}},
	{{"read back against the bags by", 90, nil, []string{"read_back"}}, {"signature: what stands here was seen by me", 130, nil, []string{"signed"}}, {"date, time", 61, nil, []string{"signed"}}},
}

const (
	dayHigh  = 15.0
	another  = "Another look at a weld that stands (look again): joint, who, time, and what was seen and felt go on a blank line, with LOOK AGAIN in the remarks."
	lookNote = "Box left blank: nobody said it. \"No look\": could not look. \"Could not\": write the reason over the box."
)

// drawing is a sheet while it is drawn.
type drawing struct {
	page.PDF
	s            paper.Sheet
	number, last int
}

// Write writes the sheet as a PDF that says it was made at at. The same sheet
// and the same time give the same bytes.
func Write(w io.Writer, s paper.Sheet, at time.Time) error {
	pages, err := draw(s, at, 0)
	if err == nil {
		pages, err = draw(s, at, pages.number)
	}
	if err != nil {
		return fmt.Errorf("the sheet is not made: %w", err)
	}
	return pages.Output(w)
}

// draw draws all pages; last is how many there are, 0 while that is not known.
func draw(s paper.Sheet, at time.Time, last int) (*drawing, error) {
	p, err := page.New("L", "Sheet for the van, "+s.Site+", "+s.Day, margin, at)
	if err != nil {
		return nil, err
	}
	d := &drawing{PDF: p, s: s, last: last}
	d.theDay()
	for from := 0; from == 0 || from < len(s.Blocks); from += perPage {
		for side, slots := range sides {
			d.lines(side, slots, s.Blocks[from:min(len(s.Blocks), from+perPage)])
		}
	}
	return d, nil
}

func (d *drawing) head(what string) {
	d.number++
	d.AddPage()
	d.Line(margin, margin, across-40, 12, "B", d.s.Site+"   |   "+what+", "+d.s.Day)
	d.Line(wide-margin-36, margin, 36, 9, "", fmt.Sprintf("page %d of %d", d.number, d.last))
	d.Line(margin, margin+5.5, across, 8.5, "B", paper.Caution)
}

func (d *drawing) theDay() {
	d.head("the day")
	d.Line(margin, margin+10, across, 8, "", paper.How+" "+lookNote)
	d.Line(margin, margin+14, across, 8, "", another)
	y := margin + 19
	for _, row := range day {
		d.row(row, y, dayHigh, true)
		y += dayHigh
	}
	d.Line(margin, y+3, across, 10, "B", "Times, and what comes first")
	y += 9
	for _, line := range d.times() {
		for _, part := range d.Lines(across, 8.5, line.style, line.text) {
			if y > high-margin-4 {
				d.head("the day, continued")
				y = margin + headHigh + 2
			}
			d.Line(margin, y, across+1, 8.5, line.style, part)
			y += 4.2
		}
	}
}

type said struct{ style, text string }

// times are the times of each fitting, once, and what comes before a weld.
func (d *drawing) times() (out []said) {
	var had []string
	for _, b := range d.s.Blocks {
		if !slices.Contains(had, b.Fitting) {
			had = append(had, b.Fitting)
			out = append(out, said{"B", b.Fitting + ":  " + b.Times()})
			if b.Supply() != "" {
				out = append(out, said{"", "    " + b.Supply()})
			}
		}
	}
	for _, b := range d.s.Blocks {
		if b.First != "" {
			out = append(out, said{"B", b.Joint + "  FIRST: " + b.First})
		}
	}
	return out
}

// lines is one side: a line a joint, and blank ones to the end of the page.
func (d *drawing) lines(side int, slots []slot, blocks []paper.Block) {
	d.head([]string{"1: made ready", "2: fused, looked at, cooled, and the check at the END of the shift"}[side])
	y := margin + headHigh
	x := margin
	for _, s := range slots {
		d.Rect(x, y, s.wide, capHigh, "D")
		d.caption(s, x, y)
		x += s.wide
	}
	y += capHigh
	for i := range perPage {
		d.row(slots, y, lineHigh, false)
		if i < len(blocks) {
			d.joint(blocks[i], y, slots[0].wide, side == 0)
		}
		y += lineHigh
	}
}

// narrow is the width below which a caption stands upright, so that no word is parted.
const narrow = 13.5

func (d *drawing) caption(s slot, x, y float64) {
	if s.wide >= narrow {
		d.Block(x+0.3, y+0.8, s.wide-0.6, capHigh-1, 7, "B", s.caption)
		return
	}
	d.TransformBegin()
	d.TransformRotate(90, x, y+capHigh)
	d.Block(x+0.3, y+capHigh+0.5, capHigh-0.6, s.wide-0.5, 7, "B", s.caption)
	d.TransformEnd()
}

func (d *drawing) joint(b paper.Block, y, w float64, place bool) {
	d.Line(margin+0.5, y+1, w-1, 16, "B", b.Joint)
	if place {
		d.Block(margin+0.5, y+8.5, w-1, lineHigh-9, 6.5, "", b.Fitting+"; "+b.Place)
	}
}

// row draws the boxes of a line.
func (d *drawing) row(slots []slot, y, tall float64, captions bool) {
	x := margin
	for _, s := range slots {
		d.Rect(x, y, s.wide, tall, "D")
		if captions {
			d.Line(x+0.5, y+0.5, s.wide-1, 7.5, "B", s.caption)
		}
		d.boxes(s, x, y, tall, captions)
		x += s.wide
	}
}

// boxes draws what is to be ticked: below each other in a line, side by side on the day.
func (d *drawing) boxes(s slot, x, y, tall float64, beside bool) {
	if len(s.ticks) == 1 {
		const side = 6.5
		d.Rect(x+(s.wide-side)/2, y+(tall-side)/2, side, side, "D")
		return
	}
	n := float64(len(s.ticks))
	for i, word := range s.ticks {
		bx, by, room := x+0.7, y+(float64(i)+0.5)*tall/n-tickWide/2, s.wide-tickWide-1.5
		if beside {
			bx, by, room = x+1+float64(i)*s.wide/n, y+tall-tickWide-2.5, s.wide/n-tickWide-2
		}
		d.Rect(bx, by, tickWide, tickWide, "D")
		d.Line(bx+tickWide-0.4, by+0.6, room+1, 7, "", word)
	}
}
