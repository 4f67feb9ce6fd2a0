package takeoff

import (
	"fmt"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// Tiles break one after another in a room for which everything has come: first the
// spares serve, then a box is asked for while the chance that they last is said,
// and at last they are too few whatever breaks.
func TestShortages(t *testing.T) {
	in := bathJob(1)
	in.Catalogue.Tiles[0].BreakChance, in.Catalogue.Tiles[0].DefectChance = 0.03, 0.001
	first := take(t, in)
	in.Placed = first.Orders(in.Catalogue, in.Today, nil, nil)
	for i := range in.Placed {
		for k := range in.Placed[i].Lines {
			if l := &in.Placed[i].Lines[k]; l.Product == "white" {
				l.Lot = "R1"
			}
		}
	}
	bought := first.Rows[0].Boxes * 10
	piece := ""
	for _, p := range in.Layouts[0].Zones[0].Pieces {
		if !p.Full {
			piece = p.ID
		}
	}
	seen := map[string]int{}
	for broken := range 20 {
		in.Broken = map[string]int{piece: broken}
		got := take(t, in)
		orders := got.Orders(in.Catalogue, in.Today, nil, in.Placed)
		var found []Finding
		for _, f := range got.Shortages(in.Catalogue, in.Placed, orders) {
			if f.Where == "elm/bath1" {
				found = append(found, f)
			}
		}
		r := got.Rows[0]
		if (len(found) > 0) != (r.Boxes*10 > bought) {
			t.Fatalf("%d broken: %d boxes needed, %d bought: %v", broken, r.Boxes, bought/10, found)
		}
		if len(found) == 0 {
			seen[""]++
			continue
		}
		f := found[0]
		seen[f.Severity]++
		spare := bought - r.Stock - broken
		// The reference: cut pieces at 3 %, whole ones at 0.1 %.
		chance := 0.0
		for k := 0; k <= spare; k++ {
			chance += distuv.Binomial{N: float64(r.Cut), P: 0.03}.Prob(float64(k)) * distuv.Binomial{N: float64(r.Full), P: 0.001}.CDF(float64(spare-k))
		}
		if d := f.Value - chance; d > 1e-3 || d < -1e-3 {
			t.Errorf("%d broken: chance %v, want %v", broken, f.Value, chance)
		}
		want := Info
		switch {
		case spare < 0:
			want = Stop
		case chance < 0.98:
			want = Warn
		}
		if f.Severity != want || !strings.Contains(f.Message, fmt.Sprintf("%d broken so far", broken)) || !strings.Contains(f.Message, "order kiln-2 is for it") {
			t.Errorf("%d broken, %d spare: %s, want %s: %s", broken, spare, f.Severity, want, f.Message)
		}
	}
	if seen[""] == 0 || seen[Warn] == 0 || seen[Stop] == 0 {
		t.Errorf("findings by severity %v: the test shows too little", seen)
	}
}

// Back-buttering is decided after the mortar was ordered: the same room takes more
// than was bought. A room that comes along later is no shortage.
func TestShortagesOfMortar(t *testing.T) {
	in := bathJob(1)
	in.Placed = take(t, in).Orders(in.Catalogue, in.Today, nil, nil)
	said := func(in TakeIn) (n int) {
		got := take(t, in)
		for _, f := range got.Shortages(in.Catalogue, in.Placed, got.Orders(in.Catalogue, in.Today, nil, in.Placed)) {
			if f.Where == "fix" && f.Severity == Warn && strings.Contains(f.Message, "order depot-2 is for it") {
				n++
			}
		}
		return n
	}
	if n := said(in); n != 0 {
		t.Errorf("%d shortages of what was just ordered", n)
	}
	more := bathJob(2)
	more.Placed = in.Placed
	if n := said(more); n != 0 {
		t.Errorf("%d shortages for a room that came along later", n)
	}
	for i := range in.Layouts {
		in.Layouts[i].Zones[0].Zone.BackButter = true
	}
	if n := said(in); n != 1 {
		t.Errorf("%d shortages once the tiles are back-buttered, want 1", n)
	}
}
