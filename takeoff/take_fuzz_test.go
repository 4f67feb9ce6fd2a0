package takeoff

import (
	"context"
	"errors"
	"math/rand/v2"
	"testing"

	"potlife/rooms"
)

// FuzzTake: whatever the wall, the tile and the firm's figures, Take either
// names a field that makes no sense or its takeoff and orders pass their
// checkers.
func FuzzTake(f *testing.F) {
	f.Add(2450, 2110, 300, 200, 10, int64(184500), uint64(1), false)
	f.Add(97, 4000, 97, 97, 1, int64(0), uint64(2), true)
	f.Add(1200, 900, 598, 298, 3, int64(-5), uint64(3), true)
	f.Add(3001, 601, 1199, 600, 2, int64(1)<<50, uint64(4), false)
	f.Fuzz(func(t *testing.T, w, h, tw, th, perBox int, price int64, seed uint64, imperial bool) {
		if w < 20 || h < 20 || w > 6000 || h > 6000 || tw < 15 || th < 15 || tw > 3000 || th > 3000 || w/tw*(h/th) > 1500 {
			t.Skip("larger than this test wants")
		}
		rng := rand.New(rand.NewPCG(seed, 1))
		in := bathJob(0)
		tile := &in.Catalogue.Tiles[0]
		tile.Shape = rooms.Rect(0, 0, rooms.Length(tw)*mm, rooms.Length(th)*mm)
		tile.PerBox, tile.PricePerBox = perBox, Money(price)
		s, l := takenWall("elm", "bath1", "north", rooms.Length(w)*mm, rooms.Length(h)*mm, *tile)
		in.Jobs[0].Sites[0].Rooms = []rooms.Room{{Key: "bath1", Surfaces: []rooms.Surface{s}}}
		in.Layouts, in.Imperial, in.NestSteps = []Layout{l}, imperial, 20_000
		randomise(rng, &in)
		got, err := Take(context.Background(), in)
		if err != nil {
			if !errors.Is(err, ErrInput) {
				t.Fatal(err)
			}
			return
		}
		if err := CheckTaken(got, in); err != nil {
			t.Fatal(err)
		}
		first := randomFirstUse(rng, got, in)
		orders := got.Orders(in.Catalogue, in.Today, first, nil)
		if err := CheckOrders(got, in.Catalogue, in.Today, first, nil, orders); err != nil {
			t.Fatal(err)
		}
	})
}
