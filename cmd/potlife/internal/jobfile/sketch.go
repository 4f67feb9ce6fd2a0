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
// north", "window 1". What is no key is made one.
func WriteOutlines(surfaces []rooms.Surface, imperial bool) []byte {
	e := &emitter{imperial: imperial}
	e.WriteString("surfaces:")
	var out []any
	taken := map[string]bool{}
	for _, s := range surfaces {
		s.Outline = tidy(s.Outline, imperial)
		kind := kindIn(s.Key, surfaceKinds, rooms.Wall)
		w := surface{key: freeKey(taken, s.Key), kind: kind, region: region{outline: outline{ring: s.Outline}}}
		if width, height, ok := rectangle(rotated(s.Outline)); ok {
			w.region = region{width: &width, height: &height}
		}
		inside := map[string]bool{}
		for _, o := range s.Openings {
			w.openings = append(w.openings, opening{key: freeKey(inside, o.Key), kind: kindIn(o.Key, openingKinds, "fixture"), region: writeRegion(rotated(tidy(o.Outline, imperial)))})
		}
		out = append(out, surfaceObject.write(w))
	}
	e.value(out, "  ")
	return e.Bytes()
}

// tidy rounds the points of a drawing to what a person writes, a tenth of a
// millimetre or 1/64 in, where the outline survives it.
func tidy(ring rooms.Ring, imperial bool) rooms.Ring {
	step := rooms.Millimetre / 10
	if imperial {
		step = rooms.SixtyFourth
	}
	round := func(l rooms.Length) rooms.Length {
		if l%(rooms.Millimetre/10) == 0 || l%rooms.SixtyFourth == 0 {
			return l
		}
		return l.Round(step, rooms.Nearest)
	}
	out := make(rooms.Ring, len(ring))
	for i, p := range ring {
		out[i] = rooms.Point{X: round(p.X), Y: round(p.Y)}
	}
	if out.Validate() != nil {
		return ring
	}
	return out
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
