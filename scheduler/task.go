package scheduler

import (
	"fmt"
	"iter"
	"slices"
	"sync"

	"potlife/rooms"
	"potlife/takeoff"
)

// task is an activity before it has a date.
type task struct {
	id, slot, kind, title string
	room                  *roomWork
	surfaces              []string
	crew                  string
	gang                  gang
	by                    hands   // those of the crew who are there for it
	work                  string  // slot that it is a part of; "" where that is no matter
	anyGang               bool    // whoever is there does it, as many as work fastest
	minutes               int     // uninterrupted; of a hold elapsed
	base                  float64 // minutes at the firm's rates as given
	class                 string  // of the tile worked on, for what the crews record
	coat, coats           int
	until                 int // of a hold with a date
	release               int
	why                   string // of the release, where it is not a delivery or the room
	came                  int    // of what is sawn wet first: the release before the saw's
	area                  *areaPlan
	products              []Use
	mixed                 []Use // of products, what is mixed with water on the spot, in kg
	washing               int   // minutes at its end in which nothing of that is used
	notes                 []string
	windows               []*window
	skills, tools         []string
	skill, tool           string         // named by the recipe
	lifts                 string         // tile that two lift and one person is planned for
	shares                []SurfaceShare // of surfaces that it does in part
	own                   string         // product of a recipe's step that the trade's own steps do not take
	step                  int            // of the recipe
	loud, noisy           bool           // loud by the recipe; bound to the site's hours for it
	fixed                 *Activity      // carried over from the plan in force
	areas                 []*Area        // of fixed: its areas
	cuts                  []string       // pieces that it cuts, of cutting by itself
	cutTiles              []string       // the tiles that they are cut from
	after                 []lag
	start                 int
}

// lag is from the finish of a task to the start of the one that holds it.
type lag struct {
	task        *task
	due         due
	shift       int  // minutes by which it begins after the finish: work reported done at another time
	least, most int  // from the finish, as the dates are known; most -1: none
	spare       bool // most is not to be planned to the last minute, see planned
	why         string
}

func (t *task) wait(on *task, d due, within int, why string) {
	if t.fixed != nil || on == nil || on == t {
		return
	}
	fresh := lag{task: on, due: d, most: within, why: why}
	if on.fixed != nil {
		fresh.shift = shiftOfWait(on.fixed.Finish, on.fixed.Ended, on.kind, t.kind)
	}
	if fresh.most >= 0 {
		fresh.most = max(0, fresh.most+fresh.shift)
	}
	fresh.least = fresh.from(on.begins())
	least, most := fresh.least, fresh.most
	for i := range t.after {
		if l := &t.after[i]; l.task == on {
			l.due = l.due.with(d)
			if least > l.least {
				l.least, l.why = least, why
			}
			if most >= 0 && (l.most < 0 || most < l.most) {
				l.most = most
			}
			return
		}
	}
	t.after = append(t.after, fresh)
}

// from is how long after a finish what waits may start.
func (l *lag) from(finish int) int { return max(0, l.wait(finish)) }

// wait is the same, below 0 where the wait was over before the finish.
func (l *lag) wait(finish int) int {
	return l.shift + l.task.room.after(l.due, finish+l.shift)
}

// roomWork is a room with what its activities depend on.
type roomWork struct {
	key, job, site string // site is "job/site"
	standard       string // the job's own
	room           *rooms.Room
	people         int
	celsius        float64
	air            []airSpell // where it changes from day to day
	ready          int        // minute at which work may start
	due            int        // minute by which it is wanted, -1
	first          bool       // before all others
	endBefore      int        // when it is done by the plan in force; 0: none
	surfaces       []*surfaceWork
	needs          map[string][]takeoff.Need // by kind
	fixed          []*Activity               // carried over, in order of start
	recipe         []Step
	skip           map[string]bool // pieces set already
	cut            map[string]bool // pieces cut already, or listed to be on a sheet that is out
	held           map[string]int  // hold minutes that lower courses were set by
	blocks         []kindBlock     // what is still to be set; nil: not worked out yet
	manned         manning         // by whom the areas of parts are set; nil: by all of the crew
	parts          map[string]int  // of what is still to be set, by piece: the area it is to be in
	sawn           map[string]int  // pieces sawn wet on sheets that are out: by which minute
	broken         map[string]int
}

// surfaceWork is a surface with its layout.
type surfaceWork struct {
	key    string
	src    *rooms.Surface
	layout *takeoff.Layout
	order  []block        // of the layout's pieces
	over   map[string]int // pieces that reach over an opening first, see heads
	m2     float64        // of the outline less openings
	pieces int
	// Worked out when they are first asked for: what of it is tile of each class, and
	// the rows of its grouts.
	classes map[string]float64
	grouted map[groutKey][]block
}

// works holds what building tasks needs of the firm.
type works struct {
	firm      *Firm
	limits    Limits
	rates     Rates
	tiles     map[string]takeoff.Tile
	products  map[string]takeoff.Product
	crews     map[string]*team
	called    names // what people call the plan's parts
	clock     Clock
	shift     map[[2]string]shift // crew, site
	horizon   int
	hours     map[string][]Interval // by crew
	siteHours map[string][]Interval
	common    map[[2]string][]Interval // crew, site
	guard     sync.Mutex               // of windows and open: tasks of rooms are built side by side
	windows   map[string]*window
	open      map[string][]Interval // by crew, site and windows
	noise     map[string]*window    // by site
	teams     []team                // the firm's crews, then those short of people
	factor    map[rateKey]float64   // as recorded
	strong    map[string][]hands    // by crew with people of own hours: who are there at some time
	shifts    map[mannedKey]shift   // of gangs of such crews, under guard
	spells    map[string][]hands    // by crew whose people are told apart and away for a time
	daily     []int                 // minutes a day, by crew
	releases  map[takeoff.Use]rooms.Date
	today     int            // minute at which the first day of planning begins
	begin     int            // minute before which nothing new starts
	frozen    map[string]int // by crew, the minute up to which its work is issued
	used      map[string]bool
	areaOf    map[string][]*Area // fixed areas by activity
	heat      heat
	findings  []takeoff.Finding
	quick     bool            // only the order of the rooms is wanted
	replan    bool            // a plan in force is the start
	relax     bool            // latest times after work that is done are noted only
	brink     map[string]bool // rooms whose latest times are planned to the last minute
	brinkAll  bool            // those of all rooms are
	again     bool            // without a schedule it is tried so: nothing is to be explained
}

// shut is the minute up to which a crew's days are past or issued.
func (w *works) shut(crew string) int { return max(w.today, w.frozen[crew]) }

// opens is the first minute at which new work of a crew may start.
func (w *works) opens(crew string) int { return max(w.begin, w.frozen[crew]) }

// shift is the usual working interval of a crew on a site.
type shift struct{ usual, longest int }

// part is the longest chunk of at most want minutes that fills a usual
// interval without a rest.
func (s shift) part(want int) int {
	n := (s.usual + want - 1) / max(1, want)
	return max(15, s.usual/max(1, n))
}

// shiftOf looks at eight weeks of the hours that a crew has on a site.
func shiftOf(hours []Interval) shift {
	count := map[int]int{}
	var s shift
	for i, h := range hours {
		if i == 160 {
			break
		}
		d := h.End - h.Start
		count[d]++
		s.longest = max(s.longest, d)
		if count[d] > count[s.usual] || count[d] == count[s.usual] && d > s.usual {
			s.usual = d
		}
	}
	return s
}

// needsOn are the takeoff's counts of a kind on the surfaces given, one by one.
func (r *roomWork) needsOn(kind string, on []*surfaceWork) iter.Seq[*takeoff.Need] {
	return func(yield func(*takeoff.Need) bool) {
		for i := range r.needs[kind] {
			n := &r.needs[kind][i]
			if slices.ContainsFunc(on, func(s *surfaceWork) bool { return s.key == n.Surface }) && !yield(n) {
				return
			}
		}
	}
}

// need sums what the takeoff counted of a kind on the surfaces given, by
// product, in the order the takeoff lists them.
func (r *roomWork) need(kind string, on []*surfaceWork) []takeoff.Need {
	return r.needOf(kind, on, func(string) float64 { return 1 })
}

// needOf is the same of a share of each surface.
func (r *roomWork) needOf(kind string, on []*surfaceWork, share func(surface string) float64) []takeoff.Need {
	var out []takeoff.Need
	for n := range r.needsOn(kind, on) {
		net, with := n.Net*share(n.Surface), n.With*share(n.Surface)
		i := slices.IndexFunc(out, func(o takeoff.Need) bool { return o.Product == n.Product })
		if i < 0 {
			out = append(out, takeoff.Need{Product: n.Product, Kind: n.Kind, Room: n.Room, Net: net, With: with})
			continue
		}
		out[i].Net += net
		out[i].With += with
	}
	return out
}

// cure lengthens a sheet's wait for the room's temperature. A wait of 0 is not
// given and takes the default; one below 0 is none.
func (w *works) cure(r *roomWork, minutes, fallback int, s *takeoff.DataSheet) due {
	if minutes == 0 {
		minutes = fallback
	}
	if minutes <= 0 {
		return due{}
	}
	c := CureOf(minutes, s, &w.limits)
	if len(r.air) > 0 {
		return due{cures: []Cure{c}}
	}
	m, ok := c.At(r.celsius)
	if !ok {
		return fixed(minutes)
	}
	return fixed(m)
}

// longestWait is the longest of a sheet's waits that are given, below 0 where those
// given are none, 0 where none is given.
func longestWait(waits ...int) int {
	out := 0
	for _, v := range waits {
		switch {
		case v > 0:
			out = max(out, v)
		case v < 0 && out == 0:
			out = v
		}
	}
	return out
}

// worst is the longest of a wait over the products of a kind on the surfaces.
func (w *works) worst(r *roomWork, kind string, on []*surfaceWork, fallback int, pick func(takeoff.DataSheet) int) due {
	most, any := due{}, false
	for n := range r.needsOn(kind, on) {
		s := w.products[n.Product].Sheet
		most = most.with(w.cure(r, pick(s), fallback, &s))
		any = true
	}
	if !any {
		return w.cure(r, fallback, fallback, &takeoff.DataSheet{})
	}
	return most
}

// tightest is the shortest positive latest time over the products, or -1.
func (w *works) tightest(r *roomWork, kind string, on []*surfaceWork, pick func(takeoff.DataSheet) int) int {
	least := -1
	for n := range r.needsOn(kind, on) {
		if v := pick(w.products[n.Product].Sheet); v > 0 && (least < 0 || v < least) {
			least = v
		}
	}
	return least
}

func keys(on []*surfaceWork) []string {
	out := make([]string, len(on))
	for i, s := range on {
		out[i] = s.key
	}
	return out
}

func m2Of(on []*surfaceWork) float64 {
	m := 0.0
	for _, s := range on {
		m += s.m2
	}
	return m
}

// chill gathers the products that a room is too cold or too warm for on every
// day.
func (w *works) chill(r *roomWork) []string {
	var out []string
	seen := map[string]bool{}
	for _, kind := range []string{takeoff.KindPrimer, takeoff.KindLeveller, takeoff.KindMembrane, takeoff.KindMortar, takeoff.KindGrout, takeoff.KindSealant} {
		for _, n := range r.needs[kind] {
			p := w.products[n.Product]
			if seen[p.Key] {
				continue
			}
			seen[p.Key] = true
			if why := r.never(limit{p.Name, p.Sheet.MinCelsius, p.Sheet.MaxCelsius}, w.begin); why != "" {
				out = append(out, fmt.Sprintf("%s: %s", w.called.room(r.key), why))
			}
		}
	}
	if len(out) == 0 && r.celsius <= 0 {
		out = append(out, fmt.Sprintf("%s has %s: at or below freezing nothing cures", w.called.room(r.key), degrees(r.celsius)))
	}
	return out
}

// newTask makes a task of the slot for a gang, or takes it over where it is fixed.
func (b *builder) newTask(r *roomWork, slot, kind, title string, on []*surfaceWork, minutes float64, g gang) *task {
	t := &task{slot: slot, kind: kind, title: title, room: r, step: b.at, surfaces: keys(on), release: max(r.ready, b.opens(b.crew.Key))}
	t.id = r.key + "/" + slot
	t.base, t.class = round3(minutes), b.classOn(kind, on)
	t.minutes = max(5, (ceilMinutes(minutes*b.pace(kind, t.class)*b.crewPace(kind, g))+4)/5*5)
	for _, f := range r.fixed {
		if f.ID == t.id {
			b.carry(t, f)
		}
	}
	return t
}

func (w *works) carry(t *task, f *Activity) {
	t.fixed = f
	t.id, t.kind, t.title, t.surfaces, t.crew = f.ID, f.Kind, f.Title, f.Surfaces, f.Crew
	t.gang = gang{f.Setters, f.Helpers, 1}
	t.minutes, t.start = f.Finish-f.Start, f.Start
	t.skills, t.tools, t.noisy = f.Skills, f.Tools, f.Noisy
	t.areas = w.areaOf[f.ID]
}

// uses makes the task take products of a kind, a share of the net quantity,
// and waits for their delivery.
func (w *works) uses(t *task, on []*surfaceWork, share float64, kinds ...string) {
	w.usesShares(t, on, func(string) float64 { return share }, kinds...)
}

// takes adds to what the task takes, each product once: the spacers of three faces
// of a pier are fetched together.
func (t *task) takes(u Use) {
	for i := range t.products {
		if p := &t.products[i]; p.Product == u.Product && p.Unit == u.Unit {
			p.Quantity = round3(p.Quantity + u.Quantity)
			return
		}
	}
	t.products = append(t.products, u)
}

// usesShares is the same with a share of each surface.
func (w *works) usesShares(t *task, on []*surfaceWork, share func(surface string) float64, kinds ...string) {
	for _, kind := range kinds {
		for _, n := range t.room.needOf(kind, on, share) {
			u := Use{n.Product, round3(n.Net), w.products[n.Product].Unit}
			t.takes(u)
			if onTheSpot(w.products[n.Product]) {
				t.mixed = append(t.mixed, u)
			}
			w.deliver(t, n.Product)
		}
	}
}

// deliver holds a task back until a product can be used in its room.
func (w *works) deliver(t *task, product string) {
	d := w.releases[takeoff.Use{Product: product, Room: t.room.key}]
	if d.IsZero() {
		return
	}
	if at := w.clock.DayStart(d); at > t.release {
		t.release, t.why = at, ""
	}
}

func round3(v float64) float64 { return float64(int64(v*1000+0.5)) / 1000 }
