package scheduler

import (
	"cmp"
	"fmt"
	"maps"
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
	// the tile names none. Zero takes 0.03, below 0 none does.
	BreakChance float64
	// RecutMinutes is what cutting a broken piece again takes, with measuring and
	// fetching (zero takes 4); OverrunMinutes how long a crew stays past its hours
	// rather than leave an area unfinished (zero takes 30). Below 0 is none.
	RecutMinutes, OverrunMinutes int
	// Runs of the simulation; zero chooses by the size of the plan, and a large one
	// takes fewer (see mostDrawn). Seed of its generator.
	Runs int
	Seed uint64
}

// filled returns u with the default wherever it is zero, for a plan of so many
// activities.
func (u Uncertainty) filled(activities int) Uncertainty {
	u.Least, u.Most = cmp.Or(u.Least, 0.85), cmp.Or(u.Most, 1.6)
	u.BreakChance = cmp.Or(u.BreakChance, 0.03)
	u.RecutMinutes, u.OverrunMinutes = cmp.Or(u.RecutMinutes, 4), cmp.Or(u.OverrunMinutes, 30)
	if u.Runs <= 0 {
		u.Runs = min(200, max(20, 60_000/max(1, activities)))
	}
	u.Runs = min(u.Runs, max(20, mostDrawn/max(1, activities)))
	return u
}

// mostDrawn is how many activities a simulation dates at most, over all its runs:
// some seconds' work each time the plan is made.
const mostDrawn = 20_000_000

// Risk is what the runs of a simulation say.
type Risk struct {
	Runs int
	// Asked is how many the firm wants, 0 where it leaves that to the program; fewer
	// are run where the plan is too large for so many.
	Asked int `json:",omitempty"`
	// Half and Eighty are the minutes by which all is finished in 50 % and 80 % of
	// the runs.
	Half, Eighty int
	Rooms        []RoomRisk
	// Critical are the activities that held the finish, most often first, each
	// with its share of the runs; those under 5 % are left out.
	Critical []Often
}

// runWords counts the runs, and says where they are fewer than asked for.
func (r *Risk) runWords() string {
	text := fmt.Sprintf("%d %s", r.Runs, rooms.Plural("simulated run", float64(r.Runs)))
	if r.Asked <= r.Runs {
		return text
	}
	return fmt.Sprintf("%s (not %d: with so many activities they would hold up every plan)", text, r.Asked)
}

// RoomRisk is a room's hand-over in the runs.
type RoomRisk struct {
	Room         string
	Half, Eighty int
	// Chance of being handed over by the due date; 1 where there is none.
	Chance float64
	// Critical are the activities that held its hand-over, in the room and what it
	// waited for elsewhere, most often first: at most five, none under 20 % of the
	// runs.
	Critical []Often `json:",omitempty"`
}

// Often is how often an activity was critical.
type Often struct {
	Activity string
	Share    float64
}

// Simulate runs the plan many times with other durations. Crews keep the order
// of the plan, their hours, those of the sites and for loud work, the shared
// tools and the days on which somebody is away; cures and holds take as long as
// planned, work that is done stays as it was, and latest times are not enforced.
// The same plan and seed give the same answer.
func Simulate(p *Plan, u Uncertainty) Risk {
	return simulate(p, u, indexPieces(p.Layouts).ofAreas(p.Areas))
}

// simulate is given the pieces of the plan's areas.
func simulate(p *Plan, u Uncertainty, pieces [][]*indexedPiece) Risk {
	asked := u.Runs
	u = u.filled(len(p.Activities))
	s := newSimulation(p, u, pieces)
	finish, byRoom := make([]int, u.Runs), make([][]int, len(p.RoomDates))
	for r := range byRoom {
		byRoom[r] = make([]int, u.Runs)
	}
	held := make([]*tally, (u.Runs+batchRuns-1)/batchRuns)
	takeoff.Each(len(held), 1, func(k int) { // each with its own draws: on any number of processors the same
		b := s.batch(k)
		held[k] = newTally(len(byRoom), len(s.nodes))
		for run := k * batchRuns; run < min(u.Runs, (k+1)*batchRuns); run++ {
			b.run()
			finish[run] = b.last(byRoom, run)
			b.trace(held[k])
		}
	})
	for _, h := range held[1:] {
		held[0].add(h)
	}
	r := s.risk(finish, byRoom, held[0])
	r.Asked = asked
	return r
}

// batchRuns are the runs that draw from one generator.
const batchRuns = 200

func (s *simulation) risk(finish []int, byRoom [][]int, held *tally) Risk {
	r := Risk{Runs: len(finish), Half: quantile(finish, 50), Eighty: quantile(finish, 80)}
	due, own := s.dueMinutes(), make([][]int, len(byRoom))
	for i := range s.nodes {
		if room := s.nodes[i].room; room >= 0 {
			own[room] = append(own[room], i)
		}
	}
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
		rr.Critical = s.often(held.of(i, own[i]), len(finish), 0.2)
		rr.Critical = rr.Critical[:min(5, len(rr.Critical))]
		r.Rooms = append(r.Rooms, rr)
	}
	all := make([]counted, 0, len(held.all))
	for i, n := range held.all {
		all = append(all, counted{i, n})
	}
	r.Critical = s.often(all, len(finish), 0.05)
	return r
}

// counted is in how many runs an activity was counted.
type counted struct{ activity, runs int }

// of are the counts of a room, whose own activities are given.
func (h *tally) of(room int, own []int) []counted {
	out := make([]counted, 0, len(own)+len(h.others[room]))
	for _, i := range own {
		out = append(out, counted{i, h.own[i]})
	}
	for _, i := range slices.Sorted(maps.Keys(h.others[room])) {
		out = append(out, counted{i, h.others[room][i]})
	}
	return out
}

// often are the activities still to be done that were counted in at least a share
// of the runs: most often first, of equals those that take longest and so can slip
// most, then as the plan lists them.
func (s *simulation) often(list []counted, runs int, least float64) []Often {
	list = slices.DeleteFunc(list, func(c counted) bool {
		return c.runs == 0 || float64(c.runs)/float64(runs) < least || s.nodes[c.activity].fixed
	})
	slices.SortFunc(list, func(a, b counted) int {
		return cmp.Or(cmp.Compare(b.runs, a.runs), cmp.Compare(s.nodes[b.activity].minutes, s.nodes[a.activity].minutes), cmp.Compare(a.activity, b.activity))
	})
	var out []Often
	for _, c := range list {
		out = append(out, Often{s.nodes[c.activity].id, round3(float64(c.runs) / float64(runs))})
	}
	return out
}

func (s *simulation) dueMinutes() map[string]int {
	out := map[string]int{}
	for _, j := range s.plan.Jobs {
		for _, site := range j.Sites {
			for _, r := range site.Rooms {
				if r.Due != (rooms.Date{}) {
					out[j.Key+"/"+r.Key] = s.clock.DayStart(r.Due.AddDays(1))
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
