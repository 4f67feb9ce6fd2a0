package scheduler

import (
	"slices"

	"potlife/takeoff"
)

// idleTime is what a day of a crew without a helper leaves for cutting ahead: where
// a helper is there he cuts while the others set, and nothing need be left.
type idleTime struct {
	left float64            // minutes in which the crew has nothing else to do and cuts nothing yet
	loud map[string]float64 // of those, by site, the ones in which it allows loud work
}

// idleOf is the time for cuts on a day, nil where a helper makes them.
func (s *sheeter) idleOf(d sheetDay) *idleTime {
	if t, known := s.idle[d]; known {
		return t
	}
	s.idle[d] = nil
	c := s.works.crews[d.crew]
	from, to := s.clock.DayStart(d.date), s.clock.DayStart(d.date.AddDays(1))
	hours := Common(s.works.hours[d.crew], []Interval{{from, to}})
	if c == nil || len(hours) == 0 {
		return nil
	}
	for _, h := range hours {
		if _, helpers := s.clock.strength(c.Crew, h.Start); helpers > 0 {
			return nil
		}
	}
	var busy []Interval
	for _, id := range s.days[d].Activities {
		busy = append(busy, Interval{s.byID[id].Start, s.byID[id].Finish})
	}
	idle := Common(hours, Outside(normal(busy), from, to))
	t := &idleTime{left: float64(Working(idle, from, to)), loud: map[string]float64{}}
	for site, noise := range s.works.noise {
		for _, v := range Common(idle, noise.open) {
			t.loud[site] += float64(v.End - v.Start)
		}
	}
	s.idle[d] = t
	return t
}

// holds takes the time of a piece's cuts from a day, and reports false where so much
// of it is not left. On a site that keeps hours for loud work saw, grinder and drill
// run in these.
func (t *idleTime) holds(s *sheeter, p *indexedPiece, site string) bool {
	if t == nil {
		return true
	}
	all, loud := 0.0, 0.0
	for _, c := range p.Cuts {
		m := s.perCut(c.Tool) * aheadShare
		if all += m; c.Tool != takeoff.Snap {
			loud += m
		}
	}
	if noise := s.works.noise[site]; noise == nil || len(noise.open) == 0 {
		loud = 0
	}
	if all > t.left+1e-6 || loud > 0 && loud > t.loud[site]+1e-6 {
		return false
	}
	t.left -= all
	for k := range t.loud { // the minutes of one site may be those of another
		t.loud[k] -= loud
	}
	return true
}

// sawnFirst are pieces of an area, those that must dry before the others, each in its
// order.
func sawnFirst(pieces []*indexedPiece) []*indexedPiece {
	out := slices.Clone(pieces)
	rank := func(p *indexedPiece) int {
		if sawn(p.Piece) {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(out, func(x, y *indexedPiece) int { return rank(x) - rank(y) })
	return out
}
