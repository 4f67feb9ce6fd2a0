package jobfile

import (
	"strings"
	"testing"

	"potlife/takeoff"
)

// Every part and every key that the reader knows is in the reference, with what
// may stand there and what it means; and one part can be asked for.
func TestReferenceIsComplete(t *testing.T) {
	all, unknown := Reference()
	if len(unknown) > 0 {
		t.Fatal(unknown)
	}
	parts := map[string]string{}
	for _, p := range strings.Split("\n"+string(all), "\n\n") {
		name, body, _ := strings.Cut(p, "\n")
		parts[strings.ToLower(name)] = "\n" + body
	}
	defs := schemaForTest(t)["$defs"].(map[string]any)
	for name, def := range defs {
		body, ok := parts[name]
		if !ok {
			t.Errorf("%s is not described", name)
			continue
		}
		d := def.(map[string]any)
		if either, ok := d["anyOf"].([]any); ok {
			d = either[1].(map[string]any)
		}
		for key, p := range d["properties"].(map[string]any) {
			_, rest, ok := strings.Cut(body, "\n  "+key+": ")
			what, meaning, _ := strings.Cut(rest, "\n")
			if !ok || what == "" || !strings.HasPrefix(meaning, "      ") && !strings.HasPrefix(what, "one of ") {
				t.Errorf("%s: %q is described as %q %q", name, key, what, meaning)
			}
			if p.(map[string]any)["title"] == "" {
				t.Errorf("%s: %q has no description", name, key)
			}
		}
	}
	for _, line := range strings.Split(string(all), "\n") {
		if strings.Contains(line, "%!") || strings.Contains(line, "map[") || strings.Contains(line, "ordered") || strings.Contains(line, "e+") || strings.Contains(line, ": a area") {
			t.Errorf("badly printed: %s", line)
		}
	}
	for _, name := range takeoff.PatternNames() {
		if !strings.Contains(strings.ToLower(strings.Join(strings.Fields(parts["set"]), " ")), name) {
			t.Errorf("the pattern %q is not named", name)
		}
	}
	one, unknown := Reference("zone", "no-such-part")
	if len(unknown) != 1 || !strings.HasPrefix(string(one), "\nZONE\n") || strings.Contains(string(one), "\nROOM\n") {
		t.Errorf("one part: unknown %v,\n%s", unknown, one)
	}
}
