package web

import (
	"context"
	"time"
)

// Outlook says what would be if. Options.Outlook may be nil: then nobody can ask.
type Outlook interface {
	// WhatIf plans again with a change and says what differs. Nothing is saved.
	WhatIf(ctx context.Context, c Change) (Answer, error)
}

// Change is one thing that could be otherwise; kinds and fields are those of
// scheduler.Change, dates YYYY-MM-DD.
type Change struct {
	Kind                              string
	Crew, Room, Supplier, Order, Text string
	From, To                          string
	Count                             int
}

// Answer compares the plan as it would be with the plan as it is.
type Answer struct {
	Text  []string
	Rooms []Shift
}

// Shift is what a change does to one room.
type Shift struct {
	Room            string // key
	Was, Is         time.Time
	LateWas, LateIs int
	MovedDays       int // later (+) or earlier (-)
	Blocked         string
}
