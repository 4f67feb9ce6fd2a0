package takeoff

import (
	"errors"

	"potlife/rooms"
)

// fillApart fills the cover from an origin. Where an opening splits a tile so
// narrowly that the parts lie nearer to each other than the joint, the smaller
// part is cut back, and what it loses goes from the cover to the gap.
func (z *zoneLayer) fillApart(origin rooms.Point) (laid, error) {
	for range 4 {
		got, err := z.fill.fill(origin)
		if err != nil {
			return laid{}, err
		}
		var lost []rooms.Polygon
		for _, c := range got.cuts {
			more, err := z.tooNear(c.parts)
			if err != nil {
				return laid{}, err
			}
			lost = append(lost, more...)
		}
		if len(lost) == 0 {
			return got, nil
		}
		if err := z.giveUp(lost); err != nil {
			return laid{}, err
		}
	}
	return laid{}, errors.New("the openings split one tile again and again; move an opening or the origin")
}

// tooNear is what parts of one tile lose to keep a joint between them.
func (z *zoneLayer) tooNear(parts []part) ([]rooms.Polygon, error) {
	var lost []rooms.Polygon
	for i := range parts {
		for j := range parts[:i] {
			a, b := parts[i].polygon(), parts[j].polygon()
			if a.Area().Cmp(b.Area()) > 0 {
				a, b = b, a
			}
			if partsGap(a, b) >= z.lay.joint-4 {
				continue
			}
			grown, err := rooms.Grow(b, z.lay.joint+2)
			if err != nil {
				return nil, err
			}
			off, err := rooms.Intersect([]rooms.Polygon{a}, grown)
			if err != nil {
				return nil, err
			}
			lost = append(lost, off...)
		}
	}
	return lost, nil
}

// partsGap is the distance of two polygons that do not overlap.
func partsGap(a, b rooms.Polygon) rooms.Length {
	best := rooms.Length(1 << 62)
	for _, pair := range [2][2]rooms.Polygon{{a, b}, {b, a}} {
		for _, r := range pair[0].Rings() {
			for _, p := range r {
				for _, s := range pair[1].Rings() {
					for i, q := range s {
						best = min(best, spanDistance(q, s[(i+1)%len(s)], p))
					}
				}
			}
		}
	}
	return best
}

// giveUp takes areas off the cover. Their edges count as the border next to them.
func (z *zoneLayer) giveUp(lost []rooms.Polygon) error {
	var lines []border
	for _, p := range lost {
		for _, r := range p.Rings() {
			for i, a := range r {
				b := r[(i+1)%len(r)]
				x := z.ground.lines[matchBorder(z.ground.lines, a, b)]
				x.a, x.b = a, b
				lines = append(lines, x)
			}
		}
	}
	cover, err := rooms.Subtract(z.ground.cover, lost)
	if err != nil {
		return err
	}
	z.ground.lines = append(append([]border(nil), z.ground.lines...), lines...)
	z.setCover(cover)
	return nil
}
