package scheduler

import (
	"cmp"
	"fmt"
	"slices"
)

// prepare writes out the calendars and the firm's side of the network.
func (m *maker) prepare() error {
	f := &m.in.Firm
	w := &works{firm: f, limits: m.limits, rates: f.Rates.filled(), tiles: m.tiles, products: m.products, clock: m.clock,
		crews: map[string]*team{}, called: called(f, m.jobs), shift: map[[2]string]shift{}, hours: map[string][]Interval{}, siteHours: map[string][]Interval{},
		common: map[[2]string][]Interval{}, windows: map[string]*window{}, open: map[string][]Interval{}, used: map[string]bool{}, areaOf: m.kept.areasOf,
		releases: m.taken.Releases(f.Catalogue, m.orderDay, m.usedBefore())}
	w.today, w.begin, w.frozen, w.relax, w.replan = m.today, m.open, m.frozen, m.relax, m.in.Prior != nil
	w.brink, w.brinkAll = m.brink, m.brinkAll
	w.again = m.mayTryAgain()
	w.factor = factorsOf(m.learned)
	if m.heat == nil {
		m.heat = m.firstHeat()
	}
	w.heat = m.heat
	w.horizon = m.horizon(w)
	crews := make([]team, 0, len(f.Crews)) // pointed at
	for _, c := range f.Crews {
		crews = append(crews, c.told(w.factor))
		w.crews[c.Key] = &crews[len(crews)-1]
		w.hours[c.Key] = m.crewHours(c, w.horizon)
		if len(w.hours[c.Key]) == 0 {
			return fmt.Errorf("%w: %s works on no day from %s on", ErrInput, w.called.crew(c.Key), m.in.Today.Words())
		}
		w.daily = append(w.daily, Working(w.hours[c.Key], w.opens(c.Key), w.opens(c.Key)+28*1440)/28)
	}
	for _, j := range m.jobs {
		for _, s := range j.Sites {
			key := j.Key + "/" + s.Key
			w.siteHours[key] = m.clock.SiteHours(s, 0, w.horizon)
			for _, c := range f.Crews {
				k := [2]string{c.Key, key}
				w.common[k] = Common(w.hours[c.Key], w.siteHours[key])
				w.shift[k] = shiftOf(from(w.common[k], w.opens(c.Key)))
			}
		}
	}
	w.call(crews)
	w.teams = w.teamsOf(crews)
	for _, c := range w.teams[len(f.Crews):] {
		i := slices.IndexFunc(f.Crews, func(k Crew) bool { return k.Key == c.Key })
		w.daily = append(w.daily, w.daily[i])
	}
	w.spells = w.spellsOf(crews)
	w.noise = m.quiet(w)
	for _, a := range m.kept.activities {
		w.used[a.ID] = true
	}
	m.works = w
	return m.readyRooms()
}

// call writes out who is there, of crews whose people have hours of their own.
func (w *works) call(crews []team) {
	w.strong, w.shifts = map[string][]hands{}, map[mannedKey]shift{}
	for i := range crews {
		if c := &crews[i]; c.ownHours() {
			list := w.clock.called(c, w.horizon)
			w.strong[c.Key] = list.strengths(from(w.hours[c.Key], w.clock.DayStart(w.clock.Day(w.begin))))
			c.roll = list
		}
	}
}

func factorsOf(learned []LearnedRate) map[rateKey]float64 {
	out := make(map[rateKey]float64, len(learned))
	for _, l := range learned {
		out[rateKey{l.Kind, l.Class, l.Crew, l.Person}] = l.Factor
	}
	return out
}

// crewHours are a crew's hours up to a minute; on past and issued days they are
// those of the plan in force, so that an absence entered later does not unmake
// work that is done.
func (m *maker) crewHours(c Crew, to int) []Interval {
	if m.in.Prior == nil || m.in.Prior.Hours[c.Key] == nil {
		return m.clock.CrewHours(m.in.Firm, c, 0, to)
	}
	until := max(m.today, m.frozen[c.Key])
	was := Common(m.in.Prior.Hours[c.Key], []Interval{{0, until}})
	return normal(slices.Concat(was, m.clock.CrewHours(m.in.Firm, c, until, to)))
}

// from are the intervals that end after t.
func from(in []Interval, t int) []Interval {
	i, _ := slices.BinarySearchFunc(in, t, func(v Interval, t int) int { return cmp.Compare(v.End, t) })
	return in[i:]
}

// readyRooms looks up recipes and refuses rooms too cold for what is used there.
func (m *maker) readyRooms() error {
	var cold []string
	for _, r := range m.rooms {
		steps, err := recipeFor(&m.in.Firm, r.key, r.room)
		if err != nil {
			return fmt.Errorf("%w: %w", ErrInput, err)
		}
		r.recipe = steps
		cold = append(cold, m.works.chill(r)...)
	}
	if len(cold) > 0 {
		text := cold[0]
		for _, c := range cold[1:] {
			text += "; " + c
		}
		return &Infeasible{Text: text}
	}
	return nil
}

// farDays is how far ahead anything is dated: thirty years, more than a thousand rooms take one small crew.
const farDays = 30 * 365

// horizon is generous: dates named in the job, deliveries, and a multiple of
// the days the work takes; where a plan is known, its end and some months.
func (m *maker) horizon(w *works) int {
	last := w.begin
	for _, c := range m.in.Firm.Crews {
		last = max(last, w.opens(c.Key))
	}
	for _, r := range m.rooms {
		last = max(last, r.ready, r.due)
		for _, h := range r.room.Holds {
			if !h.Until.IsZero() {
				last = max(last, m.clock.DayStart(h.Until))
			}
			last = max(last, h.Minutes)
		}
	}
	for _, d := range w.releases {
		if !d.IsZero() {
			last = max(last, m.clock.DayStart(d))
		}
	}
	m2 := 0.0
	for _, r := range m.rooms {
		for _, f := range r.surfaces {
			if f.src.Base != nil {
				last = max(last, m.clock.DayStart(f.src.Base.Ready()))
			}
			m2 += f.m2
		}
	}
	days := 90 + (3*len(m.rooms)+int(m2/2))/len(m.in.Firm.Crews)*2
	far := last + min(days, farDays)*1440
	if m.near > 0 {
		return min(far, max(last+nearDays*1440, m.near))
	}
	return far
}
