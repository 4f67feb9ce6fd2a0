package sheet

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"potlife/cmd/potlife/internal/plandoc"
)

// state of a piece in a drawing.
type state uint8

const (
	plain  state = iota // no day is shown
	setNow              // set on the day shown
	setYet              // up already
	setOn               // set on a later day
)

// picture is one surface as it is to be drawn.
type picture struct {
	wide    float64 // width that the legend may take, where it is more than the drawing's, in mm
	x       *plandoc.Index
	w       plandoc.Writing
	surface *plandoc.Surface
	state   map[string]state // by piece; nil: no day shown
	number  map[string]int   // setting order on the day
	second  map[string]bool  // pieces of every second area, in the other tint
	first   *plandoc.Piece   // where setting starts
	spots   map[string]box   // where words go, by piece, once looked for

	unnumbered []int // sides without room for their number
}

// frame maps the surface's mm to paper.
type frame struct {
	x0, y1 float64 // surface coordinates of the paper's left and top
	scale  float64 // paper mm per surface mm
	at     Pt      // paper point of that corner
	w, h   float64 // of the surface on paper
}

func (f frame) pt(p plandoc.Point) Pt {
	return Pt{f.at.X + (float64(p[0])-f.x0)*f.scale, f.at.Y + (f.y1-float64(p[1]))*f.scale}
}

func (f frame) px(x plandoc.MM) float64 { return f.at.X + (float64(x)-f.x0)*f.scale }
func (f frame) py(y plandoc.MM) float64 { return f.at.Y + (f.y1-float64(y))*f.scale }

func (f frame) rings(p plandoc.Polygon) [][]Pt {
	rings := make([][]Pt, 0, 1+len(p.Holes))
	for _, ring := range append([][]plandoc.Point{p.Outer}, p.Holes...) {
		out := make([]Pt, len(ring))
		for i, q := range ring {
			out[i] = f.pt(q)
		}
		rings = append(rings, out)
	}
	return rings
}

// box is an axis-parallel bounding box in mm of the surface.
type box struct{ x0, y0, x1, y1 float64 }

func boxOf(points []plandoc.Point) box {
	b := box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, p := range points {
		b.x0, b.x1 = math.Min(b.x0, float64(p[0])), math.Max(b.x1, float64(p[0]))
		b.y0, b.y1 = math.Min(b.y0, float64(p[1])), math.Max(b.y1, float64(p[1]))
	}
	return b
}

func (b box) w() float64 { return b.x1 - b.x0 }
func (b box) h() float64 { return b.y1 - b.y0 }

// Margins on paper around the surface, for dimensions, arrows and legend.
const (
	marginLeft   = 13.0
	marginRight  = 9.0
	marginTop    = 5.0
	marginBottom = 18.0
)

// size returns the paper a picture takes when it may be at most w × h mm.
func (p *picture) size(w, h float64) (float64, float64) {
	f := p.frame(w, h)
	return f.w + marginLeft + marginRight, f.h + marginTop + marginBottom
}

func (p *picture) frame(w, h float64) frame {
	b := boxOf(p.surface.Outline.Outer)
	scale := math.Min((w-marginLeft-marginRight)/b.w(), (h-marginTop-marginBottom)/b.h())
	return frame{x0: b.x0, y1: b.y1, scale: scale, at: Pt{marginLeft, marginTop}, w: b.w() * scale, h: b.h() * scale}
}

// leastText is the smallest number that can be read on paper, in mm.
const leastText = 1.7

// readable says whether the numbers of the day can be read at w × h.
func (p *picture) readable(w, h float64) bool { return p.numberSize(w, h) >= leastText }

// spot is where a piece's words go.
func (p *picture) spot(piece *plandoc.Piece) box {
	b, ok := p.spots[piece.ID]
	if !ok {
		if p.spots == nil {
			p.spots = map[string]box{}
		}
		b = roomiest(piece.Polygon)
		p.spots[piece.ID] = b
	}
	return b
}

// numberSize is the size of the day's numbers at w × h: seven in ten are at
// least that large inside their pieces; those of slivers stand on a label over
// them. It is leastText where nothing is numbered.
func (p *picture) numberSize(w, h float64) float64 {
	f := p.frame(w, h)
	var sizes []float64
	for id, n := range p.number {
		if piece := p.x.Pieces[id]; piece != nil && p.x.PieceAt[id] == p.surface && drawable(piece.Polygon) {
			b := p.spot(piece)
			bw, bh, s := b.w()*f.scale, b.h()*f.scale, strconv.Itoa(n)
			sizes = append(sizes, max(textSize(bw, bh, 1, s), textSize(bh, bw, 1, s)))
		}
	}
	if len(sizes) == 0 {
		return leastText
	}
	slices.Sort(sizes)
	return sizes[len(sizes)*3/10]
}

// draw draws the picture with its upper left corner at the canvas's origin.
func (p *picture) draw(c Canvas, w, h float64) {
	f := p.frame(w, h)
	for k := range p.surface.Zones {
		zone := &p.surface.Zones[k]
		c.Open("", zone.Key)
		for i := range zone.Pieces {
			p.piece(c, f, zone, &zone.Pieces[i])
		}
		c.Close()
	}
	for _, o := range p.surface.Openings {
		p.opening(c, f, o)
	}
	c.Area(f.rings(p.surface.Outline)[:1], NoInk, Pen{W: 0.5, Ink: Dark})
	for _, z := range p.surface.Zones {
		for _, j := range z.SoftJoints {
			c.Line(f.pt(j.A), f.pt(j.B), softPen)
		}
	}
	p.datum(c, f)
	for k := range p.surface.Zones {
		for i := range p.surface.Zones[k].Pieces {
			p.words(c, f, &p.surface.Zones[k].Pieces[i])
		}
	}
	p.sides(c, f)
	p.start(c, f)
	p.dimensions(c, f)
	p.legend(c, f)
}

// softPen draws a soft joint.
var softPen = Pen{W: 0.6, Ink: Clay, Dash: 0.9}

func (p *picture) fill(piece *plandoc.Piece) Ink {
	switch p.state[piece.ID] {
	case setNow:
		if p.second[piece.ID] {
			return TodayB
		}
		return TodayA
	case setYet:
		return Earlier
	case plain:
		if !piece.Full {
			return CutTint
		}
	}
	return Paper
}

// drawable says whether a polygon has an outline to draw.
func drawable(p plandoc.Polygon) bool {
	if len(p.Outer) < 3 {
		return false
	}
	b := boxOf(p.Outer)
	return b.w() > 0 && b.h() > 0
}

func (p *picture) piece(c Canvas, f frame, zone *plandoc.Zone, piece *plandoc.Piece) {
	if !drawable(piece.Polygon) {
		return
	}
	st := p.state[piece.ID]
	pen := Pen{W: 0.15, Ink: Mid}
	if st == setOn || st == setYet {
		pen.Ink = Pale
	}
	if piece.OnSite && st != setYet {
		pen.Dash = 0.8
	}
	rings := f.rings(piece.Polygon)
	c.Area(rings, p.fill(piece), pen)
	if piece.Late != nil && st != setYet {
		hatch(c, rings, 1.6, Pen{W: 0.1, Ink: Mid})
	}
	if st != setYet {
		for _, e := range cutEdges(zone, piece) {
			pen := Pen{W: 0.7, Ink: Dark}
			if st == setOn {
				pen = Pen{W: 0.45, Ink: Mid}
			}
			if piece.OnSite {
				pen.Dash = 0.9
			}
			c.Line(f.pt(e[0]), f.pt(e[1]), pen)
		}
	}
}

// words writes number, sizes and label as far as there is room. A number of
// the day is always written: on a sliver over a small label.
func (p *picture) words(c Canvas, f frame, piece *plandoc.Piece) {
	if !drawable(piece.Polygon) {
		return
	}
	st := p.state[piece.ID]
	var lines []string
	switch st {
	case setNow:
		lines = append([]string{fmt.Sprint(p.number[piece.ID])}, p.sizes(piece)...)
	case plain:
		lines = append([]string{piece.Label}, p.sizes(piece)...)
	case setOn:
		lines = []string{piece.Label}
	default:
		return
	}
	b := p.spot(piece)
	w, h := b.w()*f.scale, b.h()*f.scale
	turn := 0.0
	if h > w*1.3 && textSize(h, w, 1, lines[0]) > 1.2*textSize(w, h, 1, lines[0]) && textSize(w, h, len(lines), lines...) < 2 {
		w, h, turn = h, w, 90
	}
	size := textSize(w, h, len(lines), lines...)
	for len(lines) > 1 && size < 1.5 {
		lines = lines[:len(lines)-1]
		size = textSize(w, h, len(lines), lines...)
	}
	mid := f.pt(plandoc.Point{plandoc.MM((b.x0 + b.x1) / 2), plandoc.MM((b.y0 + b.y1) / 2)})
	switch {
	case st == setNow && size < 1.5:
		p.tag(c, mid, lines[0], turn)
		return
	case size < 1.1:
		return
	case st == setOn:
		size = math.Min(size, 1.9)
	}
	p.lines(c, mid, lines, size, turn, st == setNow)
}

// tag writes a number on a small label, larger than its piece.
func (p *picture) tag(c Canvas, mid Pt, s string, turn float64) {
	const size = 1.6
	w, h := textWidth(s, size)+0.5, size*1.05
	at := Pt{mid.X, mid.Y + size*0.36}
	if turn != 0 {
		w, h, at = h, w, Pt{mid.X + size*0.36, mid.Y}
	}
	c.Rect(Pt{mid.X - w/2, mid.Y - h/2}, w, h, Paper, Pen{W: 0.1, Ink: Mid})
	c.Text(at, s, Type{Size: size, Bold: true, Ink: Dark, Anchor: Centre, Turn: turn})
}

func (p *picture) lines(c Canvas, mid Pt, lines []string, size, turn float64, now bool) {
	for i, s := range lines {
		off := (float64(i)-float64(len(lines)-1)/2)*size*1.15 + size*0.36
		at := Pt{mid.X, mid.Y + off}
		if turn != 0 {
			at = Pt{mid.X + off, mid.Y}
		}
		t := Type{Size: size, Ink: Dark, Anchor: Centre, Turn: turn, Bold: i == 0 && now}
		if i == 0 && !now {
			t.Ink = Mid
		}
		c.Text(at, s, t)
	}
}

// textSize is the largest size at which the lines fit a w × h mm piece, at
// most 3.2 mm.
func textSize(w, h float64, n int, lines ...string) float64 {
	size := math.Min(3.2, h*0.86/(1.15*float64(n)))
	for _, s := range lines {
		size = math.Min(size, w*0.88/math.Max(textWidth(s, 1), 0.5))
	}
	return size
}

// sizes lists the printed sizes of a piece's straight cuts: across with ↔, up
// with ↕, expected ones with ≈, and shapes in a word.
func (p *picture) sizes(piece *plandoc.Piece) []string {
	var out []string
	seen := map[string]bool{}
	for _, cut := range piece.Cuts {
		s := cutText(p.w, cut, piece.OnSite)
		if !seen[s] && s != "" {
			seen[s] = true
			out = append(out, s)
		}
	}
	return out
}

func cutText(w plandoc.Writing, cut plandoc.Cut, onSite bool) string {
	if cut.Size == nil {
		return ""
	}
	s := w.Cut(*cut.Size)
	if onSite {
		s = "≈" + s
	}
	switch cut.Side {
	case "left", "right":
		return "↔" + s
	case "top", "bottom":
		return "↕" + s
	}
	return s
}

func (p *picture) opening(c Canvas, f frame, o plandoc.Opening) {
	if !drawable(o.Outline) {
		return
	}
	rings := f.rings(o.Outline)[:1]
	c.Area(rings, Hollow, Pen{W: 0.35, Ink: Dark})
	hatch(c, rings, 3.2, Pen{W: 0.1, Ink: Pale})
	b := boxOf(o.Outline.Outer)
	name := o.Kind
	if name == "" {
		name = o.Key[strings.LastIndexByte(o.Key, '/')+1:]
	}
	if size := math.Min(2.4, textSize(b.w()*f.scale, b.h()*f.scale, 1, name)); size >= 1.3 {
		mid := f.pt(plandoc.Point{plandoc.MM((b.x0 + b.x1) / 2), plandoc.MM((b.y0 + b.y1) / 2)})
		w := textWidth(name, size) + 1
		c.Rect(Pt{mid.X - w/2, mid.Y - size*0.65}, w, size*1.3, Hollow, Pen{})
		c.Text(Pt{mid.X, mid.Y + size*0.36}, name, Type{Size: size, Ink: Mid, Anchor: Centre})
	}
}

// cutEdges returns the edges of a piece that are cut: those on the side its
// cuts name, else those that lie along the cover's edge.
func cutEdges(zone *plandoc.Zone, piece *plandoc.Piece) [][2]plandoc.Point {
	if piece.Full {
		return nil
	}
	b := boxOf(piece.Polygon.Outer)
	var out [][2]plandoc.Point
	free := false
	for _, cut := range piece.Cuts {
		if !sideKnown(cut.Side) {
			free = true
		}
	}
	ring := piece.Polygon.Outer
	for i, a := range ring {
		z := ring[(i+1)%len(ring)]
		if onNamedSide(piece.Cuts, b, a, z) || (free || len(piece.Cuts) == 0) && onCover(zone.Cover, a, z) {
			out = append(out, [2]plandoc.Point{a, z})
		}
	}
	for _, hole := range piece.Polygon.Holes {
		for i, a := range hole {
			out = append(out, [2]plandoc.Point{a, hole[(i+1)%len(hole)]})
		}
	}
	return out
}

func sideKnown(side string) bool {
	return side == "left" || side == "right" || side == "top" || side == "bottom"
}

func onNamedSide(cuts []plandoc.Cut, b box, a, z plandoc.Point) bool {
	near := func(v plandoc.MM, at float64) bool { return math.Abs(float64(v)-at) < 0.01 }
	for _, cut := range cuts {
		switch cut.Side {
		case "left":
			if near(a[0], b.x0) && near(z[0], b.x0) {
				return true
			}
		case "right":
			if near(a[0], b.x1) && near(z[0], b.x1) {
				return true
			}
		case "bottom":
			if near(a[1], b.y0) && near(z[1], b.y0) {
				return true
			}
		case "top":
			if near(a[1], b.y1) && near(z[1], b.y1) {
				return true
			}
		}
	}
	return false
}

// onCover says whether the edge a–z lies along an edge of the cover.
func onCover(cover []plandoc.Polygon, a, z plandoc.Point) bool {
	mid := plandoc.Point{(a[0] + z[0]) / 2, (a[1] + z[1]) / 2}
	for _, poly := range cover {
		for _, ring := range append([][]plandoc.Point{poly.Outer}, poly.Holes...) {
			for i, p := range ring {
				q := ring[(i+1)%len(ring)]
				if toSegment(mid, p, q) < 0.05 && toLine(a, p, q) < 0.05 && toLine(z, p, q) < 0.05 {
					return true
				}
			}
		}
	}
	return false
}

func toLine(p, a, b plandoc.Point) float64 {
	dx, dy := float64(b[0]-a[0]), float64(b[1]-a[1])
	n := math.Hypot(dx, dy)
	if n == 0 {
		return math.Inf(1)
	}
	return math.Abs(float64(p[0]-a[0])*dy-float64(p[1]-a[1])*dx) / n
}

func toSegment(p, a, b plandoc.Point) float64 {
	dx, dy := float64(b[0]-a[0]), float64(b[1]-a[1])
	n := dx*dx + dy*dy
	if n == 0 {
		return math.Hypot(float64(p[0]-a[0]), float64(p[1]-a[1]))
	}
	t := (float64(p[0]-a[0])*dx + float64(p[1]-a[1])*dy) / n
	t = math.Max(0, math.Min(1, t))
	return math.Hypot(float64(p[0]-a[0])-t*dx, float64(p[1]-a[1])-t*dy)
}
