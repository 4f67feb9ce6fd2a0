package jobfile

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"potlife/rooms"
)

// WriteOutlines prints surfaces that were drawn elsewhere as the surfaces of a
// room: outlines and openings only, to be pasted into a job file and completed
// there. Their keys say what they are where they begin with a kind: "wall
// north". What is no key is made one. An arc stays one side, a circle a diameter.
func WriteOutlines(surfaces []rooms.Drawn, imperial bool) []byte {
	e := &emitter{imperial: imperial}
	e.WriteString("surfaces:")
	var out []any
	taken := map[string]bool{}
	for _, s := range surfaces {
		w := surface{key: freeKey(taken, s.Key), kind: kindIn(s.Key, surfaceKinds, rooms.Wall), region: drawnRegion(s, imperial)}
		if g := w.region; valueOr(g.x, 1) == 0 && valueOr(g.y, 1) == 0 {
			w.region.x, w.region.y = nil, nil // a surface counts from its own corner
		}
		inside := map[string]bool{}
		for _, o := range s.Openings {
			g := drawnRegion(o, imperial)
			if o.Diameter > 0 {
				g = drawnCircle(o, imperial)
			}
			w.openings = append(w.openings, opening{key: freeKey(inside, o.Key), kind: o.Kind, region: g})
		}
		out = append(out, surfaceObject.write(w))
	}
	e.value(out, "  ")
	e.WriteString("\n")
	return e.Bytes()
}

// drawnRegion is a drawn outline as a person writes it.
func drawnRegion(d rooms.Drawn, imperial bool) region {
	list := make([]arcCorner, len(d.Corners))
	arcs := false
	for i, c := range d.Corners {
		list[i] = arcCorner{rooms.Point{X: asWritten(c.To.X, imperial), Y: asWritten(c.To.Y, imperial)}, asWritten(c.Rise, imperial)}
		arcs = arcs || list[i].rise != 0
	}
	o, bad := joined(list)
	if bad >= 0 || o.ring.Validate() != nil { // it does not survive the rounding
		return writeRegion(rotated(d.Outline))
	}
	if !arcs {
		return writeRegion(rotated(o.ring))
	}
	o.corners = list
	return region{outline: o}
}

// drawnCircle is a circle by its centre and its diameter.
func drawnCircle(d rooms.Drawn, imperial bool) region {
	x, y, across := asWritten(d.Centre.X, imperial), asWritten(d.Centre.Y, imperial), asWritten(d.Diameter, imperial)
	return region{x: &x, y: &y, diameter: &across}
}

// asWritten rounds a length of a drawing to what a person writes, a tenth of a
// millimetre or 1/64 in.
func asWritten(l rooms.Length, imperial bool) rooms.Length {
	step := rooms.Millimetre / 10
	if imperial {
		step = rooms.SixtyFourth
	}
	if l%(rooms.Millimetre/10) == 0 || l%rooms.SixtyFourth == 0 {
		return l
	}
	return l.Round(step, rooms.Nearest)
}

// rotated begins a ring at its lower left corner, so that rectangles are found.
func rotated(ring rooms.Ring) rooms.Ring {
	i := 0
	for k, p := range ring {
		if p.Y < ring[i].Y || p.Y == ring[i].Y && p.X < ring[i].X {
			i = k
		}
	}
	return slices.Concat(ring[i:], ring[:i])
}

// kindIn is the kind that a name begins with.
func kindIn(name string, kinds []string, usual string) string {
	name = strings.ToLower(strings.NewReplacer("-", " ", "_", " ").Replace(name))
	found := usual
	for _, k := range kinds {
		if strings.HasPrefix(name, k) && (found == usual || len(k) > len(found)) {
			found = k
		}
	}
	return found
}

var noKey = regexp.MustCompile(`[^\p{L}\p{N}._+-]+`)

// freeKey makes a key of a name that is not taken yet.
func freeKey(taken map[string]bool, name string) string {
	key := strings.Trim(noKey.ReplaceAllString(strings.ToLower(name), "-"), "-._+")
	if r := []rune(key); len(r) > 24 {
		key = string(r[:24])
	}
	if key == "" {
		key = "drawn"
	}
	base := key
	for n := 2; taken[key]; n++ {
		key = fmt.Sprintf("%s-%d", base, n)
	}
	taken[key] = true
	return key
}
