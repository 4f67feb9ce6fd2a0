package scheduler

import (
	"slices"

	"potlife/rooms"
	"potlife/takeoff"
)

// withReadings copies jobs with the readings that were reported.
func withReadings(in []rooms.Job, records []Record) []rooms.Job {
	more := map[string][]rooms.Reading{}
	for _, r := range records {
		if r.Kind == "reading" {
			more[r.Surface] = append(more[r.Surface], r.Reading)
		}
	}
	if len(more) == 0 {
		return in
	}
	jobs := slices.Clone(in)
	for j := range jobs {
		jobs[j].Sites = slices.Clone(jobs[j].Sites)
		for s := range jobs[j].Sites {
			site := &jobs[j].Sites[s]
			site.Rooms = slices.Clone(site.Rooms)
			for r := range site.Rooms {
				room := &site.Rooms[r]
				room.Surfaces = slices.Clone(room.Surfaces)
				for f := range room.Surfaces {
					key := jobs[j].Key + "/" + room.Key + "/" + room.Surfaces[f].Key
					if add := more[key]; len(add) > 0 {
						room.Surfaces[f].Readings = append(slices.Clone(room.Surfaces[f].Readings), add...)
					}
				}
			}
		}
	}
	return jobs
}

// received writes deliveries that came in onto the orders they belong to: the
// day, the lot and, where less came than was ordered, the quantity.
func received(placed []takeoff.Order, receipts []Receipt) []takeoff.Order {
	if len(receipts) == 0 {
		return placed
	}
	out := slices.Clone(placed)
	for i := range out {
		o := &out[i]
		o.Lines = slices.Clone(o.Lines)
		came := false
		for l := range o.Lines {
			line := &o.Lines[l]
			got := 0.0
			for _, r := range receipts {
				if r.Order != o.Key || r.Product != line.Product || line.Lot != "" && r.Lot != "" && r.Lot != line.Lot {
					continue
				}
				came = true
				got += r.Packages
				if line.Lot == "" {
					line.Lot = r.Lot
				}
				if o.Delivery != r.At {
					shift := o.Ready
					if !o.Ready.IsZero() && !o.Delivery.IsZero() {
						shift = r.At.AddDays(daysBetween(o.Delivery, o.Ready))
					}
					o.Delivery, o.Ready = r.At, shift
					if r.At.Before(o.OrderBy) {
						o.OrderBy = r.At
					}
				}
			}
			if got > 0 && got < line.Quantity {
				line.Quantity = got
				line.Amount = takeoff.Money(float64(line.UnitPrice)*got + 0.5)
			}
		}
		if came {
			o.Total = 0
			for _, l := range o.Lines {
				o.Total += l.Amount
			}
		}
	}
	return out
}

func daysBetween(a, b rooms.Date) int {
	n := 0
	for a.Before(b) {
		a = a.AddDays(1)
		n++
	}
	return n
}
