package scheduler

import (
	"fmt"
	"slices"

	"potlife/rooms"
	"potlife/takeoff"
)

// Two people lift a tile from this weight on (common practice: half of the 25 kg
// that guidance sets for one person at the waist, and under the 23 kg of NIOSH's
// load constant, which holds under ideal conditions only), or from this length on
// where its face is this large: it bends (common practice).
const (
	defaultLiftKg = 12.5
	liftSide      = 1000 * rooms.Millimetre
	liftFace      = 0.5 // m²
)

// tonsPerM3 is the weight of tile whose box does not say: 2.0 to 2.25 t/m³ follow
// from makers' figures a m², 2.3 is on the safe side.
const tonsPerM3 = 2.3

// tileKg is the weight of one tile.
func tileKg(t *takeoff.Tile) float64 {
	if t.BoxKg > 0 {
		return t.BoxKg / float64(max(1, t.PerBox))
	}
	return float64(faceM2(*t)*t.Thickness.Millimetres()) * tonsPerM3
}

// heavy reports whether a tile is too heavy or too large for one person.
func heavy(t *takeoff.Tile, limitKg float64) bool {
	lo, hi := bounds(t.Shape)
	return tileKg(t) >= limitKg || max(hi.X-lo.X, hi.Y-lo.Y) >= liftSide && faceM2(*t) >= liftFace
}

func (w *works) heavy(key string) bool {
	t := w.tiles[key]
	return heavy(&t, w.limits.LiftKg)
}

// heavyOf is a tile among the items that takes two people, or "".
func (w *works) heavyOf(items []*item) string {
	last := ""
	for _, it := range items {
		if k := it.piece.Tile; k != last && w.heavy(k) {
			return k
		}
		last = it.piece.Tile
	}
	return ""
}

// lift sends a second person where a tile is too heavy or large for one, and says
// so. A crew that is short of the second one for a time waits for that person; one
// that has none is not sent where another crew of the firm can be.
func (b *builder) lift(t *task, a *areaPlan) {
	key := b.heavyOf(a.items)
	if key == "" {
		return
	}
	room := max(b.r.people, 1)
	if alone := t.gang.setters+t.gang.helpers < 2; alone && room > 1 {
		if b.crew.Helpers > 0 {
			t.gang.helpers = 1
		} else if b.crew.Setters > 1 {
			t.gang.setters = 2
		}
	}
	what := b.liftWords(key)
	switch alone := t.gang.setters+t.gang.helpers < 2; {
	case !alone:
		t.notes = append(t.notes, "Two people lift "+what+".")
	case b.crew.LiftAid:
		t.notes = append(t.notes, "Set "+what+" with the lifting aid.")
	default:
		t.notes = append(t.notes, "One person is planned for what two lift: "+what+". Have a second one or a lifting aid there.")
		t.lifts = key
		if room > 1 {
			b.refuseLift(key)
		}
	}
}

// refuseLift keeps a crew of one out of a room with tile that two lift, where its
// others are only away or another crew of the firm has two.
func (b *builder) refuseLift(key string) {
	whole := b.crews[b.crew.Key]
	if whole.Setters+whole.Helpers > 1 {
		b.fail(fmt.Errorf("%s: two people lift %s, and of %s one is there", b.called.room(b.r.key), b.liftWords(key), b.called.crew(b.crew.Key)))
		return
	}
	pair := slices.IndexFunc(b.firm.Crews, func(c Crew) bool { return c.Setters+c.Helpers > 1 || c.LiftAid })
	if pair >= 0 && b.r.room.Crew == "" {
		b.fail(fmt.Errorf("%s: two people lift %s, and %s has one: name another crew for the room, such as %s, or this one if it is to do it all the same",
			b.called.room(b.r.key), b.liftWords(key), b.called.crew(b.crew.Key), b.called.crew(b.firm.Crews[pair].Key)))
	}
}

// liftWords names a tile with its length and weight.
func (w *works) liftWords(key string) string {
	t := w.tiles[key]
	lo, hi := bounds(t.Shape)
	return fmt.Sprintf("%s (%.0f mm long, about %.0f kg)", w.called.product(key), max(hi.X-lo.X, hi.Y-lo.Y).Millimetres(), tileKg(&t))
}

// lifting says in which rooms one person is planned for what two lift.
func (m *maker) lifting(p *Plan) {
	told := map[string]bool{}
	for _, t := range m.choice.net.tasks {
		if t.lifts == "" || t.fixed != nil || told[t.room.key] {
			continue
		}
		told[t.room.key] = true
		reason := m.works.called.crew(t.crew) + " has one person"
		if max(t.room.people, 1) < 2 {
			reason = "the room holds one person"
		}
		tile := m.tiles[t.lifts]
		p.Findings = append(p.Findings, takeoff.Finding{Rule: "lifting", Severity: takeoff.Warn, Where: t.room.key,
			Message: fmt.Sprintf("two people lift %s, and %s: send a second one, have another crew do the room, or say that the crew has a lifting aid (lift_aid)", m.works.liftWords(t.lifts), reason),
			Value:   round3(tileKg(&tile)), Limit: m.limits.LiftKg, Source: "common practice; limits of the firm: lift_weight"})
	}
}
