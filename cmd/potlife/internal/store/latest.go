package store

import (
	"sync"

	"potlife/scheduler"
)

// latest remembers the last plan that this process saved: the next one is
// usually made from it, and reading 40 rooms back from the database takes longer
// than anything else about a record. It gives the plan out only while the database
// says that it is still the one in force, and to be read only.
type latest struct {
	mu   sync.Mutex
	id   int64
	last *prepared
}

// saved is what was prepared for the plan saved last, empty at first.
func (l *latest) saved() *prepared {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.last == nil {
		return &prepared{}
	}
	return l.last
}

func (l *latest) set(id int64, p *prepared) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if id > l.id {
		l.id, l.last = id, p
	}
}

// get returns the plan remembered and its document, which others hold too; false where
// it is another.
func (l *latest) get(id int64) (*scheduler.Plan, []byte, bool) {
	l.mu.Lock()
	at, last := l.id, l.last
	l.mu.Unlock()
	if at != id || last == nil {
		return nil, nil, false
	}
	return last.kept, last.document, true
}
