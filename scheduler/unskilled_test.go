package scheduler

import (
	"context"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// Rooms without a crew of the skills they ask for are found from what is written of
// them: where there is one no plan is made, for want of a skill, and else a plan is.
func TestNoSkillIsWhatPlansRefuse(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	some := func() []string {
		return slices.DeleteFunc([]string{"demolition", SkillLarge, SkillMembrane, SkillStone}, func(s string) bool { return s != "demolition" && r.IntN(3) == 0 })
	}
	none, able := 0, 0
	for seed := uint64(1); seed <= 24; seed++ {
		in := small(t, seed, 1+int(seed%2))
		in.Firm.Limits.Schedules = 4
		in.Firm.Catalogue.Tiles[2].Material = "stone"
		in.Firm.Crews[0].Skills, in.Firm.Crews[1].Skills = some(), some()
		for s := range in.Jobs[0].Sites {
			for k := range in.Jobs[0].Sites[s].Rooms {
				if in.Jobs[0].Sites[s].Rooms[k].Celsius = 20; r.IntN(4) == 0 {
					in.Jobs[0].Sites[s].Rooms[k].Crew = "alder"
				}
			}
		}
		list := NoSkill(&in.Firm, in.Jobs)
		_, err := Make(context.Background(), in)
		switch lacks := err != nil && strings.Contains(err.Error(), "asks for the skill"); {
		case len(list) > 0 != lacks:
			t.Errorf("seed %d: %v, and the plan says %v", seed, list, err)
		case lacks:
			none++
			if u := list[0]; !strings.Contains(u.Text, "asks for the skill \"") || !strings.Contains(u.Text, "the skills of Alder are ") || !strings.Contains(u.Text, "add what is lacking to") {
				t.Errorf("seed %d: %q", seed, u.Text)
			}
		default:
			able++
		}
	}
	if none == 0 || able == 0 {
		t.Errorf("%d inputs lack a skill, %d do not: the test shows nothing", none, able)
	}
}
