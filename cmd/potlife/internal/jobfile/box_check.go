package jobfile

import "math"

// A tile weighs 1 700 to 3 000 kg/m³ (ceramic bodies and stone, from memory), a mosaic's
// sheet less; what lies beyond these wide bounds is a slip in size, thickness, number or
// weight.
const (
	lightestTile = 500.0
	heaviestTile = 6000.0
)

// checkBox holds the weight of a box to the size of the tiles in it.
func checkBox(r *reader, v *value, t *tile) {
	if t.BoxKg == 0 || t.PerBox == 0 || len(t.Shape) < 3 || t.Thickness == 0 || t.Shape.Validate() != nil {
		return
	}
	volume := t.Shape.AreaMM2() / 1e6 * t.Thickness.Metres() * float64(t.PerBox)
	if d := t.BoxKg / volume; d < lightestTile || d > heaviestTile {
		r.failf(v.at("box_weight"), "size and thickness in mm or with their units, tiles in a box and its weight that fit each other",
			"by their size the %d tiles of a box of %s weigh about %s, not %s", t.PerBox, t.Key, r.weight(volume*2200), r.weight(t.BoxKg))
	}
}

// weight prints a weight as the firm writes it.
func (r *reader) weight(kg float64) string {
	if r.imperial {
		return decimals(math.Round(kg/0.45359237*10)/10) + " lb"
	}
	return decimals(math.Round(kg*10)/10) + " kg"
}
