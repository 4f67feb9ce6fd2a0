package rooms

import (
	"cmp"
	"slices"
	"strings"
)

// Natural compares two names as people put them in order: numbers in them count
// as numbers, so that "apt2" comes before "apt10". Names that differ only in
// leading zeros come in the order of their letters. It is a total order: 0 only
// for equal names.
func Natural(a, b string) int {
	x, y := a, b
	for x != "" && y != "" {
		n, m := digits(x), digits(y)
		if n > 0 && m > 0 {
			p, q := strings.TrimLeft(x[:n], "0"), strings.TrimLeft(y[:m], "0")
			if c := cmp.Or(cmp.Compare(len(p), len(q)), strings.Compare(p, q)); c != 0 {
				return c
			}
			x, y = x[n:], y[m:]
			continue
		}
		if c := cmp.Compare(x[0], y[0]); c != 0 {
			return c
		}
		x, y = x[1:], y[1:]
	}
	return cmp.Or(cmp.Compare(len(x), len(y)), strings.Compare(a, b))
}

// digits is how many digits a name begins with.
func digits(s string) int {
	n := 0
	for n < len(s) && s[n] >= '0' && s[n] <= '9' {
		n++
	}
	return n
}

// InOrder returns names in their natural order, each as often as it stands.
func InOrder(names []string) []string {
	out := slices.Clone(names)
	slices.SortStableFunc(out, Natural)
	return out
}
