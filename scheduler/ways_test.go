package scheduler

import (
	"slices"
	"strings"
	"testing"

	"potlife/takeoff"
)

// A way that a crew takes within a day and that nobody named is told; named, it is not.
func TestUnnamedWaysAreTold(t *testing.T) {
	in := small(t, 4, 4)
	in.Firm.Crews = in.Firm.Crews[:1]
	ways := in.Firm.Travel
	for _, named := range []bool{true, false} {
		in.Firm.Travel = nil
		if named {
			in.Firm.Travel = ways
		}
		p := made(t, in)
		// Counted apart: days on which the crew works at both sites.
		clock, sites := Clock{p.Epoch, in.Firm.Zone}, map[string]map[string]bool{}
		for _, a := range p.Activities {
			if d := clock.Day(a.Start).String(); a.Crew != "" {
				if sites[d] == nil {
					sites[d] = map[string]bool{}
				}
				sites[d][a.Site] = true
			}
		}
		days := 0
		for _, s := range sites {
			if len(s) > 1 {
				days++
			}
		}
		i := slices.IndexFunc(p.Findings, func(f takeoff.Finding) bool { return f.Rule == "way between sites" })
		switch {
		case named && i >= 0:
			t.Errorf("named, and told: %s", p.Findings[i].Message)
		case !named && days == 0:
			t.Error("the crew never goes from site to site")
		case !named && (i < 0 || p.Findings[i].Value != float64(days) || !strings.Contains(p.Findings[i].Message, "Mill Row")):
			t.Errorf("%d days, told %d: %+v", days, i, p.Findings)
		}
	}
}
