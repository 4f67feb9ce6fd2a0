package scheduler

import (
	"slices"
	"testing"

	"potlife/rooms"
)

// In no run do more people of a crew work than are there that day, more of a
// tool than the firm has, or does work begin outside its site's hours or loud
// work outside those for it.
func TestRunsKeepToPeopleToolsAndHours(t *testing.T) {
	met := map[string]int{}
	for seed := uint64(1); seed <= 2; seed++ {
		in := small(t, seed, 3)
		in.Firm.Tools = []Tool{{ToolMixer, 1}, {ToolSaw, 1}}
		in.Firm.Crews = slices.Clone(in.Firm.Crews)
		in.Firm.Crews[1].Away = []Absence{{From: day("2026-03-23"), To: day("2026-03-27")}, {Helper: true, From: day("2026-03-26"), To: day("2026-04-02")}}
		for j := range in.Jobs {
			for k := range in.Jobs[j].Sites {
				site := &in.Jobs[j].Sites[k]
				for d := 1; d <= 5; d++ {
					site.Hours = append(site.Hours, rooms.DayHours{Weekday: d, Start: 7 * 60, End: 16 * 60})
					site.Noise = append(site.Noise, rooms.DayHours{Weekday: d, Start: 9 * 60, End: 15 * 60})
				}
			}
		}
		p := made(t, in)
		s := newSimulation(p, Uncertainty{Least: 0.8, Most: 2, BreakChance: 0.1, Seed: seed}, indexPieces(p.Layouts))
		for range 10 {
			s.run()
			for i := range s.nodes {
				s.holdTo(t, p, i, met)
			}
		}
	}
	for _, k := range []string{ToolMixer, "away", "loud"} {
		if met[k] == 0 {
			t.Errorf("%s was never met: the test shows nothing", k)
		}
	}
}

// holdTo checks one activity of a run by counting all that go on when it begins.
func (s *simulation) holdTo(t *testing.T, p *Plan, i int, met map[string]int) {
	t.Helper()
	a, n := &p.Activities[i], &s.nodes[i]
	if a.Crew == "" {
		return
	}
	var crew Crew
	for _, c := range p.Firm.Crews {
		if c.Key == a.Crew {
			crew = c
		}
	}
	setters, helpers := s.clock.strength(crew, n.start)
	if setters < crew.Setters || helpers < crew.Helpers {
		met["away"]++
	}
	busy, help, tools := 0, 0, map[string]int{}
	for j := range s.nodes {
		if b := &p.Activities[j]; s.nodes[j].start <= n.start && n.start < s.nodes[j].end {
			if b.Crew == a.Crew {
				busy, help = busy+b.Setters, help+b.Helpers
			}
			for _, k := range b.Tools {
				tools[k]++
			}
		}
	}
	if n.end > n.start && (busy > setters || help > helpers) {
		t.Errorf("%s on %s: %d setters and %d helpers of %s at work, %d and %d are there", a.ID, s.clock.Words(n.start), busy, help, crew.Key, setters, helpers)
	}
	for _, k := range a.Tools {
		if met[k]++; tools[k] > 1 {
			t.Errorf("%s: %d use the one %s", a.ID, tools[k], k)
		}
	}
	on := s.clock.Day(n.start)
	minute := n.start - s.clock.DayStart(on)
	from, to := 7*60, 16*60
	if a.Noisy {
		met["loud"]++
		from, to = 9*60, 15*60
	}
	if minute < from || minute >= to {
		t.Errorf("%s (loud: %v) begins at minute %d of %s", a.ID, a.Noisy, minute, on)
	}
}
