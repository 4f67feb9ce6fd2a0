package takeoff

import "potlife/rooms"

// Check says why the pattern cannot be laid with these tiles at this joint: too
// few tiles, a measure that does not exist, tiles nearer to each other than the
// joint. Lay-out would give the same error; this one comes before any room is
// there.
func (p Pattern) Check(tiles []Tile, joint rooms.Length, sideways bool, degrees int) error {
	_, err := p.build(tiles, joint, sideways, degrees)
	return err
}
