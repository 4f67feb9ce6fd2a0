package scheduler

import (
	"slices"
	"strings"
	"testing"

	"potlife/rooms"
	"potlife/takeoff"
)

// wetDay is where a piece is sawn and where it is set.
type wetDay struct {
	crew     string
	saw, set rooms.Date
}

// wetDays finds, of the pieces of a plan that are not measured on site and are sawn
// wet, the last day on which one is sawn and the day on which it is set.
func wetDays(p *Plan) map[string]wetDay {
	clock, out, areas := clockOf(p), map[string]wetDay{}, areaOfPiece(p)
	for _, s := range p.Sheets {
		for _, g := range s.Cuts {
			if g.Tool != takeoff.WetSaw && g.Tool != takeoff.HoleSaw {
				continue
			}
			for _, id := range g.Pieces {
				a := areas[id]
				out[id] = wetDay{a.Crew, later(out[id].saw, s.Date), clock.Day(a.Start)}
			}
		}
	}
	return out
}

func waitsOf(p *Plan, crew string, date rooms.Date, words string) (list []Wait) {
	for _, s := range p.Sheets {
		if s.Crew != crew || s.Date != date {
			continue
		}
		for _, w := range s.Waits {
			if strings.Contains(w.Why, words) {
				list = append(list, w)
			}
		}
	}
	return list
}

// What is sawn wet stands on an earlier sheet of its crew wherever there is one on
// whose day its tile has come, however many days lie between; what is sawn on the
// day on which it is set waits on that day's sheet, at least as long as it dries.
func TestWetPiecesAreSawnTheDayBefore(t *testing.T) {
	before, same := 0, 0
	for seed := uint64(1); seed <= 5; seed++ {
		in := small(t, seed, 2)
		p := made(t, in)
		ready := map[takeoff.Use]rooms.Date{}
		for i := range p.Orders {
			for k := range p.Orders[i].Lines {
				l := &p.Orders[i].Lines[k]
				for _, r := range l.Rooms {
					use := takeoff.Use{Product: l.Product, Room: r}
					ready[use] = later(ready[use], p.Orders[i].ReadyOf(l))
				}
			}
		}
		pieces, clock := indexPieces(p.Layouts), clockOf(p)
		for id, d := range wetDays(p) {
			if d.saw.Before(d.set) {
				before++
				continue
			}
			same++
			use := takeoff.Use{Product: pieces[id].Tile, Room: roomOfSurface(pieces[id].surface)}
			for _, s := range p.Sheets {
				if s.Crew == d.crew && s.Date.Before(d.set) && !ready[use].IsZero() && !s.Date.Before(ready[use]) {
					t.Errorf("seed %d: %s is sawn on %s, the day it is set, though %s works on %s and the tile is there from %s", seed, id, d.set, d.crew, s.Date, ready[use])
				}
			}
			waits := waitsOf(p, d.crew, d.set, "sawn wet first")
			if !slices.ContainsFunc(waits, func(w Wait) bool {
				return w.Room == use.Room && w.Until >= clock.DayStart(d.set)+defaultSawDry
			}) {
				t.Errorf("seed %d: %s is sawn and set on %s, and its sheet names no wait for it: %v", seed, id, d.set, waits)
			}
		}
	}
	if before == 0 || same == 0 {
		t.Errorf("%d pieces are sawn before and %d on their day: the test shows too little", before, same)
	}
}

// The minute is that of the first work, the cuts and the drying: 2 pieces with one
// wet cut of 5 min each at the share of a listed one, 0.6, take 6 min, and the firm's
// hour follows; a tile's own sheet goes before the firm's figure and a mortar's too,
// the longer of them.
func TestDryingTime(t *testing.T) {
	wet := func(id string) *indexedPiece {
		return &indexedPiece{Piece: &takeoff.Piece{ID: id, Tile: "white", Cuts: []takeoff.Cut{{Tool: takeoff.WetSaw, Sized: true}}}, surface: "job/bath/north"}
	}
	for _, tt := range []struct {
		name               string
		firm, tile, mortar int
		until, waits       int
		why                string
	}{
		{"the firm's hour", 60, 0, 0, 480 + 6 + 60, 1, "sawn wet first, dry 60 min, wiped: then set, last the 1 whose turn comes sooner"},
		{"the tile's sheet", 60, 15, 0, 480 + 6 + 15, 1, "dry 15 min, wiped: then set in their turn"},
		{"the longer of tile and mortar", 60, 15, 240, 480 + 6 + 240, 1, "dry 4 h, wiped: then set last"},
		{"none", -1, 0, 0, 0, 0, ""},
		{"the tile's sheet says none", 60, -1, 0, 0, 0, ""},
	} {
		date := day("2026-03-16")
		m := &maker{tiles: map[string]takeoff.Tile{"white": {SawDry: tt.tile}}, products: map[string]takeoff.Product{"bed": {Sheet: takeoff.DataSheet{SawDry: tt.mortar}}}, limits: Limits{SawDry: tt.firm}.filled()}
		m.clock = Clock{date.In(zone(t, "Europe/Berlin")), zone(t, "Europe/Berlin")}
		m.works = &works{rates: Rates{PerCutWet: 5}, tiles: m.tiles, products: m.products, limits: m.limits}
		act := Activity{ID: "a", Room: "job/bath", Work: []Interval{{480, 700}}}
		area := &Area{ID: "a/area", Activity: "a", Mortar: "bed", Start: 480, Finish: 700, Pieces: []string{"1", "2"},
			Patches: []Patch{{Pieces: []string{"1"}, Start: 510}, {Pieces: []string{"2"}, Start: 550}}}
		sh := &Sheet{Date: date, Activities: []string{"a"}, Areas: []string{"a/area"}, Cuts: []CutGroup{{Tool: takeoff.WetSaw, Pieces: []string{"1", "2"}}}}
		s := &sheeter{maker: m, days: map[sheetDay]*Sheet{{date, ""}: sh}, order: []sheetDay{{date, ""}}, byID: map[string]*Activity{"a": &act},
			areaOf: map[string]*sheetArea{"a/area": {Area: area, pieces: []*indexedPiece{wet("1"), wet("2")}}}}
		s.drying()
		if len(sh.Waits) != tt.waits {
			t.Errorf("%s: %d waits, want %d", tt.name, len(sh.Waits), tt.waits)
			continue
		}
		if tt.waits > 0 && (sh.Waits[0].Until != tt.until || !strings.HasSuffix(sh.Waits[0].Why, tt.why)) {
			t.Errorf("%s: until %d, %q; want %d, %q", tt.name, sh.Waits[0].Until, sh.Waits[0].Why, tt.until, tt.why)
		}
	}
}

// A saw waits for the hours in which its site allows loud work, goes on in the next
// of them, and runs in the yard for what they do not hold.
func TestSawWaitsForLoudHours(t *testing.T) {
	date := day("2026-03-16")
	m := &maker{}
	m.works = &works{clock: Clock{date.In(zone(t, "Europe/Berlin")), zone(t, "Europe/Berlin")}, noise: map[string]*window{"quiet": {open: []Interval{{540, 690}, {780, 900}, {1980, 2130}}}, "free": {}}}
	for _, tt := range []struct {
		name, site        string
		at, minutes, want int
	}{
		{"no hours", "free", 420, 30, 450},
		{"a site that is not known", "other", 420, 30, 450},
		{"nothing to cut", "quiet", 420, 0, 420},
		{"before they begin", "quiet", 420, 30, 570},
		{"within", "quiet", 600, 30, 630},
		{"over the noon", "quiet", 680, 30, 800},
		{"longer than the day", "quiet", 480, 300, 930},
		{"after they end", "quiet", 960, 20, 980},
		{"a day without any", "quiet", 2940, 20, 2960},
	} {
		if got := m.works.sawnBy(tt.site, tt.at, tt.minutes); got != tt.want {
			t.Errorf("%s: sawn by minute %d, want %d", tt.name, got, tt.want)
		}
	}
}

// A wall whose right column is measured on site and sawn wet is set without it, and
// that column last; a measured piece on which another rests keeps its turn.
func TestMeasuredWetPiecesComeLast(t *testing.T) {
	cuts := []takeoff.Cut{{Tool: takeoff.WetSaw}}
	at := func(id string, row, hops int, measured bool) *item {
		p := &takeoff.Piece{ID: id, OnSite: measured}
		if measured {
			p.Cuts = cuts
		}
		x, y := rooms.Length(hops)*200*mm, rooms.Length(row)*200*mm
		return &item{piece: p, row: row, hops: hops, lo: rooms.Point{X: x, Y: y}, hi: rooms.Point{X: x + 198*mm, Y: y + 198*mm}, joint: 2 * mm, surface: "s"}
	}
	part := []*item{
		at("a1", 0, 0, false), at("a2", 0, 1, true), // the second bears b2, which is whole
		at("b1", 1, 0, false), at("b2", 1, 1, false), at("b3", 1, 2, true),
		at("c1", 2, 0, false), at("c2", 2, 1, false), at("c3", 2, 2, true), // on b3, measured itself
	}
	rel := relate(part)
	var got []string
	for _, it := range rel.sawnLast(rel.steps()) {
		got = append(got, it.piece.ID)
	}
	if !slices.Equal(got[6:], []string{"b3", "c3"}) {
		t.Errorf("set in the order %v, want b3 and c3 last", got)
	}
	if slices.Index(got, "a2") > slices.Index(got, "b2") {
		t.Errorf("a2 bears b2 and is set after it: %v", got)
	}
}
