// Package sheet makes what is printed and handed on: drawings of surfaces, the
// day sheet, purchase orders, calendars. All of it is made from a plan
// document and nothing else; the same document gives the same bytes.
//
// Drawings are made once, against the Canvas interface, and come out as SVG or
// as vectors in a PDF. Paper coordinates are mm, x to the right, y down.
package sheet

import "math"

// Pt is a point on paper.
type Pt struct{ X, Y float64 }

// Ink is what is drawn with. Every ink stays apart from its neighbours in grey
// print too.
type Ink uint8

// Inks.
const (
	NoInk    Ink = iota
	Dark         // outlines, cut edges, figures
	Mid          // labels, dimension lines
	Pale         // joints of what is not set today
	Paper        // the sheet itself
	TodayA       // pieces of today, first area
	TodayB       // pieces of today, area in between
	Earlier      // pieces already up
	CutTint      // cut pieces where no day is shown
	Hollow       // openings
	Clay         // level line, start, stamps: the one colour
	inkCount     // number of inks
)

type inkValue struct {
	class   string
	r, g, b int
}

var inks = [inkCount]inkValue{
	NoInk: {"", 0, 0, 0}, Dark: {"dark", 0x1c, 0x22, 0x24}, Mid: {"mid", 0x57, 0x60, 0x64},
	Pale: {"pale", 0xa3, 0xa9, 0xa8}, Paper: {"paper", 0xff, 0xff, 0xff},
	TodayA: {"today-a", 0xf6, 0xee, 0xdb}, TodayB: {"today-b", 0xe9, 0xda, 0xb4},
	Earlier: {"earlier", 0xc6, 0xc9, 0xc7}, CutTint: {"cut", 0xed, 0xec, 0xe6},
	Hollow: {"hollow", 0xf4, 0xf5, 0xf4}, Clay: {"clay", 0x9c, 0x3f, 0x1f},
}

// Pen draws lines of width W mm, dashed when Dash (mm on, mm off) is not 0.
type Pen struct {
	W    float64
	Ink  Ink
	Dash float64
}

// Anchor is where along a text its point lies.
type Anchor uint8

// Anchors.
const (
	Left Anchor = iota
	Centre
	Right
)

// Type is how a text is set: Size in mm (the height of a line), Turn in
// degrees counter-clockwise.
type Type struct {
	Size   float64
	Bold   bool
	Ink    Ink
	Anchor Anchor
	Turn   float64
}

// Canvas is what drawings are made on. Text stands with its baseline on at.
type Canvas interface {
	// Open begins a named group and Close ends it; the names are for readers
	// that cannot see.
	Open(id, label string)
	Close()
	Line(a, b Pt, p Pen)
	Path(points []Pt, p Pen)
	// Area fills rings by the even-odd rule and draws their outlines.
	Area(rings [][]Pt, fill Ink, p Pen)
	Rect(at Pt, w, h float64, fill Ink, p Pen)
	Disc(at Pt, r float64, fill Ink, p Pen)
	Text(at Pt, s string, t Type)
	// Tick is a filled arrow head at tip, pointing along (dx, dy).
	Tick(tip Pt, dx, dy, size float64, ink Ink)
	// Err is the first thing that went wrong.
	Err() error
}

// textWidth is the width in mm of s set at size, a little on the wide side, by
// one table for all canvases so that what is left out for want of room does
// not depend on where it is drawn.
func textWidth(s string, size float64) float64 {
	w := 0.0
	for _, r := range s {
		switch {
		case r == ' ' || r == '.' || r == ',' || r == '\'' || r == 'i' || r == 'l' || r == '|' || r == 'j':
			w += 0.32
		case r == '"' || r == '/' || r == '-' || r == '(' || r == ')' || r == 't' || r == 'f' || r == 'r':
			w += 0.42
		case r == 'm' || r == 'w' || r == 'M' || r == 'W' || r == '↔' || r == '↕' || r == '≈':
			w += 0.9
		default:
			w += 0.6
		}
	}
	return w * size
}

// hatch draws parallel lines at 45° inside rings, by the even-odd rule.
func hatch(c Canvas, rings [][]Pt, gap float64, p Pen) {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, ring := range rings {
		for _, q := range ring {
			lo, hi = math.Min(lo, q.X+q.Y), math.Max(hi, q.X+q.Y)
		}
	}
	for k := math.Ceil(lo / gap); k*gap < hi; k++ {
		cuts := crossings(rings, k*gap)
		for i := 0; i+1 < len(cuts); i += 2 {
			if x0, x1 := cuts[i], cuts[i+1]; x1-x0 > 0.05 {
				c.Line(Pt{x0, k*gap - x0}, Pt{x1, k*gap - x1}, p)
			}
		}
	}
}

// crossings returns, sorted, the x where the line x + y = k enters and leaves
// the rings. Ends count half-open, so that a vertex on the line counts once.
func crossings(rings [][]Pt, k float64) []float64 {
	var xs []float64
	for _, ring := range rings {
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			da, db := a.X+a.Y-k, b.X+b.Y-k
			if (da < 0) == (db < 0) {
				continue
			}
			xs = append(xs, a.X+(b.X-a.X)*da/(da-db))
		}
	}
	for i := 1; i < len(xs); i++ {
		for j := i; j > 0 && xs[j] < xs[j-1]; j-- {
			xs[j], xs[j-1] = xs[j-1], xs[j]
		}
	}
	return xs
}
