package takeoff

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"potlife/rooms"
)

// drawOwn draws a pattern such as a job file may hold, with tiles that fit it:
// rows of tiles of one height and any widths, shifted course by course, or
// blocks of lying and of standing tiles in turn; and turns it.
func drawOwn(t *rapid.T) (Pattern, []Tile) {
	if rapid.Bool().Draw(t, "blocks") {
		return drawBlocks(t)
	}
	return drawRows(t)
}

// drawRows: the widths of a row in some order, those of the next rows in others,
// each row begun anywhere along the one below.
func drawRows(t *rapid.T) (Pattern, []Tile) {
	h := drawLength(t, "height", 60, 200)
	n := rapid.IntRange(1, 3).Draw(t, "widths")
	var tiles []Tile
	all := ""
	for i := range n {
		tiles = append(tiles, box(string(rune('a'+i)), drawLength(t, "width", 60, 400), h))
		all += "+" + measure("W", i) + "+J"
	}
	p := Pattern{Name: "own", Tiles: n, U: [2]string{all[1:], "0"}, Turn: drawTurn(t)}
	rows := rapid.IntRange(1, 3).Draw(t, "rows")
	for r := range rows {
		x := fmt.Sprintf("%d/7W+%d/5J", rapid.IntRange(0, 6).Draw(t, "shift"), rapid.IntRange(0, 4).Draw(t, "joints"))
		for _, i := range rapid.Permutation([]int{0, 1, 2}[:n]).Draw(t, "order") {
			p.Members = append(p.Members, Member{Tile: i, X: x, Y: fmt.Sprintf("%dH+%dJ", r, r), Course: r})
			x += "+" + measure("W", i) + "+J"
		}
	}
	p.Courses = rows
	p.V = [2]string{fmt.Sprintf("%d/9W", rapid.IntRange(0, 8).Draw(t, "skew")), fmt.Sprintf("%dH+%dJ", rows, rows)}
	return p, tiles
}

// drawBlocks: n tiles lie on each other beside m that stand, all as high as n
// are; the next course begins one block further on, or anywhere.
func drawBlocks(t *rapid.T) (Pattern, []Tile) {
	n, m := rapid.IntRange(2, 4).Draw(t, "lying"), rapid.IntRange(1, 3).Draw(t, "standing")
	h, joint := drawLength(t, "height", 30, 90), 3*lmm
	w := rooms.Length(n)*h + rooms.Length(n-1)*joint // a standing tile is as high as n lying ones
	p := Pattern{Name: "own", Turn: drawTurn(t), U: [2]string{fmt.Sprintf("W+J+%dH+%dJ", m, m), "0"},
		V: [2]string{fmt.Sprintf("%d/4W", rapid.IntRange(0, 4).Draw(t, "skew")), "W+J"}}
	for i := range n {
		p.Members = append(p.Members, Member{X: "0", Y: fmt.Sprintf("%dH+%dJ", i, i)})
	}
	for i := range m {
		p.Members = append(p.Members, Member{X: fmt.Sprintf("W+J+%dH+%dJ", i, i), Y: "0", Turn: 90})
	}
	return p, []Tile{box("a", w, h)}
}

func drawTurn(t *rapid.T) int { return rapid.SampledFrom([]int{0, 0, 90, 45, 30, 263}).Draw(t, "turn") }

// measure names a measure of the i-th tile.
func measure(name string, i int) string {
	if i == 0 {
		return name
	}
	return fmt.Sprint(name, i+1)
}

// TestOwnPatternsAgainstSimplefeatures is TestEveryPatternAgainstSimplefeatures
// for patterns that a job file holds itself: random cells on random surfaces.
func TestOwnPatternsAgainstSimplefeatures(t *testing.T) {
	checks(t, 12)
	rapid.Check(t, func(rt *rapid.T) {
		pattern, tiles := drawOwn(rt)
		in := startAnywhere(rt, roomWith(drawSurface(rt), patternCase{pattern.Name, 3 * lmm, tiles}))
		in.Patterns = map[string]Pattern{pattern.Name: pattern}
		layouts, err := LayOut(in)
		if err != nil {
			rt.Fatalf("%v (%+v)", err, pattern)
		}
		if len(layouts[0].Zones) == 0 {
			return // openings have taken all of it
		}
		if err := CheckLayout(layouts[0], in.Tiles); err != nil {
			rt.Fatal(err)
		}
		if why := layouts[0].Zones[0].Why; in.Room.Surfaces[0].Zones[0].Datum.Up != rooms.At && !strings.Contains(why, "ruled out") && !strings.Contains(why, "across: ") {
			rt.Fatalf("does not say how it was found: %s", why)
		}
		againstReference(rt, in, layouts[0])
		identity(rt, layouts[0])
		apart(rt, layouts[0].Zones[0])
	})
}

// TestNoOriginIsBetterOfOwnPatterns holds the search of random patterns on random
// surfaces against random origins, to the mm that windows leave undecided.
func TestNoOriginIsBetterOfOwnPatterns(t *testing.T) {
	checks(t, 12)
	rapid.Check(t, func(rt *rapid.T) {
		pattern, tiles := drawOwn(rt)
		in := roomWith(drawSurface(rt), patternCase{pattern.Name, 3 * lmm, tiles})
		in.Patterns = map[string]Pattern{pattern.Name: pattern}
		s := &in.Room.Surfaces[0]
		work, err := prepareSurface(in, s, viewOf(&in.Room))
		if err != nil {
			rt.Fatal(err)
		}
		z := work.layers[0]
		if len(z.ground.cover) == 0 {
			return
		}
		c := z.newCellSearch(s, z.searchBase(rooms.Datum{}), [2]bool{true, true})
		ruled, err := c.run()
		if err != nil {
			rt.Fatal(err)
		}
		r := rand.New(rand.NewPCG(8, 4))
		for range 40 {
			o := anyOrigin(r, z.lay)
			got, err := z.fill.fill(o)
			if err != nil {
				rt.Fatal(err)
			}
			q := z.judge(s, got)
			if ruled == 1 && clearlyBetter(q, c.best) {
				rt.Fatalf("%+v: %v ranks %v, best found %v", pattern, o, q, c.best)
			}
		}
	})
}
