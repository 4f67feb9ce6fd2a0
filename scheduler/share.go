package scheduler

import (
	"slices"
	"sync"

	"potlife/takeoff"
)

// shared are layouts and stock tiles with those pieces that are the same in the plan in
// force taken from there: the two plans together take less memory, and whoever
// compares them sees at once what stands in the same place.
func (m *maker) shared(layouts []takeoff.Layout, stock []takeoff.StockTile) ([]takeoff.Layout, []takeoff.StockTile) {
	before := m.in.Prior
	if before == nil {
		return layouts, stock
	}
	var busy sync.WaitGroup
	busy.Go(func() { shareStock(stock, before.Stock) })
	layouts = slices.Clone(layouts)
	takeoff.Each(len(layouts), 1, func(i int) {
		l := &layouts[i]
		if was := m.prior[l.Surface]; was != nil && m.known[l.Room] != nil && len(was.Zones) == len(l.Zones) {
			l.Zones = sharedZones(l.Zones, was.Zones)
		}
	})
	busy.Wait()
	return layouts, stock
}

// sharedZones are zones that were taken over from others and may have been changed
// since, those that were not in their old place.
func sharedZones(zones, before []takeoff.ZoneLayout) []takeoff.ZoneLayout {
	same := make([]bool, len(zones))
	n := 0
	for i := range zones {
		if same[i] = takenOver(&zones[i], &before[i]); same[i] {
			n++
		}
	}
	if n == len(zones) {
		return before
	}
	out := slices.Clone(zones)
	for i := range out {
		if same[i] {
			out[i] = before[i]
		}
	}
	return out
}

// takenOver reports whether a zone is one before, piece for piece. Of a zone that was
// not laid out anew everything but the pieces lies where it lay.
func takenOver(z, was *takeoff.ZoneLayout) bool {
	return sameList(z.Cover, was.Cover) && sameList(z.Lattice.Tiles, was.Lattice.Tiles) && z.Zone.Key == was.Zone.Key &&
		slices.EqualFunc(z.Pieces, was.Pieces, samePiece)
}

// sameList reports whether two lists lie in the same place.
func sameList[T any](a, b []T) bool { return len(a) > 0 && len(a) == len(b) && &a[0] == &b[0] }

func samePiece(a, b takeoff.Piece) bool {
	return a.ID == b.ID && a.Label == b.Label && a.Course == b.Course && a.Position == b.Position && a.Tile == b.Tile && a.Full == b.Full &&
		a.OnSite == b.OnSite && a.OnSiteWhy == b.OnSiteWhy && a.Late == b.Late && a.Turn == b.Turn && a.Degrees == b.Degrees &&
		a.Place == b.Place && a.AreaMM2 == b.AreaMM2 && (a.Cuts == nil) == (b.Cuts == nil) && slices.Equal(a.Cuts, b.Cuts) &&
		sameList(a.Polygon.Outer, b.Polygon.Outer) && (len(a.Polygon.Holes) == 0 && len(b.Polygon.Holes) == 0 || sameList(a.Polygon.Holes, b.Polygon.Holes))
}

// shareStock gives stock tiles the pieces of those before that were cut the same.
func shareStock(out, before []takeoff.StockTile) {
	var at map[string]int
	for i := range out {
		k := i // as a rule tiles stand where they stood
		if k >= len(before) || before[k].ID != out[i].ID {
			if at == nil {
				at = make(map[string]int, len(before))
				for n := range before {
					at[before[n].ID] = n
				}
			}
			found := false
			if k, found = at[out[i].ID]; !found {
				continue
			}
		}
		if was := before[k].Pieces; slices.EqualFunc(out[i].Pieces, was, sameStockPiece) && (was == nil) == (out[i].Pieces == nil) {
			out[i].Pieces = was
		}
	}
}

func sameStockPiece(a, b takeoff.StockPiece) bool {
	return a.Piece == b.Piece && samePolygon(a.Polygon, b.Polygon) && (a.Polygon.Holes == nil) == (b.Polygon.Holes == nil)
}
