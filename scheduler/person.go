package scheduler

import (
	"cmp"
	"fmt"
	"maps"
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
	// shown is how much longer than that each kind of work took, as recorded.
	shown map[string]float64
}

// pace is that of a kind of work.
func (p *Person) pace(kind string) float64 {
	f := p.Pace
	if f <= 0 {
		f = 1
	}
	if s := p.shown[kind]; s > 0 {
		f *= s
	}
	return f
}

// who is a set of a crew's people by their place among its setters and among its
// helpers; none where nothing tells its people apart.
type who struct{ setters, helpers uint64 }

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
		return fmt.Sprintf("it has no %s %q; it names %s", role, a.Who, strings.Join(names, ", "))
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
	if len(named) == 0 {
		return
	}
	mean := 1 / meanSpeed(named, "")
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

// told is the crew with its people in order, the slowest first, where their paces
// matter; without them where they all take as long as the rates say, as it makes no
// difference then who of them is there.
func (c Crew) told(factor map[rateKey]float64) Crew {
	people := slices.Clone(c.People)
	matter := false
	for i := range people {
		p := &people[i]
		p.shown = map[string]float64{}
		for k, f := range factor {
			if k.crew == c.Key && k.person == p.Name && f > 0 && f != 1 {
				p.shown[k.kind] = f
			}
		}
		matter = matter || p.pace("") != 1 || len(p.shown) > 0
	}
	c.People, c.who = nil, who{}
	if !matter {
		return c
	}
	slices.SortStableFunc(people, func(a, b Person) int {
		return cmp.Or(compareRoles(a, b), cmp.Compare(b.pace(""), a.pace("")), cmp.Compare(a.paceWords(), b.paceWords()))
	})
	c.People = people
	c.who = who{all(len(c.Names(false))), all(len(c.Names(true)))}
	return c
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

// all is the set of so many.
func all(n int) uint64 { return 1<<min(n, MostNamed) - 1 }

// paceWords are alike for people who take as long for all work.
func (p *Person) paceWords() string {
	text := fmt.Sprintf("%t %g", p.Helper, p.pace(""))
	for _, kind := range slices.Sorted(maps.Keys(p.shown)) {
		text += fmt.Sprintf(" %s %g", kind, p.shown[kind])
	}
	return text
}

// unnamed are the crew's people as far as its work depends on them.
func (c Crew) unnamed() (out []string) {
	for i := range c.People {
		out = append(out, c.People[i].paceWords())
	}
	return out
}

// whoAt are those of the crew who are there at a minute of a day. Of people who take
// alike it counts how many are there, not which.
func (c *Crew) whoAt(d rooms.Date, minute int) who {
	w := c.who
	if w == (who{}) {
		return w
	}
	for _, a := range c.Away {
		if a.Who == "" || !a.on(d, minute) {
			continue // of somebody without a name it is not known how quick the others are
		}
		setters, helpers := 0, 0
		for _, p := range c.People {
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
func (c *Crew) likened(set uint64, helper bool) (out uint64) {
	at, begin, n, like := 0, 0, 0, ""
	for i := range c.People {
		p := &c.People[i]
		if p.Helper != helper {
			continue
		}
		if text := p.paceWords(); text != like {
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
func (c *Crew) speed(set uint64, helper bool, kind string) float64 {
	at := -1
	return meanSpeed(c.pick(func(p *Person) bool {
		if p.Helper == helper {
			at++
		}
		return p.Helper == helper && set>>at&1 == 1
	}), kind)
}

// meanSpeed is that of people; 1 of nobody.
func meanSpeed(people []Person, kind string) float64 {
	if len(people) == 0 {
		return 1
	}
	sum := 0.0
	for i := range people {
		sum += 1 / people[i].pace(kind)
	}
	return sum / float64(len(people))
}

// paceOf is how many times as long as at the firm's rates a gang of a crew takes for a
// kind of work, with those of it who are there. Setters add up their speeds. A helper
// who takes longer serves that much less of the setters' time; one who is quicker
// serves more of them, and makes nobody faster than a helper of his own would.
func (c *Crew) paceOf(there who, kind string, g gang, single float64) float64 {
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
