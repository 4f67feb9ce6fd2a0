package scheduler

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"

	"potlife/rooms"
	"potlife/takeoff"
)

// mixLead is how long before its first patch a mix is begun: mixing and
// slaking, common practice.
const mixLead = 5

// defaultWater is litres a kg where a sheet is silent: 5 to 5.75 l for 25 kg on
// a C2TE sheet.
const defaultWater = 0.22

// mixSize is what bounds a mix of a product.
type mixSize struct {
	bucket  float64 // kg it may hold
	portion float64 // kg of which it is a multiple; 0: weighed as needed
	pack    float64 // kg of a package
	near    bool    // a mix that comes close to whole or half packages takes these
}

// nearShare is how much of a mix may be left over for the sake of a whole or half
// bag instead of a weighed one; common practice.
const nearShare = 0.1

// sizeOf is the size of mixes of a product: whole or half packages where its
// setting says so.
func (m *maker) sizeOf(p takeoff.Product) mixSize {
	s := mixSize{bucket: m.limits.BucketKg, pack: p.PackageSize}
	portion := p.Sheet.Portion
	if portion == "" && p.Sheet.Resin {
		portion = takeoff.PortionWhole
	}
	if p.Sheet.ReadyMixed || s.pack <= 0 {
		return s
	}
	switch portion {
	case takeoff.PortionWhole:
		s.portion = s.pack
	case takeoff.PortionHalf:
		s.portion = s.pack / 2
	}
	s.bucket, s.near = max(s.bucket, s.portion), portion == ""
	return s
}

// up is a need rounded up to whole portions.
func (s mixSize) up(kg float64) float64 {
	if s.portion == 0 {
		return kg
	}
	return s.portion * math.Max(1, math.Ceil(kg/s.portion-1e-9))
}

// most is the largest mix: as many portions as the bucket holds.
func (s mixSize) most() float64 {
	if s.portion == 0 {
		return s.bucket
	}
	return s.portion * math.Max(1, math.Floor(s.bucket/s.portion+1e-9))
}

// filled rounds a mix up to its portions, or to a half package that it comes close
// to, and says what of it is thrown away.
func (s mixSize) filled(m Mix) Mix {
	if s.portion > 0 {
		need := m.Kg
		m.Kg = s.up(need)
		m.Packages, m.Thrown = m.Kg/s.pack, m.Kg-need
	} else if s.near {
		half := s.pack / 2
		if up := half * math.Ceil(m.Kg/half-1e-9); up <= s.bucket+1e-9 && up-m.Kg <= nearShare*up {
			m.Kg, m.Packages, m.Thrown = up, up/s.pack, up-m.Kg
		}
	}
	return m
}

// mixes draws the mixes of all new work, and notes how few they could be.
func (m *maker) mixes() []Mix {
	m.fewest, m.fewestWork = 0, 0
	var out []Mix
	for _, l := range m.feeds() {
		p := m.products[l.product]
		size := m.sizeOf(p)
		if l.work {
			m.fewestWork += fewestMixes(p, l.feeds, size)
		} else {
			m.fewest += fewestMixes(p, l.feeds, size)
		}
		out = append(out, mixesOf(l.crew, p, l.feeds, size)...)
	}
	slices.SortStableFunc(out, func(a, b Mix) int {
		return cmp.Or(cmp.Compare(a.Start, b.Start), cmp.Compare(a.Crew, b.Crew), cmp.Compare(a.Product, b.Product), cmp.Compare(a.Activity, b.Activity))
	})
	return out
}

// weigh rounds each mix up to 0.1 kg, and where that would take more than is
// there, or than has come by some day, only the running total.
func (m *maker) weigh(mixes []Mix, there map[string]float64, tight map[string]bool) []Mix {
	drawn := map[string]float64{}
	for _, x := range m.kept.mixes {
		drawn[x.Product] += x.Kg
	}
	exact, up := map[string]float64{}, map[string]float64{}
	for _, x := range mixes {
		exact[x.Product] += x.Kg
		up[x.Product] += tenthUp(x.Kg)
	}
	due, given := map[string]float64{}, map[string]float64{}
	for i := range mixes {
		x := &mixes[i]
		p := x.Product
		switch {
		case x.Packages > 0:
		case !tight[p] && up[p]+drawn[p] <= there[p]+1e-6:
			x.Kg = tenthUp(x.Kg)
		default:
			due[p] += x.Kg
			x.Kg = max(0.1, tenthUp(due[p]-given[p]))
			given[p] += x.Kg
		}
		if x.Packages == 0 {
			x.Kg = math.Round(x.Kg*10) / 10
		}
		x.Thrown = math.Round(x.Thrown*10) / 10
		sheet := m.products[p].Sheet
		if !sheet.ReadyMixed && !sheet.Resin && !(dry(m.products[p].Kind) && sheet.WaterPerKg == 0) {
			water := sheet.WaterPerKg
			if water == 0 {
				water = defaultWater
			}
			x.WaterL = math.Round(x.Kg*water*100) / 100
		}
	}
	return mixes
}

// dry reports whether a kind is mixed with water only where its sheet says so.
func dry(kind string) bool { return kind == takeoff.KindMembrane || kind == takeoff.KindPrimer }

// onTheSpot reports whether a product is mixed where it is used, by weight:
// grout and leveller are, membrane and primer where their sheet gives a pot life.
func onTheSpot(p takeoff.Product) bool {
	switch p.Kind {
	case takeoff.KindGrout, takeoff.KindLeveller:
		return true
	case takeoff.KindMembrane, takeoff.KindPrimer:
		return p.Unit == "kg" && !p.Sheet.ReadyMixed && (p.Sheet.PotMinutes > 0 || p.Sheet.Resin)
	}
	return false
}

// portioned draws the mixes of the plan. Those of products set to whole or half
// packages take these as far as what is bought lasts, the ones that throw least
// away first; the others are weighed, and the plan says how many. What is carried
// over stays as it was.
func (m *maker) portioned(p *Plan) []Mix {
	mixes, there := m.mixes(), m.there(p)
	short := m.afford(mixes, there)
	out := m.keepToSupply(p, mixes, there)
	p.Findings = append(p.Findings, m.weighed(out, short)...)
	return out
}

// keepToSupply weighs mixes so that on no day they take more than has come by then, as far
// as weighing helps: first those of whole and half packages, then only the running total
// of a product is rounded up.
func (m *maker) keepToSupply(p *Plan, mixes []Mix, there map[string]float64) []Mix {
	tight, done := map[string]bool{}, map[string]bool{}
	for {
		out := slices.Concat(m.kept.mixes, m.number(m.weigh(slices.Clone(mixes), there, tight)))
		k, day := m.shortOf(p, out, done)
		if k == "" {
			return out
		}
		worst := -1
		for i, x := range mixes {
			if x.Product == k && x.Packages > 0 && !day.Before(m.clock.Day(x.Start)) && (worst < 0 || x.Thrown > mixes[worst].Thrown) {
				worst = i
			}
		}
		switch {
		case worst >= 0:
			mixes[worst].byWeight()
		case !tight[k]:
			tight[k] = true
		default:
			done[k] = true
		}
	}
}

// there is what of each product the plan has in all, in its unit: what is bought for
// it, or where that is more, what lies in the yard and is on order.
func (m *maker) there(p *Plan) map[string]float64 {
	out, supply := map[string]float64{}, map[string]float64{}
	for _, h := range p.OnHand {
		supply[h.Product] += h.Quantity * m.products[h.Product].PackageSize
	}
	for _, o := range p.Orders {
		for _, l := range o.Lines {
			supply[l.Product] += l.Quantity * m.products[l.Product].PackageSize
		}
	}
	for _, x := range m.taken.Materials {
		out[x.Product] += x.Quantity
	}
	for k := range out {
		out[k] = max(out[k], supply[k])
	}
	return out
}

// afford weighs those mixes for whose whole portions too little is there, and returns
// by product how much more it would take to weigh none.
func (m *maker) afford(mixes []Mix, there map[string]float64) map[string]float64 {
	slack := maps.Clone(there)
	for _, x := range m.kept.mixes {
		slack[x.Product] -= x.Kg
	}
	var order []int
	for i, x := range mixes {
		slack[x.Product] -= tenthUp(x.Kg - x.Thrown)
		if x.Packages > 0 {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(mixes[a].Thrown, mixes[b].Thrown) })
	short, left := map[string]float64{}, maps.Clone(slack)
	for _, i := range order {
		x := &mixes[i]
		left[x.Product] -= x.Thrown
		short[x.Product] = max(0, -left[x.Product])
		if slack[x.Product]-x.Thrown < -1e-6 {
			x.byWeight()
			continue
		}
		slack[x.Product] -= x.Thrown
	}
	return short
}

// byWeight makes a mix as large as it is needed.
func (x *Mix) byWeight() { x.Kg, x.Packages, x.Thrown = x.Kg-x.Thrown, 0, 0 }

// weighed says of which products mixes are weighed although their setting asks
// for packages, and how many more packages would spare the scale.
func (m *maker) weighed(mixes []Mix, short map[string]float64) []takeoff.Finding {
	count, all := map[string]int{}, map[string]int{}
	var keys []string
	for _, x := range mixes[len(m.kept.mixes):] {
		if m.sizeOf(m.products[x.Product]).portion == 0 {
			continue
		}
		if all[x.Product]++; all[x.Product] == 1 {
			keys = append(keys, x.Product)
		}
		if x.Packages == 0 {
			count[x.Product]++
		}
	}
	slices.Sort(keys)
	var out []takeoff.Finding
	for _, k := range keys {
		p, n := m.products[k], count[k]
		if n == 0 {
			continue
		}
		f := takeoff.Finding{Rule: "mixes", Severity: takeoff.Info, Where: k, Value: float64(n), Limit: float64(all[k]), Source: "the product's portion",
			Message: fmt.Sprintf("%d of %d mixes of %s are weighed: %s", n, all[k], p.Name, m.sparing(p, short[k]))}
		if p.Sheet.Resin {
			f.Severity = takeoff.Warn
			f.Message += "; weigh both parts by its data sheet, or buy more packs"
		}
		out = append(out, f)
	}
	return out
}

// sparing says what it takes to weigh none of a product's mixes.
func (m *maker) sparing(p takeoff.Product, short float64) string {
	packages := "whole packages"
	if m.sizeOf(p).portion < p.PackageSize-1e-9 {
		packages = "whole and half packages"
	}
	more := math.Ceil(short/p.PackageSize - 1e-6)
	if more < 1 { // enough in all, but not on every day
		return "not enough of it has come by their day to take " + packages
	}
	unit := cmp.Or(p.Package, "package")
	return fmt.Sprintf("in %s they would throw away more than is bought or in the yard; %s more would spare the scale",
		packages, several(int(more), unit))
}

// shortOf is a product of which the mixes take more than the plan has by some day, and
// the day; none of those that are done with.
func (m *maker) shortOf(p *Plan, mixes []Mix, done map[string]bool) (string, rooms.Date) {
	type flow struct {
		day rooms.Date
		kg  float64
	}
	flows := map[string][]flow{}
	var keys []string
	for _, x := range mixes {
		if done[x.Product] {
			continue
		}
		if flows[x.Product] == nil {
			keys = append(keys, x.Product)
		}
		flows[x.Product] = append(flows[x.Product], flow{m.clock.Day(x.Start), -x.Kg})
	}
	for _, h := range p.OnHand {
		if f, ok := flows[h.Product]; ok {
			flows[h.Product] = append(f, flow{rooms.Date{}, h.Quantity * m.products[h.Product].PackageSize})
		}
	}
	for i := range p.Orders {
		o := &p.Orders[i]
		for k := range o.Lines {
			l := &o.Lines[k]
			if f, ok := flows[l.Product]; ok {
				flows[l.Product] = append(f, flow{o.ReadyOf(l), l.Quantity * m.products[l.Product].PackageSize})
			}
		}
	}
	for _, k := range keys {
		f, have := flows[k], 0.0
		slices.SortStableFunc(f, func(a, b flow) int { return cmp.Or(a.day.Compare(b.day), cmp.Compare(b.kg, a.kg)) })
		for _, v := range f {
			if have += v.kg; have < -1e-6 {
				return k, v.day
			}
		}
	}
	return "", rooms.Date{}
}

func tenthUp(kg float64) float64 { return math.Ceil(math.Round(kg*1e5)/1e4-1e-6) / 10 }

// number names the mixes mix-1, mix-2 … per crew, past those carried over.
func (m *maker) number(mixes []Mix) []Mix {
	used, n := map[string]bool{}, map[string]int{}
	for _, x := range m.kept.mixes {
		used[x.ID] = true
	}
	for i := range mixes {
		x := &mixes[i]
		for {
			n[x.Crew]++
			x.ID = x.Crew + "/mix-" + strconv.Itoa(n[x.Crew])
			if !used[x.ID] {
				break
			}
		}
	}
	return mixes
}
