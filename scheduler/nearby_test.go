package scheduler

import (
	"slices"
	"testing"

	"potlife/rooms"
)

// laterFloor is a job of one floor that takes a few days, to begin in more than a week.
func laterFloor(t *testing.T, people int) Input {
	in := small(t, 3, 1)
	floor := rectangle("floor", rooms.Floor, 3600*mm, 4200*mm, field("small", "straight"))
	in.Jobs[0].Sites[0].Rooms, in.Jobs[0].Sites[1].Rooms = []rooms.Room{{Key: "hall", Celsius: 20, People: people, Ready: day("2026-03-30"), Surfaces: []rooms.Surface{floor}}}, nil
	in.Firm.Crews = slices.Clone(in.Firm.Crews[1:]) // birch: two setters and a helper
	return in
}

// setWith counts the areas of a plan, those of them for so many setters, and gives the
// minute at which the last is set.
func setWith(p *Plan, setters int) (areas, so, last int) {
	for _, a := range p.Activities {
		if a.Kind == kindSet {
			areas++
			last = max(last, a.Finish)
			if a.Setters == setters {
				so++
			}
		}
	}
	return areas, so, last
}

// Areas that were divided for one setter are divided for two when the other's absence is
// taken back, however far off they are: as if nobody had ever been away.
func TestAreasGrowWithWhoIsBack(t *testing.T) {
	in := laterFloor(t, 3)
	want, _, end := setWith(made(t, in), 2)
	away := in
	away.Firm.Crews = slices.Clone(in.Firm.Crews)
	away.Firm.Crews[0].Away = []Absence{{Who: "Ida", From: day("2026-03-16"), To: day("2026-05-20")}}
	away.Prior = made(t, away)
	alone, so, _ := setWith(away.Prior, 1)
	if so != alone || alone <= want {
		t.Fatalf("%d of %d areas have one setter, %d with two: the test shows nothing", so, alone, want)
	}
	away.Placed = away.Prior.Orders
	if n, _, _ := setWith(replanned(t, away), 1); n != alone {
		t.Errorf("without news there are %d areas instead of %d", n, alone)
	}
	in.Prior, in.Placed = away.Prior, away.Prior.Orders
	if n, so, last := setWith(replanned(t, in), 2); n != want || so != n || last > end+30 { // it may begin otherwise by minutes
		t.Errorf("%d areas, %d of them with two setters, are set at %d; had nobody been away, %d at %d", n, so, last, want, end)
	}
}

// Areas fill the longer days as well when overtime is agreed on after they were planned.
func TestAreasGrowWithOvertime(t *testing.T) {
	in := laterFloor(t, 1)
	in.Firm.Crews[0].Hours = weekHours(8, 10, 10, 12) // two hours, and an hour and a half
	p := made(t, in)
	was, _, end := setWith(p, 1)
	in.Prior, in.Placed = p, p.Orders
	in.Firm.Crews = slices.Clone(in.Firm.Crews)
	for d := day("2026-03-30"); d.Before(day("2026-04-25")); d = d.AddDays(1) {
		if w := d.Weekday(); w >= 1 && w <= 5 {
			in.Firm.Crews[0].Special = append(in.Firm.Crews[0].Special, DatedHours{d, 8 * 60, 12 * 60}, DatedHours{d, 12*60 + 30, 17 * 60})
		}
	}
	q := replanned(t, in)
	if now, _, last := setWith(q, 1); now >= was || last >= end {
		t.Errorf("%d areas are set at %d, %d at %d without overtime", now, last, was, end)
	}
	in.Prior, in.Placed = q, q.Orders
	if n, _, _ := setWith(replanned(t, in), 1); n != len(q.Areas) {
		t.Errorf("without news there are %d areas instead of %d", n, len(q.Areas))
	}
}

// Where a room has place for one, it is the same who of the crew is there: its areas stay
// as they were divided when the plan is made again.
func TestAreasOfOneStayWhoeverIsThere(t *testing.T) {
	in := small(t, 8, 1)
	in.Firm.Limits = Limits{}
	in.Firm.Crews = slices.Clone(in.Firm.Crews)
	in.Firm.Crews[1].Away = []Absence{{Who: "Ida", From: day("2026-03-16"), To: day("2026-05-20")}}
	p := made(t, in)
	next, _ := frozenAfter(in, p, 1)
	if q := replanned(t, next); len(q.Areas) != len(p.Areas) {
		t.Errorf("%d areas, made again %d", len(p.Areas), len(q.Areas))
	}
}
