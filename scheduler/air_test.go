package scheduler

import (
	"context"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"potlife/rooms"
	"potlife/takeoff"
)

// frosted gives the rooms of an input a temperature for each day: a cold week
// with days below what the products stand, after some mild ones.
func frosted(in Input, r *rand.Rand) Input {
	for s := range in.Jobs[0].Sites {
		for k := range in.Jobs[0].Sites[s].Rooms {
			room := &in.Jobs[0].Sites[s].Rooms[k]
			room.Celsius = float64(8 + r.IntN(14))
			for d := 0; d < 30; d++ {
				on := in.Jobs[0].Start.AddDays(d)
				c := float64(6 + r.IntN(12))
				if d > 4 && d < 12 {
					c = float64(2 + r.IntN(6))
				}
				if r.IntN(9) == 0 {
					c = 33
				}
				room.Temperatures = append(room.Temperatures, rooms.Temperature{From: on, To: on, Celsius: c, Forecast: d > 3})
			}
		}
	}
	for i := range in.Firm.Catalogue.Products {
		in.Firm.Catalogue.Products[i].Sheet.MaxCelsius = 30
	}
	return in
}

// Plans of rooms with a temperature for each day keep every cure by the hour and
// use nothing on a day that is too cold or too warm for it (CheckPlan adds both
// up afresh), and no wait is shorter than the sheet's.
func TestTemperaturesByDay(t *testing.T) {
	slow, blocked := 0, 0
	for seed := uint64(1); seed <= 8; seed++ {
		in := frosted(small(t, seed, 2), rand.New(rand.NewPCG(seed, 4)))
		p := made(t, in)
		for _, a := range p.Areas {
			if a.GroutAfter < 24*60 {
				t.Errorf("seed %d: %s waits %d min for grout, the sheet says 24 h", seed, a.ID, a.GroutAfter)
			}
			if a.GroutAfter > 36*60 {
				slow++
			}
		}
		for _, f := range p.Findings {
			if f.Rule == "temperature" && strings.Contains(f.Message, "may not be used") {
				blocked++
			}
		}
		if p.Bound > p.Finish {
			t.Errorf("seed %d: bound %d after finish %d", seed, p.Bound, p.Finish)
		}
	}
	if slow == 0 || blocked == 0 {
		t.Errorf("%d cures are half as long again, %d spells are blocked: the test shows nothing", slow, blocked)
	}
}

// Ground is not filled while it is too cold for filler, by the firm's leveller or else
// the usual 5 °C, and the room says what it waits for.
func TestNothingIsFilledInTheCold(t *testing.T) {
	for _, least := range []float64{0, 9} {
		in := oneFloor(t, false, 20)
		for i := range in.Firm.Catalogue.Products {
			if p := &in.Firm.Catalogue.Products[i]; p.Kind == takeoff.KindLeveller {
				p.Sheet.MinCelsius = least
			}
		}
		for i := range in.Firm.Catalogue.Tiles { // large
			in.Firm.Catalogue.Tiles[i].Shape = rooms.Rect(0, 0, 597*mm, 297*mm)
		}
		room := &in.Jobs[0].Sites[0].Rooms[0]
		warm := in.Today.AddDays(10)
		room.Temperatures = []rooms.Temperature{
			{From: in.Today, To: warm.AddDays(-1), Celsius: 4},
			{From: warm, To: warm.AddDays(6), Celsius: 8, Forecast: true},
			{From: warm.AddDays(7), To: warm.AddDays(60), Celsius: 15, Forecast: true}}
		if least > 0 {
			warm = warm.AddDays(7)
		}
		p, filled := made(t, in), 0
		for i := range p.Activities {
			a := &p.Activities[i]
			if a.Kind != kindFlatten {
				continue
			}
			if filled++; clockOf(p).Day(a.Start).Before(warm) {
				t.Errorf("filled on %s, it is warm enough from %s on", clockOf(p).Day(a.Start), warm)
			}
			if why := p.RoomDates[0].Blocked; !strings.Contains(why, "filler may not be used below") {
				t.Errorf("the room waits: %q", why)
			}
			a.Start, a.Finish = a.Start-10*1440, a.Finish-10*1440
		}
		if err := CheckPlan(p); filled == 0 || err == nil || !strings.Contains(err.Error(), "fills ground at 4 °C") {
			t.Errorf("%d are filled; in the cold: %v", filled, err)
		}
	}
}

// A warm record changes nothing against the plain number at the reference, and a
// frost that is only forecast and then not read is dropped.
func TestWarmDaysShortenNothing(t *testing.T) {
	at := func(temps []rooms.Temperature) *Plan {
		in := small(t, 3, 2)
		for s := range in.Jobs[0].Sites {
			for k := range in.Jobs[0].Sites[s].Rooms {
				in.Jobs[0].Sites[s].Rooms[k].Celsius, in.Jobs[0].Sites[s].Rooms[k].Temperatures = 20, temps
			}
		}
		return made(t, in)
	}
	from, to := day("2026-03-16"), day("2026-05-30")
	plain := at(nil)
	warm := at([]rooms.Temperature{{From: from, To: to, Celsius: 20}})
	read := at([]rooms.Temperature{{From: from, To: to, Celsius: 20}, {From: day("2026-03-23"), To: day("2026-03-27"), Celsius: 2, Forecast: true}})
	cold := at([]rooms.Temperature{{From: day("2026-03-23"), To: day("2026-03-27"), Celsius: 2, Forecast: true}})
	if warm.Finish != plain.Finish || read.Finish != plain.Finish {
		t.Errorf("finish %d plain, %d at 20 °C day by day, %d with a frost that did not come", plain.Finish, warm.Finish, read.Finish)
	}
	if cold.Finish <= plain.Finish {
		t.Errorf("a week of frost ends the plan at %d, without it %d", cold.Finish, plain.Finish)
	}
}

// A room in which a product can be used on no day is refused with the reason.
func TestNeverWarmEnough(t *testing.T) {
	in := small(t, 3, 1)
	for s := range in.Jobs[0].Sites {
		for k := range in.Jobs[0].Sites[s].Rooms {
			room := &in.Jobs[0].Sites[s].Rooms[k]
			room.Celsius, room.Temperatures = 3, []rooms.Temperature{{From: day("2026-03-20"), To: day("2026-03-28"), Celsius: 4}}
		}
	}
	_, err := Make(context.Background(), in)
	if err == nil || !strings.Contains(err.Error(), "may not be used below 5 °C") {
		t.Errorf("got %v, want a refusal for the cold", err)
	}
}

// By hand: of a cure of 1 440 min at 20 °C, 10 h at 20 °C leave 840 min. At 8 °C
// a minute counts exp(−5000 (1/281.15 − 1/293.15)) = exp(−0.72799) = 0.48288, so
// those take 1 739.6 min: 2 340 min in all.
func TestCureOverDaysByHand(t *testing.T) {
	r := &roomWork{celsius: 20, air: []airSpell{{-1 << 30, 20}, {600, 8}}}
	if got := r.cureFrom(Cure{Minutes: 1440, Reference: 20}, 0); got != 2340 {
		t.Errorf("from minute 0: %d min, want 2340", got)
	}
	if got := r.cureFrom(Cure{Minutes: 1440, Reference: 20}, 600); got != 2983 { // 1440 / 0.48288
		t.Errorf("from minute 600: %d min, want 2983", got)
	}
}

func TestSpellsOfDays(t *testing.T) {
	clock := NewClock(day("2026-03-27"), zone(t, "Europe/Berlin"))
	room := &rooms.Room{Temperatures: []rooms.Temperature{{From: day("2026-03-28"), To: day("2026-03-29"), Celsius: 9}}}
	got := airOf(clock, room, 20)
	want := []float64{20, 9, 20}
	var celsius []float64
	for _, s := range got {
		celsius = append(celsius, s.celsius)
	}
	if !slices.Equal(celsius, want) || got[1].from != 1440 || got[2].from != 1440+1440+1380 { // the 29th has 23 h
		t.Errorf("spells %+v", got)
	}
}
