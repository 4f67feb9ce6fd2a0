package plandoc

import (
	"fmt"
	"slices"

	"potlife/takeoff"
)

// What is cut from an offcut in hand comes out of no box. In the document such offcuts
// are a tile of their own, of the whole tile's shape and counted by the piece: their
// pieces, rows of the takeoff and stock stand under its key, so that the boxes of the
// whole tile are bought for the others only.

// handKey is the key of a tile as far as it is cut from offcuts in hand.
func handKey(tile string) string { return tile + "~offcut" }

// indexHand notes the pieces that come from offcuts in hand.
func (w *writer) indexHand() {
	w.hand = map[string]bool{}
	for i := range w.plan.Stock {
		if t := &w.plan.Stock[i]; t.InHand() {
			for _, q := range t.Pieces {
				w.hand[q.Piece] = true
			}
		}
	}
}

// tileOf is the tile's key for a piece in the document.
func (w *writer) tileOf(piece, tile string) string {
	if w.hand[piece] {
		return handKey(tile)
	}
	return tile
}

// handTiles adds the tiles of which offcuts in hand are cut.
func (w *writer) handTiles(d *Document) {
	used := map[string]bool{}
	for i := range w.plan.Stock {
		if t := &w.plan.Stock[i]; t.InHand() {
			used[t.Tile] = true
		}
	}
	for _, t := range slices.Clone(d.Tiles) {
		if !used[t.Key] {
			continue
		}
		name := t.Name
		if name == "" {
			name = t.Key
		}
		t.Key, t.Name, t.Of, t.PerBox, t.BoxKg, t.Supplier = handKey(t.Key), name+", from offcuts in hand", optional(t.Key), 1, 0, ""
		d.Tiles = append(d.Tiles, t)
	}
}

// takeoffRows writes a row, and what of it offcuts in hand serve as one of its own.
func (w *writer) takeoffRows(r *takeoff.Row) []Takeoff {
	out := Takeoff{Tile: r.Tile, Group: r.Group, Rooms: list(r.Rooms), Lot: optional(r.Lot),
		Split: optional(r.Split), Pieces: r.Pieces, Full: r.Full, Cut: r.Cut, Stock: r.Stock, StockBound: r.StockBound,
		Spares: r.Spares, Attic: r.Attic, Quantity: r.Quantity, FlatQuantity: r.FlatQuantity, Boxes: r.Boxes, How: r.How}
	if r.InHand == 0 {
		return []Takeoff{out}
	}
	n := 0
	for i := range w.plan.Stock {
		if t := &w.plan.Stock[i]; t.InHand() && t.Tile == r.Tile && t.Group == r.Group {
			n += len(t.Pieces)
		}
	}
	out.Pieces, out.Cut = out.Pieces-n, out.Cut-n
	offcuts := "1 offcut in hand"
	if r.InHand > 1 {
		offcuts = fmt.Sprintf("%d offcuts in hand", r.InHand)
	}
	own := Takeoff{Tile: handKey(r.Tile), Group: r.Group, Rooms: list(r.Rooms), Lot: out.Lot, Split: out.Split, Pieces: n, Cut: n,
		Stock: r.InHand, Quantity: r.InHand, Boxes: r.InHand, How: offcuts + ": nothing is bought for what is cut from them; spares are counted with the whole tiles"}
	return []Takeoff{out, own}
}

// handStock is what the plan cuts of offcuts in hand, by tile and lot, as it lay there.
func (w *writer) handStock() (out []OnHand) {
	for i := range w.plan.Stock {
		t := &w.plan.Stock[i]
		if !t.InHand() || t.Broken {
			continue
		}
		key := handKey(t.Tile)
		k := slices.IndexFunc(out, func(h OnHand) bool { return h.Product == key && *h.Lot == t.Offcut.Lot })
		if k < 0 {
			k = len(out)
			out = append(out, OnHand{Product: key, Lot: &t.Offcut.Lot, Unit: "tile"})
		}
		out[k].Quantity++
	}
	return out
}

// cutGroups parts the cuts of offcuts in hand from the others.
func (w *writer) cutGroups(g CutGroup) []CutGroup {
	own, rest := g, g
	own.Tile = handKey(g.Tile)
	own.Pieces, own.From, rest.Pieces, rest.From = []string{}, []string{}, []string{}, []string{}
	for i, id := range g.Pieces {
		to := &rest
		if w.hand[id] {
			to = &own
		}
		if to.Pieces = append(to.Pieces, id); i < len(g.From) {
			to.From = append(to.From, g.From[i])
		}
	}
	switch {
	case len(own.Pieces) == 0:
		return []CutGroup{g}
	case len(rest.Pieces) == 0:
		return []CutGroup{own}
	}
	return []CutGroup{rest, own}
}

// keptOffcut writes an offcut in hand.
func keptOffcut(o *takeoff.YardOffcut) KeptOffcut {
	return KeptOffcut{Key: o.Key, Tile: o.Tile, Lot: optional(o.Lot), Width: mm(o.Width), Height: mm(o.Height), Factory: o.Edges(),
		Place: optional(o.Place), From: optional(o.From)}
}

// yard lists the offcuts in hand: those of which something is planned or was cut, and
// those that are free.
func (w *writer) yard(d *Document) {
	d.Yard = []KeptOffcut{}
	at := map[string]bool{}
	for i := range w.plan.Stock {
		if t := &w.plan.Stock[i]; t.InHand() {
			k := keptOffcut(t.Offcut)
			k.Stock = optional(t.ID)
			k.Gone = t.Broken || slices.Contains(w.plan.Spent, k.Key)
			at[k.Key] = true
			d.Yard = append(d.Yard, k)
		}
	}
	for i := range w.plan.Firm.Catalogue.Offcuts {
		if o := &w.plan.Firm.Catalogue.Offcuts[i]; !at[o.Key] {
			d.Yard = append(d.Yard, keptOffcut(o))
		}
	}
}
