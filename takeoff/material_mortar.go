package takeoff

import (
	"fmt"

	"potlife/rooms"
)

// notch is a trowel with what it spreads.
type notch struct {
	name  string
	upTo  rooms.Length // longest side of the tiles it is for
	kgM2  float64
	notes string
}

// notches are the trade's defaults by the longest side of the tile: 6 mm notch
// up to 150 mm, 10 mm above (a maker's sheet), 12 mm from 15 in on. Consumption
// is the middle of published yields per 50 lb bag: 1/4 × 1/4 in 80 to 100 ft²
// (2.4 to 3.1 kg/m²), 1/4 × 3/8 in 60 to 80 (3.1 to 4.1), 1/2 × 1/2 in 40 to 50
// (4.9 to 6.1); ideal flat surface, no back-buttering.
var notches = []notch{
	{"6 mm notch", 150 * rooms.Millimetre, 2.75, "50 lb on 89 ft²"},
	{"10 mm notch", 15*rooms.Inch - 1, 3.6, "50 lb on 68 ft²"},
	{"12 mm notch", rooms.MaxSide, 5.5, "50 lb on 45 ft²"},
}

// BackButter is what a skim on the back of the tiles adds, in kg/m². A price
// base has 6.0 kg/m² on floors and 6.8 on walls for 400 mm porcelain set with
// double gluing, which the 12 mm notch and this reach between them.
const BackButter = 0.9

// RoughGround is what render takes beyond a flat ground, for which published yields
// are: a tenth more, common practice.
const RoughGround = 0.10

// MortarRate is a mortar's consumption in kg/m² on a surface and how it was found:
// the data sheet's figure, else by the trowel for the tile; more on a rough ground;
// and the skim where the zone asks for back-buttering.
func MortarRate(p Product, s *rooms.Surface, z rooms.Zone, tile Tile) (kgPerM2 float64, how string) {
	if p.Sheet.PerM2 > 0 {
		kgPerM2, how = p.Sheet.PerM2, trimmed(p.Sheet.PerM2, 2)+" kg/m² (data sheet)"
	} else {
		n := notchFor(tile)
		kgPerM2, how = n.kgM2, fmt.Sprintf("%s kg/m² (%s, published bag yields: %s)", trimmed(n.kgM2, 2), n.name, n.notes)
	}
	if rough(s) {
		kgPerM2 *= 1 + RoughGround
		how += fmt.Sprintf(" + %s on render (common practice)", percent(RoughGround))
	}
	if z.BackButter {
		kgPerM2 += BackButter
		how += fmt.Sprintf(" + %s kg/m² back-buttering", trimmed(BackButter, 2))
	}
	return kgPerM2, how
}

// rough reports whether mortar goes straight onto render.
func rough(s *rooms.Surface) bool {
	if s == nil || s.Layer != rooms.Render || s.Wet {
		return false
	}
	for _, p := range s.Prepare {
		if p == "board" || p == "level" || p == "membrane" {
			return false
		}
	}
	return true
}

func notchFor(tile Tile) notch {
	b := tile.Shape.Box()
	for _, n := range notches {
		if max(b.Width(), b.Height()) <= n.upTo {
			return n
		}
	}
	return notches[len(notches)-1]
}

// needMortar takes each zone's mortar by its cover.
func (t *taker) needMortar(s *takenSurface) {
	for i := range s.layout.Zones {
		z := &s.layout.Zones[i]
		p := t.products[z.Zone.Mortar]
		if p == nil {
			if p = t.in.Catalogue.Of(KindMortar); p == nil {
				t.needKind(KindMortar, s, nil)
				continue
			}
		}
		rate, how := MortarRate(*p, s.Surface, z.Zone, *t.zoneTile(z))
		m2 := coverM2(z)
		t.need(p, s, m2*rate, how)
	}
}

// zoneTile is the tile a zone is named for; a pattern of several sizes may lay
// others too, and where it names none the first piece's tile stands in.
func (t *taker) zoneTile(z *ZoneLayout) *Tile {
	if tile := t.tiles[z.Zone.Tile]; tile != nil {
		return tile
	}
	if len(z.Pieces) > 0 {
		return t.tiles[z.Pieces[0].Tile]
	}
	return &Tile{Shape: rooms.Rect(0, 0, rooms.Millimetre, rooms.Millimetre)}
}

// coverM2 is a zone's cover, tile and joints, in m².
func coverM2(z *ZoneLayout) float64 {
	a := 0.0
	for _, c := range z.Cover {
		a += c.AreaMM2()
	}
	return a / 1e6
}
