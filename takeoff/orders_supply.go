package takeoff

import (
	"cmp"
	"math"
	"slices"

	"potlife/rooms"
)

// roomShare is what a room takes of a product: With its margin, and at, the
// packages its place needs by the time this room is served, those of the rooms
// before it among them.
type roomShare struct {
	room, place string
	with, at    float64
	first       rooms.Date
}

// shares splits a material among rooms, in the order of their first uses, and
// counts up the packages place by place: packages are rounded up where they are
// delivered, and the last room's share ends with the place's last package.
func (t *Taken) shares(m *Material, u uses) []roomShare {
	index := map[string]int{}
	var list []roomShare
	for _, n := range t.Needs {
		if n.Product != m.Product {
			continue
		}
		i, ok := index[n.Room]
		if !ok {
			i = len(list)
			index[n.Room] = i
			list = append(list, roomShare{room: n.Room, place: t.placeOf(n.Room), first: u.first(m.Product, []string{n.Room})})
		}
		list[i].with += n.With
	}
	slices.SortStableFunc(list, func(a, b roomShare) int {
		return cmp.Or(datedFirst(a.first, b.first), cmp.Compare(a.room, b.room))
	})
	t.countUp(m, list)
	return list
}

// datedFirst orders dates, what has none last.
func datedFirst(a, b rooms.Date) int {
	if a.IsZero() != b.IsZero() {
		if a.IsZero() {
			return 1
		}
		return -1
	}
	return a.Compare(b)
}

// countUp fills at.
func (t *Taken) countUp(m *Material, list []roomShare) {
	sum, last := map[string]float64{}, map[string]int{}
	for i, s := range list {
		sum[s.place] += s.with
		last[s.place] = i
	}
	run := map[string]float64{}
	for i := range list {
		s := &list[i]
		run[s.place] += s.with
		whole := float64(t.packagesAt[Use{m.Product, s.place}])
		s.at = min(whole, run[s.place]/m.PackageSize)
		if t.inBars(m.Product) || sum[s.place] > float64(whole*m.PackageSize) { // bars: in proportion
			s.at = run[s.place] / sum[s.place] * whole
		}
		if last[s.place] == i {
			s.at = whole
		}
	}
}

// inBars says that a product is cut from bars.
func (t *Taken) inBars(key string) bool {
	i := slices.IndexFunc(t.catalogue.Products, func(p Product) bool { return p.Key == key })
	return i >= 0 && t.catalogue.Products[i].bar() > 0
}

// batch is packages that are there from a day on; the zero day: already.
type batch struct {
	packages float64
	ready    rooms.Date
}

// supplyOf is what there is of a product without lots: at each place what orders
// placed bring there, and for all of them what lies in the yard and what orders
// placed bring elsewhere beyond need, the latest of it.
type supplyOf struct {
	own   map[string][]batch
	pool  []batch
	drawn map[string]float64 // from the pool, by place
	extra map[string][]batch // of that, what came when
}

func (t *Taken) supplyOf(m *Material, yard float64, placed []Order) *supplyOf {
	s := &supplyOf{own: map[string][]batch{}, drawn: map[string]float64{}, extra: map[string][]batch{}}
	if yard > 0 {
		s.pool = []batch{{packages: yard}}
	}
	for i := range placed {
		o := &placed[i]
		for k := range o.Lines {
			if l := &o.Lines[k]; l.Product == m.Product {
				s.own[o.Place] = append(s.own[o.Place], batch{l.Quantity, o.ReadyOf(l)})
			}
		}
	}
	for _, p := range sortedKeys(s.own) {
		list := s.own[p]
		slices.SortStableFunc(list, func(a, b batch) int { return a.ready.Compare(b.ready) })
		over := total(list) - float64(t.packagesAt[Use{m.Product, p}])
		for i := len(list) - 1; i >= 0 && over > 0; i-- {
			n := min(over, list[i].packages)
			over -= n
			list[i].packages -= n
			s.pool = append(s.pool, batch{n, list[i].ready})
		}
	}
	slices.SortStableFunc(s.pool, func(a, b batch) int { return a.ready.Compare(b.ready) })
	return s
}

func total(list []batch) float64 { return by(list, rooms.Date{}) }

// by is what is there on a day, all of it for the zero day.
func by(list []batch, d rooms.Date) float64 {
	n := 0.0
	for _, b := range list {
		if d.IsZero() || !d.Before(b.ready) {
			n += b.packages
		}
	}
	return n
}

// draw takes up to n packages from the pool that are there on a day, all of them
// for the zero day, for a place; it returns how many.
func (s *supplyOf) draw(place string, n float64, d rooms.Date) (got float64) {
	for i := range s.pool {
		b := &s.pool[i]
		if n-got <= 1e-9 || !d.IsZero() && d.Before(b.ready) {
			break
		}
		if k := min(b.packages, n-got); k > 0 {
			b.packages -= k
			got += k
			s.extra[place] = append(s.extra[place], batch{k, b.ready})
		}
	}
	s.drawn[place] += got
	return got
}

// purchase is packages to be bought for a share.
type purchase struct {
	share    int
	packages int
}

// buy serves the shares, in their order, from what there is by their first uses,
// and says what has to be bought for which: whole packages, and never more than
// a place lacks when everything placed has come.
func (s *supplyOf) buy(shares []roomShare) []purchase {
	end := map[string]float64{}
	for _, r := range shares {
		end[r.place] = r.at
	}
	bought := map[string]float64{}
	var list []purchase
	for i, r := range shares {
		has := s.drawn[r.place] + bought[r.place]
		lack := end[r.place] - total(s.own[r.place]) - has
		short := min(r.at-by(s.own[r.place], r.first)-has, lack)
		if short <= 1e-9 {
			continue
		}
		// Whole packages go to a place, so that parts of one are not left at many.
		got := s.draw(r.place, min(float64(wholePackages(short)), lack), r.first)
		if n := wholePackages(short - got); n > 0 {
			bought[r.place] += float64(n)
			list = append(list, purchase{i, n})
		}
	}
	return list
}

// release is the day from which a share can be served: by what is at its place,
// by the pool, and by an order sent today that is ready on the day fresh. Packages
// are those its place needs in all.
func (s *supplyOf) release(r roomShare, packages float64, today, fresh rooms.Date) rooms.Date {
	own := s.own[r.place]
	lack := packages - total(own)
	if n := r.at - by(own, today) - s.drawn[r.place]; n > 1e-9 {
		s.draw(r.place, min(float64(wholePackages(n)), lack-s.drawn[r.place]), rooms.Date{})
	}
	list := slices.Concat(s.extra[r.place], own, []batch{{lack - s.drawn[r.place], fresh}})
	slices.SortStableFunc(list, func(a, b batch) int { return a.ready.Compare(b.ready) })
	here, ready := 0.0, rooms.Date{}
	for _, b := range list {
		if here >= r.at-1e-9 {
			break
		}
		if b.packages > 1e-9 {
			here += b.packages
			ready = b.ready
		}
	}
	return ready
}

// packageCount is packages of a product by the places they are delivered to,
// rounded up at each; bars as they were cut.
func (t *Taken) packageCount(p *Product, bars map[Use]barCount) (sum, places, bound int) {
	with := map[string]float64{}
	for _, n := range t.Needs {
		if n.Product == p.Key {
			with[t.placeOf(n.Room)] += n.With
		}
	}
	for _, k := range sortedKeys(with) {
		n := ceilCount(math.Round(with[k]*1000) / 1000 / p.PackageSize)
		if b, ok := bars[Use{p.Key, k}]; ok {
			n = b.bars
			bound += b.bound
		}
		t.packagesAt[Use{p.Key, k}] = n
		sum += n
		places++
	}
	return sum, places, bound
}
