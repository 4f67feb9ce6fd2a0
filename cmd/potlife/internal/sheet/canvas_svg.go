package sheet

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"
)

// svgCanvas writes an SVG element. Colours stand as presentation attributes,
// which a page's style sheet may override by class; nothing in it needs inline
// style, so it passes a strict content security policy.
type svgCanvas struct {
	b     bytes.Buffer
	depth int
}

// newSVG begins a drawing of w × h mm. id must be unique in the page.
func newSVG(id, title, desc string, w, h float64) *svgCanvas {
	c := &svgCanvas{}
	fmt.Fprintf(&c.b, `<svg xmlns="http://www.w3.org/2000/svg" class="drawing" viewBox="0 0 %s %s" width="%smm" height="%smm" role="img" aria-labelledby="%s-t %s-d" font-family="DejaVu Sans Condensed, DejaVu Sans, Arial, sans-serif">`+"\n",
		num(w), num(h), num(w), num(h), id, id)
	fmt.Fprintf(&c.b, "<title id=\"%s-t\">%s</title>\n<desc id=\"%s-d\">%s</desc>\n", id, esc(title), id, esc(desc))
	return c
}

func (c *svgCanvas) bytes() []byte {
	for ; c.depth > 0; c.depth-- {
		c.b.WriteString("</g>\n")
	}
	c.b.WriteString("</svg>\n")
	return c.b.Bytes()
}

func (c *svgCanvas) Open(id, label string) {
	c.depth++
	c.b.WriteString("<g")
	if id != "" {
		c.b.WriteString(` id="` + esc(id) + `"`)
	}
	c.b.WriteString(">")
	if label != "" {
		c.b.WriteString("<title>" + esc(label) + "</title>")
	}
	c.b.WriteString("\n")
}

func (c *svgCanvas) Close() {
	if c.depth > 0 {
		c.depth--
		c.b.WriteString("</g>\n")
	}
}

func (c *svgCanvas) Err() error { return nil }

func (c *svgCanvas) Line(a, b Pt, p Pen) {
	fmt.Fprintf(&c.b, `<path d="M%s %sL%s %s"%s/>`+"\n", num(a.X), num(a.Y), num(b.X), num(b.Y), paint(NoInk, p))
}

func (c *svgCanvas) Path(points []Pt, p Pen) {
	fmt.Fprintf(&c.b, `<path d="%s"%s/>`+"\n", pathData([][]Pt{points}, false), paint(NoInk, p))
}

func (c *svgCanvas) Area(rings [][]Pt, fill Ink, p Pen) {
	rule := ""
	if len(rings) > 1 {
		rule = ` fill-rule="evenodd"`
	}
	fmt.Fprintf(&c.b, `<path d="%s"%s%s/>`+"\n", pathData(rings, true), rule, paint(fill, p))
}

func (c *svgCanvas) Rect(at Pt, w, h float64, fill Ink, p Pen) {
	fmt.Fprintf(&c.b, `<rect x="%s" y="%s" width="%s" height="%s"%s/>`+"\n", num(at.X), num(at.Y), num(w), num(h), paint(fill, p))
}

func (c *svgCanvas) Disc(at Pt, r float64, fill Ink, p Pen) {
	fmt.Fprintf(&c.b, `<circle cx="%s" cy="%s" r="%s"%s/>`+"\n", num(at.X), num(at.Y), num(r), paint(fill, p))
}

func (c *svgCanvas) Tick(tip Pt, dx, dy, size float64, ink Ink) {
	c.Area([][]Pt{tick(tip, dx, dy, size)}, ink, Pen{})
}

func (c *svgCanvas) Text(at Pt, s string, t Type) {
	attrs := ""
	switch t.Anchor {
	case Centre:
		attrs += ` text-anchor="middle"`
	case Right:
		attrs += ` text-anchor="end"`
	}
	if t.Bold {
		attrs += ` font-weight="bold"`
	}
	if t.Turn != 0 {
		attrs += fmt.Sprintf(` transform="rotate(%s %s %s)"`, num(-t.Turn), num(at.X), num(at.Y))
	}
	fmt.Fprintf(&c.b, `<text x="%s" y="%s" font-size="%s"%s%s>%s</text>`+"\n",
		num(at.X), num(at.Y), num(t.Size), attrs, paint(t.Ink, Pen{}), esc(s))
}

func paint(fill Ink, p Pen) string {
	var s, class string
	if fill == NoInk {
		s = ` fill="none"`
	} else {
		class = "f-" + inks[fill].class
		s = ` fill="` + hex(fill) + `"`
	}
	if p.Ink != NoInk && p.W > 0 {
		class = strings.TrimSpace(class + " s-" + inks[p.Ink].class)
		s += ` stroke="` + hex(p.Ink) + `" stroke-width="` + num(p.W) + `"`
		if p.Dash > 0 {
			s += ` stroke-dasharray="` + num(p.Dash) + `"`
		}
	}
	if class != "" {
		s = ` class="` + class + `"` + s
	}
	return s
}

func hex(i Ink) string { return fmt.Sprintf("#%02x%02x%02x", inks[i].r, inks[i].g, inks[i].b) }

func pathData(rings [][]Pt, closed bool) string {
	var b strings.Builder
	for _, ring := range rings {
		for i, p := range ring {
			if i == 0 {
				b.WriteByte('M')
			} else {
				b.WriteByte('L')
			}
			b.WriteString(num(p.X) + " " + num(p.Y))
		}
		if closed {
			b.WriteByte('Z')
		}
	}
	return b.String()
}

// num writes hundredths of a mm, the finest that a printer shows.
func num(v float64) string {
	s := strconv.FormatFloat(v, 'f', 2, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" || s == "" {
		return "0"
	}
	return s
}

var escaper = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;", "'", "&#39;")

func esc(s string) string { return escaper.Replace(s) }

// tick is an arrow head with its tip at tip, pointing along the unit vector
// (dx, dy).
func tick(tip Pt, dx, dy, size float64) []Pt {
	back := Pt{tip.X - dx*size, tip.Y - dy*size}
	return []Pt{tip, {back.X - dy*size*0.4, back.Y + dx*size*0.4}, {back.X + dy*size*0.4, back.Y - dx*size*0.4}}
}
