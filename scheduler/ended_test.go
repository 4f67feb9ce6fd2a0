package scheduler

import (
	"slices"
	"testing"
	"time"
)

// dependants are the activities of a plan that wait an hour or longer for one,
// with how long they wait after its finish.
func dependants(p *Plan, id string) map[string]int {
	out := map[string]int{}
	for _, a := range p.Activities {
		for _, l := range a.After {
			if l.Activity == id && l.Least >= 60 {
				out[a.ID] = l.Least
			}
		}
	}
	return out
}

func activityByID(p *Plan, id string) *Activity {
	i := slices.IndexFunc(p.Activities, func(a Activity) bool { return a.ID == id })
	if i < 0 {
		return nil
	}
	return &p.Activities[i]
}

// curing are the kinds of work that something else waits for.
var curing = []string{kindMembrane, kindPrime, kindLevel, kindSet, kindGrout}

// tightest is, of each kind that cures, the work after which something starts
// the soonest when it may.
func tightest(p *Plan) []*Activity {
	slack, found := map[string]int{}, map[string]*Activity{}
	for i := range p.Activities {
		b := &p.Activities[i]
		for id, least := range dependants(p, b.ID) {
			s := activityByID(p, id).Start - b.Finish - least
			if v, ok := slack[b.Kind]; !ok || s < v {
				slack[b.Kind], found[b.Kind] = s, b
			}
		}
	}
	var out []*Activity
	for _, k := range curing {
		if found[k] != nil {
			out = append(out, found[k])
		}
	}
	return out
}

// seenIn counts what a test of ends came across.
type seenIn struct {
	kinds                                  map[string]int
	earlier, later, putOff, takenOff, told int
}

// Whatever cures, cures from when it is reported done, later or earlier than
// planned: what waits for it is planned, or put off if it is out already, to
// when that cure is over, and the sheet names that minute.
func TestCuresBeginWhenWorkIsReportedDone(t *testing.T) {
	n := seenIn{kinds: map[string]int{}}
	for seed := uint64(9); seed <= 11; seed++ {
		in := small(t, seed, 1+int(seed%2))
		p := made(t, in)
		for i, b := range tightest(p) {
			for k, late := range []int{-290, 0, 35, 600} {
				n.endedAt(t, in, p, b, 1+(k+i)%2, late)
			}
		}
	}
	t.Logf("%+v", n)
	if len(n.kinds) < 4 || n.earlier == 0 || n.later == 0 || n.putOff == 0 || n.takenOff == 0 || n.told == 0 {
		t.Error("the test shows too little")
	}
}

// endedAt reports b of the plan p done some minutes late, with a number of days
// from its own on issued, and looks at the plan that follows.
func (n *seenIn) endedAt(t *testing.T, in Input, p *Plan, b *Activity, issued, late int) {
	t.Helper()
	clock, end := Clock{p.Epoch, in.Firm.Zone}, b.Finish+late
	next := in
	next.Prior, next.Placed, next.Today, next.Now = p, p.Orders, clock.Day(b.Start), clock.At(max(end, b.Start)+5)
	next.Frozen = allUntil(in.Firm, clock.Day(b.Start).AddDays(issued).In(in.Firm.Zone))
	next.Records = []Record{{Kind: "activity done", At: clock.At(end), Crew: b.Crew, Activity: b.ID}}
	q := replanned(t, next)
	n.kinds[b.Kind]++
	if got := activityByID(q, b.ID); got == nil || got.Start != b.Start || got.Finish != b.Finish || got.Ended != end {
		t.Fatalf("%s done at %d instead of %d is %+v", b.ID, end, b.Finish, got)
	}
	for id, least := range dependants(p, b.ID) {
		a, was := activityByID(q, id), activityByID(p, id)
		if a == nil || a.State != "planned" && a.Start < clock.Minute(next.Now) {
			continue // begun by then
		}
		if b.Kind == kindSet && a.Kind != kindGrout && late < 0 {
			continue // an area holds what is not grout by its planned end
		}
		if a.Start < end+least {
			t.Errorf("%s starts %d min after %s was done, %d are due", id, a.Start-end, b.ID, least)
		}
		switch out := was.Start < clock.Minute(next.Frozen[was.Crew]); {
		case a.State == "issued" && a.Start > was.Start:
			n.putOff++
			if clock.Day(a.Start) != clock.Day(was.Start) {
				t.Errorf("%s is put off from %v to %v and still counts as issued", id, clock.At(was.Start), clock.At(a.Start))
			}
		case a.State == "planned" && out && was.Crew != "":
			n.takenOff++
		case late == 0 && out && a.Start != was.Start:
			t.Errorf("%s moves although %s was done as planned", id, b.ID)
		}
		if a.Start < b.Finish+least {
			n.earlier++
		}
		if a.Start > was.Start {
			n.later++
		}
		for _, s := range q.Sheets {
			if late != 0 && slices.ContainsFunc(s.Waits, func(w Wait) bool { return w.Until == end+least }) {
				n.told++
			}
		}
	}
	// Told once, it is so in every plan after.
	next.Prior, next.Now = stored(t, q), next.Now.Add(time.Minute)
	r := replanned(t, next)
	for _, a := range q.Activities {
		if o := activityByID(r, a.ID); a.State == "issued" && (o == nil || o.Start != a.Start) {
			t.Errorf("%s moves again in the next plan: %+v", a.ID, o)
		}
	}
}
