package scheduler

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"potlife/rooms"
	"potlife/takeoff"
)

// set adds the setting of walls, floors or the courses under a ledger.
func (b *builder) set(s Step) error {
	b.layOut()
	b.done[s.Kind] = true
	b.fixedCuts()
	b.fixedSets(s.Kind)
	switch s.Kind {
	case setWalls:
		return b.setBlocks(s, pick(b.walls, func(k block) bool { return !k.lower }))
	case setFloor:
		return b.setBlocks(s, b.floors)
	}
	low := pick(b.walls, func(k block) bool { return k.lower })
	b.ledgers(low)
	return b.setBlocks(s, low)
}

// strays sets what the recipe's own set steps leave over.
func (b *builder) strays() {
	for _, k := range []string{setWalls, setLower, setFloor} {
		if b.done[k] {
			continue
		}
		at := slices.IndexFunc(b.seq, func(t *task) bool { return t.kind == kindGrout })
		b.at = max(0, slices.IndexFunc(b.r.recipe, func(s Step) bool { return isSet(s.Kind) }))
		rest := slices.Clone(b.seq[max(0, at):])
		b.seq = b.seq[:max(0, at)]
		if err := b.set(Step{Kind: k}); err == nil {
			b.seq = append(b.seq, rest...)
		}
	}
}

func pick(in []block, keep func(block) bool) []block {
	var out []block
	for _, k := range in {
		if keep(k) {
			out = append(out, k)
		}
	}
	return out
}

// setRank is the order in which the surfaces of a room are set: what hangs,
// what stands, and of what lies the main floor last.
func setRank(kind string) int {
	switch kind {
	case rooms.Ceiling:
		return 0
	case rooms.Bench:
		return 2
	case rooms.ShowerFloor:
		return 3
	case rooms.Floor:
		return 4
	}
	return 1
}

// layOut orders the pieces of the room into blocks, less those set already.
func (b *builder) layOut() {
	if b.laid {
		return
	}
	b.laid = true
	if b.r.blocks == nil {
		b.fillBlocks()
	}
	for _, k := range b.r.blocks {
		if k.chosen {
			b.leftOut = append(b.leftOut, k.block)
		} else if flat(k.kind) {
			b.floors = append(b.floors, k.block)
		} else {
			b.walls = append(b.walls, k.block)
		}
	}
}

// kindBlock is a block with the kind of its surface.
type kindBlock struct {
	block
	kind string
}

// fillBlocks works out the room's blocks. They do not depend on the crew, so that
// whoever builds the room's tasks next takes them over.
func (b *builder) fillBlocks() {
	b.r.blocks = []kindBlock{}
	for _, f := range bySetRank(b.r.surfaces) {
		f.over = heads(f)
		for _, k := range filled(f.order, f.layout, func(z *takeoff.ZoneLayout, it *item) {
			b.fill(f, z, it)
			if _, ok := f.over[it.piece.ID]; ok {
				it.cut += headMinutes
			}
		}) {
			if len(b.r.skip) > 0 {
				k.items = slices.DeleteFunc(k.items, func(it *item) bool { return b.r.skip[it.piece.ID] })
			}
			if len(k.items) > 0 {
				b.r.blocks = append(b.r.blocks, kindBlock{k, f.src.Kind})
			}
		}
	}
}

func bySetRank(in []*surfaceWork) []*surfaceWork {
	out := slices.Clone(in)
	slices.SortStableFunc(out, func(a, c *surfaceWork) int { return setRank(a.src.Kind) - setRank(c.src.Kind) })
	return out
}

// fill gives an item its times and bed.
func (b *builder) fill(f *surfaceWork, z *takeoff.ZoneLayout, it *item) {
	p := it.piece
	it.bed = bed{z.Zone.Mortar, b.kgPerM2(f, z.Zone.Mortar)}
	r := b.rateOf(f, z, p.Tile)
	it.class, it.pace = r.class, r.pace
	it.set = r.pace * r.factor * pieceMinutes(b.rates, f.src.Kind, p, r.size, f.src.Difficulty)
	cuts := r.pace * cutMinutes(b.rates, p)
	switch {
	case p.OnSite:
		it.cut = cuts + r.pace*measureMinutes
	case len(p.Cuts) > 0:
		it.ahead = cuts * aheadShare
	}
}

// kgPerM2 is what the takeoff counted of a mortar on a surface over the area of
// the pieces it beds, rounded up to 0.1 kg/m² so that neighbouring surfaces
// share their mixes; the takeoff's margin covers the rounding.
func (b *builder) kgPerM2(f *surfaceWork, mortar string) float64 {
	if mortar == "" {
		return 0
	}
	k := [2]string{f.key, mortar}
	v, ok := b.beds[k]
	if !ok {
		v = b.coverage(f, mortar)
		b.beds[k] = v
	}
	return v
}

func (b *builder) coverage(f *surfaceWork, mortar string) float64 {
	net, m2 := 0.0, 0.0
	for _, n := range b.r.needs[takeoff.KindMortar] {
		if n.Product == mortar && n.Surface == f.key {
			net += n.Net
		}
	}
	for _, z := range f.layout.Zones {
		if z.Zone.Mortar == mortar {
			for i := range z.Pieces {
				m2 += z.Pieces[i].AreaMM2 / 1e6
			}
		}
	}
	if m2 == 0 || net == 0 {
		return round1(b.products[mortar].Sheet.PerM2)
	}
	return float64(ceilMinutes(net/m2*10)) / 10
}

func round1(v float64) float64 { return float64(int64(v*10+0.5)) / 10 }

// setBlocks adds the areas of the blocks, each an activity of its own.
func (b *builder) setBlocks(s Step, blocks []block) error {
	if len(blocks) == 0 {
		return nil
	}
	var areas []*areaPlan
	for i := 0; i < len(blocks); {
		j := i
		for j < len(blocks) && together(blocks[i], blocks[j]) {
			j++
		}
		blocks[i].first = true
		run, err := b.areasOfRun(s, blocks[i:j])
		if err != nil {
			return err
		}
		areas = append(areas, run...)
		i = j
	}
	for i, a := range areas {
		b.with(a.by)
		cuts := b.addCuts(a, s)
		t := b.addArea(a, b.gangFor(s), i+1, len(areas))
		for _, c := range cuts {
			t.wait(c, fixed(b.dryAfter(a)), -1, "its pieces are cut, in the hours for loud work")
		}
		t.skill, t.tool, t.loud, t.anyGang = s.Skill, s.Tool, s.Loud, s.Setters == 0 && s.Helpers == 0
	}
	return nil
}

// areasOfRun splits blocks with one bed into areas: those that the same people set
// together.
func (b *builder) areasOfRun(s Step, blocks []block) (areas []*areaPlan, err error) {
	for i := 0; i < len(blocks); {
		by, j := b.handsForBlock(s, blocks[i]), i+1
		for j < len(blocks) && b.handsForBlock(s, blocks[j]) == by {
			j++
		}
		b.with(by)
		part, err := b.areasBy(blocks[i:j], b.gangFor(s))
		if err != nil {
			return nil, err
		}
		for _, a := range part {
			a.by = by
		}
		part[len(part)-1].stopAt = stopWords(blocks, j)
		areas = append(areas, part...)
		i = j
	}
	return areas, nil
}

// areasBy splits blocks with one bed into areas of a gang by the limits of the mortar.
func (b *builder) areasBy(blocks []block, g gang) ([]*areaPlan, error) {
	sheet := b.products[blocks[0].bed.mortar].Sheet
	used, limits := openTime(sheet, b.heat.of(b.r), b.limits.OpenSafety)
	sp := spread{open: used, capM2: sheet.PatchCapM2, bucket: b.limits.BucketKg,
		speed: g.speed / b.crewPace(rateKind(kindSet, !slices.ContainsFunc(blocks, func(k block) bool { return !b.isFlat(k.surface) })), g),
		setUp: 10, end: ceilMinutes(b.rates.CleanUp), charge: b.crew.Helpers == 0, apart: b.cutsApart()}
	for i := range blocks {
		blocks[i].loud = b.loudItems(blocks[i].items)
	}
	quiet, loud := b.shiftFor(false, g), b.shiftFor(true, g)
	part := func(s shift) float64 { return float64(s.part(b.limits.AreaMinutes)) }
	run := newAreaRun(blocks, sp, atMost(b.firm.Limits.AreaMinutes, quiet, loud), b.limits.AreaMinutes)
	var areas []*areaPlan
	if by, ok := b.r.manned[run.key()]; !ok || b.alike(by) { // else they are of others' size
		areas = run.stopped(b.r.parts)
	}
	if areas == nil {
		var err error
		if areas, err = areasOf(run, caps{part(quiet), part(loud)}, caps{float64(quiet.longest), float64(loud.longest)}); err != nil {
			return nil, b.refuseArea(err, quiet, loud)
		}
	}
	grout := b.cure(b.r, sheet.GroutAfter, defaultGroutAfter, &sheet)
	for _, a := range areas {
		a.grout = grout
		a.limits, a.run = limits, run
	}
	return areas, nil
}

// refuseArea says of a piece that is set in no working interval which it is, why,
// and what to do.
func (b *builder) refuseArea(err error, quiet, loud shift) error {
	var long *tooLong
	if !errors.As(err, &long) {
		return err
	}
	where := b.called.surface(long.item.surface)
	if long.loud && loud.longest < quiet.longest {
		return fmt.Errorf("%s: piece %s is cut with a power tool as it is set and takes %s without a stop, and %s allows loud work for %s at a time: widen its hours for loud work, or have the edge measured so that the piece is cut before",
			where, long.item.piece.Label, words(long.minutes), b.called.site(b.r.site), words(loud.longest))
	}
	return fmt.Errorf("%s: piece %s takes %s without a stop, and %s has no longer interval there than %s: look at the hours of both",
		where, long.item.piece.Label, words(long.minutes), b.called.crew(b.crew.Key), words(quiet.longest))
}

// openTime is how long a mortar may lie open at a temperature, in minutes, with the words that say where that is from.
func openTime(sheet takeoff.DataSheet, celsius, safety float64) (used int, words string) {
	open, from := sheet.OpenMinutes, sheet.LimitsFrom
	if open == 0 {
		open, from = defaultOpen, "default: most sheets print 20 min on the wall"
	} else if from == "" {
		from = "data sheet"
	}
	warm := usable(sheet, celsius)
	used = max(1, int(float64(WorkingMinutes(open, warm, sheet.Reference))*safety))
	return used, fmt.Sprintf("open time %d min (%s) at %s × %g", open, from, degrees(warm), safety)
}

func (b *builder) isFlat(surface string) bool { return b.r.isFlat(surface) }

// addArea makes the activity of an area.
func (b *builder) addArea(a *areaPlan, g gang, n, of int) *task {
	slot := b.nextSlot("set")
	var on []*surfaceWork
	name := ""
	for _, f := range b.r.surfaces {
		if slices.Contains(a.surfaces, f.key) {
			on = append(on, f)
			if name != "" {
				name += ", "
			}
			name += nameOf(f.src)
		}
	}
	title := fmt.Sprintf("set %s, area %d of %d", name, n, of)
	if a.lower {
		title = fmt.Sprintf("set under the ledger: %s", name)
	} else if a.late {
		title = fmt.Sprintf("set what was left out: %s", name)
	}
	t := &task{id: b.r.key + "/" + slot, slot: slot, kind: kindSet, title: title, room: b.r, surfaces: a.surfaces,
		crew: b.crew.Key, gang: g, by: b.crew.hands(), step: b.at, minutes: a.minutes, release: max(b.r.ready, b.opens(b.crew.Key)), area: a}
	a.id = t.id + "/area"
	t.class = a.class()
	t.base = round3(float64(a.minutes-10) / (a.pace() * b.crewPace(rateKind(kindSet, onlyFlat(b, t)), g)))
	b.deliverTiles(t, a)
	b.deliverTrims(t, on)
	b.sawFirst(t, a)
	b.supportHeads(t, a)
	b.tellLeftOut(t, a)
	b.lift(t, a)
	b.seq = append(b.seq, t)
	return t
}

// deliverTrims lets the first area of each surface bring profiles, spacers and
// clips, and wait for them.
func (b *builder) deliverTrims(t *task, on []*surfaceWork) {
	for _, f := range on {
		if b.trimmed[f.key] {
			continue
		}
		b.trimmed[f.key] = true
		for _, z := range f.layout.Zones {
			for i := range z.Pieces {
				if b.r.skip[z.Pieces[i].ID] {
					return // it is begun: they are there
				}
			}
		}
		b.uses(t, []*surfaceWork{f}, 1, takeoff.KindTrim, takeoff.KindSpacer, takeoff.KindClip)
		t.notes = append(t.notes, b.trimLengths(f)...)
	}
}

// trimLengths says to which lengths the profiles, thresholds and sills of a
// surface are cut: alike ones together, and those to be measured first apart.
func (b *builder) trimLengths(f *surfaceWork) []string {
	var order []string
	lengths := map[string][]string{}
	count := map[[2]string]int{}
	for _, n := range b.r.needs[takeoff.KindTrim] {
		if n.Surface != f.key {
			continue
		}
		if lengths[n.Product] == nil {
			order = append(order, n.Product)
		}
		text := b.trimLength(&n)
		if count[[2]string{n.Product, text}]++; count[[2]string{n.Product, text}] == 1 {
			lengths[n.Product] = append(lengths[n.Product], text)
		}
	}
	var out []string
	for _, k := range order {
		name := b.products[k].Name
		if name == "" {
			name = k
		}
		list := lengths[k]
		for i, text := range list {
			if n := count[[2]string{k, text}]; n > 1 {
				list[i] = fmt.Sprintf("%s (%d times)", text, n)
			}
		}
		out = append(out, fmt.Sprintf("Cut %s for %s to %s.", name, nameOf(f.src), strings.Join(list, ", ")))
	}
	return out
}

// trimLength is one length: whole bars and what is cut, by its stop setting where it
// has one.
func (b *builder) trimLength(n *takeoff.Need) string {
	inches := b.firm.Units == "imperial"
	text := rooms.InWords(n.Cut, inches)
	switch {
	case n.Cut == 0 && n.Whole == 0:
		text = rooms.InWords(rooms.Length(math.Round(n.Net*1000))*rooms.Millimetre, inches)
	case n.Cut == 0:
		text = several(n.Whole, "whole bar")
	case n.Whole > 0:
		text = several(n.Whole, "whole bar") + " and " + text
	}
	if n.Measure {
		return "about " + text + ", measured first"
	}
	return text
}

func nameOf(s *rooms.Surface) string {
	if s.Name != "" {
		return s.Name
	}
	return s.Key
}

// nextSlot is the first free number of a kind.
func (b *builder) nextSlot(kind string) string {
	for {
		b.numbers[kind]++
		slot := fmt.Sprintf("%s-%d", kind, b.numbers[kind])
		if !b.used[b.r.key+"/"+slot] {
			return slot
		}
	}
}

// deliverTiles holds an area back until its tile and mortar are there, and
// notes what it takes.
func (b *builder) deliverTiles(t *task, a *areaPlan) {
	count := map[string]int{}
	var tiles []string
	for _, it := range a.items {
		if count[it.piece.Tile] == 0 {
			tiles = append(tiles, it.piece.Tile)
		}
		count[it.piece.Tile]++
	}
	for _, k := range tiles {
		t.takes(Use{k, float64(count[k]), "piece"})
		b.deliver(t, k)
	}
	if a.bed.mortar != "" {
		t.takes(Use{a.bed.mortar, round3(a.kg), "kg"})
		b.deliver(t, a.bed.mortar)
	}
}

// fixedSets puts the setting that is carried over where its step stands.
func (b *builder) fixedSets(step string) {
	for _, f := range b.r.fixed {
		if f.Kind != kindSet || b.stepOf(f) != step {
			continue
		}
		t := &task{room: b.r, step: b.at}
		b.carry(t, f)
		b.seq = append(b.seq, t)
	}
}

// stepOf is the step that a fixed setting activity belongs to. One under a
// ledger is known by the ledger's activity before it.
func (b *builder) stepOf(f *Activity) string {
	for _, k := range f.Surfaces {
		if !b.isFlat(k) {
			for _, l := range f.After {
				if t := b.fixedByID(l.Activity); t != nil && t.Kind == kindLedger {
					return setLower
				}
			}
			return setWalls
		}
	}
	return setFloor
}

func (b *builder) fixedByID(id string) *Activity {
	for _, f := range b.r.fixed {
		if f.ID == id {
			return f
		}
	}
	return nil
}

// ledgers adds taking the batten off before the courses under it are set.
func (b *builder) ledgers(low []block) {
	var on []*surfaceWork
	for _, f := range b.r.surfaces {
		if slices.ContainsFunc(low, func(k block) bool { return k.surface == f.key }) {
			on = append(on, f)
		}
	}
	fixed := slices.IndexFunc(b.r.fixed, func(a *Activity) bool { return a.Kind == kindLedger })
	if len(on) == 0 && fixed < 0 {
		return
	}
	t := b.newTask(b.r, "ledger", kindLedger, "take off the ledger", on, 10*float64(max(1, len(on))), oneSetter)
	if t.fixed == nil {
		t.crew, t.gang, t.by = b.crew.Key, oneSetter, b.crew.hands()
	}
	b.seq = append(b.seq, t)
}

// holdOf is how long the field above a ledger holds before its batten comes
// off: as long as its mortar wants before grout.
func (b *builder) holdOf(f *surfaceWork) due {
	if m, ok := b.r.held[f.key]; ok && len(b.r.air) == 0 {
		return fixed(m)
	}
	var hold due
	for _, z := range f.layout.Zones {
		s := b.products[z.Zone.Mortar].Sheet
		hold = hold.with(b.cure(b.r, s.GroutAfter, defaultGroutAfter, &s))
	}
	return hold
}
