package takeoff

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"potlife/rooms"
)

// TestRandomRooms lays random rooms and takes them off: a floor and walls in every
// pattern, with borders, bands, panels and changes of tile as wide as chance has it,
// doorways in recesses, flush, at corners and as wide as their wall, niches, windows
// and drains. Whatever the outline allows must lay out and pass the checkers.
// POTLIFE_RANDOM_ROOMS=1000 goes through a thousand, POTLIFE_RANDOM_FROM=500 begins
// with the five hundredth.
func TestRandomRooms(t *testing.T) {
	from, n := fromEnv(t, "POTLIFE_RANDOM_FROM", 0), fromEnv(t, "POTLIFE_RANDOM_ROOMS", 19)
	for k := from; k < from+n; k++ {
		t.Run(strconv.Itoa(k), func(t *testing.T) {
			d := &roomDraw{Rand: rand.New(rand.NewPCG(uint64(k), 77)), tiles: map[string]Tile{}}
			in := d.room(k)
			layouts, err := LayOut(in)
			if err != nil {
				t.Fatalf("case %d: %v", k, err)
			}
			for i := range layouts {
				if err := CheckLayout(layouts[i], in.Tiles); err != nil {
					t.Errorf("case %d: %v", k, err)
				}
			}
			takenOff(t, in, layouts)
		})
	}
}

// fromEnv is a whole number from the environment.
func fromEnv(t *testing.T, name string, usual int) int {
	t.Helper()
	s := os.Getenv(name)
	if s == "" {
		return usual
	}
	n, err := strconv.Atoi(s)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return n
}

// takenOff takes laid surfaces off and holds the takeoff to its checker.
func takenOff(t *testing.T, in RoomToLay, layouts []Layout) {
	t.Helper()
	take := TakeIn{Catalogue: testCatalogue(), Today: day("2026-03-02"), Layouts: layouts, NestSteps: 2000,
		Jobs: []rooms.Job{{Key: in.Job, Sites: []rooms.Site{{Key: in.Site, Rooms: []rooms.Room{in.Room}}}}}}
	take.Catalogue.Tiles = nil
	for _, k := range sortedKeys(in.Tiles) {
		tile := in.Tiles[k]
		tile.Supplier = "kiln"
		take.Catalogue.Tiles = append(take.Catalogue.Tiles, tile)
	}
	got, err := Take(context.Background(), take)
	if err != nil {
		t.Error(err)
		return
	}
	if err := CheckTaken(got, take); err != nil {
		t.Error(err)
	}
}

// roomDraw draws rooms.
type roomDraw struct {
	*rand.Rand
	tiles   map[string]Tile
	surface string // the one drawn
}

// of is a length from … to in mm, a whole one or not.
func (d *roomDraw) of(from, to int) rooms.Length {
	l := rooms.Length(from+d.IntN(to-from+1)) * lmm
	if d.IntN(3) == 0 {
		l += rooms.Length(d.IntN(int(lmm)))
	}
	return l
}

func (d *roomDraw) chance(percent int) bool { return d.IntN(100) < percent }

// smallPatterns are the patterns with small tiles, which leave small zones something
// to be tiled with.
func smallPatterns() []patternCase {
	var out []patternCase
	for _, p := range everyPattern() {
		switch p.name {
		case "herringbone", "basket weave", "double herringbone 45":
			p.tiles = []Tile{box("a", 97*lmm, 47*lmm)}
		case "double herringbone", "herringbone 45":
			p.tiles = []Tile{box("a", 197*lmm, 47*lmm)}
		case "pinwheel":
			p.tiles = []Tile{box("a", 97*lmm, 97*lmm), box("b", 47*lmm, 47*lmm)}
		case "hexagon":
			p.tiles = []Tile{hexagonTile("a", 87*lmm)}
		case "octagon and dot", "modular two sizes", "modular three sizes", "modular four sizes", "mosaic sheets":
		default:
			p.tiles = []Tile{box("a", 97*lmm, 97*lmm)}
		}
		out = append(out, p)
	}
	return out
}

// zone is a zone in a pattern; its tiles are added to the room's.
func (d *roomDraw) zone(key string, n int) rooms.Zone {
	list := everyPattern()
	if d.chance(60) {
		list = smallPatterns()
	}
	p := list[n%len(list)]
	z := rooms.Zone{Key: key, Pattern: p.name, Joint: p.joint, Mortar: "fix", Grout: "fill", Sealant: "seal"}
	for i, tile := range p.tiles {
		tile.Key = fmt.Sprintf("%s-%s%d", d.surface, key, i)
		d.tiles[tile.Key] = tile
		if i == 0 {
			z.Tile = tile.Key
		} else {
			z.Tiles = append(z.Tiles, tile.Key)
		}
	}
	if d.chance(15) {
		z.Turn = []int{90, 45, 30, 7}[d.IntN(4)]
	}
	return z
}

// room is case k: its floor in pattern k, or its walls.
func (d *roomDraw) room(k int) RoomToLay {
	w, h := d.of(500, 1700), d.of(500, 1500)
	floor := rooms.Rect(0, 0, w, h)
	if d.chance(25) {
		floor = rooms.LFloor(w, h, d.of(50, int(w/lmm)-60), d.of(50, int(h/lmm)-60))
	}
	f := rooms.RoomForm{Room: "r", Floor: floor, Height: d.of(600, 1300)}
	for i := range floor {
		if d.chance(40) {
			f.Holes = append(f.Holes, d.hole(i, rooms.Distance(floor[i], floor[(i+1)%len(floor)]), f.Height))
		}
	}
	list, err := f.Surfaces()
	if err != nil {
		panic(err)
	}
	walls := d.chance(40)
	r := rooms.Room{Key: "r", Celsius: 20, People: 2}
	for i := range list {
		s := &list[i]
		s.Measured = true
		if flat := rooms.Flat(s.Kind); flat && walls || !flat && (!walls || len(r.Surfaces) > 1) {
			continue
		}
		if rooms.Flat(s.Kind) {
			d.recess(s)
		}
		d.zones(s, k)
		r.Surfaces = append(r.Surfaces, *s)
	}
	return RoomToLay{Job: "j", Site: "s", Room: r, Tiles: d.tiles}
}

// hole is a door, a window or a niche in a wall, often flush with an end of it.
func (d *roomDraw) hole(wall int, long, high rooms.Length) rooms.Hole {
	h := rooms.Hole{Key: fmt.Sprint("o", wall), Kind: []string{"door", "door", "window", "niche"}[d.IntN(4)], Wall: wall}
	h.W, h.H = min(d.of(60, 900), long), min(d.of(60, 900), high)
	h.X = rooms.Length(d.Int64N(int64(long-h.W) + 1))
	if h.Kind != "door" {
		h.Y = rooms.Length(d.Int64N(int64(high-h.H) + 1))
	}
	switch d.IntN(6) {
	case 0:
		h.X = 0
	case 1:
		h.X = long - h.W
	case 2:
		h.W, h.X = long, 0
	case 3:
		h.X = min(h.X, d.of(1, 12))
	}
	return h
}

// recess sets doorways back into their walls.
func (d *roomDraw) recess(s *rooms.Surface) {
	var ring rooms.Ring
	var edges []rooms.Edge
	for i, a := range s.Outline {
		b, e := s.Outline[(i+1)%len(s.Outline)], s.Edges[i]
		ring, edges = append(ring, a), append(edges, e)
		if e.Meets != rooms.Doorway || d.chance(30) {
			continue
		}
		p, q := rooms.Shift(a, b, d.of(1, 180), false)
		side := rooms.Perimeter()
		edges[len(edges)-1] = side
		ring, edges = append(ring, p, q), append(edges, e, side)
	}
	if ring.Validate() == nil {
		s.Outline, s.Edges = ring, edges
	}
}

// zones divides a surface in up to three ways.
func (d *roomDraw) zones(s *rooms.Surface, k int) {
	d.surface = s.Key
	b := s.Outline.Box()
	region := func(r rooms.Ring) {
		if r.Validate() == nil {
			z := d.zone(fmt.Sprint("x", len(s.Zones)), d.IntN(19))
			z.Region = r
			s.Zones = append(s.Zones, z)
		}
	}
	if d.chance(35) {
		line := s.Outline
		if d.chance(60) { // straight across the doorways
			var recesses []rooms.Ring
			line, recesses = rooms.PastRecesses(s.Outline, s.Edges)
			for _, r := range recesses {
				region(r)
			}
		}
		strips, err := rooms.Border(line, []rooms.Length{0, 0, d.of(1, 60)}[d.IntN(3)], []rooms.Length{100 * lmm, d.of(8, 160)}[d.IntN(2)], d.chance(30))
		border := d.zone("border", d.IntN(19))
		for i, strip := range strips {
			z := border
			z.Key, z.Region, z.Turn = fmt.Sprint("b", i), strip.Region, strip.Degrees
			if err == nil {
				s.Zones = append(s.Zones, z)
			}
		}
	}
	if d.chance(35) {
		x, y := d.of(int(b.Min.X/lmm), int(b.Max.X/lmm)-20), d.of(int(b.Min.Y/lmm), int(b.Max.Y/lmm)-20)
		region(rooms.Rect(x, y, min(b.Max.X, x+d.of(15, 700)), min(b.Max.Y, y+d.of(15, 700))))
	}
	if d.chance(35) { // another tile from a line on
		at := d.of(int(b.Min.X/lmm)+1, int(b.Max.X/lmm)-1)
		if d.chance(50) {
			at = b.Max.X - d.of(2, 40)
		}
		region(rooms.Rect(b.Min.X, b.Min.Y, at, b.Max.Y))
	}
	if d.chance(20) {
		from := d.of(int(b.Min.Y/lmm), int(b.Max.Y/lmm)-20)
		if r, err := rooms.Band(s.Outline, from, from+d.of(10, 200)); err == nil {
			region(r)
		}
	}
	if d.chance(20) {
		p := rooms.Point{X: d.of(int(b.Min.X/lmm), int(b.Max.X/lmm)), Y: d.of(int(b.Min.Y/lmm), int(b.Max.Y/lmm))}
		s.Openings = append(s.Openings, rooms.Opening{Key: "drain", Outline: rooms.Circle(p, d.of(10, 70), lmm/10), Gap: 2 * lmm, GapMax: 4 * lmm, Fill: rooms.FillSealant})
	}
	z := d.zone("field", k)
	if len(s.Zones) > 0 && d.chance(15) {
		z.Tile, z.Tiles = "", nil // what is left is not tiled
	}
	s.Zones = append(s.Zones, z)
}
