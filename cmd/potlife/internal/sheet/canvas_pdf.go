package sheet

import (
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"github.com/go-fonts/dejavu/dejavusanscondensed"
	"github.com/go-fonts/dejavu/dejavusanscondensedbold"
)

// pdfCanvas draws on the current page of a PDF, moved by (dx, dy).
type pdfCanvas struct {
	f      *fpdf.Fpdf
	dx, dy float64
}

const (
	pdfFont = "sheet"
	ptPerMM = 72 / 25.4
)

// newPDF begins a document of A4 or Letter pages whose bytes depend on nothing
// but what is drawn: its dates are stamp, its catalogue is sorted.
func newPDF(letter bool, title, author string, stamp time.Time) *fpdf.Fpdf {
	size := "A4"
	if letter {
		size = "Letter"
	}
	f := fpdf.New("P", "mm", size, "")
	f.SetCatalogSort(true)
	f.SetCreationDate(stamp)
	f.SetModificationDate(stamp)
	f.SetTitle(plainText(title), true)
	f.SetAuthor(plainText(author), true)
	f.SetCreator("potlife", true)
	f.SetLang("en")
	f.SetMargins(0, 0, 0)
	f.SetAutoPageBreak(false, 0)
	f.AddUTF8FontFromBytes(pdfFont, "", dejavusanscondensed.TTF)
	f.AddUTF8FontFromBytes(pdfFont, "B", dejavusanscondensedbold.TTF)
	f.SetLineCapStyle("butt")
	f.SetLineJoinStyle("miter")
	return f
}

// plainText keeps what the font can show: a character outside the basic plane
// would make the whole PDF fail, so it becomes a question mark in a box.
func plainText(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r > 0xffff || r == 0xfffd:
			return '☐'
		case r == '\n' || r == '\t' || r == '\r':
			return ' '
		case r < 0x20:
			return -1
		}
		return r
	}, s)
}

func (c *pdfCanvas) Open(string, string) {}
func (c *pdfCanvas) Close()              {}
func (c *pdfCanvas) Err() error          { return c.f.Error() }

func (c *pdfCanvas) at(p Pt) (x, y float64) { return p.X + c.dx, p.Y + c.dy }

func (c *pdfCanvas) pen(p Pen) bool {
	if p.Ink == NoInk || p.W <= 0 {
		return false
	}
	v := inks[p.Ink]
	c.f.SetDrawColor(v.r, v.g, v.b)
	c.f.SetLineWidth(p.W)
	if p.Dash > 0 {
		c.f.SetDashPattern([]float64{p.Dash, p.Dash}, 0)
	} else {
		c.f.SetDashPattern([]float64{}, 0)
	}
	return true
}

// style sets fill and pen and says how a path is to be painted, "" not at all.
func (c *pdfCanvas) style(fill Ink, p Pen) string {
	s := ""
	if fill != NoInk {
		v := inks[fill]
		c.f.SetFillColor(v.r, v.g, v.b)
		s = "F"
	}
	if c.pen(p) {
		s += "D"
	}
	return s
}

func (c *pdfCanvas) Line(a, b Pt, p Pen) {
	if c.pen(p) {
		ax, ay := c.at(a)
		bx, by := c.at(b)
		c.f.Line(ax, ay, bx, by)
	}
}

func (c *pdfCanvas) Path(points []Pt, p Pen) {
	if len(points) > 1 && c.pen(p) {
		c.trace(points)
		c.f.DrawPath("D")
	}
}

func (c *pdfCanvas) trace(points []Pt) {
	for i, p := range points {
		x, y := c.at(p)
		if i == 0 {
			c.f.MoveTo(x, y)
		} else {
			c.f.LineTo(x, y)
		}
	}
}

func (c *pdfCanvas) Area(rings [][]Pt, fill Ink, p Pen) {
	style := c.style(fill, p)
	if style == "" || len(rings) == 0 {
		return
	}
	for _, ring := range rings {
		c.trace(ring)
		c.f.ClosePath()
	}
	switch style {
	case "F":
		style = "f*"
	case "FD":
		style = "B*"
	}
	c.f.DrawPath(style)
}

func (c *pdfCanvas) Rect(at Pt, w, h float64, fill Ink, p Pen) {
	if style := c.style(fill, p); style != "" {
		x, y := c.at(at)
		c.f.Rect(x, y, w, h, style)
	}
}

func (c *pdfCanvas) Disc(at Pt, r float64, fill Ink, p Pen) {
	if style := c.style(fill, p); style != "" {
		x, y := c.at(at)
		c.f.Circle(x, y, r, style)
	}
}

func (c *pdfCanvas) Tick(tip Pt, dx, dy, size float64, ink Ink) {
	c.Area([][]Pt{tick(tip, dx, dy, size)}, ink, Pen{})
}

func (c *pdfCanvas) Text(at Pt, s string, t Type) {
	s = plainText(s)
	c.font(t)
	x, y := c.at(at)
	w := c.f.GetStringWidth(s)
	shift := 0.0
	switch t.Anchor {
	case Centre:
		shift = w / 2
	case Right:
		shift = w
	}
	if t.Turn == 0 {
		c.f.Text(x-shift, y, s)
		return
	}
	c.f.TransformBegin()
	c.f.TransformRotate(t.Turn, x, y)
	c.f.Text(x-shift, y, s)
	c.f.TransformEnd()
}

// font makes t the current font.
func (c *pdfCanvas) font(t Type) {
	style := ""
	if t.Bold {
		style = "B"
	}
	c.f.SetFont(pdfFont, style, t.Size*ptPerMM)
	v := inks[t.Ink]
	c.f.SetTextColor(v.r, v.g, v.b)
}
