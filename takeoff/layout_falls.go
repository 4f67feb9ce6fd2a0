package takeoff

import (
	"fmt"

	"potlife/rooms"
)

// folded is a surface whose tiles are cut along the folds of its falls: every
// zone with a tile becomes one for each plane, so that each fold is a joint
// between zones; planes tells which zones were one. Other surfaces come back as
// they are.
func folded(s *rooms.Surface) (out *rooms.Surface, planes []foldedZone, err error) {
	if s.Falls == nil || !s.Falls.Cut {
		return s, nil, nil
	}
	c, err := s.Correct()
	if err != nil {
		return s, nil, nil // said where the surface itself is prepared
	}
	list, err := s.Falls.Planes(c.Outline)
	if err != nil {
		return nil, nil, fmt.Errorf("falls of %s: %w", s.Key, err)
	}
	if len(list) == 0 {
		return s, nil, nil
	}
	copied := *s
	copied.Zones = nil
	for _, rest := range [2]bool{false, true} { // what takes what the others leave comes last
		for _, z := range s.Zones {
			if (len(z.Region) == 0) != rest {
				continue
			}
			parts, err := zonePlanes(z, list)
			if err != nil {
				return nil, nil, fmt.Errorf("falls of %s: %w", s.Key, err)
			}
			if len(parts) > 1 {
				planes = append(planes, foldedZone{z, len(copied.Zones), len(copied.Zones) + len(parts)})
			}
			copied.Zones = append(copied.Zones, parts...)
		}
	}
	return &copied, planes, nil
}

// zonePlanes divides one zone; keys are its own with the plane's number.
func zonePlanes(z rooms.Zone, planes []rooms.Ring) ([]rooms.Zone, error) {
	if z.Tile == "" {
		return []rooms.Zone{z}, nil
	}
	var out []rooms.Zone
	for i, p := range planes {
		part := z
		part.Key, part.Region = fmt.Sprintf("%s %d", z.Key, i+1), p
		if len(z.Region) == 0 {
			out = append(out, part)
			continue
		}
		got, err := rooms.Intersect([]rooms.Polygon{{Outer: z.Region}}, []rooms.Polygon{{Outer: p}})
		if err != nil {
			return nil, fmt.Errorf("zone %s: %w", z.Key, err)
		}
		for k, q := range got {
			if len(q.Holes) > 0 {
				return nil, fmt.Errorf("zone %s: a fold leaves a part with a hole; divide the zone", z.Key)
			}
			piece := part
			piece.Region = q.Outer
			if k > 0 {
				piece.Key = fmt.Sprintf("%s.%d", part.Key, k+1)
			}
			out = append(out, piece)
		}
	}
	return out, nil
}

// Slopes of a shower floor (IRC P2709.1, as reported in the trade press: 1/4 to
// 1/2 in per foot), in thousandths.
const (
	leastFall = 20
	mostFall  = 42
	srcFall   = "IRC P2709.1, as reported in the trade press; local code decides"
)

// slope checks the slope of a shower floor where it is known.
func (f *finder) slope(s *rooms.Surface) {
	if s.Kind != rooms.ShowerFloor || s.Falls == nil || s.Falls.PerMille == 0 {
		return
	}
	switch n := s.Falls.PerMille; {
	case n < leastFall:
		f.add("slope", Warn, float64(n), leastFall, srcFall, "the floor falls by %s; a shower floor falls by %s at least", f.slopeText(n), f.slopeText(leastFall))
	case n > mostFall:
		f.add("slope", Warn, float64(n), mostFall, srcFall, "the floor falls by %s; a shower floor falls by %s at most", f.slopeText(n), f.slopeText(mostFall))
	}
}

func (f figures) slopeText(perMille int) string {
	if f.imperial {
		return rooms.FormatInches(rooms.Fall(rooms.Foot, int64(perMille)), 16, rooms.Nearest) + " in a foot"
	}
	return fmt.Sprintf("%d.%d %%", perMille/10, perMille%10)
}

// fall checks the tile of a floor that falls in several planes. Where nothing is
// said of its falls a shower floor is taken to fall from all sides.
func (f *finder) fall(s *rooms.Surface, z *zoneLayer) {
	how := "a four-way fall"
	switch {
	case z.long() <= fallTile || z.ground.zone.Pattern == "mosaic sheets": // sheets bend between their chips
		return
	case s.Falls == nil:
		folded := len(s.Zones) > 2 && len(z.ground.zone.Region) > 0 // cut along the folds by hand
		if s.Kind != rooms.ShowerFloor || folded {
			return
		}
	case s.Falls.Cut || s.Falls.Kind == rooms.OneFall || s.Falls.Kind == "":
		return
	case s.Falls.Kind == rooms.TwoFalls:
		how = "the fold of two planes"
	}
	f.add("tile on a fall", Warn, z.long().Millimetres(), fallTile.Millimetres(), srcPractice,
		"a tile of %s does not follow %s: about %s or mosaic does, or a single fall, or cuts along the folds", f.limit(z.long()), how, f.limit(fallTile))
}
