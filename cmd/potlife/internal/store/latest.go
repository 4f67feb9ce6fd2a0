package store

import (
	"bytes"
	"sync"

	"potlife/cmd/potlife/internal/onceprinted"
	"potlife/scheduler"
)

// latest remembers the last plan that this process saved: the next one is
// usually made from it, and reading 40 rooms back from the database takes longer
// than anything else about a record. What it gives out is a copy, and only while
// the database says that the plan is still the one in force.
type latest struct {
	mu       sync.Mutex
	id       int64
	plan     *scheduler.Plan
	document []byte
	state    *onceprinted.Text[scheduler.Plan] // as stored
}

// text is the state as it was printed last, nil at first.
func (l *latest) text() *onceprinted.Text[scheduler.Plan] {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.state
}

func (l *latest) set(id int64, plan *scheduler.Plan, document []byte, state *onceprinted.Text[scheduler.Plan]) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if id > l.id {
		l.id, l.plan, l.document, l.state = id, plan, document, state
	}
}

// get returns copies of what is remembered of a plan; false where it is another.
func (l *latest) get(id int64) (*scheduler.Plan, []byte, bool) {
	l.mu.Lock()
	at, plan, document := l.id, l.plan, l.document
	l.mu.Unlock()
	if at != id || plan == nil {
		return nil, nil, false
	}
	return clone(plan), bytes.Clone(document), true
}
