package scheduler

import (
	"math"
	"math/rand/v2"
	"slices"

	"potlife/rooms"
	"potlife/takeoff"
)

// Uncertainty says how far work departs from its plan. The defaults are common
// practice and meant to be edited; no source was found for them.
type Uncertainty struct {
	// Least and Most multiply an activity's minutes; 1 is the likeliest
	// (triangular distribution). Zero takes 0.85 and 1.6.
	Least, Most float64
	// BreakChance is the chance that a cut piece breaks and is cut again, where
	// the tile names none. Zero takes 0.03.
	BreakChance float64
	// Runs of the simulation; zero chooses by the size of the plan. Seed of its
	// generator.
	Runs int
	Seed uint64
}

// Risk is what the runs of a simulation say.
type Risk struct {
	Runs int
	// Half and Eighty are the minutes by which all is finished in 50 % and 80 % of
	// the runs.
	Half, Eighty int
	Rooms        []RoomRisk
	// Critical are the activities that held the finish, most often first, each
	// with its share of the runs; those under 5 % are left out.
	Critical []Often
}

// RoomRisk is a room's hand-over in the runs.
type RoomRisk struct {
	Room         string
	Half, Eighty int
	// Chance of being handed over by the due date; 1 where there is none.
	Chance float64
}

// Often is how often an activity was critical.
type Often struct {
	Activity string
	Share    float64
}

// Simulate runs the plan many times with other durations. Crews keep the order
// of the plan and their hours, cures and holds take as long as planned, work
// that is done stays as it was, and latest times are not enforced. The same
// plan and seed give the same answer.
func Simulate(p *Plan, u Uncertainty) Risk {
	if u.Least == 0 {
		u.Least = 0.85
	}
	if u.Most == 0 {
		u.Most = 1.6
	}
	if u.BreakChance == 0 {
		u.BreakChance = 0.03
	}
	if u.Runs <= 0 {
		u.Runs = min(200, max(20, 60_000/max(1, len(p.Activities))))
	}
	s := newSimulation(p, u)
	finish := make([]int, 0, u.Runs)
	byRoom := make([][]int, len(p.RoomDates))
	critical := make([]int, len(s.nodes))
	for range u.Runs {
		s.run()
		finish = append(finish, s.last(-1))
		for r := range byRoom {
			byRoom[r] = append(byRoom[r], s.last(r))
		}
		s.trace(critical)
	}
	return s.risk(finish, byRoom, critical)
}

// recutMinutes is what cutting a broken piece again takes, with measuring and
// fetching; common practice.
const recutMinutes = 4

// overrun is how long a crew stays past its hours rather than leave an area
// unfinished; common practice.
const overrun = 30

// simNode is an activity in the simulation.
type simNode struct {
	id         string
	room       int
	fixed      bool
	start, end int // of this run
	minutes    int
	cuts       int // pieces that can break
	chance     float64
	setters    int
	crew       int
	site       string
	after      []simLag
	hours      []Interval
	longest    int
	holder     int // the activity that decided this start, -1
	planned    int
}

type simLag struct{ node, least int }

type simulation struct {
	plan  *Plan
	u     Uncertainty
	rng   *rand.Rand
	nodes []simNode
	order []int // by planned start
	free  [][]simSetter
	way   map[[2]string]int
}

// simSetter is when a setter is free, where, and after which activity.
type simSetter struct {
	at   int
	site string
	from int
}

func newSimulation(p *Plan, u Uncertainty) *simulation {
	s := &simulation{plan: p, u: u, rng: rand.New(rand.NewPCG(u.Seed+1, 0x51d)), way: map[[2]string]int{}}
	for _, t := range p.Firm.Travel {
		s.way[[2]string{t.From, t.To}], s.way[[2]string{t.To, t.From}] = t.Minutes, t.Minutes
	}
	roomNo, crewNo, at := map[string]int{}, map[string]int{}, map[string]int{}
	for i, d := range p.RoomDates {
		roomNo[d.Room] = i
	}
	for i, c := range p.Firm.Crews {
		crewNo[c.Key] = i
	}
	cuts, chance := s.breakable()
	hours := s.extended()
	for i := range p.Activities {
		a := &p.Activities[i]
		at[a.ID] = i
		n := simNode{id: a.ID, room: -1, crew: -1, fixed: a.State != "planned" && a.State != "", minutes: a.Finish - a.Start, setters: a.Setters,
			site: a.Site, planned: a.Start, cuts: cuts[a.ID], chance: chance[a.ID]}
		if r, ok := roomNo[a.Room]; ok {
			n.room = r
		}
		if c, ok := crewNo[a.Crew]; ok {
			n.crew = c
			n.hours = hours[a.Crew]
			for _, h := range n.hours {
				n.longest = max(n.longest, h.End-h.Start)
			}
		}
		s.nodes = append(s.nodes, n)
		s.order = append(s.order, i)
	}
	for i := range p.Activities {
		for _, l := range p.Activities[i].After {
			if j, ok := at[l.Activity]; ok {
				s.nodes[i].after = append(s.nodes[i].after, simLag{j, l.Least})
			}
		}
	}
	slices.SortStableFunc(s.order, func(a, b int) int { return s.nodes[a].planned - s.nodes[b].planned })
	return s
}

// extended are the crews' hours, written on for as long again as the plan takes
// so that late runs have days to work on.
func (s *simulation) extended() map[string][]Interval {
	p := s.plan
	clock := Clock{p.Epoch, p.Firm.Zone}
	if clock.Zone == nil {
		clock.Zone = p.Epoch.Location()
	}
	out := map[string][]Interval{}
	for _, c := range p.Firm.Crews {
		out[c.Key] = normal(slices.Concat(p.Hours[c.Key], clock.CrewHours(p.Firm, c, p.Horizon, p.Horizon+p.Finish+60*1440)))
	}
	return out
}

// breakable counts, per activity, the cut pieces it sets and their chance to
// break.
func (s *simulation) breakable() (cuts map[string]int, chance map[string]float64) {
	tiles := map[string]takeoff.Tile{}
	for _, t := range s.plan.Firm.Catalogue.Tiles {
		tiles[t.Key] = t
	}
	piece := map[string]*takeoff.Piece{}
	for i := range s.plan.Layouts {
		for z := range s.plan.Layouts[i].Zones {
			for k := range s.plan.Layouts[i].Zones[z].Pieces {
				q := &s.plan.Layouts[i].Zones[z].Pieces[k]
				piece[q.ID] = q
			}
		}
	}
	cuts, chance = map[string]int{}, map[string]float64{}
	for _, a := range s.plan.Areas {
		sum := 0.0
		for _, id := range a.Pieces {
			q := piece[id]
			if q == nil || q.Full {
				continue
			}
			c := tiles[q.Tile].BreakChance
			if c == 0 {
				c = s.u.BreakChance
			}
			cuts[a.Activity]++
			sum += c
		}
		if n := cuts[a.Activity]; n > 0 {
			chance[a.Activity] = sum / float64(n)
		}
	}
	return cuts, chance
}

// draw is a triangular factor with its peak at 1, by inverting its
// distribution: only square roots, so that every processor agrees.
func (s *simulation) draw() float64 {
	a, b := s.u.Least, s.u.Most
	x := s.rng.Float64()
	if split := (1 - a) / (b - a); x < split {
		return a + math.Sqrt(float64(x*(b-a))*(1-a))
	}
	return b - math.Sqrt(float64((1-x)*(b-a))*(b-1))
}

func (s *simulation) run() {
	s.free = make([][]simSetter, len(s.plan.Firm.Crews))
	for i, c := range s.plan.Firm.Crews {
		s.free[i] = make([]simSetter, max(1, c.Setters))
		for k := range s.free[i] {
			s.free[i][k].from = -1
		}
	}
	for _, i := range s.order {
		s.place(i)
	}
}

// place dates one activity of the run.
func (s *simulation) place(i int) {
	n := &s.nodes[i]
	n.holder = -1
	d := n.minutes
	ready := 0
	for _, l := range n.after {
		if v := s.nodes[l.node].end + l.least; v > ready {
			ready, n.holder = v, l.node
		}
	}
	switch {
	case n.fixed:
		n.start, n.end = n.planned, n.planned+d
		s.busy(n, i)
		return
	case n.crew < 0: // what others hold ends as planned, or later when it begins later
		n.start = ready
		n.end = max(n.start+d, n.planned+d)
		return
	}
	d = ceilMinutes(float64(d) * s.draw())
	for range n.cuts {
		if s.rng.Float64() < n.chance {
			d += recutMinutes
		}
	}
	d = min(d, n.longest)
	for _, f := range s.taken(n) {
		if v := f.at + s.travel(f.site, n.site); v > ready {
			ready, n.holder = v, f.from
		}
	}
	ready = max(ready, s.release(i))
	at, ok := earliest(n.hours, ready, max(1, d-overrun))
	if !ok {
		at = ready
	}
	n.start, n.end = at, at+d
	s.busy(n, i)
}

// release is the planned start less the slack that is not known here: work is
// not begun earlier than planned when nothing before it in the plan explains
// the date, as with a delivery.
func (s *simulation) release(i int) int {
	n := &s.nodes[i]
	if len(n.after) == 0 {
		return n.planned
	}
	latest := 0
	for _, l := range n.after {
		latest = max(latest, s.nodes[l.node].planned+s.nodes[l.node].minutes+l.least)
	}
	if n.planned-latest > 24*60 {
		return n.planned
	}
	return 0
}

// taken are the setters that an activity takes: those free first.
func (s *simulation) taken(n *simNode) []simSetter {
	free := s.free[n.crew]
	slices.SortStableFunc(free, func(a, b simSetter) int { return a.at - b.at })
	return free[:min(max(1, n.setters), len(free))]
}

func (s *simulation) busy(n *simNode, i int) {
	if n.crew < 0 {
		return
	}
	for k := range s.taken(n) {
		f := &s.free[n.crew][k]
		f.at, f.site, f.from = max(f.at, n.end), n.site, i
	}
}

func (s *simulation) travel(a, b string) int {
	if a == "" || a == b {
		return 0
	}
	return s.way[[2]string{a, b}]
}

// last is when a room, or with -1 everything, is finished in this run.
func (s *simulation) last(room int) int {
	m := 0
	for i := range s.nodes {
		if room < 0 || s.nodes[i].room == room {
			m = max(m, s.nodes[i].end)
		}
	}
	return m
}

// trace counts the activities on the chain that held this run's finish.
func (s *simulation) trace(count []int) {
	at, end := -1, -1
	for i := range s.nodes {
		if s.nodes[i].end > end {
			at, end = i, s.nodes[i].end
		}
	}
	for steps := 0; at >= 0 && steps <= len(s.nodes); steps++ {
		count[at]++
		at = s.nodes[at].holder
	}
}

func (s *simulation) risk(finish []int, byRoom [][]int, critical []int) Risk {
	r := Risk{Runs: len(finish), Half: quantile(finish, 50), Eighty: quantile(finish, 80)}
	due := s.dueMinutes()
	for i, d := range s.plan.RoomDates {
		rr := RoomRisk{Room: d.Room, Half: quantile(byRoom[i], 50), Eighty: quantile(byRoom[i], 80), Chance: 1}
		if at, ok := due[d.Room]; ok {
			n := 0
			for _, f := range byRoom[i] {
				if f <= at {
					n++
				}
			}
			rr.Chance = round3(float64(n) / float64(len(finish)))
		}
		r.Rooms = append(r.Rooms, rr)
	}
	for i, n := range critical {
		if share := float64(n) / float64(len(finish)); share >= 0.05 && !s.nodes[i].fixed {
			r.Critical = append(r.Critical, Often{s.nodes[i].id, round3(share)})
		}
	}
	slices.SortStableFunc(r.Critical, func(a, b Often) int {
		switch {
		case a.Share > b.Share:
			return -1
		case a.Share < b.Share:
			return 1
		}
		return 0
	})
	return r
}

func (s *simulation) dueMinutes() map[string]int {
	zone := s.plan.Firm.Zone
	if zone == nil {
		zone = s.plan.Epoch.Location()
	}
	clock := Clock{s.plan.Epoch, zone}
	out := map[string]int{}
	for _, j := range s.plan.Jobs {
		for _, site := range j.Sites {
			for _, r := range site.Rooms {
				if r.Due != (rooms.Date{}) {
					out[j.Key+"/"+r.Key] = clock.DayStart(r.Due.AddDays(1))
				}
			}
		}
	}
	return out
}

// quantile is the least value that so many percent of the runs do not pass.
func quantile(in []int, percent int) int {
	if len(in) == 0 {
		return 0
	}
	v := slices.Clone(in)
	slices.Sort(v)
	return v[min(len(v)-1, max(0, (len(v)*percent+99)/100-1))]
}
