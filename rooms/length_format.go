package rooms

import (
	"strconv"
	"strings"
)

// Rounding says which way a length is rounded when it is printed.
type Rounding int

// Cuts are rounded down, so that a piece never comes out larger than its
// space; openings up, so that what goes in has room.
const (
	Down Rounding = iota
	Up
	Nearest
)

// Round returns l as a multiple of step; halves go away from zero.
func (l Length) Round(step Length, r Rounding) Length {
	floor := l / step
	if l%step != 0 && l < 0 {
		floor--
	}
	rest := l - floor*step
	switch {
	case rest == 0, r == Down:
		return floor * step
	case r == Up, 2*rest > step, 2*rest == step && l > 0:
		return (floor + 1) * step
	}
	return floor * step
}

// String prints l in mm, exactly: "1778 mm", "0.125 mm".
func (l Length) String() string { return decimal(l, 6) + " mm" }

// decimal prints l in mm with up to places decimals, which must be enough or
// l a multiple of the last one.
func decimal(l Length, places int) string {
	sign := ""
	if l < 0 {
		sign, l = "-", -l
	}
	whole, rest := l/Millimetre, int64(l%Millimetre)
	if rest == 0 {
		return sign + strconv.FormatInt(int64(whole), 10)
	}
	micro := strconv.FormatInt(1_000_000+rest*1_000_000/int64(Millimetre), 10)[1:]
	return sign + strconv.FormatInt(int64(whole), 10) + "." + strings.TrimRight(micro[:places], "0")
}

// InWords prints l as a person writes it in a sentence: to the tenth of a
// millimetre, or to 1/16 in, the nearest.
func InWords(l Length, imperial bool) string {
	if imperial {
		return FormatImperial(l, Nearest)
	}
	return l.Round(Millimetre/10, Nearest).String()
}

// FormatMetric prints l in whole mm with the unit: "1778 mm".
func FormatMetric(l Length, r Rounding) string { return l.Round(Millimetre, r).String() }

// FormatMM prints l in mm without the unit, to places decimals (0 … 3), no
// trailing zeros: "1778", "245.5".
func FormatMM(l Length, places int, r Rounding) string {
	step := Millimetre
	for range min(places, 3) {
		step /= 10
	}
	return decimal(l.Round(step, r), 6)
}

// FormatImperial prints l in feet and inches to 1/16 in: 5' 10 3/8". Below a
// foot it prints inches only. A sixteenth that fills up is carried, so 16/16
// is never printed.
func FormatImperial(l Length, r Rounding) string {
	l = l.Round(Inch/16, r)
	sign := ""
	if l < 0 {
		sign, l = "-", -l
	}
	feet := l / Foot
	if feet == 0 {
		return sign + FormatInches(l, 16, r)
	}
	return sign + strconv.FormatInt(int64(feet), 10) + "' " + FormatInches(l%Foot, 16, r)
}

// FormatInches prints l in inches with a fraction to 1/parts in (a power of
// two to 64): 70 1/2".
func FormatInches(l Length, parts int, r Rounding) string {
	step := Inch / Length(parts)
	l = l.Round(step, r)
	sign := ""
	if l < 0 {
		sign, l = "-", -l
	}
	whole, over, under := int64(l/Inch), int64(l%Inch/step), int64(parts)
	for over > 0 && over%2 == 0 {
		over, under = over/2, under/2
	}
	switch {
	case over == 0:
		return sign + strconv.FormatInt(whole, 10) + `"`
	case whole == 0:
		return sign + strconv.FormatInt(over, 10) + "/" + strconv.FormatInt(under, 10) + `"`
	}
	return sign + strconv.FormatInt(whole, 10) + " " + strconv.FormatInt(over, 10) + "/" + strconv.FormatInt(under, 10) + `"`
}
