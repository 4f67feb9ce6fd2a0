package takeoff

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"potlife/rooms"
)

// BarSaw cuts profiles, thresholds and what else comes in bars to length.
const BarSaw = "bar saw"

// trimPlay is how much shorter than the corner a trim may end that meets another
// trim or nothing there: about what a mitre may stand open, common practice.
const trimPlay = rooms.Millimetre

// barLength is one stretch of a product that comes in bars.
type barLength struct {
	product, site string
	surface       *takenSurface
	name          string       // of the stretch in its surface
	drawn         rooms.Length // with the gaps at both ends as wished
	least, most   rooms.Length // what may be cut
	stop          bool         // it is cut by a stop setting, else to what is measured or by knife
	kerf          int64        // mm
	how           string

	whole int          // bars that it takes whole
	size  rooms.Length // of the rest, as it is cut; 0: nothing is left
}

// trimLengths lists the stretches of trim along a surface's edges, round its
// openings, one for each side, and where its zones end free.
func (t *taker) trimLengths(s *takenSurface, edges []int) []barLength {
	var list []barLength
	add := func(name, trim string, metres float64, a, b endPlay, measured bool) {
		if l, ok := t.trimLength(s, trim, metres, a, b, measured); ok {
			l.name = name
			list = append(list, l)
		}
	}
	corner := endPlay{0, 0, trimPlay}
	n := len(s.Edges)
	for _, i := range edges {
		if e := s.Edges[i]; e.Fill == rooms.FillTrim && !t.trimmedAround(s, e.Shared) {
			add(fmt.Sprintf("edge %d", i), e.Trim, s.edgeMetres(i), playAt(s.Edges[(i+n-1)%n]), playAt(s.Edges[(i+1)%n]), s.Measured && !e.Unmeasured)
		}
	}
	for _, o := range s.Openings {
		if o.Fill != rooms.FillTrim {
			continue
		}
		for i, p := range o.Outline {
			add(fmt.Sprintf("%s %d", o.Key, i), o.Trim, segmentMetres(p, o.Outline[(i+1)%len(o.Outline)]), corner, corner, s.Measured && !o.NotYet)
		}
	}
	for _, z := range s.layout.Zones {
		for i, e := range z.Free {
			if z.Zone.Trim != "" {
				add(fmt.Sprintf("%s free %d", z.Zone.Key, i), z.Zone.Trim, segmentMetres(e.A, e.B), corner, corner, s.Measured)
			}
		}
	}
	return list
}

// trimLength is a stretch of trim, and false where the firm has no trim.
func (t *taker) trimLength(s *takenSurface, trim string, metres float64, a, b endPlay, measured bool) (barLength, bool) {
	p := t.products[trim]
	if p == nil {
		p = t.in.Catalogue.Of(KindTrim)
	}
	if p == nil {
		t.needKind(KindTrim, s, nil)
		return barLength{}, false
	}
	l := rooms.Length(math.Round(metres * float64(rooms.Metre)))
	bar := barLength{product: p.Key, site: s.room.site, surface: s, stop: measured, kerf: barKerf, how: "along edges, cut from bars of " + trimmed(p.bar().Metres(), 3) + " m",
		drawn: l - a.wish - b.wish, least: l - a.most - b.most, most: l - a.least - b.least}
	if !measured || bar.least <= 0 {
		bar.drawn, bar.least, bar.most = l, l, l
	}
	return bar, true
}

// endPlay is how far from a corner a trim ends: as wished, at least and at most.
type endPlay struct{ wish, least, most rooms.Length }

// playAt is the end of a trim at the edge that it runs into: in the soft joint that
// is kept there, as the tile does; else in the corner.
func playAt(e rooms.Edge) endPlay {
	if e.Fill == rooms.FillSealant && e.GapMax > e.GapMin {
		return endPlay{e.Gap, e.GapMin, e.GapMax}
	}
	return endPlay{0, 0, trimPlay}
}

// trimmedAround reports whether the edge of a niche's face lies at an opening
// that has the trim itself.
func (t *taker) trimmedAround(s *takenSurface, shared string) bool {
	path, hole, _ := strings.Cut(joinKey(s.room.job, shared), "#")
	for i := range t.surfaces {
		if t.surfaces[i].key == path {
			return slices.ContainsFunc(t.surfaces[i].Openings, func(o rooms.Opening) bool { return o.Key == hole && o.Fill == rooms.FillTrim })
		}
	}
	return false
}

func compareBars(a, b barLength) int {
	return cmp.Or(cmp.Compare(a.product, b.product), cmp.Compare(a.site, b.site))
}
