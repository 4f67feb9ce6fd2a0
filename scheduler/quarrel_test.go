package scheduler

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"potlife/rooms"
	"potlife/scheduler/rcpsp"
)

// What is said to exclude each other does so by itself, and nothing of it can be left
// out: held against every schedule of small random networks, by a reading of the asks
// that shares nothing with the solver.
func TestSmallestSetAgainstAllSchedules(t *testing.T) {
	impossible, kinds := 0, map[string]int{}
	for seed := range uint64(700) {
		n := drawnNetwork(rand.New(rand.NewPCG(seed, 5)))
		x := &trials{ctx: context.Background(), left: explainEffort}
		all := newQuarrel(x, n, n.tasks)
		found := everyStart(n, all.kept())
		if v := all.tried(); v == undecided || found != (v == possible) {
			t.Fatalf("seed %d: a schedule exists: %v, and the verdict is %d", seed, found, v)
		}
		if found {
			continue
		}
		impossible++
		r := rcpsp.Result{Status: rcpsp.Infeasible}
		for i := range n.tasks {
			r.Conflict = append(r.Conflict, i)
		}
		q := n.smallest(x, r)
		if q == nil || x.loose {
			t.Fatalf("seed %d: nothing found, or not shown to be the least: %v", seed, q)
		}
		kept := q.kept()
		part := &network{works: n.works, tasks: q.tasks}
		if everyStart(part, kept) {
			t.Fatalf("seed %d: these can hold together: %s", seed, strings.Join(q.words(), "; "))
		}
		for i, a := range kept {
			kinds[a.kind]++
			if !everyStart(part, slices.Delete(slices.Clone(kept), i, i+1)) {
				t.Fatalf("seed %d: %s is not needed among: %s", seed, a.kind, strings.Join(q.words(), "; "))
			}
		}
	}
	for _, k := range []string{"work", "done", "site", "window", "tool", "people", "hours", "release", "hold", "wait", "latest"} {
		if kinds[k] < 3 {
			t.Errorf("%d times of %d a %s is needed", kinds[k], impossible, k)
		}
	}
}

// Where the effort ends before every part was shown to be needed, the text says so, and
// what it names still cannot hold together.
func TestExplanationSaysWhereTheEffortEnded(t *testing.T) {
	said := 0
	for seed := range uint64(200) {
		n := drawnNetwork(rand.New(rand.NewPCG(seed, 5)))
		r := rcpsp.Result{Status: rcpsp.Infeasible}
		for i := range n.tasks {
			r.Conflict = append(r.Conflict, i)
		}
		for effort := int64(1); effort < 2_000; effort *= 3 {
			x := &trials{ctx: context.Background(), left: effort}
			q := n.smallest(x, r)
			if q == nil {
				continue
			}
			if everyStart(&network{works: n.works, tasks: q.tasks}, q.kept()) {
				t.Fatalf("seed %d, effort %d: these can hold together", seed, effort)
			}
			least := true
			for i := range q.kept() {
				least = least && everyStart(&network{works: n.works, tasks: q.tasks}, slices.Delete(slices.Clone(q.kept()), i, i+1))
			}
			switch says := x.words() != ""; {
			case !least && !says:
				t.Fatalf("seed %d, effort %d: more than is needed is named, and nothing says so", seed, effort)
			case says:
				said++
			}
		}
	}
	if said < 20 {
		t.Errorf("the effort ended in %d tries only", said)
	}
}

// drawnNetwork is a small network in which time is counted in single minutes.
func drawnNetwork(r *rand.Rand) *network {
	f := &Firm{Tools: []Tool{{"saw", 1}}, Travel: []Travel{{From: "j/a", To: "j/b", Minutes: 1 + r.IntN(2)}}}
	w := &works{firm: f, horizon: 9 + r.IntN(4), hours: map[string][]Interval{}, siteHours: map[string][]Interval{}, crews: map[string]*team{}, called: called(f, nil)}
	spans := func() []Interval {
		at := r.IntN(2)
		mid := at + 3 + r.IntN(3)
		return []Interval{{at, mid}, {mid + 1 + r.IntN(2), w.horizon}}
	}
	for _, k := range []string{"alder", "birch"} {
		f.Crews = append(f.Crews, Crew{Key: k, Name: k, Setters: 1 + r.IntN(2), Helpers: 1})
		w.hours[k] = spans()
	}
	for i := range f.Crews {
		w.crews[f.Crews[i].Key] = &team{Crew: f.Crews[i]}
	}
	n := &network{works: w}
	w.siteHours["j/a"], w.siteHours["j/b"] = []Interval{{0, w.horizon}}, []Interval{{0, w.horizon}}
	if r.IntN(3) == 0 {
		w.siteHours["j/b"] = spans()
	}
	for k := range 2 {
		room := &roomWork{key: fmt.Sprintf("j/r%d", k), site: []string{"j/a", "j/b"}[k], room: &rooms.Room{}, due: -1, people: 1 + r.IntN(3)}
		n.rooms = append(n.rooms, room)
		crew := f.Crews[r.IntN(2)]
		for i := range 1 + r.IntN(3) {
			n.tasks = append(n.tasks, drawnTask(r, n, room, crew, i))
		}
	}
	return n
}

func drawnTask(r *rand.Rand, n *network, room *roomWork, crew Crew, i int) *task {
	t := &task{id: fmt.Sprint(room.key, i), title: fmt.Sprintf("task %d", i), kind: kindSet, room: room, crew: crew.Key,
		gang: gang{setters: 1 + r.IntN(crew.Setters), helpers: r.IntN(2)}, minutes: 1 + r.IntN(4)}
	switch r.IntN(8) {
	case 0:
		t.release = 1 + r.IntN(5)
	case 1:
		t.kind, t.crew, t.gang = kindHold, "", gang{}
		if r.IntN(2) == 0 {
			t.until, t.minutes = 1+r.IntN(8), 0
		}
	case 5:
		t.kind = kindCut
	case 4:
		at := r.IntN(5)
		t.windows = []*window{{open: []Interval{{at, at + 3}, {at + 5, n.works.horizon}}, why: func(int) string { return "too cold" }}}
	case 3:
		if i == 0 {
			t.start = r.IntN(5)
			t.fixed = &Activity{Start: t.start, Finish: t.start + t.minutes}
		}
	}
	if t.kind != kindHold && r.IntN(2) == 0 {
		t.tools = []string{"saw"}
	}
	for _, u := range n.tasks {
		if t.fixed != nil || u.room != room {
			continue
		}
		l := lag{task: u, most: -1}
		if r.IntN(2) == 0 {
			l.least = r.IntN(4)
		}
		if r.IntN(2) == 0 {
			l.most = l.least + r.IntN(3)
		}
		if r.IntN(12) == 0 {
			l.most = max(0, l.least-1)
		}
		t.after = append(t.after, l)
	}
	return t
}

// everyStart tries every start of every task, and reports whether some keep all that is
// asked.
func everyStart(n *network, asks []ask) bool {
	asked := map[ask]bool{}
	for _, a := range asks {
		asked[a] = true
	}
	b := &allStarts{n: n, asked: asked, start: map[*task]int{}}
	return b.place(0)
}

type allStarts struct {
	n     *network
	asked map[ask]bool
	start map[*task]int
}

func (b *allStarts) is(kind string, t *task, lag int) bool {
	return b.asked[ask{kind: kind, task: t, lag: lag}]
}

func (b *allStarts) of(kind, key string) bool { return b.asked[ask{kind: kind, key: key}] }

// takes is how long a task takes as far as it is asked.
func (b *allStarts) takes(t *task) int {
	switch {
	case t.fixed != nil && !b.is("done", t, 0), t.fixed == nil && t.crew != "" && !b.is("work", t, 0), t.kind == kindHold && t.fixed == nil && !b.is("hold", t, 0):
		return 0
	}
	return t.minutes
}

func (b *allStarts) works(t *task) bool { return t.crew != "" && b.takes(t) > 0 }

func (b *allStarts) place(i int) bool {
	if i == len(b.n.tasks) {
		return true
	}
	t := b.n.tasks[i]
	for s := 0; s+b.takes(t) <= b.n.works.horizon; s++ {
		if b.start[t] = s; b.holds(i, t, s) && b.place(i+1) {
			return true
		}
	}
	return false
}

// holds reports whether a task may start so beside those before it.
func (b *allStarts) holds(i int, t *task, s int) bool {
	switch {
	case t.fixed != nil && b.is("done", t, 0):
		return s == t.start && b.fits(i)
	case t.fixed != nil:
		return true
	case b.is("release", t, 0) && s < t.release, b.is("hold", t, 0) && s < t.until:
		return false
	}
	for k, l := range t.after {
		u := b.start[l.task]
		if from := u + b.takes(l.task); s < from || b.is("wait", t, k) && s < from+l.least {
			return false
		}
		if b.is("latest", t, k) && s > u+l.task.minutes+l.most {
			return false
		}
	}
	if !b.works(t) {
		return true
	}
	for m := s; m < s+t.minutes; m++ {
		if b.of("hours", t.crew) && !inside(b.n.works.hours[t.crew], m) || b.of("site", t.room.site) && !inside(b.n.works.siteHours[t.room.site], m) {
			return false
		}
		for _, w := range t.windows {
			if b.asked[ask{kind: "window", window: w}] && !inside(w.open, m) {
				return false
			}
		}
	}
	return b.fits(i)
}

// fits reports whether there are people and tools for the tasks up to i.
func (b *allStarts) fits(i int) bool {
	t := b.n.tasks[i]
	if !b.works(t) {
		return true
	}
	crew := b.n.works.crews[t.crew]
	cut := slices.ContainsFunc(b.n.tasks, func(u *task) bool { return u.kind == kindCut && u.room == t.room && b.works(u) })
	narrow := cut && t.room.people < crew.Setters+crew.Helpers
	for m := b.start[t]; m < b.start[t]+t.minutes; m++ {
		setters, helpers, inRoom, saws, free := 0, 0, 0, 0, true
		for _, u := range b.n.tasks[:i+1] {
			if s := b.start[u]; !b.works(u) || m < s || m >= s+u.minutes {
				continue
			}
			free = free && u.fixed != nil
			if u.crew == t.crew {
				setters, helpers = setters+u.gang.setters, helpers+u.gang.helpers
			}
			if u.room == t.room {
				inRoom += u.gang.setters + u.gang.helpers
			}
			if len(u.tools) > 0 {
				saws++
			}
		}
		if free {
			continue // what is done is done
		}
		if b.of("people", t.crew) && (setters > crew.Setters || helpers > crew.Helpers || narrow && inRoom > t.room.people) || b.of("tool", "saw") && saws > 1 {
			return false
		}
	}
	for _, u := range b.n.tasks[:i] {
		if u.room.site == t.room.site || u.crew != t.crew || !b.works(u) || !b.of("people", t.crew) || u.fixed != nil && t.fixed != nil {
			continue
		}
		way := b.n.works.firm.Travel[0].Minutes
		if b.start[t] < b.start[u]+u.minutes+way && b.start[u] < b.start[t]+t.minutes+way {
			return false
		}
	}
	return true
}

func inside(open []Interval, m int) bool {
	return slices.ContainsFunc(open, func(v Interval) bool { return v.Start <= m && m < v.End })
}
