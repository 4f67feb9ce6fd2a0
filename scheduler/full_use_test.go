package scheduler

import (
	"testing"

	"potlife/rooms"
	"potlife/takeoff"
)

// oneFloor is a firm's one room with a floor of one tile, wet or not.
func oneFloor(t *testing.T, wet bool, celsius float64) Input {
	in := Input{Firm: firm(zone(t, "Europe/Berlin")), Today: day("2026-03-16")}
	f := rectangle("floor", rooms.Floor, 2000*mm, 1500*mm, field("grey", "straight"))
	f.Wet = wet
	in.Jobs = []rooms.Job{{Key: "job", Name: "job", Start: day("2026-03-16"), Sites: []rooms.Site{{Key: "yard", Name: "Yard",
		Rooms: []rooms.Room{{Key: "bath", Name: "bath", Celsius: celsius, Surfaces: []rooms.Surface{f}}}}}}}
	return in
}

func (in *Input) sheet(key string) *takeoff.DataSheet {
	for i := range in.Firm.Catalogue.Products {
		if p := &in.Firm.Catalogue.Products[i]; p.Key == key {
			return &p.Sheet
		}
	}
	return nil
}

// sinceLast is how many minutes lie between the end of the last activity of a kind
// and the start of the first of another.
func sinceLast(p *Plan, kind, next string) int {
	end, start := -1, -1
	for _, a := range p.Activities {
		if a.Kind == kind {
			end = max(end, a.Finish)
		}
		if a.Kind == next && (start < 0 || a.Start < start) {
			start = a.Start
		}
	}
	return start - end
}

// Light traffic, full load, sealing and wet use are waits of their own, each kept
// for what it stands for and each longer in the cold; a wait of 0 is none.
func TestFullUseWaits(t *testing.T) {
	const d = 24 * 60
	for _, c := range []struct {
		name        string
		wet         bool
		celsius     float64
		mortar      func(*takeoff.DataSheet)
		grout       func(*takeoff.DataSheet)
		kind, next  string
		least, most int // most 0: not asked
	}{
		{"mortar under full load", false, 20, func(s *takeoff.DataSheet) { s.FullAfter = 14 * d }, nil, kindSet, kindHandOver, 14 * d, 17 * d},
		{"mortar, three times light traffic", false, 20, func(s *takeoff.DataSheet) { s.WalkAfter = 2 * d }, nil, kindSet, kindHandOver, 6 * d, 0},
		{"mortar in the cold", false, 10, func(s *takeoff.DataSheet) { s.FullAfter = 14 * d }, nil, kindSet, kindHandOver, 14 * 2630, 14*2630 + 4*d},
		{"mortar gets wet", true, 20, func(s *takeoff.DataSheet) { s.WetAfter = 11 * d }, nil, kindSet, kindHandOver, 11 * d, 14 * d},
		{"dry room, wet use does not count", false, 20, func(s *takeoff.DataSheet) { s.WetAfter = 30 * d }, nil, kindSet, kindHandOver, 3 * d, 12 * d},
		{"grout under full load", false, 20, nil, func(s *takeoff.DataSheet) { s.FullAfter = 9 * d }, kindGrout, kindHandOver, 9 * d, 12 * d},
		{"grout walked on", false, 20, nil, func(s *takeoff.DataSheet) { s.WalkAfter = 5 * d }, kindGrout, kindSeal, 5 * d, 8 * d},
		{"grout walked on, cleaning", false, 20, nil, func(s *takeoff.DataSheet) { s.WalkAfter = 5 * d }, kindGrout, kindClean, 5 * d, 0},
		{"grout gets wet", true, 20, nil, func(s *takeoff.DataSheet) { s.WetAfter = 6 * d }, kindGrout, kindHandOver, 6 * d, 9 * d},
		{"sealed later", false, 20, nil, func(s *takeoff.DataSheet) { s.SealAfter = 7 * d }, kindGrout, kindSeal, 7 * d, 10 * d},
		{"grouted at once", false, 20, func(s *takeoff.DataSheet) { s.GroutAfter, s.WalkAfter = -1, -1 }, nil, kindSet, kindGrout, 0, d},
	} {
		t.Run(c.name, func(t *testing.T) {
			in := oneFloor(t, c.wet, c.celsius)
			if c.mortar != nil {
				c.mortar(in.sheet("bed"))
			}
			if c.grout != nil {
				c.grout(in.sheet("joint"))
			}
			if got := sinceLast(made(t, in), c.kind, c.next); got < c.least || c.most > 0 && got > c.most {
				t.Errorf("%s %d min after %s, expected %d to %d", c.next, got, c.kind, c.least, c.most)
			}
		})
	}
}

// A membrane that may be tiled at once is not waited a day for.
func TestMembraneTiledAtOnce(t *testing.T) {
	since := func(tileAfter int) int {
		in := oneFloor(t, true, 20)
		s := in.sheet("skin")
		*s = takeoff.DataSheet{PerM2: 1, Coats: 1, TileAfter: tileAfter, RecoatAfter: tileAfter, Reference: 20}
		return sinceLast(made(t, in), kindMembrane, kindSet)
	}
	if none, minute, left := since(-1), since(1), since(0); none > minute || minute >= 24*60 || left < 24*60 {
		t.Errorf("tiled %d min after it with a wait of 0, %d with 1 min, %d with none given: expected 0 at most as long as 1 min, and a day only where none is given", none, minute, left)
	}
}

// A room that falls below its mortar's minimum after setting: the days do not
// count as cure, and the plan says so.
func TestColdAfterSetting(t *testing.T) {
	in := oneFloor(t, false, 20)
	in.sheet("bed").MinCelsius = 10
	in.Jobs[0].Sites[0].Rooms[0].Temperatures = []rooms.Temperature{{From: day("2026-03-16"), To: day("2026-03-30"), Celsius: 14},
		{From: day("2026-03-31"), To: day("2026-04-12"), Celsius: 2}, {From: day("2026-04-13"), To: day("2026-12-31"), Celsius: 20}}
	warm := made(t, in)
	set := 0
	for _, a := range warm.Activities {
		if a.Kind == kindSet {
			set = max(set, a.Finish)
		}
	}
	// the cold begins on the morning after the setting
	in = oneFloor(t, false, 20)
	in.sheet("bed").MinCelsius = 10
	begins := NewClock(in.Today, in.Firm.Zone).Day(set + 24*60)
	in.Jobs[0].Sites[0].Rooms[0].Temperatures = []rooms.Temperature{{From: day("2026-03-16"), To: begins.AddDays(-1), Celsius: 20},
		{From: begins, To: begins.AddDays(19), Celsius: 2}, {From: begins.AddDays(20), To: day("2026-12-31"), Celsius: 20}}
	p := made(t, in)
	if got := sinceLast(p, kindSet, kindGrout); got < 20*24*60 {
		t.Errorf("grouted %d min after setting, 20 days of them too cold to cure", got)
	}
	said := 0
	for _, f := range p.Findings {
		if f.Rule == "temperature" && f.Limit == 10 {
			said++
		}
	}
	if said != 1 {
		t.Errorf("%d findings on the cold after setting, expected one", said)
	}
}

// A temperature reported from the room counts in the next plan, for its day, before
// what was forecast; the later of two readings of a day counts, and the input is
// not changed.
func TestTemperatureReported(t *testing.T) {
	in := oneFloor(t, false, 20)
	room := &in.Jobs[0].Sites[0].Rooms[0]
	room.Temperatures = []rooms.Temperature{{From: day("2026-03-16"), To: day("2026-05-30"), Celsius: 20, Forecast: true}}
	warm := made(t, in)
	set := 0
	for _, a := range warm.Activities {
		if a.Kind == kindSet {
			set = max(set, a.Finish)
		}
	}
	clock := NewClock(in.Today, in.Firm.Zone)
	for i := range 4 { // cold readings from the day of setting on, the first put right in the evening
		d := clock.Day(set).AddDays(i)
		in.Records = append(in.Records, Record{Kind: "temperature", Room: "job/bath", Day: d, At: d.In(in.Firm.Zone), Celsius: 30 - 25*float64(min(i, 1))},
			Record{Kind: "temperature", Room: "job/bath", Day: d, At: d.In(in.Firm.Zone), Celsius: 6}, Record{Kind: "temperature", Room: "job/other", Day: d, Celsius: -9})
	}
	cold := made(t, in)
	if got, want := sinceLast(cold, kindSet, kindGrout), sinceLast(warm, kindSet, kindGrout); got <= want {
		t.Errorf("grouted %d min after setting at 6 °C, %d at 20 °C", got, want)
	}
	if len(room.Temperatures) != 1 || len(cold.Jobs[0].Sites[0].Rooms[0].Temperatures) != 9 {
		t.Errorf("the input has %d temperatures, the plan %d", len(room.Temperatures), len(cold.Jobs[0].Sites[0].Rooms[0].Temperatures))
	}
}
