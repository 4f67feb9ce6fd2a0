package scheduler

import (
	"context"

	"potlife/takeoff"
)

// Make plans all jobs of a firm: it lays out every room, counts what that
// takes, schedules the crews around pot life, cures and deliveries, and writes
// orders and day sheets. The same input gives the same plan, byte for byte; a
// context that ends stops the search early and Make with it.
//
// Errors wrap ErrInput or takeoff.ErrInput where the input makes no sense, and
// are *Infeasible where no plan can hold: they name rooms, crews and dates.
func Make(ctx context.Context, in Input) (*Plan, error) {
	return plan(ctx, in, engines{layOut: takeoff.LayOut, take: takeoff.Take})
}
