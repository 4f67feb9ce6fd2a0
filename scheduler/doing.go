package scheduler

import (
	"slices"
	"strings"

	"potlife/rooms"
)

// doing is how many times as long as planned for its gang, at the firm's rates, an
// activity may take those who did it, and the one person whose doing it shows. Who had
// no name to be said counts as planned.
func (c *Crew) doing(a *Activity, by []string, clock Clock, single float64) (times float64, person string) {
	at := clock.At(a.Start)
	did := c.peopleOf(by)
	named := len(did) > 0
	if !named {
		did = c.thereAt(rooms.DateOf(at), at.Hour()*60+at.Minute())
	}
	i, _ := slices.BinarySearchFunc(did, Person{Helper: true}, compareRoles)
	setters, helpers := did[:i], did[i:]
	s, h, quick := max(1, a.Setters), a.Helpers, meanSpeed(pacesOf(setters))
	planned := speedOf(s, h, single)
	if named && len(c.Names(false)) > 0 {
		s = len(setters)
	}
	if named && len(c.Names(true)) > 0 {
		h = len(helpers)
	}
	switch {
	case s == 0: // helpers alone: as setters alone
		s, h, quick = h, 0, meanSpeed(pacesOf(helpers))
		if s == 1 {
			person = helpers[0].Name
		}
	case s == 1 && named && len(setters) == 1:
		person = setters[0].Name
	}
	share := float64(h) / float64(s)
	return planned / (float64(float64(s)*quick) * helped(float64(share*meanSpeed(pacesOf(helpers))), single)), person
}

func pacesOf(people []Person) (out []float64) {
	for i := range people {
		out = append(out, people[i].pace())
	}
	return out
}

// peopleOf are the people of a crew with the names, each once, setters first.
func (c *Crew) peopleOf(names []string) []Person {
	return c.pick(func(p *Person) bool {
		return slices.ContainsFunc(names, func(n string) bool { return strings.EqualFold(n, p.Name) })
	})
}

// thereAt are the people of a crew who are there at a minute of a day, as far as it is
// known who is away.
func (c *Crew) thereAt(d rooms.Date, minute int) []Person {
	return c.pick(func(p *Person) bool {
		return !slices.ContainsFunc(c.Away, func(a Absence) bool { return a.on(d, minute) && strings.EqualFold(a.Who, p.Name) })
	})
}

func (c *Crew) pick(is func(*Person) bool) (out []Person) {
	for i := range c.People {
		if is(&c.People[i]) {
			out = append(out, c.People[i])
		}
	}
	slices.SortStableFunc(out, compareRoles)
	return out
}
