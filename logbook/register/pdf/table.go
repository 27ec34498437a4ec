package pdf

// A column of a table: its head and its width in mm.
type column struct {
	head string
	w    float64
}

// A table draws rows of wrapped cells under heads that are repeated on every
// page. Its first column is bold, and any headed like it. Its rows are drawn when
// something else comes: only then it is known which is the last.
type table struct {
	*doc
	cols  []column
	size  float64 // of the letters, in points
	rows  [][][]string
	tell  bool     // of each row that it is drawn
	plain bool     // no heads, and no column is bold
	at    []string // the anchors of the rows, "" for none
}

const pad = 0.5 // mm between a cell's text and its lines

func (t *table) high() float64 { return t.size * 0.43 }

// tall is the height of a row of so many lines.
func (t *table) tall(lines int) float64 { return float64(max(1, lines))*t.high() + 2*pad }

// row is a row more.
func (t *table) row(texts ...string) {
	cells := make([][]string, len(t.cols))
	for i, c := range t.cols {
		t.font(t.style(i), t.size)
		cells[i] = t.lines(texts[i], c.w-4*pad)
	}
	t.rows = append(t.rows, cells)
}

// whole is how many lines of a row stay together: one that is longer by a few is not parted
// for these, another is.
const whole = 12

// unparted is how many lines of a row must have room where it begins.
func unparted(lines int) int {
	if lines < whole+lastRows {
		return lines
	}
	return whole
}

// How many rows of a table stand together at least where it begins, and where it goes on on
// another page: fewer under heads that are repeated look forgotten.
const firstRows, lastRows = 2, 4

// needs is the room for row i and for those that go with it, below so many mm of heads: never
// more than a page has.
func (t *table) needs(i int, heads float64) float64 {
	n := 1
	switch left := len(t.rows) - i; {
	case i == 0 && left < firstRows+lastRows: // no place to part it
		n = left
	case i == 0:
		n = firstRows
	case left <= lastRows:
		n = left
	}
	mm, all := 0.0, 0.0
	for _, cells := range t.rows[i : i+n] {
		mm += t.tall(unparted(most(cells)))
		all += t.tall(most(cells))
	}
	if n == len(t.rows)-i && all < unpartedEnd {
		mm = all
	}
	return min(mm, t.bottom()-t.begins()-heads-1)
}

// drawAll draws heads and rows. Neither heads nor the last rows stand alone on a page.
func (t *table) drawAll() {
	heads := make([][]string, len(t.cols))
	if t.plain {
		heads = nil
	}
	t.font("B", t.size)
	for i, c := range t.cols[:len(heads)] {
		heads[i] = t.lines(c.head, c.w-4*pad)
	}
	begin := func() {
		if t.plain {
			return
		}
		t.f.SetFillColor(225, 225, 225)
		t.draw(heads, "B", true)
	}
	if len(t.rows) == 0 {
		t.flush(t.tall(most(heads)))
		begin()
		return
	}
	high := 0.0
	if !t.plain {
		high = t.tall(most(heads))
	}
	for i, cells := range t.rows {
		switch need := t.needs(i, high); {
		case i == 0:
			t.flush(high + need)
			begin()
		case need > t.bottom()-t.f.GetY():
			t.next(t.lying())
			begin()
		}
		for first := true; first || most(cells) > 0; first = false {
			fits := int((t.bottom() - t.f.GetY() - 2*pad) / t.high())
			if fits < unparted(most(cells)) {
				t.next(t.lying())
				begin()
				fits = int((t.bottom() - t.f.GetY() - 2*pad) / t.high())
			}
			if left := most(cells) - fits; left > 0 && left < lastRows && fits > 2*lastRows {
				fits -= lastRows - left // else a few lines would look forgotten
			}
			if short := t.short(i, most(cells)-fits); short > 0 && fits-short > 2*lastRows {
				fits -= short
			}
			now, rest := cut(cells, fits)
			if first && i < len(t.at) {
				t.standsHere(t.at[i])
			}
			t.draw(now, "", false)
			cells = rest
		}
		if t.tell {
			t.tick()
		}
	}
}

// unpartedEnd is how high, in mm, the end of a table may be that is not parted at all. Our
// choice.
const unpartedEnd = 90

// leastOver is how high, in mm, the end of a table at least is that goes on on another page
// with fewer than lastRows rows, the first of them parted. Our choice.
const leastOver = 60

// short is by how many lines the end of a table is too low to go on on another page, of whose
// row i so many lines are left for there.
func (t *table) short(i, left int) int {
	later := t.rows[i+1:]
	if left <= 0 || len(later)+1 >= lastRows {
		return 0
	}
	mm := t.tall(left)
	for _, cells := range later {
		mm += t.tall(most(cells))
	}
	return max(0, int((leastOver-mm)/t.high())+1)
}

func (t *table) style(column int) string {
	if t.cols[column].head == t.cols[0].head && !t.plain {
		return "B"
	}
	return ""
}

func (t *table) draw(cells [][]string, style string, fill bool) {
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
		} else {
			t.font(style, t.size)
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
func (d *doc) grid(size float64, cols ...column) *table {
	d.settle()
	d.open = &table{doc: d, cols: spread(cols, d.width()), size: size}
	return d.open
}
