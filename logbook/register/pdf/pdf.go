// Package pdf draws a register as an A4 document for the warranty file. It can
// be printed in black and white: words, lines and hatches carry the meaning.
package pdf

import (
	"cmp"
	"fmt"
	"io"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/gofont/goregular"

	"coolhold/logbook/paper/page"
	"coolhold/logbook/register"
	"coolhold/logbook/register/account"
)

// Measures of the page in mm. The wider margin is for the holes of the file:
// on the left of an upright page, at the top of a lying one.
const (
	binding = 20.0
	margin  = 15.0
	foot    = 17.0 // room for the two lines at the foot
)

// pagesMark stands for the number of pages until it is known. The font has no
// letter for it, so no stored text can hold it once it went through say.
const pagesMark = "\ue000"

// Write draws the report: sentences first, what must be read before what is only kept, and
// grids last. It is drawn as often as it takes until each page that is named is the page on
// which a thing stands: twice, and again where that moved something. step, where it is not
// nil, is told how much of all is done. The same report gives the same content.
func Write(w io.Writer, rep register.Report, step func(done, of int)) error {
	d, err := newDoc(rep, step)
	if err != nil {
		return err
	}
	for n := range mostDrawings {
		if n == 2 {
			d.step = nil // what comes now was told as done
		}
		d.draw()
		if d.settled() {
			break
		}
		d.anew()
	}
	if err := d.f.Output(w); err != nil {
		return fmt.Errorf("the PDF is not made: %w", err)
	}
	return nil
}

// mostDrawings is how often a document is drawn at most.
const mostDrawings = 5

func (d *doc) draw() {
	d.title()
	d.front()
	d.source()
	d.stillOpen()
	d.welds()
	d.all()
	d.chapters(d.lists("cut-outs", "corrections"), 40)
	d.pressure()
	d.chapters(d.told.Loop, 50)
	d.afterwards()
	d.part(d.told.Batches, 50)
	d.charts()
	d.register()
	d.people() // behind the lying pages: before them a line or two would have a page
	d.tables()
	d.files()
	d.handover()
	d.rules()
	d.cautions()
	if len(d.rep.Sealed()) > 0 {
		d.chapters(d.lists("after-seal"), 40)
	}
	d.seal()
	d.signatures()
	d.settle()
}

// A doc is the document while it is drawn.
type doc struct {
	f        *fpdf.Fpdf
	rep      register.Report
	told     account.Account
	glyph    page.Glyphs
	step     func(done, of int)
	beside   float64        // mm kept free at the right, beside a seal
	pictures int            // photos put down so far
	done, of int            // rows and welds, told and drawn
	causes   map[string]int // in how many open findings each is the same; "" in none
	headings []held         // what is drawn with the next that comes
	open     *table         // whose rows are still to be drawn
	pages    pages
}

func newDoc(rep register.Report, step func(done, of int)) (*doc, error) {
	g, err := page.NewGlyphs(goregular.TTF)
	if err != nil {
		return nil, fmt.Errorf("the PDF is not made: its font cannot be read: %w", err)
	}
	d := &doc{f: fpdf.New("P", "mm", "A4", ""), rep: rep, glyph: g, step: step, causes: map[string]int{}}
	for _, f := range rep.Findings {
		if f.Cause != "" && !f.Settled {
			d.causes[f.Cause]++
		}
	}
	d.of = 2 * len(rep.Rows) // told, then drawn in the register
	for i := range rep.Rows {
		if d.mustRead(i) {
			d.of += 2 // drawn twice
		}
	}
	d.of += len(rep.Rows)
	d.told = account.Of(rep, func(int, int) { d.tick() })
	d.of = 3 * len(rep.Rows)
	for i := range rep.Rows { // now it is known of which a correction took something away
		if d.mustRead(i) {
			d.of += 2
		}
	}
	d.prepare()
	return d, nil
}

// prepare makes the file that is drawn into.
func (d *doc) prepare() {
	rep, f := d.rep, d.f
	f.SetCatalogSort(true)
	f.SetCreationDate(rep.AsOf.UTC())
	f.SetModificationDate(rep.AsOf.UTC())
	f.SetProducer("coolhold", true)
	f.SetCreator(d.say(cmp.Or(rep.Program, "coolhold")), true)
	f.SetTitle(d.say("Register of welds: "+rep.Site.Name), true)
	f.SetLang("en")
	f.SetAutoPageBreak(false, foot)
	f.SetCellMargin(0)
	f.AliasNbPages(pagesMark)
	for style, ttf := range map[string][]byte{"": goregular.TTF, "B": gobold.TTF} {
		f.AddUTF8FontFromBytes("go", style, ttf)
	}
	f.AddUTF8FontFromBytes("mono", "", gomono.TTF)
	f.SetHeaderFuncMode(d.head, false)
	f.SetFooterFunc(d.foot)
}

// page begins a page, upright or lying, when what was begun is drawn.
func (d *doc) page(lying bool) {
	d.settle()
	if len(d.headings) > 0 {
		d.flush(0)
	}
	d.next(lying)
}

// next goes on on a new page.
func (d *doc) next(lying bool) {
	left, top, orientation := binding, margin, "P"
	if lying {
		left, top, orientation = margin, binding, "L"
	}
	d.f.SetMargins(left, top, margin)
	d.f.AddPageFormat(orientation, d.f.GetPageSizeStr("A4"))
	d.f.SetXY(left, d.begins())
}

// begins is where the content of the present page begins.
func (d *doc) begins() float64 {
	if d.f.PageNo() > 1 {
		return d.top() + 6
	}
	return d.top()
}

func (d *doc) lying() bool { w, h := d.f.GetPageSize(); return w > h }

// left and top are where the page's text begins. They follow from the page
// itself: the foot of one page is drawn when the next has been asked for.
func (d *doc) left() float64 {
	if d.lying() {
		return margin
	}
	return binding
}

func (d *doc) top() float64 {
	if d.lying() {
		return binding
	}
	return margin
}

// full is the room between the margins.
func (d *doc) full() float64 {
	w, _ := d.f.GetPageSize()
	return w - d.left() - margin
}

// width is the room that texts and tables take.
func (d *doc) width() float64 { return d.full() - d.beside }

// bottom is where the foot begins.
func (d *doc) bottom() float64 { _, h := d.f.GetPageSize(); return h - foot }

// room makes a new page unless so many mm are left.
func (d *doc) room(mm float64) {
	d.settle()
	d.flush(mm)
}

func (d *doc) font(style string, size float64) { d.f.SetFont("go", style, size) }

func (d *doc) head() {
	left, top := d.left(), d.top()
	d.partly(left, top-7)
	if d.f.PageNo() == 1 {
		return
	}
	d.font("", 8)
	d.f.SetXY(left, top-3)
	d.f.CellFormat(d.full(), 4, d.fit("Register of welds: "+d.rep.Site.Name, d.full()*0.7), "", 0, "L", false, 0, "")
	d.f.SetX(left)
	d.f.CellFormat(d.full(), 4, "as of "+d.rep.AsOf.Format(offset), "", 0, "R", false, 0, "")
	d.rule(top + 2)
}

// partly says on every page that something is left out: a page may be handed on
// alone.
func (d *doc) partly(x, y float64) {
	if !d.rep.Filtered() {
		return
	}
	d.font("B", 9)
	d.f.SetXY(x, y)
	d.f.CellFormat(d.full(), 4, d.fit("only a part: "+d.rep.FilterLine(), d.full()), "", 0, "C", false, 0, "")
}

func (d *doc) foot() {
	left := d.left()
	y := d.bottom() + 3
	d.rule(y)
	d.font("", 8)
	d.f.SetXY(left, y+1)
	d.f.CellFormat(d.full(), 4, d.fit(d.told.SealFoot(), d.full()*0.8), "", 0, "L", false, 0, "")
	// The alias for the number of pages is wider than what replaces it.
	wide := d.f.GetStringWidth(fmt.Sprintf("page %d of 88", d.f.PageNo()))
	d.f.SetXY(left+d.full()-wide, y+1)
	d.f.CellFormat(wide, 4, fmt.Sprintf("page %d of "+pagesMark, d.f.PageNo()), "", 0, "L", false, 0, "")
	d.f.SetXY(left, y+4.5)
	d.f.CellFormat(d.full(), 4, "\"clear\" means that no fault is recorded. It does not say that a weld is good.", "", 0, "L", false, 0, "")
}

// rule is a fine line across the page.
func (d *doc) rule(y float64) {
	left := d.left()
	d.f.SetLineWidth(0.2)
	d.f.SetDashPattern(nil, 0)
	d.f.Line(left, y, left+d.full(), y)
}
