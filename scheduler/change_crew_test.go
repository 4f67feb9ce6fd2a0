package scheduler

import (
	"slices"
	"strings"
	"testing"
	"time"

	"potlife/rooms"
	"potlife/scheduler/rcpsp"
)

// crewsOf are the crews that planned work of a room is given to.
func crewsOf(p *Plan, room string) (out []string) {
	for _, a := range p.Activities {
		if a.Room == room && a.State == "planned" && a.Crew != "" && !slices.Contains(out, a.Crew) {
			out = append(out, a.Crew)
		}
	}
	return out
}

// pressed is a job of two rooms that are wanted soon and have place for two.
func pressed(t *testing.T, seed uint64) Input {
	in := small(t, seed, 2)
	for s := range in.Jobs[0].Sites {
		for k := range in.Jobs[0].Sites[s].Rooms {
			r := &in.Jobs[0].Sites[s].Rooms[k]
			r.Due, r.People, r.Celsius = day("2026-03-30"), max(2, r.People), 20
		}
	}
	return in
}

// A room that is begun goes on with another crew while its own is away for two weeks,
// and the plan says so; what is issued stands, and the next plan leaves it at that. It
// stays with its crew where that is away for a day, or named for the room.
func TestBegunRoomGoesToAnotherCrew(t *testing.T) {
	went := 0
	for seed := uint64(1); seed <= 4; seed++ {
		in := pressed(t, seed)
		p := made(t, in)
		next, d := frozenAfter(in, p, 2)
		until := int(d.AddDays(1).In(in.Firm.Zone).Sub(p.Epoch) / time.Minute)
		room, crew := "", ""
		for _, a := range p.Activities {
			if a.Crew != "" && a.Start < until && room == "" {
				room, crew = a.Room, a.Crew
			}
		}
		away := func(days int) Input {
			x := next
			x.Firm.Crews = slices.Clone(next.Firm.Crews)
			k := &x.Firm.Crews[slices.IndexFunc(x.Firm.Crews, func(c Crew) bool { return c.Key == crew })]
			for n := 1; n <= days; n++ {
				k.Off = append(slices.Clone(k.Off), d.AddDays(n))
			}
			return x
		}
		if q := replanned(t, away(1)); len(crewsOf(q, room)) > 0 && !slices.Equal(crewsOf(q, room), []string{crew}) {
			t.Errorf("seed %d: %s goes to %v for a day of %s", seed, room, crewsOf(q, room), crew)
		}
		x := away(14)
		q := replanned(t, x)
		for _, a := range p.Activities { // what is issued
			if i := slices.IndexFunc(q.Activities, func(b Activity) bool { return b.ID == a.ID }); a.Crew != "" && a.Start < until && (q.Activities[i].Crew != a.Crew || q.Activities[i].Start != a.Start) {
				t.Errorf("seed %d: %s is issued and has changed", seed, a.ID)
			}
		}
		if len(crewsOf(q, room)) == 0 || slices.Contains(crewsOf(q, room), crew) {
			continue
		}
		went++
		if text := findingText(q, "change of crew", room); !strings.Contains(text, "was begun by") || !strings.Contains(text, "is away from") {
			t.Errorf("seed %d: %q does not say who goes on, and why", seed, text)
		}
		again := x
		again.Prior, again.Placed = q, q.Orders
		if r := replanned(t, again); !slices.Equal(crewsOf(r, room), crewsOf(q, room)) {
			t.Errorf("seed %d: without news %s goes from %v to %v", seed, room, crewsOf(q, room), crewsOf(r, room))
		}
		named := away(14)
		named.Jobs = []rooms.Job{x.Jobs[0]}
		named.Jobs[0].Sites = slices.Clone(x.Jobs[0].Sites)
		for s := range named.Jobs[0].Sites {
			named.Jobs[0].Sites[s].Rooms = slices.Clone(x.Jobs[0].Sites[s].Rooms)
			for k := range named.Jobs[0].Sites[s].Rooms {
				if r := &named.Jobs[0].Sites[s].Rooms[k]; "job/"+r.Key == room {
					r.Crew = crew
				}
			}
		}
		stay := replanned(t, named)
		if !slices.Equal(crewsOf(stay, room), []string{crew}) {
			t.Errorf("seed %d: %s is named for %s and goes to %v", seed, room, crew, crewsOf(stay, room))
		}
		if finishOf(q, room) >= finishOf(stay, room) {
			t.Errorf("seed %d: %s is done at %d by another crew, at %d by its own", seed, room, finishOf(q, room), finishOf(stay, room))
		}
	}
	if went == 0 {
		t.Error("no room goes to another crew: the test shows nothing")
	}
}

// A crew that is off for two weeks long after its rooms are done gives none of them
// away, though another crew is free by now.
func TestAbsenceAfterTheRoomsChangesNoCrew(t *testing.T) {
	for seed := uint64(1); seed <= 3; seed++ {
		in := pressed(t, seed)
		alone := in
		alone.Firm.Crews = slices.Clone(in.Firm.Crews)
		for n := range 30 {
			alone.Firm.Crews[1].Off = append(alone.Firm.Crews[1].Off, in.Today.AddDays(n))
		}
		p := made(t, alone)
		next, d := frozenAfter(in, p, 1)
		next.Firm.Crews = slices.Clone(next.Firm.Crews)
		for n := 40; n < 54; n++ {
			next.Firm.Crews[0].Off = append(next.Firm.Crews[0].Off, d.AddDays(n))
		}
		q := replanned(t, next)
		for _, r := range p.RoomDates {
			if was, is := crewsOf(p, r.Room), crewsOf(q, r.Room); !slices.Equal(was, is) || len(is) == 0 {
				t.Errorf("seed %d: %s goes from %v to %v: %s", seed, r.Room, was, is, findingText(q, "change of crew", r.Room))
			}
		}
	}
}

func findingText(p *Plan, rule, where string) string {
	for _, f := range p.Findings {
		if f.Rule == rule && f.Where == where {
			return f.Message
		}
	}
	return ""
}

func finishOf(p *Plan, room string) int {
	return p.RoomDates[slices.IndexFunc(p.RoomDates, func(d RoomDate) bool { return d.Room == room })].Finish
}

// A change of crew is to bring half a working day, of lateness or of the finish; what
// changes no crew need only be better.
func TestWorthOfAChange(t *testing.T) {
	at := func(late, finish int) rcpsp.Score { return rcpsp.Score{Lateness: late, Makespan: finish} }
	for _, x := range []struct {
		next, best rcpsp.Score
		more       int
		want       bool
	}{
		{at(100, 900), at(101, 900), 0, true},
		{at(100, 900), at(101, 900), 1, false},
		{at(100, 900), at(340, 900), 1, true},
		{at(100, 900), at(340, 900), 2, false},
		{at(100, 600), at(100, 840), 1, true},
		{at(100, 601), at(100, 840), 1, false},
		{at(101, 0), at(100, 840), 1, false},
		{at(100, 840), at(100, 600), -1, false},
	} {
		if got := worth(x.next, x.best, x.more); got != x.want {
			t.Errorf("%+v against %+v with %d more rooms: %v", x.next, x.best, x.more, got)
		}
	}
}

// A begun room that went to another crew while its own was away goes back when that is
// there again, if that is worth half a working day too, and the plan says so; the next
// plan leaves it there. Where it is not worth that, the room stays.
func TestBegunRoomGoesBackToItsCrew(t *testing.T) {
	back, stays := 0, 0
	for _, seed := range []uint64{1, 4, 5, 8} {
		in := pressed(t, seed)
		p := made(t, in)
		away, d := frozenAfter(in, p, 2)
		i := slices.IndexFunc(p.Activities, func(a Activity) bool { return a.Crew != "" })
		room, crew := p.Activities[i].Room, p.Activities[i].Crew
		away.Firm.Crews = slices.Clone(in.Firm.Crews)
		k := &away.Firm.Crews[slices.IndexFunc(away.Firm.Crews, func(c Crew) bool { return c.Key == crew })]
		for n := 1; n <= 14; n++ {
			k.Off = append(slices.Clone(k.Off), d.AddDays(n))
		}
		q := replanned(t, away)
		other := crewsOf(q, room)
		if len(other) != 1 || other[0] == crew {
			t.Fatalf("seed %d: %s is planned for %v: the test shows nothing", seed, room, other)
		}
		next, _ := frozenAfter(away, q, 3) // the other has been at work in some
		next.Firm.Crews = in.Firm.Crews
		named := next
		named.Jobs = withRooms(next.Jobs, func(_ string, r *rooms.Room) {
			if "job/"+r.Key == room {
				r.Crew = other[0]
			}
		})
		b, stay := replanned(t, next), replanned(t, named)
		if slices.Equal(crewsOf(b, room), other) {
			stays++
			continue
		}
		back++
		if now := crewsOf(b, room); !slices.Equal(now, []string{crew}) {
			t.Errorf("seed %d: %s goes to %v, it was begun by %s", seed, room, now, crew)
		}
		if late := lateMinutes(b); lateMinutes(stay)-late < changeMinutes && (late > lateMinutes(stay) || stay.Finish-b.Finish < changeMinutes) {
			t.Errorf("seed %d: %d min late and done at %d with its first crew, %d and %d with the other", seed, late, b.Finish, lateMinutes(stay), stay.Finish)
		}
		if text := findingText(b, "change of crew", room); !strings.Contains(text, "who began it, instead of") {
			t.Errorf("seed %d: %q does not say that it goes back", seed, text)
		}
		again := next
		again.Prior, again.Placed = b, b.Orders
		if r := replanned(t, again); !slices.Equal(crewsOf(r, room), crewsOf(b, room)) {
			t.Errorf("seed %d: without news %s goes from %v to %v", seed, room, crewsOf(b, room), crewsOf(r, room))
		}
	}
	if back == 0 || stays == 0 {
		t.Errorf("%d rooms go back, %d stay: the test shows too little", back, stays)
	}
}

// lateMinutes is how late rooms are together.
func lateMinutes(p *Plan) (sum int) {
	clock := Clock{p.Epoch, p.Firm.Zone}
	due := map[string]rooms.Date{}
	for _, j := range p.Jobs {
		for _, s := range j.Sites {
			for _, r := range s.Rooms {
				due[j.Key+"/"+r.Key] = r.Due
			}
		}
	}
	for _, d := range p.RoomDates {
		if day := due[d.Room]; !day.IsZero() {
			sum += max(0, d.Finish-clock.DayStart(day.AddDays(1)))
		}
	}
	return sum
}
