package takeoff

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/peterstace/simplefeatures/geom"

	"potlife/rooms"
)

// raggedFloor is a square floor of about n modules of 300 mm, its sides broken
// into uneven steps, with twelve openings.
func raggedFloor(n int, p patternCase) (rooms.Surface, []Tile) {
	r := rand.New(rand.NewPCG(7, 7))
	side := rooms.Length(math.Sqrt(float64(n)) * float64(200*lmm))
	s := rooms.Surface{Key: "floor", Kind: rooms.Floor, Measured: true}
	for k := range 4 {
		by := turnBy(90 * k)
		for i := range 25 {
			d := rooms.Length(r.Float64() * float64(side) / 40)
			q := by.apply(rooms.Point{X: side*rooms.Length(i)/25 - side/2, Y: d - side/2})
			if i == 0 {
				q = by.apply(rooms.Point{X: -side / 2, Y: -side / 2})
			}
			s.Outline = append(s.Outline, rooms.Point{X: q.X + side/2, Y: q.Y + side/2})
			s.Edges = append(s.Edges, rooms.Edge{Gap: 5 * lmm})
		}
	}
	for k := range 12 {
		x, y := side/8+side/4*rooms.Length(k%4), side/6+side/3*rooms.Length(k/4)
		w := side/100 + rooms.Length(r.Float64()*float64(side)/40)
		s.Openings = append(s.Openings, rooms.Opening{Key: fmt.Sprint(k), Gap: 3 * lmm, Outline: rooms.Rect(x-w, y-w, x+w, y+w)})
	}
	s.Zones = []rooms.Zone{{Key: "z", Tile: p.tiles[0].Key, Pattern: p.name, Joint: p.joint}}
	return s, p.tiles
}

// BenchmarkPattern counts floors of 10³ … 10⁶ modules in every pattern.
func BenchmarkPattern(b *testing.B) {
	for _, p := range everyPattern() {
		for _, n := range []int{1e3, 1e4, 1e5, 1e6} {
			b.Run(fmt.Sprintf("%s-%d", strings.NewReplacer(" ", "_", "/", "-").Replace(p.name), n), func(b *testing.B) {
				s, tiles := raggedFloor(n, p)
				b.ReportAllocs()
				for b.Loop() {
					c, err := CountTiles(&s, tiles, nil)
					if err != nil {
						b.Fatal(err)
					}
					b.ReportMetric(float64(c.Tiles), "tiles")
				}
			})
		}
	}
}

// BenchmarkAgainstSimplefeatures lays the same floor by the engine and by
// clipping every tile with the reference library, and compares the areas.
func BenchmarkAgainstSimplefeatures(b *testing.B) {
	p := everyPattern()[0]
	s, tiles := raggedFloor(1e3, p)
	var ours Counted
	b.Run("engine", func(b *testing.B) {
		for b.Loop() {
			var err error
			if ours, err = CountTiles(&s, tiles, nil); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("every_tile", func(b *testing.B) {
		for b.Loop() {
			if area := clipEveryTile(b, &s, tiles); math.Abs(area-ours.TileAreaMM2) > 5 {
				b.Fatalf("%.2f mm² by the reference, %.2f by the engine", area, ours.TileAreaMM2)
			}
		}
	})
}

// clipEveryTile adds up the intersections of every tile with the cover.
func clipEveryTile(b *testing.B, s *rooms.Surface, tiles []Tile) float64 {
	g, err := groundOf(s, nil)
	if err != nil {
		b.Fatal(err)
	}
	pattern, _ := PatternNamed(s.Zones[0].Pattern, nil)
	lay, err := pattern.build(tiles, s.Zones[0].Joint, false, 0)
	if err != nil {
		b.Fatal(err)
	}
	f := newFiller(lay, g.cover)
	cover := asGeom(b, g.cover...)
	n := int(rooms.BoxOf(g.cover).Width()/(200*lmm)) + 2
	sum := 0.0
	for row := -1; row < n; row++ {
		for i := -1; i < n; i++ {
			x, err := geom.Intersection(asGeom(b, rooms.Polygon{Outer: f.tileAt(row, 0, i)}), cover)
			if err != nil {
				b.Fatal(err)
			}
			sum += x.Area()
		}
	}
	return sum
}

// BenchmarkBathroom lays the six surfaces of a bathroom from their best origins.
func BenchmarkBathroom(b *testing.B) {
	in := bathroom()
	for b.Loop() {
		if _, err := LayOut(in); err != nil {
			b.Fatal(err)
		}
	}
}

// bathroom is a room of 2.4 × 1.8 × 2.4 m: four walls in an offset pattern, one
// with a window, one with a door, one with a niche and valves; a floor; a shower
// floor of mosaic.
func bathroom() RoomToLay {
	e := func(meets string, gap rooms.Length) rooms.Edge {
		return rooms.Edge{Meets: meets, Gap: gap * lmm, GapMin: gap / 2 * lmm, GapMax: (gap + 3) * lmm}
	}
	wall := func(key string, w rooms.Length, openings ...rooms.Opening) rooms.Surface {
		return rooms.Surface{Key: key, Kind: rooms.Wall, Outline: rooms.Rect(0, 0, w*lmm, 2400*lmm), Measured: true, Openings: openings,
			Edges: []rooms.Edge{e(rooms.AtFloor, 4), e(rooms.InsideCorner, 4), e(rooms.AtCeiling, 5), e(rooms.InsideCorner, 4)},
			Zones: []rooms.Zone{{Key: "z", Tile: "wall", Pattern: "offset 1/3", Joint: 3 * lmm}}}
	}
	hole := func(key string, x0, y0, x1, y1 rooms.Length) rooms.Opening {
		return rooms.Opening{Key: key, Gap: 3 * lmm, GapMax: 5 * lmm, Outline: rooms.Rect(x0*lmm, y0*lmm, x1*lmm, y1*lmm)}
	}
	floor := rooms.Surface{Key: "floor", Kind: rooms.Floor, Outline: rooms.Rect(0, 0, 2400*lmm, 1800*lmm), Measured: true,
		Edges: []rooms.Edge{e(rooms.InsideCorner, 6), e(rooms.Doorway, 3), e(rooms.InsideCorner, 6), e(rooms.InsideCorner, 6)},
		Zones: []rooms.Zone{{Key: "z", Tile: "floor", Pattern: "straight", Joint: 3 * lmm}}, Openings: []rooms.Opening{hole("pan", 1900, 1100, 2150, 1350)}}
	shower := rooms.Surface{Key: "shower", Kind: rooms.ShowerFloor, Outline: rooms.Rect(0, 0, 900*lmm, 900*lmm), Measured: true,
		Edges: []rooms.Edge{e(rooms.InsideCorner, 5), e(rooms.InsideCorner, 5), e(rooms.InsideCorner, 5), e(rooms.InsideCorner, 5)},
		Zones: []rooms.Zone{{Key: "z", Tile: "small", Pattern: "straight", Joint: 3 * lmm}}, Openings: []rooms.Opening{hole("drain", 400, 400, 500, 500)}}
	return RoomToLay{Job: "j", Room: rooms.Room{Key: "bath", Surfaces: []rooms.Surface{
		wall("north", 2400, hole("window", 800, 1100, 1600, 2000)), wall("east", 1800, hole("door", 500, 0, 1300, 2050)),
		wall("south", 2400, hole("niche", 900, 1000, 1500, 1300), hole("valve", 400, 1000, 520, 1120)), wall("west", 1800), floor, shower}},
		Tiles: map[string]Tile{"wall": box("wall", 297*lmm, 97*lmm), "floor": box("floor", 297*lmm, 297*lmm), "small": box("small", 47*lmm, 47*lmm)}}
}

func TestBathroom(t *testing.T) {
	in := bathroom()
	ls, err := LayOut(in)
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range ls {
		if err := CheckLayout(l, in.Tiles); err != nil {
			t.Error(err)
		}
		if len(l.Zones[0].Pieces) == 0 || l.Zones[0].Why == "" {
			t.Errorf("%s: %d pieces, why %q", l.Surface, len(l.Zones[0].Pieces), l.Zones[0].Why)
		}
	}
}

// FuzzOutline: any outline of up to 200 points either is refused with a rule
// and a place, or is laid and passes the check.
func FuzzOutline(f *testing.F) {
	f.Add([]byte{0, 0, 200, 0, 200, 150, 0, 150}, uint8(0))
	f.Add([]byte{0, 0, 90, 10, 200, 0, 120, 70, 200, 150, 100, 100, 0, 150, 60, 70}, uint8(6))
	f.Add([]byte{0, 0, 255, 1, 254, 2, 1, 3}, uint8(13))
	patterns := everyPattern()
	f.Fuzz(func(t *testing.T, data []byte, which uint8) {
		s := rooms.Surface{Key: "s", Kind: rooms.Floor, Measured: true}
		for i := 0; i+1 < len(data) && i < 400; i += 2 {
			s.Outline = append(s.Outline, rooms.Point{X: rooms.Length(data[i]) * 9876 * 8, Y: rooms.Length(data[i+1]) * 9999 * 8})
			s.Edges = append(s.Edges, rooms.Edge{Gap: rooms.Length(data[i]%8) * lmm})
		}
		in := roomWith(s, patterns[int(which)%len(patterns)])
		l, err := LayOut(in)
		if err != nil {
			if !strings.Contains(err.Error(), "(") || !strings.Contains(err.Error(), "outline of s") {
				t.Fatalf("refused without rule and place: %v", err)
			}
			return
		}
		if err := CheckLayout(l[0], in.Tiles); err != nil {
			t.Fatal(err)
		}
	})
}
