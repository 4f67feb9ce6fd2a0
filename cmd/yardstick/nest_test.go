package main

import (
	"bytes"
	"encoding/json"
	"math/rand/v2"
	"testing"

	"potlife/takeoff/nest"
)

func TestNestLine(t *testing.T) {
	var out bytes.Buffer
	if err := runNest([]string{"-rooms", "6", "-seed", "3"}, &out); err != nil {
		t.Fatal(err)
	}
	var line map[string]float64
	if err := json.Unmarshal(out.Bytes(), &line); err != nil {
		t.Fatal(err)
	}
	for name, most := range map[string]float64{"optimal_share": 1, "within_50ms": 1, "proved_within_50ms": 1, "mean_gap": 0.1} {
		if v, ok := line[name]; !ok || v < 0 || v > most {
			t.Errorf("%s is %v, want 0 to %v", name, v, most)
		}
	}
	if line["rooms"] != 6 || line["mean_pieces"] < 10 || line["max_cpu_ms"] < line["mean_cpu_ms"] ||
		line["proved_within_50ms"] > min(line["optimal_share"], line["within_50ms"]) {
		t.Errorf("the line does not agree with itself: %s", out.String())
	}
}

func TestNestTally(t *testing.T) {
	var sum nestTally
	for _, r := range []roomPlan{
		{tiles: 10, bound: 10, cpuMS: 5, pieces: 20},
		{tiles: 10, bound: 10, cpuMS: 80, pieces: 20},
		{tiles: 11, bound: 10, cpuMS: 5, pieces: 20},
		{tiles: 10, bound: 10, cpuMS: withinMS, pieces: 20},
	} {
		sum.add(r)
	}
	line := sum.line()
	for name, want := range map[string]float64{"optimal_share": 0.75, "within_50ms": 0.5, "proved_within_50ms": 0.25,
		"mean_gap": 0.025, "max_cpu_ms": 80, "mean_pieces": 20} {
		if got := line[name].(float64); got-want > 1e-9 || want-got > 1e-9 {
			t.Errorf("%s is %v, want %v", name, got, want)
		}
	}
}

func BenchmarkBathrooms(b *testing.B) {
	draw := rand.New(rand.NewPCG(1, 0))
	var rooms [][]nest.OffcutProblem
	for range 40 {
		rooms = append(rooms, drawBathroom(draw))
	}
	for b.Loop() {
		for _, r := range rooms {
			if _, err := planBathroom(r); err != nil {
				b.Fatal(err)
			}
		}
	}
}
