package jobfile

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"

	"potlife/rooms"
	"potlife/scheduler"
	"potlife/takeoff"
)

type firm = scheduler.Firm

// firmObject is the firm part of a file: what every job shares.
var firmObject = object[firm]{
	name: "firm",
	doc:  "what the firm owns and every job shares",
	start: func() firm {
		return firm{Units: "metric", Days: rooms.MondayToFriday()}
	},
	fields: []field[firm]{
		keep("key", "a short name, the same in every import", keyForm, func(f *firm) *string { return &f.Key }).needed(),
		keep("name", "the firm's name", textForm, func(f *firm) *string { return &f.Name }).needed(),
		keep("zone", "the time zone, such as Europe/Madrid", zoneForm, func(f *firm) **time.Location { return &f.Zone }).needed(),
		always("units", "metric or imperial: how lengths and weights are printed, and whether bare lengths are allowed", word("metric", "imperial"), func(f *firm) *string { return &f.Units }),
		keep("currency", "three letters, such as EUR", currencyForm, func(f *firm) *string { return &f.Catalogue.Currency }).needed(),
		keep("buyer", "who buys and where the yard is, as printed on orders", of(&buyerObject), func(f *firm) *takeoff.Buyer { return &f.Catalogue.Buyer }),
		keep("early_days", "how many days before its own delivery date goods may come so as to share a delivery (14); up to four times as many where holding them costs less than the freight it saves", daysForm, func(f *firm) *int { return &f.Catalogue.EarlyDays }),
		keep("hold_share", "what it costs to hold goods for a week before they are needed, as a share of their price (2 %)", shareForm, func(f *firm) *float64 { return &f.Catalogue.HoldShare }),
		always("days", "the firm's working weekdays (monday-friday if left out)", weekForm, func(f *firm) *[7]bool { return &f.Days.Week }),
		keep("holidays", "dates on which nobody works", datesForm, func(f *firm) *[]rooms.Date { return &f.Days.Off }),
		keep("extra_days", "dates with work of all crews and the office although the week says none, at the hours of that weekday or else Monday's", datesForm, func(f *firm) *[]rooms.Date { return &f.Days.On }),
		keep("office", "office hours by weekday (07:00-12:00 and 12:30-16:00 on working days if left out)", hoursForm, func(f *firm) *[]rooms.DayHours { return &f.Office }),
		keep("issue_at", "when the next working day is issued, as a cron line (0 17 * * * if left out)", issueForm, func(f *firm) *string { return &f.IssueAt }),
		keep("service_level", "the chance that spare tiles last, under 100 % (98 % if left out)", levelForm, func(f *firm) *float64 { return &f.Catalogue.ServiceLevel }),
		keep("flat_share", "flat waste percentages by pattern family, printed beside the exact figure", sharesForm, func(f *firm) *map[string]float64 { return &f.Catalogue.FlatShare }),
		keep("movement_joints", "standard by which soft joints are placed: "+list(takeoff.MovementStandards()), word(takeoff.MovementStandards()...), func(f *firm) *string { return &f.Catalogue.Movement }),
		keep("outside_corners", "what closes outside corners and the edges round niches where job, room and edge say nothing: mitre, or the key of a trim (nothing if left out); jobs take it when they are read", keyForm, func(f *firm) *string { return &f.OutsideCorners }),
		keep("limits", "the planner's own settings", of(&limitsObject), func(f *firm) *scheduler.Limits { return &f.Limits }),
		keep("rates", "minutes of work for a setter with a helper", of(&ratesObject), func(f *firm) *scheduler.Rates { return &f.Rates }),
		keep("uncertainty", "how far work departs from its plan, for likely dates and the chance of due dates", of(&uncertaintyObject), func(f *firm) *scheduler.Uncertainty { return &f.Uncertainty }),
		keep("crews", "the crews", listOf(of(&crewObject)), func(f *firm) *[]scheduler.Crew { return &f.Crews }).needed(),
		keep("travel", "minutes between sites, either way", listOf(of(&travelObject)), func(f *firm) *[]scheduler.Travel { return &f.Travel }),
		keep("tools", "tools that crews share, of which the firm has few, each with a piece of work from its beginning to its end: "+list(scheduler.Tools())+", or those a recipe's step names", listOf(of(&toolObject)), func(f *firm) *[]scheduler.Tool { return &f.Tools }),
		keep("dates", "hours of everybody on single dates, for an early finish: {2026-12-24: 07:00-12:00}; a crew's own go before them", datedForm, func(f *firm) *[]scheduler.DatedHours { return &f.Special }),
		keep("recipes", "sequences of activities beside the built-in ones", listOf(recipeForm), func(f *firm) *[]scheduler.Recipe { return &f.Recipes }),
		keep("patterns", "patterns of the firm's own beside those that ship", listOf(of(&patternObject)), func(f *firm) *[]takeoff.Pattern { return &f.Patterns }),
		keep("suppliers", "who sells what", listOf(of(&supplierObject)), func(f *firm) *[]takeoff.Supplier { return &f.Catalogue.Suppliers }),
		keep("tiles", "tile products", listOf(of(&tileObject)), func(f *firm) *[]takeoff.Tile { return &f.Catalogue.Tiles }),
		keep("products", "mortars, grouts, sealants and all else bought by the package", listOf(productForm), func(f *firm) *[]takeoff.Product { return &f.Catalogue.Products }),
		keep("lots", "tile in the yard or on offer, by lot", listOf(of(&lotObject)), func(f *firm) *[]takeoff.Lot { return &f.Catalogue.Lots }),
		keep("offcuts", "what was kept of tiles cut for jobs before, piece by piece", listOf(of(&offcutObject)), func(f *firm) *[]takeoff.YardOffcut { return &f.Catalogue.Offcuts }),
		keep("stock", "packages in the yard of products without lots", listOf(of(&stockObject)), func(f *firm) *[]takeoff.Stock { return &f.Catalogue.Stock }),
	},
	check: checkFirm,
}

// checkFirm fills the office hours and looks for keys that stand twice.
func checkFirm(r *reader, v *value, f *firm) {
	if k := f.OutsideCorners; k != "" && k != rooms.FillMitre && k != rooms.FillNothing && !slices.ContainsFunc(f.Catalogue.Products, func(p takeoff.Product) bool { return p.Key == k && p.Kind == takeoff.KindTrim }) {
		r.failf(v.at("outside_corners"), "mitre, nothing, or the key of a trim among the products", "%q is no trim", k)
	}
	if len(f.Office) == 0 {
		for d, works := range f.Days.Week {
			if works {
				f.Office = append(f.Office, rooms.DayHours{Weekday: d, Start: 7 * 60, End: 12 * 60}, rooms.DayHours{Weekday: d, Start: 12*60 + 30, End: 16 * 60})
			}
		}
	}
	if !f.Days.Any() {
		r.fail(v.at("days"), "the firm has no working days", "weekdays such as monday-friday")
	}
	checkBoth(r, v, "the firm", f.Days.Off, "holidays", f.Days.On, "extra_days")
	checkTrips(r, v.get("travel"))
	checkSkills(r, v, f)
	checkPatternRates(r, v, f)
	for _, key := range []string{"crews", "recipes", "suppliers", "tools", "offcuts"} {
		r.unique(key, v.get(key))
	}
	r.unique("tiles and products", v.get("tiles"), v.get("products"))
	if crews := v.get("crews"); crews != nil && crews.kind == sequence && len(crews.items) == 0 {
		r.fail(crews.place, "the firm has no crew", "at least one")
	}
	sold := map[string]bool{}
	if in := v.get("lots"); in != nil {
		for _, lot := range in.items {
			id := scalarText(lot.get("tile")) + " " + scalarText(lot.get("lot"))
			if sold[id] {
				r.failf(lot.at("lot"), "each lot of a tile once", "lot %s stands here a second time", id)
			}
			sold[id] = true
		}
	}
}

// checkPatternRates refuses factors of patterns that there are not: they would
// change nothing.
func checkPatternRates(r *reader, v *value, f *firm) {
	factors := v.get("rates").get("patterns")
	if factors == nil || factors.kind != mapping {
		return
	}
	for _, p := range factors.pairs {
		family := takeoff.PatternFamily(p.key)
		known := family == "offset"
		if !known {
			_, err := takeoff.PatternNamed(family, f.OwnPatterns())
			known = err == nil
		}
		switch {
		case !known:
			r.failf(p.value.place, "offset, or one of "+list(takeoff.PatternNames()), "there is no pattern %q", p.key)
		case family != p.key:
			r.failf(p.value.place, family, "%q goes by the factor of %s", p.key, family)
		}
	}
}

func scalarText(v *value) string {
	if v == nil || v.kind != scalar {
		return ""
	}
	return strings.TrimSpace(v.text)
}

// unique reports keys that stand twice in the lists.
func (r *reader) unique(what string, lists ...*value) {
	first := map[string]int{}
	for _, v := range lists {
		if v == nil {
			continue
		}
		for _, in := range v.items {
			key := scalarText(in.get("key"))
			if line, ok := first[key]; ok && key != "" {
				r.failf(in.at("key"), "a key of its own", "the key %q stands a second time in %s (first in line %d)", key, what, line)
			} else {
				first[key] = in.at("key").line
			}
		}
	}
}

// daysForm is a number of days of which 0 is kept apart from what is left out.
var daysForm = zeroIsNone(whole(0, 400, "days"))

// zeroIsNone keeps a 0 apart from what is left out: it is none, which the domain
// writes as -1.
func zeroIsNone[T int | float64](f form[T]) form[T] {
	return form[T]{schema: f.schema,
		read: func(r *reader, v *value) (T, bool) {
			n, ok := f.read(r, v)
			if ok && n == 0 {
				n = -1
			}
			return n, ok
		},
		write: func(n T) any { return f.write(max(0, n)) },
	}
}

var buyerObject = object[takeoff.Buyer]{
	name: "buyer", doc: "who buys, as printed on orders; the firm's name where none is given",
	fields: []field[takeoff.Buyer]{
		keep("name", "name of the buyer (the firm's if left out)", textForm, func(b *takeoff.Buyer) *string { return &b.Name }),
		keep("address", "postal address", textForm, func(b *takeoff.Buyer) *string { return &b.Address }),
		keep("phone", "telephone, for whoever delivers", textForm, func(b *takeoff.Buyer) *string { return &b.Phone }),
		keep("email", "where suppliers answer", emailForm, func(b *takeoff.Buyer) *string { return &b.Email }),
		keep("tax_number", "tax or VAT number", textForm, func(b *takeoff.Buyer) *string { return &b.TaxNumber }),
		keep("yard", "address of the yard (the buyer's if left out)", textForm, func(b *takeoff.Buyer) *string { return &b.Yard }),
	},
}

var zoneForm = single(func(s string) (*time.Location, error) {
	loc, err := time.LoadLocation(s)
	if err != nil || s == "" || s == "Local" {
		return nil, fmt.Errorf("%q is no time zone; expected a name such as Europe/Madrid or America/Chicago", s)
	}
	return loc, nil
}, func(l *time.Location) any { return l.String() }, ordered{{"type", "string"}})

var currencyPattern = regexp.MustCompile(`^[A-Z]{3}$`)

var currencyForm = single(func(s string) (string, error) {
	if !currencyPattern.MatchString(s) {
		return "", fmt.Errorf("%q is no currency; expected three capital letters such as EUR", s)
	}
	return s, nil
}, func(s string) any { return s }, ordered{{"type", "string"}, {"pattern", currencyPattern.String()}})

// factorsForm maps pattern families to factors.
var factorsForm = byPattern(amount(0.1, 10, "times"), "{herringbone: 1.5, diagonal: 1.25}")

// sharesForm maps pattern families to shares.
var sharesForm = byPattern(shareForm, "{straight: 10 %, herringbone: 15 %}")

// byPattern maps pattern families to values of a form.
func byPattern(of form[float64], want string) form[map[string]float64] {
	return form[map[string]float64]{
		read: func(r *reader, v *value) (map[string]float64, bool) {
			if v.kind != mapping {
				r.failf(v.place, want, "this is %s", v.kind)
				return nil, false
			}
			out := map[string]float64{}
			for _, p := range v.pairs {
				if f, ok := of.read(r, p.value); ok {
					out[p.key] = f
				}
			}
			return out, true
		},
		write: func(m map[string]float64) any {
			var out ordered
			for _, key := range sortedKeys(m) {
				out = append(out, entry{key, of.write(m[key])})
			}
			return out
		},
		schema: func(s *schemas) any {
			return ordered{{"type", "object"}, {"additionalProperties", of.schema(s)}}
		},
	}
}

type limits = scheduler.Limits

// shares are how far offcuts may be carried.
var shares = []string{takeoff.ShareRoom, takeoff.ShareSurface, takeoff.ShareLot}

var limitsObject = object[limits]{
	name: "limits", doc: "the planner's own settings; what is left out takes the default named",
	fields: append([]field[limits]{
		keep("open_safety", "share of the open time that is planned (0.7)", shareForm, func(l *limits) *float64 { return &l.OpenSafety }),
		keep("pot_safety", "share of the pot life that is planned (0.7)", shareForm, func(l *limits) *float64 { return &l.PotSafety }),
		keep("recoat_safety", "share of the time between the first and the last minute for the next coat of a membrane in which that is planned where it can be (0.75; 1: to the last minute)", shareForm, func(l *limits) *float64 { return &l.RecoatSafety }),
		keep("longest_area", "longest setting area (150min, and more where rooms are done sooner by it)", minutesForm, func(l *limits) *int { return &l.AreaMinutes }),
		keep("bucket", "how much powder or paste is mixed at once (20 kg)", weightForm, func(l *limits) *float64 { return &l.BucketKg }),
		keep("lift_weight", "weight from which on two people lift a tile (12.5 kg: half of what guidance sets for one person at the waist)", weightForm, func(l *limits) *float64 { return &l.LiftKg }),
		keep("flood_test", "how long the water of a flood test stands (24h); local code says how long", minutesForm, func(l *limits) *int { return &l.FloodMinutes }),
		keep("saw_dry", "how long a piece dries after the wet saw before it is set (60min; 0min: not at all)", zeroIsNone(minutesForm), func(l *limits) *int { return &l.SawDry }),
		keep("schedules", "how many schedules are tried (2000)", form64(whole(1, 10_000_000, "schedules")), func(l *limits) *int64 { return &l.Schedules }),
		keep("seed", "seed of the search", formSeed(whole(0, 1<<31-1, "a seed")), func(l *limits) *uint64 { return &l.Seed }),
		keep("cut_ahead_days", "how many days before their own cuts may be listed (1); what is sawn wet stands on the crew's last sheet before, however far, so that it dries", whole(0, 30, "days"), func(l *limits) *int { return &l.AheadDays }),
		keep("acclimatise_days", "days tile lies on site before its first use, so as to take up the room's temperature (2)", daysForm, func(l *limits) *int { return &l.AcclimatiseDays }),
		keep("open_days", "days to open and check what was delivered, tile and all else (1)", daysForm, func(l *limits) *int { return &l.OpenDays }),
		keep("kerf", "what the wet saw's blade takes (1.6 mm)", gapLength, func(l *limits) *rooms.Length { return &l.Kerf }),
		keep("longest_taper", "how much a cut may differ between its two ends and still be cut ahead with both sizes (10 mm)", gapLength, func(l *limits) *rooms.Length { return &l.Taper }),
		keep("smallest_offcut", "shorter side of the smallest offcut worth keeping (30 mm)", zeroLength, func(l *limits) *rooms.Length { return &l.SmallestOffcut }),
		keep("share_offcuts", "how far an offcut is carried: "+list(shares)+"; through what is seen together if left out", word(shares...), func(l *limits) *string { return &l.Sharing }),
		keep("keep_offcuts", "yes: the crews keep what is left of cut tiles, and later plans cut from it first", flagForm, func(l *limits) *bool { return &l.KeepOffcuts }),
	}, curingFields(takeoff.RuleAge, func(l *limits) *takeoff.Curing { return &l.Curing })...),
	check: func(r *reader, v *value, l *limits) { checkCuring(r, v, l.Curing, 0) },
}

func form64(f form[int]) form[int64] {
	return form[int64]{schema: f.schema, write: func(n int64) any { return f.write(int(n)) },
		read: func(r *reader, v *value) (int64, bool) { n, ok := f.read(r, v); return int64(n), ok }}
}

func formSeed(f form[int]) form[uint64] {
	return form[uint64]{schema: f.schema, write: func(n uint64) any { return f.write(int(n)) },
		read: func(r *reader, v *value) (uint64, bool) { n, ok := f.read(r, v); return uint64(n), ok }}
}

type rates = scheduler.Rates

// rate is a field of minutes per something.
func rate(key, doc string, at func(*rates) *float64) field[rates] {
	return keep(key, doc, amount(0, 10_000, "minutes"), at)
}

var ratesObject = object[rates]{
	name: "rates", doc: "minutes of work for one setter with one helper; what is left out takes the trade's default",
	fields: []field[rates]{
		rate("set_floor_per_m2", "minutes per m2 of floor", func(r *rates) *float64 { return &r.SetFloorPerM2 }),
		rate("set_wall_per_m2", "minutes per m2 of wall", func(r *rates) *float64 { return &r.SetWallPerM2 }),
		rate("set_large_floor_per_m2", "minutes per m2 of floor of tile from 600 x 1200 mm on (50)", func(r *rates) *float64 { return &r.SetLargeFloorPerM2 }),
		rate("set_large_wall_per_m2", "minutes per m2 of wall of such tile (65)", func(r *rates) *float64 { return &r.SetLargeWallPerM2 }),
		rate("set_mosaic_per_m2", "minutes per m2 of mosaic", func(r *rates) *float64 { return &r.SetMosaicPerM2 }),
		rate("per_piece", "minutes per piece", func(r *rates) *float64 { return &r.PerPiece }),
		rate("per_cut_snap", "minutes per cut by score and snap", func(r *rates) *float64 { return &r.PerCutSnap }),
		rate("per_cut_wet", "minutes per cut on the wet saw", func(r *rates) *float64 { return &r.PerCutWet }),
		rate("per_hole", "minutes per hole", func(r *rates) *float64 { return &r.PerHole }),
		rate("grout_per_m", "minutes per m of joint that is grouted, beside those per m2 (0.3; none where only grout_per_m2 is given)", func(r *rates) *float64 { return &r.GroutPerM }),
		rate("grout_per_m2", "minutes per m2 of grouting (6)", func(r *rates) *float64 { return &r.GroutPerM2 }),
		rate("seal_per_m", "minutes per m of sealant", func(r *rates) *float64 { return &r.SealPerM }),
		rate("prepare_per_m2", "minutes per m2 of preparation", func(r *rates) *float64 { return &r.PreparePerM2 }),
		rate("level_per_m2", "minutes per m2 of levelling", func(r *rates) *float64 { return &r.LevelPerM2 }),
		rate("prime_per_m2", "minutes per m2 of priming", func(r *rates) *float64 { return &r.PrimePerM2 }),
		rate("board_per_m2", "minutes per m2 of boarding", func(r *rates) *float64 { return &r.BoardPerM2 }),
		rate("membrane_per_m2", "minutes per m2 and coat of membrane", func(r *rates) *float64 { return &r.MembranePerM2 }),
		rate("flatten_per_m2", "minutes per m2 of grinding and filling the ground under large tile", func(r *rates) *float64 { return &r.FlattenPerM2 }),
		rate("lay_out_per_m2", "minutes per m2 of setting out level and plumb lines", func(r *rates) *float64 { return &r.LayOutPerM2 }),
		rate("fill_tub", "minutes to fill a tub before its joint is sealed", func(r *rates) *float64 { return &r.FillTub }),
		rate("empty_tub", "minutes to empty it when the sealant has cured", func(r *rates) *float64 { return &r.EmptyTub }),
		rate("clean_per_m2", "minutes per m2 of cleaning", func(r *rates) *float64 { return &r.CleanPerM2 }),
		rate("hand_over", "minutes to hand a room over", func(r *rates) *float64 { return &r.HandOver }),
		rate("clean_up", "minutes to clean up at the end of a shift", func(r *rates) *float64 { return &r.CleanUp }),
		keep("patterns", "how much longer than a straight pattern setting takes, by pattern: {herringbone: 1.5, diagonal: 1.25, offset: 1.05}; those left out take the trade's default", factorsForm, func(r *rates) *map[string]float64 { return &r.Patterns }),
		keep("single_setter", "share of the pair's speed that a setter alone reaches", shareForm, func(r *rates) *float64 { return &r.SingleSetter }),
	},
}

type uncertainty = scheduler.Uncertainty

var uncertaintyObject = object[uncertainty]{
	name: "uncertainty", doc: "how far work departs from its plan; what is left out takes the default named (common practice)",
	fields: []field[uncertainty]{
		keep("least", "the least that work takes of its planned time (0.85); the planned time is the likeliest", amount(0.1, 1, "times"), func(u *uncertainty) *float64 { return &u.Least }),
		keep("most", "the most that it takes (1.6)", amount(1, 10, "times"), func(u *uncertainty) *float64 { return &u.Most }),
		keep("break_chance", "the chance that a cut piece breaks and is cut again, where its tile names none (3 %; 0 %: none breaks)", zeroIsNone(shareForm), func(u *uncertainty) *float64 { return &u.BreakChance }),
		keep("recut", "how long cutting a broken piece again takes, with measuring and fetching (4min)", zeroIsNone(minutesForm), func(u *uncertainty) *int { return &u.RecutMinutes }),
		keep("overrun", "how long a crew stays past its hours rather than leave work unfinished (30min; 0min: not at all)", zeroIsNone(minutesForm), func(u *uncertainty) *int { return &u.OverrunMinutes }),
		keep("runs", "how many runs are simulated (200, fewer for a large plan; at most as many as date 20 million activities)", whole(1, 10_000, "runs"), func(u *uncertainty) *int { return &u.Runs }),
	},
}

type crew = scheduler.Crew

var crewObject = object[crew]{
	name: "crew", doc: "people who work together and are at one site at a time",
	fields: []field[crew]{
		keep("key", "the crew's key", keyForm, func(c *crew) *string { return &c.Key }).needed(),
		keep("name", "the crew's name", textForm, func(c *crew) *string { return &c.Name }),
		keep("setters", "how many set tile", whole(1, 50, "setters"), func(c *crew) *int { return &c.Setters }).needed(),
		keep("helpers", "how many mix, cut and carry", whole(0, 50, "helpers"), func(c *crew) *int { return &c.Helpers }),
		keep("people", "their names, of all setters, of all helpers or of both, with their paces: [{name: Ida}, {name: Jon, pace: 1.25}, {name: Tom, helper: yes, hours: {monday-wednesday: 07:00-12:00}}]; the plan then goes by who is there, and reports may say who did the work", listOf(of(&personObject)), func(c *crew) *[]person { return &c.People }),
		keep("hours", "working hours by weekday, breaks left out: {monday-friday: [07:00-12:00, 12:30-16:00]}", hoursForm, func(c *crew) *[]rooms.DayHours { return &c.Hours }).needed(),
		keep("off", "absences and holidays", datesForm, func(c *crew) *[]rooms.Date { return &c.Off }),
		keep("on", "extra working dates", datesForm, func(c *crew) *[]rooms.Date { return &c.On }),
		keep("dates", "hours of single dates instead of the week's, for overtime or an early finish: {2026-12-19: [07:00-12:00, 12:30-18:00]}", datedForm, func(c *crew) *[]scheduler.DatedHours { return &c.Special }),
		keep("away", "people who are absent while the others work on", listOf(of(&absenceObject)), func(c *crew) *[]scheduler.Absence { return &c.Away }),
		keep("skills", "special work the crew may do: "+list(scheduler.Skills())+", or what a recipe's step names; all if left out", listOf(textForm), func(c *crew) *[]string { return &c.Skills }),
		keep("lift_aid", "yes: one person of it sets tile that two lift, with a frame or a lifter", flagForm, func(c *crew) *bool { return &c.LiftAid }),
		keep("setter_rate", "what an hour of one setter costs the firm", moneyForm, func(c *crew) *takeoff.Money { return &c.SetterRate }),
		keep("helper_rate", "what an hour of one helper costs the firm", moneyForm, func(c *crew) *takeoff.Money { return &c.HelperRate }),
		keep("email", "where the day sheet goes", emailForm, func(c *crew) *string { return &c.Email }),
	},
	check: func(r *reader, v *value, c *crew) {
		if hours := v.get("hours"); hours != nil && len(c.Hours) == 0 && !r.told(hours) {
			r.failf(hours.place, "working hours such as {monday-friday: [07:00-12:00, 12:30-16:00]}", "crew %s has no hours", c.Key)
		}
		checkCrewWorks(r, v, *c)
		checkPeople(r, v, c)
		checkOwnHours(r, v, *c)
		checkAway(r, v, c)
		checkBoth(r, v, "crew "+c.Key, c.Off, "off", c.On, "on")
		checkBoth(r, v, "crew "+c.Key, c.Off, "off", datesOf(c.Special), "dates")
	},
}

var emailForm = single(func(s string) (string, error) {
	name, host, ok := strings.Cut(s, "@")
	if !ok || name == "" || host == "" || strings.ContainsAny(s, " ,;<>\"\n\r") || strings.Contains(host, "@") {
		return "", fmt.Errorf("%q is no e-mail address; expected one such as office@example.com", s)
	}
	return s, nil
}, func(s string) any { return s }, ordered{{"type", "string"}})

type travel = scheduler.Travel

var travelObject = object[travel]{
	name: "travel", doc: "the way between two sites, either way",
	fields: []field[travel]{
		keep("from", "a site as job/site", sitePath, func(t *travel) *string { return &t.From }).needed(),
		keep("to", "another site as job/site", sitePath, func(t *travel) *string { return &t.To }).needed(),
		keep("time", "how long it takes, such as 25min", minutesForm, func(t *travel) *int { return &t.Minutes }).needed(),
	},
	check: func(r *reader, v *value, t *travel) {
		for _, key := range []string{"from", "to"} {
			at, site := v.at(key), scalarText(v.get(key))
			r.later = append(r.later, func(c *catalog) { c.site(r, at, site) })
		}
	},
}

var sitePath = single(func(s string) (string, error) {
	job, site, ok := strings.Cut(s, "/")
	if !ok || !keyPattern.MatchString(job) || !keyPattern.MatchString(site) {
		return "", fmt.Errorf("%q names no site; expected job/site by their keys", s)
	}
	return s, nil
}, func(s string) any { return s }, ordered{{"type", "string"}, {"pattern", "^[^/]+/[^/]+$"}})
