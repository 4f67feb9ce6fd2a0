package scheduler

import "strings"

// filled returns the limits with defaults for what is zero.
func (l Limits) filled() Limits {
	if l.OpenSafety <= 0 || l.OpenSafety > 1 {
		l.OpenSafety = 0.7
	}
	if l.PotSafety <= 0 || l.PotSafety > 1 {
		l.PotSafety = 0.7
	}
	if l.RecoatSafety <= 0 || l.RecoatSafety > 1 {
		l.RecoatSafety = defaultRecoatSafety
	}
	if l.AreaMinutes <= 0 {
		l.AreaMinutes = 150
	}
	if l.BucketKg <= 0 {
		l.BucketKg = defaultBucket
	}
	if l.LiftKg <= 0 {
		l.LiftKg = defaultLiftKg
	}
	if l.FloodMinutes <= 0 {
		l.FloodMinutes = floodMinutes
	}
	if l.SawDry == 0 {
		l.SawDry = defaultSawDry
	}
	if l.Seed == 0 {
		l.Seed = 1
	}
	if l.AheadDays <= 0 {
		l.AheadDays = 1
	}
	if l.AcclimatiseDays == 0 {
		l.AcclimatiseDays = 2
	}
	if l.OpenDays == 0 {
		l.OpenDays = 1
	}
	return l
}

// Defaults of a data sheet that gives no figure. Sources are named at each;
// the product's own sheet overrides them.
const (
	defaultOpen        = 20      // min: open time on the wall most sheets print for normal mortar
	defaultPot         = 120     // min: low end of the 2–4 h that sheets of normal mortar print
	defaultResinPot    = 45      // min: low end of 45–80 min at 21 °C for epoxy, from memory
	defaultGroutPot    = 60      // min: low end of 1–2 h on a cement grout's sheet
	defaultGroutAfter  = 24 * 60 // min: 24–48 h before grouting on a cement mortar's sheet
	defaultWalkAfter   = 24 * 60 // min: light foot traffic on a C2TE sheet
	defaultGroutWet    = 48 * 60 // min: wet use of cement grout, 48–72 h in general articles
	defaultGroutDry    = 24 * 60 // min: grout dry before it is sealed (after A108.01 §3.7.4.1), common practice
	defaultGroutWalk   = 24 * 60 // min: light traffic on grouted floors, as on the tile; a fast grout's sheet prints 4 h
	defaultSealWet     = 24 * 60 // min: sealant skinned and firm, common practice
	defaultRecoat      = 90      // min: second coat 1–1.5 h after the first on a liquid membrane
	defaultMembraneDry = 24 * 60 // min: membrane before tiling, common practice
	defaultPrimerDry   = 120     // min: 1–3 h typical
	defaultFlatDry     = 4 * 60  // min: filled spots, as a rapid leveller before tile: 4–6 h
	defaultFlatLeast   = 5.0     // °C: below it no filler is used; makers' sheets of cement products, 4 to 10 °C
	defaultLevelWalk   = 4 * 60  // min: walk on a leveller after 2–4 h
	defaultLevelTile   = 24 * 60 // min: tile a standard leveller after 12–24 h
	floodMinutes       = 24 * 60 // min: the usual flood test; local code says which
	defaultBucket      = 20.0    // kg of powder in one bucket, common practice
)

func firstWord(s string) string {
	if f := strings.Fields(s); len(f) > 0 {
		return f[0]
	}
	return ""
}
