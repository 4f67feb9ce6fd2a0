package rcpsp

import "context"

// Effort of one refutation, and how many are tried, when a conflict is made smaller.
const (
	refuteConflicts = 300
	refuteTries     = 300
)

// conflict is what of the activities cannot hold together, as small as is asked for.
func (o Options) conflict(ctx context.Context, p Problem, among []int) []int {
	if o.Unexplained {
		return among
	}
	return smallestConflict(ctx, p, among)
}

// smallestConflict drops activities from an infeasible problem as long as what remains is still refuted quickly: first
// halves, then quarters, at last one by one (deletion filter, Chinneck & Dravnieks 1991). What is left cannot hold
// together; where the effort sufficed, it can without any one of its activities.
func smallestConflict(ctx context.Context, p Problem, keep []int) []int {
	tries := min(refuteTries, 20+100_000/(1+len(keep)))
	for chunk := (len(keep) + 1) / 2; chunk > 0; chunk /= 2 {
		for at := 0; at < len(keep); {
			if tries--; tries < 0 || ctx.Err() != nil {
				return keep
			}
			end := min(at+chunk, len(keep))
			rest := append(append(make([]int, 0, len(keep)), keep[:at]...), keep[end:]...)
			if len(rest) > 0 && isRefuted(p.only(rest)) {
				keep = rest
			} else {
				at = end
			}
		}
	}
	return keep
}

// only is the problem of the given activities and what joins them directly.
func (p Problem) only(keep []int) Problem {
	index := make(map[int]int, len(keep))
	sub := Problem{Resources: p.Resources, Travel: p.Travel, Horizon: p.Horizon}
	for k, i := range keep {
		index[i] = k
		sub.Activities = append(sub.Activities, p.Activities[i])
	}
	for _, l := range p.Lags {
		from, a := index[l.From]
		to, b := index[l.To]
		if a && b {
			sub.Lags = append(sub.Lags, Lag{from, to, l.Min})
		}
	}
	return sub
}

func isRefuted(p Problem) bool {
	m, bad := compile(p)
	if bad != nil {
		return true
	}
	c, ok := newCP(m, Score{Lateness: never, Makespan: m.horizon})
	if !ok {
		return true
	}
	return c.run(nil, refuteConflicts, func() bool { return c.steps > 200_000 }) == closed
}
