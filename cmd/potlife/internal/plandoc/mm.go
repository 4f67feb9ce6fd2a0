package plandoc

import (
	"math"
	"strconv"
	"strings"
)

// appendMM appends v with six decimals at most, trailing zeros cut, so that
// an eighth of a micrometre is exact and the same length always prints alike.
func appendMM(b []byte, v float64) []byte {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return append(b, '0')
	}
	s := strconv.FormatFloat(v, 'f', 6, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		s = "0"
	}
	return append(b, s...)
}
