// Package scheduler turns what takeoff counted into dated work: calendars,
// cures, rates, setting areas and mixes, the activity network and the day
// sheet. It is pure: now is an argument, and it never reads a clock.
package scheduler

import (
	"time"

	"potlife/rooms"
	"potlife/takeoff"
)

// Firm is what the firm owns and every job shares.
type Firm struct {
	Key, Name string
	// Zone is the firm's time zone.
	Zone *time.Location
	// Units is "metric" or "imperial": how lengths and weights are printed.
	Units string
	// Office hours by weekday, and the firm's working days and holidays.
	Office []rooms.DayHours
	Days   rooms.Days
	Crews  []Crew
	Travel []Travel
	// Tools are shared tools of which the firm has few; those not named are enough
	// for all.
	Tools []Tool
	// Special are the hours of everybody on single dates, where a crew has none of
	// its own for them.
	Special []DatedHours
	// Recipes change or add to the built-in sequences of activities.
	Recipes []Recipe
	// Patterns are the firm's own, beside those that ship.
	Patterns  []takeoff.Pattern
	Rates     Rates
	Catalogue takeoff.Catalogue
	// OutsideCorners closes outside corners where job, room and edge say nothing:
	// rooms.FillMitre, or the key of a trim; empty is nothing. It is taken when a job
	// is read.
	OutsideCorners string
	// IssueAt is the cron spec at which the next working day is issued, in Zone;
	// empty is "0 17 * * *".
	IssueAt string
	// Uncertainty of durations and breakage; its seed is that of Limits.
	Uncertainty Uncertainty
	// Limits of the plan; zero takes the default named at each field.
	Limits Limits
}

// OwnPatterns are the firm's patterns by name.
func (f *Firm) OwnPatterns() map[string]takeoff.Pattern {
	own := make(map[string]takeoff.Pattern, len(f.Patterns))
	for _, p := range f.Patterns {
		own[p.Name] = p
	}
	return own
}

// Crew works together and is at one site at a time.
type Crew struct {
	Key, Name        string
	Setters, Helpers int
	// People are those of them who have names: all setters, all helpers, both or none.
	People []Person
	// Hours are the weekly working hours, breaks left out (two intervals a day).
	Hours []rooms.DayHours
	// Off are absences and holidays of the crew, On dated extra days (with the
	// hours of the weekday they replace, Monday's where that has none).
	Off, On []rooms.Date
	// Special are hours of single dates: overtime, or an early finish.
	Special []DatedHours
	// Away are its people who are absent while the others work on.
	Away []Absence
	// Skills are the special work it may do (see Skills); none means all.
	Skills []string
	// LiftAid says that one person of it sets tile that two lift, with a frame or a
	// lifter.
	LiftAid bool
	Email   string
	// SetterRate and HelperRate are what an hour of one of them costs the firm; 0
	// is not given, and labour is then left out of costs.
	SetterRate, HelperRate takeoff.Money
}

// Travel is the way between two sites ("job/site" keys), either way, in minutes.
type Travel struct {
	From, To string
	Minutes  int
}

// Rates are minutes of work for one setter with one helper; zero fields take
// the defaults in DefaultRates, which name their sources.
type Rates struct {
	SetFloorPerM2, SetWallPerM2, SetMosaicPerM2 float64
	// Of tile with a face of LargeFace or more.
	SetLargeFloorPerM2, SetLargeWallPerM2    float64
	PerPiece, PerCutSnap, PerCutWet, PerHole float64
	// GroutPerM is of a metre of joint, over and above GroutPerM2; where only that
	// is given it is all that grouting takes.
	GroutPerM2, GroutPerM, SealPerM      float64
	PreparePerM2, LevelPerM2, PrimePerM2 float64
	BoardPerM2, MembranePerM2            float64
	FlattenPerM2, LayOutPerM2            float64
	FillTub, EmptyTub                    float64 // minutes of a room
	CleanPerM2, HandOver, CleanUp        float64
	// SingleSetter is the share of the pair's speed that one setter alone reaches.
	SingleSetter float64
	// Patterns multiply the time of setting, by family of pattern (see
	// takeoff.PatternFamily); one that is not named takes that of PatternFactors, or
	// 1.
	Patterns map[string]float64 `json:",omitempty"`
}

// Limits are the planner's own settings.
type Limits struct {
	// OpenSafety is the share of the open time that is planned (default 0.7),
	// PotSafety of the pot life (0.7).
	OpenSafety, PotSafety float64
	// RecoatSafety is the share of the time between the first and the last minute for
	// the next coat of a membrane in which that is planned, where it can be (0.75).
	RecoatSafety float64
	// AreaMinutes is the longest setting area. Where none is given 150 min are wanted, and
	// longer ones are planned where rooms are done sooner by them.
	AreaMinutes int
	// BucketKg is how many kg of powder or paste are mixed at once (default 20).
	BucketKg float64
	// LiftKg is the weight from which on two people lift a tile (default 12.5).
	LiftKg float64
	// FloodMinutes is how long the water of a flood test stands (default 24 h); local
	// code says how long.
	FloodMinutes int
	// SawDry is how many minutes a piece dries after the wet saw before it is set
	// (default 60), below 0 none; the tile's and the mortar's own sheets stand before it.
	SawDry int
	// Schedules is the solver's budget (default by the size of the plan), Seed
	// its generator's.
	Schedules int64
	Seed      uint64
	// AheadDays is how many days before their own cuts may be listed (default 1); what
	// is sawn wet goes to the crew's last day before, however far, so that it dries.
	AheadDays int
	// AcclimatiseDays lie between delivery and first use of tile (default 2), and
	// OpenDays, besides, of whatever is delivered (default 1): common practice;
	// negative is none.
	AcclimatiseDays, OpenDays int
	// Kerf is what the wet saw takes (default takeoff.DefaultKerf); SmallestOffcut
	// the shorter side of the smallest offcut worth keeping (DefaultSmallest); Taper
	// the most that a cut may run out and still be cut ahead (DefaultTaper).
	Kerf, SmallestOffcut, Taper rooms.Length
	// Sharing says how far offcuts are carried: "" through what is seen together,
	// takeoff.ShareRoom, takeoff.ShareSurface or takeoff.ShareLot.
	Sharing string
	// KeepOffcuts says that the crews keep what is left of cut tiles, so that later
	// plans cut from it.
	KeepOffcuts bool
	// Curing says how waits grow in the cold, where a product's sheet does not.
	Curing takeoff.Curing
}

// Recipe is a sequence of activity kinds for one kind of surface.
type Recipe struct {
	Key   string
	Steps []Step
	// Others are kinds of work that surfaces ask for and somebody else does: the
	// plan has no step for them (see Lacks).
	Others []string
}

// Step is one activity of a recipe.
type Step struct {
	Kind             string
	MinutesPerM2     float64
	Minutes          float64
	Setters, Helpers int
	// AfterMinutes is the cure before the next step, elapsed; WithinMinutes the
	// latest start of the next step, 0 none.
	AfterMinutes, WithinMinutes int
	// Product is what the step takes: of the kind its own work takes instead of the
	// catalogue's first, else taken off by its sheet for the step's surfaces.
	Product string
	// On names the surfaces of the step: OnWalls, OnFloors, OnWet, kinds or keys of
	// surfaces; none is all that ask for it.
	On []string
	// Skill and Tool are what the step asks for; Loud work keeps to the site's
	// hours for it.
	Skill, Tool string
	Loud        bool
}
