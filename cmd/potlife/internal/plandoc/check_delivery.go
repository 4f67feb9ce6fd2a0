package plandoc

import (
	"slices"
	"time"
)

// checkDeliveries holds what is still to be ordered to group 9: it comes on a day on
// which its supplier delivers and somebody takes it in, where there is such a day in the
// weeks before, and no sooner than the supplier's lead time allows. Documents written
// before they said these days are not held to them.
func (c *checker) checkDeliveries() {
	suppliers := make(map[string]*Supplier, len(c.doc.Suppliers))
	for i := range c.doc.Suppliers {
		suppliers[c.doc.Suppliers[i].Key] = &c.doc.Suppliers[i]
	}
	for i := range c.doc.Orders {
		o := &c.doc.Orders[i]
		s := suppliers[o.Supplier]
		if o.Placed || s == nil || s.Days == nil || len(s.Days.Week)+len(s.Days.On) == 0 {
			continue
		}
		at, err := time.Parse(time.DateOnly, o.Delivery)
		if err != nil {
			c.breach("9 order", "%s: %q is no date of delivery", o.Key, o.Delivery)
			continue
		}
		c.checkDeliveryDay(o, s, at)
		c.checkLead(o, s, at)
	}
}

// lookBack is how many days before a delivery are looked at for a better one.
const lookBack = 60

func (c *checker) checkDeliveryDay(o *Order, s *Supplier, at time.Time) {
	if c.takesIn(o, s, at) {
		return
	}
	for n := 1; n < lookBack; n++ {
		if d := at.AddDate(0, 0, -n); c.takesIn(o, s, d) {
			c.breach("9 order", "%s: delivered on %s, when %s does not deliver or nobody is there to take it in; %s would do", o.Key, o.Delivery, s.Key, d.Format(time.DateOnly))
			return
		}
	}
}

// takesIn reports whether a supplier delivers on a day and somebody is there: of the firm
// on its days, on a site whoever takes goods in there, while the site is open.
func (c *checker) takesIn(o *Order, s *Supplier, d time.Time) bool {
	if !s.Days.works(d) || s.Unattended {
		return s.Unattended && s.Days.works(d)
	}
	firm := c.doc.Days == nil || c.doc.Days.works(d)
	if o.Place != nil {
		if site := c.sites[*o.Place]; site != nil {
			return (firm || site.Attended) && (site.Days == nil || site.Days.works(d))
		}
	}
	return firm
}

// checkLead counts the supplier's days from the order to the delivery.
func (c *checker) checkLead(o *Order, s *Supplier, at time.Time) {
	sent, err := time.Parse(time.DateOnly, o.OrderBy)
	if o.Late {
		sent, err = time.Parse(time.DateOnly, c.doc.Today)
	}
	if err != nil {
		return
	}
	for n := 0; o.Late && n < lookBack && !s.Days.works(sent); n++ {
		sent = sent.AddDate(0, 0, 1)
	}
	n := 0
	for d := sent.AddDate(0, 0, 1); !d.After(at) && n < s.LeadDays; d = d.AddDate(0, 0, 1) {
		if s.Days.works(d) {
			n++
		}
	}
	if n < s.LeadDays {
		c.breach("9 order", "%s: %d working days of %s from %s to %s, its lead time is %d", o.Key, n, s.Key, sent.Format(time.DateOnly), o.Delivery, s.LeadDays)
	}
}

func (d *Days) works(at time.Time) bool {
	date := at.Format(time.DateOnly)
	switch {
	case slices.Contains(d.Off, date):
		return false
	case slices.Contains(d.On, date):
		return true
	}
	return slices.Contains(d.Week, (int(at.Weekday())+6)%7+1)
}
