package rcpsp

import (
	"context"
	"fmt"
	"testing"
)

// bathrooms is a problem as the scheduler makes it: rooms at sites, each prepared, sealed in two coats with recoat
// windows, tested, set in areas, grouted and handed over, by crews that work weekdays from 7 to 12 and 12:30 to 16.
// Resource 0 prepares, the next crews set; every room is a resource of its own that one crew fits in.
func bathrooms(rooms, areas, crews int) Problem {
	p := Problem{Objective: LatenessFirst}
	days := 30 + rooms*(areas*150+900)/(450*crews)*2
	for range 1 + crews {
		p.Resources = append(p.Resources, Resource{Capacity: 1, Moves: true, Forbidden: weekdays(days)})
	}
	sites := (rooms + 3) / 4
	for i := range sites {
		p.Travel = append(p.Travel, make([]int, sites))
		for j := range sites {
			if i != j {
				p.Travel[i][j] = 15 + (i*7+j*7)%20
			}
		}
	}
	for room := range rooms {
		p.addBathroom(room, areas, crews)
	}
	return p
}

func weekdays(days int) []Interval {
	at := 0
	var off []Interval
	for d := range days {
		if d%7 >= 5 {
			continue
		}
		day := d * 1440
		off = append(off, Interval{at, day + 420}, Interval{day + 720, day + 750})
		at = day + 960
	}
	return append(off, Interval{at, days * 1440})
}

func (p *Problem) addBathroom(room, areas, crews int) {
	own := len(p.Resources)
	p.Resources = append(p.Resources, Resource{Capacity: 1})
	last := -1
	add := func(d, crew, lag int) int {
		a := one(d, make([]int, own+1)...)
		a.Room, a.Site = room, room/4
		a.Demand[own] = 1
		if crew >= 0 {
			a.Demand[crew] = 1
		}
		p.Activities = append(p.Activities, a)
		i := len(p.Activities) - 1
		if last >= 0 {
			p.Lags = append(p.Lags, Lag{last, i, p.Activities[last].Duration + lag})
		}
		last = i
		return i
	}
	first := add(180+room%3*60, 0, 0)
	p.Activities[first].Release = room % 5 * 1440
	coat := add(60, 0, 120)
	again := add(60, 0, 240)
	p.Lags = append(p.Lags, Lag{again, coat, -4 * 1440})
	add(1440, -1, 720)
	setter := 1 + room%crews
	set := add(60, setter, 0)
	p.Lags = append(p.Lags, Lag{set, again, -9 * 1440})
	for a := range areas {
		add(90+(room*13+a*29)%60, setter, 0)
	}
	add(120, setter, 1440)
	add(60, setter, 600)
	end := add(0, -1, 1440)
	p.Activities[end].Due = (10+room*(areas+6)*150/(450*crews))*1440*7/5 - room%7*2880
	p.Activities[end].Weight = 1 + room%3
}

func BenchmarkBathrooms(b *testing.B) {
	for _, size := range []struct{ rooms, areas, crews int }{{6, 40, 2}, {40, 12, 3}, {1000, 12, 4}} {
		p := bathrooms(size.rooms, size.areas, size.crews)
		b.Run(fmt.Sprintf("%d rooms %d activities", size.rooms, len(p.Activities)), func(b *testing.B) {
			var r Result
			for b.Loop() {
				r, _ = Solve(context.Background(), p, Options{Seed: 1})
			}
			report(b, p, r)
		})
	}
}

func report(b *testing.B, p Problem, r Result) {
	if err := Check(p, r.Start); err != nil {
		b.Fatal(err)
	}
	b.ReportMetric(float64(r.Lateness), "lateness")
	b.ReportMetric(float64(r.LatenessBound), "lateness-bound")
	b.ReportMetric(float64(r.Makespan)/1440, "days")
	b.ReportMetric(float64(r.Bound)/1440, "days-bound")
	b.ReportMetric(float64(r.Moves), "moves")
	b.ReportMetric(float64(r.Schedules), "schedules")
}

func BenchmarkReplan(b *testing.B) {
	p := bathrooms(40, 12, 3)
	r, _ := Solve(context.Background(), p, Options{Seed: 1})
	b.ResetTimer()
	for b.Loop() {
		r, _ = Solve(context.Background(), p, Options{Seed: 1, Warm: r.Start})
	}
	report(b, p, r)
}
