package takeoff

import (
	"cmp"
	"fmt"

	"potlife/rooms"
)

// thresholdStep is the step at a doorway from which a profile is needed: 1 mm,
// about what lippage allows between two tiles (common practice).
const thresholdStep = rooms.Millimetre

// Thresholds compares the finished floors of rooms that meet at a shared doorway
// edge: from the same ground each stands as high as its leveller, layers, bed and
// tile make it. Each pair is named once, where they differ.
func Thresholds(job *rooms.Job, tiles map[string]Tile, imperial bool) []Finding {
	floors, called := map[string]*rooms.Surface{}, map[string]string{}
	var order []string
	for s := range job.Sites {
		for m := range job.Sites[s].Rooms {
			room := &job.Sites[s].Rooms[m]
			for i := range room.Surfaces {
				if f := &room.Surfaces[i]; rooms.Flat(f.Kind) {
					key := room.Key + "/" + f.Key
					floors[key], order = f, append(order, key)
					called[key] = cmp.Or(room.Name, room.Key) + ", " + cmp.Or(f.Name, f.Key)
				}
			}
		}
	}
	in, fig := RoomToLay{Tiles: tiles}, figures{imperial}
	var out []Finding
	seen := map[string]bool{}
	for _, key := range order {
		for i, e := range floors[key].Edges {
			if f, ok := existing(in, fig, floors[key], i); ok {
				f.Where = job.Key + "/" + key
				out = append(out, f)
			}
			other := sharedSurface(e.Shared)
			next, ok := floors[other]
			if e.Meets != rooms.Doorway || !ok || other == key || seen[other+" "+key] {
				continue
			}
			seen[key+" "+other] = true
			a, b := ahead(in, floors[key], ""), ahead(in, next, "")
			a, b = a+leveller(floors[key]), b+leveller(next)
			if step := absLen(a - b); step > thresholdStep && a > 0 && b > 0 {
				out = append(out, Finding{Rule: "threshold", Severity: Info, Where: job.Key + "/" + key, Value: step.Millimetres(), Limit: thresholdStep.Millimetres(), Source: srcPractice,
					Message: fmt.Sprintf("from one ground the floor stands %s high and that of %s %s: a step of %s in the doorway; level one of them, or take a profile that bridges it",
						fig.length(a, 1, rooms.Nearest), called[other], fig.length(b, 1, rooms.Nearest), fig.length(step, 1, rooms.Nearest))})
			}
		}
	}
	return out
}

// existing compares a floor with the one that lies beyond a doorway already.
func existing(in RoomToLay, fig figures, s *rooms.Surface, i int) (Finding, bool) {
	e, own := s.Edges[i], ahead(in, s, "")+leveller(s)
	step := absLen(own - e.Beyond)
	if e.Meets != rooms.Doorway || e.Beyond == 0 || own == 0 || step <= thresholdStep {
		return Finding{}, false
	}
	return Finding{Rule: "threshold", Severity: Info, Value: step.Millimetres(), Limit: thresholdStep.Millimetres(), Source: srcPractice,
		Message: fmt.Sprintf("%s: from one ground the floor stands %s high and the one there already %s: a step of %s in the doorway; level the floor, or take a profile that bridges it",
			s.EdgeName(i), fig.length(own, 1, rooms.Nearest), fig.length(e.Beyond, 1, rooms.Nearest), fig.length(step, 1, rooms.Nearest))}, true
}

// leveller is how deep a floor is levelled.
func leveller(s *rooms.Surface) rooms.Length {
	for _, p := range s.Prepare {
		if p == "level" {
			return s.LevellerDepth
		}
	}
	return 0
}

// sharedSurface is the "room/surface" of a shared edge.
func sharedSurface(shared string) string {
	for i := range shared {
		if shared[i] == '#' {
			return shared[:i]
		}
	}
	return shared
}
