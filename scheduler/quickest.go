package scheduler

// spellsOf are those who are there at some time of a span, of crews whose people take
// differently long and are not always there. Only these may be quicker, for a time,
// than all of them or the fewest are: while the slow one is away.
func (w *works) spellsOf(crews []team) map[string][]hands {
	out := map[string][]hands{}
	for i := range crews {
		c := &crews[i]
		if list := w.strengths(c); c.who != (who{}) && len(list) > 1 {
			out[c.Key] = list
		}
	}
	return out
}

// quickest is the least that a task takes of a crew like its own, whoever of it is
// there: minutes, and minutes of setters. Bounds go by it.
func (w *works) quickest(t *task, crew string) (minutes, setters int) {
	minutes, setters = t.minutes, t.minutes*t.gang.setters
	if t.fixed != nil || t.crew == "" {
		return minutes, setters
	}
	for _, by := range w.spells[crew] {
		g, m, _ := w.gangBy(t, by)
		minutes, setters = min(minutes, m), min(setters, m*g.setters)
	}
	return minutes, setters
}
