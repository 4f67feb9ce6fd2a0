package takeoff

import (
	"fmt"

	"potlife/rooms"
)

// ground is a surface ready to be laid: what is tiled, and what bounds it.
type ground struct {
	surface   *rooms.Surface
	corrected rooms.Corrected
	outline   rooms.Polygon
	openings  []LaidOpening
	lines     []border // of the outline and the openings
	cover     []rooms.Polygon
	zones     []zoneGround
	planes    []foldedZone
}

// zoneGround is a zone ready to be laid.
type zoneGround struct {
	zone  rooms.Zone
	cover []rooms.Polygon
	lines []border
	// least is what no tile may leave whatever the gaps: see limit; beside are the other
	// zones that are tiled, but for planes of the same.
	least, beside []rooms.Polygon
	bare          []rooms.Polygon // what is too thin to be tiled
	// on is the ground whose zone at index it is; nil where planes were put together.
	on    *ground
	index int
}

// groundOf corrects the outline, takes off gaps and openings and divides the
// rest into zones; planes are those that were one.
func groundOf(s *rooms.Surface, planes []foldedZone) (*ground, error) {
	c, err := s.Correct()
	if err != nil {
		return nil, err
	}
	g := &ground{surface: s, planes: planes, corrected: c, outline: rooms.Polygon{Outer: c.Outline}}
	lines, gaps := edgeBorders(s, c)
	g.lines = lines
	cover, err := rooms.Inset(g.outline, gaps, 0)
	if err != nil {
		return nil, fmt.Errorf("gaps of %s: %w", s.Key, err)
	}
	blocked, closest, err := g.addOpenings()
	if err != nil {
		return nil, err
	}
	if g.cover, err = rooms.Subtract(cover, blocked); err != nil {
		return nil, fmt.Errorf("openings of %s: %w", s.Key, err)
	}
	if err := g.softJoints(); err != nil {
		return nil, fmt.Errorf("soft joints of %s: %w", s.Key, err)
	}
	if err := g.divide(); err != nil {
		return nil, err
	}
	for i := range gaps {
		gaps[i] -= lines[i].more
	}
	return g, g.limit(gaps, closest)
}

// addOpenings notes the openings with their borders. What their gaps keep clear is
// blocked, and closest what they do where the gaps are least.
func (g *ground) addOpenings() (blocked, closest []rooms.Polygon, err error) {
	s := g.surface
	for k, o := range s.Openings {
		ring := o.Outline
		if len(ring) >= 3 && ring.Area().Sign() < 0 {
			ring = ring.Reversed()
		}
		if err := ring.Validate(); err != nil {
			return nil, nil, fmt.Errorf("opening %s of %s: %w", o.Key, s.Key, err)
		}
		p := rooms.Polygon{Outer: ring}
		g.openings = append(g.openings, LaidOpening{Key: o.Key, Outline: p})
		g.lines = append(g.lines, openingBorders(s, k, ring)...)
		grown, err := rooms.Grow(p, o.Gap)
		if err != nil {
			return nil, nil, fmt.Errorf("opening %s of %s: %w", o.Key, s.Key, err)
		}
		blocked = append(blocked, grown...)
		_, more := slack(o.Gap, o.GapMin, o.GapMax)
		if grown, err = rooms.Grow(p, o.Gap-more); err != nil {
			return nil, nil, fmt.Errorf("least gap of opening %s of %s: %w", o.Key, s.Key, err)
		}
		closest = append(closest, grown...)
	}
	return blocked, closest, nil
}

// limit gives each zone what its tile may never leave: the outline less the least gaps,
// at openings too, and the zones beside it.
func (g *ground) limit(gaps []rooms.Length, closest []rooms.Polygon) error {
	least, err := rooms.Inset(g.outline, gaps, 0)
	if err == nil {
		least, err = rooms.Subtract(least, closest)
	}
	for i := range g.zones {
		z := &g.zones[i]
		if z.least = least; err == nil && len(z.beside) > 0 {
			z.least, err = keepOff(least, z.beside, (z.zone.Joint+1)/2)
		}
	}
	if err != nil {
		return fmt.Errorf("least gaps of %s: %w", g.surface.Key, err)
	}
	return nil
}

// zoneRegions is each zone's own part of the outline: its region less those of
// the zones before it, and for the zone without a region what is left.
func zoneRegions(s *rooms.Surface, outline rooms.Polygon) ([][]rooms.Polygon, error) {
	out := make([][]rooms.Polygon, len(s.Zones))
	var taken []rooms.Polygon
	rest := -1
	for i, z := range s.Zones {
		if len(z.Region) == 0 {
			if rest >= 0 {
				return nil, fmt.Errorf("zones %s and %s of %s have no region; at most one zone takes the rest", s.Zones[rest].Key, z.Key, s.Key)
			}
			rest = i
			continue
		}
		if err := z.Region.Validate(); err != nil {
			return nil, fmt.Errorf("region of zone %s of %s: %w", z.Key, s.Key, err)
		}
		r, err := reaching(s, z.Region)
		if err != nil {
			return nil, fmt.Errorf("zone %s of %s: %w", z.Key, s.Key, err)
		}
		in, err := rooms.Intersect(r, []rooms.Polygon{outline})
		if err == nil {
			out[i], err = rooms.Subtract(in, taken)
		}
		if err != nil {
			return nil, fmt.Errorf("zone %s of %s: %w", z.Key, s.Key, err)
		}
		taken = append(taken, r...)
	}
	if rest >= 0 {
		left, err := rooms.Subtract([]rooms.Polygon{outline}, taken)
		if err != nil {
			return nil, fmt.Errorf("zones of %s: %w", s.Key, err)
		}
		out[rest] = left
	}
	return out, nil
}

// reaching is a zone's region drawn on beyond those of its sides that lie on the
// outline as it was read, as far as readings and corners may have moved it
// outwards: a band from wall to wall stays one.
func reaching(s *rooms.Surface, region rooms.Ring) ([]rooms.Polygon, error) {
	var far rooms.Length
	for _, d := range s.Build.Deduct {
		far = max(far, -d)
	}
	most := far
	for _, m := range s.Readings {
		most = max(most, far+m.Deviation)
	}
	b := s.Outline.Box()
	for _, c := range s.Checks {
		switch c.Kind {
		case rooms.Diagonal, rooms.Diagonal2: // leans by little more than they differ
			most = max(most, far+2*absLen(c.Value-rooms.Distance(b.Min, b.Max)))
		case rooms.WidthAt:
			most = max(most, far+c.Value-b.Width())
		case rooms.HeightAt:
			most = max(most, far+c.Value-b.Height())
		}
	}
	out := []rooms.Polygon{{Outer: region}}
	if most <= 0 {
		return out, nil
	}
	most *= 4 // a slanted edge may be drawn out further
	widths, any := make([]rooms.Length, len(region)), false
	for i, p := range region {
		if onOutline(s.Outline, p, region[(i+1)%len(region)]) {
			widths[i], any = most, true
		}
	}
	if !any {
		return out, nil
	}
	return rooms.Union(append(out, rooms.Bands(region, widths, false)...)...)
}

// onOutline reports whether p–q runs along an edge of the outline.
func onOutline(r rooms.Ring, p, q rooms.Point) bool {
	for i, a := range r {
		b := r[(i+1)%len(r)]
		if spanDistance(a, b, p) <= onBorder && spanDistance(a, b, q) <= onBorder {
			return true
		}
	}
	return false
}
