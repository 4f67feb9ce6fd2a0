package plandoc_test

import (
	"context"
	"fmt"
	"slices"
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

// TestMeasuredAfterIssue measures the lots when the first day is issued: what is
// issued keeps its size, the other surfaces of its rooms take that of their lot
// unless their courses run round a corner to it, and the plan holds.
func TestMeasuredAfterIssue(t *testing.T) {
	kept, turned := 0, 0
	for seed := range 6 {
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) {
			in := randomInput(uint64(seed))
			was, err := scheduler.Make(context.Background(), in)
			if err != nil {
				t.Fatal(err)
			}
			in.Prior, in.Placed, in.Frozen = was, was.Orders, map[string]time.Time{}
			for _, c := range in.Firm.Crews {
				in.Frozen[c.Key] = was.Sheets[0].Date.AddDays(8).In(in.Firm.Zone)
			}
			in.Now = was.Sheets[0].Date.In(in.Firm.Zone)
			issued, err := scheduler.Make(context.Background(), in)
			if err != nil {
				t.Fatal(err)
			}
			in.Prior = issued
			for _, o := range in.Placed {
				for n, l := range o.Lines {
					for _, k := range in.Firm.Catalogue.Tiles {
						if b := k.Shape.Box(); k.Key == l.Product {
							in.Received = append(in.Received, scheduler.Receipt{Order: o.Key, Product: l.Product, Lot: fmt.Sprint("R", n), Packages: l.Quantity,
								At: in.Today, Line: n + 1, Width: b.Width() + rooms.Millimetre, Height: b.Height() + rooms.Millimetre})
						}
					}
				}
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
			lots := map[string]string{}
			for _, r := range is.Rows {
				for _, k := range r.Rooms {
					lots[r.Tile+" "+k] = r.Lot
				}
			}
			inRoom := map[string]bool{}
			for k := range issued.Locks {
				inRoom[k[:strings.LastIndexByte(k[:strings.LastIndexByte(k, '/')], '/')]] = true
			}
			for _, l := range is.Layouts {
				for _, z := range l.Zones {
					lock, stood := issued.Locks[l.Surface+"/"+z.Zone.Key]
					measured := strings.Contains(z.Zone.Tile, "@")
					switch {
					case stood && (measured || z.Origin != lock.Origin):
						t.Errorf("%s, of which pieces are issued, is laid anew", l.Surface)
					case stood:
						kept++
						if said := slices.ContainsFunc(is.Findings, func(f takeoff.Finding) bool {
							return f.Rule == "calibre" && f.Where == l.Surface && strings.Contains(f.Message, "pieces of it are issued")
						}); said != strings.HasPrefix(lots[z.Zone.Tile+" "+l.Room], "R") {
							t.Errorf("%s keeps its size; that is said: %v", l.Surface, said)
						}
					case measured && inRoom[l.Room]:
						turned++
					}
				}
			}
		})
	}
	if kept == 0 || turned == 0 {
		t.Errorf("%d zones are issued and %d of the same rooms are laid for their lots; the test shows nothing", kept, turned)
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
