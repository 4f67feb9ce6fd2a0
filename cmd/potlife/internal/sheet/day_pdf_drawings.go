package sheet

// Heights of drawings on paper, in mm.
const (
	leastDrawing = 58.0
	mostInRow    = 104.0
	mostDrawing  = 132.0
	betweenTwo   = 4.0
	leastShare   = 0.5 // of the height of two side by side
)

// pdfDrawings sets drawings two in a row where their numbers can still be
// read, else over the full width; a row that fits what is left of the page, if
// smaller, stays on it. Where the next page is begun all the same, the
// cautions fill this one.
func (d *Day) pdfDrawings(p *paper) {
	if len(d.Drawings) == 0 {
		return
	}
	rows := d.drawingRows(p.inner(), p.share)
	h := rows[0].height(p.room() - 18)
	if h+18 > p.room() && d.cautionsFit(p) {
		d.pdfCautions(p)
	}
	title := "Drawings"
	if len(d.Drawings) == 1 {
		title = "Drawing"
	}
	p.headingOver(title, h+6)
	for _, row := range rows {
		p.drawings(row, row.height(p.room()-7-p.captions(row)))
	}
}

// drawingRow is one or two drawings side by side.
type drawingRow struct {
	list []*Drawing
	w    []float64 // of each, mm
	most float64   // height wished
}

// drawingRows parts the drawings into rows.
func (d *Day) drawingRows(inner, share float64) []drawingRow {
	var rows []drawingRow
	for i := 0; i < len(d.Drawings); i++ {
		a := &d.Drawings[i]
		if i+1 < len(d.Drawings) {
			if row, ok := sideBySide(a, &d.Drawings[i+1], inner, mostInRow*max(share, leastShare)); ok {
				rows = append(rows, row)
				i++
				continue
			}
			if row, ok := sideBySide(a, &d.Drawings[i+1], inner, mostInRow); ok {
				rows = append(rows, row)
				i++
				continue
			}
		}
		most := mostDrawing
		if len(d.Drawings) > 2 && a.picture.readable(inner, mostInRow) {
			most = mostInRow
		}
		if a.picture.readable(inner, most*share) {
			most *= share
		}
		rows = append(rows, drawingRow{[]*Drawing{a}, []float64{inner}, most})
	}
	return rows
}

// sideBySide shares the width between two drawings so that the smaller of
// their numbers is as large as can be; ok where they can be read.
func sideBySide(a, b *Drawing, inner, most float64) (drawingRow, bool) {
	best, share := 0.0, 0
	for k := 30; k <= 70; k += 5 {
		wa := (inner - betweenTwo) * float64(k) / 100
		wb := inner - betweenTwo - wa
		if s := min(a.picture.numberSize(wa, most), b.picture.numberSize(wb, most)); s > best {
			best, share = s, k
		}
	}
	wa := (inner - betweenTwo) * float64(share) / 100
	return drawingRow{[]*Drawing{a, b}, []float64{wa, inner - betweenTwo - wa}, most}, best >= leastText
}

// height is how high the row is drawn when left mm of the page are left: as
// wished, or just that much if it can still be read.
func (r drawingRow) height(left float64) float64 {
	tall := 0.0
	for i, dr := range r.list {
		_, h := dr.picture.size(r.w[i], r.most)
		tall = max(tall, h)
	}
	if left >= tall || left < leastDrawing {
		return tall
	}
	for i, dr := range r.list {
		if !dr.picture.readable(r.w[i], left) {
			return tall
		}
	}
	return left
}

// captionType is how the caption over a drawing is set.
var captionType = Type{Size: body, Bold: true, Ink: Dark}

// captions is how much more room than one line the longest caption of a row
// takes: it is as wide as its drawing and says which areas are in it.
func (p *paper) captions(row drawingRow) float64 {
	lines := 1
	for i, dr := range row.list {
		lines = max(lines, len(p.wrap(dr.Caption(), row.w[i], captionType)))
	}
	return float64(lines-1) * body * leading
}

func (p *paper) drawings(row drawingRow, h float64) {
	more := p.captions(row)
	tall := 0.0
	for i, dr := range row.list {
		_, ph := dr.picture.size(row.w[i], h)
		tall = max(tall, ph)
	}
	p.need(tall + 5 + more)
	x := pageSide
	for i, dr := range row.list {
		for k, line := range p.wrap(dr.Caption(), row.w[i], captionType) {
			p.c.Text(Pt{x, p.y + body + float64(k)*body*leading}, line, captionType)
		}
		p.c.dx, p.c.dy = x, p.y+4+more
		dr.picture.wide = row.w[i]
		dr.picture.draw(p.c, row.w[i], h)
		dr.picture.wide = 0
		p.c.dx, p.c.dy = 0, 0
		x += row.w[i] + betweenTwo
	}
	p.y += tall + 5 + more
}
