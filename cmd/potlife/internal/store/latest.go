package store

import (
	"bytes"
	"sync"

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
}

func (l *latest) set(id int64, plan *scheduler.Plan, document []byte) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if id > l.id {
		l.id, l.plan, l.document = id, plan, document
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
