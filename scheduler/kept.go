package scheduler

import (
	"iter"
	"maps"
	"math"
	"slices"
	"strings"

	"potlife/takeoff"
)

// kept is what a new plan takes over from the one in force: what each crew
// started before its instant of freezing, and what was reported.
type kept struct {
	activities []*Activity
	byRoom     map[string][]*Activity
	areas      []*Area
	areasOf    map[string][]*Area
	mixes      []Mix
	sheets     []Sheet
	set        map[string]bool // pieces that stay in a carried area
	begun      map[string]bool // of these, those whose area has begun
	late       map[string]string
	on         map[string]bool // surfaces of what is set or late
	broken     map[string]int
	stock      []takeoff.StockTile
	cut        map[string]bool // pieces cut or set
	locks      map[string]takeoff.Lock
	held       map[string]int
	sawn       map[string]int            // pieces on sheets that are out, sawn wet: when that is done at the latest
	parts      map[string]map[string]int // by room and piece: the area of the plan in force that has not begun
	pieces     map[string]takeoff.Piece  // as set
	findings   []takeoff.Finding
}

// keep reads the plan in force and the records.
func (m *maker) keep() *kept {
	k := &kept{byRoom: map[string][]*Activity{}, areasOf: map[string][]*Area{}, set: map[string]bool{}, begun: map[string]bool{}, late: map[string]string{},
		broken: map[string]int{}, held: map[string]int{}, pieces: map[string]takeoff.Piece{}, locks: map[string]takeoff.Lock{},
		parts: map[string]map[string]int{}}
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
	c := newCarrying(m, p)
	c.drop()
	c.giveBack()
	c.takeBack()
	c.postpone()
	k.carryActivities(m, c)
	k.carryAreas(m, c)
	k.carrySheets(m, p)
	k.sheets = c.unlist(k.sheets)
	k.sawnOut(m, p)
	k.on = surfacesOf(maps.Keys(k.set), maps.Keys(k.late))
	k.lock(m, p, c.restock(p.Stock))
	k.findings = append(k.findings, c.spare()...)
	return k
}

// carryActivities keeps what the carrying decided on.
func (k *kept) carryActivities(m *maker, c *carrying) {
	today := m.clock.DayStart(m.in.Today)
	byID := map[string]*Activity{}
	for i := range c.prior.Activities {
		byID[c.prior.Activities[i].ID] = &c.prior.Activities[i]
	}
	for i := range c.prior.Activities {
		if !c.keep[c.prior.Activities[i].ID] {
			continue
		}
		a := c.asItStands(c.prior.Activities[i], byID)
		switch {
		case c.reported[a.ID]:
			a.State = "done"
		case a.Finish <= today:
			a.State = "done, unconfirmed"
		default:
			a.State = "issued"
		}
		a.After = slices.DeleteFunc(a.After, func(b After) bool { return !c.keep[b.Activity] && !strings.Contains(b.Activity, "/hold-") })
		k.activities = append(k.activities, &a)
		k.byRoom[a.Room] = append(k.byRoom[a.Room], &a)
	}
	k.findings = c.findings
}

// carryAreas keeps the areas of carried activities, less the pieces that were
// not set or broke after setting began, and the mixes as far as they were used.
func (k *kept) carryAreas(m *maker, c *carrying) {
	now := m.horizonOfWork()
	fed, m2 := map[MixPatch]patchShare{}, pieceM2(c)
	k.toCome(c)
	for _, a := range c.prior.Areas {
		if !c.keep[a.Activity] {
			for i, t := range a.Patches {
				fed[MixPatch{a.ID, i}] = patchShare{were: t.M2}
			}
			continue
		}
		a.Ended = c.areaEnded(&a)
		a = a.postponed(c.delay[a.Activity])
		o := c.out[a.ID]
		if again := c.again(&a); len(again) > 0 {
			a.Pieces = without(a.Pieces, again)
		}
		a.Pieces = without(a.Pieces, o)
		a.Patches = trimPatches(&a, o, c.again(&a), m2, fed)
		c.putBack(&a)
		for _, id := range a.Pieces {
			k.set[id] = true
			k.begun[id] = a.Start < now || c.reported[a.Activity]
		}
		for id, why := range o {
			k.late[id] = why
		}
		k.areas = append(k.areas, &a)
		k.areasOf[a.Activity] = append(k.areasOf[a.Activity], &a)
	}
	for _, a := range k.areas {
		k.goOn(a, c.out[a.ID], c.order[a.ID])
	}
	for _, x := range c.prior.Mixes {
		if y, ok := carryMix(x, c, fed); ok {
			k.mixes = append(k.mixes, y)
		}
	}
}

// toCome notes, room by room, the pieces of areas that have not begun: these stay as
// they are divided.
func (k *kept) toCome(c *carrying) {
	in, rooms := map[string][]int{}, []string{} // areas by room
	for n := range c.prior.Areas {
		if a := &c.prior.Areas[n]; !c.keep[a.Activity] {
			room := roomOfSurface(a.Surfaces[0])
			if in[room] == nil {
				rooms = append(rooms, room)
			}
			in[room] = append(in[room], n)
		}
	}
	parts := make([]map[string]int, len(rooms))
	takeoff.Each(len(rooms), 1, func(i int) { parts[i] = partsOf(c.prior.Areas, in[rooms[i]]) })
	for i, room := range rooms {
		k.parts[room] = parts[i]
	}
}

// partsOf numbers the pieces of areas by these.
func partsOf(areas []Area, list []int) map[string]int {
	pieces := 0
	for _, n := range list {
		pieces += len(areas[n].Pieces)
	}
	parts := make(map[string]int, pieces)
	for _, n := range list {
		for _, id := range areas[n].Pieces {
			parts[id] = n + 1
		}
	}
	return parts
}

// horizonOfWork is the minute of the instant of planning: what begins later is
// issued at most.
func (m *maker) horizonOfWork() int {
	if m.in.Now.IsZero() {
		return math.MaxInt
	}
	return m.clock.Minute(m.in.Now)
}

// patchShare is what is left of a patch: where it stands now, and how much of
// it was set, in m².
type patchShare struct {
	index     int
	set, were float64
}

// pieceM2 are the areas of the pieces of the activities that are carried over.
func pieceM2(c *carrying) map[string]float64 {
	out := map[string]float64{}
	for _, a := range c.prior.Areas {
		if c.keep[a.Activity] {
			for _, id := range a.Pieces {
				out[id] = 0
			}
		}
	}
	if len(out) == 0 {
		return out
	}
	for _, l := range c.prior.Layouts {
		for _, z := range l.Zones {
			for i := range z.Pieces {
				if _, carried := out[z.Pieces[i].ID]; carried {
					out[z.Pieces[i].ID] = z.Pieces[i].AreaMM2 / 1e6
				}
			}
		}
	}
	return out
}

// trimPatches leaves the pieces in out out of an area's patches; a patch with
// nothing left falls away.
func trimPatches(a *Area, out map[string]string, again map[string]bool, m2 map[string]float64, fed map[MixPatch]patchShare) []Patch {
	var left []Patch
	for i, t := range a.Patches {
		f := patchShare{index: len(left)}
		for _, id := range t.Pieces {
			f.were += m2[id]
			if _, gone := out[id]; !gone && !again[id] {
				f.set += m2[id]
			}
		}
		t.Pieces = without(without(t.Pieces, out), again)
		fed[MixPatch{a.ID, i}] = f
		if len(t.Pieces) > 0 {
			left = append(left, t)
		}
	}
	return left
}

// carryMix keeps a mix as far as the patches it fed are kept; less is counted
// as mixed where pieces of its patches were not set.
func carryMix(x Mix, c *carrying, fed map[MixPatch]patchShare) (Mix, bool) {
	late := c.delay[x.Activity]
	if x.Start += late; x.UseBy >= 0 {
		x.UseBy += late
	}
	if len(x.Patches) == 0 {
		return x.keptWork(c.keep)
	}
	all, set := 0.0, 0.0
	var patches []MixPatch
	for _, q := range x.Patches {
		f := fed[q]
		all += f.were
		if f.set == 0 {
			continue
		}
		set += f.set
		patches = append(patches, MixPatch{q.Area, f.index})
		if act := c.activityOf[q.Area]; !c.keep[x.Activity] {
			x.Activity = act
		}
	}
	if len(patches) == 0 {
		return x, false
	}
	if set < all-1e-9 {
		x.Kg = max(0.1, tenthUp(x.Kg*set/all))
		x.WaterL = round1(x.WaterL * set / all)
	}
	x.Patches = patches
	return x, true
}

// keptWork keeps of a mix without patches what kept work takes from it.
func (x Mix) keptWork(keep map[string]bool) (Mix, bool) {
	own := x.Kg
	for _, w := range x.Also {
		own -= w.Kg
	}
	all, kg := append([]MixWork{{x.Activity, own}}, x.Also...), x.Kg
	kept := slices.DeleteFunc(slices.Clone(all), func(w MixWork) bool { return !keep[w.Activity] })
	if len(kept) == len(all) || len(kept) == 0 {
		return x, len(kept) > 0
	}
	x.Kg = 0
	for _, w := range kept {
		x.Kg += w.Kg
	}
	x.Kg = max(0.1, tenthUp(x.Kg))
	x.WaterL = round1(x.WaterL * x.Kg / kg)
	x.Activity, x.Also = kept[0].Activity, slices.Clip(kept[1:])
	return x, true
}

// goOn lets what is left at the end of an area's order go on as usual, unless
// work above it was done since: then it keeps its reason and comes late.
func (k *kept) goOn(a *Area, out map[string]string, order []string) {
	above := func(surface string) bool {
		return slices.ContainsFunc(k.areas, func(b *Area) bool { return b.Start > a.Start && slices.Contains(b.Surfaces, surface) })
	}
	if slices.ContainsFunc(a.Surfaces, above) {
		return
	}
	for i := len(order) - 1; i >= 0; i-- {
		id := order[i]
		if _, ok := out[id]; !ok || k.broken[id] > 0 {
			return
		}
		delete(k.late, id)
	}
}

func without[V any](in []string, out map[string]V) []string {
	kept := make([]string, 0, len(in))
	for _, id := range in {
		if _, gone := out[id]; !gone {
			kept = append(kept, id)
		}
	}
	return kept
}

// carrySheets keeps the sheets of frozen days.
func (k *kept) carrySheets(m *maker, p *Plan) {
	for _, s := range p.Sheets {
		if s.Revision > 0 || m.clock.DayStart(s.Date) < m.frozen[s.Crew] {
			k.sheets = append(k.sheets, s)
		}
	}
}

// lock fixes the origins of zones of which anything is issued, the stock tiles
// that are cut or laid, and the pieces as they were set.
func (k *kept) lock(m *maker, p *Plan, stock []takeoff.StockTile) {
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
	on := surfacesOf(maps.Keys(cut))
	for i := range p.Layouts {
		l := &p.Layouts[i]
		if on[l.Surface] {
			k.lockOn(l, cut)
		}
		if h, ok := p.Holds[l.Surface]; ok && k.touched(l.Surface) {
			k.held[l.Surface] = h
		}
	}
	// Tiles not cut yet are free: spares and bounds speak of what is still to be
	// cut, and the same pieces come to the same tiles again.
	opened := openedLots(m.in.Records)
	for _, t := range stock {
		if t.Lot == "" && !t.Broken && slices.ContainsFunc(t.Pieces, func(q takeoff.StockPiece) bool { return k.begun[q.Piece] }) {
			t.Lot = opened[roomOfSurface(surfaceOfPiece(t))+" "+t.Tile]
		}
		if !t.Broken && !slices.ContainsFunc(t.Pieces, func(q takeoff.StockPiece) bool { return cut[q.Piece] }) {
			continue
		}
		t.Coming = t.Lot == "" && !t.Broken
		t.Uncut = !t.Broken && !slices.ContainsFunc(t.Pieces, func(q takeoff.StockPiece) bool { return k.begun[q.Piece] })
		k.stock = append(k.stock, t)
	}
	k.cut = cut
}

// lockOn does so for the zones and pieces of one surface.
func (k *kept) lockOn(l *takeoff.Layout, cut map[string]bool) {
	for _, z := range l.Zones {
		for _, q := range z.Pieces {
			if cut[q.ID] {
				k.locks[l.Surface+"/"+z.Zone.Key] = takeoff.Lock{Origin: z.Origin, Skipped: z.Skipped}
			}
			if k.begun[q.ID] {
				k.pieces[q.ID] = q
			}
		}
	}
}

// surfacesOf are the surfaces of pieces.
func surfacesOf(lists ...iter.Seq[string]) map[string]bool {
	out := map[string]bool{}
	for _, list := range lists {
		for piece := range list {
			out[pieceSurface(piece)] = true
		}
	}
	return out
}

// openedLots are the lots of which boxes were opened in a room, by room and tile:
// what is set there came from them, and the rest of the room takes the same. The
// first lot opened counts; a second one is a mistake that reports warn of.
func openedLots(records []Record) map[string]string {
	out := map[string]string{}
	for _, r := range records {
		if key := r.Room + " " + r.Product; r.Kind == "boxes opened" && r.Lot != "" && out[key] == "" {
			out[key] = r.Lot
		}
	}
	return out
}

// surfaceOfPiece is the surface of the first piece cut from a tile, from the
// piece's id, which begins with it.
func surfaceOfPiece(t takeoff.StockTile) string {
	if len(t.Pieces) == 0 {
		return ""
	}
	return pieceSurface(t.Pieces[0].Piece)
}

// pieceSurface is the surface of a piece, "job/room/surface".
func pieceSurface(piece string) string {
	end := 0
	for range 3 {
		i := strings.IndexByte(piece[end:], '/')
		if i < 0 {
			return piece
		}
		end += i + 1
	}
	return piece[:end-1]
}

func (k *kept) touched(surface string) bool {
	return slices.ContainsFunc(k.areas, func(a *Area) bool { return slices.Contains(a.Surfaces, surface) })
}
