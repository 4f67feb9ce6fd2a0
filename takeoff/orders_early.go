package takeoff

import (
	"math"
	"slices"
	"time"

	"potlife/rooms"
)

// Goods that would come with a delivery of their own, for a few cartridges weeks after all
// else, may come with an earlier one where holding them until then costs less than the
// freight. What holding costs is a share of their price for each week: money tied up,
// room, what is moved about, broken or lost.

// DefaultHoldShare is that share: 2 % a week. Textbooks of stock keeping give a quarter of
// the price a year, half a per cent a week, for a store; a site is dearer. Both are from
// memory.
const DefaultHoldShare = 0.02

// earlyTimes is how many times the days that goods may come early at any rate they may
// where it is worth it: eight weeks of the default, common practice.
const earlyTimes = 4

// holding is what it costs to have goods early, and how early they may come.
type holding struct {
	share       float64 // of the price, a week
	early, most int     // days, at any rate and at most
}

func holdingOf(c Catalogue) holding {
	h := holding{share: c.HoldShare, early: earlyDays(c)}
	if h.share == 0 {
		h.share = DefaultHoldShare
	}
	h.most = earlyTimes * h.early
	return h
}

// cost is what it costs to have goods so many days early.
func (h holding) cost(goods Money, days int) Money {
	return Money(math.Round(float64(goods) * h.share * float64(days) / 7))
}

// allows reports whether an order may come with an earlier one so many days before its
// own day.
func (h holding) allows(o *Order, days int) bool {
	goods, freight := Money(0), Money(0)
	for _, l := range o.Lines {
		if l.Product == "" {
			freight += l.Amount
			continue
		}
		goods += l.Amount
	}
	return days <= h.early || days <= h.most && h.cost(goods, days) < freight
}

// step is a delivery that is made, and what it costs with all that comes with it and
// after it.
type step struct {
	cost Money
	next int
}

// fewer lets whole deliveries come with earlier ones where that costs less than it saves:
// of all ways to choose those that are made the cheapest, freight and holding together,
// by dynamic programming from the last one back. A want goes with the last delivery that
// is made before its own. What its place cannot store stays as it was.
func fewer(s *Supplier, list []delivery, store *store, h holding) []delivery {
	n := len(list)
	slices.SortStableFunc(list, func(a, b delivery) int { return a.delivery.Compare(b.delivery) })
	best := make([]step, n+1)
	for i := n - 1; i >= 0; i-- {
		goods, held := list[i].goods(), Money(0)
		for next := i + 1; ; next++ {
			if c := best[next].cost + s.freightFor(goods) + held; next == i+1 || c < best[i].cost {
				best[i] = step{c, next}
			}
			if next == n {
				break
			}
			cost, ok := list[next].earlier(list[i].delivery, h)
			if !ok {
				break
			}
			goods, held = goods+list[next].goods(), held+cost
		}
	}
	var out []delivery
	for i := 0; i < n; i = best[i].next {
		out = append(out, list[i])
		for k := i + 1; k < best[i].next; k++ {
			if rest := slices.Concat(out, list[k+1:]); store.takesAll(rest, len(out)-1, list[k].wants) {
				out[len(out)-1].join(&list[k])
			} else {
				out = append(out, list[k])
			}
		}
	}
	return out
}

// goods is what a delivery's goods cost.
func (d *delivery) goods() Money {
	sum := Money(0)
	for i := range d.wants {
		sum += Amount(d.wants[i].packages, d.wants[i].price)
	}
	return sum
}

// earlier is what it costs to have a delivery on a day before its own; false where some
// of it does not keep, or would lie for too long.
func (d *delivery) earlier(on rooms.Date, h holding) (Money, bool) {
	sum := Money(0)
	for i := range d.wants {
		w := &d.wants[i]
		days := daysFrom(on, w.own)
		if days > h.most || !w.keeps(on) {
			return 0, false
		}
		sum += h.cost(Amount(w.packages, w.price), days) - h.cost(Amount(w.packages, w.price), daysFrom(d.delivery, w.own))
	}
	return sum, true
}

// mostEarly is how many days before it would come by itself some of a delivery comes.
func (d *delivery) mostEarly() int {
	most := 0
	for i := range d.wants {
		most = max(most, daysFrom(d.delivery, d.wants[i].own))
	}
	return most
}

// join takes another delivery's goods up.
func (d *delivery) join(o *delivery) {
	d.wants = slices.Concat(d.wants, o.wants)
	for _, own := range o.own {
		i := slices.IndexFunc(d.own, func(was ownDay) bool { return was.day == own.day })
		if i < 0 {
			d.own = append(slices.Clip(d.own), own)
			continue
		}
		d.own[i].goods += own.goods
	}
}

// takesAll reports whether wants can all be stored with delivery i of a list.
func (s *store) takesAll(list []delivery, i int, wants []want) bool {
	for k := range wants {
		if !s.takes(list, i, &wants[k]) {
			return false
		}
		d := list[i]
		d.wants = append(slices.Clone(d.wants), wants[k])
		list[i] = d
	}
	return true
}

// keeps reports whether a want that comes on a day keeps until its first use.
func (w *want) keeps(on rooms.Date) bool {
	return w.shelfDays <= 0 || !on.AddDays(w.shelfDays).Before(w.needBy)
}

// daysFrom is the number of days from one date to a later one.
func daysFrom(a, b rooms.Date) int { return int(b.In(time.UTC).Sub(a.In(time.UTC)) / (24 * time.Hour)) }
