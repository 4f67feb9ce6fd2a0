package scheduler

import (
	"math"
	"slices"

	"potlife/takeoff"
)

// mixGroup is what one mix serves: indices into the feeds, in order of time.
type mixGroup []int

// sameMix reports whether two feeds may take from one mix but for its time and
// size.
func sameMix(p takeoff.Product, a, b feed) bool {
	return a.site == b.site && (!p.Sheet.ReadyMixed || a.activity == b.activity)
}

// mixesOf mixes for a crew's feeds of one product, which come in order of time. A
// mix may be used for as long as it may in the warmest of the rooms that it
// serves, each at its own time; it is drawn for feeds that follow one another, and
// two such mixes become one where that one serves all.
func mixesOf(crew string, p takeoff.Product, feeds []feed, size mixSize) []Mix {
	var out []Mix
	for _, g := range joined(p, feeds, consecutive(p, feeds, size), size) {
		first := feeds[g[0]]
		m := Mix{Crew: crew, Product: p.Key, Start: first.begun(), UseBy: -1, Activity: first.activity}
		life, pot := endless, endless
		for _, i := range g {
			f := feeds[i]
			m.Kg += f.kg
			life, pot = min(life, f.life), min(pot, f.pot)
			if f.work {
				m.also(f)
			} else {
				m.Patches = append(m.Patches, f.patch)
			}
		}
		if !p.Sheet.ReadyMixed {
			m.PotMinutes, m.UseBy = pot, m.Start+life
		}
		out = append(out, size.filled(m))
	}
	return out
}

// also counts what work other than that for which a mix is begun takes from it.
func (m *Mix) also(f feed) {
	if f.activity == m.Activity {
		return
	}
	i := slices.IndexFunc(m.Also, func(w MixWork) bool { return w.Activity == f.activity })
	if i < 0 {
		i = len(m.Also)
		m.Also = append(m.Also, MixWork{Activity: f.activity})
	}
	m.Also[i].Kg = round3(m.Also[i].Kg + f.kg)
}

// consecutive shares feeds out to mixes that serve feeds following one another:
// of all ways one with the fewest mixes, of those with the least thrown away, of
// those the most even, by dynamic programming from the last feed back.
func consecutive(p takeoff.Product, feeds []feed, size mixSize) []mixGroup {
	type best struct {
		mixes        int
		thrown, even float64
		to           int
	}
	n := len(feeds)
	at := make([]best, n+1)
	for i := n - 1; i >= 0; i-- {
		at[i].mixes = math.MaxInt
		kg, life, by := 0.0, endless, 0
		for j := i; j < n; j++ {
			kg, life, by = kg+feeds[j].kg, min(life, feeds[j].life), max(by, feeds[j].by)
			if j > i && (!sameMix(p, feeds[i], feeds[j]) || by > feeds[i].begun()+life || size.over(p, feeds[j], kg)) {
				break
			}
			up := size.up(kg)
			c := best{at[j+1].mixes + 1, at[j+1].thrown + up - kg, at[j+1].even + float64(kg*kg), j + 1}
			if b := at[i]; c.mixes < b.mixes || c.mixes == b.mixes && (c.thrown < b.thrown-1e-6 || c.thrown <= b.thrown+1e-6 && c.even < b.even-1e-6) {
				at[i] = c
			}
		}
	}
	var out []mixGroup
	for i := 0; i < n; i = at[i].to {
		var g mixGroup
		for k := i; k < at[i].to; k++ {
			g = append(g, k)
		}
		out = append(out, g)
	}
	return out
}

// over reports whether kg of a product are more than one mix may be. Ready-mixed
// adhesive is taken from its pail.
func (s mixSize) over(p takeoff.Product, f feed, kg float64) bool {
	return (!p.Sheet.ReadyMixed || f.work) && s.up(kg) > s.bucket+1e-9
}

// joined makes one of two mixes wherever that one lives long enough for all that
// both serve: a crew that goes from a cold room to a warm one and back uses its
// first bucket up.
func joined(p takeoff.Product, feeds []feed, groups []mixGroup, size mixSize) []mixGroup {
	for i := 0; i < len(groups); i++ {
		for k := i + 1; k < len(groups); k++ {
			first := feeds[groups[i][0]]
			if feeds[groups[k][0]].start > first.begun()+first.life {
				break
			}
			if both := slices.Concat(groups[i], groups[k]); serves(p, feeds, both, size) {
				slices.Sort(both)
				groups[i] = both
				groups = slices.Delete(groups, k, k+1)
				k--
			}
		}
	}
	return groups
}

// serves reports whether one mix serves a group of several feeds.
func serves(p takeoff.Product, feeds []feed, g mixGroup, size mixSize) bool {
	first := feeds[slices.Min(g)]
	kg, life, by := 0.0, endless, 0
	for _, i := range g {
		f := feeds[i]
		if !sameMix(p, first, f) {
			return false
		}
		kg, life, by = kg+f.kg, min(life, f.life), max(by, f.by)
	}
	return by <= first.begun()+life && !size.over(p, first, kg)
}
