package scheduler

import (
	"potlife/rooms"
	"potlife/takeoff"
)

// orders: what is still to be ordered comes on a day on which its supplier delivers and
// somebody takes it in, where there is such a day in the weeks before. What is placed
// comes when it was agreed.
func (c *checker) orders() {
	for _, o := range c.plan.Orders[min(len(c.plan.Orders), c.plan.Placed):] {
		for _, s := range c.plan.Firm.Catalogue.Suppliers {
			if s.Key != o.Supplier || c.takesIn(&s, &o, o.Delivery) {
				continue
			}
			for n := 1; n < 60; n++ {
				if c.takesIn(&s, &o, o.Delivery.AddDays(-n)) {
					c.breach("order %s is delivered on %s, when nobody is there to take it in", o.Key, o.Delivery)
					break
				}
			}
		}
	}
}

// takesIn reports whether a supplier delivers on a day and somebody is there: of the firm
// on its working days, on a site whoever is named there, while the site is open.
func (c *checker) takesIn(s *takeoff.Supplier, o *takeoff.Order, d rooms.Date) bool {
	if !s.Days.Works(d) || s.Unattended {
		return s.Unattended && s.Days.Works(d)
	}
	firm := !c.plan.Firm.Days.Any() || c.plan.Firm.Days.Works(d)
	for _, j := range c.plan.Jobs {
		for _, site := range j.Sites {
			if j.Key+"/"+site.Key == o.Place {
				return (firm || site.Contact != "") && c.siteOpen(&site, d)
			}
		}
	}
	return firm
}

// siteOpen reports whether work is allowed on a site at some time of a day.
func (c *checker) siteOpen(s *rooms.Site, d rooms.Date) bool {
	for _, off := range s.Closed {
		if off == d {
			return false
		}
	}
	for _, h := range s.Hours {
		if h.Weekday == int(d.Weekday()) {
			return true
		}
	}
	return len(s.Hours) == 0
}
