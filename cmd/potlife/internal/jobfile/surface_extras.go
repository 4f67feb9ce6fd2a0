package jobfile

import (
	"fmt"
	"strconv"

	"potlife/rooms"
)

// measureKinds are the measures that are taken across a surface.
var measureKinds = []string{rooms.WidthAt, rooms.HeightAt, rooms.Diagonal, rooms.Diagonal2, rooms.LengthOf, rooms.Plumb, rooms.Square}

// checkObject is a measure across a surface.
var checkObject = object[rooms.Check]{
	name: "measure", doc: "a measure across the surface. Widths and heights of a rectangle make it as wide and high as they say, where its sides were not read themselves; all else is held against what the readings give, and what contradicts them is to be taken again",
	fields: []field[rooms.Check]{
		keep("kind", "width (level), height (upright), diagonal (first corner to third), diagonal 2-4, length (of a side), plumb (of an upright side), or 3-4-5 (square of a corner)", word(measureKinds...), func(c *rooms.Check) *string { return &c.Kind }).needed(),
		keep("at", "a width's height above the foot, a height's distance from the left, a 3-4-5's leg along its side", zeroLength, func(c *rooms.Check) *rooms.Length { return &c.At }),
		keep("edge", "the side, by name or number: of a length or plumb line; a 3-4-5 is measured at the corner where it begins", sideForm, func(c *rooms.Check) *int { return &c.Edge }),
		keep("leg", "a 3-4-5's other leg, along the side before", sideLength, func(c *rooms.Check) *rooms.Length { return &c.Leg }),
		always("value", "what the tape reads; of a plumb line, how far the head lies outside (+) or inside (-) over the foot", anyLength, func(c *rooms.Check) *rooms.Length { return &c.Value }).needed(),
	},
	check: checkMeasure,
}

func checkMeasure(r *reader, v *value, c *rooms.Check) {
	switch {
	case c.Kind == "" || v.get("value") == nil: // reported already
	case c.Kind != rooms.Plumb && c.Value <= 0:
		r.failf(v.at("value"), "more than 0", "a %s of %s", c.Kind, r.say(c.Value))
	case c.Kind == rooms.Square && (c.At <= 0 || c.Leg <= 0):
		r.fail(v.place, "a 3-4-5 without its legs", "at (the leg along the side) and leg (along the side before), such as at: 900, leg: 1200, value: 1500")
	case c.Kind != rooms.Square && v.get("leg") != nil:
		r.failf(v.at("leg"), "a leg with kind: 3-4-5 only", "a %s has no leg", c.Kind)
	}
}

// sideForm is a side by its name on a rectangle or by its number.
var sideForm = single(func(s string) (int, error) {
	i, ok := sideIndex(s, maxPoints, true)
	if !ok {
		return 0, fmt.Errorf("%q is no side; expected bottom, right, top, left, or the number of a side from 0", s)
	}
	return i, nil
}, func(i int) any { return raw(strconv.Itoa(i)) }, ordered{{"type", []any{"string", "integer"}}})

// softJointObject is a movement joint given by the user.
var softJointObject = object[rooms.SoftJoint]{
	name: "soft_joint", doc: "a straight soft joint that goes through the tile, over a structural, construction or saw-cut joint below",
	fields: []field[rooms.SoftJoint]{
		keep("name", "what it lies over", textForm, func(s *rooms.SoftJoint) *string { return &s.Name }),
		keep("from", "one end [x, y]", pointForm, func(s *rooms.SoftJoint) *rooms.Point { return &s.A }),
		always("to", "the other end [x, y]", pointForm, func(s *rooms.SoftJoint) *rooms.Point { return &s.B }).needed(),
		keep("width", "width", length(rooms.Millimetre, 100*rooms.Millimetre), func(s *rooms.SoftJoint) *rooms.Length { return &s.Width }).needed(),
	},
	check: func(r *reader, v *value, s *rooms.SoftJoint) {
		if v.get("to") != nil && s.A == s.B {
			r.fail(v.at("to"), "the soft joint has no length", "two different ends, from ([0, 0] if left out) and to")
		}
	},
}

var fallKinds = []string{rooms.OneFall, rooms.TwoFalls, rooms.ToPoint, rooms.ToLine}

// fallsObject is how a floor falls to its drain.
var fallsObject = object[rooms.Falls]{
	name: "falls", doc: "how a floor falls to its drain, in planes that meet in folds",
	fields: []field[rooms.Falls]{
		keep("kind", "one of "+list(fallKinds), word(fallKinds...), func(f *rooms.Falls) *string { return &f.Kind }).needed(),
		keep("at", "the drain [x, y] (left out for a corner shower that falls to a point: its middle); one end of a line drain, or of the fold of two planes", pointForm, func(f *rooms.Falls) *rooms.Point { return &f.A }),
		keep("to", "the other end [x, y]", pointForm, func(f *rooms.Falls) *rooms.Point { return &f.B }),
		keep("slope", "in thousandths: 20 is 2 %, 1/4 in a foot is 21", whole(1, 200, "thousandths"), func(f *rooms.Falls) *int { return &f.PerMille }),
		keep("cut", "tiles are cut along the folds, as an envelope is folded, and laid from one place so that joints meet there (otherwise a small tile turns them)", flagForm, func(f *rooms.Falls) *bool { return &f.Cut }),
	},
}

// checkFalls refuses falls that do not divide the floor.
func (e extras) checkFalls(r *reader, v *value, out *rooms.Surface) {
	if e.falls == nil {
		return
	}
	if !rooms.Flat(out.Kind) {
		r.failf(v.at("falls"), "a floor or a shower floor", "%s is a %s and does not fall", out.Key, out.Kind)
		return
	}
	if _, err := e.falls.Planes(out.Outline); err != nil {
		r.fail(v.at("falls"), err.Error(), "a drain or a fold from which each plane reaches its edge")
	}
}

// baseObject is new ground under a surface.
var baseObject = object[rooms.Base]{
	name: "base", doc: "new ground that dries before it is primed, levelled, sealed or tiled",
	fields: []field[rooms.Base]{
		keep("kind", "one of "+list(rooms.BaseKinds()), word(rooms.BaseKinds()...), func(b *rooms.Base) *string { return &b.Kind }).needed(),
		keep("laid", "the day on which it was laid", dateForm, func(b *rooms.Base) *rooms.Date { return &b.Laid }).needed(),
		keep("depth", "how thick a screed is", length(rooms.Millimetre, rooms.Metre), func(b *rooms.Base) *rooms.Length { return &b.Depth }),
		keep("dry_days", "days it dries by its own sheet (by kind and depth if left out)", whole(1, 1000, "days"), func(b *rooms.Base) *int { return &b.DryDays }),
		keep("tested", "the day on which a moisture test released it", dateForm, func(b *rooms.Base) *rooms.Date { return &b.Tested }),
	},
	check: func(r *reader, v *value, b *rooms.Base) {
		if screed := b.Kind == rooms.CalciumSulfate || b.Kind == rooms.CementScreed; screed && b.Depth == 0 && b.DryDays == 0 && b.Tested.IsZero() {
			r.failf(v.place, "depth, or dry_days, or the day on which it was tested", "how long a %s dries depends on its depth", b.Kind)
		}
		if !b.Tested.IsZero() && b.Tested.Before(b.Laid) {
			r.fail(v.at("tested"), "tested before it was laid", "a day after laid")
		}
	},
}

// waiverObject sets findings aside.
var waiverObject = object[rooms.Waiver]{
	name: "waiver", doc: "sets the findings of one rule on this surface aside, for a reason that stays on record",
	fields: []field[rooms.Waiver]{
		keep("rule", "the rule as the finding names it", textForm, func(w *rooms.Waiver) *string { return &w.Rule }).needed(),
		keep("why", "the reason", textForm, func(w *rooms.Waiver) *string { return &w.Why }).needed(),
	},
}

// extras are what is rarely said about a surface.
type extras struct {
	checks     []rooms.Check
	softJoints []rooms.SoftJoint
	limit      rooms.Length
	sunny      *bool
	outside    *bool
	suspended  *bool
	falls      *rooms.Falls
	base       *rooms.Base
	leftOut    []leftOut
	waivers    []rooms.Waiver
}

var extraFields = []field[surface]{
	keep("measures", "measures across the surface: widths, heights, diagonals", listOf(of(&checkObject)), func(s *surface) *[]rooms.Check { return &s.extras.checks }),
	keep("soft_joints", "soft joints over joints in the ground", listOf(of(&softJointObject)), func(s *surface) *[]rooms.SoftJoint { return &s.extras.softJoints }),
	keep("movement_limit", "longest run without a soft joint (the trade's by place if left out)", length(rooms.Metre, rooms.MaxSide), func(s *surface) *rooms.Length { return &s.extras.limit }),
	keep("sunny", "in direct sun or over heating", maybe(flagForm), func(s *surface) **bool { return &s.extras.sunny }),
	keep("outside", "in the weather", maybe(flagForm), func(s *surface) **bool { return &s.extras.outside }),
	keep("suspended", "a floor on a slab or joists above another storey", maybe(flagForm), func(s *surface) **bool { return &s.extras.suspended }),
	keep("falls", "how the floor falls to its drain", maybe(of(&fallsObject)), func(s *surface) **rooms.Falls { return &s.extras.falls }),
	keep("base", "new ground that dries before it is worked on", maybe(of(&baseObject)), func(s *surface) **rooms.Base { return &s.extras.base }),
	keep("leave_out", "pieces that are set after the field, on purpose: at an opening, or in a walking lane", listOf(of(&leftOutObject)), func(s *surface) *[]leftOut { return &s.extras.leftOut }),
	keep("waivers", "findings set aside, with the reason", listOf(of(&waiverObject)), func(s *surface) *[]rooms.Waiver { return &s.extras.waivers }),
}

// over fills what e leaves out from base; lists are joined.
func (e extras) over(base extras) extras {
	e.checks = append(append([]rooms.Check(nil), base.checks...), e.checks...)
	e.softJoints = append(append([]rooms.SoftJoint(nil), base.softJoints...), e.softJoints...)
	e.leftOut = append(append([]leftOut(nil), base.leftOut...), e.leftOut...)
	e.waivers = append(append([]rooms.Waiver(nil), base.waivers...), e.waivers...)
	if e.limit == 0 {
		e.limit = base.limit
	}
	e.sunny, e.outside, e.suspended = first(e.sunny, base.sunny), first(e.outside, base.outside), first(e.suspended, base.suspended)
	e.falls, e.base = first(e.falls, base.falls), first(e.base, base.base)
	return e
}

// into sets what the domain keeps.
func (e extras) into(out *rooms.Surface) {
	out.Checks, out.SoftJoints, out.Waivers = e.checks, e.softJoints, e.waivers
	out.MovementLimit, out.Sunny = e.limit, valueOr(e.sunny, false)
	out.Outside, out.Suspended = valueOr(e.outside, false), valueOr(e.suspended, false)
	out.Falls, out.Base = e.falls, e.base
}

// writeExtras is the way back.
func writeExtras(s rooms.Surface) extras {
	e := extras{checks: s.Checks, softJoints: s.SoftJoints, limit: s.MovementLimit, leftOut: writeLeftOut(s.LeftOut), waivers: s.Waivers, falls: s.Falls, base: s.Base}
	if s.Sunny {
		e.sunny = &s.Sunny
	}
	if s.Outside {
		e.outside = &s.Outside
	}
	if s.Suspended {
		e.suspended = &s.Suspended
	}
	return e
}
