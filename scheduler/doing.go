package scheduler

import (
	"slices"
	"strings"

	"potlife/rooms"
)

// doing is how many times as long as planned for its gang, at the firm's rates, an
// activity may take those who did it, and the one person whose doing it shows.
func (c *Crew) doing(a *Activity, by []string, clock Clock, single float64) (times float64, person string) {
	at := clock.At(a.Start)
	did := c.peopleOf(by)
	named := len(did) > 0
	if !named {
		did = c.thereAt(rooms.DateOf(at), at.Hour()*60+at.Minute())
	}
	i, _ := slices.BinarySearchFunc(did, Person{Helper: true}, compareRoles)
	setters, helpers := did[:i], did[i:]
	planned, quick := speedOf(max(1, a.Setters), a.Helpers, single), meanSpeed(pacesOf(setters))
	s, h := c.counted(max(1, a.Setters), a.Helpers, by)
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

// counted is how many setters and helpers did what is planned for so many: those named.
// Who had no name to be said counts as planned.
func (c *Crew) counted(setters, helpers int, by []string) (s, h int) {
	did := c.peopleOf(by)
	if len(did) == 0 {
		return setters, helpers
	}
	if len(c.Names(false)) > 0 {
		setters = 0
	}
	if len(c.Names(true)) > 0 {
		helpers = 0
	}
	for _, p := range did {
		if p.Helper {
			helpers++
		} else {
			setters++
		}
	}
	return setters, helpers
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
	away := c.awayOn(d)
	return c.pick(func(p *Person) bool {
		return !slices.ContainsFunc(away, func(a Absence) bool { return a.on(d, minute) && strings.EqualFold(a.Who, p.Name) })
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
