package rcpsp

import (
	"runtime"
	"slices"
	"sync"
)

// rules are the priority rules of a search with their schedules. Those of a large problem are built by a builder of
// their own while the search adopts the warm schedule, the last one by the search itself; which of them are looked at
// depends on what they cost alone, so that the number of processors decides nothing.
type rules struct {
	s      *search
	b      *builder
	keys   [][]int
	order  *orderer
	beside []ruleSchedule // of all rules; nil: each is built when it is looked at
	busy   sync.WaitGroup
}

// ruleSchedule is the schedule of a rule: the order of its blocks, the starts, nil where none was found, and the
// placements that it took.
type ruleSchedule struct {
	list, start []int
	score       Score
	spent       int64
}

// besideActivities is from how many activities on a second processor is worth its builder.
const besideActivities = 200

// rules begins with the schedules of the rules.
func (s *search) rules(b *builder) *rules {
	r := &rules{s: s, b: b, keys: s.ruleKeys(), order: newOrderer(s.m)}
	if s.m.n < besideActivities || len(s.o.Warm) == 0 || runtime.GOMAXPROCS(0) < 2 {
		return r
	}
	r.beside = make([]ruleSchedule, len(r.keys))
	r.busy.Go(func() {
		own, order := newBuilder(s.m), newOrderer(s.m)
		for k := range r.keys[1:] { // all but the last
			r.beside[k] = s.byRule(own, order, r.keys[k])
		}
	})
	return r
}

// schedule is that of rule k.
func (r *rules) schedule(k int) ruleSchedule {
	if r.beside == nil {
		return r.s.byRule(r.b, r.order, r.keys[k])
	}
	if last := len(r.keys) - 1; k == 0 {
		r.beside[last] = r.s.byRule(r.b, r.order, r.keys[last])
	}
	r.busy.Wait()
	return r.beside[k]
}

// end waits for what is still built and not looked at.
func (r *rules) end() { r.busy.Wait() }

// byRule builds the schedule of a rule's keys.
func (s *search) byRule(b *builder, o *orderer, key []int) ruleSchedule {
	before := b.spent
	out := ruleSchedule{list: o.order(nil, key)}
	if b.build(out.list) {
		out.start = slices.Clone(b.start)
		out.score = s.m.score(out.start, s.inForce())
	}
	out.spent = b.spent - before
	b.spent = before
	return out
}
