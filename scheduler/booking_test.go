package scheduler

import (
	"math/rand/v2"
	"testing"
)

// Where work is dated by who is there and where areas are divided anew, a gang is free at
// the same minutes: those at which neither enough of its crew are at work on its site, nor
// any of it on another or on the way between. Held against a count minute by minute.
func TestBookingKnowsWhoIsFree(t *testing.T) {
	free, elsewhere := 0, 0
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 11))
		f := &Firm{Crews: []Crew{{Key: "alder", Setters: 1 + r.IntN(3), Helpers: r.IntN(2)}}, Travel: []Travel{{From: "a", To: "b", Minutes: r.IntN(4)}}}
		w := &works{firm: f, crews: map[string]*team{"alder": {Crew: f.Crews[0]}}}
		sites := []string{"a", "b"}
		crew := w.crews["alder"]
		book, x := newBooking(w), projection{w: w, busy: newBooking(w)}
		var list []stay
		for range r.IntN(6) {
			at := r.IntN(30)
			s := stay{Interval{at, at + 1 + r.IntN(8)}, hands{setters: r.IntN(crew.Setters + 1), helpers: r.IntN(crew.Helpers + 1)}, sites[r.IntN(2)], nil}
			list = append(list, s)
			book.add("alder", s)
			x.busy.put("alder", s)
		}
		book.sort()
		task := &task{crew: "alder", gang: gang{setters: 1 + r.IntN(crew.Setters), helpers: r.IntN(crew.Helpers + 1)}, room: &roomWork{site: sites[r.IntN(2)]}}
		open := book.free(task, nil, Interval{0, 40}, 0)
		for m := range 40 {
			setters, helpers := task.gang.setters, task.gang.helpers
			for _, s := range list {
				way := w.way(s.site, task.room.site)
				switch {
				case m < s.Start-way || m >= s.End+way:
				case s.site != task.room.site:
					setters = crew.Setters + 1
					elsewhere++
				default:
					setters, helpers = setters+s.people.setters, helpers+s.people.helpers
				}
			}
			want := setters <= crew.Setters && helpers <= crew.Helpers
			if got := inside(open, m); got != want {
				t.Fatalf("seed %d, minute %d: divided anew %v, counted %v", seed, m, got, want)
			}
			if got := x.clash(task, m, 1, hands{setters: crew.Setters, helpers: crew.Helpers}, task.gang) == 0; got != want {
				t.Fatalf("seed %d, minute %d: dated %v, counted %v", seed, m, got, want)
			}
			if want {
				free++
			}
		}
	}
	if free == 0 || elsewhere == 0 {
		t.Errorf("%d minutes free, %d elsewhere: the test shows nothing", free, elsewhere)
	}
}
