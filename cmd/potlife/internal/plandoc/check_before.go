package plandoc

import "slices"

// earlier is the document before, in which nothing was found, by key. A rule is
// not applied again to what is the same in both documents in everything that the
// rule looks at; each place that asks says what that is.
type earlier struct {
	surfaces map[string]*Surface
	tiles    map[string]bool // drawn the same
	stock    map[string]bool // cut the same, out of a tile drawn the same
}

// compare finds what of d is as in the document before; nothing is without one.
func compare(d, before *Document) earlier {
	if before == nil {
		return earlier{}
	}
	e := earlier{make(map[string]*Surface, len(before.Surfaces)), map[string]bool{}, make(map[string]bool, len(d.Stock))}
	for i := range before.Surfaces {
		e.surfaces[before.Surfaces[i].Key] = &before.Surfaces[i]
	}
	shapes := byKey(before.Tiles, func(t *Tile) string { return t.Key })
	for _, t := range d.Tiles {
		was := shapes[t.Key]
		e.tiles[t.Key] = was != nil && slices.Equal(t.Shape, was.Shape)
	}
	stock := byKey(before.Stock, func(t *Stock) string { return t.ID })
	for i := range d.Stock {
		t := &d.Stock[i]
		was := stock[t.ID]
		e.stock[t.ID] = was != nil && t.Tile == was.Tile && e.tiles[t.Tile] &&
			(sameList(t.Pieces, was.Pieces) || slices.EqualFunc(t.Pieces, was.Pieces, func(a, b StockPiece) bool {
				return a.Piece == b.Piece && samePolygon(a.Polygon, b.Polygon)
			}))
	}
	return e
}

// sameList reports whether two lists lie in the same place: documents share what they
// have in common.
func sameList[T any](a, b []T) bool { return len(a) > 0 && len(a) == len(b) && &a[0] == &b[0] }

// covered returns the surface before if its outline and openings, and the cover of
// every zone, are the same, so that zones by the same number lie alike.
func (e *earlier) covered(s *Surface) *Surface {
	was := e.surfaces[s.Key]
	if was == nil || !samePolygon(s.Outline, was.Outline) {
		return nil
	}
	openings := slices.EqualFunc(s.Openings, was.Openings, func(a, b Opening) bool { return samePolygon(a.Outline, b.Outline) })
	zones := sameList(s.Zones, was.Zones) || slices.EqualFunc(s.Zones, was.Zones, func(a, b Zone) bool { return slices.EqualFunc(a.Cover, b.Cover, samePolygon) })
	if !openings || !zones {
		return nil
	}
	return was
}

// sameJoints reports whether two zones of one cover have the same joint and the
// same pieces in the same places.
func sameJoints(a, b *Zone) bool {
	return a.Joint == b.Joint && (sameList(a.Pieces, b.Pieces) || slices.EqualFunc(a.Pieces, b.Pieces, func(p, q Piece) bool { return samePolygon(p.Polygon, q.Polygon) }))
}

// samePiece reports whether two pieces have the same place, cuts, limits and tile,
// and come out of the same stock tile by name.
func samePiece(p, q *Piece) bool {
	return p == q || p.ID == q.ID && p.Tile == q.Tile && p.Stock == q.Stock && p.Full == q.Full && p.OnSite == q.OnSite &&
		samePolygon(p.Polygon, q.Polygon) && slices.EqualFunc(p.Cuts, q.Cuts, sameCut)
}

func sameCut(a, b Cut) bool {
	return sameMM(a.Drawn, b.Drawn) && sameMM(a.Size, b.Size) && sameMM(a.Least, b.Least) && sameMM(a.Most, b.Most)
}

func sameMM(a, b *MM) bool { return a == b || a != nil && b != nil && *a == *b }

func samePolygon(a, b Polygon) bool {
	return slices.Equal(a.Outer, b.Outer) && slices.EqualFunc(a.Holes, b.Holes, slices.Equal[[]Point])
}
