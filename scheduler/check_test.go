package scheduler

import (
	"slices"
	"strings"
	"testing"
	"time"

	"potlife/takeoff"
)

// Each rule of CheckPlan is broken once in a sound plan, and must be named.
func TestCheckPlanFindsWhatIsBroken(t *testing.T) {
	find := func(p *Plan, kind string) *Activity {
		for i := range p.Activities {
			if p.Activities[i].Kind == kind {
				return &p.Activities[i]
			}
		}
		t.Fatalf("no %s in the plan", kind)
		return nil
	}
	shift := func(a *Activity, by int) {
		a.Start, a.Finish = a.Start+by, a.Finish+by
		a.Work = []Interval{{a.Start, a.Finish}}
	}
	cases := []struct {
		name  string
		spoil func(p *Plan)
		want  string
	}{
		{"work at night", func(p *Plan) { shift(find(p, "hand over"), 12*60) }, "outside the hours"},
		{"too many setters", func(p *Plan) { find(p, "grout").Setters = 9 }, "setters and"},
		{"a cure cut short", func(p *Plan) { shift(find(p, "grout"), -3*1440) }, "are due"},
		{"preparing after setting", func(p *Plan) { shift(find(p, "prepare"), 20*1440) }, "ends after"},
		{"never grouted", func(p *Plan) {
			for i := range p.Activities {
				if p.Activities[i].Kind == "grout" {
					p.Activities[i].Kind = "polish"
				}
			}
		}, "never grouted"},
		{"a piece set twice", func(p *Plan) {
			p.Areas[1].Pieces = append(p.Areas[1].Pieces, p.Areas[0].Pieces[0])
		}, "stands in"},
		{"a piece forgotten", func(p *Plan) {
			a := &p.Areas[0]
			a.Pieces = a.Pieces[1:]
			a.Patches[0].Pieces = a.Patches[0].Pieces[1:]
		}, "never set"},
		{"skinned mortar", func(p *Plan) {
			q := &p.Areas[0].Patches[0]
			q.SetBy = q.Start + p.Areas[0].OpenMinutes + 1
		}, "over the open time"},
		{"patches out of order", func(p *Plan) { slices.Reverse(p.Areas[0].Pieces) }, "do not run through"},
		{"a dead mix", func(p *Plan) {
			for i := range p.Mixes {
				p.Mixes[i].UseBy = p.Mixes[i].Start
			}
		}, "no live mix"},
		{"an old mix", func(p *Plan) { p.Mixes[0].UseBy += 600 }, "pot life"},
		{"too little mixed", func(p *Plan) {
			for i := range p.Mixes {
				p.Mixes[i].Kg /= 2
			}
		}, "are mixed"},
		{"more mixed than bought", func(p *Plan) {
			for i := range p.Mixes {
				p.Mixes[i].Kg *= 3
			}
		}, "are bought"},
		{"a delivery on a Sunday", func(p *Plan) {
			for o := &p.Orders[0]; o.Delivery.Weekday() != time.Sunday; {
				o.Delivery = o.Delivery.AddDays(1)
			}
		}, "nobody is there"},
		{"a delivery while the firm is closed", func(p *Plan) {
			p.Firm.Days.Off = append(slices.Clone(p.Firm.Days.Off), p.Orders[0].Delivery)
		}, "nobody is there"},
		{"half the tile comes later", func(p *Plan) {
			o := &p.Orders[slices.IndexFunc(p.Orders, func(o takeoff.Order) bool {
				return slices.ContainsFunc(o.Lines, func(l takeoff.OrderLine) bool { return l.Unit == "box" && l.Quantity > 1 })
			})]
			rest := *o
			rest.Key, rest.Lines = "rest", nil
			for i := range o.Lines {
				if l := &o.Lines[i]; l.Unit == "box" && l.Quantity > 1 {
					second := *l
					second.Quantity, second.Ready = l.Quantity-1, l.Ready.AddDays(60)
					l.Quantity = 1
					rest.Lines = append(rest.Lines, second)
				}
			}
			p.Orders = append(p.Orders, rest)
		}, "tiles have been taken"},
		{"tile for other rooms", func(p *Plan) {
			for i := range p.Orders {
				for k := range p.Orders[i].Lines {
					l := &p.Orders[i].Lines[k]
					l.Rooms, l.Groups, l.Lot = []string{"elsewhere/bath"}, []string{"elsewhere"}, ""
				}
			}
		}, "tiles have been taken for"},
		{"a cut on an issued sheet still wet", func(p *Plan) {
			for i := range p.Sheets {
				s := &p.Sheets[i]
				for _, id := range s.Areas {
					a := &p.Areas[slices.IndexFunc(p.Areas, func(a Area) bool { return a.ID == id })]
					if len(s.Cuts) > 0 {
						q := pieceOf(p, a.Pieces[0])
						q.OnSite, q.Cuts = false, append(q.Cuts, takeoff.Cut{Tool: takeoff.WetSaw})
						s.Cuts = append(s.Cuts, CutGroup{Tool: takeoff.WetSaw, Pieces: []string{q.ID}})
						s.Revision = 1
						return
					}
				}
			}
		}, "on a sheet that is out, dries"},
		{"a sheet lost", func(p *Plan) { p.Sheets = p.Sheets[1:] }, "on no sheet"},
		{"a cut listed twice", func(p *Plan) {
			for i := range p.Sheets {
				if g := p.Sheets[i].Cuts; len(g) > 0 {
					g[0].Pieces = append(g[0].Pieces, g[0].Pieces[0])
					return
				}
			}
		}, "is listed 2 times"},
		{"a cut listed too late", func(p *Plan) {
			last := len(p.Sheets) - 1
			for i := range p.Sheets {
				if g := p.Sheets[i].Cuts; len(g) > 0 {
					p.Sheets[last].Cuts = append(p.Sheets[last].Cuts, g[0])
					p.Sheets[i].Cuts = g[1:]
					return
				}
			}
		}, "after it is set"},
		{"two sheets", func(p *Plan) { p.Sheets = append(p.Sheets, p.Sheets[0]) }, "two sheets"},
		{"an unknown wait", func(p *Plan) { find(p, "grout").After[0].Activity = "nobody" }, "does not exist"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			p := made(t, small(t, 6, 1))
			c.spoil(p)
			err := CheckPlan(p)
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want a breach with %q", err, c.want)
			}
		})
	}
}

// The setting order is checked by itself: a wall set from the top down, and a
// course closed in its middle.
func TestCheckPlanFindsWrongOrder(t *testing.T) {
	p := made(t, small(t, 5, 2))
	wall := func(a Area) bool {
		courses := map[int]bool{}
		for _, id := range a.Pieces {
			courses[pieceOf(p, id).Course] = true
		}
		return !strings.HasSuffix(a.Surfaces[0], "floor") && len(courses) > 1
	}
	i := slices.IndexFunc(p.Areas, wall)
	if i < 0 {
		t.Fatal("no wall area")
	}
	a := &p.Areas[i]
	slices.Reverse(a.Pieces)
	a.Patches = []Patch{{Pieces: a.Pieces, Start: a.Patches[0].Start, SetBy: a.Patches[0].Start + 1}}
	for k := range p.Mixes {
		for _, q := range p.Mixes[k].Patches {
			if q.Area == a.ID {
				p.Mixes[k].Patches = []MixPatch{{a.ID, 0}}
			}
		}
	}
	err := CheckPlan(p)
	if err == nil || !strings.Contains(err.Error(), "already up") && !strings.Contains(err.Error(), "closes a gap") {
		t.Errorf("got %v", err)
	}
}

// A floor set from the door to the far wall is refused: the setter would have to leave over fresh tile.
func TestCheckPlanFindsAFloorThatShutsItsSetterIn(t *testing.T) {
	p := made(t, small(t, 5, 2))
	i := slices.IndexFunc(p.Areas, func(a Area) bool { return strings.HasSuffix(a.Surfaces[0], "floor") && len(a.Pieces) > 6 })
	if i < 0 {
		t.Fatal("no floor area")
	}
	slices.Reverse(p.Areas[i].Pieces)
	err := CheckPlan(p)
	if err == nil || !strings.Contains(err.Error(), "no way out") {
		t.Errorf("got %v", err)
	}
}
