package takeoff

import (
	"fmt"

	"potlife/rooms"
)

// leastAt is the least that a side leaves of its tiles: of both ends of a leaning
// edge, and of all stretches of an edge that bends.
func (a *axis) leastAt(side axisEdge, o rooms.Length) rooms.Length {
	least := a.size
	for _, e := range a.edges {
		if e.near != side.near || e.name != side.name {
			continue
		}
		for _, s := range a.shifts {
			c, _ := a.cut(e, o+s)
			if c < a.size {
				least = min(least, a.within(c))
			}
		}
	}
	return least
}

// stripWords describes a strip that is one piece wide, by which of its edges is the
// tile's own; "" where a joint runs through it.
func (a *axis) stripWords(first, last int, o rooms.Length, f figures) string {
	near, far := a.edges[first], a.edges[last]
	c, _ := a.cut(near, o)
	d, _ := a.cut(far, o)
	if a.span == 0 || a.span >= a.size || len(a.shifts) > 1 || min(c, d) < a.span {
		return ""
	}
	text := fmt.Sprintf("one piece of %s, ", f.length(min(a.leastAt(near, o), a.leastAt(far, o), a.span), 1, rooms.Down))
	switch {
	case c == a.size:
		return text + "the tile's own edge at " + near.name + ", cut at " + far.name
	case d == a.size:
		return text + "the tile's own edge at " + far.name + ", cut at " + near.name
	}
	return text + "cut at " + near.name + " and at " + far.name
}

// words describes an origin along an axis.
func (a *axis) words(o rooms.Length, f figures) string {
	first, last := a.outer()
	if first < 0 || last < 0 {
		return "no edge across to judge by"
	}
	if text := a.stripWords(first, last, o, f); text != "" {
		return text
	}
	text := ""
	for i, k := range []int{first, last} {
		least := a.leastAt(a.edges[k], o)
		if i > 0 {
			text += ", "
		}
		switch {
		case a.size-least <= a.edges[k].more:
			text += "full tile"
		default:
			text += f.length(least, 1, rooms.Down)
		}
		text += " at " + a.edges[k].name
	}
	r := a.tally(o)
	switch {
	case r[0] > 0:
		text += fmt.Sprintf("; %s below %s or in a gap too wide", count(int(r[0]), "piece"), f.limit(a.floor))
	case r[1] > 0:
		text += fmt.Sprintf("; %s under a third", count(int(r[1]), "piece"))
	case r[2] > 0:
		text += fmt.Sprintf("; %s under half", count(int(r[2]), "piece"))
	default:
		text += "; nothing under half a tile"
	}
	return text
}
