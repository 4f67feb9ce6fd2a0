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
	known := takeoff.PatternNames()
	if near := nearest(name, known); near != "" {
		return fmt.Sprintf("%q, or another of %s", near, list(known))
	}
	return "one of " + list(known) + ", or an offset of your own such as offset 0,1/4,1/2"
}
