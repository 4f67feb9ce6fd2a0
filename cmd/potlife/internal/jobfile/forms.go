package jobfile

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"unicode"

	"potlife/rooms"
)

// textForm is any text without control characters.
var textForm = single(func(s string) (string, error) {
	for _, c := range s {
		if unicode.IsControl(c) && c != '\n' || c == unicode.ReplacementChar {
			return "", fmt.Errorf("the text holds the control character %U; expected plain text", c)
		}
	}
	if len(s) > 2000 {
		return "", fmt.Errorf("the text has %d bytes; expected at most 2000", len(s))
	}
	return s, nil
}, func(s string) any { return s }, ordered{{"type", []any{"string", "number", "boolean"}}})

var keyPattern = regexp.MustCompile(`^[\p{L}\p{N}][\p{L}\p{N}._+-]*$`)

// keyForm is a key: it names a thing in addresses, files and piece ids, so it
// holds letters, digits, and . _ + - only.
var keyForm = single(func(s string) (string, error) {
	if !keyPattern.MatchString(s) || len(s) > 40 {
		return "", fmt.Errorf("%q is no key; expected up to 40 letters, digits, and . _ + - beginning with a letter or digit", s)
	}
	return s, nil
}, func(s string) any { return s }, ordered{{"type", []any{"string", "number"}}, {"maxLength", 40}})

// flagForm is true or false.
var flagForm = single(func(s string) (bool, error) {
	switch strings.ToLower(s) {
	case "true", "yes", "on":
		return true, nil
	case "false", "no", "off":
		return false, nil
	}
	return false, fmt.Errorf("%q is neither true nor false; expected true or false", s)
}, func(b bool) any { return raw(strconv.FormatBool(b)) }, ordered{{"anyOf", []any{ordered{{"type", "boolean"}}, ordered{{"enum", []any{"yes", "no", "on", "off"}}}}}})

// whole is a whole number from least to most.
func whole(least, most int, unit string) form[int] {
	want := fmt.Sprintf("a whole number of %s from %d to %d", unit, least, most)
	return single(func(s string) (int, error) {
		n, err := strconv.Atoi(s)
		if err != nil || n < least || n > most {
			return 0, fmt.Errorf("%q does not fit; expected %s", s, want)
		}
		return n, nil
	}, func(n int) any { return raw(strconv.Itoa(n)) },
		ordered{{"type", "integer"}, {"minimum", least}, {"maximum", most}})
}

// amount is a decimal number from least to most.
func amount(least, most float64, unit string) form[float64] {
	want := fmt.Sprintf("a number of %s from %s to %s", unit, decimals(least), decimals(most))
	return single(func(s string) (float64, error) {
		f, err := strconv.ParseFloat(s, 64)
		if err != nil || math.IsNaN(f) || f < least || f > most {
			return 0, fmt.Errorf("%q does not fit; expected %s", s, want)
		}
		return f, nil
	}, func(f float64) any { return raw(decimals(f)) },
		ordered{{"type", "number"}, {"minimum", least}, {"maximum", most}})
}

// decimals prints f with the fewest digits that read back as f.
func decimals(f float64) string { return strconv.FormatFloat(f, 'f', -1, 64) }

// share is a part of one: 0.98, or 98 %.
var shareForm = single(func(s string) (float64, error) {
	num, percent := strings.CutSuffix(s, "%")
	f, err := strconv.ParseFloat(strings.TrimSpace(num), 64)
	if percent {
		f /= 100
	}
	if err != nil || !(f >= 0 && f <= 1) {
		return 0, fmt.Errorf("%q is no share; expected a number from 0 to 1, or a percentage such as 5 %%", s)
	}
	return f, nil
}, func(f float64) any { return raw(decimals(f)) }, ordered{{"description", "a share: a number from 0 to 1, or a percentage such as 5 %"}, {"type", []any{"number", "string"}}})

// levelForm is a chance that is neither none nor certain: 0.98, or 98 %.
var levelForm = func() form[float64] {
	f := shareForm
	f.read = func(r *reader, v *value) (float64, bool) {
		got, ok := shareForm.read(r, v)
		if ok && (got <= 0 || got >= 1) {
			r.failf(v.place, "more than 0 and less than 100 %, such as 98 % or 99.5 %", "%s is no service level: no number of spares makes sure that none is lacking", strings.TrimSpace(v.text))
			return 0, false
		}
		return got, ok
	}
	return f
}()

// word is one of a few words.
func word(words ...string) form[string] {
	enum := make([]any, len(words))
	for i, w := range words {
		enum[i] = w
	}
	return single(func(s string) (string, error) { return oneOf(s, words) },
		func(s string) any { return s }, ordered{{"enum", enum}})
}

// oneOf finds s among words whatever its case.
func oneOf(s string, words []string) (string, error) {
	for _, w := range words {
		if strings.EqualFold(strings.Join(strings.Fields(s), " "), w) {
			return w, nil
		}
	}
	if near := nearest(s, words); near != "" {
		return "", fmt.Errorf("unknown word %q; expected %q, or another of %s", s, near, list(words))
	}
	return "", fmt.Errorf("unknown word %q; expected one of %s", s, list(words))
}

// dateForm is YYYY-MM-DD.
var dateForm = single(func(s string) (rooms.Date, error) {
	d, err := rooms.ParseDate(s)
	if err == nil && (d.Year < 2000 || d.Year > 2200) {
		return rooms.Date{}, fmt.Errorf("the year %d is out of range; expected 2000 to 2200", d.Year)
	}
	return d, err
}, func(d rooms.Date) any { return raw(d.String()) }, ordered{{"type", "string"}, {"format", "date"}})
