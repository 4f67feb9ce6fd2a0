package rooms

import "fmt"

// Kinds of new ground that dries before it is tiled.
const (
	CalciumSulfate = "calcium sulfate screed"
	CementScreed   = "cement screed"
	Concrete       = "concrete"
	Blockwork      = "blockwork"
	NewRender      = "new render"
)

// BaseKinds are all of them.
func BaseKinds() []string {
	return []string{CalciumSulfate, CementScreed, Concrete, Blockwork, NewRender}
}

// Base is new ground under a surface. The calendar only says when a test is
// worth while: the moisture test releases the work.
type Base struct {
	Kind string
	// Laid is the day on which it was laid, Depth how thick a screed is.
	Laid  Date
	Depth Length
	// DryDays is how long it dries by its own sheet; 0 takes the trade's rule.
	DryDays int
	// Tested is the day on which a moisture test released it, zero while none has.
	Tested Date
}

// Days is how many days it dries before anything is laid on it, and by which
// rule.
//
// Calcium sulfate screed: a day for each mm up to 40 mm and two for each more
// (NHBC 9.3.5 and makers of screeds, at 20 °C and 65 % of humidity at most).
// Cement screed: a day for each mm up to 50 mm and two for each more, 28 days at
// least (pages of makers disagree over 50 mm: the longer is taken). Concrete 6
// weeks, blockwork 4, render 2 (a tile adhesive's sheet).
func (b *Base) Days() (days int, rule string) {
	if b.DryDays > 0 {
		return b.DryDays, "its own sheet"
	}
	mm := int((b.Depth + Millimetre - 1) / Millimetre)
	by := func(knee int) int { return min(mm, knee) + 2*max(0, mm-knee) }
	switch b.Kind {
	case CalciumSulfate:
		return by(40), fmt.Sprintf("a day for each mm up to 40 mm and two for each more, %d mm", mm)
	case CementScreed:
		return max(28, by(50)), fmt.Sprintf("a day for each mm up to 50 mm and two for each more, %d mm, 28 days at least", mm)
	case Concrete:
		return 42, "six weeks for new concrete"
	case Blockwork:
		return 28, "four weeks for new blockwork"
	case NewRender:
		return 14, "two weeks for new render"
	}
	return 0, ""
}

// Ready is the first day on which the surface may be worked on.
func (b *Base) Ready() Date {
	if !b.Tested.IsZero() {
		return b.Tested
	}
	days, _ := b.Days()
	return b.Laid.AddDays(days)
}
