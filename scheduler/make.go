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
	orderDay   rooms.Date      // on which an order still goes out
	today      int             // minute at which Today begins
	open       int             // minute before which nothing new starts
	frozen     map[string]int  // by crew, the minute up to which its work is issued
	relax      bool            // see works.relax
	brink      map[string]bool // see works.brink
	brinkAll   bool
	crewBefore map[string]string // in the plan in force, by room
	near       int               // minute after which nothing is looked at, 0: none
	twice      bool              // a first plan of several rooms is dated twice
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
	busy       *inUse // of choice
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

// plan makes a plan, and makes it again where work that is out uses goods that are
// not there.
func plan(ctx context.Context, in Input, e engines) (*Plan, error) {
	in.supposed = newSupposed()
	for try := 0; ; try++ {
		m := &maker{engines: e, in: in}
		p, err := m.make(ctx)
		if err != nil || in.Prior == nil || try == shortTries || !m.suppose() {
			return p, err
		}
	}
}

func (m *maker) make(ctx context.Context) (*Plan, error) {
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
		m.layouts = m.taken.Layouts // the same, and nothing is laid out again
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
	f.Crews = WithReported(f.Crews, m.in.Records)
	for _, c := range f.Crews {
		if c.Setters < 1 {
			return fmt.Errorf("%w: crew %s has no setter", ErrInput, c.Key)
		}
		if len(c.Hours) == 0 {
			return fmt.Errorf("%w: crew %s has no hours", ErrInput, c.Key)
		}
		if why := c.Unnamed(); why != "" {
			return fmt.Errorf("%w: crew %s: %s", ErrInput, c.Key, why)
		}
	}
	m.jobs = withDefaults(withTemperatures(withReadings(m.in.Jobs, m.in.Records), m.in.Records, f.Zone))
	m.placed = m.in.supposed.count(received(m.in.Placed, m.in.Received, m.in.Today), &f.Catalogue)
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
	m.learned = Learn(f, m.in.Prior, m.in.Records)
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
		celsius: room.Celsius, due: -1, skip: m.kept.set, cut: m.kept.cut, held: m.kept.held}
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
	w.sawn, w.broken = m.kept.sawn, m.kept.broken
	w.fixed, w.parts = m.kept.byRoom[w.key], m.kept.parts[w.key]
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
	taken, err := m.take(ctx, takeoff.TakeIn{Jobs: m.jobs, Layouts: m.layouts, Given: m.in.Prior == nil && !m.twice,
		Catalogue: m.in.Firm.Catalogue, Days: m.in.Firm.Days, Today: m.orderDay,
		Imperial: m.in.Firm.Units == "imperial", Rank: m.rank(order), Kerf: m.limits.Kerf, SmallestOffcut: m.limits.SmallestOffcut,
		Sharing: m.limits.Sharing, ReuseKept: m.limits.KeepOffcuts, Broken: m.kept.broken, Kept: m.kept.stock, Placed: m.placed,
		AcclimatiseDays: m.limits.AcclimatiseDays, OpenDays: m.limits.OpenDays, Steps: stepNeeds(&m.in.Firm, m.jobs), Measured: m.measured, NestSteps: steps, Memory: m.in.Memory})
	if err != nil {
		return err
	}
	taken.Layouts, taken.Stock = m.shared(taken.Layouts, taken.Stock)
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

// rank numbers the pieces in the order in which they are expected to be set, by layout,
// zone and piece.
func (m *maker) rank(order []string) [][][]int {
	m.orderAll()
	byKey, at := make(map[string]*roomWork, len(m.rooms)), make(map[string]int, len(m.layouts))
	for _, w := range m.rooms {
		byKey[w.key] = w
	}
	rank := make([][][]int, len(m.layouts))
	for i := range m.layouts {
		at[m.layouts[i].Surface] = i
		rank[i] = make([][]int, len(m.layouts[i].Zones))
		for z := range rank[i] {
			rank[i][z] = make([]int, len(m.layouts[i].Zones[z].Pieces))
		}
	}
	next := 0
	for _, key := range order {
		w := byKey[key]
		var surfaces []*surfaceWork
		for i := range w.room.Surfaces {
			s := &w.room.Surfaces[i]
			surfaces = append(surfaces, &surfaceWork{key: key + "/" + s.Key, src: s, order: m.orders[key+"/"+s.Key]})
		}
		for _, f := range bySetRank(surfaces) {
			for _, b := range f.order {
				for _, it := range b.items {
					rank[at[f.key]][it.zone][it.at] = next
					next++
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
	takeoff.Each(len(m.layouts), 1, func(i int) {
		if src := sources[m.layouts[i].Surface]; src != nil {
			orders[i] = settingOrder(&m.layouts[i], src)
		}
	})
	m.orders = make(map[string][]block, len(m.layouts))
	for i := range m.layouts {
		m.orders[m.layouts[i].Surface] = orders[i]
	}
}

func roomOfSurface(key string) string {
	for i := len(key) - 1; i >= 0; i-- {
		if key[i] == '/' {
			return key[:i]
		}
	}
	return key
}
