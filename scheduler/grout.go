package scheduler

import (
	"fmt"
	"slices"

	"potlife/takeoff"
)

// grout adds the grouting of each grout product, in fields that are grouted
// without a stop.
func (b *builder) grout(s Step) {
	byGrout := map[string][]*surfaceWork{}
	var grouts []string
	for _, f := range bySetRank(b.on(s, b.r.surfaces)) {
		for _, z := range f.layout.Zones {
			g := z.Zone.Grout
			if f.pieces == 0 {
				continue
			}
			if byGrout[g] == nil {
				grouts = append(grouts, g)
			}
			if !slices.Contains(byGrout[g], f) {
				byGrout[g] = append(byGrout[g], f)
			}
		}
	}
	b.inFileOrder(s, grouts)
	for i, g := range grouts {
		slot, title := kindGrout, "grout"
		if len(grouts) > 1 {
			slot, title = fmt.Sprintf("grout-%d", i+1), "grout "+b.products[g].Name
		}
		var blocks []block
		for _, f := range byGrout[g] {
			blocks = append(blocks, b.groutRows(s, f, g)...)
		}
		total := 0.0
		for _, k := range blocks {
			total += k.minutes
		}
		for k := range blocks { // minutes of the step besides those a m²
			blocks[k].minutes += s.Minutes * blocks[k].minutes / max(total, 1e-9)
		}
		b.fields(s, fieldWork{slot: b.slotOf(s, slot), kind: kindGrout, title: title, blocks: blocks, within: "a whole joint", each: b.rates.CleanUp,
			take: func(t *task, share func(string) float64, on []*surfaceWork) { b.takeGrout(t, s, g, share, on) }})
	}
}

// inFileOrder numbers the grouts as the room's surfaces name them, whatever the
// order in which these are set.
func (b *builder) inFileOrder(s Step, grouts []string) {
	at := map[string]int{}
	for _, f := range b.on(s, b.r.surfaces) {
		for _, z := range f.layout.Zones {
			if _, ok := at[z.Zone.Grout]; !ok {
				at[z.Zone.Grout] = len(at)
			}
		}
	}
	slices.SortStableFunc(grouts, func(x, y string) int { return at[x] - at[y] })
}

// takeGrout lets a field take its share of what the takeoff counted on its
// surfaces.
func (b *builder) takeGrout(t *task, s Step, grout string, share func(string) float64, on []*surfaceWork) {
	b.usesOwn(t, s, on, share, []string{takeoff.KindGrout})
	if grout == "" {
		return
	}
	net := 0.0
	for _, n := range b.r.needOf(takeoff.KindGrout, on, share) {
		if n.Product == grout {
			net += n.Net
		}
	}
	u := Use{grout, round3(net), b.products[grout].Unit}
	t.products, t.mixed = append(t.products, u), append(t.mixed, u)
	b.deliver(t, grout)
}

// resinSlower is how much longer a reaction resin takes to grout: half the usual
// area in an hour; common practice.
const resinSlower = 2

// groutRows are the rows of a surface with how long their grout takes: by their
// area, and by the joints that it is pressed into and washed off.
func (b *builder) groutRows(s Step, f *surfaceWork, grout string) []block {
	k := groutKey{grout, s.MinutesPerM2}
	rows, ok := f.grouted[k]
	if !ok {
		rows = b.newGroutRows(s, f, grout)
		if f.grouted == nil {
			f.grouted = map[groutKey][]block{}
		}
		f.grouted[k] = rows
	}
	return rows
}

// groutKey is what the rows of a surface depend on.
type groutKey struct {
	grout string
	perM2 float64 // of the recipe
}

func (b *builder) newGroutRows(s Step, f *surfaceWork, grout string) (out []block) {
	perM2, perM := b.rates.GroutPerM2, b.rates.GroutPerM
	switch {
	case s.MinutesPerM2 > 0:
		perM2, perM = s.MinutesPerM2, 0
	case b.products[grout].Sheet.Resin:
		perM2, perM = perM2*resinSlower, perM*resinSlower
	}
	joint := false
	for _, row := range f.order {
		k := block{surface: f.key}
		for _, it := range row.items {
			z := &f.layout.Zones[it.zone]
			if z.Zone.Grout != grout {
				continue
			}
			p := &z.Pieces[it.at]
			r := b.rateOf(f, z, p.Tile)
			k.minutes += float64(perM2*(p.AreaMM2/1e6)) + float64(perM*jointMetres(p, &r.tile))
		}
		joint = joint || row.joint
		if k.minutes > 0 {
			k.first, k.joint, joint = len(out) == 0, joint, false
			out = append(out, k)
		}
	}
	return out
}
