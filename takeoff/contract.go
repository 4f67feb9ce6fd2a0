package takeoff

import "potlife/rooms"

// Keys are joined by slashes to be unique in a plan: a room is "job/room"
// (room keys are unique in a job), a surface "job/room/surface", a zone
// "job/room/surface/zone", and a piece's ID adds "/course.position".

// RoomToLay is a room with what its layout depends on.
type RoomToLay struct {
	Job, Site string // keys
	Room      rooms.Room
	// Tiles of the firm by key.
	Tiles map[string]Tile
	// Products of the firm by key (bed thickness, limits).
	Products map[string]Product
	// Locks fix what has been issued already, by zone key.
	Locks map[string]Lock
	// Imperial prints cut sizes in 1/16 in instead of whole mm.
	Imperial bool
	// Taper is the most that a cut may differ between its two ends and still be cut
	// ahead, with both sizes; a cut that runs out more is measured on site. 0 takes
	// DefaultTaper, negative leaves every taper to the site.
	Taper rooms.Length
	// Standard is the one by whose figures the layout is judged and soft joints are
	// placed, of MovementStandards; empty takes the first.
	Standard string
	// Patterns are the job's own, by name.
	Patterns map[string]Pattern
}

// Lock fixes a zone's origin once any piece of it has been issued, so that a
// new measurement changes only the cuts on the edge that moved.
type Lock struct {
	Origin  rooms.Point
	Skipped Skipped `json:",omitzero"`
}

// Skipped is how many courses, and positions in each, come before the first that has a
// piece: numbers begin at 1 with what is there.
type Skipped struct{ Courses, Positions int }
