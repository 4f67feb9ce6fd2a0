package takeoff

import (
	"math/rand/v2"
	"slices"
	"testing"

	"potlife/rooms"
)

// foldedShower is a shower floor that falls to its drain and is cut along its folds.
func foldedShower(w, h rooms.Length, p patternCase) RoomToLay {
	drain := rooms.Point{X: w / 2, Y: h / 2}
	s := rooms.Surface{Key: "s", Kind: rooms.ShowerFloor, Measured: true, Outline: rooms.Rect(0, 0, w, h),
		Openings: []rooms.Opening{{Key: "drain", Outline: rooms.Circle(drain, 55*lmm, lmm/10), Gap: 2 * lmm, GapMax: 4 * lmm}},
		Falls:    &rooms.Falls{Kind: rooms.ToPoint, A: drain, Cut: true}}
	for range s.Outline {
		s.Edges = append(s.Edges, rooms.Edge{Meets: rooms.InsideCorner, Gap: 5 * lmm, GapMax: 6 * lmm})
	}
	return roomWith(s, p)
}

// smallTiles are patterns of a tile for shower floors.
func smallTiles() []patternCase {
	var list []patternCase
	for _, p := range everyPattern() {
		switch p.name {
		case "straight", "offset 1/2":
			p.tiles = []Tile{box("t", 97*lmm, 97*lmm)}
		case "herringbone":
			p.tiles = []Tile{box("t", 97*lmm, 47*lmm)}
		default:
			continue
		}
		list = append(list, p)
	}
	return list
}

// planesSearch is the search of the common origin of a floor's planes.
func planesSearch(t *testing.T, in RoomToLay) (*cellSearch, *zoneLayer, *rooms.Surface) {
	t.Helper()
	w, err := prepareSurface(in, &in.Room.Surfaces[0], viewOf(&in.Room))
	if err != nil {
		t.Fatal(err)
	}
	z := w.flat(w.planes[0].zone, w.layers)
	c := z.newCellSearch(w.surface, z.searchBase(rooms.Datum{}), [2]bool{true, true})
	c.faults = z.axisFaults(w.surface)
	return c, z, w.surface
}

// TestSearchWeighsFolds: the rank that the search gives an origin of planes that meet in
// folds is that of the layout in full, with the pieces beside gaps too wide and under
// what the width allows, counted one by one; the bound of a window is no more than that
// of any origin in it.
func TestSearchWeighsFolds(t *testing.T) {
	for _, p := range smallTiles() {
		c, z, s := planesSearch(t, foldedShower(914*lmm, 1000*lmm, p))
		if (c.faults == nil) != (p.name == "herringbone") {
			t.Fatalf("%s: faults along the axes %v", p.name, c.faults)
		}
		r := rand.New(rand.NewPCG(8, 2))
		off, faults := 0, int64(0)
		n := cases(60, 2000)
		for range n {
			x, b := anyWindow(r, c, z.lay)
			for range 4 {
				o := rooms.Point{X: x.w.Min.X + rooms.Length(r.Float64()*float64(x.w.Width()+1)), Y: x.w.Min.Y + rooms.Length(r.Float64()*float64(x.w.Height()+1))}
				want := mustJudge(t, z, s, o)
				if c.faults != nil {
					f := faultsOneByOne(&c.faults.across, o.X) + faultsOneByOne(&c.faults.upward, o.Y)
					want[0] += f
					faults += f
				}
				if !weighedAs(t, p.name, c, x, b, o, want[:]) {
					off++
				}
			}
		}
		if off > n/250 {
			t.Errorf("%s: %d of %d origins are not weighed as laid", p.name, off, 4*n)
		}
		if c.faults != nil && faults == 0 {
			t.Errorf("%s: no end is too narrow anywhere", p.name)
		}
	}
}

// faultsOneByOne counts the pieces at every edge and course.
func faultsOneByOne(a *axis, o rooms.Length) int64 {
	sum := int64(0)
	pieces := func(long rooms.Length) int64 { return int64((long + a.pitch - 1) / a.pitch) }
	for _, s := range a.shifts {
		for _, e := range a.edges {
			if _, wide := a.cut(e, o+s); wide > e.slack {
				sum += pieces(e.long)
			}
		}
		for _, x := range a.spans {
			for _, k := range [2]int{x.near, x.far} {
				if k >= 0 && !a.edges[k].margin {
					if c, _ := a.cut(a.edges[k], o+s); c < x.limit {
						sum += pieces(x.long)
					}
				}
			}
		}
	}
	return sum
}

// TestNoOriginOfPlanesIsBetter: the search of a folded floor is complete, and of random
// origins none is better than the one found.
func TestNoOriginOfPlanesIsBetter(t *testing.T) {
	for _, p := range smallTiles() {
		c, z, s := planesSearch(t, foldedShower(914*lmm, 914*lmm, p))
		ruled, err := c.run()
		if err != nil || ruled < 0.9 || p.name == "straight" && ruled < 1 {
			t.Errorf("%s: %.3f looked at or ruled out, %v", p.name, ruled, err)
		}
		judge := func(o rooms.Point) axisRank {
			r := mustJudge(t, z, s, o)
			r[0] += c.faults.count(o)
			return r
		}
		at, _, err := z.searchOrigin(s, rooms.Datum{})
		if err != nil {
			t.Fatal(err)
		}
		won := judge(at)
		r := rand.New(rand.NewPCG(5, 8))
		for range cases(300, 20_000) {
			if q := judge(anyOrigin(r, z.lay)); slices.Compare(q[:rankRest], won[:rankRest]) < 0 {
				t.Errorf("%s: %v is better than the best found, %v", p.name, q, won)
			}
		}
	}
}

// TestFoldsLeaveNoSlivers: shower floors in tile of 97, cut along folds that run at an
// angle to its joints: from one origin for all planes no piece is too narrow to be set.
func TestFoldsLeaveNoSlivers(t *testing.T) {
	p := smallTiles()[0]
	for _, size := range [][2]rooms.Length{{914, 914}, {900, 1100}, {860, 1000}} {
		in := foldedShower(size[0]*lmm, size[1]*lmm, p)
		l := lay(t, in)
		if err := CheckLayout(l, in.Tiles); err != nil {
			t.Error(err)
		}
		for _, f := range l.Findings {
			if f.Rule == "sliver" {
				t.Errorf("%d × %d: %s: %s", size[0], size[1], f.Message, l.Zones[0].Why)
			}
		}
	}
}
