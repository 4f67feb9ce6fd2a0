package web

import (
	"context"
	"time"
)

// Outlook says what is likely and what would be if. Options.Outlook may be
// nil: the board then shows no likely dates, and nobody can ask.
type Outlook interface {
	// Likely says when rooms are handed over in a simulation of the plan in
	// force.
	Likely(ctx context.Context) (Likelihood, error)
	// WhatIf plans again with a change and says what differs. Nothing is saved.
	WhatIf(ctx context.Context, c Change) (Answer, error)
}

// Likelihood is what a simulation says.
type Likelihood struct {
	Runs         int
	Half, Eighty time.Time // all is finished by then in 50 % and 80 % of the runs
	Rooms        map[string]RoomLikelihood
}

// RoomLikelihood is a room's hand-over in the runs.
type RoomLikelihood struct {
	Half, Eighty time.Time
	Chance       float64 // of the due date
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
