package scheduler

import (
	"fmt"
	"slices"

	"potlife/rooms"
	"potlife/takeoff"
)

// kept is what a new plan takes over from the one in force: what started before
// the instant of freezing, and what was reported.
type kept struct {
	activities []*Activity
	byRoom     map[string][]*Activity
	areas      []*Area
	areasOf    map[string][]*Area
	mixes      []Mix
	sheets     []Sheet
	set        map[string]bool // pieces that stay in a carried area
	late       map[string]string
	broken     map[string]int
	stock      []takeoff.StockTile
	locks      map[string]takeoff.Lock
	held       map[string]int
	pieces     map[string]takeoff.Piece // as set
	findings   []takeoff.Finding
}

// keep reads the plan in force and the records.
func (m *maker) keep() *kept {
	k := &kept{byRoom: map[string][]*Activity{}, areasOf: map[string][]*Area{}, set: map[string]bool{}, late: map[string]string{},
		broken: map[string]int{}, held: map[string]int{}, pieces: map[string]takeoff.Piece{}, locks: map[string]takeoff.Lock{}}
	for _, r := range m.in.Records {
		if r.Kind == "pieces broken" {
			for _, p := range r.Pieces {
				k.broken[p]++
			}
		}
	}
	p := m.in.Prior
	if p == nil {
		return k
	}
	frozen := m.clock.DayStart(m.in.Today)
	if !m.in.Frozen.IsZero() {
		frozen = m.clock.Minute(m.in.Frozen)
	}
	k.carryActivities(m, p, frozen)
	k.carryAreas(m, p)
	k.carrySheets(m, p, frozen)
	k.lock(m, p)
	return k
}

// carryActivities keeps what starts before frozen or is reported done. Holds
// are worked out anew, since their end is what others say today.
func (k *kept) carryActivities(m *maker, p *Plan, frozen int) {
	done := map[string]bool{}
	areaActivity := map[string]string{}
	for _, a := range p.Areas {
		areaActivity[a.ID] = a.Activity
	}
	for _, r := range m.in.Records {
		switch r.Kind {
		case "area done":
			done[areaActivity[r.Area]] = true
		case "activity done":
			done[r.Activity] = true
		}
	}
	exists := map[string]bool{}
	for _, j := range m.jobs {
		for _, s := range j.Sites {
			for _, r := range s.Rooms {
				exists[j.Key+"/"+r.Key] = true
			}
		}
	}
	today := m.clock.DayStart(m.in.Today)
	stopped := k.stopped(m, p)
	for _, a := range p.Activities {
		if at, ok := stopped[a.Room]; ok && a.Start > at && !done[a.ID] && a.State != "done" {
			continue
		}
		if a.Kind == kindHold || !exists[a.Room] || a.Start >= frozen && !done[a.ID] && a.State != "done" {
			continue
		}
		c := a
		switch {
		case done[a.ID] || a.State == "done":
			c.State = "done"
		case a.Finish <= today:
			c.State = "done, unconfirmed"
		default:
			c.State = "issued"
		}
		k.activities = append(k.activities, &c)
		k.byRoom[a.Room] = append(k.byRoom[a.Room], &c)
	}
}

// stopped are the rooms in which a reported area was not finished, with its
// start: what was planned there after it and is not reported did not happen.
func (k *kept) stopped(m *maker, p *Plan) map[string]int {
	out := map[string]int{}
	for _, a := range p.Areas {
		ended := false
		for _, r := range m.in.Records {
			if r.Kind == "area done" && r.Area == a.ID {
				ended = len(r.Pieces) > 0 && len(a.Pieces) > 0 && !slices.Contains(r.Pieces, a.Pieces[len(a.Pieces)-1])
			}
		}
		room := roomOfSurface(a.Surfaces[0])
		if at, ok := out[room]; ended && (!ok || a.Start < at) {
			out[room] = a.Start
		}
	}
	return out
}

// carryAreas keeps the areas of carried activities, less the pieces that were
// not set or broke after setting began: those are set later.
func (k *kept) carryAreas(m *maker, p *Plan) {
	carried := map[string]bool{}
	for _, a := range k.activities {
		carried[a.ID] = true
	}
	for _, a := range p.Areas {
		if !carried[a.Activity] {
			continue
		}
		c := a
		out := k.unset(m, &c)
		c.Pieces = without(c.Pieces, out)
		c.Patches = slices.Clone(c.Patches)
		for i := range c.Patches {
			c.Patches[i].Pieces = without(c.Patches[i].Pieces, out)
		}
		for _, id := range c.Pieces {
			k.set[id] = true
		}
		k.areas = append(k.areas, &c)
		k.areasOf[a.Activity] = append(k.areasOf[a.Activity], &c)
		k.goOn(p, &a, out, carried)
	}
	for _, x := range p.Mixes {
		if carried[x.Activity] {
			k.mixes = append(k.mixes, x)
		}
	}
}

// unset are the pieces of a carried area that have to be set again or still,
// with the reason each carries from now on.
func (k *kept) unset(m *maker, a *Area) map[string]bool {
	out := map[string]bool{}
	start := m.clock.At(a.Start)
	for _, r := range m.in.Records {
		day := rooms.DateOf(r.At.In(m.clock.Zone))
		switch {
		case r.Kind == "area done" && r.Area == a.ID:
			clear(out)
			if len(r.Pieces) == 0 {
				continue
			}
			for _, id := range a.Pieces {
				if !slices.Contains(r.Pieces, id) {
					out[id] = true
					k.late[id] = fmt.Sprintf("not set on %s, the field went on", day)
				}
			}
		case r.Kind == "pieces broken" && !r.At.Before(start):
			for _, id := range r.Pieces {
				if slices.Contains(a.Pieces, id) {
					out[id] = true
					k.late[id] = fmt.Sprintf("broken on %s, cut again", day)
				}
			}
		}
	}
	for _, id := range a.Pieces {
		if !out[id] {
			delete(k.late, id)
		}
	}
	return out
}

// goOn lets what is left at the end of an area's order go on as usual, unless
// work above it was done since: then it keeps its reason and comes late.
func (k *kept) goOn(p *Plan, a *Area, out map[string]bool, carried map[string]bool) {
	above := func(surface string) bool {
		return slices.ContainsFunc(p.Areas, func(b Area) bool {
			return carried[b.Activity] && b.Start > a.Start && slices.Contains(b.Surfaces, surface)
		})
	}
	for i := len(a.Pieces) - 1; i >= 0 && out[a.Pieces[i]]; i-- {
		id := a.Pieces[i]
		if k.broken[id] == 0 && !slices.ContainsFunc(a.Surfaces, above) {
			delete(k.late, id)
		}
	}
}

func without(in []string, out map[string]bool) []string {
	kept := make([]string, 0, len(in))
	for _, id := range in {
		if !out[id] {
			kept = append(kept, id)
		}
	}
	return kept
}

// carrySheets keeps the sheets of frozen days.
func (k *kept) carrySheets(m *maker, p *Plan, frozen int) {
	for _, s := range p.Sheets {
		if s.Revision > 0 || m.clock.DayStart(s.Date) < frozen {
			k.sheets = append(k.sheets, s)
		}
	}
}

// lock fixes the origins of zones of which anything is issued, the stock tiles
// that are cut or laid, and the pieces as they were set.
func (k *kept) lock(m *maker, p *Plan) {
	cut := map[string]bool{}
	for id := range k.set {
		cut[id] = true
	}
	for _, s := range k.sheets {
		for _, g := range s.Cuts {
			for _, id := range g.Pieces {
				cut[id] = true
			}
		}
	}
	for _, l := range p.Layouts {
		for _, z := range l.Zones {
			for _, q := range z.Pieces {
				if cut[q.ID] {
					k.locks[l.Surface+"/"+z.Zone.Key] = takeoff.Lock{Origin: z.Origin}
				}
				if k.set[q.ID] {
					k.pieces[q.ID] = q
				}
			}
		}
		if h, ok := p.Holds[l.Surface]; ok && k.touched(l.Surface) {
			k.held[l.Surface] = h
		}
	}
	for _, t := range p.Stock {
		if slices.ContainsFunc(t.Pieces, func(q takeoff.StockPiece) bool { return cut[q.Piece] }) || t.Broken {
			k.stock = append(k.stock, t)
		}
	}
}

func (k *kept) touched(surface string) bool {
	return slices.ContainsFunc(k.areas, func(a *Area) bool { return slices.Contains(a.Surfaces, surface) })
}

// restore puts pieces that are set back as they were, and gives those left over
// their reason.
func (k *kept) restore(l *takeoff.Layout) {
	for zi := range l.Zones {
		z := &l.Zones[zi]
		for i := range z.Pieces {
			q := &z.Pieces[i]
			if was, ok := k.pieces[q.ID]; ok {
				*q = was
			}
			if why, ok := k.late[q.ID]; ok && !k.set[q.ID] {
				q.Late = why
			}
		}
	}
}

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

// reconcile drops from carried areas what no layout has any more: the job was
// changed under work that is done.
func (k *kept) reconcile(layouts []takeoff.Layout) {
	have := map[string]bool{}
	for i := range layouts {
		for _, z := range layouts[i].Zones {
			for _, q := range z.Pieces {
				have[q.ID] = true
			}
		}
	}
	for _, a := range k.areas {
		gone := map[string]bool{}
		for _, id := range a.Pieces {
			if !have[id] {
				gone[id] = true
				delete(k.set, id)
			}
		}
		if len(gone) == 0 {
			continue
		}
		a.Pieces = without(a.Pieces, gone)
		a.Patches = slices.Clone(a.Patches)
		for i := range a.Patches {
			a.Patches[i].Pieces = without(a.Patches[i].Pieces, gone)
		}
		k.findings = append(k.findings, takeoff.Finding{Rule: "changed after setting", Severity: takeoff.Warn, Where: a.ID,
			Message: fmt.Sprintf("%d pieces that were set here are no longer in the layout", len(gone)), Value: float64(len(gone)), Source: "the job as changed"})
	}
}
