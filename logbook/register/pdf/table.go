package pdf

// A column of a table: its head and its width in mm.
type column struct {
	head string
	w    float64
}

// A table draws rows of wrapped cells under heads that are repeated on every
// page. Its first column is bold, and any headed like it.
type table struct {
	*doc
	cols []column
	size float64 // of the letters, in points
}

const pad = 0.7 // mm between a cell's text and its lines

func (t table) high() float64 { return t.size * 0.43 }

// begin draws the heads.
func (t table) begin() {
	t.room(3*t.high() + 4*pad)
	t.heads()
}

func (t table) heads() {
	t.font("B", t.size)
	cells := make([][]string, len(t.cols))
	for i, c := range t.cols {
		cells[i] = t.lines(c.head, c.w-4*pad)
	}
	t.f.SetFillColor(225, 225, 225)
	t.draw(cells, "B", true)
}

// row draws one row, on a new page with heads where this one has no room. A
// row higher than a page is parted.
func (t table) row(texts ...string) {
	cells := make([][]string, len(t.cols))
	for i, c := range t.cols {
		t.font(t.style(i), t.size)
		cells[i] = t.lines(texts[i], c.w-4*pad)
	}
	for first := true; first || most(cells) > 0; first = false {
		fits := int((t.bottom() - t.f.GetY() - 2*pad) / t.high())
		if fits < min(most(cells), 12) {
			t.page(t.lying())
			t.heads()
			fits = int((t.bottom() - t.f.GetY() - 2*pad) / t.high())
		}
		now, rest := cut(cells, fits)
		t.draw(now, "", false)
		cells = rest
	}
}

func (t table) style(column int) string {
	if t.cols[column].head == t.cols[0].head {
		return "B"
	}
	return ""
}

func (t table) draw(cells [][]string, style string, fill bool) {
	left, y := t.f.GetX(), t.f.GetY()
	high := float64(max(1, most(cells)))*t.high() + 2*pad
	t.f.SetLineWidth(0.15)
	t.f.SetDashPattern(nil, 0)
	x := left
	for i, c := range t.cols {
		box := "D"
		if fill {
			box = "FD"
		}
		t.f.Rect(x, y, c.w, high, box)
		if style == "" {
			t.font(t.style(i), t.size)
		}
		for n, line := range cells[i] {
			t.f.SetXY(x+2*pad, y+pad+float64(n)*t.high())
			t.f.CellFormat(c.w-4*pad, t.high(), line, "", 0, "L", false, 0, "")
		}
		x += c.w
	}
	t.f.SetXY(left, y+high)
}

func most(cells [][]string) int {
	n := 0
	for _, c := range cells {
		n = max(n, len(c))
	}
	return n
}

// cut parts the lines of a row after n.
func cut(cells [][]string, n int) (now, rest [][]string) {
	for _, c := range cells {
		k := min(max(1, n), len(c))
		now, rest = append(now, c[:k]), append(rest, c[k:])
	}
	return now, rest
}

// spread makes the columns fill w mm by widening the last one.
func spread(cols []column, w float64) []column {
	for _, c := range cols[:len(cols)-1] {
		w -= c.w
	}
	cols[len(cols)-1].w = w
	return cols
}

// grid is a table over the whole width whose last column takes what is left.
func (d *doc) grid(size float64, cols ...column) table {
	t := table{d, spread(cols, d.width()), size}
	t.begin()
	return t
}
