package scheduler

import (
	"iter"
	"slices"
)

// booking is when people of each crew are at work, and where: the one place in which
// those who divide areas anew and those who date work by who is there look them up.
type booking struct {
	w        *works
	by       map[string]*stays // by crew
	farthest int               // minutes between two sites
}

// stays are those of a crew by their begin, and how long the longest is.
type stays struct {
	list    []stay
	longest int
}

// stay is the time for which some of a crew are at a site; run is that of the area they
// set, nil where they do other work.
type stay struct {
	Interval
	people hands
	site   string
	run    *areaRun
}

func newBooking(w *works) booking {
	b := booking{w: w, by: map[string]*stays{}}
	for _, t := range w.firm.Travel {
		b.farthest = max(b.farthest, t.Minutes)
	}
	return b
}

func (b booking) of(crew string) *stays {
	c := b.by[crew]
	if c == nil {
		c = &stays{}
		b.by[crew] = c
	}
	return c
}

func (b booking) put(crew string, s stay) {
	c := b.of(crew)
	c.longest = max(c.longest, s.End-s.Start)
	c.list = slices.Insert(c.list, c.from(s.Start), s)
}

// add is put behind all others; sort brings many into order at once.
func (b booking) add(crew string, s stay) {
	c := b.of(crew)
	c.longest, c.list = max(c.longest, s.End-s.Start), append(c.list, s)
}

func (b booking) sort() {
	for _, c := range b.by {
		slices.SortStableFunc(c.list, func(x, y stay) int { return x.Start - y.Start })
	}
}

// drop forgets the stays of a run.
func (b booking) drop(crew string, run *areaRun) {
	if c := b.by[crew]; c != nil {
		c.list = slices.DeleteFunc(c.list, func(s stay) bool { return s.run == run })
	}
}

// from is the first stay that begins at a minute or later.
func (c *stays) from(minute int) int {
	i, _ := slices.BinarySearchFunc(c.list, minute, func(s stay, at int) int { return s.Start - at })
	return i
}

// claim is the time for which people of a crew cannot be at a site: those who are at work
// there, and those at another, elsewhere, with the ways there and back.
type claim struct {
	Interval
	people    hands
	elsewhere bool
}

// claims are those on a crew that reach into a time at a site, but for a run's own.
func (b booking) claims(crew, site string, within Interval, but *areaRun) iter.Seq[claim] {
	return func(yield func(claim) bool) {
		c := b.by[crew]
		if c == nil {
			return
		}
		for _, s := range c.list[c.from(within.Start-b.farthest-c.longest):c.from(within.End+b.farthest)] {
			way := b.w.way(s.site, site)
			if s.End+way <= within.Start || within.End+way <= s.Start || but != nil && s.run == but {
				continue
			}
			if !yield(claim{Interval{s.Start - way, s.End + way}, s.people, s.site != site}) {
				return
			}
		}
	}
}
