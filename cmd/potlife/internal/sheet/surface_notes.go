package sheet

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"potlife/cmd/potlife/internal/plandoc"
)

// datum draws the level lines and plumb lines from which the zones grow: on a
// day's drawing those of the zones that are set. A line at 0 is the surface's
// own edge and is not drawn.
func (p *picture) datum(c Canvas, f frame) {
	pen := Pen{W: 0.3, Ink: Clay, Dash: 2.2}
	level, plumb := "level ", "plumb "
	if p.surface.Lie != "vertical" {
		level, plumb = "line ", "line "
	}
	levels, plumbs := p.datums()
	for i, v := range levels {
		y := f.py(v)
		c.Line(Pt{f.at.X - 1.5, y}, Pt{f.at.X + f.w + 1.5, y}, pen)
		s := level + p.w.Length(v)
		if i == 0 || f.py(levels[i-1])-y > textWidth(s, 2) {
			c.Text(Pt{f.at.X + f.w + 4.2, y}, s, Type{Size: 2, Ink: Clay, Anchor: Centre, Turn: 90})
		}
	}
	for i, v := range plumbs {
		x := f.px(v)
		c.Line(Pt{x, f.at.Y - 1.5}, Pt{x, f.at.Y + f.h + 1.5}, pen)
		s := plumb + p.w.Length(v)
		anchor := Centre
		if w := textWidth(s, 2); i+1 < len(plumbs) && f.px(plumbs[i+1])-x < w {
			anchor = Right
		} else if i > 0 && x-f.px(plumbs[i-1]) < w {
			anchor = Left
		}
		c.Text(Pt{x, f.at.Y - 2}, s, Type{Size: 2, Ink: Clay, Anchor: anchor})
	}
}

// datums lists, in order, the lines inside the surface.
func (p *picture) datums() (levels, plumbs []plandoc.MM) {
	b := boxOf(p.surface.Outline.Outer)
	for i := range p.surface.Zones {
		z := &p.surface.Zones[i]
		if p.state != nil && !p.setsNow(z) {
			continue
		}
		if v := float64(z.LevelLine); v > b.y0+1 && v < b.y1-1 && !slices.Contains(levels, z.LevelLine) {
			levels = append(levels, z.LevelLine)
		}
		if v := float64(z.Plumb); v > b.x0+1 && v < b.x1-1 && !slices.Contains(plumbs, z.Plumb) {
			plumbs = append(plumbs, z.Plumb)
		}
	}
	slices.Sort(levels)
	slices.Sort(plumbs)
	return levels, plumbs
}

func (p *picture) setsNow(z *plandoc.Zone) bool {
	for i := range z.Pieces {
		if p.state[z.Pieces[i].ID] == setNow {
			return true
		}
	}
	return false
}

// start marks the corner of the first piece of the day and the ways the field
// grows from it.
func (p *picture) start(c Canvas, f frame) {
	if p.first == nil || !drawable(p.first.Polygon) {
		return
	}
	b := boxOf(p.first.Polygon.Outer)
	grows := p.growth(b)
	dx, dy := 1.0, 1.0 // which corner: the one it grows away from
	if grows[0] && !grows[1] {
		dx = -1
	}
	if grows[2] && !grows[3] {
		dy = -1
	}
	corner := plandoc.Point{plandoc.MM(b.x0), plandoc.MM(b.y0)}
	if dx < 0 {
		corner[0] = plandoc.MM(b.x1)
	}
	if dy < 0 {
		corner[1] = plandoc.MM(b.y1)
	}
	q := f.pt(corner)
	leg := math.Min(3, 0.45*math.Min(b.w(), b.h())*f.scale)
	c.Area([][]Pt{{q, {q.X + dx*leg, q.Y}, {q.X, q.Y - dy*leg}}}, Clay, Pen{})
	below, beside := f.at.Y+f.h+3.2, f.at.X-3.2
	p.arrow(c, Pt{q.X, below}, 1, 0, grows[1])
	p.arrow(c, Pt{q.X, below}, -1, 0, grows[0])
	p.arrow(c, Pt{beside, q.Y}, 0, -1, grows[3])
	p.arrow(c, Pt{beside, q.Y}, 0, 1, grows[2])
	if grows[0] || grows[1] {
		c.Disc(Pt{q.X, below}, 0.7, Clay, Pen{})
	}
	if grows[2] || grows[3] {
		c.Disc(Pt{beside, q.Y}, 0.7, Clay, Pen{})
	}
}

// growth says whether pieces of the day lie left, right, below and above the
// first one.
func (p *picture) growth(first box) [4]bool {
	var g [4]bool
	for id, st := range p.state {
		if st != setNow || !drawable(p.x.Pieces[id].Polygon) {
			continue
		}
		b := boxOf(p.x.Pieces[id].Polygon.Outer)
		g[0] = g[0] || b.x1 <= first.x0
		g[1] = g[1] || b.x0 >= first.x1
		g[2] = g[2] || b.y1 <= first.y0
		g[3] = g[3] || b.y0 >= first.y1
	}
	return g
}

func (p *picture) arrow(c Canvas, from Pt, dx, dy float64, draw bool) {
	if !draw {
		return
	}
	const long = 9.0
	tip := Pt{from.X + dx*long, from.Y + dy*long}
	c.Line(from, Pt{tip.X - dx*1.5, tip.Y - dy*1.5}, Pen{W: 0.4, Ink: Clay})
	c.Tick(tip, dx, dy, 2.2, Clay)
}

// dimensions draws width and height, and the chains that place the openings.
func (p *picture) dimensions(c Canvas, f frame) {
	b := boxOf(p.surface.Outline.Outer)
	xs, ys := []float64{b.x0, b.x1}, []float64{b.y0, b.y1}
	for _, o := range p.surface.Openings {
		if !drawable(o.Outline) {
			continue
		}
		ob := boxOf(o.Outline.Outer)
		xs = append(xs, clamp(ob.x0, b.x0, b.x1), clamp(ob.x1, b.x0, b.x1))
		ys = append(ys, clamp(ob.y0, b.y0, b.y1), clamp(ob.y1, b.y0, b.y1))
	}
	xs, ys = steps(xs), steps(ys)
	row, column := f.at.Y+f.h+9.5, f.at.X-10.5
	if len(xs) > 2 && len(xs) <= 8 {
		p.across(c, f, xs, f.at.Y+f.h+6.2)
	}
	p.across(c, f, []float64{b.x0, b.x1}, row)
	if len(ys) > 2 && len(ys) <= 8 {
		p.upward(c, f, ys, f.at.X-6.6)
	}
	p.upward(c, f, []float64{b.y0, b.y1}, column)
}

func clamp(v, lo, hi float64) float64 { return math.Max(lo, math.Min(hi, v)) }

// steps sorts values and drops those nearer than 1 mm to the one before.
func steps(v []float64) []float64 {
	sort.Float64s(v)
	out := v[:0]
	for _, x := range v {
		if len(out) == 0 || x-out[len(out)-1] > 1 {
			out = append(out, x)
		}
	}
	return out
}

var dimPen = Pen{W: 0.15, Ink: Mid}

func (p *picture) across(c Canvas, f frame, xs []float64, y float64) {
	for i, x := range xs {
		px := f.px(plandoc.MM(x))
		c.Line(Pt{px - 0.6, y + 0.6}, Pt{px + 0.6, y - 0.6}, Pen{W: 0.3, Ink: Mid})
		if i == 0 {
			continue
		}
		from := f.px(plandoc.MM(xs[i-1]))
		c.Line(Pt{from, y}, Pt{px, y}, dimPen)
		if s := p.w.Length(plandoc.MM(x - xs[i-1])); textWidth(s, 2) < px-from {
			c.Text(Pt{(from + px) / 2, y - 0.5}, s, Type{Size: 2, Ink: Mid, Anchor: Centre})
		}
	}
}

func (p *picture) upward(c Canvas, f frame, ys []float64, x float64) {
	for i, y := range ys {
		py := f.py(plandoc.MM(y))
		c.Line(Pt{x - 0.6, py + 0.6}, Pt{x + 0.6, py - 0.6}, Pen{W: 0.3, Ink: Mid})
		if i == 0 {
			continue
		}
		from := f.py(plandoc.MM(ys[i-1]))
		c.Line(Pt{x, from}, Pt{x, py}, dimPen)
		if s := p.w.Length(plandoc.MM(y - ys[i-1])); textWidth(s, 2) < from-py {
			c.Text(Pt{x - 0.5, (from + py) / 2}, s, Type{Size: 2, Ink: Mid, Anchor: Centre, Turn: 90})
		}
	}
}

// legend names what stands in the picture, and the unit of its figures.
func (p *picture) legend(c Canvas, f frame) {
	x, y := f.at.X-marginLeft+2.5, f.at.Y+f.h+14.2
	limit := max(f.w+marginLeft+marginRight, p.wide)
	entry := func(text string, mark func(at Pt)) {
		w := 5 + textWidth(text, 1.9) + 2
		if x+w > limit && x > f.at.X-marginLeft+3 {
			x, y = f.at.X-marginLeft+2.5, y+2.8
		}
		if mark != nil {
			mark(Pt{x, y - 1.5})
			x += 4
		}
		c.Text(Pt{x, y}, text, Type{Size: 1.9, Ink: Mid})
		x += textWidth(text, 1.9) + 2
	}
	swatch := func(fill Ink, pen Pen) func(Pt) {
		return func(at Pt) { c.Rect(at, 3, 1.8, fill, pen) }
	}
	has := p.inUse()
	entry("all in "+p.w.Unit(), nil)
	if has[setNow] {
		entry("today, numbered as set", swatch(TodayA, Pen{W: 0.15, Ink: Mid}))
	}
	if has[setYet] {
		entry("up already", swatch(Earlier, Pen{W: 0.15, Ink: Pale}))
	}
	if has[setOn] {
		entry("another day", swatch(Paper, Pen{W: 0.15, Ink: Pale}))
	}
	p.legendCuts(c, entry)
	if len(p.unnumbered) > 0 {
		entry("too short to number: side "+ranges(p.unnumbered), nil)
	}
}

func (p *picture) legendCuts(c Canvas, entry func(string, func(Pt))) {
	cut, onSite, late, soft := false, false, false, false
	for _, z := range p.surface.Zones {
		soft = soft || len(z.SoftJoints) > 0
		for _, piece := range z.Pieces {
			if p.state[piece.ID] == setYet {
				continue
			}
			cut, onSite, late = cut || !piece.Full, onSite || piece.OnSite, late || piece.Late != nil
		}
	}
	if cut {
		entry("cut edge", func(at Pt) { c.Line(Pt{at.X, at.Y + 1}, Pt{at.X + 3, at.Y + 1}, Pen{W: 0.7, Ink: Dark}) })
	}
	if soft {
		entry("soft joint", func(at Pt) { c.Line(Pt{at.X, at.Y + 1}, Pt{at.X + 3, at.Y + 1}, softPen) })
	}
	if onSite {
		entry("≈ measure on site", func(at Pt) { c.Rect(at, 3, 1.8, NoInk, Pen{W: 0.2, Ink: Mid, Dash: 0.8}) })
	}
	if late {
		entry("left out, set later", func(at Pt) {
			c.Rect(at, 3, 1.8, NoInk, Pen{W: 0.15, Ink: Mid})
			hatch(c, [][]Pt{{at, {at.X + 3, at.Y}, {at.X + 3, at.Y + 1.8}, {at.X, at.Y + 1.8}}}, 1, Pen{W: 0.1, Ink: Mid})
		})
	}
	if p.first != nil {
		entry("start and growth", func(at Pt) { c.Area([][]Pt{{{at.X, at.Y + 1.9}, {at.X + 2, at.Y + 1.9}, {at.X, at.Y}}}, Clay, Pen{}) })
	}
}

func (p *picture) inUse() map[state]bool {
	has := map[state]bool{}
	for _, z := range p.surface.Zones {
		for _, piece := range z.Pieces {
			has[p.state[piece.ID]] = true
		}
	}
	return has
}

// describe says in words what the picture shows, for those who cannot see it.
func (p *picture) describe() string {
	b := boxOf(p.surface.Outline.Outer)
	total, cut, now := 0, 0, 0
	for _, z := range p.surface.Zones {
		for _, piece := range z.Pieces {
			total++
			if !piece.Full {
				cut++
			}
			if p.state[piece.ID] == setNow {
				now++
			}
		}
	}
	s := fmt.Sprintf("%s by %s, %d pieces, %d of them cut, %d openings.", p.w.LengthUnit(plandoc.MM(b.w())), p.w.LengthUnit(plandoc.MM(b.h())), total, cut, len(p.surface.Openings))
	if now > 0 {
		s += fmt.Sprintf(" %d pieces are set on this day.", now)
	}
	return s
}
