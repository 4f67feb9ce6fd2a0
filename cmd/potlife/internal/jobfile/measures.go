package jobfile

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"potlife/rooms"
	"potlife/takeoff"
)

// lengthSchema is shared by all lengths.
var lengthSchema = ordered{{"description", `a length: bare numbers are mm; also 1.778 m, 177.8 cm, 70", 70 1/2", 5' 10 3/8"`}, {"type", []any{"number", "string"}}}

// length is a length from least to most. Bare numbers are millimetres; where
// the firm works in inches they are refused, because 70 would be read as 70 mm
// by one and as 70 in by the other.
func length(least, most rooms.Length) form[rooms.Length] {
	f := single(func(s string) (rooms.Length, error) {
		l, err := rooms.ParseLength(s, rooms.UnitMM)
		var wrong *rooms.LengthError
		switch {
		case errors.As(err, &wrong):
			return 0, fmt.Errorf(`%s (such as 1778, 1.778 m, 70 1/2" or 5' 10")`, err)
		case err != nil:
			return 0, err
		case l < least || l > most:
			return 0, fmt.Errorf("%s does not fit; expected a length from %s to %s", s, bound(least), bound(most))
		}
		return l, nil
	}, func(l rooms.Length) any { return lengthOut(l) }, lengthSchema)
	read := f.read
	f.read = func(r *reader, v *value) (rooms.Length, bool) {
		l, ok := read(r, v)
		if ok && l != 0 && r.imperial && bareNumber(v.text) {
			r.failf(v.place, fmt.Sprintf("the unit: %s\" or %s mm", v.text, v.text), "%s without a unit in a firm that works in inches", v.text)
			return 0, false // as what is no length: nothing is judged by it
		}
		return l, ok
	}
	return f
}

// bound prints a limit of lengths, long ones in metres.
func bound(l rooms.Length) string {
	if l%rooms.Metre == 0 && l != 0 {
		return decimals(l.Metres()) + " m"
	}
	return l.String()
}

func bareNumber(s string) bool {
	_, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
	return err == nil
}

// lengthOut is a length on its way out: bare millimetres in a metric firm, and
// inches, where they are exact, in one that works in inches.
type lengthOut rooms.Length

func (l lengthOut) text(imperial bool) string {
	in := rooms.Length(l)
	mm := strings.TrimSuffix(in.String(), " mm")
	switch {
	case !imperial || in == 0:
		return mm
	case in > 0 && in%rooms.SixtyFourth == 0:
		return rooms.FormatInches(in, 64, rooms.Nearest)
	}
	return mm + " mm"
}

// longestSide is the longest side of a surface in a job file: the largest hall
// that a plan is known to come through (50 × 30 m). More is a slip of the pen, or
// to be divided.
const longestSide = 50 * rooms.Metre

// anyLength is a length that may be negative (a deviation, a deduction).
var (
	sideLength = length(rooms.Micrometre, longestSide)
	zeroLength = length(0, rooms.MaxSide)
	anyLength  = length(-rooms.MaxSide, rooms.MaxSide)
	gapLength  = length(0, 100*rooms.Millimetre)
)

// unit is a word for a unit and what one of it is in the unit kept.
type unit struct {
	word string
	per  float64
}

// quantity reads a number and a unit; bare numbers are in the first unit.
func quantity(what string, least, most float64, units []unit) form[float64] {
	return single(func(s string) (float64, error) { return parseQuantity(s, what, least, most, units) },
		func(f float64) any { return decimals(f) + " " + units[0].word },
		ordered{{"description", withArticle(what) + ": a number and one of " + list(unitWords(units))}, {"type", []any{"number", "string"}}})
}

func withArticle(what string) string {
	if strings.ContainsRune("aeiou", rune(what[0])) {
		return "an " + what
	}
	return "a " + what
}

func unitWords(units []unit) []string {
	words := make([]string, len(units))
	for i, u := range units {
		words[i] = u.word
	}
	return words
}

func parseQuantity(s, what string, least, most float64, units []unit) (float64, error) {
	num, word := splitUnit(s)
	f, err := strconv.ParseFloat(num, 64)
	if err != nil {
		return 0, fmt.Errorf("%q is no %s; expected a number and one of %s", s, what, list(unitWords(units)))
	}
	if word == "" {
		word = units[0].word
	}
	for _, u := range units {
		if !strings.EqualFold(u.word, word) {
			continue
		}
		if f *= u.per; !(f >= least && f <= most) {
			return 0, fmt.Errorf("%s does not fit; expected a %s from %s to %s %s", s, what, decimals(least), decimals(most), units[0].word)
		}
		return f, nil
	}
	return 0, fmt.Errorf("unknown unit %q of a %s; expected one of %s", word, what, list(unitWords(units)))
}

// splitUnit cuts "22.7 kg" into number and unit.
func splitUnit(s string) (num, unit string) {
	i := strings.IndexFunc(s, func(c rune) bool { return !strings.ContainsRune("0123456789.+-", c) })
	if i < 0 {
		return s, ""
	}
	return strings.TrimSpace(s[:i]), strings.TrimSpace(s[i:])
}

// Exact by definition: pound, square foot, US gallon, fluid ounce, quart.
const (
	poundKg    = 0.45359237
	footM2     = 0.09290304
	gallonL    = 3.785411784
	quartL     = gallonL / 4
	fluidOunce = gallonL / 128
)

var (
	weightUnits = []unit{{"kg", 1}, {"g", 0.001}, {"t", 1000}, {"lb", poundKg}, {"lbs", poundKg}, {"oz", poundKg / 16}}
	areaUnits   = []unit{{"m2", 1}, {"m²", 1}, {"ft2", footM2}, {"ft²", footM2}, {"sq ft", footM2}, {"sqft", footM2}}
	volumeUnits = []unit{{"l", 1}, {"ml", 0.001}, {"gal", gallonL}, {"qt", quartL}, {"fl oz", fluidOunce}}
	runUnits    = []unit{{"m", 1}, {"mm", 0.001}, {"ft", 0.3048}, {"in", 0.0254}}
	pieceUnits  = []unit{{"piece", 1}, {"pieces", 1}, {"pcs", 1}}

	weightForm = quantity("weight", 0, 1e6, weightUnits)
	areaForm   = quantity("area", 0, 1e5, areaUnits)
	waterForm  = quantity("volume", 0, 1e4, volumeUnits)
)

// celsiusForm is a temperature; bare numbers are °C.
var celsiusForm = single(func(s string) (float64, error) {
	return rooms.ParseCelsius(s, false)
}, func(f float64) any { return decimals(f) + " °C" }, ordered{{"description", "a temperature such as 14 °C or 57 °F; bare numbers are °C"}, {"type", []any{"number", "string"}}})

// stepForm is a difference of temperatures; bare numbers are °C.
var stepForm = single(func(s string) (float64, error) {
	num, word := splitUnit(s)
	f, err := strconv.ParseFloat(num, 64)
	switch w := strings.ToUpper(strings.TrimSpace(strings.TrimPrefix(word, "°"))); {
	case err != nil, w != "" && w != "C" && w != "F":
		return 0, fmt.Errorf("%q is no difference of temperatures; expected one such as 8 °C or 18 °F", s)
	case w == "F":
		f = f * 5 / 9
	}
	if !(f >= 1 && f <= 30) {
		return 0, fmt.Errorf("%s does not fit; expected a difference of 1 °C to 30 °C", s)
	}
	return f, nil
}, func(f float64) any { return decimals(f) + " °C" }, ordered{{"description", "a difference of temperatures such as 8 °C or 18 °F; bare numbers are °C"}, {"type", []any{"number", "string"}}})

// minutesForm is a span of time in whole minutes.
var minutesForm = single(parseMinutes, func(n int) any { return writeMinutes(n) },
	ordered{{"description", "a span of time such as 90min, 24h, 1h 30min or 3d"}, {"type", []any{"string", "integer"}}})

var spans = []unit{{"min", 1}, {"minutes", 1}, {"h", 60}, {"hours", 60}, {"d", 1440}, {"days", 1440}, {"w", 10080}}

// maxMinutes is ten years.
const maxMinutes = 10 * 366 * 1440

func parseMinutes(s string) (int, error) {
	rest, total := s, 0.0
	for rest != "" {
		i := strings.IndexFunc(rest, func(c rune) bool { return c != '.' && (c < '0' || c > '9') })
		if i < 0 {
			i = len(rest)
		}
		f, err := strconv.ParseFloat(rest[:i], 64)
		word := strings.TrimLeft(rest[i:], " ")
		j := strings.IndexFunc(word, func(c rune) bool { return c == ' ' || c >= '0' && c <= '9' })
		if j < 0 {
			j = len(word)
		}
		per := spanOf(word[:j])
		if s == "0" {
			per = 1
		}
		if err != nil || per == 0 {
			return 0, fmt.Errorf("%q is no span of time; expected one such as 90min, 24h, 1h 30min or 3d", s)
		}
		total += f * per
		rest = strings.TrimLeft(word[j:], " ")
	}
	if s == "" || total != math.Trunc(total) || total > maxMinutes {
		return 0, fmt.Errorf("%q does not fit; expected a span of whole minutes up to ten years", s)
	}
	return int(total), nil
}

// spanGiven reports whether text is a span of time at all.
func spanGiven(text string) bool {
	_, err := parseMinutes(strings.TrimSpace(text))
	return err == nil
}

func spanOf(word string) float64 {
	for _, u := range spans {
		if strings.EqualFold(u.word, word) {
			return u.per
		}
	}
	return 0
}

func writeMinutes(n int) string {
	switch {
	case n != 0 && n%1440 == 0:
		return strconv.Itoa(n/1440) + "d"
	case n != 0 && n%60 == 0:
		return strconv.Itoa(n/60) + "h"
	}
	return strconv.Itoa(n) + "min"
}

// money is an amount of the firm's currency with up to four decimals; a
// currency may stand beside it and must then be the firm's.
var moneyForm = form[takeoff.Money]{
	read: func(r *reader, v *value) (takeoff.Money, bool) {
		if v.kind != scalar {
			r.failf(v.place, "an amount such as 24.90", "this is %s", v.kind)
			return 0, false
		}
		num, currency := splitUnit(strings.TrimSpace(v.text))
		m, err := parseMoney(num)
		if err != nil {
			what, expected, _ := strings.Cut(err.Error(), "; expected ")
			r.fail(v.place, what, expected)
			return 0, false
		}
		if strings.HasPrefix(currency, ",") {
			r.failf(v.place, "a decimal point, as in 24.90", "%q has a comma", v.text)
			return 0, false
		}
		if currency != "" {
			r.later = append(r.later, func(c *catalog) {
				if c.firm != nil && currency != c.firm.Catalogue.Currency {
					r.failf(v.place, c.firm.Catalogue.Currency+", or no currency at all", "%s mixes currencies: the firm's is %s", v.text, c.firm.Catalogue.Currency)
				}
			})
		}
		return m, true
	},
	write: func(m takeoff.Money) any { return raw(writeMoney(m)) },
	schema: func(*schemas) any {
		return ordered{{"description", "an amount of money such as 24.90, at most four decimals, not negative"}, {"type", []any{"number", "string"}}}
	},
}

// maxMoney is one milliard of the currency's unit.
const maxMoney = 1_000_000_000

func parseMoney(s string) (takeoff.Money, error) {
	if strings.HasPrefix(s, "-") {
		return 0, fmt.Errorf("the amount %s is negative; expected zero or more", s)
	}
	units, part, dotted := strings.Cut(s, ".")
	n, err := strconv.ParseInt(units, 10, 64)
	if err != nil || dotted && part == "" || len(part) > 4 || strings.ContainsAny(s, "+-") {
		return 0, fmt.Errorf("%q is no amount of money; expected a decimal such as 24.90 with at most four decimals", s)
	}
	if n > maxMoney {
		return 0, fmt.Errorf("the amount %s is too large; expected at most %d", s, maxMoney)
	}
	var frac int64
	if part != "" {
		if frac, err = strconv.ParseInt((part + "0000")[:4], 10, 64); err != nil {
			return 0, fmt.Errorf("%q is no amount of money; expected a decimal such as 24.90", s)
		}
	}
	return takeoff.Money(n*10_000 + frac), nil
}

// writeMoney prints at least two decimals.
func writeMoney(m takeoff.Money) string {
	s := fmt.Sprintf("%d.%04d", m/10_000, m%10_000)
	for strings.HasSuffix(s, "0") && len(s)-strings.IndexByte(s, '.') > 3 {
		s = s[:len(s)-1]
	}
	return s
}
