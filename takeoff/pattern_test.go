package takeoff

import (
	"strings"
	"testing"

	"potlife/rooms"
)

// offsetsOf lists a pattern's offsets in hundredths of its pitch.
func offsetsOf(t *testing.T, name string) []int {
	t.Helper()
	p, err := PatternNamed(name, nil)
	if err != nil {
		t.Fatal(err)
	}
	l, err := p.build([]Tile{box("t", 297*lmm, 97*lmm)}, 3*lmm, false, 0)
	if err != nil {
		t.Fatal(err)
	}
	var out []int
	for _, m := range l.tiles {
		out = append(out, int(m.box.Min.X*100/(300*lmm)))
	}
	return out
}

func TestOffsetNames(t *testing.T) {
	for name, want := range map[string][]int{
		"offset 1/2":       {0, 50},
		"running bond":     {0, 50},
		"offset 1/3":       {0, 33, 66},
		"offset 2/4":       {0, 50},
		"offset 0,1/3":     {0, 33},
		"offset 0,1/3,2/3": {0, 33, 66},
		"offset 25%":       {0, 25, 50, 75},
		"offset 0.2":       {0, 20, 40, 60, 80},
		"offset 0, 1/4, 0": {0, 25, 0},
	} {
		got := offsetsOf(t, name)
		same := len(got) == len(want)
		for i := range want {
			same = same && got[i] == want[i]
		}
		if !same {
			t.Errorf("%s: %v, want %v", name, got, want)
		}
	}
}

func TestPatternsAreRefused(t *testing.T) {
	tile := box("t", 297*lmm, 97*lmm)
	for _, c := range []struct {
		name, says string
		joint      rooms.Length
	}{
		{"zigzag", `no pattern "zigzag"`, 3 * lmm},
		{"offset", "share of the tile", 3 * lmm},
		{"offset 4/3", "share of the tile", 3 * lmm},
		{"offset 0", "straight", 3 * lmm},
		{"offset 1/97", "at most 64", 3 * lmm},
		{"pinwheel", "takes 2 tiles", 3 * lmm},
		{"straight", "not narrower than tile", 97 * lmm},
		{"own far", "less than the joint", 3 * lmm},
		{"own name", "is no measure", 3 * lmm},
		{"own flat", "two translations", 3 * lmm},
		{"own sum", "a name is missing", 3 * lmm},
		{"hexagon", "stay bare", 3 * lmm},
		{"basket weave", "stay bare", 3 * lmm}, // two of 97 beside one of 297 leave a hole
		{"own hole", "stay bare", 3 * lmm},
	} {
		own := map[string]Pattern{
			"own far":  {U: [2]string{"W", "0"}, V: up, Members: []Member{{X: "0", Y: "0"}}},
			"own name": {U: [2]string{"Q+J", "0"}, V: up, Members: []Member{{X: "0", Y: "0"}}},
			"own flat": {U: right, V: right, Members: []Member{{X: "0", Y: "0"}}},
			"own hole": {U: [2]string{"W+J", "0"}, V: [2]string{"0", "2H+2J"}, Members: []Member{{X: "0", Y: "0"}}},
			"own sum":  {U: [2]string{"W+1/2", "0"}, V: up, Members: []Member{{X: "0", Y: "0"}}},
		}
		p, err := PatternNamed(c.name, own)
		if err == nil {
			_, err = p.build([]Tile{tile}, c.joint, false, 0)
		}
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, want %q", c.name, err, c.says)
		}
	}
}

// TestOwnPattern: a job's own pattern of one lying and one standing tile.
func TestOwnPattern(t *testing.T) {
	in := wall(2000*lmm, 1500*lmm, box("t", 197*lmm, 97*lmm), rooms.Zone{Pattern: "our mix"})
	in.Patterns = map[string]Pattern{"our mix": {
		U: [2]string{"W+H+2J", "0"}, V: [2]string{"0", "W+J"},
		Members: []Member{{X: "0", Y: "0"}, {X: "0", Y: "H+J"}, {X: "W+J", Y: "0", Turn: 90}},
	}}
	l := lay(t, in)
	if err := CheckLayout(l, in.Tiles); err != nil {
		t.Fatal(err)
	}
	turned := 0
	for _, p := range l.Zones[0].Pieces {
		if p.Turn == 1 {
			turned++
		}
	}
	if n := len(l.Zones[0].Pieces); turned < n/4 || turned > n/2 {
		t.Errorf("%d of %d pieces stand", turned, n)
	}
}

// TestSheetsAndSideways: a tile that stands sideways takes the lattice of the
// turned tile, and its frame is turned with it.
func TestSideways(t *testing.T) {
	in := wall(2000*lmm, 1500*lmm, box("t", 297*lmm, 97*lmm), rooms.Zone{Pattern: "straight", Sideways: true})
	l := lay(t, in)
	if err := CheckLayout(l, in.Tiles); err != nil {
		t.Fatal(err)
	}
	for _, p := range l.Zones[0].Pieces {
		if b := p.Polygon.Outer.Box(); p.Full && (b.Width() != 97*lmm || b.Height() != 297*lmm || p.Turn != 1) {
			t.Fatalf("%s: %v turned %d", p.ID, b, p.Turn)
		}
	}
}

func TestTooManyPieces(t *testing.T) {
	in := wall(100*rooms.Metre, 100*rooms.Metre, box("t", 20*lmm, 20*lmm), rooms.Zone{})
	if _, err := LayOut(in); err == nil || !strings.Contains(err.Error(), "check the tile's size") {
		t.Errorf("twenty million chips: %v", err)
	}
}
