package web

import (
	"context"
	"time"
)

// Signature is a client's signature on the drawings of a room.
type Signature struct {
	Signer, On string // as typed; YYYY-MM-DD
	Note, By   string // By recorded it
	At         time.Time
	Present    bool // it is of the drawings as they are now
}

// RoomSigning is how far a room is signed whose client signs.
type RoomSigning struct {
	Digest string // of the present drawings
	Signed bool   // the present drawings are
	// Signatures are all of the room, the latest first.
	Signatures []Signature
}

// SignIn records a signature.
type SignIn struct {
	Key, Room, Digest string // idempotency key; "job/room"; of the drawings that were signed
	Signer, On, Note  string
	By                User
}

// Signings keeps clients' signatures on layouts.
type Signings interface {
	// Signings says of the rooms ("job/room") whose client signs how far that is,
	// and leaves out the others and those without tile.
	Signings(ctx context.Context, rooms []string) (map[string]RoomSigning, error)
	// Sign records a signature once. Conflict: the layout is another by now.
	Sign(ctx context.Context, in SignIn) error
}
