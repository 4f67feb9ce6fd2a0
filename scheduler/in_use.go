package scheduler

import (
	"slices"

	"potlife/rooms"
	"potlife/takeoff"
)

// A room that is handed over is in full use: its floors carry what they are made
// for, its wet surfaces get wet. Light foot traffic, grout, full load and wet use
// are four waits of a data sheet.

// useAfter holds the handing over until the mortar of what was set carries full
// load on floors, and may get wet where its sheet says when.
func (b *builder) useAfter(u, t *task, on []*surfaceWork) {
	for _, f := range on {
		for _, z := range f.layout.Zones {
			s := b.products[z.Zone.Mortar].Sheet
			if walked(f.src.Kind) {
				t.wait(u, b.cure(b.r, s.FullAfter, fullAfter(&s), &s), -1, "mortar cures before the floor is in full use")
			}
			if wetInUse(f) {
				t.wait(u, b.cure(b.r, s.WetAfter, 0, &s), -1, "mortar cures before it gets wet")
			}
		}
	}
}

// fullAfter is when a floor carries full load where its mortar's sheet says
// nothing: three times as long as before light traffic, and a day at least.
// Sheets print 24 h and 72 h of normal mortar, 2 to 4 h and 24 h of fast.
func fullAfter(s *takeoff.DataSheet) int {
	light := s.WalkAfter
	if light == 0 {
		light = defaultWalkAfter
	}
	return max(24*60, 3*light)
}

// wetInUse reports whether water stands or runs on a surface in use.
func wetInUse(f *surfaceWork) bool {
	return f.src.Wet || f.src.Kind == rooms.ShowerFloor || f.src.Kind == rooms.TubSurround
}

func pickSurfaces(in []*surfaceWork, keep func(*surfaceWork) bool) []*surfaceWork {
	return slices.DeleteFunc(slices.Clone(in), func(f *surfaceWork) bool { return !keep(f) })
}
