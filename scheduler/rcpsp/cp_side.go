package rcpsp

// What potlife's problems have beyond lags and capacities: calendars, travel and lateness.

// shutStarts are the spans of starts, in order and disjoint, at which some resource of i would be away.
func shutStarts(m *model, i int) []Interval {
	if !m.free(i) || len(m.uses[i]) == 0 {
		return nil
	}
	var out []Interval
	t, end := m.head[i], min(m.hi[i], never-1)
	for t <= end {
		open := m.snapUp(i, t)
		if open > t {
			if k := len(out); k > 0 && out[k-1].End == t {
				out[k-1].End = open
			} else {
				out = append(out, Interval{t, open})
			}
		}
		t = m.nextShut(i, open)
	}
	return out
}

// nextShut is the first start after t at which a resource of i would be away, given that at t none is.
func (m *model) nextShut(i, t int) int {
	next := 2 * never
	for _, u := range m.uses[i] {
		fs := m.p.Resources[u.res].Forbidden
		for k := firstEndingAfter(fs, t); k < len(fs); k++ {
			if fs[k].Start < fs[k].End {
				next = min(next, fs[k].Start-m.dur[i]+1)
				break
			}
		}
	}
	return max(next, t+1)
}

// directLooks is how often the shut spans around a start are looked up one by one before all of an activity's are listed:
// most are never asked for, and a list of years takes long.
const directLooks = 8

// shutAround is the span of shut starts around start t of activity x, within its bounds.
func (c *cp) shutAround(x int32, t int) (Interval, bool) {
	i := int(x)
	switch {
	case c.looks[i] < directLooks:
		if !c.m.free(i) || len(c.m.uses[i]) == 0 {
			return Interval{}, false
		}
		c.looks[i]++
		up := c.m.snapUp(i, t)
		if up == t {
			return Interval{}, false
		}
		return Interval{c.m.snapDown(i, t) + 1, up}, true
	case c.looks[i] == directLooks:
		c.looks[i]++
		c.shut[i] = shutStarts(c.m, i)
	}
	s := firstEndingAfter(c.shut[i], t)
	if s == len(c.shut[i]) || c.shut[i][s].Start > t {
		return Interval{}, false
	}
	return c.shut[i][s], true
}

// openStart moves a bound of activity x out of a span of shut starts.
func (c *cp) openStart(x, k int32) bool {
	t := int(c.bound[k])
	if k&1 == 1 {
		t = -t
	}
	s, ok := c.shutAround(x, t)
	switch {
	case !ok:
		return true
	case k&1 == 0:
		return c.set(k, int32(s.End), reason{byCalendar, int32(s.Start), 0})
	}
	return c.set(k, -int32(s.Start-1), reason{byCalendar, -int32(s.End - 1), 0})
}

// pair is another activity of the same travelling crew at a different site: either this one ends gapAfter before the
// other starts, or it starts gapBefore after the other ended.
type pair struct{ x, gapAfter, gapBefore int32 }

func (c *cp) postPairs() {
	seen := make(map[[2]int]bool)
	for r, res := range c.m.p.Resources {
		if !res.Moves {
			continue
		}
		users := usersOf(c.m.p, r)
		for a, i := range users {
			for _, j := range users[:a] {
				c.postPair(i, j, seen)
			}
		}
	}
}

func (c *cp) postPair(i, j int, seen map[[2]int]bool) {
	p := &c.m.p
	a, b := p.Activities[i], p.Activities[j]
	if a.Site < 0 || b.Site < 0 || a.Site == b.Site || a.Fixed >= 0 && b.Fixed >= 0 || seen[[2]int{i, j}] {
		return
	}
	seen[[2]int{i, j}] = true
	after := int32(a.Duration + p.Travel[a.Site][b.Site])
	before := int32(b.Duration + p.Travel[b.Site][a.Site])
	c.pairs[i] = append(c.pairs[i], pair{int32(j), after, before})
	c.pairs[j] = append(c.pairs[j], pair{int32(i), before, after})
}

// travel orders x against the others of its crew where only one order is left. With x's bounds changed, either order
// may have become impossible.
func (c *cp) travel(x, _ int32) bool {
	for _, p := range c.pairs[x] {
		if c.lb(x)+p.gapAfter > c.ub(p.x) && !c.order(p.x, x, p.gapBefore, p.gapAfter) {
			return false // x cannot come first
		}
		if c.lb(p.x)+p.gapBefore > c.ub(x) && !c.order(x, p.x, p.gapAfter, p.gapBefore) {
			return false
		}
	}
	return true
}

// order enforces first + gap ≤ second, because lb(second) + back > ub(first): second cannot come first.
func (c *cp) order(first, second, gap, back int32) bool {
	// Any split point works: second ≥ u − back + 1 and first ≤ u exclude the other order.
	u := c.ub(first)
	why := [2]atom{{2 * second, u - back + 1}, {2*first + 1, -u}}
	if t := c.lb(first) + gap; t > c.lb(second) && !c.setText(2*second, t, why, atom{2 * first, c.lb(first)}) {
		return false
	}
	if t := c.ub(second) - gap; t < c.ub(first) && !c.setText(2*first+1, -t, why, atom{2*second + 1, -c.ub(second)}) {
		return false
	}
	return true
}

func (c *cp) setText(k, v int32, why [2]atom, more atom) bool {
	from := int32(len(c.text))
	c.text = append(c.text, why[0], why[1], more)
	return c.set(k, v, reason{byText, from, from + 3})
}

func (c *cp) postLateness() {
	if c.late < 0 {
		return
	}
	for i, a := range c.m.p.Activities {
		if a.Due >= 0 && a.Weight > 0 {
			c.lateOf = append(c.lateOf, int32(i))
		}
	}
	c.lateDirty = true
}

// lateAt is the weighted lateness of activity i when it starts at s, kept below the limit of 32 bits.
func (c *cp) lateAt(i, s int32) int64 {
	a := &c.m.p.Activities[i]
	return int64(a.Weight) * max(0, int64(s)+int64(a.Duration)-int64(a.Due))
}

// propagateLateness keeps lateness ≥ Σ of what the earliest starts cost, and each start early enough for the rest.
func (c *cp) propagateLateness() bool {
	sum := int64(0)
	for _, i := range c.lateOf {
		sum += c.lateAt(i, c.lb(i))
	}
	from := int32(len(c.text))
	if sum > int64(c.lb(c.late)) {
		c.textOfLateness(-1)
		if !c.set(2*c.late, int32(min(sum, never-1)), reason{byText, from, int32(len(c.text))}) {
			return false
		}
	}
	limit := int64(c.ub(c.late))
	for _, i := range c.lateOf {
		a := &c.m.p.Activities[i]
		spare := limit - (sum - c.lateAt(i, c.lb(i)))
		latest := int64(a.Due-a.Duration) + spare/int64(a.Weight)
		if latest >= int64(c.ub(i)) {
			continue
		}
		from := int32(len(c.text))
		c.textOfLateness(i)
		c.text = append(c.text, atom{2*c.late + 1, -c.ub(c.late)})
		if !c.set(2*i+1, -int32(latest), reason{byText, from, int32(len(c.text))}) {
			return false
		}
	}
	return true
}

// textOfLateness appends the earliest starts that cost something, except that of activity but.
func (c *cp) textOfLateness(but int32) {
	for _, i := range c.lateOf {
		if i != but && c.lateAt(i, c.lb(i)) > 0 {
			c.text = append(c.text, atom{2 * i, c.lb(i)})
		}
	}
}
