package takeoff

import (
	"cmp"
	"slices"

	"potlife/rooms"
)

// ownTries bounds the search for tiles to do without, in pieces tried in tiles.
const ownTries = 200_000

// ownTile is a tile with the pieces cut from it, each in one of its places.
type ownTile struct {
	pieces, turns []int
	area          float64
}

// ownPacker shares tiles among pieces.
type ownPacker struct {
	share []cutPiece
	area  []float64
	hulls [][]rooms.Ring // of each piece in each place
	gaps  ownGaps
	full  float64 // area of a tile
	tiles []ownTile
	tries int
}

// packOwn shares tiles among pieces in the places that their edges leave them: the
// largest first, each in the fullest tile that still holds it; and then does
// without every tile whose pieces find room in the others, one piece of which may
// move on to a third.
func (t *taker) packOwn(tile *Tile, share []cutPiece) ([]ownTile, [][]ownPose) {
	turns := selfTurns(tile)
	poses := make([][]ownPose, len(share))
	p := &ownPacker{share: share, full: tile.Shape.AreaMM2(), tries: ownTries}
	order := make([]int, len(share))
	for i := range share {
		order[i] = i
		p.area = append(p.area, share[i].shape.AreaMM2())
		poses[i] = ownPoses(tile, share[i], turns)
		base := rooms.Polygon{Outer: convexHull(share[i].shape.Outer)}
		var hulls []rooms.Ring
		for _, pose := range poses[i] {
			hulls = append(hulls, pose.polygon(base).Outer)
		}
		p.hulls = append(p.hulls, hulls)
	}
	p.gaps = t.ownGaps(share, p.hulls)
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(p.area[b], p.area[a]) })
	for _, i := range order {
		if !p.place(i, -1, -1) {
			p.tiles = append(p.tiles, ownTile{pieces: []int{i}, turns: []int{0}, area: p.area[i]})
		}
	}
	for p.doWithout() {
	}
	return p.tiles, poses
}

// place puts a piece into the fullest tile that holds it, the two given apart.
func (p *ownPacker) place(i, not, nor int) bool {
	best, turn := -1, 0
	for n := range p.tiles {
		if n == not || n == nor || best >= 0 && p.tiles[best].area >= p.tiles[n].area || !p.hasRoom(i, p.full-p.tiles[n].area) {
			continue
		}
		if k := p.turnIn(i, n, -1); k >= 0 {
			best, turn = n, k
		}
	}
	if best >= 0 {
		p.put(i, best, turn)
	}
	return best >= 0
}

// turnIn is the first turn in which a piece fits a tile, the tile's piece less
// left out; -1 if there is none.
func (p *ownPacker) turnIn(i, n, less int) int {
	o := &p.tiles[n]
	free := p.full - o.area
	if less >= 0 {
		free += p.area[o.pieces[less]]
	}
	if !p.hasRoom(i, free) {
		return -1
	}
	p.tries--
	for k := range p.hulls[i] {
		fits := true
		for m, j := range o.pieces {
			if fits = m == less || p.gaps.clear(i, k, j, o.turns[m]); !fits {
				break
			}
		}
		if fits {
			return k
		}
	}
	return -1
}

// hasRoom reports whether a piece is no larger than what is free of a tile.
func (p *ownPacker) hasRoom(i int, free float64) bool { return p.area[i] <= free+0.5 }

func (p *ownPacker) put(i, n, turn int) {
	o := &p.tiles[n]
	o.pieces, o.turns, o.area = append(slices.Clip(o.pieces), i), append(slices.Clip(o.turns), turn), o.area+p.area[i]
}

func (p *ownPacker) take(n, m int) {
	o := &p.tiles[n]
	o.area -= p.area[o.pieces[m]]
	o.pieces, o.turns = slices.Delete(slices.Clone(o.pieces), m, m+1), slices.Delete(slices.Clone(o.turns), m, m+1)
}

// doWithout empties one tile, those with least in them first, and reports
// whether it could.
func (p *ownPacker) doWithout() bool {
	order := make([]int, len(p.tiles))
	for n := range order {
		order[n] = n
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(p.tiles[a].area, p.tiles[b].area) })
	before := slices.Clone(p.tiles)
	for _, n := range order {
		if p.tries <= 0 {
			return false
		}
		empty := true
		for _, i := range before[n].pieces {
			if empty = p.place(i, n, -1) || p.moveOn(i, n); !empty {
				break
			}
		}
		if empty {
			p.tiles = slices.Delete(p.tiles, n, n+1)
			return true
		}
		copy(p.tiles, before) // a tile's lists are never written to, only replaced
	}
	return false
}

// moveOn puts a piece into a tile one of whose pieces goes to a third.
func (p *ownPacker) moveOn(i, not int) bool {
	for n := range p.tiles {
		if n == not {
			continue
		}
		for m := range p.tiles[n].pieces {
			if p.tries <= 0 {
				return false
			}
			turn := p.turnIn(i, n, m)
			if turn < 0 {
				continue
			}
			if p.place(p.tiles[n].pieces[m], not, n) {
				p.take(n, m)
				p.put(i, n, turn)
				return true
			}
		}
	}
	return false
}
