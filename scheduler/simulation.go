package scheduler

import (
	"math"
	"math/rand/v2"
	"slices"

	"potlife/takeoff"
)

// simNode is an activity in the simulation.
type simNode struct {
	id         string
	room       int
	fixed      bool
	held       bool // by others: no crew of the firm works on it
	start, end int  // of this run
	minutes    int
	cuts       int // pieces that can break
	chance     float64
	gangs      []simGang // who can do it, first those for whom it is planned
	by         int       // of gangs, in this run; needs, hours and longest are theirs
	needs      []simNeed
	site       int // -1: none
	after      []simLag
	hours      []Interval
	longest    int
	holder     int // the activity that decided this start, -1
	planned    int
	release    int // before which it is not begun, see hold
}

type simLag struct{ node, least int }

type simulation struct {
	plan  *Plan
	u     Uncertainty
	clock Clock
	rng   *rand.Rand
	nodes []simNode
	order []int // by planned start
	pools []simPool
	way   [][]int // minutes between sites
	holds bool    // see hold
}

func newSimulation(p *Plan, u Uncertainty, pieces [][]*indexedPiece) *simulation {
	s := &simulation{plan: p, u: u.filled(len(p.Activities)), clock: Clock{p.Epoch, p.Firm.Zone}, rng: rngOf(u, 0)}
	s.u.BreakChance, s.u.RecutMinutes, s.u.OverrunMinutes = max(0, s.u.BreakChance), max(0, s.u.RecutMinutes), max(0, s.u.OverrunMinutes)
	if s.clock.Zone == nil {
		s.clock.Zone = p.Epoch.Location()
	}
	siteNo := s.ways()
	roomNo, at := map[string]int{}, map[string]int{}
	for i, d := range p.RoomDates {
		roomNo[d.Room] = i
	}
	hours := s.newHours()
	people, tools := s.fillPools(hours.end)
	cuts, chance := s.breakable(pieces)
	lifted, crews := map[string]bool{}, map[string]*Crew{}
	for i := range p.Firm.Crews {
		crews[p.Firm.Crews[i].Key] = &p.Firm.Crews[i]
	}
	if slices.ContainsFunc(p.Firm.Crews, func(c Crew) bool { return c.mayMiss() && !c.LiftAid }) {
		lifted = s.liftedBy(pieces)
	}
	s.nodes, s.order = make([]simNode, 0, len(p.Activities)), make([]int, 0, len(p.Activities))
	for i := range p.Activities {
		a := &p.Activities[i]
		at[a.ID] = i
		n := simNode{id: a.ID, room: -1, held: true, fixed: a.State != "planned" && a.State != "", minutes: a.Finish - a.Start,
			site: -1, planned: a.Start, cuts: cuts[a.ID], chance: chance[a.ID]}
		if r, ok := roomNo[a.Room]; ok {
			n.room = r
		}
		if k, ok := siteNo[a.Site]; ok {
			n.site = k
		}
		if c, ok := people[a.Crew]; ok {
			n.held, n.gangs = false, s.gangs(a, crews[a.Crew], c, tools, hours, lifted[a.ID] && !crews[a.Crew].LiftAid)
			n.use(0)
		}
		s.nodes = append(s.nodes, n)
		s.order = append(s.order, i)
	}
	for i := range p.Activities {
		for _, l := range p.Activities[i].After {
			if j, ok := at[l.Activity]; ok {
				s.nodes[i].after = append(s.nodes[i].after, simLag{j, max(0, l.Least)})
			}
		}
	}
	slices.SortStableFunc(s.order, func(a, b int) int { return s.nodes[a].planned - s.nodes[b].planned })
	s.hold()
	return s
}

// hold notes what is not begun before its planned date: where nothing before it and
// nobody at work explains that date, something does that is not known here, as a
// delivery or tile that dries after the saw. Without any uncertainty a run then is the
// plan.
func (s *simulation) hold() {
	sure := s.batch(0)
	sure.holds = true
	sure.u.Least, sure.u.Most, sure.u.RecutMinutes, sure.u.OverrunMinutes = 1, 1, 0, 0
	sure.run()
	for i := range s.nodes {
		s.nodes[i].release = sure.nodes[i].release
	}
}

// rngOf is the generator of a batch of runs.
func rngOf(u Uncertainty, batch int) *rand.Rand {
	return rand.New(rand.NewPCG(u.Seed+1, 0x51d+uint64(batch)))
}

// ways writes the ways between the plan's sites as a matrix, and numbers these.
func (s *simulation) ways() map[string]int {
	no := map[string]int{}
	for i := range s.plan.Activities {
		if k := s.plan.Activities[i].Site; k != "" {
			if _, ok := no[k]; !ok {
				no[k] = len(no)
			}
		}
	}
	s.way = make([][]int, len(no))
	for i := range s.way {
		s.way[i] = make([]int, len(no))
	}
	for _, t := range s.plan.Firm.Travel {
		i, from := no[t.From]
		j, to := no[t.To]
		if from && to && i != j {
			s.way[i][j] = max(s.way[i][j], t.Minutes) // of two that are given the longer, as the plan takes it
			s.way[j][i] = s.way[i][j]
		}
	}
	return no
}

// batch is a simulation of the same plan with draws of its own.
func (s *simulation) batch(n int) *simulation {
	c := *s
	c.rng, c.nodes, c.pools = rngOf(s.u, n), slices.Clone(s.nodes), slices.Clone(s.pools)
	for i := range c.pools {
		c.pools[i].hands = slices.Clone(c.pools[i].hands)
	}
	return &c
}

// breakable counts, per activity, the cut pieces it sets and their chance to
// break.
func (s *simulation) breakable(pieces [][]*indexedPiece) (cuts map[string]int, chance map[string]float64) {
	tiles := map[string]takeoff.Tile{}
	for _, t := range s.plan.Firm.Catalogue.Tiles {
		tiles[t.Key] = t
	}
	cuts, chance = map[string]int{}, map[string]float64{}
	for i, list := range pieces {
		a, n, sum := &s.plan.Areas[i], 0, 0.0
		for _, q := range list {
			if q == nil || q.Full {
				continue
			}
			c := tiles[q.Tile].BreakChance
			if c == 0 {
				c = s.u.BreakChance
			}
			n++
			sum += c
		}
		if cuts[a.Activity] += n; cuts[a.Activity] > 0 {
			chance[a.Activity] = sum / float64(cuts[a.Activity])
		}
	}
	return cuts, chance
}

// draw is a triangular factor with its peak at 1, by inverting its
// distribution: only square roots, so that every processor agrees.
func (s *simulation) draw() float64 {
	a, b := s.u.Least, s.u.Most
	if b-a < 1e-9 {
		return 1
	}
	x := s.rng.Float64()
	if split := (1 - a) / (b - a); x < split {
		return a + math.Sqrt(float64(x*(b-a))*(1-a))
	}
	return b - math.Sqrt(float64((1-x)*(b-a))*(b-1))
}

func (s *simulation) run() {
	for i := range s.pools {
		s.pools[i].rest()
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
		s.take(n, i)
		return
	case n.held: // what others hold ends as planned, or later when it begins later
		n.start = ready
		n.end = max(n.start+d, n.planned+d)
		return
	}
	d = ceilMinutes(float64(d) * s.draw())
	for range n.cuts {
		if s.rng.Float64() < n.chance {
			d += s.u.RecutMinutes
		}
	}
	d = s.choose(n, max(ready, s.release(i), n.release), d)
	if s.holds && n.start < n.planned {
		n.release = n.planned
		n.start = s.free(n, n.planned, d)
	}
	n.end = n.start + d
	s.take(n, i)
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

func (s *simulation) travel(a, b int) int {
	if a < 0 || b < 0 {
		return 0
	}
	return s.way[a][b]
}

// last is when everything is finished in this run; the rooms' own ends are entered
// into byRoom.
func (s *simulation) last(byRoom [][]int, run int) int {
	m := 0
	for i := range s.nodes {
		n := &s.nodes[i]
		m = max(m, n.end)
		if n.room >= 0 {
			byRoom[n.room][run] = max(byRoom[n.room][run], n.end)
		}
	}
	return m
}

// tally counts how often activities held the finish of all, and the hand-over of
// their own room; of those in other rooms it counts what a room waited for.
type tally struct {
	all, own []int         // by activity
	others   []map[int]int // by room
}

func newTally(rooms, activities int) *tally {
	h := &tally{make([]int, activities), make([]int, activities), make([]map[int]int, rooms)}
	for i := range h.others {
		h.others[i] = map[int]int{}
	}
	return h
}

// add adds the counts of another tally.
func (h *tally) add(o *tally) {
	for i := range h.all {
		h.all[i] += o.all[i]
		h.own[i] += o.own[i]
	}
	for r, m := range o.others {
		for i, n := range m {
			h.others[r][i] += n
		}
	}
}

// trace counts the activities on the chain that held this run's finish, and on
// those that held the rooms' own, as far as they run in the room and to the work
// elsewhere that it waited for.
func (s *simulation) trace(h *tally) {
	at, last := -1, make([]int, len(h.others))
	for i := range last {
		last[i] = -1
	}
	for i := range s.nodes {
		n := &s.nodes[i]
		if at < 0 || n.end > s.nodes[at].end {
			at = i
		}
		if n.room >= 0 && (last[n.room] < 0 || n.end > s.nodes[last[n.room]].end) {
			last[n.room] = i
		}
	}
	for steps := 0; at >= 0 && steps <= len(s.nodes); steps++ {
		h.all[at]++
		at = s.nodes[at].holder
	}
	for room, i := range last {
		steps := 0
		for ; i >= 0 && s.nodes[i].room == room && steps <= len(s.nodes); steps++ {
			h.own[i]++
			i = s.nodes[i].holder
		}
		if i >= 0 && s.nodes[i].room != room {
			h.others[room][i]++
		}
	}
}
