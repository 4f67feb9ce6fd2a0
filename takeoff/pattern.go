package takeoff

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"

	"potlife/rooms"
)

// Pattern is a lattice: a unit cell of convex tiles that is repeated by two
// translations. Places and translations are sums of the tile's measures, so
// that one pattern fits every size.
type Pattern struct {
	Name    string
	Members []Member
	// U leads to the next tile of the course, V to the next course (or group of
	// courses): x and y as sums in W, H (width and height of the first tile), W2,
	// H2 (of the second) … and J (the joint), such as "W+J" or "1/2 W + 1/2 J".
	U, V [2]string
	// Courses is how far one step of V counts up the course number; 0 counts as 1.
	Courses int
	// Turn is the pattern's own direction in degrees; diagonal is straight at 45.
	Turn int
	// Tiles is how many tiles of the firm the pattern takes; 0 counts as 1.
	Tiles int
}

// Member is one tile of the unit cell.
type Member struct {
	// Tile is the index of the tile: 0 the zone's Tile, 1 … its Tiles.
	Tile int
	// X, Y is the lower left corner of the turned tile's box, as sums.
	X, Y string
	// Turn is the number of degrees the tile is turned counter-clockwise.
	Turn int
	// Course is added to the cell's course number. Members of one course are
	// numbered in the order in which they are listed.
	Course int
}

// latticeTile is a member in the pattern's frame, for cell 0, 0.
type latticeTile struct {
	tile     int
	ring     rooms.Ring
	box      rooms.Box
	place    rooms.Point // of the tile's own frame
	degrees  int
	course   int
	position int
	whole    rooms.Area
	girth    float64
	narrow   rooms.Length // least distance of two parallel lines that hold it
}

// lattice is a pattern with the measures of its tiles filled in.
type lattice struct {
	tiles   []latticeTile
	u, v    rooms.Point
	courses int // course numbers per step of v
	perCell int // positions per step of u
	turn    turn
	joint   rooms.Length
}

// build fills in the tiles' measures. Sideways tiles stand on their short side.
func (p Pattern) build(tiles []Tile, joint rooms.Length, sideways bool, degrees int) (*lattice, error) {
	if want := max(p.Tiles, 1); len(tiles) < want {
		return nil, fmt.Errorf("pattern %q takes %d tiles, %d are named", p.Name, want, len(tiles))
	}
	lay := &lattice{joint: joint, courses: max(p.Courses, 1), turn: turnBy(degrees + p.Turn)}
	stand := 0
	if sideways {
		stand = 90
	}
	sizes := map[string]rooms.Length{"J": joint}
	for i, t := range tiles {
		if !t.Shape.Convex() {
			return nil, fmt.Errorf("tile %s: its shape must be convex and run counter-clockwise", t.Key)
		}
		b := turnBy(stand).ring(t.Shape).Box()
		n := ""
		if i > 0 {
			n = strconv.Itoa(i + 1)
		}
		sizes["W"+n], sizes["H"+n] = b.Width(), b.Height()
		if i == 0 && joint >= min(b.Width(), b.Height()) {
			return nil, fmt.Errorf("joint %s is not narrower than tile %s", joint, t.Key)
		}
	}
	var err error
	if lay.u, err = sumPoint(p.U, sizes); err != nil {
		return nil, fmt.Errorf("pattern %q, translation u: %w", p.Name, err)
	}
	if lay.v, err = sumPoint(p.V, sizes); err != nil {
		return nil, fmt.Errorf("pattern %q, translation v: %w", p.Name, err)
	}
	for i, m := range p.Members {
		if m.Tile < 0 || m.Tile >= len(tiles) {
			return nil, fmt.Errorf("pattern %q, tile %d of its cell: there is no tile %d", p.Name, i+1, m.Tile+1)
		}
		at, err := sumPoint([2]string{m.X, m.Y}, sizes)
		if err != nil {
			return nil, fmt.Errorf("pattern %q, tile %d of its cell: %w", p.Name, i+1, err)
		}
		lay.add(m, tiles[m.Tile], at, stand)
	}
	return lay, lay.check(p.Name)
}

// add places one member.
func (l *lattice) add(m Member, t Tile, at rooms.Point, stand int) {
	by := turnBy(m.Turn + stand)
	ring := by.ring(t.Shape)
	b := ring.Box()
	place := rooms.Point{X: at.X - b.Min.X, Y: at.Y - b.Min.Y}
	ring = ring.Moved(place)
	x := latticeTile{tile: m.Tile, ring: ring, box: ring.Box(), place: place, degrees: by.degrees,
		course: m.Course, whole: ring.Area(), narrow: narrowSide(ring)}
	for _, y := range l.tiles {
		if (y.course-m.Course)%l.courses == 0 {
			x.position++
		}
	}
	l.perCell = max(l.perCell, x.position+1)
	for i, a := range ring {
		x.girth += float64(rooms.Distance(a, ring[(i+1)%len(ring)]))
	}
	l.tiles = append(l.tiles, x)
}

// check refuses a lattice whose tiles lie nearer to each other than the joint, or
// do not fill it.
func (l *lattice) check(name string) error {
	if len(l.tiles) == 0 || l.det() == 0 {
		return fmt.Errorf("pattern %q: a cell needs a tile and two translations that differ in direction", name)
	}
	for i, a := range l.tiles {
		for j, b := range l.tiles {
			for du := -3; du <= 3; du++ {
				for dv := -3; dv <= 3; dv++ {
					if i == j && du == 0 && dv == 0 {
						continue
					}
					r := b.ring.Moved(l.cell(du, dv))
					if d := convexGap(a.ring, r); d < l.joint-8 {
						return fmt.Errorf("pattern %q: with these tiles two would lie %s apart, less than the joint of %s", name, max(d, 0), l.joint)
					}
				}
			}
		}
	}
	return l.checkBareSpots(name)
}

// cell is the translation to cell i, j.
func (l *lattice) cell(i, j int) rooms.Point {
	a, b := rooms.Length(i), rooms.Length(j)
	return rooms.Point{X: a*l.u.X + b*l.v.X, Y: a*l.u.Y + b*l.v.Y}
}

// det is the cell's area, signed, as a float for comparing with 0 and dividing.
func (l *lattice) det() float64 {
	return float64(float64(l.u.X)*float64(l.v.Y)) - float64(float64(l.u.Y)*float64(l.v.X))
}

// convexGap is the distance of two convex rings along the best separating side
// of either, exact where a side decides; negative where they overlap.
func convexGap(a, b rooms.Ring) rooms.Length {
	best := rooms.Length(-1 << 62)
	for _, pair := range [2][2]rooms.Ring{{a, b}, {b, a}} {
		for i, p := range pair[0] {
			q := pair[0][(i+1)%len(pair[0])]
			gap := rooms.Length(1 << 62)
			for _, r := range pair[1] {
				gap = min(gap, -leftOf(p, q, r))
			}
			best = max(best, gap)
		}
	}
	return best
}

// leftOf is the distance of r from the line p→q, positive on its left.
func leftOf(p, q, r rooms.Point) rooms.Length {
	switch { // most sides run along an axis
	case p.Y == q.Y && p.X < q.X:
		return r.Y - p.Y
	case p.Y == q.Y && p.X > q.X:
		return p.Y - r.Y
	case p.X == q.X && p.Y < q.Y:
		return p.X - r.X
	case p.X == q.X && p.Y > q.Y:
		return r.X - p.X
	}
	s := newSideLine(p, q)
	return s.left(r)
}

// sideLine is the line through two points, for the distances of many from it.
type sideLine struct {
	p            rooms.Point
	dx, dy, long float64
}

func newSideLine(p, q rooms.Point) sideLine {
	return sideLine{p, float64(q.X - p.X), float64(q.Y - p.Y), float64(rooms.Distance(p, q))}
}

// cross is how far r lies left of the line, times its length.
func (s *sideLine) cross(r rooms.Point) float64 {
	return float64(s.dx*float64(r.Y-s.p.Y)) - float64(s.dy*float64(r.X-s.p.X))
}

// left is how far r lies left of the line, as leftOf.
func (s *sideLine) left(r rooms.Point) rooms.Length { return round(s.cross(r) / s.long) }

// sumPoint evaluates x and y.
func sumPoint(s [2]string, sizes map[string]rooms.Length) (rooms.Point, error) {
	x, err := sum(s[0], sizes)
	if err != nil {
		return rooms.Point{}, err
	}
	y, err := sum(s[1], sizes)
	return rooms.Point{X: x, Y: y}, err
}

// sum evaluates "2W + 1/2 H - J": a number, a fraction or a decimal before each
// name, one where none is given.
func sum(s string, sizes map[string]rooms.Length) (rooms.Length, error) {
	var total float64
	rest := strings.ReplaceAll(s, " ", "")
	for rest != "" && rest != "0" {
		sign := 1.0
		switch rest[0] {
		case '-':
			sign, rest = -1, rest[1:]
		case '+':
			rest = rest[1:]
		}
		k := strings.IndexFunc(rest, unicode.IsUpper)
		if k < 0 {
			return 0, fmt.Errorf("%q: after %q a name is missing: W, H, J, W2 …", s, rest)
		}
		factor, err := coefficient(rest[:k])
		if err != nil {
			return 0, fmt.Errorf("%q: %w", s, err)
		}
		rest = rest[k:]
		end := 1
		for end < len(rest) && rest[end] >= '0' && rest[end] <= '9' {
			end++
		}
		l, known := sizes[rest[:end]]
		if !known {
			return 0, fmt.Errorf("%q: %s is no measure of the pattern's tiles", s, rest[:end])
		}
		total += float64(sign * float64(factor*float64(l)))
		rest = rest[end:]
		if rest != "" && rest[0] != '+' && rest[0] != '-' {
			return 0, fmt.Errorf("%q: + or - is missing before %q", s, rest)
		}
	}
	return round(total), nil
}

// coefficient reads "", "2", "0.5" or "1/3".
func coefficient(s string) (float64, error) {
	if s == "" {
		return 1, nil
	}
	over, under, stroke := strings.Cut(s, "/")
	a, err := strconv.ParseFloat(over, 64)
	if err != nil || a > 1000 {
		return 0, fmt.Errorf("%q is no number up to 1000", over)
	}
	if !stroke {
		return a, nil
	}
	b, err := strconv.Atoi(under)
	if err != nil || b < 1 || b > 1000 {
		return 0, fmt.Errorf("%q is no whole number from 1 to 1000", under)
	}
	return a / float64(b), nil
}
