package rooms

import (
	"math"
	"math/bits"
)

// Side is the sign of the turn a → b → p: positive when p lies to the left of
// the line through a and b, negative to the right, 0 on it. It is exact for
// coordinates that differ by at most 2·MaxSide.
func Side(a, b, p Point) int {
	return sign2(int64(b.X-a.X), int64(p.Y-a.Y), int64(b.Y-a.Y), int64(p.X-a.X))
}

// sign2 is the sign of a·d − b·c given as (a, d, b, c): a·d − b·c. The
// floating-point value decides unless it is small; then the true value fits
// int64, in which the wrapping products are exact.
func sign2(a, d, b, c int64) int {
	f := float64(float64(a)*float64(d)) - float64(float64(b)*float64(c))
	if math.Abs(f) > 1e6 {
		if f > 0 {
			return 1
		}
		return -1
	}
	v := a*d - b*c
	switch {
	case v > 0:
		return 1
	case v < 0:
		return -1
	}
	return 0
}

// mulDiv is a·n/d to the nearest integer, halves away from zero; |n| ≤ d.
func mulDiv(a int64, n, d uint64, negative bool) int64 {
	if a < 0 {
		a, negative = -a, !negative
	}
	hi, lo := bits.Mul64(uint64(a), n)
	var carry uint64
	lo, carry = bits.Add64(lo, d/2, 0)
	q, _ := bits.Div64(hi+carry, lo, d)
	if negative {
		return -int64(q)
	}
	return int64(q)
}

// crossing returns where the segment a–b meets the line through c and d, to
// the nearest unit, given that a and b lie on different sides of it (one may
// lie on it).
func crossing(a, b, c, d Point) Point {
	// The distances of a and b from the line are as these cross products.
	na := cross(c, d, a)
	nb := cross(c, d, b)
	if na < 0 {
		na = -na
	}
	if nb < 0 {
		nb = -nb
	}
	n, total := uint64(na), uint64(na)+uint64(nb)
	if total == 0 {
		return a
	}
	return Point{
		a.X + Length(mulDiv(int64(b.X-a.X), n, total, false)),
		a.Y + Length(mulDiv(int64(b.Y-a.Y), n, total, false)),
	}
}

// cross is the cross product (b−a)×(p−a); it fits int64 because no side of a
// surface is longer than MaxSide.
func cross(a, b, p Point) int64 {
	return int64(b.X-a.X)*int64(p.Y-a.Y) - int64(b.Y-a.Y)*int64(p.X-a.X)
}

// hypot is the length of the vector x, y. Products are rounded one by one, so
// that processors with fused multiply-add give the same.
func hypot(x, y float64) float64 { return math.Sqrt(float64(x*x) + float64(y*y)) }

// roundHalf rounds to the nearest integer, halves up.
func roundHalf(x float64) Length { return Length(math.Floor(x + 0.5)) }

// Distance is the distance of two points, to the nearest unit.
func Distance(a, b Point) Length { return roundHalf(hypot(float64(b.X-a.X), float64(b.Y-a.Y))) }

// Area is twice an area in square units, in 128 bits.
type Area struct {
	hi int64
	lo uint64
}

// product is a·b as an Area.
func product(a, b Length) Area {
	negative := (a < 0) != (b < 0)
	hi, lo := bits.Mul64(uint64(max(a, -a)), uint64(max(b, -b)))
	s := Area{int64(hi), lo}
	if negative {
		return s.neg()
	}
	return s
}

func (s Area) neg() Area {
	lo, borrow := bits.Sub64(0, s.lo, 0)
	hi, _ := bits.Sub64(0, uint64(s.hi), borrow)
	return Area{int64(hi), lo}
}

// Add returns the sum.
func (s Area) Add(t Area) Area {
	lo, carry := bits.Add64(s.lo, t.lo, 0)
	hi, _ := bits.Add64(uint64(s.hi), uint64(t.hi), carry)
	return Area{int64(hi), lo}
}

// Sub returns the difference.
func (s Area) Sub(t Area) Area { return s.Add(t.neg()) }

// Sign is -1, 0 or 1.
func (s Area) Sign() int {
	switch {
	case s.hi < 0:
		return -1
	case s.hi == 0 && s.lo == 0:
		return 0
	}
	return 1
}

// Cmp is negative, zero or positive as s is less than, equal to or more than t.
func (s Area) Cmp(t Area) int { return s.Sub(t).Sign() }

// MM2 is the area in mm², for printing and rates.
func (s Area) MM2() float64 {
	negative := s.hi < 0
	if negative {
		s = s.neg()
	}
	v := (float64(float64(s.hi)*18446744073709551616) + float64(s.lo)) / 2 / (8000 * 8000)
	if negative {
		return -v
	}
	return v
}

// Crossing returns where the segment a–b meets the line through c and d, to
// the nearest unit; a and b must lie on different sides of it, or one on it.
func Crossing(a, b, c, d Point) Point { return crossing(a, b, c, d) }
