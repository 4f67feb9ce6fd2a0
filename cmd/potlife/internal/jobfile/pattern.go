package jobfile

import (
	"fmt"
	"strings"

	"potlife/takeoff"
)

// patternForm is the name of a pattern that the layout knows.
var patternForm = single(func(s string) (string, error) {
	name := strings.Join(strings.Fields(strings.ReplaceAll(strings.ToLower(s), ", ", ",")), " ")
	if _, err := takeoff.PatternNamed(name, nil); err != nil {
		return "", fmt.Errorf("there is no pattern %q; expected %s", s, patternHint(name))
	}
	return name, nil
}, func(s string) any { return s }, ordered{{"type", "string"}})

func patternHint(name string) string {
	known := append(takeoff.PatternNames(), "offset 1/2", "offset 0,1/3,2/3")
	if near := nearest(name, known); near != "" {
		return fmt.Sprintf("%q, or another of %s", near, list(known))
	}
	return "one of " + list(known)
}
