package takeoff

import "potlife/rooms"

// receiving is when a supplier's goods can come to a place: on the supplier's working
// days on which somebody takes them in there. At the yard that is the firm, on its
// working days. On a site it is who is named as its contact, else the firm, on days on
// which the site is open. A supplier that leaves goods unattended needs nobody.
type receiving struct {
	supplier *Supplier
	at       []rooms.Days // all of them work
}

// receivingAt is when a supplier's goods can come to a place.
func (t *Taken) receivingAt(s *Supplier, key string) receiving {
	r := receiving{supplier: s}
	if s.Unattended {
		return r
	}
	if p := t.placeAt(key); p == nil {
		r.at = []rooms.Days{t.days}
	} else if r.at = []rooms.Days{p.open}; !p.contact {
		r.at = append(r.at, t.days)
	}
	return r
}

// works reports whether goods can come on a day. Days that nobody has named are all
// worked.
func (r receiving) works(d rooms.Date) bool {
	if !r.supplier.Days.Works(d) {
		return false
	}
	for _, days := range r.at {
		if days.Any() && !days.Works(d) {
			return false
		}
	}
	return true
}

// meetWithin is how many days are looked at for one on which a supplier delivers and
// somebody is there: beyond a year they never meet, the supplier's own day stands, and
// the order says so.
const meetWithin = 366

// lastOn is the last day up to d on which goods can come.
func (r receiving) lastOn(d rooms.Date) rooms.Date {
	for n := range meetWithin {
		if at := d.AddDays(-n); r.works(at) {
			return at
		}
	}
	if !r.supplier.Days.Works(d) {
		d, _ = r.supplier.Days.Add(d, -1)
	}
	return d
}

// firstFrom is the first day from d on, a day of the supplier's, on which goods can
// come.
func (r receiving) firstFrom(d rooms.Date) rooms.Date {
	for n := range meetWithin {
		if at := d.AddDays(n); r.works(at) {
			return at
		}
	}
	return d
}

// dates gives order-by and delivery of one want: as late as its first use
// allows, or as soon as can be where that has passed.
func (r receiving) dates(today rooms.Date, w want) (d delivery) {
	days := r.supplier.Days
	due, _ := days.Add(r.lastOn(w.needBy.AddDays(-w.wait)), -r.supplier.BufferDays)
	d.delivery = r.lastOn(due)
	d.orderBy, _ = days.Add(d.delivery, -r.supplier.LeadDays)
	if d.orderBy.Before(today) {
		d.late = true
		d.delivery = r.earliest(today)
	}
	d.place = w.place
	return d
}

// earliest is when an order sent today arrives: it is taken up on the supplier's next
// working day.
func (r receiving) earliest(today rooms.Date) rooms.Date {
	d := today
	if !r.supplier.Days.Works(d) {
		d, _ = r.supplier.Days.Add(d, 1)
	}
	d, _ = r.supplier.Days.Add(d, r.supplier.LeadDays)
	return r.firstFrom(d)
}

// earliestReady is when something that is ordered of a supplier today has come to a
// place and waited there.
func (t *Taken) earliestReady(cat Catalogue, supplier, place string, today rooms.Date, wait int) rooms.Date {
	for i := range cat.Suppliers {
		if s := &cat.Suppliers[i]; s.Key == supplier {
			return t.receivingAt(s, place).earliest(today).AddDays(wait)
		}
	}
	return today.AddDays(wait)
}
