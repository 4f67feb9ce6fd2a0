package rooms

import (
	"math"
	"slices"
)

// Disputed tells, by edge, where measures contradict each other beyond a tolerance
// (0: MeasureWithin) and none has settled it: what was read there last agrees with
// nothing read before at that place, or a check across the surface does not fit.
// Pieces there are not cut ahead until the measure is taken again. A waiver of the
// rule "readings" accepts what stands.
func (s *Surface) Disputed(within Length) []bool {
	out := make([]bool, len(s.Outline))
	for i, again := range s.Disputes(within) {
		out[i] = again != ""
	}
	return out
}

// Disputes says, by edge, what to take where measures contradict each other as
// Disputed has it; "" where none do.
func (s *Surface) Disputes(within Length) []string {
	out := make([]string, len(s.Outline))
	if slices.ContainsFunc(s.Waivers, func(w Waiver) bool { return w.Rule == "readings" }) {
		return out
	}
	if within == 0 {
		within = MeasureWithin
	}
	for _, r := range s.openReadings(within) {
		if e := s.Readings[r[0]].Edge; e < len(out) && s.layerOf(s.Readings[r[0]]) == s.ReadOn(e) {
			out[e] = "take the readings there again"
		}
	}
	bare := *s
	bare.Build = BuildUp{}
	c, err := bare.Correct()
	if err != nil {
		return out
	}
	for i, k := range s.Checks {
		got, _, err := c.measure(k)
		if err != nil || near(got, k.Value, within) || s.takenAgain(i, within) {
			continue
		}
		again, _ := s.again(k)
		for _, e := range k.concerns(len(out)) {
			if out[e] == "" {
				out[e] = again
			}
		}
	}
	return out
}

// again says what settles a check that does not fit. One diagonal alone does not tell
// whether the surface leans or something was misread; the other one does, for by the
// law of the parallelogram it reads √(2(w² + h²) − d²) over sides w and h if the
// surface leans. Two that do not go with the sides question these.
func (s *Surface) again(k Check) (what string, ifLeaning Length) {
	other := map[string]string{Diagonal: Diagonal2, Diagonal2: Diagonal}[k.Kind]
	switch {
	case k.Kind == LengthOf:
		return "take the length of the " + s.EdgeName(k.Edge) + " and the readings at both its ends again", 0
	case k.Kind == WidthAt, k.Kind == HeightAt:
		return "take the " + k.Kind + " and the readings at both its ends again", 0
	case k.Kind == Plumb:
		return "take the plumb line and the readings on the " + s.EdgeName(k.Edge) + " again", 0
	case k.Kind == Square:
		return "take the 3-4-5 at the " + s.EdgeName(k.Edge) + " and the readings on both its sides again", 0
	case slices.ContainsFunc(s.Checks, func(o Check) bool { return o.Kind == other }):
		return "take the sides and both diagonals again", 0
	case k.Kind == Diagonal:
		what = "take the other diagonal, from the second corner to the fourth"
	default:
		what = "take the other diagonal, from the first corner to the third"
	}
	if len(s.Outline) != 4 {
		return what, 0
	}
	w, h := float64(Distance(s.Outline[0], s.Outline[1])), float64(Distance(s.Outline[1], s.Outline[2]))
	if rest := 2*(float64(w*w)+float64(h*h)) - float64(float64(k.Value)*float64(k.Value)); rest > 0 && len(s.Readings) == 0 {
		ifLeaning = roundHalf(math.Sqrt(rest))
	}
	return what, ifLeaning
}

// openReadings are pairs of readings of one place and layer that differ: the last
// one taken there, where it agrees with none before, and the one before it.
func (s *Surface) openReadings(within Length) [][2]int {
	var out [][2]int
	same := func(a, b Reading) bool {
		return a.Edge >= 0 && a.Edge == b.Edge && s.layerOf(a) == s.layerOf(b) && near(a.At, b.At, onePlace)
	}
	for i, a := range s.Readings {
		before, agreed := -1, false
		for k, b := range s.Readings[:i] {
			if same(a, b) {
				before = k
				agreed = agreed || near(a.Deviation, b.Deviation, within)
			}
		}
		later := slices.ContainsFunc(s.Readings[i+1:], func(b Reading) bool { return same(a, b) })
		if before >= 0 && !agreed && !later {
			out = append(out, [2]int{i, before})
		}
	}
	return out
}

// takenAgain reports whether a check was made again later and agreed with one
// before it, or with what the readings give.
func (s *Surface) takenAgain(i int, within Length) bool {
	a := s.Checks[i]
	for k := i + 1; k < len(s.Checks); k++ {
		b := s.Checks[k]
		if a.Kind != b.Kind || a.Edge != b.Edge || a.Leg != b.Leg || !near(a.At, b.At, onePlace) {
			continue
		}
		for j, o := range s.Checks[:k] {
			if j != i && o.Kind == b.Kind && o.Edge == b.Edge && o.Leg == b.Leg && near(o.At, b.At, onePlace) && near(o.Value, b.Value, within) {
				return true
			}
		}
	}
	return false
}

// concerns are the edges, of n, whose place a check is about.
func (k Check) concerns(n int) []int {
	edge := func(i int) int { return (i%n + n) % n }
	switch {
	case n == 0:
		return nil
	case k.Kind == Plumb:
		return []int{edge(k.Edge)}
	case k.Kind == LengthOf:
		return []int{edge(k.Edge - 1), edge(k.Edge + 1)}
	case k.Kind == Square:
		return []int{edge(k.Edge - 1), edge(k.Edge)}
	case k.Kind == WidthAt && n == 4:
		return []int{1, 3}
	case k.Kind == HeightAt && n == 4:
		return []int{0, 2}
	}
	all := make([]int, n)
	for i := range all {
		all[i] = i
	}
	return all
}

// skewed is a rectangle leant over as its two diagonals say, where nothing else
// was read along its edges: with w and h the sides, d and e the diagonals from the
// first and the second corner, the top lies (d² − e²) / 4w to the right. It is the
// outline as it is where the sides do not go with the diagonals (by the law of the
// parallelogram d² + e² = 2(w² + h²)) within MeasureWithin; the checks then
// contradict it.
func (s *Surface) skewed() Ring {
	b := s.Outline.Box()
	w, h := b.Width(), b.Height()
	if len(s.Readings) > 0 || !slices.Equal(s.Outline, Rect(b.Min.X, b.Min.Y, b.Max.X, b.Max.Y)) {
		return s.Outline
	}
	d, e := Length(0), Length(0)
	for _, k := range s.Checks {
		switch k.Kind {
		case Diagonal:
			d = k.Value
		case Diagonal2:
			e = k.Value
		case WidthAt, HeightAt, Plumb, Square:
			return s.Outline
		}
	}
	if d == 0 || e == 0 || near(d, e, MeasureWithin) {
		return s.Outline
	}
	lean := roundHalf((float64(d) - float64(e)) * (float64(d) + float64(e)) / (4 * float64(w)))
	if lean > h/2 || lean < -h/2 {
		return s.Outline
	}
	rise := leg(h, lean)
	out := Ring{b.Min, {b.Max.X, b.Min.Y}, {b.Max.X + lean, b.Min.Y + rise}, {b.Min.X + lean, b.Min.Y + rise}}
	if !near(Distance(out[0], out[2]), d, MeasureWithin) || !near(Distance(out[1], out[3]), e, MeasureWithin) {
		return s.Outline
	}
	return out
}

// leg is the other leg of a right triangle with the hypotenuse long.
func leg(long, other Length) Length {
	return roundHalf(math.Sqrt(float64(float64(long)*float64(long)) - float64(float64(other)*float64(other))))
}
