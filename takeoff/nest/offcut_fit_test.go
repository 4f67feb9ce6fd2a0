package nest

import (
	"context"
	"math/rand/v2"
	"slices"
	"testing"
)

// fitterOf makes a fitter whose kinds are told apart by size, sides and turns alone; kindOf gives each piece's kind.
func fitterOf(p *OffcutProblem) (s *offcutSolver, kindOf []int32) {
	s = newOffcutSolver(context.Background(), p, Options{})
	if s == nil {
		return nil, nil
	}
	kindOf = make([]int32, len(p.Pieces))
	for k, q := range s.f.kinds {
		for _, i := range q.pieces {
			kindOf[i] = int32(k)
		}
	}
	return s, kindOf
}

// membersOf lists the kinds of a set of pieces, ascending.
func membersOf(set uint, kindOf []int32) []int32 {
	var members []int32
	for i, k := range kindOf {
		if set>>i&1 != 0 {
			members = append(members, k)
		}
	}
	slices.Sort(members)
	return members
}

// Every set of pieces in every place: what is ruled out by sides, corners, area, pairs and smaller groups, and what is
// found to fit, against trying every cut position.
func TestFitsAgainstBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 1))
	for n := range 120 {
		p := randomOffcuts(r, 6)
		for i := range p.Pieces {
			p.Pieces[i].Whole = false
		}
		s, kindOf := fitterOf(&p)
		if s == nil {
			continue
		}
		brute := cutter{p: p, seen: map[cutKey]bool{}}
		sets := r.Perm(1<<len(p.Pieces) - 1)
		for _, i := range sets {
			set := uint(i + 1)
			g := s.f.group(membersOf(set, kindOf))
			if got, want := s.f.holds(g, s.holder(-1)), brute.fits(set, p.TileW, p.TileH, AllSides); got != want {
				t.Fatalf("case %d, pieces %b: holds %v, brute force %v\n%+v", n, set, got, want, p)
			}
			sides := Sides(r.IntN(16))
			w, h := 1+r.Int64N(p.TileW), 1+r.Int64N(p.TileH)
			if sides.has(Left | Right) {
				w = p.TileW
			}
			if sides.has(Bottom | Top) {
				h = p.TileH
			}
			_, got := s.f.spotIn(g, holder{w, h, sides, 0})
			if want := brute.fits(set, w, h, sides); got != want {
				t.Fatalf("case %d, pieces %b in %d × %d with sides %04b: fits %v, brute force %v\n%+v", n, set, w, h, sides, got, want, p)
			}
		}
	}
}

// The splits of a group, in both orders, each once, none missing but those that no cut of a tile can have.
func TestSplitsAreComplete(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 2))
	for n := range 200 {
		p := randomOffcuts(r, 6)
		s, kindOf := fitterOf(&p)
		if s == nil || len(s.whole) > 0 || len(p.Pieces) < 2 {
			continue
		}
		all := uint(1)<<len(p.Pieces) - 1
		g := s.f.group(membersOf(all, kindOf))
		seen := map[split]int{}
		for _, part := range s.f.split(g) {
			seen[part]++
		}
		brute := cutter{p: p, seen: map[cutKey]bool{}}
		for part := (all - 1) & all; part > 0; part = (part - 1) & all {
			key := split{s.f.group(membersOf(part, kindOf)), s.f.group(membersOf(all&^part, kindOf))}
			if seen[key] > 1 {
				t.Fatalf("case %d: split %b comes %d times", n, part, seen[key])
			}
			if seen[key] == 0 && brute.beside(part, all&^part) {
				t.Fatalf("case %d: split %b is missing\n%+v", n, part, p)
			}
		}
	}
}

// beside reports whether some cut of a tile has the one set on its left or lower side and the other on the other.
func (c *cutter) beside(a, b uint) bool {
	for x := int64(1); x+c.p.Kerf < c.p.TileW; x++ {
		if c.fits(a, x, c.p.TileH, AllSides&^Right) && c.fits(b, c.p.TileW-x-c.p.Kerf, c.p.TileH, AllSides&^Left) {
			return true
		}
	}
	for y := int64(1); y+c.p.Kerf < c.p.TileH; y++ {
		if c.fits(a, c.p.TileW, y, AllSides&^Top) && c.fits(b, c.p.TileW, c.p.TileH-y-c.p.Kerf, AllSides&^Bottom) {
			return true
		}
	}
	return false
}

// Of a complete list of groups those stay beside which no further piece of worth fits, found here by trying each.
func TestWorthyGroupsAreMaximal(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 3))
	kept, dropped := 0, 0
	for n := range 200 {
		p := course(r, 4+r.IntN(20), r.Int64N(100_000))
		s, _ := fitterOf(&p)
		q := offcutPricer{s: s, worth: make([]int64, len(s.demand)), demand: s.demand, in: s.holder(-1), nodes: 20_000,
			weight: make([]int64, len(s.demand)), all: true}
		for k := range q.worth {
			q.worth[k] = max(0, r.Int64N(1000)-100)
		}
		q.run(r.Int64N(1000))
		if q.nodes <= 0 || q.upper != q.best {
			continue
		}
		all := slices.Clone(q.found)
		stay := s.maximal(q.found)
		for _, g := range all {
			want := !s.takesMore(g, q.worth)
			if got := slices.Contains(stay, g); got != want {
				t.Fatalf("case %d: %v stays: %v, want %v", n, g.members, got, want)
			}
		}
		kept, dropped = kept+len(stay), dropped+len(all)-len(stay)
	}
	if kept < 1000 || dropped < 1000 {
		t.Errorf("%d groups kept, %d dropped", kept, dropped)
	}
}

// takesMore reports whether another demanded piece of worth fits beside a group.
func (s *offcutSolver) takesMore(g *group, worth []int64) bool {
	for k := range worth {
		have := 0
		for _, m := range g.members {
			if int(m) == k {
				have++
			}
		}
		if worth[k] > 0 && have < s.demand[k] && s.f.holds(s.f.with(g, int32(k)), s.holder(-1)) {
			return true
		}
	}
	return false
}
