package scheduler

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"potlife/rooms"
	"potlife/takeoff"
)

// airSpell is a time at one temperature: it lasts until the next one begins, the
// last for ever.
type airSpell struct {
	from    int // minutes since the plan's epoch
	celsius float64
}

// airOf writes a room's temperatures by day out as spells; a room of which only
// one number is given has none.
func airOf(clock Clock, room *rooms.Room, usual float64) []airSpell {
	if len(room.Temperatures) == 0 {
		return nil
	}
	at := *room
	at.Celsius = usual
	last := clock.Day(0)
	for _, t := range room.Temperatures {
		if last.Before(t.To) {
			last = t.To
		}
	}
	var out []airSpell
	for d, n := clock.Day(0), 0; !last.AddDays(1).Before(d) && n < 3660; d, n = d.AddDays(1), n+1 {
		c := at.CelsiusOn(d)
		if len(out) == 0 || out[len(out)-1].celsius != c {
			out = append(out, airSpell{max(0, clock.DayStart(d)), c})
		}
	}
	out[0].from = math.MinInt32
	return out
}

// celsiusAt is the room's temperature at a minute.
func (r *roomWork) celsiusAt(minute int) float64 {
	c := r.celsius
	for _, s := range r.air {
		if s.from > minute {
			break
		}
		c = s.celsius
	}
	return c
}

// warmestIn is the highest temperature the room has from one minute to another.
func (r *roomWork) warmestIn(from, to int) float64 {
	c := r.celsiusAt(from)
	for _, s := range r.air {
		if s.from > from && s.from <= to {
			c = max(c, s.celsius)
		}
	}
	return c
}

// cureFrom is how long a cure takes that begins at a minute: spell by spell, in
// a cold one slower, in a warm one no faster than the sheet says.
func (r *roomWork) cureFrom(c Cure, from int) int {
	var spells []Spell
	for i, s := range r.air {
		end := math.MaxInt32
		if i+1 < len(r.air) {
			end = r.air[i+1].from
		}
		if end > from {
			spells = append(spells, Spell{Hours: float64(end-max(from, s.from)) / 60, Celsius: s.celsius})
		}
	}
	m, ok := c.Over(spells)
	if !ok {
		return 366 * 24 * 60 // nothing cures there: chill refuses the room
	}
	return m
}

// window is when a task may be done besides its crew's and site's hours.
type window struct {
	key  string
	open []Interval
	why  func(minute int) string // why it is closed at a minute
	// daily says that it opens and closes by the hour, as why says.
	daily bool
}

// limit is a temperature that a product sets.
type limit struct {
	product     string
	least, most float64
}

// holds says why a product may not be used at a temperature, or "".
func (l limit) holds(celsius float64) string {
	if why := TooCold(l.product, celsius, l.least); why != "" {
		return why
	}
	return TooWarm(l.product, celsius, l.most)
}

// never says why a product may be used in the room on no day from a minute on, or
// "".
func (r *roomWork) never(l limit, from int) string {
	why := l.holds(r.celsius)
	for i, s := range r.air {
		if i+1 < len(r.air) && r.air[i+1].from <= from {
			continue
		}
		if why = l.holds(s.celsius); why == "" {
			return ""
		}
	}
	return why
}

// limitsOf are the temperatures that what a task uses sets.
func (w *works) limitsOf(t *task) []limit {
	var out []limit
	if t.kind == kindFlatten {
		out = append(out, limit{"filler", w.firm.fillerLeast(), 0})
	}
	for _, u := range t.products {
		p, ok := w.products[u.Product]
		if ok && (p.Sheet.MinCelsius != 0 || p.Sheet.MaxCelsius != 0) {
			out = append(out, limit{p.Name, p.Sheet.MinCelsius, p.Sheet.MaxCelsius})
		}
	}
	return out
}

// fillerLeast is the lowest temperature at which ground is filled: that of the firm's
// first leveller, or the usual one.
func (f *Firm) fillerLeast() float64 {
	for i := range f.Catalogue.Products {
		if p := &f.Catalogue.Products[i]; p.Kind == takeoff.KindLeveller && p.Sheet.MinCelsius != 0 {
			return p.Sheet.MinCelsius
		}
	}
	return defaultFlatLeast
}

// aired closes the days to a task on which the room is too cold or too warm for
// what it uses.
func (w *works) aired(t *task) {
	limits := w.limitsOf(t)
	if len(t.room.air) == 0 || t.fixed != nil || len(limits) == 0 {
		return
	}
	why := func(celsius float64) string {
		for _, l := range limits {
			if s := l.holds(celsius); s != "" {
				return s
			}
		}
		return ""
	}
	win := &window{key: fmt.Sprintf("air %s %v", t.room.key, limits)}
	for i, s := range t.room.air {
		end := w.horizon
		if i+1 < len(t.room.air) {
			end = min(end, t.room.air[i+1].from)
		}
		if from := max(0, s.from); from < end && why(s.celsius) == "" {
			win.open = append(win.open, Interval{from, end})
		}
	}
	win.open = normal(win.open)
	win.why = func(minute int) string { return why(t.room.celsiusAt(minute)) }
	if Working(win.open, 0, w.horizon) < w.horizon {
		w.close(t, win)
	}
}

// close adds a window to a task; windows of one key are one.
func (w *works) close(t *task, win *window) {
	w.guard.Lock()
	defer w.guard.Unlock()
	if w.windows[win.key] == nil {
		w.windows[win.key] = win
	}
	t.windows = append(t.windows, w.windows[win.key])
}

// openFor are the times in which a task may be done by a crew.
func (w *works) openFor(t *task, crew string) []Interval {
	common := w.common[[2]string{crew, t.room.site}]
	if len(t.windows) == 0 {
		return common
	}
	w.guard.Lock()
	defer w.guard.Unlock()
	key := crew + "|" + t.room.site
	for _, win := range t.windows {
		key += "|" + win.key
	}
	if open, ok := w.open[key]; ok {
		return open
	}
	for _, win := range t.windows {
		common = Common(common, win.open)
	}
	w.open[key] = common
	return common
}

// airFindings says on which days a room is too cold or too warm for what it
// takes.
func (w *works) airFindings(r *roomWork) []takeoff.Finding {
	var out []takeoff.Finding
	for i, s := range r.air {
		if i+1 < len(r.air) && r.air[i+1].from <= w.begin {
			continue
		}
		why := ""
		for _, l := range w.limitsIn(r) {
			if why == "" {
				why = l.holds(s.celsius)
			}
		}
		if why == "" {
			continue
		}
		from := w.clock.Day(max(w.begin, s.from))
		days := fmt.Sprintf("from %s on", from.Words())
		if i+1 < len(r.air) {
			last := w.clock.Day(r.air[i+1].from - 1)
			if days = fmt.Sprintf("on %s", from.Words()); from != last {
				days = fmt.Sprintf("from %s to %s", from.Words(), last.Words())
			}
		}
		out = append(out, takeoff.Finding{Rule: "temperature", Severity: takeoff.Warn, Where: r.key,
			Message: fmt.Sprintf("%s %s; nothing is planned with it then", days, why), Value: s.celsius, Source: "data sheet"})
	}
	return append(out, w.heatFindings(r)...)
}

// usualMaximum is where makers' sheets of cement mortars and grouts end: 35 °C as
// specifications quote one, 32 °C (90 °F) with another. It only makes a remark
// where a product's own sheet says nothing.
const usualMaximum = 35

// heatFindings remarks on a room warmer than usual for products whose sheets
// give no highest temperature.
func (w *works) heatFindings(r *roomWork) []takeoff.Finding {
	hottest := r.celsius
	for i, s := range r.air {
		if i+1 == len(r.air) || r.air[i+1].from > w.begin {
			hottest = max(hottest, s.celsius)
		}
	}
	if hottest <= usualMaximum {
		return nil
	}
	var open []string
	for _, kind := range []string{takeoff.KindPrimer, takeoff.KindLeveller, takeoff.KindMembrane, takeoff.KindMortar, takeoff.KindGrout} {
		for _, n := range r.needs[kind] {
			if p := w.products[n.Product]; p.Sheet.MaxCelsius == 0 && !slices.Contains(open, p.Name) {
				open = append(open, p.Name)
			}
		}
	}
	if len(open) == 0 {
		return nil
	}
	return []takeoff.Finding{{Rule: "temperature", Severity: takeoff.Warn, Where: r.key,
		Message: fmt.Sprintf("the room has %s, and no highest temperature is given for %s: cement products are usually not used above %s; look at the data sheets, cool the room or work early",
			degrees(hottest), strings.Join(open, ", "), degrees(usualMaximum)),
		Value: hottest, Limit: usualMaximum, Source: "mortar makers' data sheets, as quoted in specifications (10 to 35 °C; another maker 4 to 32 °C)"}}
}

// limitsIn are the temperatures that the products of a room set.
func (w *works) limitsIn(r *roomWork) []limit {
	var out []limit
	for _, kind := range []string{takeoff.KindPrimer, takeoff.KindLeveller, takeoff.KindMembrane, takeoff.KindMortar, takeoff.KindGrout, takeoff.KindSealant} {
		for _, n := range r.needs[kind] {
			p := w.products[n.Product]
			l := limit{p.Name, p.Sheet.MinCelsius, p.Sheet.MaxCelsius}
			if l != (limit{product: p.Name}) && !slices.Contains(out, l) {
				out = append(out, l)
			}
		}
	}
	return out
}
