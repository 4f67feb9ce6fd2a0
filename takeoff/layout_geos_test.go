package takeoff

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"pgregory.net/rapid"

	"potlife/rooms"
)

// geosScript recomputes every surface with GEOS: each tile of the lattice
// clipped by the cover, and the pieces against each other.
const geosScript = `
import json, sys
from shapely.geometry import Polygon
from shapely.ops import unary_union
bad = []
def poly(p): return Polygon(p['outer'], p['holes'])
for s in json.load(open(sys.argv[1])):
    cover = unary_union([poly(c) for c in s['cover']])
    outline, openings = Polygon(s['outline']), unary_union([Polygon(o) for o in s['openings']])
    if cover.difference(outline).area > 0.5: bad.append('%s: the cover leaves the outline' % s['name'])
    if cover.intersection(openings).area > 0.5: bad.append('%s: the cover enters an opening' % s['name'])
    gaps = outline.difference(cover).difference(openings).area
    inside = outline.intersection(openings).area
    joints = cover.difference(unary_union([poly(p).buffer(0) for p in s['pieces']])).area
    rest = outline.area - gaps - inside - joints - sum(poly(p).area for p in s['pieces'])
    if abs(rest) > 1: bad.append('%s: outline, gaps, openings, joints and pieces are %.2f mm2 apart' % (s['name'], rest))
    pieces = [poly(p) for p in s['pieces']]
    for i, p in enumerate(pieces):
        if not p.is_valid: bad.append('%s: piece %d is not valid' % (s['name'], i))
        elif p.difference(cover).area > 0.5: bad.append('%s: piece %d leaves the cover' % (s['name'], i))
    both = unary_union([p.buffer(0) for p in pieces]).area if pieces else 0
    if abs(both - sum(p.area for p in pieces)) > 1: bad.append('%s: pieces overlap' % s['name'])
    want = sum(Polygon(t).intersection(cover).area for t in s['tiles'])
    lost = sum(g.area for t in s['tiles'] for g in getattr(Polygon(t).intersection(cover), 'geoms', [Polygon(t).intersection(cover)])
               if not g.is_empty and g.area < 1.1 * max(g.length, 1))      # may be narrower than a millimetre
    if not want - lost - 1 <= both <= want + 1: bad.append('%s: pieces have %.2f mm2, GEOS %.2f' % (s['name'], both, want))
print('\n'.join(bad))
sys.exit(1 if bad else 0)
`

// geosSurface is what the script reads; lengths in mm.
type geosSurface struct {
	Name     string         `json:"name"`
	Outline  [][2]float64   `json:"outline"`
	Openings [][][2]float64 `json:"openings"`
	Cover    []geosPolygon  `json:"cover"`
	Pieces   []geosPolygon  `json:"pieces"`
	Tiles    [][][2]float64 `json:"tiles"`
}

type geosPolygon struct {
	Outer [][2]float64   `json:"outer"`
	Holes [][][2]float64 `json:"holes"`
}

func geosRing(r rooms.Ring) [][2]float64 {
	out := [][2]float64{}
	for _, p := range r {
		out = append(out, [2]float64{p.X.Millimetres(), p.Y.Millimetres()})
	}
	return out
}

func geosOf(p rooms.Polygon) geosPolygon {
	g := geosPolygon{Outer: geosRing(p.Outer), Holes: [][][2]float64{}}
	for _, h := range p.Holes {
		g.Holes = append(g.Holes, geosRing(h))
	}
	return g
}

// geosRooms is how many rooms of every pattern are held against GEOS.
const geosRooms = 3

// TestAgainstGEOS holds a few rooms in every pattern against GEOS, where Python's
// shapely is installed.
func TestAgainstGEOS(t *testing.T) {
	python := "/usr/bin/python3"
	if exec.Command(python, "-c", "import shapely").Run() != nil {
		t.Skip("python3-shapely is not installed")
	}
	var list []geosSurface
	for i, p := range everyPattern() {
		for k := range geosRooms {
			in := rapid.Custom(func(rt *rapid.T) RoomToLay { return startAnywhere(rt, roomWith(drawSurface(rt), p)) }).Example(100 + i*geosRooms + k)
			l, err := LayOut(in)
			if err != nil {
				t.Fatal(err)
			}
			for _, z := range l[0].Zones {
				g := geosZone(t, p, z)
				g.Outline, g.Openings = geosRing(l[0].Outline.Outer), [][][2]float64{}
				for _, o := range l[0].Openings {
					g.Openings = append(g.Openings, geosRing(o.Outline.Outer))
				}
				list = append(list, g)
			}
		}
	}
	data, err := json.Marshal(list)
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "surfaces.json")
	if err := os.WriteFile(name, data, 0o600); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command(python, "-c", geosScript, name).CombinedOutput(); err != nil {
		t.Errorf("%v:\n%s", err, out)
	}
	if len(list) < 15*geosRooms {
		t.Errorf("only %d surfaces were compared", len(list))
	}
}

// geosZone lists a zone's cover and pieces, and every tile of its lattice near it.
func geosZone(t *testing.T, p patternCase, z ZoneLayout) geosSurface {
	g := geosSurface{Name: p.name}
	for _, c := range z.Cover {
		g.Cover = append(g.Cover, geosOf(c))
	}
	for _, q := range z.Pieces {
		g.Pieces = append(g.Pieces, geosOf(q.Polygon))
	}
	pattern, err := PatternNamed(p.name, nil)
	if err != nil {
		t.Fatal(err)
	}
	lay, err := pattern.build(p.tiles, p.joint, false, 0)
	if err != nil {
		t.Fatal(err)
	}
	f := newFiller(lay, z.Cover)
	f.origin = z.Origin
	box := rooms.BoxOf(z.Cover)
	rows, cells := cellsOver(f, box)
	for row := rows.from; row <= rows.to; row++ {
		for i := cells.from; i <= cells.to; i++ {
			for m := range lay.tiles {
				if r := f.tileAt(row, m, i); r.Box().Meets(box) {
					g.Tiles = append(g.Tiles, geosRing(r))
				}
			}
		}
	}
	return g
}
