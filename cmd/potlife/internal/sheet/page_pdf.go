package sheet

import (
	"fmt"
	"io"
	"strings"
	"time"
	"unicode"

	"codeberg.org/go-pdf/fpdf"
)

// Margins and sizes of printed pages, in mm.
const (
	pageSide   = 12.0
	pageTop    = 9.0
	pageBottom = 10.0
	body       = 2.85 // 8 pt
	small      = 2.4
	leading    = 1.24
)

// paper writes from the top down and turns pages.
type paper struct {
	f       *fpdf.Fpdf
	c       *pdfCanvas
	w, h    float64 // of the page
	y       float64
	running string // head of every page after the first
	foot    string
	stamp   string

	share     float64 // of the usual height of drawings
	cautioned bool    // the cautions are written
}

func newPaper(letter bool, title, author string, stamp time.Time) *paper {
	f := newPDF(letter, title, author, stamp)
	p := &paper{f: f, c: &pdfCanvas{f: f}}
	p.w, p.h = f.GetPageSize()
	f.AddPage()
	p.y = pageTop
	return p
}

// inner is the width between the margins.
func (p *paper) inner() float64 { return p.w - 2*pageSide }

func (p *paper) room() float64 { return p.h - pageBottom - p.y }

// need turns the page when fewer than h mm are left.
func (p *paper) need(h float64) {
	if p.room() >= h || p.y <= pageTop+6 {
		return
	}
	p.f.AddPage()
	p.y = pageTop
	if p.running != "" {
		p.c.Text(Pt{pageSide, p.y + small}, p.running, Type{Size: small, Ink: Mid})
		p.y += small + 1.2
		p.c.Line(Pt{pageSide, p.y}, Pt{p.w - pageSide, p.y}, Pen{W: 0.2, Ink: Pale})
		p.y += 2
	}
}

func (p *paper) heading(s string) { p.headingOver(s, 9) }

// headingOver writes a heading that stays with the h mm under it.
func (p *paper) headingOver(s string, h float64) {
	p.need(8 + h)
	p.y += 2.2
	p.c.Text(Pt{pageSide, p.y + 3.4}, s, Type{Size: 3.5, Bold: true, Ink: Dark})
	p.y += 4.4
	p.c.Line(Pt{pageSide, p.y}, Pt{p.w - pageSide, p.y}, Pen{W: 0.3, Ink: Dark})
	p.y += 1.2
}

// wrap breaks s into lines of at most w mm, at spaces that may be broken at.
func (p *paper) wrap(s string, w float64, t Type) []string {
	p.c.font(t)
	var lines []string
	line := ""
	for _, word := range strings.FieldsFunc(plainText(s), breaks) {
		next := word
		if line != "" {
			next = line + " " + word
		}
		if line != "" && p.f.GetStringWidth(next) > w {
			lines, next = append(lines, line), word
		}
		for p.f.GetStringWidth(next) > w && len([]rune(next)) > 1 {
			cut := p.fit(next, w)
			lines, next = append(lines, cut), next[len(cut):]
		}
		line = next
	}
	if line != "" || len(lines) == 0 {
		lines = append(lines, line)
	}
	return lines
}

// breaks are the spaces between words; those within a figure, or between a mark
// and what it marks, hold.
func breaks(r rune) bool { return unicode.IsSpace(r) && r != '\u00a0' && r != '\u202f' }

// fit returns the longest beginning of a word that fits w, at least a letter.
func (p *paper) fit(word string, w float64) string {
	end := 0
	for i := range word {
		if i > 0 && p.f.GetStringWidth(word[:i]) > w {
			break
		}
		if i > 0 {
			end = i
		}
	}
	if end == 0 {
		end = len(string([]rune(word)[:1]))
	}
	return word[:end]
}

func (p *paper) para(s string, t Type, indent float64) {
	for _, line := range p.wrap(s, p.inner()-indent, t) {
		p.need(t.Size * leading)
		p.c.Text(Pt{pageSide + indent, p.y + t.Size}, line, t)
		p.y += t.Size * leading
	}
}

func (p *paper) bullets(list []string, mark string) {
	t := Type{Size: body, Ink: Dark}
	for _, s := range list {
		lines := p.wrap(s, p.inner()-4, t)
		p.need(float64(len(lines)) * body * leading)
		p.c.Text(Pt{pageSide, p.y + body}, mark, t)
		for _, line := range lines {
			p.c.Text(Pt{pageSide + 4, p.y + body}, line, t)
			p.y += body * leading
		}
		p.y += 0.4
	}
}

// column of a table: its share of the width, and how its cells are set.
type column struct {
	head  string
	share float64
	bold  bool
	right bool
}

// table writes rows with wrapped cells; the head is repeated on a new page. A
// cell may hold several paragraphs parted by line feeds.
func (p *paper) table(cols []column, rows [][]string) {
	total := 0.0
	for _, c := range cols {
		total += c.share
	}
	widths := make([]float64, len(cols))
	for i, c := range cols {
		widths[i] = p.inner() * c.share / total
	}
	p.need(12)
	p.tableHead(cols, widths)
	for _, row := range rows {
		if len(row) == 1 {
			p.tableBand(row[0])
			continue
		}
		lines, high := p.cells(cols, widths, row)
		page := p.f.PageNo()
		p.need(high)
		if p.f.PageNo() != page {
			p.tableHead(cols, widths)
		}
		p.tableRow(cols, widths, lines)
		p.y += high
		p.c.Line(Pt{pageSide, p.y}, Pt{p.w - pageSide, p.y}, Pen{W: 0.1, Ink: Pale})
	}
	p.y += 1.2
}

// tableBand writes a row over all columns, its first paragraph bold.
func (p *paper) tableBand(s string) {
	first, rest, _ := strings.Cut(s, "\n")
	bold, soft := Type{Size: body, Bold: true, Ink: Dark}, Type{Size: small, Ink: Mid}
	head, tail := p.wrap(first, p.inner()-3, bold), p.wrap(rest, p.inner()-3, soft)
	if rest == "" {
		tail = nil
	}
	high := float64(len(head))*body*leading + float64(len(tail))*small*leading + 1.6
	p.need(high + 2*body*leading)
	p.c.Rect(Pt{pageSide, p.y}, p.inner(), high, Hollow, Pen{})
	y := p.y + 0.6
	for _, line := range head {
		p.c.Text(Pt{pageSide + 1.5, y + body}, line, bold)
		y += body * leading
	}
	for _, line := range tail {
		p.c.Text(Pt{pageSide + 1.5, y + small}, line, soft)
		y += small * leading
	}
	p.y += high
}

func (p *paper) tableHead(cols []column, widths []float64) {
	x := pageSide
	for i, c := range cols {
		t := Type{Size: small, Ink: Mid}
		at := Pt{x, p.y + small + 0.3}
		if c.right {
			t.Anchor, at.X = Right, x+widths[i]-2
		}
		p.c.Text(at, c.head, t)
		x += widths[i]
	}
	p.y += small*leading + 0.8
	p.c.Line(Pt{pageSide, p.y}, Pt{p.w - pageSide, p.y}, Pen{W: 0.2, Ink: Mid})
}

func cellType(c column) Type { return Type{Size: body, Bold: c.bold, Ink: Dark} }

func (p *paper) cells(cols []column, widths []float64, row []string) ([][]string, float64) {
	lines, most := make([][]string, len(cols)), 1
	for i, c := range cols {
		for _, part := range strings.Split(row[i], "\n") {
			lines[i] = append(lines[i], p.wrap(part, widths[i]-2, cellType(c))...)
		}
		most = max(most, len(lines[i]))
	}
	return lines, float64(most)*body*leading + 1.1
}

func (p *paper) tableRow(cols []column, widths []float64, lines [][]string) {
	x := pageSide
	for i, c := range cols {
		for k, line := range lines[i] {
			t, at := cellType(c), Pt{x, p.y + 0.4 + body + float64(k)*body*leading}
			if c.right {
				t.Anchor, at.X = Right, x+widths[i]-2
			}
			p.c.Text(at, line, t)
		}
		x += widths[i]
	}
}

// finish writes foot and stamp on every page and the document to w.
func (p *paper) finish(w io.Writer) error {
	n := p.f.PageCount()
	for i := 1; i <= n; i++ {
		p.f.SetPage(i)
		y := p.h - 6.5
		p.c.Text(Pt{pageSide, y}, p.foot, Type{Size: small, Ink: Mid})
		p.c.Text(Pt{p.w - pageSide, y}, fmt.Sprintf("page %d of %d", i, n), Type{Size: small, Ink: Mid, Anchor: Right})
		if p.stamp != "" {
			p.f.SetAlpha(0.4, "Normal")
			p.c.Text(Pt{p.w / 2, p.h * 0.55}, p.stamp, Type{Size: 13, Bold: true, Ink: Clay, Anchor: Centre, Turn: 35})
			p.f.SetAlpha(1, "Normal")
		}
	}
	if err := p.f.Output(w); err != nil {
		return fmt.Errorf("pdf: %w", err)
	}
	return nil
}
