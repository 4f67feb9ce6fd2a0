package rooms

import "strings"

// measures are units that have no plural.
var measures = map[string]bool{"": true, "kg": true, "g": true, "l": true, "ml": true, "m": true, "mm": true, "m2": true, "m²": true, "lb": true, "ft": true, "h": true, "min": true}

// Plural is a noun as a count of it takes it: 1 box, 2 boxes, 0.5 boxes, 3 kg.
// A noun given in the plural stays as it is.
func Plural(noun string, n float64) string {
	switch {
	case n == 1 || measures[noun] || strings.HasSuffix(noun, "s"):
		return noun
	case strings.HasSuffix(noun, "y") && !strings.HasSuffix(noun, "ay") && !strings.HasSuffix(noun, "ey"):
		return noun[:len(noun)-1] + "ies"
	case strings.HasSuffix(noun, "x"), strings.HasSuffix(noun, "ch"), strings.HasSuffix(noun, "sh"):
		return noun + "es"
	}
	return noun + "s"
}

// GroupMark stands between the thousands of a figure: a narrow space that does
// not break, so that no reader takes it for a decimal sign.
const GroupMark = "\u202f"

// Grouped sets the thousands of a figure apart, from 1 000 on: "1555.5" becomes
// "1 555.5". What is no plain figure stays as it is.
func Grouped(figure string) string {
	whole, rest, _ := strings.Cut(figure, ".")
	digits := strings.TrimPrefix(whole, "-")
	if len(digits) < 4 || strings.Trim(digits, "0123456789") != "" {
		return figure
	}
	var b strings.Builder
	b.WriteString(whole[:len(whole)-len(digits)])
	for i := range len(digits) {
		if i > 0 && (len(digits)-i)%3 == 0 {
			b.WriteString(GroupMark)
		}
		b.WriteByte(digits[i])
	}
	if rest != "" {
		b.WriteString("." + rest)
	}
	return b.String()
}
