package takeoff

import (
	"cmp"
	"math"
	"slices"

	"potlife/rooms"
)

// What the tiles with one straight edge count for along an axis.
//
// How deep a tile reaches over an upright edge depends on where the origin is
// across, and on nothing else; over a level edge, on its height. So what all
// tiles at upright edges count for together is one function of x that steps
// where one of them passes a limit, and the least it has in a window is found by
// going through its steps in order: no less than the tiles' least one by one, and
// much nearer to the truth where one tile gets better as the next gets worse.
// The sum of the least along x, the least along y and what the other tiles count
// for at least bounds every origin of the window from below, because sums of
// counts compare like the counts themselves (see count64).
//
// An edge that leans is taken along the axis it is more across to; what it is
// off by within the window widens every limit of its tiles.

// count64 packs the first three criteria of an axisRank into one number: adding and
// comparing those is adding and comparing it, as long as no count reaches 2²⁰.
type count64 int64

// countOf is what a piece of a class counts for (see partMeasure).
func countOf(class int) count64 { return [4]count64{0, 1, 1 << 20, 1 << 40}[class] }

// counted is what a rank's first three criteria come to.
func counted(r *axisRank) count64 {
	if r[0] >= 1<<20 { // no origin yet
		return math.MaxInt64
	}
	return count64(r[0])<<40 + count64(r[1])<<20 + count64(r[2])
}

// put writes it back.
func (n count64) put(r *axisRank) {
	const mask = 1<<20 - 1
	r[0], r[1], r[2] = int64(n>>40), int64(n>>20)&mask, int64(n)&mask
}

// sweep is a step function along one side of a window: offsets from its lower end
// to long.
type sweep struct {
	long  rooms.Length
	start count64
	steps []sweepStep
}

// sweepStep is by how much it changes from at on.
type sweepStep struct {
	at rooms.Length
	by count64
}

func (s *sweep) reset(long rooms.Length) { s.long, s.start, s.steps = long, 0, s.steps[:0] }

// add adds what a tile counts for whose depth is low at the end of the window
// where it is least, grows by steep from there, and is up to loose more elsewhere
// across the window; mirrored where the least depth is at the upper end. In a margin
// only what is too narrow to be set counts.
func (s *sweep) add(t *depthTable, low, steep, loose float64, mirrored, margin bool) {
	loose += t.fuzz
	from := t.narrow + t.fuzz
	before := count64(0)
	for k, limit := range [4]float64{from, t.floor - loose, t.third - loose, t.half - loose} {
		value := [4]count64{1 << 40, 1 << 20, 1, 0}[k]
		if margin && k > 0 {
			value = 0
		}
		off := (max(limit, from) - low) / steep
		var at rooms.Length
		if k == 0 {
			at = rooms.Length(math.Ceil(off))
			if steep != 1 {
				at++
			}
		} else {
			at = rooms.Length(math.Floor(off))
		}
		s.step(at, value-before, mirrored)
		before = value
	}
}

// step changes the function from at on, or, mirrored, up to as far from its end.
func (s *sweep) step(at rooms.Length, by count64, mirrored bool) {
	switch {
	case at <= 0:
		s.start += by
	case at > s.long:
	case mirrored:
		s.start += by
		s.steps = append(s.steps, sweepStep{s.long - at + 1, -by})
	default:
		s.steps = append(s.steps, sweepStep{at, by})
	}
}

// least is the least value, and where, nearest to the middle, it begins or ends
// to be so; 0 where it is all along.
func (s *sweep) least() (best count64, cut rooms.Length) {
	if len(s.steps) == 0 {
		return s.start, 0
	}
	slices.SortFunc(s.steps, func(a, b sweepStep) int { return cmp.Compare(a.at, b.at) })
	best = s.start
	s.walk(func(_ rooms.Length, _, to count64) { best = min(best, to) })
	off := rooms.Length(math.MaxInt64)
	s.walk(func(at rooms.Length, from, to count64) {
		if d := absLen(2*at - s.long); (from == best) != (to == best) && d < off {
			cut, off = at, d
		}
	})
	return best, cut
}

// walk goes through the steps, those at one place together.
func (s *sweep) walk(note func(at rooms.Length, from, to count64)) {
	value := s.start
	for i := 0; i < len(s.steps); {
		from, at := value, s.steps[i].at
		for ; i < len(s.steps) && s.steps[i].at == at; i++ {
			value += s.steps[i].by
		}
		note(at, from, value)
	}
}
