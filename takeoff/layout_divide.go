package takeoff

import (
	"fmt"

	"potlife/rooms"
)

// divide gives each zone its cover. Where two zones meet, each keeps half its
// joint away from the line; where nothing is tiled beyond it, it runs to the line
// and ends in a free edge.
func (g *ground) divide() error {
	s := g.surface
	regions, err := zoneRegions(s, g.outline)
	if err != nil {
		return err
	}
	for i, z := range s.Zones {
		x := zoneGround{zone: z, lines: g.lines, cover: g.cover, on: g, index: i}
		if len(s.Zones) > 1 || len(z.Region) > 0 {
			if err := g.bound(&x, i, regions); err != nil {
				return fmt.Errorf("zone %s of %s: %w", z.Key, s.Key, err)
			}
		}
		g.zones = append(g.zones, x)
	}
	return nil
}

// bound takes off a zone's cover what lies in the others or is not tiled, with
// the joints between.
func (g *ground) bound(x *zoneGround, i int, regions [][]rooms.Polygon) error {
	bare, err := rooms.Subtract([]rooms.Polygon{g.outline}, regions[i])
	if err != nil || len(bare) == 0 {
		return err
	}
	var tiled []rooms.Polygon
	half := (x.zone.Joint + 1) / 2
	x.lines = x.lines[:len(x.lines):len(x.lines)]
	for k, r := range regions {
		if k == i || len(r) == 0 || g.surface.Zones[k].Tile == "" {
			continue
		}
		if bare, err = rooms.Subtract(bare, r); err != nil {
			return err
		}
		tiled = append(tiled, r...)
		meets := g.meeting(i, k)
		x.lines = append(x.lines, meets.along(r, half)...)
		if meets.kind == borderZone {
			x.beside = append(x.beside, r...)
		}
	}
	x.lines = append(x.lines, freeBorder(x.zone).along(bare, 0)...)
	if tiled, err = rooms.Union(tiled...); err != nil {
		return err
	}
	if x.cover, err = keepOff(x.cover, tiled, half); err != nil {
		return err
	}
	x.cover, err = rooms.Subtract(x.cover, bare)
	return err
}

// meeting is the border of zone i where it meets zone k.
func (g *ground) meeting(i, k int) border {
	x := border{name: "zone " + g.surface.Zones[k].Key, kind: borderZone, edge: k, less: defaultJointSlack, more: defaultJointSlack / 2}
	for _, p := range g.planes {
		if p.holds(i) && p.holds(k) {
			x.name, x.kind = "fold to "+g.surface.Zones[k].Key, borderFold
		}
	}
	return x
}

// freeBorder is where a zone ends beside ground that is not tiled.
func freeBorder(z rooms.Zone) border {
	e := rooms.DefaultEdge(rooms.FreeEdge)
	x := border{name: "free edge of zone " + z.Key, kind: borderFree, edge: -1}
	x.less, x.more = slack(e.Gap, e.GapMin, e.GapMax)
	return x
}

// freeEdges are the stretches of the zone's cover that end free, those that run on
// straight as one.
func (z *zoneLayer) freeEdges() []FreeEdge {
	var out []FreeEdge
	for i, e := range z.fill.edges {
		if k := z.made[i]; k < 0 || z.ground.lines[k].kind != borderFree {
			continue
		}
		if n := len(out) - 1; n >= 0 && out[n].B == e[0] && absLen(leftOf(out[n].A, e[1], e[0])) <= onBorder {
			out[n].B = e[1]
			continue
		}
		out = append(out, FreeEdge{e[0], e[1]})
	}
	return out
}

// along is the border drawn along polygons, so far away from them.
func (x border) along(list []rooms.Polygon, off rooms.Length) []border {
	var lines []border
	for _, p := range list {
		for _, r := range p.Rings() {
			for i, a := range r {
				x.a, x.b = rooms.Shift(a, r[(i+1)%len(r)], off, false)
				lines = append(lines, x)
			}
		}
	}
	return lines
}

// keepOff is cover less the other zones grown by half a joint.
func keepOff(cover, others []rooms.Polygon, half rooms.Length) ([]rooms.Polygon, error) {
	var blocked []rooms.Polygon
	for _, p := range others {
		grown, err := rooms.Grow(p, half)
		if err != nil {
			return nil, err
		}
		blocked = append(blocked, grown...)
	}
	return rooms.Subtract(cover, blocked)
}
