package scheduler

import (
	"fmt"
	"slices"
	"strings"

	"potlife/rooms"
	"potlife/takeoff"
)

// loudCuts says of each site that keeps hours for loud work when the cuts that a
// sheet lists for it may be made there: saw, grinder and drill run in these hours,
// whether the piece is set that day or the day after.
func (s *sheeter) loudCuts(sh *Sheet) (out []string) {
	if !slices.ContainsFunc(s.rooms, func(r *roomWork) bool { return len(s.works.noise[r.site].open) > 0 }) {
		return nil
	}
	minutes, siteOf := map[string]float64{}, map[string]string{}
	for _, r := range s.rooms {
		siteOf[r.key] = r.site
	}
	var sites []string
	for _, g := range sh.Cuts {
		if g.Tool == takeoff.Snap {
			continue
		}
		for _, id := range g.Pieces {
			p := s.pieces[id]
			if p == nil {
				continue
			}
			site := siteOf[roomOfSurface(p.surface)]
			if len(s.works.noise[site].open) == 0 {
				continue
			}
			if !slices.Contains(sites, site) {
				sites = append(sites, site)
			}
			minutes[site] += s.perCut(g.Tool) * aheadShare
		}
	}
	slices.Sort(sites)
	for _, k := range sites {
		out = append(out, s.loudWords(k, sh.Date, ceilMinutes(minutes[k])))
	}
	return out
}

func (s *sheeter) loudWords(site string, day rooms.Date, minutes int) string {
	name := s.works.called.site(site)
	open := Common(s.works.noise[site].open, []Interval{{s.clock.DayStart(day), s.clock.DayStart(day.AddDays(1))}})
	if len(open) == 0 {
		return fmt.Sprintf("%s allows no loud work today: make the listed cuts with saw, grinder and drill in the yard (about %s).", name, words(minutes))
	}
	var hours []string
	there := 0
	for _, h := range open {
		hours = append(hours, s.clock.At(h.Start).Format("15:04")+" to "+s.clock.At(h.End).Format("15:04"))
		there += h.End - h.Start
	}
	text := fmt.Sprintf("%s allows loud work from %s: make the listed cuts with saw, grinder and drill then (about %s)", name, strings.Join(hours, " and "), words(minutes))
	if minutes > there {
		text += ", and what does not fit in the yard"
	}
	return text + "."
}

// perCut is what one cut with a tool takes, in minutes.
func (s *sheeter) perCut(tool string) float64 {
	switch tool {
	case takeoff.Snap:
		return s.works.rates.PerCutSnap
	case takeoff.HoleSaw:
		return s.works.rates.PerHole
	}
	return s.works.rates.PerCutWet
}
