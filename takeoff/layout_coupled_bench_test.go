package takeoff

import "testing"

// coupledBathroom is bathroom with walls in herringbone, the floor in hexagons
// and the shower in diagonal mosaic.
func coupledBathroom(walls string) RoomToLay {
	in := bathroom()
	in.Tiles["hex"] = hexagonTile("hex", 173*lmm)
	for i := range in.Room.Surfaces {
		z := &in.Room.Surfaces[i].Zones[0]
		switch in.Room.Surfaces[i].Key {
		case "floor":
			z.Pattern, z.Tile = "hexagon", "hex"
		case "shower":
			z.Pattern = "diagonal"
		default:
			z.Pattern = walls
		}
	}
	return in
}

// BenchmarkCoupledBathroom lays six surfaces in patterns whose directions depend
// on each other, from their best origins.
func BenchmarkCoupledBathroom(b *testing.B) {
	for _, walls := range []string{"herringbone", "herringbone 45"} {
		b.Run(walls, func(b *testing.B) {
			in := coupledBathroom(walls)
			for b.Loop() {
				if _, err := LayOut(in); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
