// Package rcpsp schedules activities that share resources: the resource-constrained project scheduling problem with
// minimum and maximum time lags, calendars, travel and due dates.
//
// It deals in integers only. A time is a count of whatever unit the caller chose (the scheduler uses minutes since the
// plan's start); it never meets a time zone, a clock or a name. Solve finds a schedule and a proven bound, Check
// verifies a schedule with code that shares nothing with the search.
package rcpsp

import (
	"errors"
	"fmt"
)

// Interval is the half open span [Start, End).
type Interval struct{ Start, End int }

// Loan is a span in which Count of a resource's capacity is not there.
type Loan struct {
	Interval
	Count int
}

// Resource is a renewable resource: a crew, a tool, the room itself.
type Resource struct {
	Capacity int
	// Forbidden spans are sorted and disjoint. No activity of positive duration that uses the resource may overlap
	// them: a crew's nights, breaks and holidays. Past the last of them the resource is always available.
	Forbidden []Interval
	// Lent spans are sorted and disjoint: times in which some of the capacity is not there, such as people of a crew
	// who come for a part of its hours. As much of it as that is taken then; no schedule is longer for it.
	Lent []Loan
	// Moves marks a crew that is at one place at a time: two of its activities at different sites never overlap and
	// keep Travel[siteA][siteB] between the end of the first and the start of the second.
	Moves bool
}

// Activity is done without interruption: it occupies [start, start+Duration) and Demand of each resource meanwhile.
type Activity struct {
	Duration int
	Demand   []int // per resource; may be shorter than Resources, the rest is 0
	Release  int   // earliest start
	Latest   int   // latest start, -1 none
	Due      int   // wanted finish, -1 none
	Weight   int   // of lateness: Weight × max(0, finish−Due)
	Site     int   // row and column of Travel, -1 none
	Room     int   // the objective counts how often a crew that Moves changes rooms; -1 none
	// Fixed is -1 for a free activity. Otherwise it starts exactly then (issued and past work), even where that
	// breaks calendars, releases, or a lag or capacity among fixed activities alone.
	Fixed int
}

// Lag demands start[To] ≥ start[From] + Min. A negative Min gives a maximum lag, as in ProGen/max: "From starts at most
// −Min after To".
type Lag struct{ From, To, Min int }

// Objective says what is minimised; each is lexicographic.
type Objective int

const (
	// Makespan minimises the finish of the last activity only.
	Makespan Objective = iota
	// LatenessFirst minimises the weighted lateness, then the makespan, then the changes of room of the crews that
	// move, then the change against Options.Warm (without one: the sum of starts).
	LatenessFirst
)

// Problem is plain data. Solve never changes it.
type Problem struct {
	Activities []Activity
	Resources  []Resource
	Lags       []Lag
	Travel     [][]int // time between sites, not negative
	Objective  Objective
	// Horizon, where positive, is the time by which every free activity must have finished. Callers whose calendars
	// are written out for a limited span set it to the end of that span.
	Horizon int
}

// Status of a Result.
type Status int

const (
	Unknown    Status = iota // no schedule found, none excluded
	Infeasible               // proved: there is no schedule
	Feasible                 // a schedule, not proved best
	Optimal                  // proved: no schedule has less lateness, nor with this lateness a shorter makespan
)

func (s Status) String() string {
	switch s {
	case Infeasible:
		return "infeasible"
	case Feasible:
		return "feasible"
	case Optimal:
		return "optimal"
	}
	return "unknown"
}

// Result of Solve.
type Result struct {
	Status        Status
	Start         []int // per activity; nil where no schedule was found
	Makespan      int
	Lateness      int   // Σ Weight × max(0, finish−Due)
	Moves         int   // changes of room of the crews that move
	Bound         int   // proved: no schedule is shorter
	LatenessBound int   // proved: no schedule has less weighted lateness
	Schedules     int64 // spent: activity placements / number of activities, rounded up
	Conflict      []int // for Infeasible: activities that cannot hold together, ascending
	Reason        string
	Stopped       bool // the context ended the search before the budget did
}

// Options of Solve.
type Options struct {
	// Schedules is the budget: one schedule is as many activity placements as there are activities, and every pass,
	// improvement and search node counts. 0 chooses by size.
	Schedules int64
	Seed      uint64
	// Warm is a previous schedule, one start per activity, −1 for an activity it did not know. It need not be feasible.
	Warm []int
	// Draft says that nothing of Warm is in force: the search only begins there, and of schedules that are equal else the
	// sooner is better, not the one that changes less.
	Draft bool
	// Order is a schedule of a like problem, one start per activity, −1 for an activity it did not know: one of the first
	// schedules is built in its order.
	Order []int
}

// maxTime keeps every sum the search forms within 32 bits.
const maxTime = 1 << 29

// ErrProblem is wrapped by every error of Solve and Check that concerns a malformed Problem.
var ErrProblem = errors.New("rcpsp: malformed problem")

func badProblem(format string, args ...any) error {
	return fmt.Errorf("%w: %s", ErrProblem, fmt.Sprintf(format, args...))
}

// Validate reports the first rule of the Problem's documentation that the data breaks, with its place.
func (p Problem) Validate() error {
	for r, res := range p.Resources {
		if err := res.validate(r); err != nil {
			return err
		}
	}
	for i, a := range p.Activities {
		if err := p.validateActivity(i, a); err != nil {
			return err
		}
	}
	n := len(p.Activities)
	for k, l := range p.Lags {
		if l.From < 0 || l.From >= n || l.To < 0 || l.To >= n {
			return badProblem("lag %d joins %d and %d, activities are 0 to %d", k, l.From, l.To, n-1)
		}
		if l.Min < -maxTime || l.Min > maxTime {
			return badProblem("lag %d of %d is out of range", k, l.Min)
		}
	}
	for i, row := range p.Travel {
		if len(row) != len(p.Travel) {
			return badProblem("travel row %d has %d entries for %d sites", i, len(row), len(p.Travel))
		}
		for j, d := range row {
			if d < 0 || d > maxTime {
				return badProblem("travel from %d to %d is %d", i, j, d)
			}
		}
	}
	if p.Horizon < 0 || p.Horizon > maxTime {
		return badProblem("horizon %d is out of range", p.Horizon)
	}
	return nil
}

func (res Resource) validate(r int) error {
	if res.Capacity < 0 || res.Capacity > 1<<20 {
		return badProblem("resource %d has capacity %d", r, res.Capacity)
	}
	last := -maxTime
	for k, f := range res.Forbidden {
		if f.Start < last || f.End < f.Start || f.End > maxTime {
			return badProblem("resource %d, forbidden interval %d [%d, %d) is out of order or range", r, k, f.Start, f.End)
		}
		last = f.End
	}
	last = -maxTime
	for k, l := range res.Lent {
		if l.Start < last || l.End < l.Start || l.End > maxTime || l.Count < 0 || l.Count > res.Capacity {
			return badProblem("resource %d, loan %d of %d over [%d, %d) is out of order or range", r, k, l.Count, l.Start, l.End)
		}
		last = l.End
	}
	return nil
}

func (p Problem) validateActivity(i int, a Activity) error {
	switch {
	case a.Duration < 0 || a.Duration > maxTime:
		return badProblem("activity %d has duration %d", i, a.Duration)
	case len(a.Demand) > len(p.Resources):
		return badProblem("activity %d has %d demands for %d resources", i, len(a.Demand), len(p.Resources))
	case a.Release > maxTime || a.Release < -maxTime || a.Latest > maxTime || a.Due > maxTime:
		return badProblem("activity %d has a release, latest or due time out of range", i)
	case a.Fixed > maxTime:
		return badProblem("activity %d is fixed at %d, out of range", i, a.Fixed)
	case a.Weight < 0 || a.Weight > 1<<20:
		return badProblem("activity %d has weight %d", i, a.Weight)
	case a.Site >= len(p.Travel) && a.Site >= 0 && p.usesMover(a):
		return badProblem("activity %d is at site %d, travel knows %d sites", i, a.Site, len(p.Travel))
	}
	for r, q := range a.Demand {
		if q < 0 || q > 1<<20 {
			return badProblem("activity %d has demand %d of resource %d", i, q, r)
		}
	}
	return nil
}

func (p Problem) usesMover(a Activity) bool {
	for r, q := range a.Demand {
		if q > 0 && p.Resources[r].Moves {
			return true
		}
	}
	return false
}

// Score is what a schedule is compared by, most important first.
type Score struct {
	Lateness, Makespan, Moves, Change int
}

// Less compares lexicographically.
func (s Score) Less(o Score) bool {
	switch {
	case s.Lateness != o.Lateness:
		return s.Lateness < o.Lateness
	case s.Makespan != o.Makespan:
		return s.Makespan < o.Makespan
	case s.Moves != o.Moves:
		return s.Moves < o.Moves
	}
	return s.Change < o.Change
}
