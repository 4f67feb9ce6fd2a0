package takeoff

import (
	"fmt"
	"slices"
	"strings"

	"potlife/rooms"
)

// Whether a niche, a window or another opening decided where a pattern starts: had it
// not been there, another place would have been better.

// isAhead reports whether a place is better by more than what breaks ties.
func (r axisRank) isAhead(next axisRank) bool {
	return slices.Compare(r[:rankRest], next[:rankRest]) < 0
}

// decidedBy says which of the openings decided; loses tells whether the place that won
// would have lost, had those of the given names not been there.
func decidedBy(names []string, loses func(without []string) (bool, error)) (string, error) {
	for n := 1; n <= len(names); n += max(1, len(names)-1) { // one by one, then all together
		for i := 0; i+n <= len(names); i++ {
			if lost, err := loses(names[i : i+n]); err != nil || lost {
				return "; without " + strings.Join(names[i:i+n], " and ") + " another place would be better", err
			}
		}
	}
	return "", nil
}

// openings lists the names of openings at which edges across the axes lie.
func openings(axes ...*axis) []string {
	var names []string
	for _, a := range axes {
		for _, e := range a.edges {
			if strings.HasPrefix(e.name, "opening ") && !slices.Contains(names, e.name) {
				names = append(names, e.name)
			}
		}
	}
	return names
}

// without is the axis less the edges of some names.
func (a *axis) without(names []string) axis {
	b := *a
	b.edges = slices.DeleteFunc(slices.Clone(a.edges), func(e axisEdge) bool { return slices.Contains(names, e.name) })
	b.judgeSpans()
	return b
}

// axesDecidedBy is decidedBy for a place of a pattern whose axes do not depend on each
// other, of those axes along which it was searched.
func axesDecidedBy(across, upward *axis, won rooms.Point, searched [2]bool) string {
	var axes []*axis
	var at []rooms.Length
	for i, a := range [2]*axis{across, upward} {
		if searched[i] {
			axes, at = append(axes, a), append(at, [2]rooms.Length{won.X, won.Y}[i])
		}
	}
	text, _ := decidedBy(openings(axes...), func(without []string) (bool, error) {
		for i, a := range axes {
			b := a.without(without)
			if len(b.edges) < len(a.edges) && len(b.edges) > 0 && b.best()[0].rank.isAhead(b.rank(at[i])) {
				return true, nil
			}
		}
		return false, nil
	})
	return text
}

// mostSearchedAgain is without how many openings a zone is searched again, one by one.
// Each search may take as much work as the first; where less is in the way it takes a
// fraction.
const mostSearchedAgain = 3

// searchDecidedBy is decidedBy for a place of a pattern of coupled directions, which is
// searched again without the openings that are seen: where there are too many, without
// those that lie all within the zone.
func (c *cellSearch) searchDecidedBy(s *rooms.Surface, won rooms.Point) (string, error) {
	names := c.seenOpenings(s, c.z.ground.on == nil)
	if len(names) > mostSearchedAgain {
		names = c.seenOpenings(s, true)
	}
	if len(names) == 0 || len(names) > mostSearchedAgain {
		return "", nil
	}
	return decidedBy(names, func(without []string) (bool, error) { return c.losesWithout(s, won, without) })
}

// seenOpenings names the openings to which the eye goes: those that are holes of the
// cover, and those that cut its edge unless within is asked for.
func (c *cellSearch) seenOpenings(s *rooms.Surface, within bool) []string {
	var names []string
	note := func(x *border) {
		if x != nil && c.z.view.eyeOn(s, *x) == seenFirst && !slices.Contains(names, x.name) {
			names = append(names, x.name)
		}
	}
	for _, r := range c.z.fill.rings {
		note(c.z.openingOf(r))
		for _, v := range r {
			if k := c.z.made[v.tag]; !within && k >= 0 && c.z.ground.lines[k].kind == borderOpening {
				note(&c.z.ground.lines[k])
			}
		}
	}
	return names
}

// openingOf is the opening that a ring of the cover runs round; nil where it is none.
func (z *zoneLayer) openingOf(r clipRing) *border {
	var found *border
	for _, v := range r {
		k := z.made[v.tag]
		if k < 0 || z.ground.lines[k].kind != borderOpening || found != nil && found.edge != z.ground.lines[k].edge {
			return nil
		}
		found = &z.ground.lines[k]
	}
	return found
}

// losesWithout searches the zone again as if some openings were tiled, and reports
// whether a better place than the one that won was found.
func (c *cellSearch) losesWithout(s *rooms.Surface, won rooms.Point, names []string) (bool, error) {
	z, s, err := c.z.without(s, names)
	if err != nil || len(z.ground.cover) == 0 {
		return false, err
	}
	again := z.newCellSearch(s, c.base, c.free)
	again.limit, again.faults = c.work, z.axisFaults(s)
	if _, err := again.run(); err != nil {
		return false, err
	}
	rank := func(at rooms.Point) (axisRank, error) {
		got, err := z.fill.fill(at)
		r := z.judgeBy(again.sides, got)
		r[0] += again.faults.count(at)
		return r, err
	}
	mine, err := rank(won)
	if err != nil {
		return false, err
	}
	best, err := rank(slices.MinFunc(again.tried, compareTried).at)
	return err == nil && best.isAhead(mine), err
}

// without is the zone on a surface without some of its openings.
func (z *zoneLayer) without(s *rooms.Surface, names []string) (*zoneLayer, *rooms.Surface, error) {
	out := &zoneLayer{in: z.in, key: z.key, view: z.view, tiles: z.tiles, lay: z.lay}
	if z.ground.on == nil {
		ground := *z.ground
		out.ground = &ground
		out.setCover(z.coverOver(names))
		return out, s, nil
	}
	less := *s
	less.Openings = slices.DeleteFunc(slices.Clone(s.Openings), func(o rooms.Opening) bool { return slices.Contains(names, "opening "+o.Key) })
	g, err := groundOf(&less, z.ground.on.planes)
	if err != nil {
		return nil, nil, fmt.Errorf("without %s: %w", strings.Join(names, " and "), err)
	}
	out.ground = &g.zones[z.ground.index]
	if err := out.ground.dropThin(z.lay); err != nil {
		return nil, nil, err
	}
	out.setCover(out.ground.cover)
	return out, &less, nil
}

// coverOver is the cover as if some of the openings in it were tiled.
func (z *zoneLayer) coverOver(names []string) []rooms.Polygon {
	cover, k := slices.Clone(z.fill.cover), 0
	for i, p := range cover {
		var holes []rooms.Ring
		for h := range p.Rings() {
			x := z.openingOf(z.fill.rings[k])
			if k++; h > 0 && (x == nil || !slices.Contains(names, x.name)) {
				holes = append(holes, p.Holes[h-1])
			}
		}
		cover[i].Holes = holes
	}
	return cover
}
