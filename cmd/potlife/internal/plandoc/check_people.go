package plandoc

import (
	"slices"
	"time"
)

// checkPeople holds planned work to who may do it, who is there, the shared
// tools, the sites' hours and the temperatures of the rooms. What is issued or
// done may have been overtaken by news.
func (c *checker) checkPeople() {
	limits := map[string]*Product{}
	for i := range c.doc.Products {
		limits[c.doc.Products[i].Key] = &c.doc.Products[i]
	}
	opens, noises := map[string][]span{}, map[string][]span{}
	for _, s := range c.doc.Sites {
		opens[s.Key], noises[s.Key] = c.spansOf(s.Open), c.spansOf(s.Noise)
	}
	for i := range c.doc.Activities {
		a := &c.doc.Activities[i]
		if a.Crew == nil || a.State != "planned" {
			continue
		}
		site := c.rooms[a.Room].Site
		for _, w := range c.spansOf(a.Work) {
			if len(opens[site]) > 0 && !within(w.from, w.to, opens[site]) {
				c.breach("7 time", "%s works on %s outside the site's hours", a.ID, site)
			}
			if a.Noisy && (len(noises[site]) == 0 || !within(w.from, w.to, noises[site])) {
				c.breach("7 time", "%s is loud on %s outside the site's hours for that", a.ID, site)
			}
		}
		crew := c.crews[*a.Crew]
		for _, s := range a.Skills {
			if len(crew.Skills) > 0 && !slices.Contains(crew.Skills, s) {
				c.breach("7 time", "%s asks for the skill %q, which %s lacks", a.ID, s, crew.Key)
			}
		}
		c.checkWarm(a, limits)
		for _, k := range a.Surfaces {
			b := c.surfaces[k].Base
			if b != nil && slices.Contains([]string{"prime", "level", "membrane", "set"}, a.Kind) && c.day(a.Start) < b.Ready {
				c.breach("7 time", "%s starts before the %s under %s is ready on %s", a.ID, b.Kind, k, b.Ready)
			}
		}
	}
	c.checkAway()
	c.checkTools()
}

// checkWarm: on its day a room has a temperature at which what is used there may
// be used.
func (c *checker) checkWarm(a *Activity, limits map[string]*Product) {
	r := c.rooms[a.Room]
	if len(r.Temperatures) == 0 {
		return
	}
	has, read := r.Celsius, false
	if has == 0 {
		has = 20 // not given: what is taken for cures
	}
	for _, t := range r.Temperatures {
		if d := c.day(a.Start); d >= t.From && d <= t.To && (!t.Forecast || !read) {
			has, read = t.Celsius, read || !t.Forecast
		}
	}
	for _, u := range a.Products {
		p := limits[u.Product]
		if p != nil && (p.MinCelsius != nil && has < *p.MinCelsius || p.MaxCelsius != nil && has > *p.MaxCelsius) {
			c.breach("7 time", "%s uses %s at %g °C", a.ID, u.Product, has)
		}
	}
}

// checkAway: crews short of people do no more than those who are there can, on the
// days and in the hours in which somebody is absent.
func (c *checker) checkAway() {
	for i := range c.doc.Crews {
		k := &c.doc.Crews[i]
		c.checkNames(k)
		own := slices.ContainsFunc(k.People, func(p Person) bool { return p.ownHours() })
		if len(k.Away)+len(k.AwayHours) == 0 && !own {
			continue
		}
		var days []string
		loads := map[string][]load{}
		for j := range c.doc.Activities {
			a := &c.doc.Activities[j]
			if a.Crew == nil || *a.Crew != k.Key || a.State != "planned" {
				continue
			}
			for _, w := range c.spansOf(a.Work) {
				d := w.from.In(c.zone).Format(time.DateOnly)
				if loads[d] == nil {
					days = append(days, d)
				}
				loads[d] = append(loads[d], load{w.from, [2]int{a.Setters, a.Helpers}}, load{w.to, [2]int{-a.Setters, -a.Helpers}})
			}
		}
		for _, d := range days {
			there := [2]int{k.Setters, k.Helpers}
			for _, x := range k.Away {
				if d < x.From || d > x.To || k.owns(x) {
					continue
				}
				if k.helps(x) {
					there[1]--
				} else {
					there[0]--
				}
			}
			for _, x := range k.AwayHours {
				from, err := time.ParseInLocation("2006-01-02 15:04", d+" "+x.Start, c.zone)
				to, err2 := time.ParseInLocation("2006-01-02 15:04", d+" "+x.End, c.zone)
				one := [2]int{1, 0}
				if k.helps(x.Absence) {
					one = [2]int{0, 1}
				}
				if err == nil && err2 == nil && d >= x.From && d <= x.To && !k.owns(x.Absence) {
					loads[d] = append(loads[d], load{from, one}, load{to, [2]int{-one[0], -one[1]}})
				}
			}
			for j := range k.People {
				if k.People[j].ownHours() {
					loads[d] = append(loads[d], c.awayOn(k, &k.People[j], d)...)
				}
			}
			if at, bad := over(loads[d], there); bad {
				c.breach("7 time", "%s has more at work than are there at %s", k.Key, at.In(c.zone).Format("2 Jan 15:04"))
			}
		}
	}
}

// helps reports whether an absence is a helper's: as the person is, where the crew names
// that one.
func (k *Crew) helps(x Absence) bool {
	if i := slices.IndexFunc(k.People, x.of); i >= 0 {
		return k.People[i].Helper
	}
	return x.Helper
}

// checkNames: a crew names all of its setters or helpers or none of them, and whoever is
// away is one of them, in that part of the crew.
func (c *checker) checkNames(k *Crew) {
	if len(k.People) == 0 {
		return
	}
	named := [2]int{}
	for _, p := range k.People {
		if p.Helper {
			named[1]++
		} else {
			named[0]++
		}
	}
	if named[0] > 0 && named[0] != k.Setters || named[1] > 0 && named[1] != k.Helpers {
		c.breach("7 time", "%s has %d setters and %d helpers and names %d and %d", k.Key, k.Setters, k.Helpers, named[0], named[1])
	}
	away := slices.Clone(k.Away)
	for _, x := range k.AwayHours {
		away = append(away, x.Absence)
	}
	for _, x := range away {
		i := slices.IndexFunc(k.People, x.of)
		part := 0
		if x.Helper {
			part = 1
		}
		switch {
		case x.Who == "":
		case i >= 0 && k.People[i].Helper != x.Helper:
			c.breach("7 time", "%s of %s is not away in the part he has in the crew", x.Who, k.Key)
		case i < 0 && named[part] > 0:
			c.breach("7 time", "%s is away from %s, which has nobody of that name", x.Who, k.Key)
		}
	}
}

// checkTools: no shared tool is in more places at once than there are.
func (c *checker) checkTools() {
	for _, t := range c.doc.Tools {
		var loads []load
		for i := range c.doc.Activities {
			a := &c.doc.Activities[i]
			if a.State != "planned" || !slices.Contains(a.Tools, t.Key) {
				continue
			}
			for _, w := range c.spansOf(a.Work) {
				loads = append(loads, load{w.from, [2]int{1, 0}}, load{w.to, [2]int{-1, 0}})
			}
		}
		if at, bad := over(loads, [2]int{t.Count, 0}); bad {
			c.breach("7 time", "more than %d of the tool %s are in use at %s", t.Count, t.Key, at.In(c.zone).Format("2 Jan 15:04"))
		}
	}
}
