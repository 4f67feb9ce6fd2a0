package takeoff

import (
	"math"
	"strings"
	"testing"

	"potlife/rooms"
)

// mosaicOf is a sheet of n × n stones a joint apart.
func mosaicOf(stone, joint, thick rooms.Length, n int) Tile {
	t := whiteTile()
	side := rooms.Length(n)*(stone+joint) - joint
	t.Shape, t.Thickness, t.StoneWidth, t.StoneHeight = rooms.Rect(0, 0, side, side), thick, stone, stone
	return t
}

// A sheet and its own joint take the grout of its stones: by the exact formula, and by
// a published chart.
func TestGroutBetweenStones(t *testing.T) {
	const lb, ft2 = 0.45359237, 0.09290304
	for _, c := range []struct {
		name                string
		stone, joint, thick rooms.Length
		n                   int
		density, low, high  float64
	}{
		// A chart (site.thebuilderdepot.com/blog/2010/02): 3/8 × 3/8 × 3/8 in mosaic,
		// 1/16 in joint, 0.94 lb/ft² with 10 % waste, to two figures.
		{"3/8 in, 1/16 in joint", 3 * rooms.Inch / 8, rooms.Inch / 16, 3 * rooms.Inch / 8, 24, 1.65, 0.935 * lb / ft2 / 1.1, 0.945 * lb / ft2 / 1.1},
		// A consumption table (asg-foto.ru/info/grout): 50 × 50 mm, 2 mm joint, about
		// 1 kg/m²; 8 mm deep.
		{"50 mm, 2 mm joint", 50 * mm, 2 * mm, 8 * mm, 6, 1.6, 0.95, 1.05},
	} {
		tile := mosaicOf(c.stone, c.joint, c.thick, c.n)
		side := tile.Shape.Box().Width().Millimetres()
		module := (side + c.joint.Millimetres()) * (side + c.joint.Millimetres())
		joints := module - side*side + side*side*stoneJointShare(&tile, c.joint)
		got := joints / module * c.thick.Millimetres() * c.density
		if got < c.low || got > c.high {
			t.Errorf("%s: %.4f kg/m², published %.4f to %.4f", c.name, got, c.low, c.high)
		}
		if exact := GroutKgPerM2(c.stone, c.stone, c.joint, c.thick, c.density); math.Abs(got-exact) > 1e-6 {
			t.Errorf("%s: %.6f kg/m², the formula gives %.6f", c.name, got, exact)
		}
	}
	if whole := whiteTile(); stoneJointShare(&whole, 3*mm) != 0 {
		t.Error("a tile has joints inside")
	}
}

// A wall of mosaic sheets takes the grout of its stones; where nobody says how large
// they are, that is told.
func TestGroutOfMosaicSheets(t *testing.T) {
	wall := func(tile Tile) *Taken {
		in := bathJob(0)
		in.Catalogue.Tiles = []Tile{tile}
		s, l := takenWall("elm", "bath1", "north", 10*mm+8*312*mm-3*mm, 10*mm+6*312*mm-3*mm, tile)
		l.Zones[0].Zone.Pattern = "mosaic sheets"
		in.Jobs[0].Sites[0].Rooms = []rooms.Room{{Key: "bath1", Surfaces: []rooms.Surface{s}}}
		in.Layouts = []Layout{l}
		return take(t, in)
	}
	grout := func(got *Taken) (net float64, how string) {
		for _, m := range got.Materials {
			if m.Kind == KindGrout {
				net, how = m.Net, m.How
			}
		}
		return net, how
	}
	tells := func(got *Taken) bool {
		for _, f := range got.Findings {
			if f.Rule == "mosaic without stones" && strings.Contains(f.Message, "stone_width") {
				return true
			}
		}
		return false
	}
	stones := mosaicOf(23*mm, 3*mm, 6*mm, 12) // sheets of 309 mm
	with := wall(stones)
	net, how := grout(with)
	// 8 × 6 sheets: all of the cover but the stones, less a joint's width at two sides.
	cover := (8*312.0 - 3) * (6*312.0 - 3)
	want := (cover - 8*6*144*23*23) / 1e6 * 6 * GroutDensity
	if math.Abs(net-want) > 0.001 || !strings.Contains(how, "between the stones") || tells(with) {
		t.Errorf("%.4f kg, want %.4f; %s", net, want, how)
	}
	stones.StoneWidth, stones.StoneHeight = 0, 0
	bare := wall(stones)
	if less, _ := grout(bare); less > net/5 || !tells(bare) {
		t.Errorf("%.4f kg without stones, %.4f with; told %v", less, net, tells(bare))
	}
}
