package scheduler

import (
	"slices"

	"potlife/rooms"
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
// of the plan, their hours, those of the sites and for loud work, the shared
// tools and the days on which somebody is away; cures and holds take as long as
// planned, work that is done stays as it was, and latest times are not enforced.
// The same plan and seed give the same answer.
func Simulate(p *Plan, u Uncertainty) Risk { return simulate(p, u, indexPieces(p.Layouts)) }

func simulate(p *Plan, u Uncertainty, pieces pieceIndex) Risk {
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
	s := newSimulation(p, u, pieces)
	finish := make([]int, 0, u.Runs)
	byRoom := make([][]int, len(p.RoomDates))
	for r := range byRoom {
		byRoom[r] = make([]int, u.Runs)
	}
	critical := make([]int, len(s.nodes))
	for run := range u.Runs {
		s.run()
		finish = append(finish, s.last(byRoom, run))
		s.trace(critical)
	}
	return s.risk(finish, byRoom, critical)
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
