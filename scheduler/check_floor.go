package scheduler

import (
	"cmp"
	"slices"

	"potlife/rooms"
	"potlife/takeoff"
)

// floors: on a floor of which nothing is issued or done yet there is, before each piece, a way to the door over what is
// not set. Read backwards, the pieces grow from the door, each beside one that is there already.
func (c *checker) floors() {
	for i := range c.plan.Layouts {
		l := &c.plan.Layouts[i]
		s := c.surface(l)
		if s == nil || s.Kind != rooms.Floor && s.Kind != rooms.ShowerFloor {
			continue
		}
		if pieces := c.ahead(l); len(pieces) > 0 {
			c.backwards(s, pieces)
		}
	}
}

func (c *checker) surface(l *takeoff.Layout) *rooms.Surface {
	if r := c.room[l.Room]; r != nil {
		for i := range r.Surfaces {
			if l.Room+"/"+r.Surfaces[i].Key == l.Surface {
				return &r.Surfaces[i]
			}
		}
	}
	return nil
}

// ahead are the pieces of a floor from the last to the first; none where any is issued, or the crew has begun. What is
// left out on purpose does not count.
func (c *checker) ahead(l *takeoff.Layout) []*checkedPiece {
	var out []*checkedPiece
	for z := range l.Zones {
		for k := range l.Zones[z].Pieces {
			q := c.piece[l.Zones[z].Pieces[k].ID]
			if q.area == nil || c.act[q.area.Activity].State != "planned" {
				return nil
			}
			if q.Late == "" {
				out = append(out, q)
			}
		}
	}
	slices.SortFunc(out, func(a, b *checkedPiece) int { return cmp.Compare(b.turn, a.turn) })
	return out
}

func (c *checker) backwards(s *rooms.Surface, pieces []*checkedPiece) {
	beside, door := sides(pieces), atDoor(s, pieces)
	island := islands(beside)
	begun := map[int]bool{}
	for k := range pieces {
		out := door[k] || !begun[island[k]] || slices.ContainsFunc(beside[k], func(j int) bool { return j < k })
		if !out {
			c.breach("piece %s is set with no way out over what is not set yet", pieces[k].ID)
		}
		begun[island[k]] = true
	}
	if !door[0] {
		c.breach("piece %s is the last of its floor and does not lie at the door", pieces[0].ID)
	}
}

// sides are, for each piece, those that lie beside it: at most 30 mm apart, over more than 4.9 mm.
func sides(pieces []*checkedPiece) [][]int {
	type placed struct {
		lo, hi rooms.Point
		at     int
	}
	byY := make([]placed, len(pieces))
	for i, q := range pieces {
		lo, hi := box(q.Piece)
		byY[i] = placed{lo, hi, i}
	}
	slices.SortFunc(byY, func(a, b placed) int { return cmp.Or(cmp.Compare(a.lo.Y, b.lo.Y), cmp.Compare(a.at, b.at)) })
	out := make([][]int, len(pieces))
	for k, a := range byY {
		for _, b := range byY[k+1:] {
			apartX, apartY := max(a.lo.X, b.lo.X)-min(a.hi.X, b.hi.X), b.lo.Y-min(a.hi.Y, b.hi.Y)
			if b.lo.Y-a.hi.Y >= 30*rooms.Millimetre {
				break
			}
			if apartX < 30*rooms.Millimetre && min(apartX, apartY) < -4900*rooms.Micrometre {
				out[a.at] = append(out[a.at], b.at)
				out[b.at] = append(out[b.at], a.at)
			}
		}
	}
	return out
}

// islands numbers what hangs together.
func islands(beside [][]int) []int {
	of := make([]int, len(beside))
	n := 0
	for i := range of {
		if of[i] > 0 {
			continue
		}
		n++
		of[i] = n
		for queue := []int{i}; len(queue) > 0; queue = queue[1:] {
			for _, j := range beside[queue[0]] {
				if of[j] == 0 {
					of[j] = n
					queue = append(queue, j)
				}
			}
		}
	}
	return of
}

// atDoor says which pieces lie at the doorway: none lies clearly nearer to it. A floor without one is left at its
// front as drawn.
func atDoor(s *rooms.Surface, pieces []*checkedPiece) []bool {
	away := make([]rooms.Length, len(pieces))
	for i, q := range pieces {
		lo, hi := box(q.Piece)
		away[i] = lo.Y
		if k := slices.IndexFunc(s.Edges, func(e rooms.Edge) bool { return e.Meets == rooms.Doorway }); k >= 0 && k < len(s.Outline) {
			a, b := s.Outline[k], s.Outline[(k+1)%len(s.Outline)]
			away[i] = max(lo.X-max(a.X, b.X), min(a.X, b.X)-hi.X, lo.Y-max(a.Y, b.Y), min(a.Y, b.Y)-hi.Y, 0)
		}
	}
	least := slices.Min(away)
	out := make([]bool, len(pieces))
	for i := range out {
		out[i] = away[i] <= least+5*rooms.Millimetre
	}
	return out
}
