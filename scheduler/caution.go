package scheduler

import (
	"fmt"

	"potlife/takeoff"
)

// cautions are those that fit a day's work. They remind; local codes, product
// data sheets and licensed trades decide.
func (s *sheeter) cautions(sh *Sheet) []string {
	var out []string
	out = append(out, s.loudWork(sh)...)
	out = append(out, s.loudCuts(sh)...)
	wet, dry := false, false
	for _, g := range sh.Cuts {
		wet = wet || g.Tool == takeoff.WetSaw
		dry = dry || g.Tool != takeoff.Snap
	}
	onSite := len(sh.OnSite) > 0
	if dry || onSite {
		out = append(out, "Cutting and grinding tile frees silica dust: cut wet with the water running or with a shroud and a dust class extractor, never dry without; do not let slurry dry.")
		out = append(out, "Eye and hearing protection at saw and grinder; keep the guard on the blade.")
	}
	if wet || onSite {
		out = append(out, "Water and power: residual-current or ground-fault protection on every socket used, leads off the wet floor.")
	}
	kinds := map[string]bool{}
	for _, id := range sh.Activities {
		kinds[s.byID[id].Kind] = true
	}
	if kinds[kindSet] || kinds[kindGrout] || kinds[kindLevel] {
		out = append(out, "Wet mortar, grout and leveller are strongly alkaline and burn without early pain: gloves and eye protection, wash splashes off at once.")
	}
	if kinds[kindMembrane] || kinds[kindPrime] || kinds[kindSeal] {
		out = append(out, "Air the room while primer, membrane or sealant dries, as the product's safety sheet says.")
	}
	if kinds[kindPrepare] {
		out = append(out, "Old floor covering and its black adhesive may hold asbestos, old paint and glaze lead: do not sand, scrape dry or break them before a laboratory has said what they are.")
	}
	if kinds[kindFlood] {
		out = append(out, "Flood test: local code says how high and how long the water stands and who signs; look at the ceiling below before and after.")
	}
	if c, kg := s.heaviest(sh); kg > 23 {
		out = append(out, fmt.Sprintf("Lifting: one %s of %s weighs about %.0f kg; over 23 kg two people carry, or it is split.", c.Unit, s.works.called.product(c.Product), kg))
	}
	return append(out, "Local codes, product data sheets and licensed trades (structure, plumbing, electrics, waterproofing approval) decide; this sheet only reminds.")
}

// heaviest is the heaviest single package to carry.
func (s *sheeter) heaviest(sh *Sheet) (Carry, float64) {
	var best Carry
	most := 0.0
	for _, c := range sh.Carry {
		if c.Quantity > 0 && c.Kg/c.Quantity > most {
			best, most = c, c.Kg/c.Quantity
		}
	}
	return best, most
}
