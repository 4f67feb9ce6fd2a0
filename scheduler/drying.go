package scheduler

import (
	"fmt"
	"slices"
	"strings"

	"potlife/takeoff"
)

// defaultSawDry is how long a piece dries after the wet saw, wiped and stood on
// edge, before it is set: a film of water on its back keeps the mortar from
// bonding (tile trade press, FCI magazine on wet saws); the hour is common practice.
const defaultSawDry = 60

// sawn reports whether a piece is cut with water on it: by wet saw or hole saw.
func sawn(p *takeoff.Piece) bool {
	return slices.ContainsFunc(p.Cuts, func(c takeoff.Cut) bool { return runsWet(c.Tool) })
}

func runsWet(tool string) bool { return tool == takeoff.WetSaw || tool == takeoff.HoleSaw }

// dryMinutes is how long a sawn piece of a tile dries before it is set in a mortar:
// the longer of what their own sheets say, else the firm's.
func (w *works) dryMinutes(tile, mortar string) int {
	a, b := w.tiles[tile].SawDry, w.products[mortar].Sheet.SawDry
	if a == 0 && b == 0 {
		return max(0, w.limits.SawDry)
	}
	return max(0, a, b)
}

// wetPieces come off the saw together on the day on which they are set.
type wetPieces struct {
	room       string
	list       []*indexedPiece
	onSite     bool
	until, dry int // the minute from which they can be dry, and how long that takes
	early      int // pieces whose mortar is spread before
}

// drying puts on each sheet the pieces that are sawn wet on the day on which they are
// set, and the minute from which they can be dry: the listed ones sawn from the first
// work of the day on, one area after the other and at the hours in which their site
// allows loud work, those measured on site from the beginning of their area. Those
// that are dry by their turn stand together.
func (s *sheeter) drying() {
	for _, d := range s.order {
		sh := s.days[d]
		today := map[string]bool{}
		for _, g := range sh.Cuts {
			if !runsWet(g.Tool) {
				continue
			}
			for _, id := range g.Pieces {
				today[id] = true
			}
		}
		at := s.begin(sh)
		var all []wetPieces
		for _, id := range sh.Areas {
			a := s.areaOf[id]
			listed, onSite := a.sawn(today)
			at = s.works.sawnBy(s.byID[a.Activity].Site, at, ceilMinutes(s.atTheSaw(listed, aheadShare)))
			all = s.addWet(all, a.Area, wetPieces{list: listed, until: at})
			saw := a.Start + ceilMinutes(s.atTheSaw(onSite, 1)+measureMinutes*float64(len(onSite)))
			all = s.addWet(all, a.Area, wetPieces{list: onSite, until: max(at, saw), onSite: true})
		}
		for _, w := range all {
			sh.Waits = append(sh.Waits, Wait{w.room, w.until, s.dryWords(w)})
		}
		sortWaits(sh.Waits)
	}
}

// sawnBy is the minute at which cuts are made that take so many minutes and begin at
// a minute or after it: a saw runs only while its site allows loud work. What does
// not fit into these hours of the day, or on a day that has none, is cut in the yard
// without waiting for them.
func (w *works) sawnBy(site string, at, minutes int) int {
	noise := w.noise[site]
	if minutes == 0 || noise == nil || len(noise.open) == 0 {
		return at + minutes
	}
	end := w.clock.DayStart(w.clock.Day(at).AddDays(1))
	for _, v := range Common(noise.open, []Interval{{at, end}}) {
		if v.Start+minutes <= v.End {
			return v.Start + minutes
		}
		at, minutes = v.End, minutes-(v.End-v.Start)
	}
	return at + minutes
}

// addWet adds the pieces of an area that come off the saw at w.until.
func (s *sheeter) addWet(all []wetPieces, a *Area, w wetPieces) []wetPieces {
	for _, p := range w.list {
		w.dry = max(w.dry, s.works.dryMinutes(p.Tile, a.Mortar))
	}
	if len(w.list) == 0 || w.dry == 0 {
		return all
	}
	w.room, w.until = s.byID[a.Activity].Room, w.until+w.dry
	w.early = spreadBefore(a, w.list, w.until)
	for i := range all {
		if v := &all[i]; v.room == w.room && v.onSite == w.onSite && v.dry == w.dry && (v.early+w.early == 0 || v.until == w.until) {
			v.list, v.until, v.early = append(v.list, w.list...), max(v.until, w.until), v.early+w.early
			return all
		}
	}
	return append(all, w)
}

func (s *sheeter) dryWords(w wetPieces) string {
	var surfaces []string
	for _, p := range w.list {
		if name := s.surfaceIn(p.surface, w.room); !slices.Contains(surfaces, name) {
			surfaces = append(surfaces, name)
		}
	}
	mark := ", "
	if strings.Contains(strings.Join(surfaces, ""), ",") {
		mark = "; "
	}
	what := "sawn wet first"
	if w.onSite {
		what = "measured and sawn wet as their area begins"
	}
	then := "set in their turn"
	switch {
	case w.early == len(w.list):
		then = "set last"
	case w.early > 0:
		then = fmt.Sprintf("set, last the %d whose turn comes sooner", w.early)
	}
	return fmt.Sprintf("%s (%s) %s, dry %s, wiped: then %s", several(len(w.list), "piece"), strings.Join(surfaces, mark), what, words(w.dry), then)
}

// begin is the first minute of work on a sheet's day.
func (s *sheeter) begin(sh *Sheet) int {
	first := s.clock.DayStart(sh.Date.AddDays(1))
	for _, id := range sh.Activities {
		for _, w := range s.byID[id].Work {
			if s.clock.Day(w.Start) == sh.Date {
				first = min(first, w.Start)
			}
		}
	}
	return first
}

// sawn are the pieces of an area that are sawn wet on its own day: those that
// its sheet lists, and those to be measured first.
func (a *sheetArea) sawn(today map[string]bool) (listed, onSite []*indexedPiece) {
	for _, p := range a.pieces {
		switch {
		case p.OnSite && sawn(p.Piece):
			onSite = append(onSite, p)
		case !p.OnSite && len(today) > 0 && today[p.ID]:
			listed = append(listed, p)
		}
	}
	return listed, onSite
}

// atTheSaw is what the cuts of pieces take, in minutes.
func (s *sheeter) atTheSaw(list []*indexedPiece, share float64) float64 {
	m := 0.0
	for _, p := range list {
		m += cutMinutes(s.works.rates, p.Piece) * share
	}
	return m
}

// surfaceIn is a surface's name without its room's.
func (s *sheeter) surfaceIn(key, room string) string {
	return strings.TrimPrefix(known(s.works.called.surfaces, key), s.works.called.room(room)+", ")
}

// spreadBefore counts the pieces whose mortar is spread before a minute.
func spreadBefore(a *Area, list []*indexedPiece, until int) int {
	early := map[string]bool{}
	for _, t := range a.Patches {
		for _, id := range t.Pieces {
			early[id] = t.Start < until
		}
	}
	n := 0
	for _, p := range list {
		if early[p.ID] {
			n++
		}
	}
	return n
}
