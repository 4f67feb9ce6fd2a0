package takeoff

import (
	"slices"
	"testing"

	"potlife/rooms"
)

// TestFindings lays surfaces that break one rule each. The figures are those of
// FACTS.md 2.1–2.4, 2.11–2.12, 3.5, 4.6, 1.16 and common practice; their sources
// stand beside the constants.
func TestFindings(t *testing.T) {
	base := func() RoomToLay {
		tile := box("t", 300*lmm, 300*lmm)
		tile.Variation = rooms.Millimetre / 2
		in := wall(2418*lmm, 1210*lmm, tile, rooms.Zone{Pattern: "straight", Joint: 3 * lmm, Mortar: "m"})
		for i := range in.Room.Surfaces[0].Edges {
			in.Room.Surfaces[0].Edges[i].Gap = 7 * lmm
			in.Room.Surfaces[0].Edges[i].GapMax = 9 * lmm
		}
		in.Products = map[string]Product{"m": {Key: "m", Kind: KindMortar}}
		return in
	}
	change := func(in *RoomToLay, f func(*Tile)) {
		tile := in.Tiles["t"]
		f(&tile)
		in.Tiles["t"] = tile
	}
	large := func(in *RoomToLay) {
		change(in, func(t *Tile) { t.Shape = rooms.Rect(0, 0, 600*lmm, 300*lmm); t.Material = "porcelain" })
	}
	for _, c := range []struct {
		rule  string
		limit float64
		spoil func(*RoomToLay)
	}{
		{"joint width", 3 * 1.5, func(in *RoomToLay) { change(in, func(t *Tile) { t.Variation = 1500 * rooms.Micrometre }) }},
		{"joint width", 25.4 / 16, func(in *RoomToLay) {
			in.Room.Surfaces[0].Zones[0].Joint = lmm
			change(in, func(t *Tile) { t.Variation = 0 })
		}},
		{"joint of long offset tile", 25.4 * 3 / 16, func(in *RoomToLay) { large(in); in.Room.Surfaces[0].Zones[0].Pattern = "offset 1/3" }},
		{"joint of long offset tile", 25.4 / 8, func(in *RoomToLay) {
			large(in)
			in.Room.Surfaces[0].Zones[0].Pattern = "offset 1/3"
			change(in, func(t *Tile) { t.Rectified = true })
		}},
		{"offset of long tile", 0.33, func(in *RoomToLay) { large(in); in.Room.Surfaces[0].Zones[0].Pattern = "offset 1/2" }},
		{"perimeter gap", 3, func(in *RoomToLay) { in.Room.Surfaces[0].Edges[1].Gap = 2 * lmm }},
		{"perimeter gap", 6, func(in *RoomToLay) {
			in.Room.Surfaces[0].Kind = rooms.Floor
			in.Room.Surfaces[0].Edges[1].Gap = 5 * lmm
		}},
		{"sliver", 8, func(in *RoomToLay) { in.Room.Surfaces[0].Zones[0].Datum = rooms.Datum{Across: rooms.At, X: -286 * lmm} }},
		{"small cut", 100, func(in *RoomToLay) { in.Room.Surfaces[0].Zones[0].Datum = rooms.Datum{Across: rooms.At, X: -200 * lmm} }},
		{"readings", 2418, func(in *RoomToLay) {
			in.Room.Surfaces[0].Checks = []rooms.Check{{Kind: rooms.WidthAt, At: 600 * lmm, Value: 2410 * lmm}}
		}},
		{"thin leg", 8, func(in *RoomToLay) { // the window leaves 4 mm of a tile beside it
			in.Room.Surfaces[0].Zones[0].Datum = rooms.Datum{Across: rooms.At, Up: rooms.At, X: 7 * lmm, Y: 7 * lmm}
			in.Room.Surfaces[0].Openings = []rooms.Opening{{Key: "w", Gap: 3 * lmm, GapMax: 5 * lmm, Outline: rooms.Rect(317*lmm, 400*lmm, 700*lmm, 700*lmm)}}
		}},
		{"lippage", 25.4 / 32, large},
		{"wall weight", 20, func(in *RoomToLay) {
			in.Room.Surfaces[0].Layer = rooms.Render
			change(in, func(t *Tile) { t.BoxKg = 25 }) // 10 tiles of 0.09 m²: 27.8 kg/m²
		}},
		{"tile on a fall", 100, func(in *RoomToLay) { in.Room.Surfaces[0].Kind = rooms.ShowerFloor }},
		{"ready-mixed adhesive", 0, func(in *RoomToLay) {
			in.Room.Surfaces[0].Wet = true
			in.Products["m"] = Product{Key: "m", Kind: KindMortar, Sheet: DataSheet{ReadyMixed: true}}
		}},
	} {
		in := base()
		if l := lay(t, in); slices.ContainsFunc(l.Findings, func(f Finding) bool { return f.Rule == c.rule && f.Severity == Warn }) {
			t.Fatalf("the sound surface is found fault with: %+v", l.Findings)
		}
		c.spoil(&in)
		in.Room.Surfaces[0].Waivers = []rooms.Waiver{{Rule: c.rule, Why: "seen and accepted"}}
		l := lay(t, in)
		k := slices.IndexFunc(l.Findings, func(f Finding) bool { return f.Rule == c.rule })
		if k < 0 {
			t.Errorf("%s is not found among %+v", c.rule, l.Findings)
			continue
		}
		f := l.Findings[k]
		if d := f.Limit - c.limit; d > 0.001 || d < -0.001 || f.Source == "" || f.Where == "" || f.Message == "" || f.Waived != "seen and accepted" {
			t.Errorf("%s: %+v, want limit %v", c.rule, f, c.limit)
		}
	}
}
