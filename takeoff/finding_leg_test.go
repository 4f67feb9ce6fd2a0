package takeoff

import (
	"math/rand/v2"
	"testing"

	"potlife/rooms"
)

// TestPiecesThatGrowBackHaveNoLeg: of random pieces of a tile, cut by up to three
// lines and a block, none loses a part which the quick way says grows back; and
// most that lose none are told by the quick way.
func TestPiecesThatGrowBackHaveNoLeg(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 8))
	var grow, whole, notched int
	for range cases(600, 20000) {
		least := rooms.Length(8+r.IntN(12)) * lmm
		for _, p := range randomPieces(t, r) {
			loses, back := losesPart(p, least), growsBack(p.Outer, least/2)
			if back && loses {
				t.Fatalf("%v grows back by %s and yet loses a part", p, least/2)
			}
			if back {
				grow++
				if !p.Outer.Convex() {
					notched++
				}
			}
			if !loses {
				whole++
			}
		}
	}
	if 2*grow < whole || 30*notched < whole || whole == 0 {
		t.Errorf("%d grow back, %d of them notched, of %d that lose nothing", grow, notched, whole)
	}
	leg := rooms.Ring{{X: 0, Y: 0}, {X: 100 * lmm, Y: 0}, {X: 100 * lmm, Y: 4 * lmm}, {X: 50 * lmm, Y: 4 * lmm}, {X: 50 * lmm, Y: 60 * lmm}, {X: 0, Y: 60 * lmm}}
	if growsBack(leg, 4*lmm) || !thinPart(rooms.Polygon{Outer: leg}, 8*lmm) {
		t.Error("a leg of 4 mm is not found")
	}
}

// randomPieces are what lines and a block leave of a tile, without those that have
// a hole.
func randomPieces(t *testing.T, r *rand.Rand) (list []rooms.Polygon) {
	w, h := rooms.Length(20+r.IntN(600))*lmm, rooms.Length(20+r.IntN(300))*lmm
	ring := rooms.Rect(0, 0, w, h)
	place := func() rooms.Point {
		return rooms.Point{X: rooms.Length(r.Int64N(int64(w))), Y: rooms.Length(r.Int64N(int64(h)))}
	}
	for range r.IntN(4) {
		if p, q := place(), place(); p != q {
			if cut := keepLeft(ring, p, q); cut.Convex() {
				ring = cut
			}
		}
	}
	if r.IntN(2) == 0 {
		return []rooms.Polygon{{Outer: ring}}
	}
	by := turnBy(r.IntN(2) * r.IntN(90))
	left, err := rooms.Subtract([]rooms.Polygon{{Outer: ring}}, []rooms.Polygon{{Outer: by.ring(rooms.Rect(0, 0, w, h)).Moved(place())}})
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range left {
		if len(p.Holes) == 0 {
			list = append(list, p)
		}
	}
	return list
}
