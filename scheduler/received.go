package scheduler

import (
	"slices"
	"time"

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
	return withRooms(in, func(key string, room *rooms.Room) {
		room.Surfaces = slices.Clone(room.Surfaces)
		for f := range room.Surfaces {
			if add := more[key+"/"+room.Surfaces[f].Key]; len(add) > 0 {
				room.Surfaces[f].Readings = append(slices.Clone(room.Surfaces[f].Readings), add...)
			}
		}
	})
}

// withRooms copies jobs down to their rooms and changes each room, "job/room"; what
// lies deeper is shared until it is copied.
func withRooms(in []rooms.Job, change func(key string, room *rooms.Room)) []rooms.Job {
	jobs := slices.Clone(in)
	for j := range jobs {
		jobs[j].Sites = slices.Clone(jobs[j].Sites)
		for s := range jobs[j].Sites {
			site := &jobs[j].Sites[s]
			site.Rooms = slices.Clone(site.Rooms)
			for r := range site.Rooms {
				change(jobs[j].Key+"/"+site.Rooms[r].Key, &site.Rooms[r])
			}
		}
	}
	return jobs
}

// withTemperatures adds what was read in the rooms, by day; of several readings of
// a day the last counts, and all go before what was forecast.
func withTemperatures(in []rooms.Job, records []Record, zone *time.Location) []rooms.Job {
	more := map[string][]rooms.Temperature{}
	for _, r := range records {
		if r.Kind != "temperature" {
			continue
		}
		d := r.Day
		if d.IsZero() {
			d = rooms.DateOf(r.At.In(zone))
		}
		more[r.Room] = append(more[r.Room], rooms.Temperature{From: d, To: d, Celsius: r.Celsius})
	}
	if len(more) == 0 {
		return in
	}
	return withRooms(in, func(key string, room *rooms.Room) {
		if add := more[key]; len(add) > 0 {
			room.Temperatures = append(slices.Clone(room.Temperatures), add...)
		}
	})
}

// received writes deliveries that came in onto the orders they belong to: the day,
// the lot and, where less came than was ordered, the quantity. A line of which
// several lots came becomes a line for each; one of which nothing came with the
// rest comes tomorrow at the earliest.
func received(placed []takeoff.Order, receipts []Receipt, today rooms.Date) []takeoff.Order {
	if len(receipts) == 0 {
		return placed
	}
	of := map[string][]Receipt{}
	for _, r := range receipts {
		of[r.Order] = append(of[r.Order], r)
	}
	out := slices.Clone(placed)
	for i := range out {
		o := &out[i]
		var lines []takeoff.OrderLine
		var missing []int
		for n, l := range o.Lines {
			got, arrived := came(n+1, l, of[o.Key])
			if !arrived && l.Product != "" {
				missing = append(missing, len(lines))
			}
			lines = append(lines, got...)
		}
		if o.Lines = lines; len(of[o.Key]) > 0 {
			MoveDelivery(o, of[o.Key][len(of[o.Key])-1].At)
			for _, n := range missing {
				if l := &o.Lines[n]; !l.Ready.IsZero() && !today.Before(o.Delivery) {
					l.Ready = today.AddDays(1 + daysBetween(o.Delivery, l.Ready))
				}
			}
			o.Total = 0
			for _, l := range o.Lines {
				o.Total += l.Amount
			}
		}
	}
	return out
}

// came is what a line has become: the lots that came of it, in the order in which
// they first came, or the line as it is where nothing did; arrived says which.
func came(n int, line takeoff.OrderLine, receipts []Receipt) (out []takeoff.OrderLine, arrived bool) {
	var lots []takeoff.OrderLine
	got := 0.0
	for _, r := range receipts {
		if r.Line != 0 && r.Line != n || r.Product != line.Product || line.Product == "" || line.Lot != "" && r.Lot != "" && r.Lot != line.Lot || got >= line.Quantity {
			continue
		}
		part := min(r.Packages, line.Quantity-got)
		got += part
		i := slices.IndexFunc(lots, func(l takeoff.OrderLine) bool { return l.Lot == r.Lot || r.Lot == "" })
		if i < 0 {
			l := line
			if l.Lot == "" {
				l.Lot = r.Lot
			}
			l.Quantity = 0
			lots = append(lots, l)
			i = len(lots) - 1
		}
		lots[i].Quantity += part
	}
	if len(lots) == 0 {
		return []takeoff.OrderLine{line}, false
	}
	for i := range lots {
		lots[i].Amount = (takeoff.Money(float64(lots[i].UnitPrice)*lots[i].Quantity+50) / 100) * 100
	}
	return lots, true
}

// MoveDelivery moves an order's delivery to another day, and with it the days on
// which its lines can be used.
func MoveDelivery(o *takeoff.Order, to rooms.Date) {
	if o.Delivery == to || o.Delivery.IsZero() {
		o.Delivery = to
		return
	}
	shift := func(d rooms.Date) rooms.Date {
		if d.IsZero() {
			return d
		}
		return to.AddDays(daysBetween(o.Delivery, d))
	}
	o.Lines = slices.Clone(o.Lines)
	for i := range o.Lines {
		o.Lines[i].Ready = shift(o.Lines[i].Ready)
	}
	o.Ready = shift(o.Ready)
	o.Delivery = to
	if to.Before(o.OrderBy) {
		o.OrderBy = to
	}
}

func daysBetween(a, b rooms.Date) int {
	n := 0
	for a.Before(b) {
		a = a.AddDays(1)
		n++
	}
	return n
}
