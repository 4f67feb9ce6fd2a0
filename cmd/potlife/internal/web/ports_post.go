package web

import (
	"context"
	"time"
)

// Letter is a message of the outbox that has not been accepted.
type Letter struct {
	ID, About string // About names the sheet, order or notice in words
	Where     string // "mail to crew@tiles.example", "webhook", "folder"
	Attempts  int
	Trouble   string    // what went wrong last, "" before the first attempt
	Next      time.Time // when it is tried next; zero where it was given up
}

// Told is what the contractor was told when a working day was issued.
type Told struct {
	Date, Subject, Text string
	At                  time.Time
}

// Outbox is what has not been delivered, and what the contractor was told.
type Outbox interface {
	// Letters lists what was given up and what is still to be accepted, the latest
	// first.
	Letters(ctx context.Context) ([]Letter, error)
	// SendAgain makes a message due that was given up; it goes under the same id.
	SendAgain(ctx context.Context, by User, id string) error
	// Told lists the notices to the contractor, the latest first.
	Told(ctx context.Context) ([]Told, error)
}
