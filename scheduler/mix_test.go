package scheduler

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"potlife/takeoff"
)

// Of all ways to share patches that follow one another out to mixes of whole or
// half bags, none takes fewer, and none of as few throws away less; no way at
// all takes fewer than the bound.
func TestPortionedMixesAgainstBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	p := takeoff.Product{Key: "bed", Kind: takeoff.KindMortar}
	tight, wasted := 0, 0
	for range 400 {
		var feeds []feed
		at, n := 100, 1+r.IntN(8)
		for i := range n {
			at += 3 + r.IntN(40)
			feeds = append(feeds, feed{MixPatch{"a", i}, "t", at, 0.5 + 8*r.Float64(), "s"})
		}
		life := 20 + r.IntN(80)
		size := []mixSize{{bucket: 20}, {bucket: 20, portion: 20, pack: 20}, {bucket: 25, portion: 12.5, pack: 25}, {bucket: 20, portion: 5, pack: 5}}[r.IntN(4)]
		got := mortarMixes("c", p, feeds, life, life*2, size)
		thrown, need := 0.0, 0.0
		for _, m := range got {
			thrown += m.Kg
		}
		for _, f := range feeds {
			need += f.kg
		}
		thrown -= need
		fewest, least := math.MaxInt, 0.0
		for mask := range 1 << (n - 1) { // where a new mix begins
			mixes, waste, ok := 0, 0.0, true
			for i := 0; i < n && ok; {
				j, kg := i, 0.0
				for ; j < n && (j == i || mask>>(j-1)&1 == 0); j++ {
					kg += feeds[j].kg
					ok = ok && (j == i || feeds[j].start-(feeds[i].start-mixLead) <= life)
				}
				up := kg
				if size.portion > 0 {
					up = math.Ceil(kg/size.portion-1e-9) * size.portion
				}
				ok = ok && (j == i+1 || up <= size.bucket+1e-9)
				mixes, waste, i = mixes+1, waste+up-kg, j
			}
			if ok && (mixes < fewest || mixes == fewest && waste < least) {
				fewest, least = mixes, waste
			}
		}
		if len(got) != fewest || math.Abs(thrown-least) > 1e-6 {
			t.Fatalf("%+v, life %d: %d mixes with %.2f kg thrown away, brute force %d with %.2f", size, life, len(got), thrown, fewest, least)
		}
		bound := fewestMixes(p, feeds, life, size)
		if bound > fewest {
			t.Fatalf("bound %d over %d mixes", bound, fewest)
		}
		if bound == fewest {
			tight++
		}
		if least > 0.5 {
			wasted++
		}
	}
	if tight < 200 || wasted == 0 {
		t.Errorf("%d of 400 bounds are reached, %d throw something away", tight, wasted)
	}
}

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
		found = found || strings.Contains(s, "no plan of them takes fewer than")
	}
	if !found {
		t.Errorf("the summary gives no bound: %q", epoxy.Summary)
	}
}
