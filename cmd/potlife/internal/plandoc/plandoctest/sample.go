// Package plandoctest holds a small plan document, made by hand, for tests of
// what is printed and shown.
package plandoctest

import (
	"encoding/json"
	"fmt"
	"math"

	"potlife/cmd/potlife/internal/plandoc"
)

// Keys of the sample.
const (
	Job   = "orchard"
	Room  = "orchard/bath"
	Wall  = "orchard/bath/north"
	Floor = "orchard/bath/floor"
	CrewA = "ada"
	CrewB = "bo"
	Order = "PO-kiln-1"
	Day   = "2026-03-04" // first day of crew A's sheet
)

// Sample returns one bathroom with a tiled wall round a window and a floor
// round a drain, set by two crews on two days, and one order. Units are
// "metric" or "imperial".
func Sample(units string) *plandoc.Document {
	d := &plandoc.Document{
		Format: plandoc.Format, Zone: "Europe/Warsaw", Currency: "EUR", Firm: "Heron & Daughters Tiling", Units: units, Today: "2026-03-02",
		Hours:  hours(Day, "2026-03-05", "2026-03-06"),
		Finish: at("2026-03-06", "15:00"), FinishBound: at("2026-03-06", "11:30"),
		Jobs:  []plandoc.Job{{Key: Job, Name: "Orchard Row 7", Client: "M. Quill", Start: "2026-03-02"}},
		Sites: []plandoc.Site{{Key: "orchard/house", Job: Job, Name: "Orchard Row 7", Address: "7 Orchard Row, Millbrook"}},
		Rooms: []plandoc.Room{{Key: Room, Job: Job, Site: "orchard/house", Name: "Bathroom", Due: ptr("2026-03-05"), People: 2, Ready: "2026-03-02",
			Celsius: 18, Group: "bath", Finish: at("2026-03-06", "15:00"), Bound: at("2026-03-06", "11:30"), LateDays: 1, Blocked: "floor tile arrives on 5 March",
			Half: at("2026-03-09", "13:00"), Eighty: at("2026-03-09", "13:00"), Chance: 0.1, HeldBy: []plandoc.Often{{Activity: "prep", Share: 0.85}}}},
		Likely: plandoc.Likely{Runs: 100, Half: at("2026-03-09", "13:00"), Eighty: at("2026-03-09", "13:00")},
		Tiles: []plandoc.Tile{
			{Key: "sand-60", Name: "Sand 600 × 300", Shape: rect(0, 0, 600, 300).Outer, Thickness: 9, PerBox: 6, Material: "porcelain", Supplier: "kiln", BoxKg: 22},
			{Key: "slate-30", Name: "Slate 300 × 300", Shape: rect(0, 0, 300, 300).Outer, Thickness: 8, PerBox: 11, Material: "porcelain", Supplier: "kiln", BoxKg: 18},
		},
		Products: []plandoc.Product{
			{Key: "flex", Name: "Flex wall mortar", Kind: "mortar", Unit: "kg", Package: "bag", PackageSize: 20},
			{Key: "grey", Name: "Joint grout grey", Kind: "grout", Unit: "kg", Package: "bag", PackageSize: 5},
			{Key: "skin", Name: "Liquid skin", Kind: "membrane", Unit: "kg", Package: "pail", PackageSize: 7},
		},
		Suppliers: []plandoc.Supplier{{Key: "kiln", Name: "Kiln Lane Supplies", Email: "orders@kiln-lane.example"}},
		Crews: []plandoc.Crew{
			{Key: CrewA, Name: "Ada's crew", Setters: 1, Helpers: 1, Hours: hours(Day, "2026-03-05", "2026-03-06")},
			{Key: CrewB, Name: "Bo", Setters: 1, Hours: hours(Day, "2026-03-05", "2026-03-06")},
		},
		Travel: []plandoc.Travel{}, OnHand: []plandoc.OnHand{{Product: "sand-60", Lot: ptr("K12"), Quantity: 3, Unit: "box"}, {Product: "flex", Quantity: 2, Unit: "package"}},
		Findings: []plandoc.Finding{{Rule: "sliver", Severity: "info", Where: Wall, Message: "no piece under half a tile across", Value: 289, Limit: 150, Source: "common practice"}},
		Summary:  []string{"1 room, 2 surfaces, finish 6 March"},
	}
	d.Surfaces = []plandoc.Surface{wall(), floor()}
	schedule(d)
	buy(d)
	return d
}

func ptr[T any](v T) *T { return &v }

func at(day, clock string) string { return day + "T" + clock + ":00+01:00" }

func hours(days ...string) []plandoc.Span {
	var out []plandoc.Span
	for _, d := range days {
		out = append(out, plandoc.Span{at(d, "07:30"), at(d, "12:00")}, plandoc.Span{at(d, "12:30"), at(d, "16:00")})
	}
	return out
}

func rect(x0, y0, x1, y1 float64) plandoc.Polygon {
	p := func(x, y float64) plandoc.Point { return plandoc.Point{plandoc.MM(x), plandoc.MM(y)} }
	return plandoc.Polygon{Outer: []plandoc.Point{p(x0, y0), p(x1, y0), p(x1, y1), p(x0, y1)}, Holes: [][]plandoc.Point{}}
}

func wall() plandoc.Surface {
	s := plandoc.Surface{
		Key: Wall, Room: Room, Kind: "wall", Lie: "vertical", Name: "North wall", Outline: rect(0, 0, 2400, 2100), HoldMinutes: ptr(180),
		Openings: []plandoc.Opening{{Key: Wall + "/window", Kind: "window", Outline: rect(1202.5, 1204, 1802.5, 1805)}},
		Edges:    edges("floor", "inside corner", "free edge", "inside corner"),
	}
	z := plandoc.Zone{Key: Wall + "/all", Pattern: "straight", Joint: 3, Tile: "sand-60", Mortar: "flex", Grout: "grey", LevelLine: 292.5, Plumb: 1196.5,
		Origin: plandoc.Point{297, 294}, Why: "two equal cuts of 289 mm", Cover: []plandoc.Polygon{{Outer: rect(5, 5, 2395, 2095).Outer, Holes: [][]plandoc.Point{}}}}
	xs, ys := grid(5, []float64{289, 600, 600, 600, 289}), grid(5, []float64{286, 300, 300, 300, 300, 300, 286})
	for j, y := range ys {
		for i, x := range xs {
			for k, r := range minus([4]float64{x[0], y[0], x[1], y[1]}, [4]float64{1199.5, 1201, 1805.5, 1808}) {
				p := plandoc.Piece{ID: fmt.Sprintf("%s/%d.%d%s", z.Key, j, i, suffix(k)), Label: fmt.Sprintf("%d.%02d", j, i), Course: j, Position: i, Tile: "sand-60",
					Polygon: rect(r[0], r[1], r[2], r[3]), Stock: fmt.Sprintf("S%02d", j*5+i)}
				cutSides(&p, r, i == 0, i == 4, j == 0, j == 6, 600, 300)
				z.Pieces = append(z.Pieces, p)
			}
		}
	}
	s.Zones = []plandoc.Zone{z}
	return s
}

func suffix(k int) string {
	if k == 0 {
		return ""
	}
	return string(rune('a' + k))
}

// cutSides marks what of a rectangle is smaller than its tile.
func cutSides(p *plandoc.Piece, r [4]float64, first, last, bottom, top bool, w, h float64) {
	add := func(side string, v float64) {
		m := plandoc.MM(v)
		size := plandoc.MM(math.Floor(v))
		p.Cuts = append(p.Cuts, plandoc.Cut{Side: side, Drawn: &m, Size: &size, Least: ptr(size - 2), Most: ptr(size + 2), Tool: "score and snap", At: "edge"})
	}
	if v := r[2] - r[0]; v < w-0.5 {
		side := "right"
		if first {
			side = "left"
		}
		add(side, v)
	}
	if v := r[3] - r[1]; v < h-0.5 {
		side := "top"
		if bottom {
			side = "bottom"
		}
		add(side, v)
	}
	_, _ = last, top
	p.Full = len(p.Cuts) == 0
}

func floor() plandoc.Surface {
	drain := []plandoc.Point{{1157, 719}, {1157, 801}, {1243, 801}, {1243, 719}}
	s := plandoc.Surface{
		Key: Floor, Room: Room, Kind: "floor", Lie: "flat", Name: "Floor", Outline: rect(0, 0, 2400, 1520),
		Openings: []plandoc.Opening{{Key: Floor + "/drain", Kind: "drain", Outline: rect(1160, 722, 1240, 798)}},
		Edges:    edges("inside corner", "inside corner", "inside corner", "doorway"),
	}
	z := plandoc.Zone{Key: Floor + "/all", Pattern: "straight", Joint: 3, Tile: "slate-30", Mortar: "flex", Grout: "grey",
		Origin: plandoc.Point{5, 5}, Why: "full tiles from the door", Cover: []plandoc.Polygon{{Outer: rect(5, 5, 2395, 1515).Outer, Holes: [][]plandoc.Point{drain}}}}
	xs, ys := grid(5, []float64{300, 300, 300, 300, 300, 300, 300, 269}), grid(5, []float64{300, 300, 300, 300, 298})
	for j, y := range ys {
		for i, x := range xs {
			p := plandoc.Piece{ID: fmt.Sprintf("%s/%d.%d", z.Key, j, i), Label: fmt.Sprintf("%d.%02d", j, i), Course: j, Position: i, Tile: "slate-30",
				Polygon: rect(x[0], y[0], x[1], y[1]), Stock: fmt.Sprintf("F%02d", j*8+i)}
			cutSides(&p, [4]float64{x[0], y[0], x[1], y[1]}, false, i == 7, false, j == 4, 300, 300)
			if i == 7 && j == 4 {
				p.OnSite, p.OnSiteWhy = true, "the corner by the door is not measured"
			}
			if i == 3 && j == 2 {
				p.Full, p.Late = false, ptr("at the drain, set after the flood test")
				p.Cuts = []plandoc.Cut{{Side: "shape", Tool: "grinder", Shape: "hole 86 × 82 round the drain", At: "opening drain"}}
				p.Polygon.Holes = [][]plandoc.Point{drain}
			}
			z.Pieces = append(z.Pieces, p)
		}
	}
	s.Zones = []plandoc.Zone{z}
	return s
}

// grid returns [from, to] of runs of the given widths, 3 mm apart.
func grid(from float64, widths []float64) [][2]float64 {
	var out [][2]float64
	for _, w := range widths {
		out = append(out, [2]float64{from, from + w})
		from += w + 3
	}
	return out
}

// minus cuts a hole out of a rectangle where it spans the whole of it one way.
func minus(r, hole [4]float64) [][4]float64 {
	if r[2] <= hole[0] || r[0] >= hole[2] || r[3] <= hole[1] || r[1] >= hole[3] {
		return [][4]float64{r}
	}
	var out [][4]float64
	add := func(q [4]float64) {
		if q[2]-q[0] > 1 && q[3]-q[1] > 1 {
			out = append(out, q)
		}
	}
	if hole[0] <= r[0] && hole[2] >= r[2] {
		add([4]float64{r[0], r[1], r[2], hole[1]})
		add([4]float64{r[0], hole[3], r[2], r[3]})
		return out
	}
	add([4]float64{r[0], r[1], hole[0], r[3]})
	add([4]float64{hole[2], r[1], r[2], r[3]})
	return out
}

func money(s string) json.Number { return json.Number(s) }

// edges are those of a rectangle, by what they meet.
func edges(meets ...string) []plandoc.Edge {
	out := make([]plandoc.Edge, len(meets))
	for i, name := range []string{"bottom edge", "right edge", "top edge", "left edge"} {
		out[i] = plandoc.Edge{Name: name, Meets: meets[i], Gap: 5, Fill: "sealant"}
	}
	return out
}
