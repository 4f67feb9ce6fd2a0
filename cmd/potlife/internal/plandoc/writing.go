package plandoc

import (
	"math"
	"strconv"
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"potlife/rooms"
)

// Writing says how figures, dates and times of a document are written for
// people: in its units and in its zone. Cuts are rounded down, never up.
type Writing struct {
	Imperial bool
	Zone     *time.Location // nil: instants keep the offset they were written with
	Plain    bool           // thousands are not set apart: for files that programs read
}

// Writing returns the document's own way of writing. A zone the machine does
// not know leaves instants in the offset they carry.
func (d *Document) Writing() Writing {
	w := Writing{Imperial: d.Units == "imperial"}
	if z, err := time.LoadLocation(d.Zone); err == nil && d.Zone != "" {
		w.Zone = z
	}
	return w
}

// A length in eighths of a micrometre is exact in whole mm and in 64ths of an
// inch.
const (
	perMM    = 8000
	per64th  = 3175
	perInch  = 64 * per64th
	perTenth = perMM / 10
)

func eighths(v MM) int64 { return int64(math.Round(float64(v) * perMM)) }

// Cut writes a size to cut, without its unit in metric. A size that lies on
// the grid it was chosen from (0.1 mm, 1/64 in) is kept; any other is rounded
// down to a whole mm or to 1/16 in, so that no piece comes out larger than its
// space.
func (w Writing) Cut(v MM) string {
	u := eighths(v)
	if w.Imperial {
		if u%per64th != 0 {
			u = floorTo(u, 4*per64th)
		}
		return inches(u, false)
	}
	if u%perTenth != 0 {
		u = floorTo(u, perMM)
	}
	return tenths(u)
}

// Length writes a dimension, without its unit in metric: to the nearest mm, or
// to 1/16 in, in feet and inches from two feet on.
func (w Writing) Length(v MM) string {
	u := eighths(v)
	if w.Imperial {
		return inches(floorTo(u+2*per64th, 4*per64th), true)
	}
	return strconv.FormatInt(floorTo(u+perMM/2, perMM)/perMM, 10)
}

// Unit names what plain lengths are counted in.
func (w Writing) Unit() string {
	if w.Imperial {
		return "inches"
	}
	return "mm"
}

// LengthUnit writes a dimension with its unit.
func (w Writing) LengthUnit(v MM) string {
	if w.Imperial {
		return w.Length(v)
	}
	return w.Length(v) + " mm"
}

func floorTo(u, step int64) int64 {
	r := u % step
	if r < 0 {
		r += step
	}
	return u - r
}

func tenths(u int64) string {
	s := strconv.FormatInt(u/perMM, 10)
	if t := u % perMM / perTenth; t != 0 {
		if t < 0 {
			t = -t
		}
		s += "." + strconv.FormatInt(t, 10)
	}
	return s
}

// inches writes u, a multiple of 1/64 in.
func inches(u int64, feet bool) string {
	sign := ""
	if u < 0 {
		sign, u = "-", -u
	}
	out := ""
	if feet && u >= 24*perInch {
		out = strconv.FormatInt(u/(12*perInch), 10) + "' "
		u %= 12 * perInch
	}
	whole, part := u/perInch, u%perInch/per64th
	switch {
	case part == 0:
		out += strconv.FormatInt(whole, 10)
	default:
		den := int64(64)
		for part%2 == 0 {
			part, den = part/2, den/2
		}
		if whole != 0 {
			out += strconv.FormatInt(whole, 10) + " "
		}
		out += strconv.FormatInt(part, 10) + "/" + strconv.FormatInt(den, 10)
	}
	return sign + out + `"`
}

// Figure writes v with at most digits decimals, zeros cut.
func Figure(v float64, digits int) string {
	s := strconv.FormatFloat(v, 'f', digits, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}

// Area writes m².
func (w Writing) Area(m2 float64) string {
	if w.Imperial {
		return w.Number(m2/0.09290304, 1) + " ft²"
	}
	return w.Number(m2, 2) + " m²"
}

// Mass writes kg.
func (w Writing) Mass(kg float64) string {
	if w.Imperial {
		return w.Number(kg/0.45359237, 1) + " lb"
	}
	return w.Number(kg, 1) + " kg"
}

// Volume writes litres, below one millilitres: in imperial as US fluid ounces (cartridges), quarts
// (measuring buckets) or gallons (pails), by what fits.
func (w Writing) Volume(l float64) string {
	if w.Imperial {
		return litres(l)
	}
	if l > 0 && l < 0.995 {
		return Figure(l*1000, 0) + " ml"
	}
	return w.Number(l, 2) + " l"
}

// Degrees writes a temperature in °C.
func (w Writing) Degrees(celsius float64) string {
	if w.Imperial {
		return Figure(celsius*9/5+32, 0) + " °F"
	}
	return Figure(celsius, 1) + " °C"
}

// Quantity writes an amount in one of the document's units ("kg", "l", "m",
// "m2", or a package).
func (w Writing) Quantity(v float64, unit string) string {
	switch unit {
	case "kg":
		return w.Mass(v)
	case "l":
		return w.Volume(v)
	case "m2", "m²":
		return w.Area(v)
	case "m":
		if w.Imperial {
			return w.Number(v/0.3048, 1) + " ft"
		}
		return w.Number(v, 2) + " m"
	}
	return strings.TrimSuffix(w.Number(v, 2)+" "+rooms.Plural(unit, v), " ")
}

// QuantityAs is Quantity of goods whose packages hold what is written so: what is
// sold by the fluid ounce is counted in them, however many there are.
func (w Writing) QuantityAs(v float64, unit, holds string) string {
	if w.Imperial && unit == "l" && strings.HasSuffix(strings.TrimSpace(holds), "fl oz") {
		return w.Number(v*ouncesPerLitre, 1) + " fl oz"
	}
	return w.Quantity(v, unit)
}

// Number writes v with at most digits decimals and its thousands apart, for
// people: files for programs take Figure.
func (w Writing) Number(v float64, digits int) string {
	if w.Plain {
		return Figure(v, digits)
	}
	s := rooms.Grouped(Figure(v, digits))
	if w.Imperial {
		return imperialGroups(s)
	}
	return s
}

// Money writes an amount given as decimals, with two of them at least and its
// thousands apart; what is no figure stays as it is.
func (w Writing) Money(amount string) string {
	d, err := decimal.NewFromString(amount)
	if err != nil {
		return amount
	}
	s := d.StringFixed(max(2, -d.Exponent()))
	if w.Plain {
		return s
	}
	if s = rooms.Grouped(s); w.Imperial {
		return imperialGroups(s)
	}
	return s
}

// hour12 is how an hour is written where days have two halves.
const hour12 = "3:04 pm"

// Time parses an instant of the document into its zone; the zero time stands
// for text that is no instant.
func (w Writing) Time(instant string) time.Time {
	t, err := time.Parse(time.RFC3339, instant)
	if err != nil {
		return time.Time{}
	}
	if w.Zone != nil {
		t = t.In(w.Zone)
	}
	return t
}

// Clock writes the time of day of an instant.
func (w Writing) Clock(instant string) string {
	t := w.Time(instant)
	if t.IsZero() {
		return instant
	}
	if w.Imperial {
		return t.Format(hour12)
	}
	return t.Format("15:04")
}

// Span writes a stretch of a day: "07:30–12:00", "7:30–11:00 am".
func (w Writing) Span(from, to string) string {
	a, b := w.Clock(from), w.Clock(to)
	if w.Imperial && len(a) > 3 && len(b) > 3 && a[len(a)-3:] == b[len(b)-3:] {
		a = a[:len(a)-3]
	}
	return a + "–" + b
}

// Day writes a date YYYY-MM-DD, or the date of an instant, with its weekday.
func (w Writing) Day(date string) string {
	t, err := time.Parse(time.DateOnly, date)
	if err != nil {
		if t = w.Time(date); t.IsZero() {
			return date
		}
	}
	if w.Imperial {
		return t.Format("Mon, Jan 2, 2006")
	}
	return t.Format("Mon 2 Jan 2006")
}

// ShortDay is Day without the year.
func (w Writing) ShortDay(date string) string {
	t, err := time.Parse(time.DateOnly, date)
	if err != nil {
		if t = w.Time(date); t.IsZero() {
			return date
		}
	}
	if w.Imperial {
		return t.Format("Mon, Jan 2")
	}
	return t.Format("Mon 2 Jan")
}

// DateOf returns the civil date, YYYY-MM-DD, of an instant.
func (w Writing) DateOf(instant string) string {
	t := w.Time(instant)
	if t.IsZero() {
		return ""
	}
	return t.Format(time.DateOnly)
}

// DayClock writes day and time of an instant.
func (w Writing) DayClock(instant string) string {
	return w.ShortDay(instant) + " " + w.Clock(instant)
}
