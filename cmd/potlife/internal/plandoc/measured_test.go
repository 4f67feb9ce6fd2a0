package plandoc_test

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/rooms"
	"potlife/scheduler"
	"potlife/takeoff"
)

// TestMeasuredLots places every order, books the tile in as lots that measure a
// millimetre more than drawn, and plans again: rooms of which nothing is issued are
// laid out for their lot, and stay so once their first day is issued.
func TestMeasuredLots(t *testing.T) {
	laid := 0
	for seed := range 8 {
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) {
			in := randomInput(uint64(seed))
			was, err := scheduler.Make(context.Background(), in)
			if err != nil {
				t.Fatal(err)
			}
			in.Prior, in.Placed = was, was.Orders
			size := map[string]rooms.Box{}
			for _, tile := range in.Firm.Catalogue.Tiles {
				size[tile.Key] = tile.Shape.Box()
			}
			for _, o := range was.Orders {
				for n, l := range o.Lines {
					if b, tile := size[l.Product]; tile {
						in.Received = append(in.Received, scheduler.Receipt{Order: o.Key, Product: l.Product, Lot: fmt.Sprint("R", n), Packages: l.Quantity,
							At: in.Today, Line: n + 1, Width: b.Width() + rooms.Millimetre, Height: b.Height() + rooms.Millimetre})
					}
				}
			}
			for _, issued := range []bool{false, true} {
				if issued {
					in.Frozen = map[string]time.Time{}
					for _, c := range in.Firm.Crews {
						in.Frozen[c.Key] = in.Prior.Sheets[0].Date.AddDays(1).In(in.Firm.Zone)
					}
					in.Now = in.Prior.Sheets[0].Date.In(in.Firm.Zone)
				}
				is, err := scheduler.Make(context.Background(), in)
				if err != nil {
					t.Fatal(err)
				}
				if err := scheduler.CheckPlan(is); err != nil {
					t.Error(err)
				}
				for _, b := range plandoc.Check(plandoc.FromPlan(is)) {
					t.Error(b)
				}
				for _, o := range is.Orders[len(in.Placed):] { // a larger tile may take more boxes: of its lot
					for _, l := range o.Lines {
						if l.Product != "" && (!strings.HasPrefix(l.Lot, "R") || l.Quantity > 2) {
							t.Errorf("issued %v: %v of %s, lot %q, are ordered though all has come", issued, l.Quantity, l.Product, l.Lot)
						}
					}
				}
				laid += measuredPieces(t, is, size)
				in.Prior = is
			}
		})
	}
	if laid == 0 {
		t.Error("no room was laid out for its lot")
	}
}

// measuredPieces counts the whole pieces that are laid as measured, and holds each
// to its size.
func measuredPieces(t *testing.T, p *scheduler.Plan, size map[string]rooms.Box) (n int) {
	lot := map[string]string{}
	for _, s := range p.Stock {
		for _, q := range s.Pieces {
			lot[q.Piece] = s.Lot
		}
	}
	for _, l := range p.Layouts {
		for _, z := range l.Zones {
			for _, q := range z.Pieces {
				goods := takeoff.GoodsKey(q.Tile)
				measured := strings.HasPrefix(lot[q.ID], "R")
				if measured != (goods != q.Tile) || measured && q.Tile != goods+"@"+lot[q.ID] {
					t.Errorf("%s is of lot %q and laid as %s", q.ID, lot[q.ID], q.Tile)
					return n
				}
				if q.Full && measured {
					n++
					b, tile := q.Polygon.Outer.Box(), size[goods]
					if w, h := tile.Width()+rooms.Millimetre, tile.Height()+rooms.Millimetre; !near(b.Width()*b.Height()/w, h) && z.Zone.Turn == 0 && !strings.HasPrefix(z.Zone.Pattern, "diag") {
						t.Errorf("%s is %s × %s, its lot measures %s × %s", q.ID, b.Width(), b.Height(), w, h)
					}
				}
			}
		}
	}
	return n
}

func near(a, b rooms.Length) bool { return a-b < rooms.Millimetre/10 && b-a < rooms.Millimetre/10 }
