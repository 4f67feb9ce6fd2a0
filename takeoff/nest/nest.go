// Package nest packs integers into integers: cut pieces into tiles and their offcuts, lengths into stock
// bars, rectangles into sheets. It knows neither rooms nor tiles' names, only sizes in one unit of the
// caller's choice (potlife uses 1/8 µm), so all of it can be checked against brute force and open data.
//
// Three problems share one shape, Problem → Solve(ctx, Problem, Options) → Result, and one promise: Result.Bound
// is never above the true optimum. Bounds are computed in integers; floating point only proposes.
//
//   - SolveOffcuts: pieces that need certain factory edges, from tiles and from offcuts kept earlier
//   - SolveBars: one-dimensional cutting stock
//   - SolveSheets: two-dimensional guillotine bin packing
//
// Results depend on the problem and the options only: budgets count steps, generators are seeded. A context that
// ends stops the search early; the best answer so far is returned with its bound.
package nest

// Status says how much is known about an answer.
type Status int

// The four states of an answer.
const (
	Unknown    Status = iota // neither an answer nor a proof that there is none
	Feasible                 // an answer, not proved best
	Optimal                  // an answer, and no better one exists
	Infeasible               // proved: no answer exists
)

// String names the status in lower case.
func (s Status) String() string {
	switch s {
	case Feasible:
		return "feasible"
	case Optimal:
		return "optimal"
	case Infeasible:
		return "infeasible"
	default:
		return "unknown"
	}
}

// Options bound the search. The zero value is ready to use.
type Options struct {
	Steps int64  // work allowed, counted in steps of the search; 0 takes the default of the problem at hand
	Seed  uint64 // start of the random generator, where one is used
	Reach int    // offcuts only: pieces share a tile only within this distance of rank; 0 sets no limit
}

// ceilDiv rounds a/b up; b > 0.
func ceilDiv(a, b int64) int64 {
	q := a / b
	if a%b > 0 {
		q++
	}
	return q
}
