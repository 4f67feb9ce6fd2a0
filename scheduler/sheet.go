package scheduler

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"potlife/rooms"
	"potlife/takeoff"
)

// sheetDay is a crew's working day.
type sheetDay struct {
	date rooms.Date
	crew string
}

// sheeter writes the day sheets of a plan.
type sheeter struct {
	*maker
	plan    *Plan
	days    map[sheetDay]*Sheet
	order   []sheetDay
	ofCrew  map[string][]rooms.Date // days with work, ascending
	pieces  pieceIndex
	byID    map[string]*Activity
	areas   []sheetArea // as in the plan
	areaOf  map[string]*sheetArea
	inRoom  map[string][]*sheetArea    // by room, in order of time
	opened  map[string]float64         // units opened so far, by site, product and lot
	ordered map[takeoff.Use]rooms.Date // when the last of a tile that is ordered for a room can be used
	taken   []bool                     // stock tiles that a sheet so far takes out of their box
	idle    map[sheetDay]*idleTime     // of crews without a helper, what is left for cuts
	asked   [2]string                  // tile and surface that thereBy was asked for last
	there   rooms.Date                 // and when that is there
}

// sheetArea is an area with its pieces, looked up once.
type sheetArea struct {
	*Area
	pieces []*indexedPiece
	toRead []reading // once known is set
	known  bool
}

// sheets writes the sheets of a plan, whose pieces and those of each area are given.
func (m *maker) sheets(p *Plan, pieces pieceIndex, set [][]*indexedPiece) []Sheet {
	s := &sheeter{maker: m, plan: p, days: map[sheetDay]*Sheet{}, ofCrew: map[string][]rooms.Date{}, pieces: pieces,
		byID: make(map[string]*Activity, len(p.Activities)), opened: map[string]float64{}, idle: map[sheetDay]*idleTime{}, taken: make([]bool, len(p.Stock))}
	s.index(set)
	s.work()
	s.cuts()
	s.waits()
	s.drying()
	out := make([]Sheet, 0, len(s.order))
	for _, d := range s.order {
		sh := s.days[d]
		s.fill(sh)
		out = append(out, *sh)
	}
	return out
}

func (s *sheeter) index(set [][]*indexedPiece) {
	s.ordered = map[takeoff.Use]rooms.Date{}
	for i := range s.plan.Orders {
		o := &s.plan.Orders[i]
		for k := range o.Lines {
			l := &o.Lines[k]
			for _, room := range l.Rooms {
				use := takeoff.Use{Product: l.Product, Room: room}
				s.ordered[use] = later(s.ordered[use], o.ReadyOf(l))
			}
		}
	}
	for i := range s.plan.Stock {
		for _, q := range s.plan.Stock[i].Pieces {
			if at := s.pieces[q.Piece]; at != nil {
				at.stock = i
			}
		}
	}
	for i := range s.plan.Activities {
		a := &s.plan.Activities[i]
		s.byID[a.ID] = a
	}
	s.indexAreas(set)
}

func (s *sheeter) indexAreas(set [][]*indexedPiece) {
	n := len(s.plan.Areas)
	s.areas, s.areaOf, s.inRoom = make([]sheetArea, n), make(map[string]*sheetArea, n), map[string][]*sheetArea{}
	for i := range s.areas {
		a := &s.areas[i]
		a.Area, a.pieces = &s.plan.Areas[i], set[i]
		s.areaOf[a.ID] = a
		room := roomOfSurface(a.Surfaces[0])
		s.inRoom[room] = append(s.inRoom[room], a)
		site := s.byID[a.Activity].Site
		for _, p := range a.pieces {
			p.site = site
		}
	}
}

// work opens a sheet for each day on which a crew works and lists what it does.
// A sheet that is issued keeps its revision.
func (s *sheeter) work() {
	revision := map[sheetDay]int{}
	for _, k := range s.kept.sheets {
		revision[sheetDay{k.Date, k.Crew}] = k.Revision
	}
	on := func(crew string, minute int) *Sheet {
		d := sheetDay{s.clock.Day(minute), crew}
		if s.days[d] == nil {
			s.days[d] = &Sheet{Date: d.date, Crew: crew, Revision: revision[d]}
			s.order = append(s.order, d)
			s.ofCrew[crew] = append(s.ofCrew[crew], d.date)
		}
		return s.days[d]
	}
	for _, k := range s.kept.sheets { // whoever holds the sheet of a day that lost its work is to be told
		if !k.Date.Before(s.in.Today) {
			on(k.Crew, s.clock.DayStart(k.Date))
		}
	}
	for i := range s.plan.Activities {
		if a := &s.plan.Activities[i]; a.Crew != "" {
			sh := on(a.Crew, a.Start)
			sh.Activities = append(sh.Activities, a.ID)
		}
	}
	for i := range s.areas {
		a := &s.areas[i]
		sh := on(a.Crew, a.Start)
		sh.Areas = append(sh.Areas, a.ID)
		for _, p := range a.pieces {
			if p.OnSite {
				sh.OnSite = append(sh.OnSite, p.ID)
			}
		}
	}
	slices.SortFunc(s.order, func(a, b sheetDay) int { return cmp.Or(a.date.Compare(b.date), cmp.Compare(a.crew, b.crew)) })
	for _, days := range s.ofCrew {
		slices.SortFunc(days, rooms.Date.Compare)
	}
}

// cutKey is what distinguishes one cut of a piece from another.
type cutKey struct {
	piece, tile, tool string
	sized             bool
	size              rooms.Length
	shape             string
}

func keyOf(p *takeoff.Piece, c takeoff.Cut) cutKey {
	k := cutKey{p.ID, p.Tile, c.Tool, c.Sized, c.Size, c.Shape}
	if c.Sized {
		k.shape = ""
	} else {
		k.size = 0
	}
	return k
}

// cuts lists each cut of each piece not measured on site once: where an issued
// sheet has it already, else on the crew's working day before its area when
// that is close enough, not issued and leaves whoever cuts the time, else on the
// area's own day. What is sawn wet goes to the day before however far that is: it
// dries till it is set.
func (s *sheeter) cuts() {
	groups := map[sheetDay]map[cutKey]*CutGroup{}
	left, cutOn := s.listed(groups), s.cutOn()
	for i := range s.areas {
		a := &s.areas[i]
		own := sheetDay{s.clock.Day(a.Start), a.Crew}
		before, open, near := s.dayBefore(own)
		list, site := a.pieces, s.byID[a.Activity].Site
		var idle *idleTime
		if open {
			if idle = s.idleOf(before); idle != nil {
				list = sawnFirst(list)
			}
		}
		for _, p := range list {
			if p.OnSite {
				continue
			}
			d := own
			if day, apart := cutOn[p.ID]; apart {
				d = day
			} else if open && (near || sawn(p.Piece)) && s.kept.broken[p.ID] == 0 && s.thereBy(p, before.date) &&
				(allListed(left, p) || idle.holds(s, p, site)) {
				d = s.dayToSaw(a.Area, p, before)
			}
			for _, c := range p.Cuts {
				k := keyOf(p.Piece, c)
				if len(left) > 0 && left[k] > 0 {
					left[k]--
					continue
				}
				s.list(groups, d, k, p, d != own)
			}
		}
	}
	for d, g := range groups {
		s.days[d].Cuts = sortedGroups(g)
	}
}

// allListed reports whether all cuts of a piece stand on sheets that are issued.
func allListed(left map[cutKey]int, p *indexedPiece) bool {
	return len(left) > 0 && !slices.ContainsFunc(p.Cuts, func(c takeoff.Cut) bool { return left[keyOf(p.Piece, c)] == 0 })
}

// thereBy reports whether the tile of a piece is in the yard, opened and
// acclimatised, on a day: nothing is cut ahead from tile that has not come.
func (s *sheeter) thereBy(p *indexedPiece, day rooms.Date) bool {
	if k := [2]string{p.Tile, p.surface}; k != s.asked { // neighbours as a rule are alike
		use := takeoff.Use{Product: p.Tile, Room: roomOfSurface(p.surface)}
		s.asked, s.there = k, later(s.works.releases[use], s.ordered[use])
	}
	return s.there.IsZero() || !day.Before(s.there)
}

func (s *sheeter) list(groups map[sheetDay]map[cutKey]*CutGroup, d sheetDay, k cutKey, piece *indexedPiece, ahead bool) {
	if groups[d] == nil {
		groups[d] = map[cutKey]*CutGroup{}
	}
	gk := k
	gk.piece = ""
	if ahead {
		gk.piece = "ahead"
	}
	g := groups[d][gk]
	if g == nil {
		g = &CutGroup{Tile: k.tile, Tool: k.tool, Sized: k.sized, Size: k.size, Shape: k.shape, Ahead: ahead}
		groups[d][gk] = g
	}
	from := ""
	if piece.stock >= 0 {
		from = s.plan.Stock[piece.stock].ID
	}
	g.Pieces, g.From = append(g.Pieces, piece.ID), append(g.From, from)
}

// listed keeps the cuts of sheets that are issued, as far as their pieces still
// have them and did not break, and returns how often each stands there.
func (s *sheeter) listed(groups map[sheetDay]map[cutKey]*CutGroup) map[cutKey]int {
	left := map[cutKey]int{}
	for _, sh := range s.kept.sheets {
		d := sheetDay{sh.Date, sh.Crew}
		if s.days[d] == nil {
			continue
		}
		for _, g := range sh.Cuts {
			for _, id := range g.Pieces {
				p := s.pieces[id]
				if p == nil || p.OnSite || s.kept.broken[id] > 0 && !s.kept.set[id] {
					continue
				}
				for _, c := range p.Cuts {
					k := keyOf(p.Piece, c)
					if k == (cutKey{id, g.Tile, g.Tool, g.Sized, k.size, k.shape}) && (!g.Sized || g.Size == c.Size) && (g.Sized || g.Shape == c.Shape) && left[k] < countCut(p.Piece, k) {
						left[k]++
						s.list(groups, d, k, p, g.Ahead)
						break
					}
				}
			}
		}
	}
	return left
}

func countCut(p *takeoff.Piece, k cutKey) int {
	n := 0
	for _, c := range p.Cuts {
		if keyOf(p, c) == k {
			n++
		}
	}
	return n
}

// dayBefore is the crew's working day before d, whether its cut list may still
// carry cuts of d, being open as long as it is not issued, and whether it is near:
// within the limit of days.
func (s *sheeter) dayBefore(d sheetDay) (prev sheetDay, open, near bool) {
	days := s.ofCrew[d.crew]
	i := slices.Index(days, d.date)
	if i < 1 {
		return d, false, false
	}
	prev = sheetDay{days[i-1], d.crew}
	if s.days[prev].Revision > 0 || s.clock.DayStart(prev.date) < s.works.shut(d.crew) {
		return d, false, false
	}
	n := 0
	for x := prev.date; x.Before(d.date); x = x.AddDays(1) {
		if len(Common(s.works.hours[d.crew], []Interval{{s.clock.DayStart(x), s.clock.DayStart(x.AddDays(1))}})) > 0 {
			n++
		}
	}
	return prev, true, n <= s.limits.AheadDays
}

var toolRank = map[string]int{takeoff.Snap: 0, takeoff.WetSaw: 1, takeoff.Grinder: 2, takeoff.HoleSaw: 3}

func sortedGroups(g map[cutKey]*CutGroup) []CutGroup {
	out := make([]CutGroup, 0, len(g))
	for _, v := range g {
		out = append(out, *v)
	}
	slices.SortFunc(out, func(a, b CutGroup) int {
		return cmp.Or(cmpBool(a.Ahead, b.Ahead), cmp.Compare(toolRank[a.Tool], toolRank[b.Tool]), cmp.Compare(a.Tool, b.Tool), cmp.Compare(a.Tile, b.Tile),
			cmpBool(b.Sized, a.Sized), cmp.Compare(b.Size, a.Size), cmp.Compare(a.Shape, b.Shape))
	})
	return out
}

func cmpBool(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}

// fill adds to a sheet what follows from its work.
func (s *sheeter) fill(sh *Sheet) {
	s.carry(sh)
	s.readings(sh)
	sh.Cautions = s.cautions(sh)
	sh.Saving = s.saving(sh)
}

// carry lists what to bring: of each site's tiles, bags and other packages the
// ones that today's cuts and work open.
func (s *sheeter) carry(sh *Sheet) {
	type line struct{ site, product, lot string }
	var lines []line // few
	var need []float64
	add := func(k line, n float64) {
		i := slices.Index(lines, k)
		if i < 0 {
			i, lines, need = len(lines), append(lines, k), append(need, 0)
		}
		need[i] += n
	}
	for _, id := range sh.Activities {
		a := s.byID[id]
		for _, u := range a.Products {
			if _, tile := s.tiles[u.Product]; !tile {
				add(line{a.Site, u.Product, ""}, u.Quantity)
			}
		}
	}
	take := func(p *indexedPiece) {
		if p == nil || p.stock < 0 || s.taken[p.stock] {
			return
		}
		s.taken[p.stock] = true
		t := &s.plan.Stock[p.stock]
		if t.InHand() {
			return
		}
		add(line{p.site, takeoff.GoodsKey(t.Tile), t.Lot}, 1)
	}
	for _, id := range sh.Areas {
		for _, p := range s.areaOf[id].pieces {
			take(p)
		}
	}
	for _, g := range sh.Cuts { // of later days, or of what is measured and cut today
		for _, id := range g.Pieces {
			take(s.pieces[id])
		}
	}
	for i, k := range lines {
		if c, ok := s.packages(k.site, k.product, k.lot, need[i]); ok {
			sh.Carry = append(sh.Carry, c)
		}
	}
}

// packages turns an amount into the packages that are opened for it, what is
// left of those opened before on that site taken off, whichever crew opened
// them; ok is false where an open one serves.
func (s *sheeter) packages(site, product, lot string, amount float64) (Carry, bool) {
	size, unit, kg := 1.0, "", 0.0
	if t, ok := s.tiles[product]; ok {
		size, unit, kg = float64(max(1, t.PerBox)), "box", t.BoxKg
	} else {
		p := s.products[product]
		size, unit = p.PackageSize, p.Package
		if size <= 0 {
			size = 1
		}
		if unit == "" {
			unit = "package"
		}
		if p.Unit == "kg" || p.Unit == "l" {
			kg = size // a litre of what sets tile weighs a kilogram or a little more
		}
	}
	k := site + "|" + product + "|" + lot
	was := math.Ceil(s.opened[k]/size - 1e-6)
	s.opened[k] += amount
	n := math.Ceil(s.opened[k]/size-1e-6) - was
	return Carry{Product: product, Lot: lot, Quantity: n, Unit: unit, Kg: math.Round(n*kg*100) / 100}, n > 0
}

// waits puts the cures and holds that end on a day with a sheet of the crew on
// that sheet, once with all that they let go on: of each activity the wait that
// ends last.
func (s *sheeter) waits() {
	type end struct {
		sheet *Sheet
		wait  Wait // Why without what follows
	}
	var ends []end
	follow := map[end][]*Activity{}
	for i := range s.plan.Activities {
		a := &s.plan.Activities[i]
		until, why := 0, ""
		for _, l := range a.After {
			b := s.byID[l.Activity]
			if b == nil || l.Least-shiftOfWait(b.Finish, b.Ended, b.Kind, a.Kind) < 60 && b.Kind != kindHold {
				continue
			}
			if v := b.Finish + l.Least; v > until {
				until, why = v, l.Why
			}
		}
		sh := s.days[sheetDay{s.clock.Day(until), a.Crew}]
		if until == 0 || sh == nil {
			continue
		}
		e := end{sh, Wait{a.Room, until, why}}
		if follow[e] == nil {
			ends = append(ends, e)
		}
		follow[e] = append(follow[e], a)
	}
	for _, e := range ends {
		e.wait.Why += ": then " + s.thenWords(follow[e])
		e.sheet.Waits = append(e.sheet.Waits, e.wait)
	}
}

func sortWaits(list []Wait) {
	slices.SortStableFunc(list, func(a, b Wait) int { return cmp.Or(cmp.Compare(a.Until, b.Until), cmp.Compare(a.Room, b.Room)) })
}

// thenWords names what goes on after a wait. The setting areas of a room are
// counted, with the surfaces they lie on.
func (s *sheeter) thenWords(list []*Activity) string {
	var titles, surfaces []string
	areas := 0
	for _, a := range list {
		if a.Kind != kindSet {
			titles = append(titles, a.Title)
			continue
		}
		areas++
		for _, k := range a.Surfaces {
			if name := s.surfaceIn(k, a.Room); !slices.Contains(surfaces, name) {
				surfaces = append(surfaces, name)
			}
		}
	}
	if areas == 1 || areas > 0 && len(surfaces) == 0 {
		i := slices.IndexFunc(list, func(a *Activity) bool { return a.Kind == kindSet })
		titles = append(titles, list[i].Title)
	} else if areas > 1 {
		mark := ", "
		if strings.Contains(strings.Join(surfaces, ""), ",") {
			mark = "; "
		}
		titles = append(titles, fmt.Sprintf("set %s (%s)", several(areas, "area"), strings.Join(surfaces, mark)))
	}
	return strings.Join(titles, "; ")
}

// readings lists the measurements that would let more be cut ahead, for the
// crew's rooms of this day and what is still to be set in them.
func (s *sheeter) readings(sh *Sheet) {
	done := map[string]bool{}
	from := s.clock.DayStart(sh.Date)
	var list []reading
	for _, id := range sh.Activities {
		room := s.byID[id].Room
		if done[room] {
			continue
		}
		done[room] = true
		for _, a := range s.inRoom[room] {
			if a.Start < from {
				continue
			}
			for _, r := range a.readings() {
				if len(list) < mostReadings && !slices.Contains(list, r) {
					list = append(list, r)
				}
			}
		}
	}
	for _, r := range list {
		sh.Read = append(sh.Read, r.surface+": "+r.why)
	}
}

// mostReadings is how many a sheet lists: more are not taken in a morning.
const mostReadings = 12

// reading is what is to be measured on a surface, as the pieces that wait for it say.
type reading struct{ surface, why string }

// readings are the readings that an area waits for, each once.
func (a *sheetArea) readings() []reading {
	if a.known {
		return a.toRead
	}
	a.known = true
	for _, p := range a.pieces {
		if !p.OnSite || p.OnSiteWhy == "" {
			continue
		}
		if r := (reading{p.surface, p.OnSiteWhy}); !slices.Contains(a.toRead, r) {
			a.toRead = append(a.toRead, r)
		}
	}
	return a.toRead
}

// saving counts the sheet's cuts and settings.
func (s *sheeter) saving(sh *Sheet) string {
	cuts, settings, alone, ahead := 0, 0, 0.0, 0.0
	for _, g := range sh.Cuts {
		cuts += len(g.Pieces)
		settings++
		per := s.perCut(g.Tool)
		alone += (per + measureMinutes) * float64(len(g.Pieces))
		ahead += per * aheadShare * float64(len(g.Pieces))
	}
	if cuts == 0 {
		return ""
	}
	return fmt.Sprintf("%s, %s: about %s by settings instead of %s one by one", several(cuts, "cut"), several(settings, "setting"), words(ceilMinutes(ahead)), words(ceilMinutes(alone)))
}
