package sheet

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"potlife/cmd/potlife/internal/plandoc"
)

// drawnSide is a side of an outline as its job file counts them: one edge, or
// the edges that stand for an arc.
type drawnSide struct {
	first, last int // edges of the ring, last after first
	arc         bool
}

// arcEdges is how many edges an arc has at least: the flattest that is drawn with
// fewer rises 2 mm.
const arcEdges = 3

// sidesOf divides a ring into sides. Edges of one length that turn by one small
// angle each are an arc; the ring begins at a corner, so no arc runs over its end.
func sidesOf(ring []plandoc.Point) []drawnSide {
	n := len(ring)
	at := func(i int) (x, y float64) {
		p, q := ring[i], ring[(i+1)%n]
		return float64(q[0] - p[0]), float64(q[1] - p[1])
	}
	long := func(i int) float64 { x, y := at(i); return math.Hypot(x, y) }
	bend := func(i int) float64 { // from edge i to the next, in degrees
		ax, ay := at(i)
		bx, by := at(i + 1)
		return math.Atan2(ax*by-ay*bx, ax*bx+ay*by) * 180 / math.Pi
	}
	var list []drawnSide
	for i := 0; i < n; {
		k := i
		for k+1 < n && math.Abs(long(k+1)-long(i)) < 0.02*long(i)+0.1 && math.Abs(bend(k)) < 35 &&
			math.Abs(bend(k)) > 0.05 && math.Abs(bend(k)-bend(i)) < 0.5 {
			k++
		}
		if k-i+1 < arcEdges {
			k = i
		}
		list = append(list, drawnSide{i, k, k > i})
		i = k + 1
	}
	return list
}

// sides numbers the sides of an outline that is no rectangle as its job file
// does, from 0, and names them as findings do; an arc is one side. Those that
// have no room for their number are left to the legend. A day's drawing goes
// without.
func (p *picture) sides(c Canvas, f frame) {
	ring, edges := p.surface.Outline.Outer, p.surface.Edges
	if p.state != nil || len(ring) != len(edges) || len(ring) == 4 {
		return
	}
	var taken []box
	for i, s := range sidesOf(ring) {
		name := strings.Replace(edges[s.first].Name, " edge", "", 1)
		if s.arc {
			name = "arc"
		}
		l := labelAt(f, ring, s, fmt.Sprintf("%d %s", i, name))
		if l.wide > l.room || overlaps(taken, l.box) {
			l = labelAt(f, ring, s, fmt.Sprint(i))
		}
		if overlaps(taken, l.box) {
			p.unnumbered = append(p.unnumbered, i)
			continue
		}
		taken = append(taken, l.box)
		c.Rect(Pt{l.box.x0, l.box.y0}, l.box.w(), l.box.h(), Paper, Pen{})
		c.Text(l.at, l.text, Type{Size: sideText, Ink: Mid, Anchor: Centre, Turn: l.turn})
	}
}

// sideText is the height of the sides' names.
const sideText = 1.9

// sideName is a side's name where it stands on paper.
type sideName struct {
	text       string
	at         Pt
	turn       float64
	box        box
	wide, room float64 // of the text, and along the side
}

// labelAt puts a text beside the middle of a side, inside the outline: along it,
// or upright where it is but a number.
func labelAt(f frame, ring []plandoc.Point, s drawnSide, text string) sideName {
	a, b := f.pt(ring[s.first]), f.pt(ring[(s.last+1)%len(ring)])
	mid := Pt{(a.X + b.X) / 2, (a.Y + b.Y) / 2}
	long := math.Hypot(b.X-a.X, b.Y-a.Y)
	if s.arc {
		m := s.first + (s.last+1-s.first)/2
		p, q := f.pt(ring[m]), f.pt(ring[m])
		if (s.last-s.first)%2 == 0 { // an odd number of edges: the middle of one
			q = f.pt(ring[m+1])
		}
		mid = Pt{(p.X + q.X) / 2, (p.Y + q.Y) / 2}
	}
	l := sideName{text: text, wide: textWidth(text, sideText), room: long}
	_, err := strconv.Atoi(text)
	if bare := err == nil; !bare && math.Abs(b.Y-a.Y) > math.Abs(b.X-a.X) {
		l.turn = 90
	}
	// On paper y runs down: inside lies on the right.
	const in = 1.6
	mid = Pt{mid.X + (b.Y-a.Y)/max(long, 1)*in, mid.Y - (b.X-a.X)/max(long, 1)*in}
	w, h := l.wide+0.6, sideText*1.1
	l.at = Pt{mid.X, mid.Y + sideText*0.36}
	if l.turn != 0 {
		w, h, l.at = h, w, Pt{mid.X + sideText*0.36, mid.Y}
	}
	l.box = box{mid.X - w/2, mid.Y - h/2, mid.X + w/2, mid.Y + h/2}
	return l
}

func overlaps(list []box, b box) bool {
	return slices.ContainsFunc(list, func(o box) bool { return o.x0 < b.x1 && b.x0 < o.x1 && o.y0 < b.y1 && b.y0 < o.y1 })
}
