package scheduler

import (
	"fmt"
	"maps"
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

// loudWork says which work of a sheet keeps to its site's hours for loud work, so that
// who is sent there at nine or home at ten reads why. Cuts are told of by loudCuts.
func (s *sheeter) loudWork(sh *Sheet) (out []string) {
	work := map[string][]string{}
	for _, id := range sh.Activities {
		if a := s.byID[id]; a.Noisy && a.Kind != kindCut && !slices.Contains(work[a.Site], a.Title) {
			work[a.Site] = append(work[a.Site], a.Title)
		}
	}
	for _, site := range slices.Sorted(maps.Keys(work)) {
		hours, _ := s.loudHours(site, sh.Date)
		if len(hours) > 0 {
			out = append(out, fmt.Sprintf("%s allows loud work only from %s, which holds for: %s.", s.works.called.site(site), strings.Join(hours, " and "), strings.Join(work[site], "; ")))
		}
	}
	return out
}

// loudHours lists a site's hours for loud work on a day, with their minutes.
func (s *sheeter) loudHours(site string, day rooms.Date) (hours []string, minutes int) {
	for _, h := range Common(s.works.noise[site].open, []Interval{{s.clock.DayStart(day), s.clock.DayStart(day.AddDays(1))}}) {
		hours = append(hours, s.clock.At(h.Start).Format("15:04")+" to "+s.clock.At(h.End).Format("15:04"))
		minutes += h.End - h.Start
	}
	return hours, minutes
}

func (s *sheeter) loudWords(site string, day rooms.Date, minutes int) string {
	name := s.works.called.site(site)
	hours, there := s.loudHours(site, day)
	if len(hours) == 0 {
		return fmt.Sprintf("%s allows no loud work today: make the listed cuts with saw, grinder and drill in the yard (about %s).", name, words(minutes))
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
