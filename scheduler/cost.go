package scheduler

import (
	"cmp"
	"slices"
	"strings"

	"potlife/takeoff"
)

// RoomCost is what a room costs: goods by the takeoff and labour by the schedule,
// as planned, and what has been recorded of it so far. Minutes on the way between
// sites belong to no room.
type RoomCost struct {
	Room, Job string
	// Goods at the catalogue's prices, boxes and packages whole.
	Tiles, Products takeoff.Money
	// SetterMinutes and HelperMinutes are planned, of one person each; Labour is
	// their cost at the crews' hourly rates.
	SetterMinutes, HelperMinutes int
	Labour                       takeoff.Money
	// Done are the planned minutes of the activities for which minutes were
	// recorded, Worked the recorded ones, both of the gang together; DoneLabour and
	// WorkedLabour are their cost. The variance of what is done is worked less done.
	Done, Worked             int
	DoneLabour, WorkedLabour takeoff.Money
	// TilesPlanned are the stock tiles cut or set so far, TilesUsed those and the
	// ones that broke.
	TilesPlanned, TilesUsed int
	// Packages are the bags, pails and cans that were recorded as opened, beside
	// what the plan takes for the work that is done, by product.
	Packages []PackageUse
}

// PackageUse is what of a product was planned for work that is done and what was
// opened for it, in packages. What is left in one opened for one room and goes on
// in another stands with the room for which it was opened.
type PackageUse struct {
	Product         string
	Planned, Opened float64
}

// Total is the room's planned cost.
func (c RoomCost) Total() takeoff.Money { return c.Tiles + c.Products + c.Labour }

// costs adds up goods, labour and records by room.
func (m *maker) costs(p *Plan) []RoomCost {
	index := map[string]int{}
	var list []RoomCost
	at := func(room string) *RoomCost {
		i, ok := index[room]
		if !ok {
			i = len(list)
			index[room] = i
			list = append(list, RoomCost{Room: room})
		}
		return &list[i]
	}
	for _, r := range m.rooms {
		at(r.key).Job = r.job
	}
	for _, g := range m.taken.Costs(m.in.Firm.Catalogue) {
		c := at(g.Room)
		c.Tiles, c.Products = g.Tiles, g.Products
	}
	m.labour(p, at)
	m.packagesUsed(p, at)
	kept := map[string]bool{}
	for _, s := range m.kept.stock {
		kept[s.ID] = true
	}
	for _, s := range m.taken.Stock {
		// A broken tile is named after the piece that broke.
		id := s.ID
		if !s.Broken {
			id = s.Pieces[0].Piece
		}
		job, rest, _ := strings.Cut(id, "/")
		room, _, deeper := strings.Cut(rest, "/")
		if !deeper || !s.Broken && !kept[s.ID] || s.InHand() {
			continue
		}
		c := at(id[:len(job)+1+len(room)])
		c.TilesUsed++
		if !s.Broken {
			c.TilesPlanned++
		}
	}
	return list
}

// packagesUsed adds up, of products that are no tile, what was opened and what the
// plan takes for what is done.
func (m *maker) packagesUsed(p *Plan, at func(string) *RoomCost) {
	type key struct{ room, product string }
	opened, planned := map[key]float64{}, map[key]float64{}
	var keys []key
	for _, r := range m.in.Records {
		if _, ours := m.products[r.Product]; r.Kind != "boxes opened" || !ours || r.Packages <= 0 {
			continue
		}
		k := key{r.Room, r.Product}
		if _, known := opened[k]; !known {
			keys = append(keys, k)
		}
		opened[k] += r.Packages
	}
	for i := range p.Activities {
		a := &p.Activities[i]
		if !strings.HasPrefix(a.State, "done") {
			continue
		}
		for _, u := range a.Products {
			if size := m.products[u.Product].PackageSize; size > 0 {
				planned[key{a.Room, u.Product}] += u.Quantity / size
			}
		}
	}
	slices.SortFunc(keys, func(a, b key) int { return cmp.Or(cmp.Compare(a.room, b.room), cmp.Compare(a.product, b.product)) })
	for _, k := range keys {
		c := at(k.room)
		c.Packages = append(c.Packages, PackageUse{k.product, round3(planned[k]), round3(opened[k])})
	}
}

// labour adds the work of the activities at their crews' rates; each crew's
// minutes in a room are rounded to the cent once.
func (m *maker) labour(p *Plan, at func(string) *RoomCost) {
	recorded := recordedWork(p, m.in.Records)
	type key struct{ room, crew string }
	type sums struct{ plan, done, worked int64 } // minutes × money per hour
	all := map[key]*sums{}
	var keys []key
	for i := range p.Activities {
		a := &p.Activities[i]
		if a.Crew == "" {
			continue
		}
		k := key{a.Room, a.Crew}
		if all[k] == nil {
			all[k] = &sums{}
			keys = append(keys, k)
		}
		crew := m.works.crews[a.Crew]
		if crew == nil {
			continue
		}
		minutes := 0
		for _, w := range a.Work {
			minutes += w.End - w.Start
		}
		hour := int64(a.Setters)*int64(crew.SetterRate) + int64(a.Helpers)*int64(crew.HelperRate)
		c := at(a.Room)
		c.SetterMinutes += minutes * a.Setters
		c.HelperMinutes += minutes * a.Helpers
		all[k].plan += int64(minutes) * hour
		if did := recorded[a.ID]; did.minutes > 0 {
			c.Done += minutes
			c.Worked += did.minutes
			all[k].done += int64(minutes) * hour
			s, h := crew.counted(a.Setters, a.Helpers, did.by)
			all[k].worked += int64(did.minutes) * (int64(s)*int64(crew.SetterRate) + int64(h)*int64(crew.HelperRate))
		}
	}
	for _, k := range keys {
		c := at(k.room)
		c.Labour += perHour(all[k].plan)
		c.DoneLabour += perHour(all[k].done)
		c.WorkedLabour += perHour(all[k].worked)
	}
}

// perHour turns minutes at money per hour into money, to the cent, halves up.
func perHour(x int64) takeoff.Money { return takeoff.Money((x + 3000) / 6000 * 100) }
