package scheduler

import (
	"cmp"
	"maps"
	"slices"

	"potlife/rooms"
	"potlife/takeoff"
)

// item is a piece on its way into an area.
type item struct {
	piece    *takeoff.Piece
	zone, at int // of the layout's zones, and of the zone's pieces
	surface  string
	lo, hi   rooms.Point // bounding box
	joint    rooms.Length
	bed      bed
	set, cut float64 // minutes of one setter with a helper; cut: measured and cut while setting
	class    string  // of what the crews record, see classOf
	pace     float64 // as recorded, in set, cut and ahead
	ahead    float64 // minutes of cutting that is done ahead
	row      int     // row of its block
	hops     int     // from the start of its run
}

// bed is what an area has in common: mortar and how much of it.
type bed struct {
	mortar  string
	kgPerM2 float64
}

// block is a row of pieces that are set together: a course on a wall, a strip
// of a floor across the way to the door. Areas end between blocks if they can.
type block struct {
	surface string
	items   []*item
	bed     bed
	lower   bool       // under the ledger
	late    bool       // set afterwards: left over, or left out
	chosen  bool       // late on purpose
	until   rooms.Date // of what is late on purpose: the first day, zero for any
	first   bool       // of its surface
	flat    bool       // of what lies: it stays as it is ordered
	joint   bool       // a soft joint runs between it and the block before
	loud    bool       // something of it is cut with a power tool while it is set
	minutes float64
	course  float64 // minutes of the whole row, where this is a later part of one; else 0
}

// tolerance within which two edges count as neighbours across a joint; a hair
// wider than what the plan document's rules allow.
const neighbourSlack = rooms.Millimetre + rooms.Millimetre/10

const overlapLeast = 5*rooms.Millimetre - rooms.Millimetre/10

// filled are the blocks of an order of the layout's pieces with what setting takes,
// which is written on the order's items: it is the same for every crew.
func filled(order []block, l *takeoff.Layout, fill func(*takeoff.ZoneLayout, *item)) []block {
	n := 0
	for _, b := range order {
		n += len(b.items)
	}
	rows, at := slices.Clone(order), make([]*item, 0, n)
	for i := range rows {
		from := len(at)
		for _, it := range rows[i].items {
			z := &l.Zones[it.zone]
			it.piece, it.cut, it.ahead = &z.Pieces[it.at], 0, 0
			fill(z, it)
			rows[i].minutes += it.set + it.cut
			at = append(at, it)
		}
		rows[i].items = at[from:len(at):len(at)]
		rows[i].bed = rows[i].items[0].bed // the same for the zone
	}
	return rows
}

// settingOrder orders the pieces of a surface: rows from the level line up on what
// stands, from the far side to the door on what lies. Rule 5 of the plan
// document holds for every linear extension of their relation. It depends on where the pieces lie and which come late, not on what
// setting them takes.
func settingOrder(l *takeoff.Layout, s *rooms.Surface) []block {
	var rows, late []block
	for zi := range l.Zones {
		z := &l.Zones[zi]
		items, kept := zoneItems(l.Surface, zi, z)
		late = append(late, lateBlocks(l.Surface, s, kept)...)
		if len(items) == 0 {
			continue
		}
		if flat(s.Kind) || s.Kind == rooms.Ceiling {
			rows = append(rows, stripRows(l.Surface, s, l, z, items)...)
		} else {
			rows = append(rows, courseRows(l.Surface, s, z, items)...)
		}
	}
	lines := softLines(l, s)
	rows = apart(rows, lines, s, l)
	switch {
	case walked(s.Kind):
		rows = retreat(rows, s, l)
	case s.Kind != rooms.Bench && s.Kind != rooms.Ceiling:
		slices.SortStableFunc(rows, func(a, b block) int { return cmp.Compare(lowest(a), lowest(b)) })
	}
	for i := 1; i < len(rows); i++ {
		rows[i].joint = slices.ContainsFunc(lines, func(j [2]rooms.Point) bool { return divides(j, rows[i-1].items, rows[i].items) })
	}
	rows = append(rows, late...)
	for i := range rows {
		rows[i].first, rows[i].flat = i == 0, flat(s.Kind)
		for _, it := range rows[i].items {
			it.row = i
		}
	}
	return rows
}

// softLines are the soft joints that run through the tile of a surface.
func softLines(l *takeoff.Layout, s *rooms.Surface) [][2]rooms.Point {
	var out [][2]rooms.Point
	for _, j := range s.SoftJoints {
		out = append(out, [2]rooms.Point{j.A, j.B})
	}
	for i := range l.Zones {
		for _, j := range l.Zones[i].Movement {
			out = append(out, [2]rooms.Point{j.A, j.B})
		}
	}
	return out
}

// apart parts rows along which a soft joint runs: what lies on its near side goes
// in first.
func apart(rows []block, lines [][2]rooms.Point, s *rooms.Surface, l *takeoff.Layout) []block {
	if len(lines) == 0 {
		return rows
	}
	across, sign := false, rooms.Length(1) // walls: courses from below
	if flat(s.Kind) || s.Kind == rooms.Ceiling {
		across, sign = wayOut(s, l)
	}
	for _, j := range lines {
		at, run := j[0].Y, j[1].Y-j[0].Y
		if across {
			at, run = j[0].X, j[1].X-j[0].X
		}
		if max(run, -run) > rooms.Millimetre {
			continue // it crosses the rows
		}
		var out []block
		for _, k := range rows {
			near, far := k, k
			near.items, far.items = nil, nil
			for _, it := range k.items {
				if sign*(mid(it, across)-at) < 0 {
					near.items = append(near.items, it)
				} else {
					far.items = append(far.items, it)
				}
			}
			for _, part := range []block{near, far} {
				if len(part.items) > 0 {
					out = append(out, part)
				}
			}
		}
		rows = out
	}
	return rows
}

// divides reports whether all of one row lies on one side of a line and all of
// another on the other.
func divides(line [2]rooms.Point, a, b []*item) bool {
	side := func(it *item) int {
		x, y := float64((it.lo.X+it.hi.X)/2-line[0].X), float64((it.lo.Y+it.hi.Y)/2-line[0].Y)
		dx, dy := float64(line[1].X-line[0].X), float64(line[1].Y-line[0].Y)
		return cmp.Compare(float64(dx*y)-float64(dy*x), 0)
	}
	same := func(items []*item) int {
		first := side(items[0])
		for _, it := range items[1:] {
			if side(it) != first {
				return 0
			}
		}
		return first
	}
	x, y := same(a), same(b)
	return x != 0 && x == -y
}

func lowest(b block) rooms.Length {
	y := b.items[0].lo.Y
	for _, it := range b.items {
		y = min(y, it.lo.Y)
	}
	return y
}

// zoneItems wraps the pieces of a zone; those set late come apart.
func zoneItems(surface string, zone int, z *takeoff.ZoneLayout) (items, late []*item) {
	list := make([]item, len(z.Pieces))
	items = make([]*item, 0, len(z.Pieces))
	for i := range z.Pieces {
		it := &list[i]
		it.piece, it.zone, it.at, it.surface, it.joint = &z.Pieces[i], zone, i, surface, z.Zone.Joint
		it.lo, it.hi = bounds(it.piece.Polygon.Outer)
		if it.piece.Late != "" {
			late = append(late, it)
		} else {
			items = append(items, it)
		}
	}
	return items, late
}

func bounds(r rooms.Ring) (lo, hi rooms.Point) {
	if len(r) == 0 {
		return
	}
	lo, hi = r[0], r[0]
	for _, p := range r {
		lo.X, lo.Y = min(lo.X, p.X), min(lo.Y, p.Y)
		hi.X, hi.Y = max(hi.X, p.X), max(hi.Y, p.Y)
	}
	return lo, hi
}

// courseRows makes the rows of a wall and the relation between its pieces.
func courseRows(surface string, s *rooms.Surface, z *takeoff.ZoneLayout, items []*item) []block {
	kind := firstWord(z.Zone.Pattern)
	regular := kind == "straight" || kind == "offset" || kind == ""
	upright := z.Zone.Turn%180 != 0
	key := func(it *item) int { return it.piece.Course }
	if !regular || upright {
		pitch := rowPitch(items) + z.Zone.Joint
		base := items[0].lo.Y
		for _, it := range items {
			base = min(base, it.lo.Y)
		}
		key = func(it *item) int {
			if s.Ledger && underLevel(it.lo.Y, z) {
				return -1 // rows by height may reach over the ledger
			}
			return int(((it.lo.Y+it.hi.Y)/2 - base) / max(1, pitch))
		}
	}
	var rows []block
	for _, row := range inRows(items, key) {
		slices.SortStableFunc(row, func(a, b *item) int {
			return cmp.Or(cmp.Compare(a.lo.X, b.lo.X), cmp.Compare(a.lo.Y, b.lo.Y), cmp.Compare(a.piece.ID, b.piece.ID))
		})
		rows = append(rows, block{surface: surface, items: row})
	}
	for _, r := range rows {
		growOutward(r.items, z, regular && !upright)
	}
	if s.Ledger && !(regular && upright && cutAhead(rows, z)) {
		markLower(rows, z)
	}
	return rows
}

// cutAhead reports whether a piece under the level line is not measured in place.
// Where tiles stand upright such pieces bear the columns beside them, and the field
// is set from the floor.
func cutAhead(rows []block, z *takeoff.ZoneLayout) bool {
	return slices.ContainsFunc(rows, func(r block) bool {
		return slices.ContainsFunc(r.items, func(it *item) bool { return underLevel(it.lo.Y, z) && !it.piece.OnSite })
	})
}

func underLevel(y rooms.Length, z *takeoff.ZoneLayout) bool { return y+z.Zone.Joint < z.LevelLine }

// inRows groups items by the number of their row, the least first; within a row
// they keep their order.
func inRows(items []*item, number func(*item) int) [][]*item {
	byRow := map[int][]*item{}
	for _, it := range items {
		k := number(it)
		byRow[k] = append(byRow[k], it)
	}
	rows := make([][]*item, 0, len(byRow))
	for _, k := range slices.Sorted(maps.Keys(byRow)) {
		rows = append(rows, byRow[k])
	}
	return rows
}

// rowPitch is the height of the tallest piece.
func rowPitch(items []*item) rooms.Length {
	h := rooms.Length(0)
	for _, it := range items {
		h = max(h, it.hi.Y-it.lo.Y)
	}
	return h
}

// growOutward counts, in a row sorted by x, each piece's hops from where its
// run starts: the piece nearest the plumb line. A run ends where the next
// piece is no neighbour.
func growOutward(row []*item, z *takeoff.ZoneLayout, runs bool) {
	for a := 0; a < len(row); {
		b := a + 1
		reach := row[a].hi.X
		for runs && b < len(row) && row[b].lo.X <= reach+z.Zone.Joint+neighbourSlack {
			reach = max(reach, row[b].hi.X)
			b++
		}
		if !runs {
			b = len(row)
		}
		start := a
		for i := a; i < b; i++ {
			if offPlumb(row[i], z) < offPlumb(row[start], z) {
				start = i
			}
		}
		for i := a; i < b; i++ {
			row[i].hops = max(i-start, start-i)
		}
		a = b
	}
}

func offPlumb(it *item, z *takeoff.ZoneLayout) rooms.Length {
	d := (it.lo.X+it.hi.X)/2 - z.Plumb
	return max(d, -d)
}

// markLower marks the rows under the ledger, which stands at the level line.
// A zone wholly above or below it has none.
func markLower(rows []block, z *takeoff.ZoneLayout) {
	n := 0
	for i := range rows {
		if underLevel(lowest(rows[i]), z) {
			rows[i].lower = true
			n++
		}
	}
	if n == len(rows) {
		for i := range rows {
			rows[i].lower = false
		}
	}
}
