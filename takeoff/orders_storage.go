package takeoff

import (
	"potlife/rooms"
)

// lying is goods that lie at a place from their delivery until the day of their
// first use.
type lying struct {
	from, until rooms.Date
	kg, pallets float64
}

// store is what lies where, of all suppliers and of orders placed.
type store struct {
	places map[string]place
	lies   map[string][]lying
}

// newStore starts with what orders placed bring from today on.
func (t *Taken) newStore(cat Catalogue, today rooms.Date, placed []Order) *store {
	s := &store{map[string]place{}, map[string][]lying{}}
	for _, p := range t.places {
		if p.kg > 0 || p.pallets > 0 {
			s.places[p.key] = p
		}
	}
	if len(s.places) == 0 {
		return s
	}
	for _, o := range placed {
		for _, l := range o.Lines {
			if l.NeedBy.Before(today) {
				continue
			}
			w := want{product: l.Product, packages: int(l.Quantity), place: o.Place, needBy: l.NeedBy}
			if tile := cat.tile(l.Product); tile != nil {
				w.kg = tile.BoxKg
				if tile.BoxesPerPallet > 0 {
					w.pallets = 1 / float64(tile.BoxesPerPallet)
				}
			} else if p := cat.product(l.Product); p != nil {
				w.kg = packageKg(p)
			}
			s.lay([]want{w}, o.Delivery)
		}
	}
	return s
}

// lay notes goods delivered.
func (s *store) lay(wants []want, on rooms.Date) {
	for _, w := range wants {
		if _, limited := s.places[w.place]; limited {
			s.lies[w.place] = append(s.lies[w.place], lying{on, w.needBy, w.allKg(), w.allPallets()})
		}
	}
}

func (w *want) allKg() float64      { return float64(w.kg * float64(w.packages)) }
func (w *want) allPallets() float64 { return float64(w.pallets * float64(w.packages)) }

// takes reports whether a want's place can store it if it comes with delivery i of
// a list that is not laid down yet. A place is fullest on the days on which goods
// come, so those from the delivery until the want's first use are looked at;
// everything counts as used on the day of its first use. A want that is too much
// by itself comes alone.
func (s *store) takes(list []delivery, i int, w *want) bool {
	p, limited := s.places[w.place]
	if !limited {
		return true
	}
	all := s.lies[w.place]
	for k := range list {
		for n := range list[k].wants {
			v := &list[k].wants[n]
			all = append(all[:len(all):len(all)], lying{list[k].delivery, v.needBy, v.allKg(), v.allPallets()})
		}
	}
	from := list[i].delivery
	days := []rooms.Date{from}
	for _, l := range all {
		if from.Before(l.from) && !w.needBy.Before(l.from) {
			days = append(days, l.from)
		}
	}
	for _, d := range days {
		kg, pallets := w.allKg(), w.allPallets()
		for _, l := range all {
			if !d.Before(l.from) && !l.until.Before(d) {
				kg += l.kg
				pallets += l.pallets
			}
		}
		if !p.stores(kg, pallets) {
			return false
		}
	}
	return true
}

// stores reports whether so much may lie at a place at once.
func (p place) stores(kg, pallets float64) bool {
	return (p.kg <= 0 || kg <= p.kg) && (p.pallets <= 0 || pallets <= float64(p.pallets)+1e-9)
}

// overfull reports whether a delivery is more than its place stores.
func (p place) overfull(wants []want) bool {
	kg, pallets := 0.0, 0.0
	for i := range wants {
		kg += wants[i].allKg()
		pallets += wants[i].allPallets()
	}
	return !p.stores(kg, pallets)
}
