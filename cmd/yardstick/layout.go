package main

import (
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"runtime"
	"strings"
	"time"

	"potlife/rooms"
	"potlife/takeoff"
)

func init() { register("layout", layout) }

// layoutLine is what one run prints.
type layoutLine struct {
	Pattern      string  `json:"pattern"`
	Tiles        int     `json:"tiles"`
	Full         int     `json:"full"`
	Cut          int     `json:"cut"`
	TileAreaMM2  float64 `json:"tile_area_mm2"`
	JointAreaMM2 float64 `json:"joint_area_mm2"`
	Seconds      float64 `json:"seconds"`
	Bytes        uint64  `json:"bytes"`
}

// layout lays about N tiles of 97 × 97 mm with 3 mm joints, or as near as the
// pattern comes, on a floor with a ragged outline and twelve openings. Seconds
// is the wall time of laying, corrections and gaps included; bytes is what was
// allocated on the way.
func layout(args []string, out io.Writer) error {
	flags := flag.NewFlagSet("layout", flag.ContinueOnError)
	tiles := flags.Int("tiles", 1000, "about how many tiles")
	pattern := flags.String("pattern", "straight", "pattern: "+strings.Join(takeoff.PatternNames(), ", "))
	seed := flags.Uint64("seed", 1, "seed of the outline")
	if err := flags.Parse(args); err != nil {
		return fmt.Errorf("%w: %v", errUsage, err)
	}
	if *tiles < 1 || *tiles > 5_000_000 {
		return fmt.Errorf("%w: -tiles %d; expected 1 to 5 000 000", errUsage, *tiles)
	}
	set, joint := tilesFor(*pattern)
	s, err := floorFor(*tiles, *seed, set, rooms.Zone{Key: "all", Tile: set[0].Key, Pattern: *pattern, Joint: joint})
	if err != nil {
		return err
	}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	start := time.Now()
	got, err := takeoff.CountTiles(&s, set, nil)
	took := time.Since(start)
	if err != nil {
		return err
	}
	runtime.ReadMemStats(&after)
	return json.NewEncoder(out).Encode(layoutLine{*pattern, got.Tiles, got.Full, got.Cut, got.TileAreaMM2, got.JointAreaMM2,
		took.Seconds(), after.TotalAlloc - before.TotalAlloc})
}

// floorFor is a ragged floor that takes about n tiles of the zone's pattern: the
// side is found on a smaller one and corrected once.
func floorFor(n int, seed uint64, set []takeoff.Tile, z rooms.Zone) (rooms.Surface, error) {
	perTile := 1.0 // modules
	for _, trial := range []float64{min(float64(n), 20_000), float64(n)} {
		s := raggedFloor(perTile*trial, seed)
		s.Zones = []rooms.Zone{z}
		got, err := takeoff.CountTiles(&s, set, nil)
		if err != nil || got.Tiles == 0 {
			return s, err
		}
		perTile *= trial / float64(got.Tiles)
	}
	s := raggedFloor(perTile*float64(n), seed)
	s.Zones = []rooms.Zone{z}
	return s, nil
}

// tilesFor are tiles in modules of 100 mm that suit a pattern.
func tilesFor(pattern string) ([]takeoff.Tile, rooms.Length) {
	mm := rooms.Millimetre
	box := func(key string, w, h rooms.Length) takeoff.Tile {
		return takeoff.Tile{Key: key, Shape: rooms.Rect(0, 0, w*mm, h*mm)}
	}
	switch base := strings.TrimRight(pattern, " 0123456789"); {
	case strings.Contains(base, "herringbone"), base == "basket weave":
		return []takeoff.Tile{box("a", 197, 97)}, 3 * mm
	case base == "pinwheel", base == "hopscotch":
		return []takeoff.Tile{box("a", 97, 97), box("b", 47, 47)}, 3 * mm
	case base == "modular two sizes":
		return []takeoff.Tile{box("a", 97, 97), box("b", 47, 47)}, 3 * mm
	case base == "modular three sizes":
		return []takeoff.Tile{box("a", 97, 97), box("b", 97, 47), box("c", 47, 47)}, 3 * mm
	case base == "modular four sizes":
		return []takeoff.Tile{box("a", 97, 97), box("b", 97, 47), box("c", 47, 47), box("d", 47, 97)}, 3 * mm
	case base == "hexagon":
		w, h := 97*mm, 112*mm
		return []takeoff.Tile{{Key: "a", Shape: rooms.Ring{{X: w / 2}, {X: w, Y: h / 4}, {X: w, Y: h - h/4}, {X: w / 2, Y: h}, {Y: h - h/4}, {Y: h / 4}}}}, 3 * mm
	case strings.HasPrefix(base, "octagon"):
		w, c := 97*mm, 28*mm
		return []takeoff.Tile{{Key: "a", Shape: rooms.Ring{{X: c}, {X: w - c}, {X: w, Y: c}, {X: w, Y: w - c}, {X: w - c, Y: w}, {X: c, Y: w}, {Y: w - c}, {Y: c}}},
			box("b", 37, 37)}, 3 * mm
	}
	return []takeoff.Tile{box("a", 97, 97)}, 3 * mm
}

// raggedFloor is a square floor of about n modules of 100 mm, each
// side broken into thirty uneven steps, with six round and six square openings.
func raggedFloor(n float64, seed uint64) rooms.Surface {
	r := rand.New(rand.NewPCG(seed, 4))
	side := rooms.Length(math.Sqrt(n) * 100 * float64(rooms.Millimetre))
	s := rooms.Surface{Key: "floor", Kind: rooms.Floor, Measured: true}
	const steps = 30
	dent := func() rooms.Length { return rooms.Length(r.Float64() * float64(side) / 40) }
	corner := [4]rooms.Point{{}, {X: side}, {X: side, Y: side}, {Y: side}}
	for k, a := range corner {
		b := corner[(k+1)%4]
		for i := range steps {
			p := rooms.Point{X: a.X + (b.X-a.X)*rooms.Length(i)/steps, Y: a.Y + (b.Y-a.Y)*rooms.Length(i)/steps}
			d := dent()
			if i == 0 {
				d = 0
			}
			switch k { // inwards
			case 0:
				p.Y += d
			case 1:
				p.X -= d
			case 2:
				p.Y -= d
			case 3:
				p.X += d
			}
			s.Outline = append(s.Outline, p)
			s.Edges = append(s.Edges, rooms.Edge{Meets: rooms.InsideCorner, Gap: 5 * rooms.Millimetre})
		}
	}
	for k := range 12 {
		c := rooms.Point{X: side/8 + side/4*rooms.Length(k%4), Y: side/6 + side/3*rooms.Length(k/4)}
		h := rooms.Length((0.01 + 0.03*r.Float64()) * float64(side))
		o := rooms.Opening{Key: fmt.Sprintf("o%d", k), Gap: 3 * rooms.Millimetre, Outline: rooms.Rect(c.X-h, c.Y-h, c.X+h, c.Y+h)}
		if k%2 == 0 {
			o.Outline = nil
			for i := range 24 {
				a := 2 * math.Pi * float64(i) / 24
				o.Outline = append(o.Outline, rooms.Point{X: c.X + rooms.Length(math.Cos(a)*float64(h)), Y: c.Y + rooms.Length(math.Sin(a)*float64(h))})
			}
		}
		s.Openings = append(s.Openings, o)
	}
	return s
}
