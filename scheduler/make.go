package scheduler

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"potlife/rooms"
	"potlife/scheduler/rcpsp"
	"potlife/takeoff"
)

// ErrInput marks input to Make that makes no sense; the message says what.
var ErrInput = errors.New("scheduler: input")

// Said is what an error of this package says to whoever plans: its text without
// the marks by which programs tell errors apart.
func Said(err error) string {
	said := err.Error()
	for _, mark := range []error{ErrInput, takeoff.ErrInput} {
		said = strings.ReplaceAll(said, mark.Error()+": ", "")
	}
	return said
}

// engines are the parts of takeoff that a plan is made with; tests put small
// ones in their place.
type engines struct {
	layOut func(takeoff.RoomToLay) ([]takeoff.Layout, error)
	take   func(context.Context, takeoff.TakeIn) (*takeoff.Taken, error)
}

// maker carries one run of Make.
type maker struct {
	engines
	in         Input
	jobs       []rooms.Job // with readings
	clock      Clock
	limits     Limits
	tiles      map[string]takeoff.Tile
	products   map[string]takeoff.Product
	kept       *kept
	orderDay   rooms.Date     // on which an order still goes out
	today      int            // minute at which Today begins
	open       int            // minute before which nothing new starts
	frozen     map[string]int // by crew, the minute up to which its work is issued
	relax      bool           // see works.relax
	near       int            // minute after which nothing is looked at, 0: none
	twice      bool           // a first plan of several rooms is dated twice
	layouts    []takeoff.Layout
	orders     map[string][]block          // of layouts, by surface: in which the pieces are set
	known      map[string][]takeoff.Layout // of the plan in force, by room
	prior      map[string]*takeoff.Layout  // of the plan in force, by surface
	digests    map[string]string
	ofAllRooms func() ([]byte, error) // of the digests, the part that all have in common
	taken      *takeoff.Taken
	aside      *aside
	rooms      []*roomWork
	works      *works
	choice     *choice
	plan       *Plan
	placed     []takeoff.Order
	measured   []takeoff.Lot
	stands     map[string]bool // see locked
	ids        map[string]bool // of the tasks dated
	fewest     int             // mixes of mortar below which no plan of these areas comes
	fewestWork int             // the same of grout and what else is mixed on the spot
	heat       heat
	learned    []LearnedRate
	toYard     []takeoff.YardOffcut // left by jobs that have left the plan
	spent      []string             // offcuts that are still counted and have been cut
}

func plan(ctx context.Context, in Input, e engines) (*Plan, error) {
	m := &maker{engines: e, in: in}
	if err := m.begin(); err != nil {
		return nil, err
	}
	if err := m.layAll(); err != nil {
		return nil, err
	}
	m.kept.reconcile(m.layouts)
	order := m.roomOrder()
	m.twice = len(m.rooms) > 1 && len(m.rooms) <= twiceRooms && m.in.Prior == nil
	steps := int64(0)
	if m.twice {
		steps = quickSteps
	}
	if err := m.takeoff(ctx, order, steps); err != nil {
		return nil, err
	}
	if m.useMeasured() { // lay the rooms of those lots out again before any of their cuts is issued
		m.rooms, m.layouts, m.orders = nil, nil, nil
		if err := m.layAll(); err != nil {
			return nil, err
		}
		order = m.roomOrder()
		if err := m.takeoff(ctx, order, steps); err != nil {
			return nil, err
		}
	}
	if !m.twice {
		m.beside()
	}
	if err := m.schedule(ctx, order); err != nil {
		m.aside.finished()
		return nil, err
	}
	m.assemble()
	return m.plan, ctx.Err()
}

// begin checks the input and works out what is carried over.
func (m *maker) begin() error {
	f := &m.in.Firm
	if f.Zone == nil {
		f.Zone = time.UTC
	}
	if m.in.Today.IsZero() {
		return fmt.Errorf("%w: no day from which to plan", ErrInput)
	}
	m.limits = f.Limits.filled()
	m.orderDay = orderDay(f, m.in.Today, m.in.Now)
	f.Catalogue.Buyer.Name = cmp.Or(f.Catalogue.Buyer.Name, f.Name)
	m.clock = NewClock(m.in.Today, f.Zone)
	if m.in.Prior != nil {
		m.clock.Epoch = m.in.Prior.Epoch
	}
	m.tiles, m.products = map[string]takeoff.Tile{}, map[string]takeoff.Product{}
	for _, t := range f.Catalogue.Tiles {
		m.tiles[t.Key] = t
	}
	for _, p := range f.Catalogue.Products {
		m.products[p.Key] = p
	}
	if len(f.Crews) == 0 {
		return fmt.Errorf("%w: the firm has no crew", ErrInput)
	}
	for _, c := range f.Crews {
		if c.Setters < 1 {
			return fmt.Errorf("%w: crew %s has no setter", ErrInput, c.Key)
		}
		if len(c.Hours) == 0 {
			return fmt.Errorf("%w: crew %s has no hours", ErrInput, c.Key)
		}
	}
	m.jobs = withDefaults(withTemperatures(withReadings(m.in.Jobs, m.in.Records), m.in.Records, f.Zone))
	m.placed = received(m.in.Placed, m.in.Received, m.in.Today)
	m.digests, m.known, m.prior = map[string]string{}, map[string][]takeoff.Layout{}, map[string]*takeoff.Layout{}
	if p := m.in.Prior; p != nil {
		for i := range p.Layouts {
			l := &p.Layouts[i]
			m.prior[l.Surface] = l
			m.known[l.Room] = append(m.known[l.Room], *l)
		}
	}
	m.freeze()
	m.kept = m.keep()
	m.yard()
	m.measured = measuredLots(f.Catalogue, m.in.Received)
	m.keepMeasured()
	m.learned = Learn(m.in.Prior, m.in.Records)
	return nil
}

// freeze works out up to which minute each crew's work stands, and from when on
// new work may be planned.
func (m *maker) freeze() {
	m.today = max(0, m.clock.DayStart(m.in.Today))
	m.open = m.today
	if !m.in.From.IsZero() {
		m.open = max(m.open, m.clock.Minute(m.in.From))
	}
	m.frozen = map[string]int{}
	for crew, until := range m.in.Frozen {
		if !until.IsZero() {
			m.frozen[crew] = m.clock.Minute(until)
		}
	}
}

// roomWork gathers what does not depend on the takeoff.
func (m *maker) roomWork(job *rooms.Job, site *rooms.Site, room *rooms.Room) *roomWork {
	w := &roomWork{key: job.Key + "/" + room.Key, job: job.Key, standard: job.Movement, site: job.Key + "/" + site.Key, room: room, people: room.People,
		celsius: room.Celsius, due: -1, skip: m.kept.set, held: m.kept.held}
	if _, known := room.Air(); !known {
		w.celsius = defaultReference
	}
	w.air = airOf(m.clock, room, w.celsius)
	ready := room.Ready
	if ready.Before(job.Start) || ready.IsZero() {
		ready = job.Start
	}
	if !ready.IsZero() {
		w.ready = max(0, m.clock.DayStart(ready))
	}
	if !room.Due.IsZero() {
		w.due = max(0, m.clock.DayStart(room.Due.AddDays(1))) // a day that is over: every minute from now on is late
	}
	w.first = slices.Contains(m.in.First, w.key)
	w.fixed = m.kept.byRoom[w.key]
	return w
}

// roomOrder is the order in which rooms are expected to be set before there is
// a schedule: by due date, then as listed; as in the plan in force where it
// knows them.
func (m *maker) roomOrder() []string {
	first := map[string]int{}
	for _, w := range m.rooms {
		first[w.key] = w.due
		if w.due < 0 {
			first[w.key] = 1 << 29
		}
		if w.first {
			first[w.key] = -1
		}
	}
	if m.in.Prior != nil {
		for i := len(m.in.Prior.Areas) - 1; i >= 0; i-- {
			a := m.in.Prior.Areas[i]
			if room := roomOfSurface(a.Surfaces[0]); first[room] != 0 {
				first[room] = min(first[room], a.Start)
			}
		}
	}
	var out []string
	for _, w := range m.rooms {
		out = append(out, w.key)
	}
	slices.SortStableFunc(out, func(a, b string) int { return cmp.Compare(first[a], first[b]) })
	return out
}

// twiceRooms is the largest number of rooms that are dated twice; beyond it
// offcuts stay nested in the order of the due dates.
const twiceRooms = 200

// quickSteps bounds the search for offcuts while the order of the rooms is not
// known yet.
const quickSteps = 200

// takeoff counts, with the pieces ranked by room and setting order.
func (m *maker) takeoff(ctx context.Context, order []string, steps int64) error {
	taken, err := m.take(ctx, takeoff.TakeIn{Jobs: m.jobs, Layouts: m.layouts, Catalogue: m.in.Firm.Catalogue, Today: m.orderDay,
		Imperial: m.in.Firm.Units == "imperial", Rank: m.rank(order), Kerf: m.limits.Kerf, SmallestOffcut: m.limits.SmallestOffcut,
		Sharing: m.limits.Sharing, ReuseKept: m.limits.KeepOffcuts, Broken: m.kept.broken, Kept: m.kept.stock, Placed: m.placed,
		AcclimatiseDays: m.limits.AcclimatiseDays, OpenDays: m.limits.OpenDays, Steps: stepNeeds(&m.in.Firm, m.jobs), Measured: m.measured, NestSteps: steps, Memory: m.in.Memory})
	if err != nil {
		return err
	}
	m.taken = taken
	needs := map[string]map[string][]takeoff.Need{}
	for _, n := range taken.Needs {
		if needs[n.Room] == nil {
			needs[n.Room] = map[string][]takeoff.Need{}
		}
		needs[n.Room][n.Kind] = append(needs[n.Room][n.Kind], n)
	}
	at := map[string]int{}
	for i := range taken.Layouts {
		at[taken.Layouts[i].Surface] = i
	}
	for _, w := range m.rooms {
		w.needs, w.surfaces, w.blocks = needs[w.key], nil, nil
		for i := range w.room.Surfaces {
			src := &w.room.Surfaces[i]
			key := w.key + "/" + src.Key
			k, ok := at[key]
			if !ok {
				return fmt.Errorf("surface %s was not laid out", key)
			}
			f := newSurfaceWork(key, src, &taken.Layouts[k])
			f.order = m.orders[key]
			w.surfaces = append(w.surfaces, f)
		}
	}
	return nil
}

// rank numbers the pieces in the order in which they are expected to be set.
func (m *maker) rank(order []string) map[string]int {
	m.orderAll()
	byKey := map[string]*roomWork{}
	for _, w := range m.rooms {
		byKey[w.key] = w
	}
	n := 0
	for i := range m.layouts {
		for _, z := range m.layouts[i].Zones {
			n += len(z.Pieces)
		}
	}
	rank := make(map[string]int, n)
	for _, key := range order {
		w := byKey[key]
		var surfaces []*surfaceWork
		for i := range w.room.Surfaces {
			s := &w.room.Surfaces[i]
			surfaces = append(surfaces, &surfaceWork{src: s, order: m.orders[key+"/"+s.Key]})
		}
		for _, f := range bySetRank(surfaces) {
			for _, b := range f.order {
				for _, it := range b.items {
					rank[it.piece.ID] = len(rank)
				}
			}
		}
	}
	return rank
}

// orderAll works out the setting order on every surface, on all processors; it stays
// for as long as the layouts do.
func (m *maker) orderAll() {
	if m.orders != nil {
		return
	}
	sources := make(map[string]*rooms.Surface, len(m.layouts))
	for _, w := range m.rooms {
		for i := range w.room.Surfaces {
			sources[w.key+"/"+w.room.Surfaces[i].Key] = &w.room.Surfaces[i]
		}
	}
	orders := make([][]block, len(m.layouts))
	each(len(m.layouts), func(i int) {
		if src := sources[m.layouts[i].Surface]; src != nil {
			orders[i] = settingOrder(&m.layouts[i], src)
		}
	})
	m.orders = make(map[string][]block, len(m.layouts))
	for i := range m.layouts {
		m.orders[m.layouts[i].Surface] = orders[i]
	}
}

// schedule builds the network, chooses crews and dates. A first plan is dated
// twice: quickly, to learn the order in which the rooms are set, and again after
// the takeoff has nested offcuts in that order. Where a plan is known already, days
// long after its end are looked at only if there is no other way.
func (m *maker) schedule(ctx context.Context, order []string) error {
	warm, crews := m.warm()
	again := 0
	if m.in.Prior != nil {
		m.near = m.in.Prior.Finish + nearDays*1440
	}
	for pass := 0; ; pass++ {
		c, got, err := m.date(ctx, warm, crews, pass == 0 && m.twice)
		var not *Infeasible
		late := c != nil && errors.As(err, &not) && m.mayRelax()
		if err != nil && m.near > 0 && ctx.Err() == nil && !(late && c.anyTooLate()) {
			m.near = 0
			pass--
			continue
		}
		if late {
			m.relax = true
			pass--
			continue
		}
		if err != nil {
			return err
		}
		m.choice = got
		last := pass == 1 || !m.twice
		changed := m.reheat(again, last)
		if last && !changed {
			return nil
		}
		if again++; last {
			pass--
		} else {
			if err := m.takeoff(ctx, m.setOrder(order), 0); err != nil {
				return err
			}
			m.beside()
		}
		warm, crews = m.dated()
		for _, t := range got.net.tasks {
			m.near = max(m.near, t.start+t.minutes+nearDays*1440)
		}
	}
}

// nearDays after the end of a plan are looked at when it is made again: more than any
// report puts it off.
const nearDays = 120

// farDays is how far ahead anything is dated: thirty years, more than a thousand rooms take one small crew.
const farDays = 30 * 365

// date chooses crews and dates once.
func (m *maker) date(ctx context.Context, warm map[string]int, crews map[string]string, quick bool) (*chooser, *choice, error) {
	if err := m.prepare(); err != nil {
		return nil, nil, err
	}
	m.works.quick = quick
	c := newChooser(m.works, m.rooms)
	got, err := c.choose(ctx, warm, crews)
	return c, got, err
}

// mayRelax reports whether there is work that is done, whose latest times can be
// noted where no schedule keeps them.
func (m *maker) mayRelax() bool { return len(m.kept.activities) > 0 && !m.relax }

// warm is the plan in force as a start: activities' starts and rooms' crews.
func (m *maker) warm() (map[string]int, map[string]string) {
	if m.in.Prior == nil {
		return nil, nil
	}
	start, crew := map[string]int{}, map[string]string{}
	for _, a := range m.in.Prior.Activities {
		start[a.ID] = a.Start
		if a.Crew != "" {
			crew[a.Room] = a.Crew
		}
	}
	return start, crew
}

// dated is the schedule just made as a start for the next.
func (m *maker) dated() (map[string]int, map[string]string) {
	start, crew := map[string]int{}, map[string]string{}
	for i, k := range m.choice.crew {
		crew[m.rooms[i].key] = m.works.teams[k].Key
	}
	for _, t := range m.choice.net.tasks {
		start[t.id] = t.start
	}
	return start, crew
}

// setOrder lists the rooms by their first setting in the schedule.
func (m *maker) setOrder(before []string) []string {
	first := map[string]int{}
	for _, t := range m.choice.net.tasks {
		if t.kind != kindSet {
			continue
		}
		if v, ok := first[t.room.key]; !ok || t.start < v {
			first[t.room.key] = t.start
		}
	}
	out := slices.Clone(before)
	slices.SortStableFunc(out, func(a, b string) int { return cmp.Compare(first[a], first[b]) })
	return out
}

// prepare writes out the calendars and the firm's side of the network.
func (m *maker) prepare() error {
	f := &m.in.Firm
	w := &works{firm: f, limits: m.limits, rates: f.Rates.filled(), tiles: m.tiles, products: m.products, clock: m.clock,
		crews: map[string]*Crew{}, called: called(f, m.jobs), shift: map[[2]string]shift{}, hours: map[string][]Interval{}, siteHours: map[string][]Interval{},
		common: map[[2]string][]Interval{}, windows: map[string]*window{}, open: map[string][]Interval{}, used: map[string]bool{}, areaOf: m.kept.areasOf,
		releases: m.taken.Releases(f.Catalogue, m.orderDay)}
	w.today, w.begin, w.frozen, w.relax, w.replan = m.today, m.open, m.frozen, m.relax, m.in.Prior != nil
	w.again = m.mayRelax() || m.near > 0
	w.factor = map[string]float64{}
	for _, l := range m.learned {
		w.factor[l.Kind] = l.Factor
	}
	if m.heat == nil {
		m.heat = m.firstHeat()
	}
	w.heat = m.heat
	w.horizon = m.horizon(w)
	for i := range f.Crews {
		c := &f.Crews[i]
		w.crews[c.Key] = c
		w.hours[c.Key] = m.crewHours(*c, w.horizon)
		if len(w.hours[c.Key]) == 0 {
			return fmt.Errorf("%w: %s works on no day from %s on", ErrInput, w.called.crew(c.Key), m.in.Today.Words())
		}
		w.daily = append(w.daily, Working(w.hours[c.Key], w.opens(c.Key), w.opens(c.Key)+28*1440)/28)
	}
	for _, j := range m.jobs {
		for _, s := range j.Sites {
			key := j.Key + "/" + s.Key
			w.siteHours[key] = m.clock.SiteHours(s, 0, w.horizon)
			for _, c := range f.Crews {
				k := [2]string{c.Key, key}
				w.common[k] = Common(w.hours[c.Key], w.siteHours[key])
				w.shift[k] = shiftOf(from(w.common[k], w.opens(c.Key)))
			}
		}
	}
	w.teams = teamsOf(f.Crews, m.clock.Day(w.begin), m.clock.Day(w.horizon))
	for _, c := range w.teams[len(f.Crews):] {
		i := slices.IndexFunc(f.Crews, func(k Crew) bool { return k.Key == c.Key })
		w.daily = append(w.daily, w.daily[i])
	}
	w.noise = m.quiet(w)
	for _, a := range m.kept.activities {
		w.used[a.ID] = true
	}
	m.works = w
	return m.readyRooms()
}

// crewHours are a crew's hours up to a minute; on past and issued days they are
// those of the plan in force, so that an absence entered later does not unmake
// work that is done.
func (m *maker) crewHours(c Crew, to int) []Interval {
	if m.in.Prior == nil || m.in.Prior.Hours[c.Key] == nil {
		return m.clock.CrewHours(m.in.Firm, c, 0, to)
	}
	until := max(m.today, m.frozen[c.Key])
	was := Common(m.in.Prior.Hours[c.Key], []Interval{{0, until}})
	return normal(slices.Concat(was, m.clock.CrewHours(m.in.Firm, c, until, to)))
}

// from are the intervals that end after t.
func from(in []Interval, t int) []Interval {
	i, _ := slices.BinarySearchFunc(in, t, func(v Interval, t int) int { return cmp.Compare(v.End, t) })
	return in[i:]
}

// readyRooms looks up recipes and refuses rooms too cold for what is used there.
func (m *maker) readyRooms() error {
	var cold []string
	for _, r := range m.rooms {
		steps, err := recipeFor(&m.in.Firm, r.key, r.room)
		if err != nil {
			return fmt.Errorf("%w: %w", ErrInput, err)
		}
		r.recipe = steps
		cold = append(cold, m.works.chill(r)...)
	}
	if len(cold) > 0 {
		text := cold[0]
		for _, c := range cold[1:] {
			text += "; " + c
		}
		return &Infeasible{Text: text}
	}
	return nil
}

// horizon is generous: dates named in the job, deliveries, and a multiple of
// the days the work takes; where a plan is known, its end and some months.
func (m *maker) horizon(w *works) int {
	last := w.begin
	for _, c := range m.in.Firm.Crews {
		last = max(last, w.opens(c.Key))
	}
	for _, r := range m.rooms {
		last = max(last, r.ready, r.due)
		for _, h := range r.room.Holds {
			if !h.Until.IsZero() {
				last = max(last, m.clock.DayStart(h.Until))
			}
			last = max(last, h.Minutes)
		}
	}
	for _, d := range w.releases {
		if !d.IsZero() {
			last = max(last, m.clock.DayStart(d))
		}
	}
	m2 := 0.0
	for _, r := range m.rooms {
		for _, f := range r.surfaces {
			if f.src.Base != nil {
				last = max(last, m.clock.DayStart(f.src.Base.Ready()))
			}
			m2 += f.m2
		}
	}
	days := 90 + (3*len(m.rooms)+int(m2/2))/len(m.in.Firm.Crews)*2
	far := last + min(days, farDays)*1440
	if m.near > 0 {
		return min(far, max(last+nearDays*1440, m.near))
	}
	return far
}

// statusWords puts the solver's status into words.
func statusWords(r rcpsp.Result) string {
	s := r.Status.String()
	if r.Status == rcpsp.Optimal {
		s += " for these areas and crews"
	}
	if r.Stopped {
		s += ", stopped early"
	}
	return s
}

func roomOfSurface(key string) string {
	for i := len(key) - 1; i >= 0; i-- {
		if key[i] == '/' {
			return key[:i]
		}
	}
	return key
}
