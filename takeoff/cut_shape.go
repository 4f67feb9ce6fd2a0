package takeoff

import (
	"fmt"
	"math"

	"potlife/rooms"
)

// chain is a stretch of neighbouring cut edges of one ring: a notch, a hole, a
// taper or a free line. Its points are in the tile's frame.
type chain struct {
	points []rooms.Point
	limits []cutLimits // of each edge
	hole   bool
	at     string
}

// cutLimits is how much further into the piece an edge may be cut, or how much less far.
type cutLimits struct{ less, more rooms.Length }

func (f *framed) limits(tag int32) cutLimits {
	x := f.border(tag)
	return cutLimits{x.less, x.more}
}

// shaped lists the cuts that no stop can be set to: what the straight cuts
// leave over, with the mark of each.
func (f *framed) shaped(straight []straightCut) (cuts []Cut, marks []chain) {
	for ring, r := range f.rings {
		for _, c := range f.chains(ring, r, straight) {
			cuts = append(cuts, Cut{Side: "shape", Shape: f.describe(c), At: c.at, Rise: f.rise(c), Tool: f.toolFor(c)})
			marks = append(marks, c)
		}
	}
	return cuts, marks
}

// chains finds the stretches of cut edges of one ring that no straight cut makes.
func (f *framed) chains(ring int, r clipRing, straight []straightCut) []chain {
	n := len(r)
	free := make([]bool, n)
	all := true
	for i, v := range r {
		free[i] = v.tag >= 0
		if ring == 0 {
			for _, c := range straight {
				free[i] = free[i] && !c.edges[i]
			}
		}
		all = all && free[i]
	}
	if all {
		c := chain{hole: ring > 0, at: f.border(r[0].tag).name}
		for _, v := range r {
			c.points, c.limits = append(c.points, v.p), append(c.limits, f.limits(v.tag))
		}
		return []chain{c}
	}
	var out []chain
	for start := range r {
		if !free[start] || free[(start+n-1)%n] {
			continue
		}
		c := chain{at: f.border(r[start].tag).name, points: []rooms.Point{r[start].p}}
		for i := start; free[i]; i = (i + 1) % n {
			c.points, c.limits = append(c.points, r[(i+1)%n].p), append(c.limits, f.limits(r[i].tag))
		}
		if boxOf(c.points).Width()+boxOf(c.points).Height() > 2*onBorder {
			out = append(out, c)
		}
	}
	return out
}

func boxOf(points []rooms.Point) rooms.Box { return rooms.Ring(points).Box() }

// at prints a place for a shape's text: to a tenth of a millimetre or a 64th of an
// inch, rounded down, but for what rounding to the unit made of a turned tile's place.
func (f *framed) at(l rooms.Length) string { return f.figure(l+onBorder, rooms.Down) }

// hollow prints a width that is cut away: rounded up.
func (f *framed) hollow(l rooms.Length) string { return f.figure(l, rooms.Up) }

func (f *framed) figure(l rooms.Length, r rooms.Rounding) string {
	if f.imperial {
		return rooms.FormatInches(l, 64, r)
	}
	return rooms.FormatMM(l, 1, r)
}

// unit follows a figure: inches carry their own mark.
func (f *framed) unit() string {
	if f.imperial {
		return ""
	}
	return " mm"
}

// describe says in words, with figures in the tile's own frame, what is cut:
// x from the tile's left edge and y from its lower edge, in the job's units.
func (f *framed) describe(c chain) string {
	b := boxOf(c.points)
	tile := f.shape.Box()
	switch {
	case c.hole && roundHole(c.points):
		return fmt.Sprintf("hole of %s%s, centre %s from the left and %s from the bottom of the tile", f.hollow((b.Width()+b.Height())/2), f.unit(),
			f.at((b.Min.X+b.Max.X)/2), f.at((b.Min.Y+b.Max.Y)/2))
	case c.hole:
		return fmt.Sprintf("window %s × %s%s, %s from the left and %s from the bottom of the tile",
			f.hollow(b.Width()), f.hollow(b.Height()), f.unit(), f.at(b.Min.X), f.at(b.Min.Y))
	case len(c.points) == 2 && f.taperSide(c.points[0], c.points[1]) >= 0:
		return f.taperText(c.points[0], c.points[1])
	case len(c.points) == 2:
		return fmt.Sprintf("straight line from (%s, %s) to (%s, %s)", f.at(c.points[0].X), f.at(c.points[0].Y), f.at(c.points[1].X), f.at(c.points[1].Y))
	case len(c.points) == 3 && upright(c.points):
		return fmt.Sprintf("notch %s × %s%s in the %s corner of the tile", f.hollow(b.Width()), f.hollow(b.Height()), f.unit(), cornerName(b, tile))
	case len(c.points) == 4 && upright(c.points):
		return fmt.Sprintf("notch %s × %s%s into the %s side, from (%s, %s)", f.hollow(b.Width()), f.hollow(b.Height()), f.unit(),
			openSide(c.points), f.at(b.Min.X), f.at(b.Min.Y))
	}
	if text, ok := f.roundText(c.points); ok {
		return text
	}
	text := "outline through"
	step := 1 + len(c.points)/12 // long curves: every few points, and the last
	for i, p := range c.points {
		if i%step == 0 || i == len(c.points)-1 {
			text += fmt.Sprintf(" (%s, %s)", f.at(p.X), f.at(p.Y))
		}
	}
	return text
}

// roundHole reports whether a hole has the points and the area of a circle.
func roundHole(points []rooms.Point) bool {
	b := boxOf(points)
	if len(points) < 8 || absLen(b.Width()-b.Height()) > b.Width()/20 {
		return false
	}
	d := (b.Width().Millimetres() + b.Height().Millimetres()) / 2
	area := math.Abs(rooms.Ring(points).AreaMM2())
	return math.Abs(area-math.Pi*d*d/4) < 0.06*area
}

// upright reports whether a chain's edges all run along the tile's sides.
func upright(points []rooms.Point) bool {
	for i := range len(points) - 1 {
		d := rooms.Point{X: points[i+1].X - points[i].X, Y: points[i+1].Y - points[i].Y}
		if absLen(d.X) > onBorder && absLen(d.Y) > onBorder {
			return false
		}
	}
	return true
}

func cornerName(b, tile rooms.Box) string {
	name := "lower "
	if tile.Max.Y-b.Max.Y < b.Min.Y-tile.Min.Y {
		name = "upper "
	}
	if tile.Max.X-b.Max.X < b.Min.X-tile.Min.X {
		return name + "right"
	}
	return name + "left"
}

// openSide is the side of the tile to which a notch of three edges opens.
func openSide(p []rooms.Point) string {
	switch d := (rooms.Point{X: p[0].X - p[1].X, Y: p[0].Y - p[1].Y}); {
	case absLen(d.X) >= absLen(d.Y) && d.X < 0:
		return "left"
	case absLen(d.X) >= absLen(d.Y):
		return "right"
	case d.Y < 0:
		return "lower"
	}
	return "upper"
}

// steepest is the rise per length up to which a line counts as a side with a
// taper and not as a line of its own: about 6°, common practice.
const steepest = 0.1

// taperSide is the side of the tile along which a–b almost runs, -1 if there is
// none.
func (f *framed) taperSide(a, b rooms.Point) int {
	for k, p := range f.shape {
		q := f.shape[(k+1)%len(f.shape)]
		run := along(p, q, b) - along(p, q, a)
		if run > 0 && float64(absLen(f.depth(k, b)-f.depth(k, a))) <= steepest*run && f.opposite(k) >= 0 {
			return k
		}
	}
	return -1
}

// rise is how much a taper differs between its two ends; 0 where the chain is none.
func (f *framed) rise(c chain) rooms.Length {
	if c.hole || len(c.points) != 2 {
		return 0
	}
	k := f.taperSide(c.points[0], c.points[1])
	if k < 0 {
		return 0
	}
	if rise := absLen(f.depth(k, c.points[0]) - f.depth(k, c.points[1])); rise > taperFrom {
		return rise
	}
	return 0
}

func (f *framed) taperText(a, b rooms.Point) string {
	k := f.taperSide(a, b)
	breadth := f.breadth(k)
	if absLen(f.depth(k, a)-f.depth(k, b)) <= taperFrom {
		return fmt.Sprintf("straight line along the %s side, %s%s from the side across", f.sideName(k), f.at(breadth-f.depth(k, a)), f.unit())
	}
	return fmt.Sprintf("taper on the %s side from %s to %s%s", f.sideName(k), f.at(breadth-f.depth(k, a)), f.at(breadth-f.depth(k, b)), f.unit())
}
