package main

import (
	"bytes"
	"encoding/json"
	"math"
	"testing"

	"potlife/takeoff"
)

// Every pattern that ships is laid with as many tiles as asked, within a
// fiftieth, and the tiles and joints it reports have an area.
func TestLayoutLaysWhatIsAsked(t *testing.T) {
	for _, name := range takeoff.PatternNames() {
		if name == "offset" {
			name = "offset 1/3"
		}
		set, _ := tilesFor(name)
		if p, err := takeoff.PatternNamed(name, nil); err != nil || max(p.Tiles, 1) != len(set) {
			continue // a name that stands for a family
		}
		var out bytes.Buffer
		if err := layout([]string{"-tiles", "4000", "-pattern", name}, &out); err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		var line layoutLine
		if err := json.Unmarshal(out.Bytes(), &line); err != nil {
			t.Fatal(err)
		}
		if math.Abs(float64(line.Tiles)-4000) > 80 || line.Full+line.Cut != line.Tiles || line.TileAreaMM2 <= 0 || line.JointAreaMM2 <= 0 {
			t.Errorf("%s: %+v", name, line)
		}
	}
}
