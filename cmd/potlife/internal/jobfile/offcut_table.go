package jobfile

import (
	"potlife/rooms"
	"potlife/takeoff"
)

type offcut = takeoff.YardOffcut

// offcutObject is one offcut as it was counted.
var offcutObject = object[offcut]{
	name: "offcut", doc: "a rectangle left of a tile that was cut for something else; where it saves a tile the next plan cuts from it",
	fields: []field[offcut]{
		keep("key", "what is marked on its back; a key stands for one piece for good, also once it is used up", keyForm, func(o *offcut) *string { return &o.Key }).needed(),
		keep("tile", "the tile's key", keyForm, func(o *offcut) *string { return &o.Tile }).needed(),
		keep("lot", "the lot as printed on the tile's box; without one it is listed and not used, for nobody knows what it matches", textForm, func(o *offcut) *string { return &o.Lot }),
		keep("width", "its width as the tile lies, face up", zeroLength, func(o *offcut) *rooms.Length { return &o.Width }).needed(),
		keep("height", "its height", zeroLength, func(o *offcut) *rooms.Length { return &o.Height }).needed(),
		edgesField,
		keep("place", "where it lies; in the yard if left out", textForm, func(o *offcut) *string { return &o.Place }),
		keep("from", "what it was left of", textForm, func(o *offcut) *string { return &o.From }),
	},
	check: func(r *reader, v *value, o *offcut) {
		at, now := v.at("width"), *o
		r.tile(v.get("tile"), o.Tile, func(t *takeoff.Tile) {
			if now.Width <= 0 || now.Height <= 0 || len(t.Shape) == 0 {
				return
			}
			if err := now.Check(t); err != nil {
				r.fail(at, err.Error(), "the size of what is left, and in edges its sides that are the tile's own")
			}
		})
	},
}

// edgesField is the sides that are the tile's own.
var edgesField = func() field[offcut] {
	f := listOf(word("left", "bottom", "right", "top"))
	return field[offcut]{key: "edges", doc: "its sides that are the tile's own edges, as it lies: any of left, bottom, right, top; none if it is cut all round",
		read: func(r *reader, v *value, o *offcut) {
			names, ok := f.read(r, v)
			if !ok {
				return
			}
			if err := o.SetEdges(names); err != nil {
				r.fail(v.place, err.Error(), "any of left, bottom, right, top")
			}
		},
		write: func(o *offcut) (any, bool) {
			names := o.Edges()
			return f.write(names), len(names) > 0
		},
		schema: f.schema,
	}
}()
