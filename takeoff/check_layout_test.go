package takeoff

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"potlife/rooms"
)

// TestCheckLayoutAcceptsWhatIsLaid runs the check over random surfaces in every
// pattern.
func TestCheckLayoutAcceptsWhatIsLaid(t *testing.T) {
	patterns := everyPattern()
	checks(t, 25)
	rapid.Check(t, func(rt *rapid.T) {
		p := rapid.SampledFrom(patterns).Draw(rt, "pattern")
		in := startAnywhere(rt, roomWith(drawSurface(rt), p))
		l, err := LayOut(in)
		if err != nil {
			rt.Fatal(err)
		}
		if err := CheckLayout(l[0], in.Tiles); err != nil {
			rt.Fatal(err)
		}
	})
}

// TestCheckLayoutFindsWhatIsWrong spoils a good layout in each way the check
// knows.
func TestCheckLayoutFindsWhatIsWrong(t *testing.T) {
	good := func() (Layout, map[string]Tile) {
		in := wall(2000*lmm, 1000*lmm, box("t", 297*lmm, 197*lmm), rooms.Zone{})
		in.Room.Surfaces[0].Openings = []rooms.Opening{{Key: "o", Outline: rooms.Rect(700*lmm, 300*lmm, 900*lmm, 500*lmm), Gap: 3 * lmm, GapMax: 5 * lmm}}
		return lay(t, in), in.Tiles
	}
	fullPiece := func(l *Layout) *Piece {
		for i := range l.Zones[0].Pieces {
			if l.Zones[0].Pieces[i].Full {
				return &l.Zones[0].Pieces[i]
			}
		}
		return nil
	}
	cutPiece := func(l *Layout) *Piece {
		for i := range l.Zones[0].Pieces {
			if p := &l.Zones[0].Pieces[i]; len(p.Cuts) > 0 && p.Cuts[0].Sized {
				return p
			}
		}
		return nil
	}
	for _, c := range []struct {
		says  string
		spoil func(*Layout)
	}{
		{"cross at no piece", func(l *Layout) { l.Zones[0].Plumb = -lmm }},
		{"cross at no piece", func(l *Layout) { l.Zones[0].LevelLine += lmm }},
		{"stands twice", func(l *Layout) { l.Zones[0].Pieces[1].ID = l.Zones[0].Pieces[0].ID }},
		{"apart", func(l *Layout) { p := fullPiece(l); p.Polygon = p.Polygon.Moved(rooms.Point{X: 10 * rooms.Micrometre}) }},
		{"does not lie where", func(l *Layout) { fullPiece(l).Place.X += lmm }},
		{"leaves its cover", func(l *Layout) { p := cutPiece(l); p.Polygon = p.Polygon.Moved(rooms.Point{X: -lmm, Y: -lmm}) }},
		{"left bare", func(l *Layout) { l.Zones[0].Pieces = l.Zones[0].Pieces[:len(l.Zones[0].Pieces)-2] }},
		{"no cut", func(l *Layout) { cutPiece(l).Cuts = nil }},
		{"outside", func(l *Layout) { p := cutPiece(l); p.Cuts[0].Size = p.Cuts[0].Most + 1 }},
		{"and not its tile", func(l *Layout) { cutPiece(l).Full = true }},
		{"stated area", func(l *Layout) { fullPiece(l).AreaMM2 += 5 }},
		{"leaves the outline", func(l *Layout) { l.Outline.Outer = rooms.Rect(0, 0, 1900*lmm, 1000*lmm) }},
		{"enters opening", func(l *Layout) { l.Openings[0].Outline.Outer = rooms.Rect(690*lmm, 290*lmm, 910*lmm, 510*lmm) }},
		{"not simple", func(l *Layout) { o := fullPiece(l).Polygon.Outer; o[0], o[1] = o[1], o[0] }},
		{"does not exist", func(l *Layout) { fullPiece(l).Tile = "nothing" }},
		{"reaches into the soft joint", func(l *Layout) {
			b := fullPiece(l).Polygon.Outer.Box()
			l.Zones[0].Movement = []MovementJoint{{A: rooms.Point{X: b.Min.X + lmm}, B: rooms.Point{X: b.Min.X + lmm, Y: 1000 * lmm}, Width: 3 * lmm}}
		}},
		{"overlap", func(l *Layout) {
			l.Zones = append(l.Zones, l.Zones[0])
			l.Zones[1].Pieces = nil
			l.Zones[1].Cover = []rooms.Polygon{{Outer: rooms.Rect(100*lmm, 100*lmm, 200*lmm, 200*lmm)}}
		}},
	} {
		l, tiles := good()
		if err := CheckLayout(l, tiles); err != nil {
			t.Fatal(err)
		}
		c.spoil(&l)
		if err := CheckLayout(l, tiles); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("want a breach %q, got %v", c.says, err)
		}
	}
}

// TestCheckLayoutSoftJointEnds: a piece beyond the end of a soft joint is none of its own,
// nor one whose corner sticks into it no further than those of whole tiles may.
func TestCheckLayoutSoftJointEnds(t *testing.T) {
	in := roomWith(rooms.Surface{Key: "s", Kind: rooms.Wall, Measured: true, Outline: rooms.Rect(0, 0, 1000*lmm, 600*lmm)}, patternCase{"straight", 3 * lmm, []Tile{box("a", 197*lmm, 197*lmm)}})
	for _, c := range []struct {
		past, into rooms.Length
		want       bool
	}{
		{0, 0, true},
		{-lmm, 10 * lmm, true},                     // ends before the piece
		{lmm, 10 * lmm, false},                     // ends in it
		{197 * lmm, 50 * rooms.Micrometre, true},   // along its side
		{197 * lmm, 100 * rooms.Micrometre, false}, // a little in it
	} {
		l := lay(t, in)
		i := slices.IndexFunc(l.Zones[0].Pieces, func(p Piece) bool { return p.Full })
		b := l.Zones[0].Pieces[i].Polygon.Outer.Box()
		x := b.Min.X - 3*lmm/2 + c.into
		l.Zones[0].Movement = []MovementJoint{{A: rooms.Point{X: x, Y: b.Min.Y - 20*lmm}, B: rooms.Point{X: x, Y: b.Min.Y + c.past}, Width: 3 * lmm}}
		if err := CheckLayout(l, in.Tiles); (err == nil) != c.want {
			t.Errorf("%s past and %s into: %v", c.past, c.into, err)
		}
	}
}

// TestCheckLayoutWithoutJoints: hexagons that touch overlap by what rounding moves their
// corners; over a whole floor that comes to more than a square millimetre, and a piece that
// is a hundredth larger to more than it.
func TestCheckLayoutWithoutJoints(t *testing.T) {
	in := roomWith(rooms.Surface{Key: "s", Kind: rooms.Floor, Measured: true, Outline: rooms.Rect(0, 0, 5643*lmm, 1476*lmm)}, patternCase{"hexagon", 0, []Tile{hexagonTile("a", 60*12700)}})
	l := lay(t, in)
	if err := CheckLayout(l, in.Tiles); err != nil {
		t.Error(err)
	}
	c := &layoutCheck{tiles: in.Tiles}
	z := &l.Zones[0]
	for i := range z.Pieces[0].Polygon.Outer {
		z.Pieces[0].Polygon.Outer[i].X *= 3
	}
	z.Pieces[0].AreaMM2 = z.Pieces[0].Polygon.AreaMM2()
	if c.areas(z); len(c.problems) != 1 {
		t.Errorf("%v", c.problems)
	}
}
