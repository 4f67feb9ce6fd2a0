package scheduler

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"potlife/rooms"
	"potlife/takeoff"
)

// A mortar set to whole or half bags is mixed in these as far as what is bought
// lasts on every day (CheckPlan counts), and by weight where it does not.
func TestWholeBags(t *testing.T) {
	whole, weighed := 0, 0
	for seed := uint64(1); seed <= 6; seed++ {
		for _, portion := range takeoff.Portions() {
			in := small(t, seed, 2)
			for i := range in.Firm.Catalogue.Products {
				switch p := &in.Firm.Catalogue.Products[i]; p.Key {
				case "bed", "joint", "level":
					p.Sheet.Portion = portion
				}
			}
			if seed%2 == 0 { // plenty in the yard
				in.Firm.Catalogue.Stock = []takeoff.Stock{{Product: "bed", Packages: 40}, {Product: "joint", Packages: 20}, {Product: "level", Packages: 40}}
			}
			p := made(t, in)
			size := map[string]float64{"bed": 20, "joint": 5, "level": 25}
			share := map[string]float64{takeoff.PortionWhole: 1, takeoff.PortionHalf: 0.5}[portion]
			for _, m := range p.Mixes {
				if share == 0 || m.Packages == 0 {
					if weighed++; m.Packages != 0 || m.Thrown != 0 {
						t.Errorf("seed %d, %s: %s is weighed, counts %g packages and throws %g kg away", seed, portion, m.ID, m.Packages, m.Thrown)
					}
					continue
				}
				unit := size[m.Product] * share
				if r := m.Kg / unit; math.Abs(r-math.Round(r)) > 1e-9 || math.Abs(m.Packages-m.Kg/size[m.Product]) > 1e-9 || m.Thrown < 0 || m.Thrown >= m.Kg {
					t.Errorf("seed %d, %s: %s takes %g kg, %g packages, throws %g kg away", seed, portion, m.ID, m.Kg, m.Packages, m.Thrown)
				}
				whole++
			}
		}
	}
	if whole == 0 || weighed == 0 {
		t.Errorf("%d mixes of whole or half bags, %d by weight: the test shows nothing", whole, weighed)
	}
}

// Bags that lie in the yard beyond what the takeoff asks for are mixed by halves too:
// with plenty there, no mix set to half bags is weighed; with none, the plan says how
// many more would spare the scale, and with as many more it weighs none.
func TestBagsInTheYardSpareTheScale(t *testing.T) {
	weighed := func(stock float64) (n int, said string) {
		in := small(t, 5, 2)
		for i := range in.Firm.Catalogue.Products {
			if p := &in.Firm.Catalogue.Products[i]; p.Key == "bed" {
				p.Sheet.Portion = takeoff.PortionHalf
			}
		}
		if stock > 0 {
			in.Firm.Catalogue.Stock = []takeoff.Stock{{Product: "bed", Packages: stock}}
		}
		p := made(t, in)
		for _, m := range p.Mixes {
			if m.Product == "bed" && m.Packages == 0 {
				n++
			}
		}
		for _, f := range p.Findings {
			if f.Rule == "mixes" {
				said += f.Message
			}
		}
		return n, said
	}
	n, said := weighed(0)
	var of, all, more int
	if k, err := fmt.Sscanf(said, "%d of %d mixes of Bed C2 are weighed: in whole and half packages they would throw away more than is bought or in the yard; %d bag", &of, &all, &more); k != 3 || of != n || n == 0 || more < 1 {
		t.Fatalf("%d mixes are weighed; said %q (%v)", n, said, err)
	}
	if n, said := weighed(200); n != 0 || said != "" {
		t.Errorf("with 200 bags in the yard %d mixes are weighed: %q", n, said)
	}
}

// Epoxy grout is mixed in whole packs without water, none of it older than its
// pot life, and takes twice as long; a membrane of two parts is mixed for each
// coat.
func TestResinsAndTwoParts(t *testing.T) {
	in := small(t, 5, 2)
	minutes := func(p *Plan, kind string) int {
		n := 0
		for _, a := range p.Activities {
			if a.Kind == kind {
				n += (a.Finish - a.Start) * a.Setters
			}
		}
		return n
	}
	for s := range in.Jobs[0].Sites {
		for k := range in.Jobs[0].Sites[s].Rooms {
			f := &in.Jobs[0].Sites[s].Rooms[k].Surfaces[0]
			f.Wet, f.Prepare = true, []string{"membrane"}
		}
	}
	in.Firm.Catalogue.Stock = []takeoff.Stock{{Product: "joint", Packages: 60}, {Product: "skin", Packages: 40}}
	cement := made(t, in)
	for i := range in.Firm.Catalogue.Products {
		switch p := &in.Firm.Catalogue.Products[i]; p.Key {
		case "joint":
			p.Sheet.Resin, p.Sheet.PotMinutes = true, 0
		case "skin":
			p.Sheet.PotMinutes = 60
		}
	}
	epoxy := made(t, in)
	if a, b := minutes(cement, kindGrout), minutes(epoxy, kindGrout); float64(b) < 1.7*float64(a) {
		t.Errorf("grouting takes %d min with cement, %d with epoxy", a, b)
	}
	grout, skin := 0, 0
	for _, m := range epoxy.Mixes {
		switch m.Product {
		case "joint":
			grout++
			if m.WaterL != 0 || m.Packages != math.Round(m.Packages) || m.PotMinutes > defaultResinPot {
				t.Errorf("mix of epoxy %+v", m)
			}
		case "skin":
			skin++
			if m.WaterL != 0 || m.PotMinutes == 0 {
				t.Errorf("mix of membrane %+v", m)
			}
		}
	}
	if grout == 0 || skin == 0 {
		t.Errorf("%d mixes of epoxy, %d of membrane: the test shows nothing", grout, skin)
	}
	found := false
	for _, s := range epoxy.Summary {
		found = found || strings.Contains(s, "no plan of them takes fewer than") && strings.Contains(s, "no plan of that work takes fewer than")
	}
	if !found {
		t.Errorf("the summary gives no bound: %q", epoxy.Summary)
	}
}

// Where nothing is said of portions a mix that comes within a tenth of a half bag
// takes that, as far as what is bought lasts (CheckPlan counts), and no other does.
func TestMixesPreferBags(t *testing.T) {
	bags, weighed := 0, 0
	for seed := uint64(1); seed <= 4; seed++ {
		for _, m := range made(t, small(t, seed, 2)).Mixes {
			switch {
			case m.Product != "bed":
			case m.Packages > 0:
				bags++
				if m.Thrown > nearShare*m.Kg+0.05 || math.Abs(m.Packages*2-math.Round(m.Packages*2)) > 1e-9 {
					t.Errorf("%s takes %g bags and throws %.1f of %.1f kg away", m.ID, m.Packages, m.Thrown, m.Kg)
				}
			default:
				weighed++
			}
		}
	}
	if bags == 0 || weighed == 0 {
		t.Errorf("%d mixes of bags, %d weighed: the test shows nothing", bags, weighed)
	}
	for _, c := range []struct{ kg, want, packages float64 }{{11.8, 12.5, 0.5}, {12.5, 12.5, 0.5}, {10, 10, 0}, {19.5, 19.5, 0}, {24, 25, 1}, {26, 26, 0}} {
		m := mixSize{bucket: 25, pack: 25, near: true}.filled(Mix{Kg: c.kg})
		if m.Kg != c.want || m.Packages != c.packages || math.Abs(m.Kg-m.Thrown-c.kg) > 1e-9 {
			t.Errorf("%g kg: %+v", c.kg, m)
		}
	}
}

// Bags that come one after the other: where mixes rounded up to 0.1 kg would take more on
// some day than has come by then, only their running total is rounded up; where more is
// there, each is.
func TestMixesKeepToWhatHasCome(t *testing.T) {
	day := rooms.DateOf(time.Date(2026, 12, 14, 0, 0, 0, 0, time.UTC))
	for _, c := range []struct {
		name          string
		first, second int // bags ready on the first day and on the eighth
		each          float64
		want          float64 // what the first day's twelve mixes weigh
	}{
		{"the second bag comes later", 1, 1, 0.41, 5},
		{"both are there", 2, 0, 0.41, 6},
		{"even weights fill the bag", 1, 1, 0.4, 4.8},
		{"too little, however it is weighed", 1, 1, 0.45, 5.4},
	} {
		m := &maker{clock: NewClock(day, time.UTC), products: map[string]takeoff.Product{"joint": {Key: "joint", Kind: takeoff.KindGrout, PackageSize: 5, Unit: "kg"}}, kept: &kept{}}
		var mixes []Mix
		for i := range 15 {
			start := 8*60 + i*20
			if i >= 12 {
				start += 8 * 24 * 60
			}
			mixes = append(mixes, Mix{Crew: "a", Product: "joint", Kg: c.each, Start: start})
		}
		line := func(n int) []takeoff.OrderLine { return []takeoff.OrderLine{{Product: "joint", Quantity: float64(n)}} }
		p := &Plan{Orders: []takeoff.Order{{Ready: day, Lines: line(c.first)}, {Ready: day.AddDays(8), Lines: line(c.second)}}}
		got := 0.0
		for _, x := range m.keepToSupply(p, mixes, map[string]float64{"joint": 10})[:12] {
			got += x.Kg
		}
		if math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s: the first twelve mixes take %.1f kg, want %.1f", c.name, got, c.want)
		}
	}
}
