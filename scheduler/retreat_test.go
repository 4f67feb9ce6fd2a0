package scheduler

import (
	"math/rand/v2"
	"strings"
	"testing"

	"potlife/rooms"
	"potlife/takeoff"
)

// floorOf draws a floor as letters: each letter is a tile of 200 mm of that zone, a space is none; the first line is the
// far side. It returns the layout with the letters' places.
func floorOf(lines ...string) *takeoff.Layout {
	const side, joint = 200 * mm, 3 * mm
	l := &takeoff.Layout{Surface: "j/r/w"}
	zone := map[rune]int{}
	wide := rooms.Length(0)
	for row, line := range lines {
		for col, c := range line {
			if c == ' ' {
				continue
			}
			at, ok := zone[c]
			if !ok {
				at = len(l.Zones)
				zone[c] = at
				l.Zones = append(l.Zones, takeoff.ZoneLayout{Zone: rooms.Zone{Key: string(c), Pattern: "straight", Joint: joint, Mortar: "bed"}})
			}
			x, y := rooms.Length(col)*(side+joint), rooms.Length(len(lines)-1-row)*(side+joint)
			z := &l.Zones[at]
			z.Pieces = append(z.Pieces, takeoff.Piece{ID: string(c) + string(rune('0'+row)) + string(rune('0'+col)), Full: true, Tile: "small", AreaMM2: 40_000,
				Polygon: rooms.Polygon{Outer: rooms.Ring{{X: x, Y: y}, {X: x + side, Y: y}, {X: x + side, Y: y + side}, {X: x, Y: y + side}}}})
			wide = max(wide, x+side)
		}
	}
	high := rooms.Length(len(lines))*(side+joint) - joint
	l.Outline = rooms.Polygon{Outer: rooms.Ring{{}, {X: wide}, {X: wide, Y: high}, {Y: high}}}
	return l
}

// doorAt is a floor one leaves through the lower side of the tile at a place of the drawing.
func doorAt(l *takeoff.Layout, line, col, lines int) *rooms.Surface {
	x, y := rooms.Length(col)*203*mm, rooms.Length(lines-1-line)*203*mm
	s := &rooms.Surface{Key: "w", Kind: rooms.Floor, Outline: append(rooms.Ring{{X: x, Y: y}, {X: x + 200*mm, Y: y}}, l.Outline.Outer[1:]...)}
	s.Edges = make([]rooms.Edge, len(s.Outline))
	s.Edges[0].Meets = rooms.Doorway
	return s
}

func orderOnFloor(l *takeoff.Layout, s *rooms.Surface) (ids []string) {
	for _, it := range ordered(blocksOf(l, s, plainItem)) {
		ids = append(ids, it.piece.ID)
	}
	return ids
}

func TestFloorsAreLeftBySteps(t *testing.T) {
	tests := []struct {
		name  string
		lines []string
		line  int // of the door
		col   int
		want  string
	}{
		{"the last strip runs to the door", []string{"aa", "aa", "aa"}, 2, 1, "a00 a01 a10 a11 a20 a21"},
		{"the far zone first", []string{"bb", "bb", "aa"}, 2, 0, "b00 b01 b10 b11 a21 a20"},
		{"the zone at the door last", []string{"aa", "aa", "bb"}, 2, 1, "a00 a01 a10 a11 b20 b21"},
		{"an arm beside the door's", []string{"aaa", "a  ", "a  "}, 2, 0, "a02 a01 a00 a10 a20"},
		{"up, across and down", []string{"aaa", "a a", "a a"}, 2, 0, "a22 a12 a02 a01 a00 a10 a20"},
		{"two halves, the one without the door first", []string{"ab", "ab", "ab"}, 2, 1, "a00 a10 a20 b01 b11 b21"},
	}
	for _, tt := range tests {
		l := floorOf(tt.lines...)
		got := strings.Join(orderOnFloor(l, doorAt(l, tt.line, tt.col, len(tt.lines))), " ")
		if got != tt.want {
			t.Errorf("%s: %s, want %s", tt.name, got, tt.want)
		}
	}
}

// However rooms and zones lie, before each piece the setter stands on unset floor beside it and can leave over such.
func TestWayOutOnRandomFloors(t *testing.T) {
	for seed := range uint64(600) {
		r := rand.New(rand.NewPCG(seed, 9))
		lines, door := randomFloor(r)
		l := floorOf(lines...)
		ids := orderOnFloor(l, doorAt(l, door[0], door[1], len(lines)))
		open := map[[2]int]bool{}
		for _, id := range ids {
			open[[2]int{int(id[1] - '0'), int(id[2] - '0')}] = true
		}
		for k, id := range ids {
			at := [2]int{int(id[1] - '0'), int(id[2] - '0')}
			delete(open, at)
			if len(open) > 0 && !leads(open, at, door) {
				t.Fatalf("seed %d: piece %d, %s, of\n%s\ndoor at line %d, column %d: no way out; order %v", seed, k, id, strings.Join(lines, "\n"), door[0], door[1], ids)
			}
		}
		if last := ids[len(ids)-1]; int(last[1]-'0') != door[0] || int(last[2]-'0') != door[1] {
			t.Fatalf("seed %d: the last piece %s is not at the door %v of\n%s", seed, last, door, strings.Join(lines, "\n"))
		}
	}
}

// leads reports whether one who has just set the piece at a place stands beside it on open floor, all of which
// leads to the door.
func leads(open map[[2]int]bool, at, door [2]int) bool {
	if !open[door] {
		return false
	}
	seen := map[[2]int]bool{door: true}
	for queue := [][2]int{door}; len(queue) > 0; queue = queue[1:] {
		for _, d := range [][2]int{{0, 1}, {1, 0}, {0, -1}, {-1, 0}} {
			next := [2]int{queue[0][0] + d[0], queue[0][1] + d[1]}
			if open[next] && !seen[next] {
				seen[next] = true
				queue = append(queue, next)
			}
		}
	}
	beside := false
	for _, d := range [][2]int{{0, 1}, {1, 0}, {0, -1}, {-1, 0}} {
		beside = beside || open[[2]int{at[0] + d[0], at[1] + d[1]}]
	}
	return beside && len(seen) == len(open)
}

// randomFloor grows a floor of up to 40 tiles in up to three zones, with a door under one of its tiles.
func randomFloor(r *rand.Rand) (lines []string, door [2]int) {
	high, wide := 2+r.IntN(7), 2+r.IntN(7)
	cells := make([][]rune, high)
	for i := range cells {
		cells[i] = []rune(strings.Repeat(" ", wide))
	}
	at := [2]int{r.IntN(high), r.IntN(wide)}
	zones := 1 + r.IntN(3)
	place := func(c [2]int) {
		cells[c[0]][c[1]] = 'a' + rune((c[0]*zones/high+c[1]*r.IntN(2))%zones)
	}
	place(at)
	placed := [][2]int{at}
	for range 10 + r.IntN(120) {
		c := placed[r.IntN(len(placed))]
		d := [][2]int{{0, 1}, {1, 0}, {0, -1}, {-1, 0}}[r.IntN(4)]
		next := [2]int{c[0] + d[0], c[1] + d[1]}
		if next[0] >= 0 && next[0] < high && next[1] >= 0 && next[1] < wide && cells[next[0]][next[1]] == ' ' {
			place(next)
			placed = append(placed, next)
		}
	}
	for i := range cells {
		lines = append(lines, string(cells[i]))
	}
	var under [][2]int
	for _, c := range placed {
		if c[0] == high-1 || cells[c[0]+1][c[1]] == ' ' {
			under = append(under, c)
		}
	}
	return lines, under[r.IntN(len(under))]
}
