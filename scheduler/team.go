package scheduler

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"potlife/rooms"
)

// worker is one of a crew with what was recorded of the person.
type worker struct {
	Person
	shown map[string]float64 // how much longer than at the pace each kind of work took
}

func (p *worker) pace(kind string) float64 {
	f := p.Person.pace()
	if s := p.shown[kind]; s > 0 {
		f *= s
	}
	return f
}

// words are alike for people who take as long for all work.
func (p *worker) words() string {
	text := fmt.Sprintf("%t %g", p.Helper, p.Person.pace())
	for _, kind := range slices.Sorted(maps.Keys(p.shown)) {
		text += fmt.Sprintf(" %s %g", kind, p.shown[kind])
	}
	return text
}

// who is a set of a crew's people by their place among its setters and among its
// helpers; none where nothing tells its people apart.
type who struct{ setters, helpers uint64 }

// all is the set of so many.
func all(n int) uint64 { return 1<<min(n, MostNamed) - 1 }

// team is a crew, or part of one, as it is planned with: its people stand in order,
// the slowest first, where their paces matter; there are none where they all take as
// long as the rates say, as it makes no difference then who of them is there.
type team struct {
	Crew
	people []worker
	who    who
	roll   roll // where its people have hours of their own
}

// told is a crew whose people are told apart.
func (c Crew) told(factor map[rateKey]float64) team {
	var people []worker
	matter := false
	for _, q := range c.People {
		p := worker{q, map[string]float64{}}
		for k, f := range factor {
			if k.crew == c.Key && k.person == p.Name && f > 0 && f != 1 {
				p.shown[k.kind] = f
			}
		}
		people = append(people, p)
		matter = matter || p.Person.pace() != 1 || len(p.shown) > 0
	}
	if !matter {
		return team{Crew: c}
	}
	slices.SortStableFunc(people, func(a, b worker) int {
		return cmp.Or(compareRoles(a.Person, b.Person), cmp.Compare(b.Person.pace(), a.Person.pace()), cmp.Compare(a.words(), b.words()))
	})
	return team{c, people, who{all(len(c.Names(false))), all(len(c.Names(true)))}, nil}
}

// words are alike for teams whose people take as long.
func (c *team) words() (out []string) {
	for i := range c.people {
		out = append(out, c.people[i].words())
	}
	return append(out, fmt.Sprint(c.who))
}

// whoOf are those of the crew who are there at a minute of a day with such absences. Of
// people who take alike it counts how many are there, not which.
func (c *team) whoOf(away []Absence, d rooms.Date, minute int) who {
	w := c.who
	if w == (who{}) {
		return w
	}
	for _, a := range away {
		if a.Who == "" || !a.on(d, minute) {
			continue // of somebody without a name it is not known how quick the others are
		}
		setters, helpers := 0, 0
		for _, p := range c.people {
			at, set := &setters, &w.setters
			if p.Helper {
				at, set = &helpers, &w.helpers
			}
			if strings.EqualFold(p.Name, a.Who) {
				*set &^= 1 << *at
			}
			*at++
		}
	}
	return who{c.likened(w.setters, false), c.likened(w.helpers, true)}
}

// likened puts the first of people who take alike in the place of any others of them.
func (c *team) likened(set uint64, helper bool) (out uint64) {
	at, begin, n, like := 0, 0, 0, ""
	for i := range c.people {
		p := &c.people[i]
		if p.Helper != helper {
			continue
		}
		if text := p.words(); text != like {
			begin, n, like = at, 0, text
		}
		if set>>at&1 == 1 {
			out |= 1 << (begin + n)
			n++
		}
		at++
	}
	return out
}

// speed is the mean speed of people of a role for a kind of work, against the firm's
// rates. Who of those there goes into a room is settled on the morning: where two of
// three setters work in it, each counts as the mean of the three.
func (c *team) speed(set uint64, helper bool, kind string) float64 {
	var paces []float64
	at := 0
	for i := range c.people {
		p := &c.people[i]
		if p.Helper != helper {
			continue
		}
		if set>>at&1 == 1 {
			paces = append(paces, p.pace(kind))
		}
		at++
	}
	return meanSpeed(paces)
}

// meanSpeed is that of people with such paces; 1 of nobody.
func meanSpeed(paces []float64) float64 {
	if len(paces) == 0 {
		return 1
	}
	sum := 0.0
	for _, p := range paces {
		sum += 1 / p
	}
	return sum / float64(len(paces))
}

// paceOf is how many times as long as at the firm's rates a gang of a crew takes for a
// kind of work, with those of it who are there. Setters add up their speeds. A helper
// who takes longer serves that much less of the setters' time; one who is quicker
// serves more of them, and makes nobody faster than a helper of his own would.
func (c *team) paceOf(there who, kind string, g gang, single float64) float64 {
	if c.who == (who{}) {
		return 1
	}
	setters, helpers := c.speed(there.setters, false, kind), c.speed(there.helpers, true, kind)
	share := float64(g.helpers) / float64(max(1, g.setters))
	return helped(share, single) / float64(setters*helped(float64(share*helpers), single))
}

// helped is the speed of a setter with a share of a helper, against one with a helper
// of his own.
func helped(share, single float64) float64 {
	return single + float64((1-single)*min(1, share))
}

// speedOf is the speed of setters and helpers who work together, against one setter
// with one helper.
func speedOf(setters, helpers int, single float64) float64 {
	return float64(setters) * helped(float64(helpers)/float64(setters), single)
}
