package jobfile

import (
	"testing"

	"potlife/rooms"
)

func TestDemosAreWithoutProblems(t *testing.T) {
	for _, which := range DemoNames() {
		f, problems := Parse("demo "+which, Demo(which))
		for _, p := range problems {
			t.Error(p)
		}
		if f == nil {
			continue
		}
		if f.Firm == nil || len(f.Jobs) == 0 {
			t.Errorf("demo %q lacks a firm or jobs", which)
		}
	}
}

// What the demo promises to show.
func TestDemoScenario(t *testing.T) {
	f, problems := Parse("demo", Demo(""))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	var roomCount, surfaces, readings, bands, niches, wet, flood int
	patterns := map[string]bool{}
	cold := false
	for _, j := range f.Jobs {
		for _, s := range j.Sites {
			for _, m := range s.Rooms {
				roomCount++
				cold = cold || m.Celsius < 12
				for _, x := range m.Surfaces {
					surfaces++
					readings += len(x.Readings)
					if x.Wet {
						wet++
					}
					for _, p := range x.Prepare {
						if p == "flood test" {
							flood++
						}
					}
					if x.Kind == rooms.NicheFace {
						niches++
					}
					for _, z := range x.Zones {
						patterns[z.Pattern] = true
						if len(z.Region) > 0 {
							bands++
						}
					}
				}
			}
		}
	}
	if roomCount != 6 || surfaces < 30 || len(f.Jobs) != 2 || len(f.Firm.Crews) != 2 || len(f.Firm.Catalogue.Tiles) != 5 {
		t.Errorf("rooms %d, surfaces %d, jobs %d, crews %d, tiles %d", roomCount, surfaces, len(f.Jobs), len(f.Firm.Crews), len(f.Firm.Catalogue.Tiles))
	}
	if readings < 3 || bands < 2 || niches == 0 || wet < 3 || flood == 0 || !cold || len(patterns) < 5 {
		t.Errorf("readings %d, bands %d, niches %d, wet %d, flood tests %d, cold %v, patterns %v", readings, bands, niches, wet, flood, cold, patterns)
	}
	t.Logf("%d rooms, %d surfaces, patterns %v", roomCount, surfaces, patterns)
}
