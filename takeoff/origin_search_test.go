package takeoff

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"potlife/rooms"
)

// coupledZone is a floor prepared in a pattern; ok is false for
// patterns whose axes are searched apart.
func coupledZone(t *testing.T, p patternCase, floor rooms.Surface) (z *zoneLayer, s *rooms.Surface, ok bool) {
	t.Helper()
	in := roomWith(floor, p)
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

// ruggedFloor has corners that jut in, walls at an angle, openings square, round
// and near a wall, and an edge in view.
func ruggedFloor() rooms.Surface {
	s := rooms.Surface{Key: "s", Kind: rooms.Floor, Measured: true,
		Outline: rooms.Ring{{X: 0, Y: 0}, {X: 1473 * lmm, Y: 0}, {X: 1460 * lmm, Y: 811 * lmm}, {X: 903 * lmm, Y: 811 * lmm}, {X: 903 * lmm, Y: 1211 * lmm}, {X: 0, Y: 1211 * lmm}},
		Openings: []rooms.Opening{
			{Key: "pan", Outline: rooms.Rect(300*lmm, 500*lmm, 511*lmm, 703*lmm), Gap: 3 * lmm},
			{Key: "pipe", Outline: rooms.Circle(rooms.Point{X: 1300 * lmm, Y: 600 * lmm}, 55*lmm, lmm/10), Gap: 3 * lmm},
			{Key: "post", Outline: rooms.Rect(700*lmm, 8*lmm, 790*lmm, 60*lmm), Gap: 3 * lmm},
		}}
	for i := range s.Outline {
		s.Edges = append(s.Edges, rooms.Edge{Meets: rooms.InsideCorner, Gap: 5 * lmm, Seen: i == 4})
	}
	return s
}

// nicheFace has outside corners that nothing closes on two sides, and a round hole near
// one of them.
func nicheFace() rooms.Surface {
	s := rooms.Surface{Key: "s", Kind: rooms.Wall, Measured: true, Outline: rooms.Ring{{X: 0, Y: 0}, {X: 873 * lmm, Y: 0}, {X: 860 * lmm, Y: 611 * lmm}, {X: 0, Y: 611 * lmm}},
		Openings: []rooms.Opening{{Key: "pipe", Outline: rooms.Circle(rooms.Point{X: 700 * lmm, Y: 560 * lmm}, 30*lmm, lmm/10), Gap: 3 * lmm}}}
	for i := range s.Outline {
		s.Edges = append(s.Edges, rooms.Edge{Meets: []string{rooms.InsideCorner, rooms.OutsideCorner}[i%2], Gap: 3 * lmm, Seen: i == 2})
	}
	return s
}

// searchedGrounds are those that the search is held to.
func searchedGrounds() []rooms.Surface { return []rooms.Surface{ruggedFloor(), nicheFace()} }

// coupledSearch is a search of a surface in a pattern whose axes depend on each
// other; nil for the others.
func coupledSearch(t *testing.T, p patternCase, floor rooms.Surface) (*cellSearch, *zoneLayer, *rooms.Surface) {
	t.Helper()
	z, s, ok := coupledZone(t, p, floor)
	if !ok {
		return nil, nil, nil
	}
	return z.newCellSearch(s, z.searchBase(rooms.Datum{}), [2]bool{true, true}), z, s
}

// TestSearchWeighsWhatIsLaid: the rank that the search gives an origin is that of
// the layout in full, but for one in a thousand where a piece is a hair from a
// limit, and the bound of a window is no more than that of any origin in it.
func TestSearchWeighsWhatIsLaid(t *testing.T) {
	for k, p := range slices.Repeat(everyPattern(), 2) {
		c, z, s := coupledSearch(t, p, searchedGrounds()[k%2])
		if c == nil {
			continue
		}
		r := rand.New(rand.NewPCG(3, 4))
		n, off := cases(60, 2000), 0
		for range n {
			x, b := anyWindow(r, c, z.lay)
			for range 4 {
				o := rooms.Point{X: x.w.Min.X + rooms.Length(r.Float64()*float64(x.w.Width()+1)), Y: x.w.Min.Y + rooms.Length(r.Float64()*float64(x.w.Height()+1))}
				want := mustJudge(t, z, s, o)
				if !weighedAs(t, p.name, c, x, b, o, want[:]) {
					off++
				}
			}
		}
		if off > n/250 {
			t.Errorf("%s: %d of %d origins are not weighed as laid", p.name, off, 4*n)
		}
	}
}

// anyWindow is a window of origins anywhere, of an eighth of a millimetre to an eighth
// of a metre, and its bound.
func anyWindow(r *rand.Rand, c *cellSearch, l *lattice) (openWindow, bound) {
	var w rooms.Box
	w.Min = anyOrigin(r, l)
	size := math.Pow(10, 3+3*r.Float64())
	w.Max = rooms.Point{X: w.Min.X + rooms.Length(r.Float64()*size), Y: w.Min.Y + rooms.Length(r.Float64()*size)}
	x := openWindow{w: w, tiles: slices.Clone(c.collect(w))}
	x.open = x.tiles
	for i := range c.best { // the rest is weighed where it may matter
		c.best[i] = math.MaxInt64
	}
	return x, boundInFull(c, x)
}

// weighedAs reports whether the search weighs an origin of a window as it is laid; the
// window's bound may not be above that.
func weighedAs(t *testing.T, name string, c *cellSearch, x openWindow, b bound, o rooms.Point, laid []int64) bool {
	t.Helper()
	if err := c.try(o, x.tiles); err != nil {
		t.Fatal(err)
	}
	if slices.Compare(b.rank[:rankRest], laid[:rankRest]) > 0 {
		t.Errorf("%s at %v in %v: bound %v (settled %v), laid %v", name, o, x.w, b.rank, b.settled, laid)
	}
	got := c.tried[len(c.tried)-1].rank
	if !slices.Equal(got[:rankRest], laid[:rankRest]) {
		t.Logf("%s at %v: weighed %v, laid %v", name, o, got, laid)
		return false
	}
	return true
}

// boundInFull bounds a window by itself and as a part of one twice as large, of
// which it takes over what is settled: by all criteria, and the better of the two.
func boundInFull(c *cellSearch, x openWindow) bound {
	large := x
	large.w.Min.X, large.w.Min.Y = large.w.Min.X-x.w.Width()/2, large.w.Min.Y-x.w.Height()/2
	large.w.Max.X, large.w.Max.Y = large.w.Max.X+x.w.Width()/2, large.w.Max.Y+x.w.Height()/2
	large.tiles = slices.Clone(c.collect(large.w))
	large.open = large.tiles
	c.bound(&large)
	part := openWindow{w: x.w, tiles: large.tiles, sum: large.sum, open: slices.Clone(c.open)}
	best := bound{}
	for _, x := range []openWindow{x, part} {
		first := x
		c.bound(&first)
		copy(c.best[:], first.bound.rank[:])
		c.bound(&x)
		if slices.Compare(x.bound.rank[:rankRest], best.rank[:rankRest]) > 0 {
			best = x.bound
		}
		for i := range c.best {
			c.best[i] = math.MaxInt64
		}
	}
	return best
}

// TestNoOriginIsBetter: the search of a small room is complete in every pattern,
// and of hundreds of random origins (20 000 in a long run) none is better than
// the one found: neither by its pieces nor by what is in view nor by the balance.
func TestNoOriginIsBetter(t *testing.T) {
	for k, p := range slices.Repeat(everyPattern(), 2) {
		c, z, s := coupledSearch(t, p, searchedGrounds()[k%2])
		if c == nil {
			continue
		}
		ruled, err := c.run()
		if err != nil || ruled < 1 {
			t.Errorf("%s: %.3f looked at or ruled out, %v", p.name, ruled, err)
		}
		at, why, err := z.searchOrigin(s, rooms.Datum{})
		if err != nil || !strings.Contains(why, "best of all places") || len(z.runners) != 3 {
			t.Errorf("%s: %v, %q, %d runners-up", p.name, err, why, len(z.runners))
		}
		won := mustJudge(t, z, s, at)
		if slices.Compare(won[:rankRest], c.best[:rankRest]) > 0 {
			t.Errorf("%s: %v chosen, %v found", p.name, won, c.best)
		}
		r := rand.New(rand.NewPCG(5, 4))
		for range cases(200, 20_000) {
			o := anyOrigin(r, z.lay)
			if q := mustJudge(t, z, s, o); slices.Compare(q[:rankRest], won[:rankRest]) < 0 {
				t.Errorf("%s: %v ranks %v, best found %v", p.name, o, q, won)
			}
		}
	}
}

// TestOneAxisGiven: with the place along one axis given, none along the other is
// better than the one found, but for a mm.
func TestOneAxisGiven(t *testing.T) {
	for _, p := range everyPattern() {
		_, z, s := coupledSearch(t, p, ruggedFloor())
		if z == nil {
			continue
		}
		d := rooms.Datum{Across: rooms.OnTile}
		at, why, err := z.searchOrigin(s, d)
		if err != nil || !strings.Contains(why, "best of all places") {
			t.Fatalf("%s: %v, %q", p.name, err, why)
		}
		base := z.searchBase(d)
		w := z.newCellSearch(s, base, [2]bool{false, true}).cell()
		if at.X != base.X {
			t.Errorf("%s: moved across from %s to %s", p.name, base.X, at.X)
		}
		won := mustJudge(t, z, s, at)
		r := rand.New(rand.NewPCG(6, 4))
		for range cases(60, 5000) {
			o := rooms.Point{X: base.X, Y: w.Min.Y + rooms.Length(r.Float64()*float64(w.Height()))}
			if q := mustJudge(t, z, s, o); clearlyBetter(q, won) {
				t.Errorf("%s: %v ranks %v, best found %v", p.name, o, q, won)
			}
		}
	}
}

// TestSearchHasALimit: where the search may weigh no more, the answer says what
// share of the places it covers.
func TestSearchHasALimit(t *testing.T) {
	for _, p := range everyPattern() {
		if p.name != "octagon and dot" {
			continue
		}
		c, z, _ := coupledSearch(t, p, ruggedFloor())
		c.limit = 5000
		ruled, err := c.run()
		if err != nil || ruled <= 0 || ruled >= 1 {
			t.Fatalf("%.3f looked at or ruled out, %v", ruled, err)
		}
		_, why, err := z.choose(c, ruled)
		var n, share int
		if _, scan := fmt.Sscanf(why, "best of %d places weighed; %d %% of all were looked at or ruled out", &n, &share); err != nil || scan != nil || n < 2 || share != int(ruled*100) {
			t.Errorf("%v, %q", err, why)
		}
	}
}

// clearlyBetter reports whether a rank is better by a piece, or by more than the
// one mm or cm that the smallest windows leave undecided.
func clearlyBetter(r, than axisRank) bool {
	k := 0
	for k < rankRest-1 && r[k] == than[k] {
		k++
	}
	if k < rankLacks {
		return r[k] < than[k]
	}
	return r[k] < than[k]-1
}

func mustJudge(t *testing.T, z *zoneLayer, s *rooms.Surface, o rooms.Point) axisRank {
	t.Helper()
	got, err := z.fill.fill(o)
	if err != nil {
		t.Fatal(err)
	}
	return z.judge(s, got)
}

// TestSlantingOutlineIsSearchedToo: a floor without an edge along either axis is
// searched like any other.
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
		if z := l.Zones[0]; !strings.Contains(z.Why, "best of all places") || len(z.RunnersUp) != 3 {
			t.Errorf("%s: %d runners-up, %s", p.name, len(z.RunnersUp), z.Why)
		}
	}
}

// TestSmallCutsThatNothingSpares: where the whole search of a herringbone floor left no
// sliver, "no origin leaves less" is said of its small cuts, and none of hundreds of
// origins does leave less without a sliver; not where a place is given.
func TestSmallCutsThatNothingSpares(t *testing.T) {
	said := 0
	for _, p := range everyPattern() {
		in := roomWith(rooms.Surface{Key: "s", Kind: rooms.Floor, Measured: true, Outline: rooms.Rect(0, 0, 1473*lmm, 1211*lmm)}, p)
		if c, _, _ := coupledSearch(t, p, in.Room.Surfaces[0]); c == nil {
			continue
		}
		small := func(in RoomToLay) (f Finding, n int, sliver bool) {
			l := lay(t, in)
			for _, x := range l.Findings {
				switch x.Rule {
				case "sliver":
					sliver = true
				case "small cut":
					f = x
					if _, err := fmt.Sscanf(x.Message, "%d piece", &n); err != nil {
						t.Fatalf("%s: %v", x.Message, err)
					}
				}
			}
			return f, n, sliver
		}
		f, n, sliver := small(in)
		if spares := strings.HasSuffix(f.Message, "no origin leaves less of that kind"); n == 0 || sliver == spares || spares != (f.Severity == Info) {
			if n > 0 || spares {
				t.Errorf("%s: %d small cuts, sliver %v: %s", p.name, n, sliver, f.Message)
			}
			continue
		}
		if sliver {
			continue
		}
		said++
		z, _, _ := coupledZone(t, p, in.Room.Surfaces[0])
		r := rand.New(rand.NewPCG(8, 9))
		for range cases(60, 2000) {
			in.Locks = map[string]Lock{"j/r/s/z": {Origin: anyOrigin(r, z.lay)}}
			other, m, sliver := small(in)
			if strings.Contains(other.Message, "no origin") {
				t.Fatalf("%s, issued: %s", p.name, other.Message)
			}
			if !sliver && m < n {
				t.Errorf("%s: %d small cuts, said to be the least, and %d at %v", p.name, n, m, in.Locks)
			}
		}
	}
	if said < 3 {
		t.Errorf("said of %d patterns only", said)
	}
}

// TestBareCornerOfCoupledPatterns: on a pier in basket weave, 123 wider than two blocks,
// the tile is cut at the inside corner, whichever side it is on, and whole at the outside
// corner that nothing closes.
func TestBareCornerOfCoupledPatterns(t *testing.T) {
	for _, bare := range []int{1, 3} {
		in := wall(728*lmm, 600*lmm, box("t", 297*lmm, 147*lmm), rooms.Zone{Pattern: "basket weave"})
		in.Room.Surfaces[0].Edges[bare] = rooms.Edge{Meets: rooms.OutsideCorner}
		name := in.Room.Surfaces[0].EdgeName(bare)
		l := lay(t, in)
		if err := CheckLayout(l, in.Tiles); err != nil {
			t.Error(err)
		}
		for _, p := range l.Zones[0].Pieces {
			for _, c := range p.Cuts {
				if strings.Contains(c.At, name) {
					t.Errorf("%s is cut at the %s: %s", p.ID, name, l.Zones[0].Why)
				}
			}
		}
	}
}

// TestRunnersUpOfCoupledPatternsLieApart: the others of the places weighed come in order,
// none of a rank that was named, and within 20 mm of each none weighed is better.
func TestRunnersUpOfCoupledPatternsLieApart(t *testing.T) {
	found := 0
	for _, p := range everyPattern() {
		c, z, _ := coupledSearch(t, p, ruggedFloor())
		if c == nil {
			continue
		}
		if _, err := c.run(); err != nil {
			t.Fatal(err)
		}
		tried, err := c.inFull()
		if err != nil {
			t.Fatal(err)
		}
		named := []triedOrigin{tried[0]}
		for _, o := range c.others(tried[0]) {
			found++
			if last := named[len(named)-1]; o.rank.compare(last.rank) < 0 || slices.ContainsFunc(named, func(x triedOrigin) bool { return x.rank.ties(o.rank) }) {
				t.Errorf("%s: %v follows %v", p.name, o, named)
			}
			for _, x := range append(c.tried, named...) {
				if !z.apartBy(x.at, o.at, ownApart) && x.rank.isAhead(o.rank) {
					t.Errorf("%s: %v lies beside %v", p.name, o, x)
				}
			}
			named = append(named, o)
		}
	}
	if found < 20 {
		t.Errorf("%d runners-up that lie apart", found)
	}
}
