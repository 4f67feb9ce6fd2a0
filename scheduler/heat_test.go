package scheduler

import (
	"slices"
	"testing"

	"potlife/rooms"
)

// warmed is an input of one bathroom that has so many °C, and others on some days.
func warmed(t *testing.T, celsius float64, days ...rooms.Temperature) Input {
	in := small(t, 3, 1)
	for s := range in.Jobs[0].Sites {
		for k := range in.Jobs[0].Sites[s].Rooms {
			in.Jobs[0].Sites[s].Rooms[k].Celsius, in.Jobs[0].Sites[s].Rooms[k].Temperatures = celsius, days
		}
	}
	return in
}

// patchCount counts patches and mixes of mortar.
func patchCount(p *Plan) (patches, mixes int) {
	for _, a := range p.Areas {
		patches += len(a.Patches)
	}
	mixes, _ = countMixes(p.Mixes)
	return patches, mixes
}

// openTimes are the open times that a plan's patches are sized for.
func openTimes(p *Plan) []int {
	var out []int
	for _, a := range p.Areas {
		out = append(out, a.OpenMinutes)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// Areas and mixes are sized by the days on which the room is set: a hot day long
// after it changes nothing, hot days in it make more and smaller patches, and those
// are the same whether the heat is a number, a forecast of the whole time or of those
// days alone (CheckPlan holds each patch and mix to its own day).
func TestAreasFollowTheDaysTheyAreSetOn(t *testing.T) {
	plain := made(t, warmed(t, 20))
	first, last := plain.Areas[0].Start, 0
	for _, a := range plain.Areas {
		first, last = min(first, a.Start), max(last, a.Finish)
	}
	clock := Clock{plain.Epoch, plain.Firm.Zone}
	from, to := clock.Day(first), clock.Day(last)
	hot := func(a, b rooms.Date) rooms.Temperature {
		return rooms.Temperature{From: a, To: b, Celsius: 32, Forecast: true}
	}
	before := rooms.Temperature{From: from.AddDays(-60), To: from.AddDays(-1), Celsius: 36}
	wantP, wantM := patchCount(plain)
	want := openTimes(plain)
	for name, days := range map[string][]rooms.Temperature{
		"months later":      {hot(to.AddDays(60), to.AddDays(61))},
		"three weeks later": {hot(to.AddDays(10), to.AddDays(11))},
		"before":            {before},
	} {
		if got := openTimes(made(t, warmed(t, 20, days...))); !slices.Equal(got, want) {
			t.Errorf("heat %s: mortar lies open for %v min, without it %v", name, got, want)
		}
	}
	heated := made(t, warmed(t, 32))
	heatP, heatM := patchCount(heated)
	if heatP <= wantP || heatM <= wantM {
		t.Errorf("in the heat %d patches and %d mixes, at 20 °C %d and %d", heatP, heatM, wantP, wantM)
	}
	if got, all := openTimes(made(t, warmed(t, 20, hot(from.AddDays(-3), to.AddDays(20))))), openTimes(heated); !slices.Equal(got, all) || slices.Equal(got, want) {
		t.Errorf("a forecast of heat: mortar lies open for %v min, in steady heat %v, at 20 °C %v", got, all, want)
	}
	if p, m := patchCount(made(t, warmed(t, 20, hot(to, to)))); p < wantP || m < wantM {
		t.Errorf("a hot last day: %d patches and %d mixes, without it %d and %d", p, m, wantP, wantM)
	}
}

// A plan made again keeps the size of its areas, and when a forecast of heat comes
// for the days that are left, cuts what is left smaller.
func TestAreasAreCutAgainWhenHeatComes(t *testing.T) {
	in := warmed(t, 20, rooms.Temperature{From: day("2026-03-01"), To: day("2026-03-02"), Celsius: 12})
	was := made(t, in)
	in.Prior = was
	same := made(t, in)
	if a, _ := patchCount(was); !slices.EqualFunc(was.Areas, same.Areas, func(a, b Area) bool { return a.ID == b.ID && a.OpenMinutes == b.OpenMinutes }) {
		t.Errorf("%d patches: made again the areas differ", a)
	}
	for s := range in.Jobs[0].Sites {
		for k := range in.Jobs[0].Sites[s].Rooms {
			r := &in.Jobs[0].Sites[s].Rooms[k]
			r.Temperatures = append(slices.Clone(r.Temperatures), rooms.Temperature{From: day("2026-03-16"), To: day("2026-06-16"), Celsius: 33, Forecast: true})
		}
	}
	hot := made(t, in)
	a, _ := patchCount(was)
	if b, _ := patchCount(hot); b <= a {
		t.Errorf("%d patches, in the heat %d", a, b)
	}
}
