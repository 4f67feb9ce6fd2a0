package takeoff

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"potlife/rooms"
)

// asCuts makes cuts from intervals in tenths of a mm.
func asCuts(list [][2]int) []stopCut {
	var cuts []stopCut
	for i, v := range list {
		least, most := rooms.Length(v[0])*metricStops.fine, rooms.Length(v[1])*metricStops.fine
		p := &Piece{ID: fmt.Sprintf("p%02d", i), Cuts: []Cut{{Sized: true, Drawn: (least + most) / 2, Least: least, Most: most}}}
		cuts = append(cuts, stopCut{&takenPiece{Piece: p}, 0, least, most})
	}
	return cuts
}

func TestStopsTable(t *testing.T) {
	for _, c := range []struct {
		name  string
		cuts  [][2]int // tenths of a mm
		sizes []int    // settings in tenths of a mm
	}{
		{"one cut: its drawn size", [][2]int{{980, 1020}}, []int{1000}},
		{"two that overlap share", [][2]int{{980, 1020}, {1010, 1050}}, []int{1010}},
		{"a chain of three needs two", [][2]int{{980, 1020}, {1010, 1050}, {1040, 1080}}, []int{1010, 1060}},
		{"no whole mm in common: a tenth", [][2]int{{981, 1005}, {1003, 1008}}, []int{1003}},
		{"whole mm before the drawn tenth", [][2]int{{1003, 1021}}, []int{1010}},
		{"touching ends share", [][2]int{{980, 1000}, {1000, 1020}}, []int{1000}},
	} {
		t.Run(c.name, func(t *testing.T) {
			var got []int
			for _, s := range stab(asCuts(c.cuts), metricStops) {
				got = append(got, int(s.size/metricStops.fine))
			}
			if !slices.Equal(got, c.sizes) {
				t.Errorf("settings %v, want %v", got, c.sizes)
			}
		})
	}
}

// fewest finds the fewest settings, and among such choices the fewest that are
// no whole mm, by trying every set of right ends and of whole mm below them,
// which is enough: a setting may move up to the first right end it serves.
func fewest(list [][2]int) (settings, off int) {
	var sizes []int
	for _, v := range list {
		sizes = append(sizes, v[1])
		if w := v[1] / 10 * 10; w >= v[0] {
			sizes = append(sizes, w)
		}
	}
	slices.Sort(sizes)
	sizes = slices.Compact(sizes)
	settings = len(sizes) + 1
	for mask := range 1 << len(sizes) {
		n, odd := 0, 0
		for i, s := range sizes {
			if mask>>i&1 == 1 {
				n++
				if s%10 != 0 {
					odd++
				}
			}
		}
		if n > settings || n == settings && odd >= off {
			continue
		}
		all := true
		for _, v := range list {
			served := false
			for i, s := range sizes {
				served = served || mask>>i&1 == 1 && v[0] <= s && s <= v[1]
			}
			all = all && served
		}
		if all {
			settings, off = n, odd
		}
	}
	return settings, off
}

func TestStopsAgainstEverySet(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 1))
	for n := range 1500 {
		var list [][2]int
		for range 1 + rng.IntN(6) {
			a := 200 + rng.IntN(60)
			list = append(list, [2]int{a, a + rng.IntN(25)})
		}
		got := stab(asCuts(list), metricStops)
		off, served := 0, 0
		for _, s := range got {
			if s.size%mm != 0 {
				off++
			}
			served += len(s.cuts)
		}
		if settings, least := fewest(list); len(got) != settings || off != least || served != len(list) {
			t.Fatalf("case %d: %d settings, %d of them no whole mm, %d cuts served for %v; %d and %d do", n, len(got), off, served, list, settings, least)
		}
		for _, s := range got {
			for _, c := range s.cuts {
				if s.size < c.least || s.size > c.most {
					t.Fatalf("case %d: setting %s outside %s to %s", n, s.size, c.least, c.most)
				}
			}
		}
	}
}

func TestStopsImperial(t *testing.T) {
	in := bathJob(2)
	in.Imperial = true
	got := take(t, in)
	for _, s := range got.Stops {
		if s.Size%(4*rooms.SixtyFourth) != 0 {
			t.Errorf("stop at %s is no sixteenth of an inch", s.Size)
		}
	}
	if err := CheckTaken(got, in); err != nil {
		t.Error(err)
	}
}

func TestStopsLeaveWhatCannotBeSet(t *testing.T) {
	in := bathJob(1)
	p := &in.Layouts[0].Zones[0].Pieces[8]
	c := &p.Cuts[0]
	c.Least, c.Most = c.Drawn-5*rooms.Micrometre+50*rooms.Micrometre, c.Drawn+55*rooms.Micrometre
	got := take(t, in)
	q := got.Layouts[0].Zones[0].Pieces[8]
	if !q.OnSite || q.OnSiteWhy == "" {
		t.Errorf("a cut between %s and %s is made ahead at %s", c.Least, c.Most, q.Cuts[0].Size)
	}
	if p.OnSite {
		t.Error("the layout given was changed")
	}
	if err := CheckTaken(got, in); err != nil {
		t.Error(err)
	}
}
