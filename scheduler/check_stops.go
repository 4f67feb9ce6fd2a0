package scheduler

import (
	"cmp"
	"maps"
	"slices"
	"strings"

	"potlife/rooms"
	"potlife/takeoff"
)

// What setting areas promise about where they end, reckoned here once more.
const (
	shownWithin  = "within a course: the time until a break or the evening is used up"
	shownCourse  = "a whole course"
	shownCorner  = "the corner: the surface is full"
	partedCourse = 22 // minutes below which no course is set in parts, as first planned 45
	partedArea   = 30 // minutes of an area on either side of such a stop, as first planned 40
)

// stops: an area that is planned is no longer than the firm's longest, unless it is one
// piece; of one bed, of nothing that was left out beside what was not; its patches hold
// no more than a bucket and than their sheet allows. It ends where it says: at whole
// courses, or within one that takes long, with enough work on either side of the stop.
func (c *checker) stops() {
	products := map[string]takeoff.Product{}
	for _, p := range c.plan.Firm.Catalogue.Products {
		products[p.Key] = p
	}
	courses := c.coursesOfAreas()
	for i := range c.plan.Areas {
		a := &c.plan.Areas[i]
		act := c.act[a.Activity]
		if act.State != "planned" {
			continue
		}
		if most := c.plan.Firm.Limits.AreaMinutes; most > 0 && act.Finish-act.Start > most && len(a.Pieces) > 1 {
			c.breach("area %s takes %d min, the longest is %d", a.ID, act.Finish-act.Start, most)
		}
		c.oneBed(a)
		c.patchSizes(a, products[a.Mortar].Sheet)
		c.endsWhereItSays(a, courses)
	}
}

// oneBed: an area is set in one mortar, and what was left out is set apart.
func (c *checker) oneBed(a *Area) {
	late := 0
	for _, id := range a.Pieces {
		q := c.piece[id]
		if q == nil {
			return // told elsewhere
		}
		if q.Late != "" {
			late++
		}
		for z := range q.layout.Zones {
			zone := &q.layout.Zones[z]
			if zone.Zone.Mortar != a.Mortar && slices.ContainsFunc(zone.Pieces, func(p takeoff.Piece) bool { return p.ID == id }) {
				c.breach("area %s is set in %s and holds piece %s, which is to be set in %s", a.ID, a.Mortar, id, zone.Zone.Mortar)
				return
			}
		}
	}
	if late > 0 && late < len(a.Pieces) {
		c.breach("area %s holds %d pieces that were left out beside %d that were not", a.ID, late, len(a.Pieces)-late)
	}
}

// patchSizes: a patch of several pieces takes no more than a bucket, and no more than
// the mortar's sheet allows at once.
func (c *checker) patchSizes(a *Area, sheet takeoff.DataSheet) {
	bucket := c.plan.Firm.Limits.filled().BucketKg
	for k, t := range a.Patches {
		m2 := 0.0
		for _, id := range t.Pieces {
			if q := c.piece[id]; q != nil {
				m2 += q.AreaMM2 / 1e6
			}
		}
		if len(t.Pieces) < 2 {
			continue
		}
		if kg := m2 * a.KgPerM2; kg > bucket+1e-3 {
			c.breach("area %s: patch %d takes %.2f kg, a bucket holds %g", a.ID, k, kg, bucket)
		}
		if sheet.PatchCapM2 > 0 && m2 > sheet.PatchCapM2+1e-3 {
			c.breach("area %s: patch %d covers %.2f m², its mortar's sheet allows %g at once", a.ID, k, m2, sheet.PatchCapM2)
		}
	}
}

// courseOf is a course of a zone on what stands.
type courseOf struct {
	surface      string
	zone, course int
}

// inOrder are the courses by surface, zone and course, so that the same is told each time.
func inOrder(on map[courseOf]*Area) []courseOf {
	return slices.SortedFunc(maps.Keys(on), func(a, b courseOf) int {
		return cmp.Or(cmp.Compare(a.surface, b.surface), cmp.Compare(a.zone, b.zone), cmp.Compare(a.course, b.course))
	})
}

// coursesOfAreas are the areas that hold something of each course, in order of time: of
// walls in straight and offset patterns without a soft joint, where courses are what is
// set one after the other.
func (c *checker) coursesOfAreas() map[courseOf][]*Area {
	out := map[courseOf][]*Area{}
	for i := range c.plan.Layouts {
		l := &c.plan.Layouts[i]
		s := c.surface(l)
		if s == nil || s.Kind != rooms.Wall || len(s.SoftJoints) > 0 {
			continue
		}
		for z := range l.Zones {
			zone := &l.Zones[z]
			p := zone.Zone.Pattern
			if len(zone.Movement) > 0 || zone.Zone.Turn%180 != 0 || !strings.HasPrefix(p, "straight") && !strings.HasPrefix(p, "offset") {
				continue
			}
			for k := range zone.Pieces {
				q := c.piece[zone.Pieces[k].ID]
				if key := (courseOf{l.Surface, z, q.Course}); q.Late == "" && q.area != nil && !slices.Contains(out[key], q.area) {
					out[key] = append(out[key], q.area)
				}
			}
		}
	}
	for _, list := range out {
		slices.SortStableFunc(list, func(a, b *Area) int { return a.Start - b.Start })
	}
	return out
}

// goesOn are the courses of an area that a later one goes on with, and that area.
func (c *checker) goesOn(a *Area, courses map[courseOf][]*Area) (on map[courseOf]*Area, any bool) {
	on = map[courseOf]*Area{}
	for _, id := range a.Pieces {
		q := c.piece[id]
		if q == nil {
			continue
		}
		for z := range q.layout.Zones {
			key := courseOf{q.layout.Surface, z, q.Course}
			list := courses[key]
			at := slices.Index(list, a)
			if at < 0 || !slices.ContainsFunc(q.layout.Zones[z].Pieces, func(p takeoff.Piece) bool { return p.ID == id }) {
				continue
			}
			any = true
			if at+1 < len(list) {
				on[key] = list[at+1]
			}
		}
	}
	return on, any
}

func (c *checker) endsWhereItSays(a *Area, courses map[courseOf][]*Area) {
	on, any := c.goesOn(a, courses)
	switch {
	case !any:
	case a.StopAt == shownCourse || a.StopAt == shownCorner:
		for _, key := range inOrder(on) {
			c.breach("area %s says that it ends at %s, and %s goes on with course %d of %s", a.ID, a.StopAt, on[key].ID, key.course, key.surface)
			return
		}
	case a.StopAt == shownWithin:
		c.parted(a, on, courses)
	}
}

// parted: a course in which an area stops is a long one, and there is enough work on
// either side of the stop.
func (c *checker) parted(a *Area, on map[courseOf]*Area, courses map[courseOf][]*Area) {
	if len(on) == 0 {
		c.breach("area %s says that it ends within a course, and no other goes on with one of its", a.ID)
		return
	}
	for _, key := range inOrder(on) {
		next := on[key]
		act := c.act[next.Activity]
		if act.State != "planned" {
			continue
		}
		for _, side := range []*Area{a, next} {
			if t := c.act[side.Activity]; t.Finish-t.Start < partedArea {
				c.breach("area %s takes %d min beside a stop within course %d of %s, at least %d are due", side.ID, t.Finish-t.Start, key.course, key.surface, partedArea)
			}
		}
		most := 0
		for _, o := range courses[key] {
			most += c.longestOn(o, key)
		}
		if most < partedCourse {
			c.breach("area %s stops within course %d of %s, which takes no more than %d min", a.ID, key.course, key.surface, most)
		}
	}
}

// longestOn is the most that an area can take for its part of a course: the patches that
// hold some of it, with what lies between them and those before and after.
func (c *checker) longestOn(a *Area, key courseOf) int {
	sum := 0
	for k, t := range a.Patches {
		if !slices.ContainsFunc(t.Pieces, func(id string) bool {
			q := c.piece[id]
			return q != nil && q.layout.Surface == key.surface && q.Course == key.course
		}) {
			continue
		}
		from, to := a.Start, a.Finish
		if k > 0 {
			from = a.Patches[k-1].SetBy
		}
		if k+1 < len(a.Patches) {
			to = a.Patches[k+1].Start
		}
		sum += to - from
	}
	return sum
}
