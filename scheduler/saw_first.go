package scheduler

import (
	"slices"

	"potlife/rooms"
)

// sawFirst holds an area until what is sawn wet of it is dry when its patch is spread:
// what stands on a sheet that is out, from the end of that day's work on; the rest
// from the first day on which tile and crew are there, in the hours in which the site
// lets the saw run. On later days it is sawn the day before.
func (b *builder) sawFirst(t *task, a *areaPlan) {
	if len(a.patches) == 0 {
		return
	}
	fresh := b.freshlySawn(t, a)
	came := t.release
	for _, p := range a.patches {
		for _, it := range p.items {
			if it.ahead == 0 || !sawn(it.piece) {
				continue
			}
			at, out := b.r.sawn[it.piece.ID]
			switch {
			case out && b.r.broken[it.piece.ID] == 0:
			case b.cutsApart(): // it waits for the activity that cuts
				continue
			default:
				at = fresh
			}
			dry := b.dryMinutes(it.piece.Tile, a.bed.mortar)
			if from := at + dry - p.start; dry > 0 && from > t.release {
				t.release, t.why, t.came = from, sawnWhy, came
			}
		}
	}
}

// sawnWhy is why an area waits for the wet saw.
const sawnWhy = "pieces are sawn wet and dry before their mortar is spread"

// freshlySawn is when the pieces of an area that are sawn wet and stand on no sheet yet
// are cut at the earliest.
func (b *builder) freshlySawn(t *task, a *areaPlan) int {
	minutes, at := 0.0, b.opens(b.crew.Key)
	for _, it := range a.items {
		if _, out := b.r.sawn[it.piece.ID]; it.ahead > 0 && sawn(it.piece) && (!out || b.r.broken[it.piece.ID] > 0) {
			minutes += it.ahead
			at = max(at, t.release)
		}
	}
	if list := from(b.works.common[[2]string{b.crew.Key, b.r.site}], at); len(list) > 0 {
		at = max(at, list[0].Start)
	}
	if minutes == 0 {
		return at
	}
	if day := b.clock.Day(at); b.sawUntil > at && b.clock.Day(b.sawUntil) == day { // the areas before it are cut first
		at = b.sawUntil
	}
	b.sawUntil = b.sawnBy(b.r.site, at, ceilMinutes(minutes))
	return b.sawUntil
}

// sawnOut notes of the pieces that sheets which are out list for the wet saw when they
// are cut at the latest: at the end of the crew's work on their day.
func (k *kept) sawnOut(m *maker, p *Plan) {
	k.sawn = map[string]int{}
	for _, s := range k.sheets {
		day := Common(p.Hours[s.Crew], []Interval{{m.clock.DayStart(s.Date), m.clock.DayStart(s.Date.AddDays(1))}})
		if len(day) == 0 {
			continue
		}
		for _, g := range s.Cuts {
			if !runsWet(g.Tool) {
				continue
			}
			for _, id := range g.Pieces {
				k.sawn[id] = max(k.sawn[id], day[len(day)-1].End)
			}
		}
	}
}

// dayToSaw is the day on which a piece of an area is listed: that before it, or where
// it is sawn wet and would not be dry from then on, the last earlier one that leaves
// it the time from the end of the crew's hours on, else the last one that does from
// their beginning on.
func (s *sheeter) dayToSaw(a *Area, p *indexedPiece, before sheetDay) sheetDay {
	if !sawn(p.Piece) {
		return before
	}
	dry := s.works.dryMinutes(p.Tile, a.Mortar)
	early, found := before, false
	days := s.ofCrew[a.Crew]
	last, _ := slices.BinarySearchFunc(days, before.date, rooms.Date.Compare)
	for _, day := range slices.Backward(days[:last+1]) {
		d := sheetDay{day, a.Crew}
		if s.days[d].Revision > 0 || s.clock.DayStart(day) < s.works.shut(a.Crew) || !s.thereBy(p, day) {
			break
		}
		hours := Common(s.works.hours[a.Crew], []Interval{{s.clock.DayStart(day), s.clock.DayStart(day.AddDays(1))}})
		n := len(hours)
		if n > 0 && hours[n-1].End+dry <= a.Start {
			return d
		}
		if n > 0 && !found {
			early, found = d, hours[0].Start+dry <= spreadOf(a, p.ID)
		}
	}
	return early
}

// spreadOf is when the mortar of a piece is spread.
func spreadOf(a *Area, id string) int {
	for _, t := range a.Patches {
		if slices.Contains(t.Pieces, id) {
			return t.Start
		}
	}
	return a.Start
}
