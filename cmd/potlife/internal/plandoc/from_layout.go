package plandoc

import (
	"potlife/rooms"
	"potlife/takeoff"
)

// surfaces writes every layout with its zones, pieces and cuts.
func (w *writer) surfaces(d *Document) {
	d.Surfaces = make([]Surface, 0, len(w.plan.Layouts))
	w.shared = map[int]bool{}
	measured, earlier := w.measured(), w.earlierZones()
	for i, l := range w.plan.Layouts {
		src := measured[l.Surface]
		s := Surface{Key: l.Surface, Room: l.Room, Kind: src.Kind, Lie: Lie(src.Kind), Name: src.Name,
			Outline: polygon(l.Outline), Openings: []Opening{}, Zones: []Zone{}, Edges: []Edge{}}
		if s.Name == "" {
			s.Name = src.Key
		}
		if hold, ok := w.plan.Holds[l.Surface]; ok {
			s.HoldMinutes = &hold
		}
		if b := src.Base; b != nil {
			s.Base = &Base{Kind: b.Kind, Laid: b.Laid.String(), Ready: b.Ready().String()}
			if !b.Tested.IsZero() {
				s.Base.Tested = optional(b.Tested.String())
			}
		}
		kinds := map[string]string{}
		for _, o := range src.Openings {
			kinds[o.Key] = o.Kind
		}
		for _, o := range l.Openings {
			s.Openings = append(s.Openings, Opening{Key: o.Key, Outline: polygon(o.Outline), Kind: kinds[o.Key]})
		}
		for k, e := range edgesAsLaid(&l, &src) {
			s.Edges = append(s.Edges, Edge{Name: src.EdgeName(k), Meets: e.Meets, Gap: mm(e.Gap), Fill: e.Fill})
		}
		if zones := earlier(l.Zones); zones != nil {
			s.Zones, w.shared[i] = zones, true
		} else {
			for k := range l.Zones {
				s.Zones = append(s.Zones, w.zoneOf(&l.Zones[k]))
			}
		}
		d.Surfaces = append(d.Surfaces, s)
	}
}

// edgesAsLaid are a surface's edges with the gaps that its layout keeps.
func edgesAsLaid(l *takeoff.Layout, src *rooms.Surface) []rooms.Edge {
	if len(l.Edges) == len(src.Edges) {
		return l.Edges
	}
	return src.Edges
}

// earlierZones finds what the document before says of zones that both plans share and
// whose pieces come from the same stock tiles and stand in the same areas, nil where
// something differs.
func (w *writer) earlierZones() func([]takeoff.ZoneLayout) []Zone {
	if w.was == nil {
		return func([]takeoff.ZoneLayout) []Zone { return nil }
	}
	at := make(map[*takeoff.ZoneLayout]int, len(w.was.Layouts))
	for i := range w.was.Layouts {
		if z := w.was.Layouts[i].Zones; len(z) > 0 {
			at[&z[0]] = i
		}
	}
	return func(zones []takeoff.ZoneLayout) []Zone {
		if len(zones) == 0 {
			return nil
		}
		k, ok := at[&zones[0]]
		if !ok || k >= len(w.before.Surfaces) || len(w.before.Surfaces[k].Zones) != len(zones) {
			return nil
		}
		list := w.before.Surfaces[k].Zones
		for i := range list {
			for n := range list[i].Pieces {
				if p := &list[i].Pieces[n]; p.Stock != w.stockOf[p.ID] || p.Area != w.areaOf[p.ID] {
					return nil
				}
			}
		}
		return list
	}
}

// measured indexes the surfaces as they were measured by their full key.
func (w *writer) measured() map[string]rooms.Surface {
	out := map[string]rooms.Surface{}
	for _, j := range w.plan.Jobs {
		for _, s := range j.Sites {
			for _, r := range s.Rooms {
				for _, f := range r.Surfaces {
					out[j.Key+"/"+r.Key+"/"+f.Key] = f
				}
			}
		}
	}
	return out
}

// Lie says how a kind of surface lies: "vertical", "flat" or "under".
func Lie(kind string) string {
	switch kind {
	case rooms.Floor, rooms.ShowerFloor, rooms.Bench:
		return "flat"
	case rooms.Ceiling:
		return "under"
	}
	return "vertical"
}

func (w *writer) zoneOf(z *takeoff.ZoneLayout) Zone {
	out := Zone{Key: z.Zone.Key, Pattern: z.Zone.Pattern, Joint: mm(z.Zone.Joint), Cover: []Polygon{}, Pieces: make([]Piece, 0, len(z.Pieces)),
		Tile: z.Zone.Tile, Mortar: z.Zone.Mortar, Grout: z.Zone.Grout, Why: z.Why,
		Origin: Point{mm(z.Origin.X), mm(z.Origin.Y)}, LevelLine: mm(z.LevelLine), Plumb: mm(z.Plumb)}
	point := func(p rooms.Point) Point { return Point{mm(p.X), mm(p.Y)} }
	out.Lattice = Lattice{U: point(z.Lattice.U), V: point(z.Lattice.V), Tiles: []LatticeTile{}}
	for _, t := range z.Lattice.Tiles {
		out.Lattice.Tiles = append(out.Lattice.Tiles, LatticeTile{t.Tile, polygon(rooms.Polygon{Outer: t.Shape}).Outer})
	}
	out.RunnersUp, out.SoftJoints = []RunnerUp{}, []SoftJoint{}
	for _, r := range z.RunnersUp {
		out.RunnersUp = append(out.RunnersUp, RunnerUp{point(r.Origin), r.Why, r.Full, r.Cut})
	}
	for _, j := range z.Movement {
		out.SoftJoints = append(out.SoftJoints, SoftJoint{point(j.A), point(j.B), mm(j.Width), j.Through, j.Why})
	}
	for _, c := range z.Cover {
		out.Cover = append(out.Cover, polygon(c))
	}
	for i := range z.Pieces {
		out.Pieces = append(out.Pieces, w.piece(&z.Pieces[i]))
	}
	return out
}

func (w *writer) piece(p *takeoff.Piece) Piece {
	out := Piece{ID: p.ID, Course: p.Course, Position: p.Position, Tile: w.tileOf(p.ID, p.Tile), Polygon: polygon(p.Polygon), Full: p.Full,
		Cuts: []Cut{}, OnSite: p.OnSite, Late: optional(p.Late), Stock: w.stockOf[p.ID], Area: w.areaOf[p.ID],
		Label: p.Label, OnSiteWhy: p.OnSiteWhy}
	for _, c := range p.Cuts {
		cut := Cut{Side: c.Side, Tool: c.Tool, Shape: c.Shape, At: c.At}
		if c.Sized {
			drawn, size, least, most := mm(c.Drawn), mm(c.Size), mm(c.Least), mm(c.Most)
			cut.Drawn, cut.Size, cut.Least, cut.Most = &drawn, &size, &least, &most
		}
		out.Cuts = append(out.Cuts, cut)
	}
	return out
}
