package takeoff

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"potlife/rooms"
)

// coupledZone is a rectangular floor prepared in a pattern; ok is false for
// patterns whose axes are searched apart.
func coupledZone(t *testing.T, p patternCase, w, h rooms.Length) (z *zoneLayer, s *rooms.Surface, ok bool) {
	t.Helper()
	e := rooms.Edge{Meets: rooms.InsideCorner, Gap: 5 * lmm}
	in := roomWith(rooms.Surface{Key: "s", Kind: rooms.Floor, Measured: true, Outline: rooms.Rect(0, 0, w, h), Edges: []rooms.Edge{e, e, e, e}}, p)
	s = &in.Room.Surfaces[0]
	work, err := prepareSurface(in, s, viewOf(&in.Room))
	if err != nil {
		t.Fatal(err)
	}
	_, _, apart := work.layers[0].axes(s)
	return work.layers[0], s, !apart
}

// anyOrigin draws an origin of the lattice's cell.
func anyOrigin(r *rand.Rand, l *lattice) rooms.Point {
	a, b := r.Float64(), r.Float64()
	return l.turn.apply(rooms.Point{X: round(a*float64(l.u.X) + b*float64(l.v.X)), Y: round(a*float64(l.u.Y) + b*float64(l.v.Y))})
}

// TestArrangementAgainstDenseGrid lays one origin from every cell of the
// arrangement, and none of a dense random grid has fewer narrow pieces than the
// best of them.
func TestArrangementAgainstDenseGrid(t *testing.T) {
	for _, p := range everyPattern() {
		if p.name != "herringbone" && p.name != "modular two sizes" {
			continue
		}
		z, s, ok := coupledZone(t, p, 313*lmm, 271*lmm)
		if !ok {
			t.Fatalf("%s is searched axis by axis", p.name)
		}
		tried, cells, err := z.tryOrigins(s, rooms.Datum{}, 1<<30)
		if err != nil {
			t.Fatal(err)
		}
		if len(tried) != cells || cells < 1000 {
			t.Errorf("%s: %d of %d cells laid", p.name, len(tried), cells)
		}
		r := rand.New(rand.NewPCG(11, 4))
		for range cases(600, 20_000) {
			o := anyOrigin(r, z.lay)
			got, err := z.fill.fill(o)
			if err != nil {
				t.Fatal(err)
			}
			if q := z.judge(s, got); slices.Compare(q[:rankLacks], tried[0].rank[:rankLacks]) < 0 {
				t.Errorf("%s: %v counts %v, the best of %d cells %v", p.name, o, q[:rankLacks], cells, tried[0].rank[:rankLacks])
			}
		}
	}
}

// TestFewOriginsAreNearlyBest: of the thousands of cells of a usual floor a few
// are laid, and what wins is beaten by hardly any random origin, where tiles lie
// along the axes by next to none.
func TestFewOriginsAreNearlyBest(t *testing.T) {
	for _, p := range everyPattern() {
		z, s, ok := coupledZone(t, p, 1473*lmm, 1211*lmm)
		if !ok {
			continue
		}
		at, why, err := z.searchOrigin(s, rooms.Datum{})
		if err != nil || why == "" || len(z.runners) != 3 {
			t.Fatalf("%s: %v, %q, %d runners-up", p.name, err, why, len(z.runners))
		}
		won := mustJudge(t, z, s, at)
		r := rand.New(rand.NewPCG(5, 4))
		const n = 150
		better := 0
		for range n {
			if q := mustJudge(t, z, s, anyOrigin(r, z.lay)); slices.Compare(q[:rankBalance], won[:rankBalance]) < 0 {
				better++
			}
		}
		most := n / 50
		if !z.lay.turn.square() {
			most = n / 6
		}
		if better > most {
			t.Errorf("%s: %d of %d random origins are better than %s", p.name, better, n, why)
		}
	}
}

func mustJudge(t *testing.T, z *zoneLayer, s *rooms.Surface, o rooms.Point) axisRank {
	t.Helper()
	got, err := z.fill.fill(o)
	if err != nil {
		t.Fatal(err)
	}
	return z.judge(s, got)
}

// TestSlantingOutlineIsSearchedToo: a floor without an edge along either axis has
// no critical places; origins spread over the cell are laid and the best taken.
func TestSlantingOutlineIsSearchedToo(t *testing.T) {
	for _, p := range everyPattern() {
		if p.name != "hexagon" && p.name != "herringbone" {
			continue
		}
		in := roomWith(rooms.Surface{Key: "s", Kind: rooms.Floor, Measured: true,
			Outline: rooms.Ring{{X: 900 * lmm, Y: 0}, {X: 1700 * lmm, Y: 800 * lmm}, {X: 800 * lmm, Y: 1600 * lmm}, {X: 0, Y: 700 * lmm}}}, p)
		l := lay(t, in)
		if err := CheckLayout(l, in.Tiles); err != nil {
			t.Error(err)
		}
		if z := l.Zones[0]; !strings.Contains(z.Why, "best of all 36 places, spread evenly") || len(z.RunnersUp) != 3 {
			t.Errorf("%s: %d runners-up, %s", p.name, len(z.RunnersUp), z.Why)
		}
	}
}
