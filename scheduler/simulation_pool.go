package scheduler

import (
	"math"
	"slices"

	"potlife/rooms"
)

// simPool is what activities of the simulation take whole ones of: a crew's
// setters, its helpers, or the copies of a shared tool.
type simPool struct {
	hands []simHand
	away  []simTurn
	walks bool // goes from site to site by itself: people
}

// simHand is when one of a pool is free, where, and after which activity.
type simHand struct {
	at   int
	site int // -1: none yet
	from int
}

// simTurn is how many of a pool are missing from a minute on, until the next.
type simTurn struct{ at, missing int }

// simNeed is how many of a pool an activity takes.
type simNeed struct{ pool, count int }

func newPool(size int, walks bool) simPool {
	p := simPool{hands: make([]simHand, size), walks: walks}
	p.rest()
	return p
}

// rest frees all of a pool, as before the first day.
func (p *simPool) rest() {
	for i := range p.hands {
		p.hands[i] = simHand{site: -1, from: -1}
	}
}

// missing is how many of a pool are away at a minute, and when the first of them comes
// back.
func (p *simPool) missing(at int) (n, back int) {
	i, found := slices.BinarySearchFunc(p.away, at, func(t simTurn, at int) int { return t.at - at })
	if !found {
		i--
	}
	if i < 0 || p.away[i].missing == 0 {
		return 0, math.MaxInt
	}
	for n, i = p.away[i].missing, i+1; i < len(p.away); i++ {
		if p.away[i].missing < n {
			return n, p.away[i].at
		}
	}
	return n, math.MaxInt
}

// wait is the minute, not before at, from which a pool may have so many free
// again, and the activity that has to end for it, -1 where somebody has to come
// back. It is at itself where they are free.
func (p *simPool) wait(count, at int) (next, holder int) {
	away, back := p.missing(at)
	free, next, holder := len(p.hands)-away, math.MaxInt, -1
	for _, h := range p.hands {
		if h.at > at {
			free--
			if h.at < next {
				next, holder = h.at, h.from
			}
		}
	}
	if free >= count {
		return at, -1
	}
	if back < next {
		next, holder = back, -1
	}
	if next == math.MaxInt {
		return at, -1
	}
	return next, holder
}

// fillPools makes the pools: for each crew that of its setters and behind it that
// of its helpers, then one for each shared tool.
func (s *simulation) fillPools(end int) (people, tools map[string]int) {
	people, tools = map[string]int{}, map[string]int{}
	for _, c := range s.plan.Firm.Crews {
		people[c.Key] = len(s.pools)
		set, help := newPool(max(1, c.Setters), true), newPool(c.Helpers, true)
		set.away, help.away = s.clock.turnsAway(&c, end)
		s.pools = append(s.pools, set, help)
	}
	for _, t := range s.plan.Firm.Tools {
		tools[t.Key] = len(s.pools)
		s.pools = append(s.pools, newPool(t.Count, false))
	}
	return people, tools
}

// turnsAway are the minutes up to an end at which setters of a crew come or go, and those
// at which its helpers do.
func (c Clock) turnsAway(crew *Crew, end int) (setters, helpers []simTurn) {
	if !crew.mayMiss() {
		return nil, nil
	}
	c.eachTurn(crew, end, func(at int, away []Absence, d rooms.Date, minute int) {
		s, h := crew.without(away, d, minute)
		setters, helpers = missing(setters, at, crew.Setters-s), missing(helpers, at, crew.Helpers-h)
	})
	return setters, helpers
}

// missing adds how many are missing from a minute on, behind all others.
func missing(list []simTurn, at, count int) []simTurn {
	if n := len(list); n > 0 && list[n-1].missing == count {
		return list
	}
	return append(list, simTurn{at, count})
}

// needsOf is what an activity takes of its crew's pools, the first of which is
// crew, and of those of the tools.
func needsOf(a *Activity, crew int, tools map[string]int) []simNeed {
	var out []simNeed
	if a.Setters > 0 {
		out = append(out, simNeed{crew, a.Setters})
	}
	if a.Helpers > 0 {
		out = append(out, simNeed{crew + 1, a.Helpers})
	}
	for _, k := range a.Tools {
		if t, ok := tools[k]; ok {
			out = append(out, simNeed{t, 1})
		}
	}
	return out
}

// order puts a pool's hands in the order in which they are free; they are few and
// nearly in it.
func (p *simPool) order() {
	for i := 1; i < len(p.hands); i++ {
		for k := i; k > 0 && p.hands[k].at < p.hands[k-1].at; k-- {
			p.hands[k], p.hands[k-1] = p.hands[k-1], p.hands[k]
		}
	}
}

// free is the first minute from ready on at which an activity can start: within
// its hours for d minutes, with all that it takes there and free. It notes whom
// it waited for as the activity's holder.
func (s *simulation) free(n *simNode, ready, d int) int {
	for _, need := range n.needs {
		p := &s.pools[need.pool]
		p.order()
		for _, h := range p.hands[:min(need.count, len(p.hands))] {
			at := h.at
			if p.walks {
				at += s.travel(h.site, n.site)
			}
			if at > ready {
				ready, n.holder = at, h.from
			}
		}
	}
	for {
		at, ok := earliest(n.hours, ready, d)
		if !ok {
			return ready // past all calendars: nothing can be known there
		}
		ready = at
		for _, need := range n.needs {
			p := &s.pools[need.pool]
			if next, holder := p.wait(min(need.count, len(p.hands)), at); next > ready {
				ready, n.holder = next, holder
			}
		}
		if ready == at {
			return at
		}
	}
}

// take keeps what an activity takes until it ends.
func (s *simulation) take(n *simNode, i int) {
	for _, need := range n.needs {
		p := &s.pools[need.pool]
		p.order()
		for k := range min(need.count, len(p.hands)) {
			h := &p.hands[k]
			h.at, h.site, h.from = max(h.at, n.end), n.site, i
		}
	}
}

// simHours are the hours in which activities can lie, by crew, site and whether
// they are loud. They are written on for sixty days more than the plan takes so
// that late runs have days to work on.
type simHours struct {
	clock       Clock
	end         int
	crews       map[string][]Interval
	rolls       map[string]roll       // of crews whose people have hours of their own
	sites, loud map[string][]Interval // of sites that keep hours
	known       map[simHoursKey][]Interval
}

type simHoursKey struct {
	crew, site string
	loud       bool
	gang       gang // where it matters who is there
}

func (s *simulation) newHours() *simHours {
	p := s.plan
	h := &simHours{clock: s.clock, end: p.Horizon + p.Finish + 60*1440, crews: map[string][]Interval{}, rolls: map[string]roll{}, sites: map[string][]Interval{},
		loud: map[string][]Interval{}, known: map[simHoursKey][]Interval{}}
	for _, c := range p.Firm.Crews {
		if c.ownHours() {
			h.rolls[c.Key] = h.clock.called(&team{Crew: c}, h.end)
		}
		h.crews[c.Key] = normal(slices.Concat(p.Hours[c.Key], h.clock.CrewHours(p.Firm, c, p.Horizon, h.end)))
	}
	for _, j := range p.Jobs {
		for _, site := range j.Sites {
			key := j.Key + "/" + site.Key
			if len(site.Hours) > 0 {
				h.sites[key] = h.clock.SiteHours(site, 0, h.end)
			}
			if len(site.Noise) > 0 {
				h.loud[key] = h.clock.SiteHours(rooms.Site{Hours: site.Noise}, 0, h.end)
			}
		}
	}
	return h
}

// of are the hours of an activity.
func (h *simHours) of(a *Activity) []Interval {
	k := simHoursKey{crew: a.Crew, site: a.Site, loud: a.Noisy}
	roll := h.rolls[a.Crew]
	if roll != nil {
		k.gang = gang{setters: a.Setters, helpers: a.Helpers}
	}
	if _, limited := h.loud[a.Site]; !limited {
		k.loud = false
	}
	out, ok := h.known[k]
	if ok {
		return out
	}
	out = h.crews[a.Crew]
	if open, ok := h.sites[a.Site]; ok {
		out = Common(out, open)
	}
	if k.loud {
		out = Common(out, h.loud[a.Site])
	}
	if roll != nil { // whoever begins it is there to its end
		out = roll.manned(out, k.gang)
	}
	h.known[k] = out
	return out
}
