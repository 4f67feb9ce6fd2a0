package scheduler

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"potlife/takeoff"
)

// What lies in the yard of cut tiles outlives the jobs that left it: the plan in which
// a job is no longer there takes over what its tiles left, and each plan names the
// offcuts from which something has been cut, which are offered no more.

// yard makes the list of offcuts in hand: those that the firm counts, less those cut
// since, and what the jobs leave that are not in the plan any more.
func (m *maker) yard() {
	p := m.in.Prior
	if p == nil {
		return
	}
	c := &m.in.Firm.Catalogue
	counted := c.Offcuts
	gone := map[string]bool{}
	for _, key := range p.Spent {
		gone[key] = true
	}
	m.toYard = m.left(p)
	list := slices.DeleteFunc(slices.Clone(counted), func(o takeoff.YardOffcut) bool { return gone[o.Key] })
	for _, o := range m.toYard {
		if !gone[o.Key] && !slices.ContainsFunc(counted, func(q takeoff.YardOffcut) bool { return q.Key == o.Key }) {
			list = append(list, o)
		}
	}
	c.Offcuts = list
	for _, o := range counted {
		if gone[o.Key] {
			m.spent = append(m.spent, o.Key)
		}
	}
}

// left is what the tiles leave that were cut for rooms which are no longer planned,
// where the firm keeps it.
func (m *maker) left(p *Plan) (list []takeoff.YardOffcut) {
	if !m.limits.KeepOffcuts || len(p.Offcuts) == 0 {
		return nil
	}
	here := map[string]bool{}
	for _, j := range m.in.Jobs {
		for _, s := range j.Sites {
			for _, r := range s.Rooms {
				here[j.Key+"/"+r.Key] = true
			}
		}
	}
	tiles, from := map[string]*takeoff.StockTile{}, m.whereFrom(p)
	for i := range p.Stock {
		tiles[p.Stock[i].ID] = &p.Stock[i]
	}
	cut, n := m.cutBefore(p), map[string]int{}
	for _, o := range p.Offcuts {
		n[o.Stock]++
		s := tiles[o.Stock]
		if s == nil || slices.ContainsFunc(s.Pieces, func(q takeoff.StockPiece) bool { return here[roomOfSurface(pieceSurface(q.Piece))] }) ||
			!slices.ContainsFunc(s.Pieces, func(q takeoff.StockPiece) bool { return cut[q.Piece] }) {
			continue
		}
		name, place := from(s.Pieces[0].Piece)
		list = append(list, takeoff.YardOffcut{Key: fmt.Sprintf("%s.%d", o.Stock, n[o.Stock]), Tile: takeoff.GoodsKey(o.Tile), Lot: o.Lot,
			Width: o.Box.Width(), Height: o.Box.Height(), Left: o.Left, Bottom: o.Bottom, Right: o.Right, Top: o.Top, Place: place, From: name})
	}
	return list
}

// cutBefore are the pieces of a plan that were issued and set or cut by now: what nobody
// reported otherwise counts as done as planned.
func (m *maker) cutBefore(p *Plan) map[string]bool {
	now, out := m.horizonOfWork(), map[string]bool{}
	done := map[string]bool{}
	for i := range p.Activities {
		done[p.Activities[i].ID] = strings.HasPrefix(p.Activities[i].State, "done")
	}
	for _, r := range m.in.Records {
		switch r.Kind {
		case "area done":
			done[r.Area] = true
		case "activity done":
			done[r.Activity] = true
		}
	}
	for _, a := range p.Areas {
		if a.Start < min(now, m.frozen[a.Crew]) || done[a.ID] || done[a.Activity] {
			for _, id := range a.Pieces {
				out[id] = true
			}
		}
	}
	for _, s := range p.Sheets {
		if issued := s.Revision > 0 || m.clock.DayStart(s.Date) < m.frozen[s.Crew]; !issued || !m.begun(p, &s) {
			continue
		}
		for _, g := range s.Cuts {
			for _, id := range g.Pieces {
				out[id] = true
			}
		}
	}
	return out
}

// begun reports whether the day of a sheet has begun for its crew.
func (m *maker) begun(p *Plan, s *Sheet) bool {
	return slices.ContainsFunc(p.Hours[s.Crew], func(h Interval) bool {
		return h.Start < m.horizonOfWork() && m.clock.Day(h.Start) == s.Date
	})
}

// whereFrom names a piece of a plan and the site it lies on, as people call them.
func (m *maker) whereFrom(p *Plan) func(piece string) (name, place string) {
	names, sites, labels := map[string]string{}, map[string]string{}, map[string]string{}
	for _, j := range p.Jobs {
		for _, s := range j.Sites {
			for _, r := range s.Rooms {
				room := j.Key + "/" + r.Key
				sites[room] = cmp.Or(j.Name, j.Key) + ", " + cmp.Or(s.Name, s.Key)
				for _, f := range r.Surfaces {
					names[room+"/"+f.Key] = cmp.Or(j.Name, j.Key) + ", " + cmp.Or(r.Name, r.Key) + ", " + cmp.Or(f.Name, f.Key)
				}
			}
		}
	}
	for _, l := range p.Layouts {
		for _, z := range l.Zones {
			for i := range z.Pieces {
				labels[z.Pieces[i].ID] = z.Pieces[i].Label
			}
		}
	}
	return func(piece string) (string, string) {
		surface := pieceSurface(piece)
		return strings.TrimSpace(names[surface] + " " + labels[piece]), sites[roomOfSurface(surface)]
	}
}

// spentNow lists the offcuts in hand from which something has been cut by now, or
// which broke.
func (m *maker) spentNow(stock []takeoff.StockTile) []string {
	list := m.spent
	var cut map[string]bool
	if m.in.Prior != nil {
		cut = m.cutBefore(m.in.Prior)
	}
	for i := range stock {
		s := &stock[i]
		if s.InHand() && !slices.Contains(list, s.Offcut.Key) && (s.Broken || len(s.Gone) > 0 ||
			slices.ContainsFunc(s.Pieces, func(q takeoff.StockPiece) bool { return cut[q.Piece] && m.kept.cut[q.Piece] })) {
			list = append(list, s.Offcut.Key)
		}
	}
	slices.Sort(list)
	return list
}
