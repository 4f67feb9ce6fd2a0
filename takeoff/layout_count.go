package takeoff

import (
	"fmt"

	"potlife/rooms"
)

// Counted is a cover laid and only counted: full tiles never become objects.
type Counted struct {
	// Tiles = Full + Cut; a tile that an opening splits counts once for each part.
	Tiles, Full, Cut          int
	TileAreaMM2, JointAreaMM2 float64
}

// CountTiles lays a surface's only zone from the lattice's own origin at 0, 0,
// turned as the zone says, and counts. It is what an estimate or a measurement
// of speed needs.
func CountTiles(s *rooms.Surface, tiles []Tile, own map[string]Pattern) (Counted, error) {
	if len(s.Zones) != 1 {
		return Counted{}, fmt.Errorf("%s has %d zones; expected one", s.Key, len(s.Zones))
	}
	g, err := groundOf(s, nil)
	if err != nil {
		return Counted{}, err
	}
	z := s.Zones[0]
	pattern, err := PatternNamed(z.Pattern, own)
	if err != nil {
		return Counted{}, err
	}
	lay, err := pattern.build(tiles, z.Joint, z.Sideways, z.Turn)
	if err != nil {
		return Counted{}, err
	}
	f := newFiller(lay, g.zones[0].cover)
	got, err := f.fill(rooms.Point{})
	if err != nil {
		return Counted{}, err
	}
	return f.count(got), nil
}

// count adds up what was laid.
func (f *filler) count(got laid) Counted {
	var c Counted
	var cover, cuts rooms.Area
	for _, p := range f.cover {
		cover = cover.Add(p.Area())
	}
	for _, r := range got.runs {
		n := r.last - r.first + 1
		c.Full += n
		c.TileAreaMM2 += float64(float64(n) * f.lay.tiles[r.member].whole.MM2())
	}
	for _, t := range got.cuts {
		for _, q := range t.parts {
			c.Cut++
			cuts = cuts.Add(q.polygon().Area())
		}
	}
	c.TileAreaMM2 += cuts.MM2()
	c.JointAreaMM2 = cover.MM2() - c.TileAreaMM2
	c.Tiles = c.Full + c.Cut
	return c
}
