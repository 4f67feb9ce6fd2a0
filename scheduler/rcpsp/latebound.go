package rcpsp

import (
	"cmp"
	"slices"
)

// lateJob is the work on one resource that has to be done before an activity with a due date.
type lateJob struct {
	act            int
	release, work  int // in the resource's own working time
	rest           int // from the end of that work to the activity's end, at least
	due, finish, w int // finish: proved earliest
}

// latenessBound proves a lower bound on the weighted lateness. Activities with a due date are shared out among the
// resources; on each the work before them is done in pieces, shortest remaining first, which makes the k-th completion
// as early as any schedule can (Chu 1992); the cheapest assignment of activities to completions is the bound.
func (m *model) latenessBound() int {
	byRes := m.lateJobs()
	sum := 0
	for r, jobs := range byRes {
		if r == len(m.p.Resources) {
			for _, j := range jobs {
				sum += j.w * max(0, j.finish-j.due)
			}
			continue
		}
		sum += m.lateOn(r, jobs)
	}
	return sum
}

// lateJobs gives every activity with a due date to the busiest resource with work before it; the last list holds
// those without any. Work that stands before several is counted before the one that is due first.
func (m *model) lateJobs() [][]lateJob {
	var due []int
	for i, a := range m.p.Activities {
		if a.Due >= 0 && a.Weight > 0 {
			due = append(due, i)
		}
	}
	slices.SortFunc(due, func(i, j int) int {
		return cmp.Or(cmp.Compare(m.p.Activities[i].Due, m.p.Activities[j].Due), cmp.Compare(i, j))
	})
	byRes := make([][]lateJob, len(m.p.Resources)+1)
	taken, total := make([]bool, m.n), m.totalWork()
	rest := make([]int, m.n)
	for i := range rest {
		rest[i] = -never
	}
	for _, i := range due {
		before := m.ancestors(i, rest)
		r := m.busiest(before, taken, total)
		job := lateJob{act: i, due: m.p.Activities[i].Due, w: m.p.Activities[i].Weight, finish: m.head[i] + m.dur[i], rest: never, release: never}
		for _, j := range before {
			for _, u := range m.uses[j] {
				if u.res == r && !taken[j] && m.free(j) {
					job.work += u.q * m.dur[j]
					job.release = min(job.release, m.head[j])
					job.rest = min(job.rest, rest[j]-m.dur[j])
				}
			}
		}
		for _, j := range before {
			taken[j] = true
			rest[j] = -never
		}
		byRes[r] = append(byRes[r], job)
	}
	return byRes
}

// ancestors lists the activities that must start before i ends, i itself included, and fills rest with the least time
// from their start to i's end. Only lags that cannot be negative are followed.
func (m *model) ancestors(i int, rest []int) []int {
	list := []int{i}
	rest[i] = m.dur[i]
	for k := 0; k < len(list); k++ {
		j := list[k]
		for _, a := range m.pred[j] {
			if a.min < m.dur[a.to] || !m.free(a.to) {
				continue
			}
			if rest[a.to] < 0 {
				list = append(list, a.to)
			}
			rest[a.to] = max(rest[a.to], rest[j]+a.min)
		}
	}
	return list
}

// busiest is the resource with work in acts that has most work in all; the number of resources where there is none.
func (m *model) busiest(acts []int, taken []bool, total []int) int {
	best := len(m.p.Resources)
	for _, j := range acts {
		for _, u := range m.uses[j] {
			if !taken[j] && m.free(j) && (best == len(m.p.Resources) || total[u.res] > total[best]) {
				best = u.res
			}
		}
	}
	return best
}

// totalWork is the work per resource, in thousandths of its capacity.
func (m *model) totalWork() []int {
	total := make([]int, len(m.p.Resources))
	for j := range m.uses {
		for _, u := range m.uses[j] {
			total[u.res] += u.q * m.dur[j] * 1000 / max(1, m.p.Resources[u.res].Capacity)
		}
	}
	return total
}

// lateOn is the bound of the jobs of one resource.
func (m *model) lateOn(r int, jobs []lateJob) int {
	capacity, open := m.p.Resources[r].Capacity, newOpenTime(m, r)
	for k := range jobs {
		if jobs[k].work > 0 {
			jobs[k].release = open.until(jobs[k].release) * capacity
		}
	}
	done := shortestRemaining(jobs)
	for k := range done {
		done[k] = open.end(0, (done[k]+capacity-1)/capacity)
	}
	cost := func(j, k int) int {
		return jobs[j].w * max(0, max(done[k]+jobs[j].rest, jobs[j].finish)-jobs[j].due)
	}
	if len(jobs) <= 120 {
		return cheapestAssignment(len(jobs), cost)
	}
	return evenLateness(jobs, done)
}

// shortestRemaining returns the completions, ascending, of the preemptive schedule that always runs the job with least
// work left.
func shortestRemaining(jobs []lateJob) []int {
	order := make([]int, len(jobs))
	for k := range order {
		order[k] = k
	}
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(jobs[a].release, jobs[b].release), cmp.Compare(a, b))
	})
	left := make([]int, len(jobs))
	o := orderer{}
	var done []int
	t := 0
	for next := 0; len(done) < len(jobs); {
		for ; next < len(order) && jobs[order[next]].release <= t; next++ {
			left[order[next]] = jobs[order[next]].work
			o.push(order[next], left)
		}
		if len(o.heap) == 0 {
			t = jobs[order[next]].release
			continue
		}
		k := o.heap[0]
		end := t + left[k]
		if next < len(order) && jobs[order[next]].release < end {
			end = jobs[order[next]].release
			left[k] -= end - t
		} else {
			o.pop(left)
			done = append(done, end)
		}
		t = end
	}
	return done
}

// evenLateness takes the least weight, rest and earliest finish for all, so that due dates in order are the cheapest
// assignment.
func evenLateness(jobs []lateJob, done []int) int {
	w, single := never, 0
	dues := make([]int, len(jobs))
	for k, j := range jobs {
		w = min(w, j.w)
		dues[k] = j.due - j.rest
		single += j.w * max(0, j.finish-j.due)
	}
	slices.Sort(dues)
	sum := 0
	for k := range done {
		sum += w * max(0, done[k]-dues[k])
	}
	return max(sum, single)
}

// cheapestAssignment is the Hungarian method with potentials (Kuhn 1955; shortest augmenting paths), O(n³).
func cheapestAssignment(n int, cost func(row, col int) int) int {
	u, v := make([]int, n+1), make([]int, n+1)
	row, way := make([]int, n+1), make([]int, n+1)
	for i := 1; i <= n; i++ {
		row[0] = i
		least := make([]int, n+1)
		used := make([]bool, n+1)
		for j := range least {
			least[j] = 1 << 62
		}
		col := 0
		for row[col] != 0 {
			used[col] = true
			i0, delta, next := row[col], 1<<62, 0
			for j := 1; j <= n; j++ {
				if used[j] {
					continue
				}
				if c := cost(i0-1, j-1) - u[i0] - v[j]; c < least[j] {
					least[j], way[j] = c, col
				}
				if least[j] < delta {
					delta, next = least[j], j
				}
			}
			for j := 0; j <= n; j++ {
				if used[j] {
					u[row[j]] += delta
					v[j] -= delta
				} else {
					least[j] -= delta
				}
			}
			col = next
		}
		for col != 0 {
			row[col] = row[way[col]]
			col = way[col]
		}
	}
	return -v[0]
}
