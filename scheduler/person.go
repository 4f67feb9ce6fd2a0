package scheduler

import (
	"fmt"
	"slices"
	"strings"

	"potlife/rooms"
)

// Person is one of a crew whom the firm names.
type Person struct {
	Name   string
	Helper bool // else a setter
	// Pace is how many times as long as at the firm's rates the person takes; 0 is 1.
	Pace float64 `json:",omitempty"`
	// Hours are weekly hours of the person's own; none means that he or she comes whenever
	// the crew works. The person is there where both the crew's hours and these say so:
	// what lies outside the crew's hours adds nothing to them.
	Hours []rooms.DayHours `json:",omitempty"`
	// Off are days without the person, beside absences; on those of On the person is there
	// whenever the crew is, whatever Hours say.
	Off, On []rooms.Date `json:",omitempty"`
	// Special are hours of single dates instead of the weekday's: longer or shorter ones.
	Special []DatedHours `json:",omitempty"`
}

func (p *Person) pace() float64 {
	if p.Pace <= 0 {
		return 1
	}
	return p.Pace
}

// MostNamed is how many setters or helpers of a crew may have names.
const MostNamed = 64

// Named finds a person of the crew by name, in whatever case it is written.
func (c *Crew) Named(name string) (Person, bool) {
	i := slices.IndexFunc(c.People, func(p Person) bool { return strings.EqualFold(p.Name, name) })
	if i < 0 {
		return Person{}, false
	}
	return c.People[i], true
}

// Names are those of the crew's people, of setters or of helpers.
func (c *Crew) Names(helper bool) (out []string) {
	for _, p := range c.People {
		if p.Helper == helper {
			out = append(out, p.Name)
		}
	}
	return out
}

// Unnamed says what is wrong with the people of a crew, "" where they are as many as
// it has, each once, and its absences are theirs. A crew may name all its setters, all
// its helpers, both or none.
func (c *Crew) Unnamed() string {
	for i, p := range c.People {
		if p.Name == "" {
			return "one of its people has no name"
		}
		if first, _ := c.Named(p.Name); slices.IndexFunc(c.People, func(o Person) bool { return o.Name == first.Name }) < i {
			return fmt.Sprintf("it names %s twice", p.Name)
		}
	}
	for _, helper := range []bool{false, true} {
		has, role := c.Setters, "setter"
		if helper {
			has, role = c.Helpers, "helper"
		}
		if n := len(c.Names(helper)); n > 0 && (n != has || n > MostNamed) {
			return fmt.Sprintf("it has %s and names %d", several(has, role), n)
		}
	}
	for _, a := range c.Away {
		if why := c.Stranger(a); why != "" {
			return why
		}
	}
	return ""
}

// Stranger says what is wrong with the person of an absence, "" where the crew has that
// one, or names none in that part.
func (c *Crew) Stranger(a Absence) string {
	if a.Who == "" || len(c.People) == 0 {
		return ""
	}
	p, known := c.Named(a.Who)
	names := c.Names(a.Helper)
	role, other := "setter", "helper"
	if a.Helper {
		role, other = other, role
	}
	switch {
	case known && p.Helper != a.Helper:
		return fmt.Sprintf("%s is a %s and is away as a %s", p.Name, other, role)
	case !known && len(names) > 0:
		return fmt.Sprintf("it has no %s called %q; it names %s", role, a.Who, strings.Join(names, ", "))
	}
	return ""
}

// resize asks what more or fewer of a crew's setters or helpers would do, where they
// have names: one more takes as long as the rates say; with fewer it is not known who is
// left, and each takes what they take on the mean.
func (c *Crew) resize(helper bool, more int) {
	n, role := &c.Setters, "setter"
	if helper {
		n, role = &c.Helpers, "helper"
	}
	*n += more
	named := c.pick(func(p *Person) bool { return p.Helper == helper })
	slices.SortStableFunc(named, compareOwnHours) // of fewer, those are taken to be left who are always there
	if len(named) == 0 {
		return
	}
	mean := 1 / meanSpeed(pacesOf(named))
	c.People = c.pick(func(p *Person) bool { return p.Helper != helper })
	for i := range *n {
		p := Person{Name: fmt.Sprintf("%s %d", role, i+1), Helper: helper}
		if i < len(named) {
			p = named[i]
		}
		if more < 0 {
			p.Pace = mean
		}
		c.People = append(c.People, p)
	}
	c.Away = slices.Clone(c.Away)
	for i := range c.Away {
		if c.Stranger(c.Away[i]) != "" {
			c.Away[i].Who = ""
		}
	}
}

func compareRoles(a, b Person) int {
	switch {
	case a.Helper == b.Helper:
		return 0
	case b.Helper:
		return -1
	}
	return 1
}
