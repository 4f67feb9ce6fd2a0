package scheduler

import (
	"cmp"
	"fmt"
	"slices"

	"potlife/rooms"
	"potlife/takeoff"
)

// Support over a head: pieces over a window, a niche or a door stand on nothing until their mortar holds.
const (
	headLeast   = 100 * rooms.Millimetre // width from which a head is supported; narrower ones one piece bridges: common practice
	headReach   = 40 * rooms.Millimetre  // gap and joint by which a piece over a head may stand off it
	headMinutes = 10                     // to cut, level and prop or wedge the batten and to take it off again; common practice
)

// borne are the kinds of opening over which tile stands.
var borne = []string{"door", "window", "niche"}

// hangsOver reports whether a piece of a wall hangs over an opening: over its width, and with the head at the piece's
// lower edge or higher in it.
func hangsOver(it *item, o *takeoff.LaidOpening) bool {
	lo, hi := bounds(o.Outline.Outer)
	if hi.X-lo.X < headLeast || min(hi.X, it.hi.X)-max(lo.X, it.lo.X) <= overlapLeast {
		return false
	}
	return hi.Y > it.lo.Y-headReach && hi.Y < it.hi.Y
}

// heads are the pieces, by ID, that reach over the head of an opening first, with the opening's index: the lowest and
// of these the leftmost.
func heads(f *surfaceWork) map[string]int {
	if flat(f.src.Kind) || f.src.Kind == rooms.Ceiling {
		return nil
	}
	var out map[string]int
	for k := range f.layout.Openings {
		o := &f.layout.Openings[k]
		if i := slices.IndexFunc(f.src.Openings, func(s rooms.Opening) bool { return s.Key == o.Key }); i < 0 || !slices.Contains(borne, f.src.Openings[i].Kind) {
			continue
		}
		var first *item
		for _, row := range f.order {
			for _, it := range row.items {
				if hangsOver(it, o) && (first == nil || cmp.Or(cmp.Compare(it.lo.Y, first.lo.Y), cmp.Compare(it.lo.X, first.lo.X)) < 0) {
					first = it
				}
			}
		}
		if first != nil {
			if out == nil {
				out = map[string]int{}
			}
			out[first.piece.ID] = k
		}
	}
	return out
}

// supportHeads tells, on the area that reaches over an opening, to support its head and for how long.
func (b *builder) supportHeads(t *task, a *areaPlan) {
	for _, f := range b.r.surfaces {
		if len(f.over) == 0 || !slices.Contains(a.surfaces, f.key) {
			continue
		}
		for _, it := range a.items {
			k, ok := f.over[it.piece.ID]
			if !ok || it.surface != f.layout.Surface {
				continue
			}
			o := f.layout.Openings[k]
			lo, hi := bounds(o.Outline.Outer)
			imperial := b.firm.Units == "imperial"
			t.notes = append(t.notes, fmt.Sprintf("Over %s of %s a batten carries the tile: %s long or more, its upper edge %s above the foot of the wall as drawn, propped or wedged, never screwed through a membrane; it comes off after %s.",
				headName(f.src, o.Key), nameOf(f.src), rooms.InWords(hi.X-lo.X, imperial), rooms.InWords(it.lo.Y, imperial), words(b.r.after(b.holdOf(f), t.begins()))))
		}
	}
}

func headName(s *rooms.Surface, key string) string {
	for _, o := range s.Openings {
		if o.Key == key {
			return "the " + o.Kind
		}
	}
	return key
}
