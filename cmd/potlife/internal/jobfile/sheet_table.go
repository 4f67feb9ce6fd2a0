package jobfile

import (
	"cmp"
	"slices"

	"potlife/rooms"
	"potlife/takeoff"
)

type dataSheet = takeoff.DataSheet

// wait is a time of a data sheet.
func wait(key, doc string, at func(*dataSheet) *int) field[dataSheet] {
	return keep(key, doc, minutesForm, at)
}

// earliest is a time of a data sheet before which something must not be done. One
// of 0 is no wait, and not the same as one that is left out.
func earliest(key, doc string, at func(*dataSheet) *int) field[dataSheet] {
	return keep(key, doc+" (0min: at once)", zeroIsNone(minutesForm), at)
}

// curingFields say how waits grow in the cold, of a product or of the firm.
func curingFields[T any](otherwise string, at func(*T) *takeoff.Curing) []field[T] {
	return []field[T]{
		keep("cure_rule", "how waits grow below the reference temperature: "+list(takeoff.Rules())+" ("+otherwise+" if left out); none of them shortens a wait", word(takeoff.Rules()...), func(t *T) *string { return &at(t).Rule }),
		keep("activation_energy", "of the equivalent age after ASTM C1074, in kJ/mol (41.6 if left out)", amount(10, 200, "kJ/mol"), func(t *T) *float64 { return &at(t).ActivationKJ }),
		keep("doubles_every", "by how much it is colder when a wait doubles: 8 °C (14.4 °F) or 10 °C (18 °F) as makers print it (8 °C if left out)", stepForm, func(t *T) *float64 { return &at(t).DoublesEvery }),
		keep("datum", "temperature at which maturity after ASTM C1074 stops to grow (0 °C if left out)", celsiusForm, func(t *T) *float64 { return &at(t).Datum }),
	}
}

// checkCuring refuses figures of a rule that is not chosen, and a datum at which
// nothing ripens.
func checkCuring(r *reader, v *value, c takeoff.Curing, reference float64) {
	for _, f := range []struct {
		key   string
		rules []string
	}{{"activation_energy", []string{takeoff.RuleAge, ""}}, {"doubles_every", []string{takeoff.RuleDoubling}}, {"datum", []string{takeoff.RuleMaturity}}} {
		if in := v.get(f.key); in != nil && !slices.Contains(f.rules, c.Rule) {
			r.failf(in.place, "cure_rule: "+f.rules[0]+", or no "+f.key, "%s belongs to another rule than the one chosen", f.key)
		}
	}
	if c.Rule == takeoff.RuleMaturity && c.Datum >= cmp.Or(reference, 20) {
		r.fail(v.at("datum"), "nothing ripens at the reference temperature", "a datum below it, such as 0 °C or -10 °C")
	}
}

var sheetObject = object[dataSheet]{
	name: "sheet", doc: "a product's own figures; what is left out takes the trade's default, which names its source",
	fields: append([]field[dataSheet]{
		keep("per_m2", "consumption per m2 in the unit of the package (mortar at its trowel, membrane over all coats)", amount(0, 1000, "units per m2"), func(s *dataSheet) *float64 { return &s.PerM2 }),
		keep("per_m2_mm", "leveller in kg per m2 and mm of depth", amount(0, 100, "kg"), func(s *dataSheet) *float64 { return &s.PerMM }),
		keep("density", "grout in kg per litre of joint", amount(0, 10, "kg per litre"), func(s *dataSheet) *float64 { return &s.Density }),
		keep("water_per_kg", "litres of mix water per kg of powder", amount(0, 2, "litres"), func(s *dataSheet) *float64 { return &s.WaterPerKg }),
		wait("pot_life", "pot life at reference temperature", func(s *dataSheet) *int { return &s.PotMinutes }),
		wait("open_time", "open time on the wall at reference temperature", func(s *dataSheet) *int { return &s.OpenMinutes }),
		keep("ready_mixed", "ready-mixed: no water and no pot life", flagForm, func(s *dataSheet) *bool { return &s.ReadyMixed }),
		keep("resin", "a reaction resin such as epoxy: two parts, no water, slower to work", flagForm, func(s *dataSheet) *bool { return &s.Resin }),
		keep("portion", "how much of a package a mix takes: "+list(takeoff.Portions())+" (if left out as weighed, a whole or half one where less than a tenth is left of it; whole for a resin)", word(takeoff.Portions()...), func(s *dataSheet) *string { return &s.Portion }),
		keep("panel_width", "width of a board, or of a roll of sheet membrane, sold by the m2: what is needed is then cut from whole ones", zeroLength, func(s *dataSheet) *rooms.Length { return &s.PanelWidth }),
		keep("panel_length", "length of the board or roll", zeroLength, func(s *dataSheet) *rooms.Length { return &s.PanelLength }),
		keep("patch_cap", "largest area to be spread at once", areaForm, func(s *dataSheet) *float64 { return &s.PatchCapM2 }),
		earliest("grout_after", "grout not earlier than", func(s *dataSheet) *int { return &s.GroutAfter }),
		wait("grout_within", "grout not later than", func(s *dataSheet) *int { return &s.GroutWithin }),
		earliest("walk_after", "light traffic not earlier than", func(s *dataSheet) *int { return &s.WalkAfter }),
		earliest("seal_after", "of a grout: soft joints beside it sealed not earlier than", func(s *dataSheet) *int { return &s.SealAfter }),
		earliest("full_after", "full load not earlier than", func(s *dataSheet) *int { return &s.FullAfter }),
		earliest("wet_after", "wet use or flood test not earlier than", func(s *dataSheet) *int { return &s.WetAfter }),
		earliest("recoat_after", "next coat not earlier than", func(s *dataSheet) *int { return &s.RecoatAfter }),
		earliest("tile_after", "tile on it not earlier than", func(s *dataSheet) *int { return &s.TileAfter }),
		wait("recoat_within", "next coat not later than", func(s *dataSheet) *int { return &s.RecoatWithin }),
		wait("cover_within", "to be covered not later than", func(s *dataSheet) *int { return &s.CoverWithin }),
		keep("saw_dry", "of a mortar: how long a piece dries after the wet saw before it is set in it (the firm's if left out; 0min: not at all)", zeroIsNone(minutesForm), func(s *dataSheet) *int { return &s.SawDry }),
		keep("coats", "number of coats", whole(1, 10, "coats"), func(s *dataSheet) *int { return &s.Coats }),
		keep("carries", "of a board or a membrane: how many kg of tile and bed a m2 of it carries on a wall (the trade's figure for the ground if left out)", amount(0, 1000, "kg per m2"), func(s *dataSheet) *float64 { return &s.Carries }),
		keep("reference", "temperature at which the times hold", celsiusForm, func(s *dataSheet) *float64 { return &s.Reference }),
		keep("minimum", "lowest temperature at which it may be used; below it it does not cure either", celsiusForm, func(s *dataSheet) *float64 { return &s.MinCelsius }),
		keep("maximum", "highest temperature at which it may be used", celsiusForm, func(s *dataSheet) *float64 { return &s.MaxCelsius }),
		keep("shelf_days", "how long an unopened package keeps", whole(0, 10_000, "days"), func(s *dataSheet) *int { return &s.ShelfDays }),
		keep("source", "where the figures come from", textForm, func(s *dataSheet) *string { return &s.LimitsFrom }),
	}, curingFields("the firm's", func(s *dataSheet) *takeoff.Curing { return &s.Curing })...),
	check: func(r *reader, v *value, s *dataSheet) {
		checkCuring(r, v, s.Curing, s.Reference)
		for _, w := range []struct {
			key, leaves string
			minutes     int
		}{{"pot_life", "no time to use a mix", s.PotMinutes}, {"open_time", "no time to set tile", s.OpenMinutes}, {"recoat_within", "no time for the next coat", s.RecoatWithin}, {"cover_within", "no time to cover it", s.CoverWithin}} {
			if in := v.get(w.key); in != nil && in.kind == scalar && w.minutes == 0 && spanGiven(in.text) {
				r.failf(in.place, "the time of the data sheet, or nothing where it names none", "%s of 0 leaves %s", w.key, w.leaves)
			}
		}
		if s.CoverWithin > 0 && s.CoverWithin < max(s.TileAfter, s.RecoatAfter) {
			r.failf(v.at("cover_within"), "cover_within no shorter than tile_after and recoat_after", "it is to be covered within %s and not before %s", writeMinutes(s.CoverWithin), writeMinutes(max(s.TileAfter, s.RecoatAfter)))
		}
		if s.ReadyMixed && s.PotMinutes > 0 {
			r.fail(v.at("pot_life"), "a ready-mixed product has no pot life", "ready_mixed: false, or no pot_life")
		}
		if s.PotMinutes > 0 && s.OpenMinutes > s.PotMinutes {
			r.fail(v.at("open_time"), "the open time is longer than the pot life", "the two the other way round")
		}
		if s.MaxCelsius != 0 && s.MaxCelsius <= s.MinCelsius {
			r.fail(v.at("maximum"), "the highest temperature is not above the lowest", "the two the other way round")
		}
		if s.GroutWithin > 0 && s.GroutWithin < s.GroutAfter {
			r.fail(v.at("grout_within"), "the grout is due before it is allowed", "grout_within no shorter than grout_after")
		}
		if s.RecoatWithin > 0 && s.RecoatWithin < s.RecoatAfter {
			r.fail(v.at("recoat_within"), "the next coat is due before it is allowed", "recoat_within no shorter than recoat_after")
		}
	},
}
