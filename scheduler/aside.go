package scheduler

import (
	"sync"

	"potlife/takeoff"
)

// aside is what follows from the takeoff alone: it is worked out while crews and
// dates are looked for, which takes one processor.
type aside struct {
	busy    sync.WaitGroup
	pieces  pieceIndex
	counts  []takeoff.Count
	offcuts []takeoff.Offcut
	onHand  []takeoff.OnHand
}

// beside begins with what follows from the takeoff, which is final, unless it has
// begun. That waits until the tasks of all rooms are built, which takes all processors.
func (m *maker) beside() {
	if m.aside != nil {
		return
	}
	a, t := &aside{}, m.taken
	m.aside = a
	a.busy.Go(func() {
		a.pieces = indexPieces(t.Layouts)
		a.counts, a.offcuts, a.onHand = t.Counts(), t.Offcuts(), t.OnHand()
	})
}

// finished waits for it to end, also where nothing comes of the plan.
func (a *aside) finished() *aside {
	if a != nil {
		a.busy.Wait()
	}
	return a
}
