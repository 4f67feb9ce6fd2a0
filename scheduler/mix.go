package scheduler

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"potlife/takeoff"
)

// mixLead is how long before its first patch a mix is begun: mixing and
// slaking, common practice.
const mixLead = 5

// defaultWater is litres a kg where a sheet is silent: 5 to 5.75 l for 25 kg on
// a C2TE sheet.
const defaultWater = 0.22

// feed is a patch that needs mortar.
type feed struct {
	patch    MixPatch
	activity string
	start    int
	kg       float64
	site     string
}

// mortarMixes mixes for the patches of a crew with one mortar, which come in
// order of time. Each mix runs as far as its working life and the bucket reach:
// taking the most at each step gives the fewest mixes.
func mortarMixes(crew string, p takeoff.Product, feeds []feed, life, pot int) []Mix {
	var out []Mix
	for i := 0; i < len(feeds); {
		m := Mix{Crew: crew, Product: p.Key, Start: feeds[i].start - mixLead, UseBy: -1, Activity: feeds[i].activity}
		if !p.Sheet.ReadyMixed {
			m.PotMinutes, m.UseBy = pot, m.Start+life
		}
		j := i
		for ; j < len(feeds); j++ {
			f := feeds[j]
			apart := f.site != feeds[i].site || p.Sheet.ReadyMixed && f.activity != m.Activity
			if j > i && (apart || m.UseBy >= 0 && f.start > m.UseBy || !p.Sheet.ReadyMixed && m.Kg+f.kg > bucketKg+1e-9) {
				break
			}
			m.Kg += f.kg
			m.Patches = append(m.Patches, f.patch)
		}
		out = append(out, m)
		i = j
	}
	return out
}

// workMixes mixes grout or leveller evenly over the minutes of an activity.
func workMixes(t *task, p takeoff.Product, kg float64, life, pot int) []Mix {
	if kg <= 0 {
		return nil
	}
	n := max(1, int(math.Ceil(kg/bucketKg-1e-9)))
	if !p.Sheet.ReadyMixed {
		n = max(n, (t.minutes+life-1)/max(1, life))
	}
	n = max(1, min(n, int(kg*10)))
	var out []Mix
	for i := range n {
		m := Mix{Crew: t.crew, Product: p.Key, Kg: kg / float64(n), Start: t.start + t.minutes*i/n, UseBy: -1, Activity: t.id}
		if !p.Sheet.ReadyMixed {
			m.PotMinutes, m.UseBy = pot, m.Start+life
		}
		out = append(out, m)
	}
	return out
}

// life is how long a mix of p may be used in a room and its pot life there.
func (w *works) life(p takeoff.Product, r *roomWork) (life, pot int) {
	pot = p.Sheet.PotMinutes
	if pot == 0 {
		pot = defaultPot
		if p.Kind == takeoff.KindGrout {
			pot = defaultGroutPot
		}
	}
	warm := r.warmest()
	if p.Sheet.MaxCelsius > 0 {
		warm = min(warm, p.Sheet.MaxCelsius)
	}
	pot = max(1, WorkingMinutes(pot, warm, p.Sheet.Reference))
	life = int(math.Floor(float64(pot)*w.limits.PotSafety + 1e-9))
	if p.Kind == takeoff.KindMortar {
		life = max(life, mixLead)
	}
	return max(1, life), pot
}

// mixes draws the mixes of all new work, weighs them to 0.1 kg and numbers
// them after those carried over.
func (m *maker) mixes() []Mix {
	type line struct{ crew, product string }
	feeds := map[line][]feed{}
	rooms := map[line]*roomWork{}
	var lines []line
	var out []Mix
	for _, t := range m.byStart() {
		if t.fixed != nil {
			continue
		}
		if t.area != nil && t.area.bed.mortar != "" {
			k := line{t.crew, t.area.bed.mortar}
			if feeds[k] == nil {
				lines = append(lines, k)
			}
			if r := rooms[k]; r == nil || r.warmest() < t.room.warmest() {
				rooms[k] = t.room // the warmest room bounds a mix that serves several
			}
			for i, p := range t.area.patches {
				feeds[k] = append(feeds[k], feed{MixPatch{t.area.id, i}, t.id, t.start + p.start, p.kg, t.room.site})
			}
		}
		for _, u := range t.mixed {
			p := m.products[u.Product]
			life, pot := m.works.life(p, t.room)
			out = append(out, workMixes(t, p, u.Quantity, life, pot)...)
		}
	}
	for _, k := range lines {
		f := feeds[k]
		slices.SortStableFunc(f, func(a, b feed) int { return cmp.Compare(a.start, b.start) })
		life, pot := m.works.life(m.products[k.product], rooms[k])
		out = append(out, mortarMixes(k.crew, m.products[k.product], f, life, pot)...)
	}
	slices.SortStableFunc(out, func(a, b Mix) int {
		return cmp.Or(cmp.Compare(a.Start, b.Start), cmp.Compare(a.Crew, b.Crew), cmp.Compare(a.Product, b.Product), cmp.Compare(a.Activity, b.Activity))
	})
	m.weigh(out)
	return m.number(out)
}

// weigh rounds each mix up to 0.1 kg, and where that would take more than is
// bought, only the running total.
func (m *maker) weigh(mixes []Mix) {
	bought, drawn := map[string]float64{}, map[string]float64{}
	for _, x := range m.taken.Materials {
		bought[x.Product] += x.Quantity
	}
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
		if up[p]+drawn[p] <= bought[p]+1e-6 {
			x.Kg = tenthUp(x.Kg)
		} else {
			due[p] += x.Kg
			x.Kg = max(0.1, tenthUp(due[p]-given[p]))
			given[p] += x.Kg
		}
		x.Kg = math.Round(x.Kg*10) / 10
		sheet := m.products[p].Sheet
		if !sheet.ReadyMixed {
			water := sheet.WaterPerKg
			if water == 0 {
				water = defaultWater
			}
			x.WaterL = math.Round(x.Kg*water*100) / 100
		}
	}
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
			x.ID = fmt.Sprintf("%s/mix-%d", x.Crew, n[x.Crew])
			if !used[x.ID] {
				break
			}
		}
	}
	return mixes
}
