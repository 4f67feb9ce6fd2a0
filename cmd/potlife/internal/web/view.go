package web

import (
	"context"
	"sync"

	"potlife/cmd/potlife/internal/plandoc"
)

// view is the plan in force, ready to be shown.
type view struct {
	Plan
	x *plandoc.Index
	w plandoc.Writing
}

// views keeps the index of the document shown last: it is the same for all
// requests until the next plan is saved.
type views struct {
	mu   sync.Mutex
	last *view
}

func (c *views) of(p Plan) *view {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.last == nil || c.last.Document != p.Document {
		c.last = &view{Plan: p, x: p.Document.Index(), w: p.Document.Writing()}
	}
	v := *c.last
	v.Plan = p
	return &v
}

// current returns the plan in force.
func (s *server) current(ctx context.Context) (*view, error) {
	p, err := s.o.Plans.Current(ctx)
	if err != nil {
		return nil, err
	}
	if p.Document == nil {
		return nil, &Error{Kind: NotFound, Text: "Nothing is planned yet. Import a firm and a job first."}
	}
	return s.views.of(p), nil
}

// worksOn says whether a person may see a job: a crew those it works on.
func (v *view) worksOn(u *User, job string) bool {
	if u.Role != Crew {
		return true
	}
	for i := range v.Document.Activities {
		a := &v.Document.Activities[i]
		if r := v.x.Rooms[a.Room]; r != nil && r.Job == job && a.Crew != nil && *a.Crew == u.Crew {
			return true
		}
	}
	return false
}

// mayAct says whether a person may see or record for a crew.
func mayAct(u *User, crew string) bool { return u.Role != Crew || u.Crew == crew }

func (v *view) jobName(key string) string {
	if j := v.x.Jobs[key]; j != nil && j.Name != "" {
		return j.Name
	}
	return key
}

func (v *view) siteName(key string) string {
	if s := v.x.Sites[key]; s != nil && s.Name != "" {
		return s.Name
	}
	return key
}
