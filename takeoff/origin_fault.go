package takeoff

import "potlife/rooms"

// axisFaults is what the search for an origin by tiles does not see of a pattern whose
// joints run through, where it has to take that way because folds cross its courses:
// edges that fall into a joint, so that the gap grows further than it may, and end cuts
// of an offset pattern that are narrower than their width allows (see judgeSpans). The
// pieces at such an edge count as too narrow. Both depend on one axis alone.
type axisFaults struct {
	across, upward axis
	list           [2][]axisFault // along them
	low            rooms.Point    // of the tile that lies at the origin
}

// axisFaults are those of a zone; nil where its joints do not run through.
func (z *zoneLayer) axisFaults(s *rooms.Surface) *axisFaults {
	g := &axisFaults{low: z.lay.turn.ring(z.lay.tiles[0].ring).Box().Min}
	var ok bool
	if g.across, g.upward, ok = z.axes(s); !ok {
		return nil
	}
	for _, a := range [2]*axis{&g.across, &g.upward} {
		if len(a.shifts) > 1 { // else a third of the tile is what all are held against
			a.judgeSpans()
		}
	}
	g.list = [2][]axisFault{g.across.faults(), g.upward.faults()}
	return g
}

// count is how many pieces there are.
func (g *axisFaults) count(o rooms.Point) int64 {
	if g == nil {
		return 0
	}
	return g.across.faultsAt(g.list[0], o.X+g.low.X) + g.upward.faultsAt(g.list[1], o.Y+g.low.Y)
}

// sweep adds the counts of a window to the sums along its sides.
func (g *axisFaults) sweep(sums *[2]sweep, w rooms.Box) {
	if g == nil {
		return
	}
	g.across.faultsIn(&sums[0], g.list[0], w.Min.X+g.low.X)
	g.upward.faultsIn(&sums[1], g.list[1], w.Min.Y+g.low.Y)
}

// words describes an origin along both axes.
func (g *axisFaults) words(o rooms.Point, f figures) string {
	return "across: " + g.across.words(o.X+g.low.X, f) + "; up: " + g.upward.words(o.Y+g.low.Y, f)
}

// axisFault is that n pieces count as too narrow where an edge cuts its tile from first
// to last after the tile's low side, up to a pitch.
type axisFault struct {
	at, first, last rooms.Length
	n               int64
}

// faults lists what may be wrong along an axis.
func (a *axis) faults() []axisFault {
	p := a.size + a.joint
	var list []axisFault
	add := func(e *axisEdge, first, last, long rooms.Length) {
		if first <= last {
			list = append(list, axisFault{e.at, first, last, int64((long + a.pitch - 1) / a.pitch)})
		}
	}
	for i := range a.edges {
		if e := &a.edges[i]; e.near {
			add(e, a.size+1, p-e.slack-1, e.long)
		} else {
			add(e, a.size+e.slack+1, p, e.long)
		}
	}
	for _, x := range a.spans {
		if x.near >= 0 && !a.edges[x.near].margin {
			add(&a.edges[x.near], a.size-x.limit+1, a.size-1, x.long)
		}
		if x.far >= 0 && !a.edges[x.far].margin {
			add(&a.edges[x.far], 1, x.limit-1, x.long)
		}
	}
	return list
}

// faultsAt counts the pieces with the row moved to o.
func (a *axis) faultsAt(list []axisFault, o rooms.Length) int64 {
	p := int64(a.size + a.joint)
	sum := int64(0)
	for _, f := range list {
		for _, s := range a.shifts {
			r := int64(f.at-o-s) - 1
			if r -= floorDiv(r, p) * p; int64(f.first) <= r+1 && r+1 <= int64(f.last) {
				sum += f.n
			}
		}
	}
	return sum
}

// faultsIn adds the count to a sum whose place 0 is the offset low.
func (a *axis) faultsIn(sum *sweep, list []axisFault, low rooms.Length) {
	p := a.size + a.joint
	for _, f := range list {
		by := count64(f.n) << 40
		for _, s := range a.shifts {
			o := f.at - s - f.last // the first such offset
			o += rooms.Length(floorDiv(int64(low-o), int64(p))) * p
			for ; o <= low+sum.long; o += p {
				if past := o + f.last - f.first + 1; past > low {
					sum.step(o-low, by, false)
					sum.step(past-low, -by, false)
				}
			}
		}
	}
}
