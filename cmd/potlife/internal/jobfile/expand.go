package jobfile

import (
	"fmt"
	"slices"
	"strings"

	"potlife/rooms"
	"potlife/takeoff"
)

// expand turns a job as it is written into the domain's: quick forms become
// surfaces, and what is left out is inherited or takes its default.
func (j *job) expand(r *reader) rooms.Job {
	out := j.Job
	known := map[string]int{}
	for i := range j.sites {
		s := &j.sites[i]
		s.checkOpen(r, j)
		st := s.Site
		for _, m := range s.rooms {
			if line, twice := known[m.Key]; twice && m.Key != "" {
				r.failf(m.v.at("key"), "a key of its own in the job", "the room key %q stands a second time in job %s (first in line %d)", m.Key, j.Key, line)
			}
			known[m.Key] = m.v.at("key").line
			st.Rooms = append(st.Rooms, m.expand(r, j))
		}
		out.Sites = append(out.Sites, st)
	}
	j.checkShared(r, out)
	return out
}

// expand turns a room into the domain's.
func (m *room) expand(r *reader, j *job) rooms.Room {
	out := m.Room
	out.Celsius, out.People = valueOr(m.celsius, 20), valueOr(m.people, 2)
	out.AtZero = out.Celsius == 0
	m.checkDates(r, j)
	inherited := m.usual.over(j.usual)
	inherited.corners = first(inherited.corners, r.corners)
	written := append(m.quickForms(r), m.surfaces...)
	lines := map[string]int{}
	for _, s := range written {
		if line, twice := lines[s.key]; twice && s.key != "" {
			r.failf(s.v.at("key"), "a key of its own in the room", "the surface key %q stands a second time in room %s (first in line %d)", s.key, m.Key, line)
		}
		lines[s.key] = s.v.line
		if got, ok := s.expand(r, inherited); ok {
			out.Surfaces = append(out.Surfaces, got)
		}
	}
	m.expandObstacles(r, &out)
	m.checkAir(r, out)
	m.checkLacks(r, out)
	return out
}

// quickForms are the surfaces that quick forms stand for.
func (m *room) quickForms(r *reader) []surface {
	var out []surface
	high := rooms.Length(0)
	if m.rectangle != nil {
		high = m.rectangle.height
		out = append(out, m.rectangle.expand(r, m.Key)...)
	}
	if m.alcove != nil {
		out = append(out, m.alcove.expand(r, m.Key)...)
	}
	if m.shower != nil {
		out = append(out, m.shower.expand(r, m.Key, high)...)
	}
	return out
}

// checkDates holds due, ready and start together, and with start the dates on which
// stops end.
func (m *room) checkDates(r *reader, j *job) {
	in := m.v.get("holds")
	for i, h := range m.Holds {
		if !h.Until.IsZero() && h.Until.Before(j.Start) && len(in.items) == len(m.Holds) {
			r.failf(in.items[i].at("until"), "a date on or after "+j.Start.String()+", or no stop", "hold %s of room %s ends on %s, before the job's start (%s)", h.Key, m.Key, h.Until, j.Start)
		}
	}
	if m.Due.IsZero() {
		return
	}
	for _, d := range []struct {
		date rooms.Date
		what string
	}{{j.Start, "the job's start"}, {m.Ready, "the room is ready"}} {
		if !d.date.IsZero() && m.Due.Before(d.date) {
			r.failf(m.v.at("due"), "a date on or after "+d.date.String(), "room %s is due on %s, before %s (%s)", m.Key, m.Due, d.what, d.date)
			return
		}
	}
}

// expand turns a surface into the domain's.
func (s *surface) expand(r *reader, inherited usual) (rooms.Surface, bool) {
	out := rooms.Surface{Key: s.key, Name: s.name, Kind: s.kind}
	if s.kind == "" {
		return out, false // reported already
	}
	var ok bool
	if out.Outline, ok = s.region.ring(r, s.v, "surface"); !ok {
		return out, false
	}
	out.Measured = valueOr(first(s.measured, inherited.measured), false)
	out.Wet = valueOr(s.wet, s.kind == rooms.ShowerFloor || s.kind == rooms.TubSurround)
	out.Ledger = valueOr(s.ledger, false)
	out.LevellerDepth, out.Difficulty = valueOr(s.levellerDepth, 0), valueOr(s.difficulty, 0)
	out.Prepare = s.preparation(out.Wet)
	s.readOn(r, &out, inherited)
	s.extras.into(&out)
	s.extras.checkFalls(r, s.v, &out)
	s.checkPreparation(r, out)
	s.expandEdges(r, &out, inherited.corners)
	s.expandOpenings(r, &out, inherited.corners)
	s.expandLeftOut(r, &out)
	s.expandZones(r, &out, inherited.setting(s.kind))
	s.expandReadings(r, &out)
	s.checkReadings(r, &out)
	return out, true
}

// checkReadings refuses readings that leave no outline and measures of what the
// surface does not have. Those that merely contradict each other are findings of
// the plan.
func (s *surface) checkReadings(r *reader, out *rooms.Surface) {
	if len(out.Readings) == 0 && len(out.Checks) == 0 && len(out.Build.Deduct) == 0 {
		return
	}
	if _, err := out.Correct(); err != nil {
		r.failf(s.v.at("readings"), "readings and deductions smaller than the surface", "surface %s: %v", s.key, err)
		return
	}
	misread := slices.ContainsFunc(out.Checks, func(c rooms.Check) bool { return c.Kind == "" }) // reported already
	if _, err := out.Contradictions(0); err != nil && !misread {
		r.failf(s.v.at("measures"), "a measure of a side or a place that the surface has", "surface %s: %v", s.key, err)
	}
}

// readOn sets the layer of the outline. What is said to be measured was read on
// the last layer before setting, where no other one is named.
func (s *surface) readOn(r *reader, out *rooms.Surface, inherited usual) {
	out.Layer = valueOr(first(s.layer, inherited.layer), usualLayer(s.kind))
	last := out.LastLayer()
	switch {
	case !out.Measured || !rooms.Beneath(out.Layer, last):
	case first(s.layer, inherited.layer) == nil:
		out.Layer = last
	case s.measured != nil && *s.measured:
		r.failf(s.v.at("measured"), fmt.Sprintf("layer: %s where that is what was measured, else no measured: true; readings on the %s release the cuts at their side", last, last),
			"surface %s is measured on the %s and tiled on the %s, so its cuts cannot be released", s.key, out.Layer, last)
	}
}

// usualLayer is the layer on which a surface is measured where nothing is said.
func usualLayer(kind string) string {
	if rooms.Flat(kind) {
		return rooms.Leveller
	}
	return rooms.Board
}

// preparation is what a surface needs where nothing is said: a membrane where
// it is wet, and a flood test of a shower floor.
func (s *surface) preparation(wet bool) []string {
	switch {
	case s.prepare != nil:
		if len(*s.prepare) == 0 {
			return nil
		}
		return *s.prepare
	case wet && s.kind == rooms.ShowerFloor:
		return []string{"membrane", "flood test"}
	case wet:
		return []string{"membrane"}
	}
	return nil
}

// checkPreparation looks for the products that the preparation takes.
func (s *surface) checkPreparation(r *reader, out rooms.Surface) {
	at := s.v.at("prepare")
	for i, p := range out.Prepare {
		if slices.Contains(out.Prepare[:i], p) {
			r.failf(at, "each preparation once", "%q stands twice", p)
		}
	}
	if slices.Contains(out.Prepare, "level") && out.LevellerDepth == 0 && !r.told(s.v.get("leveller_depth")) {
		r.failf(at, "leveller_depth, the mean depth in mm", "surface %s is to be levelled, to no depth", s.key)
	}
	if out.LevellerDepth > 0 && !slices.Contains(out.Prepare, "level") {
		r.failf(s.v.at("leveller_depth"), "level in prepare", "surface %s has a depth of leveller and is not to be levelled", s.key)
	}
	takes := map[string]string{"level": takeoff.KindLeveller, "prime": takeoff.KindPrimer, "board": takeoff.KindBoard, "membrane": takeoff.KindMembrane}
	for _, p := range out.Prepare {
		kind, ok := takes[p]
		if !ok {
			continue
		}
		r.later = append(r.later, func(c *catalog) {
			if c.firm == nil || slices.ContainsFunc(c.firm.Catalogue.Products, func(q takeoff.Product) bool { return q.Kind == kind }) {
				return
			}
			r.failf(at, "a product of the kind "+kind+" in the firm", "surface %s takes a %s and the firm has none", s.key, kind)
		})
	}
}

// expandEdges completes every side.
func (s *surface) expandEdges(r *reader, out *rooms.Surface, corners *string) {
	o := s.line(*out)
	n := o.count()
	named := s.region.width != nil
	written, deduct := make([]edge, n), make([]rooms.Length, n)
	spread(r, s.edges, n, named, func(i int, e bySide[edge]) {
		if written[i] = e.what.over(written[i]); e.what.shared != nil && o.curved(i) {
			r.failf(e.v.place, "no shared: a flat surface cannot meet an arc along its length", "side %d is an arc", i)
		}
	})
	spread(r, s.deduct, n, named, func(i int, d bySide[rooms.Length]) { deduct[i] = d.what })
	for i := range out.Outline {
		side := o.side(i)
		out.Edges = append(out.Edges, written[side].closing(rooms.UsualMeeting(s.kind, side, n), corners).domain(r, s.kind, side, n))
		if len(s.deduct) > 0 {
			out.Build.Deduct = append(out.Build.Deduct, deduct[side])
		}
	}
}

// line is the outline as it is written.
func (s *surface) line(out rooms.Surface) outline {
	if len(s.region.outline.ring) > 0 {
		return s.region.outline
	}
	return outline{ring: out.Outline}
}

// expandOpenings places the openings, all inside the outline.
func (s *surface) expandOpenings(r *reader, out *rooms.Surface, corners *string) {
	keys := map[string]int{}
	for _, o := range s.openings {
		if o.key == "" || o.kind == "" {
			continue // reported already
		}
		got, ok := o.closing(corners).domain(r)
		if !ok {
			continue
		}
		if line, twice := keys[o.key]; twice {
			r.failf(o.v.at("key"), "a key of its own", "the opening key %q stands a second time on %s (first in line %d)", o.key, s.key, line)
		}
		keys[o.key] = o.v.line
		if outside(got.Outline, out.Outline) {
			r.failf(o.v.place, "an opening inside the surface, which is "+r.sizeText(out.Outline), "opening %s (%s) reaches outside its surface %s", o.key, r.placeText(got.Outline), s.key)
			continue
		}
		for _, other := range out.Openings {
			if overlap(got.Outline, other.Outline) {
				r.failf(o.v.place, "openings that do not overlap", "opening %s overlaps opening %s", o.key, other.Key)
			}
		}
		out.Openings = append(out.Openings, got)
	}
}

func (r *reader) sizeText(ring rooms.Ring) string {
	b := ring.Box()
	return fmt.Sprintf("%s wide and %s high", r.say(b.Width()), r.say(b.Height()))
}

func (r *reader) placeText(ring rooms.Ring) string {
	b := ring.Box()
	return fmt.Sprintf("x %s to %s, y %s to %s", r.say(b.Min.X), r.say(b.Max.X), r.say(b.Min.Y), r.say(b.Max.Y))
}

func bareMM(l rooms.Length) string { return strings.TrimSuffix(l.String(), " mm") }

// expandZones lists the zones: the field first, unless one is written out or
// the surface has none.
func (s *surface) expandZones(r *reader, out *rooms.Surface, inherited setting) {
	base := s.set.over(inherited)
	field, list := -1, append(s.quickZones(r, out), s.zones...)
	for i, z := range list {
		if z.region.given() {
			continue
		}
		if field >= 0 {
			r.failf(z.v.place, "a region (x, y, width, height, or outline)", "zones %s and %s both take what the others leave", list[field].key, z.key)
		}
		field = i
	}
	if field < 0 && !s.set.none {
		z := zone{v: s.v, key: "field", setting: base}
		if s.set.v != nil {
			z.v = s.set.v
		}
		if got, ok := z.domain(r, "surface "+s.key); ok {
			out.Zones = append(out.Zones, got)
		}
	}
	keys := map[string]bool{"field": field < 0 && !s.set.none}
	for _, z := range list {
		if keys[z.key] {
			r.failf(z.v.at("key"), "a key of its own", "the zone key %q stands a second time on %s", z.key, s.key)
		}
		keys[z.key] = true
		z.setting = z.setting.over(base)
		got, ok := z.domain(r, "zone "+z.key)
		if !ok {
			continue
		}
		s.checkRegion(r, z, got, out)
		out.Zones = append(out.Zones, got)
	}
	if len(list) == 0 && s.set.none {
		r.failf(s.v.at("set"), "a setting, or zones", "surface %s is not tiled at all", s.key)
	}
}

// checkRegion keeps a zone inside its surface and apart from the others.
func (s *surface) checkRegion(r *reader, z zone, got rooms.Zone, out *rooms.Surface) {
	if len(got.Region) == 0 {
		return
	}
	if outside(got.Region, out.Outline) {
		r.failf(z.v.place, "a zone inside the surface, which is "+r.sizeText(out.Outline), "zone %s (%s) reaches outside its surface %s", z.key, r.placeText(got.Region), s.key)
		return
	}
	for _, other := range out.Zones {
		if len(other.Region) > 0 && overlap(got.Region, other.Region) {
			r.failf(z.v.place, "zones that do not overlap", "zone %s overlaps zone %s", z.key, other.Key)
		}
	}
}

// expandReadings finds the sides the readings were taken at.
func (s *surface) expandReadings(r *reader, out *rooms.Surface) {
	n, o := len(out.Outline), s.line(*out)
	for _, m := range s.readings {
		got := rooms.Reading{Edge: -1, At: m.at, Deviation: m.off, Layer: m.layer, Note: m.note}
		if got.Layer == "" {
			got.Layer = out.Layer
		}
		if m.edge != "whole" {
			side, ok := sideIndex(m.edge, o.count(), s.region.width != nil)
			if !ok {
				r.failf(m.v.at("edge"), "the name or number of a side, or whole", "the surface %s has no side %q", s.key, m.edge)
				continue
			}
			if o.curved(side) {
				r.failf(m.v.at("edge"), "the arc's rise as it is, in the outline", "side %d of surface %s is an arc, on which no readings are taken", side, s.key)
				continue
			}
			i := o.first(side)
			got.Edge = i
			if run := rooms.Distance(out.Outline[i], out.Outline[(i+1)%n]); m.at > run {
				r.failf(m.v.at("at"), fmt.Sprintf("at most the length of the side, %s", r.say(run)), "the reading lies beyond the end of the side")
			}
		}
		out.Readings = append(out.Readings, got)
	}
}

// checkShared holds every shared edge to a side that exists in the job, and
// names it on the other side too where nothing is said there.
func (j *job) checkShared(r *reader, out rooms.Job) {
	sides, lines, holes := map[string][]rooms.Edge{}, j.lines(), map[string]bool{}
	for _, s := range out.Sites {
		for _, m := range s.Rooms {
			for _, f := range m.Surfaces {
				sides[m.Key+"/"+f.Key] = f.Edges
				for _, o := range f.Openings {
					holes[m.Key+"/"+f.Key+"#"+o.Key] = true
				}
			}
		}
	}
	for _, edges := range sides {
		for i := range edges {
			edges[i].Shared = lines.edge(edges[i].Shared, sides)
		}
	}
	for _, s := range j.sites {
		for _, m := range s.rooms {
			for _, f := range m.surfaces {
				for _, e := range f.edges {
					if e.what.shared != nil && !holes[*e.what.shared] && sideOf(sides, lines.edge(*e.what.shared, sides)) == nil {
						r.failf(e.v.place, "room/surface#side by keys and number", "%q is no side of a surface of job %s", *e.what.shared, j.Key)
					}
				}
			}
		}
	}
	for _, s := range out.Sites {
		for _, m := range s.Rooms {
			for _, f := range m.Surfaces {
				for i, e := range f.Edges {
					if other := sideOf(sides, e.Shared); other != nil && other.Shared == "" {
						other.Shared = fmt.Sprintf("%s/%s#%d", m.Key, f.Key, i)
					}
				}
			}
		}
	}
}

// sideOf finds "room/surface#3", nil where there is no such side.
func sideOf(sides map[string][]rooms.Edge, name string) *rooms.Edge {
	surface, side, ok := strings.Cut(name, "#")
	edges := sides[surface]
	i, fits := sideIndex(side, len(edges), false)
	if !ok || !fits {
		return nil
	}
	return &edges[i]
}
