package app

import (
	"context"
	"encoding/json"
	"fmt"
	"sync"
	"time"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/store"
)

// planCache keeps the last documents read, by plan number: pages ask for the
// same one over and over. A document is never changed once it is here.
type planCache struct {
	mu   sync.Mutex
	docs map[int64]*plandoc.Document
	used []int64 // latest last
}

// cached is how many documents are kept.
const cached = 8

func (c *planCache) get(id int64) *plandoc.Document {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.docs[id]
}

func (c *planCache) put(id int64, d *plandoc.Document) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.docs == nil {
		c.docs = map[int64]*plandoc.Document{}
	}
	if c.docs[id] == nil {
		c.used = append(c.used, id)
	}
	c.docs[id] = d
	if len(c.used) > cached {
		delete(c.docs, c.used[0])
		c.used = c.used[1:]
	}
}

// document reads the document of a plan.
func (a *App) document(ctx context.Context, id int64) (*plandoc.Document, error) {
	if d := a.plans.get(id); d != nil {
		return d, nil
	}
	text, err := a.o.Store.Document(ctx, id)
	if err != nil {
		return nil, err
	}
	var d plandoc.Document
	if err := json.Unmarshal(text, &d); err != nil {
		return nil, fmt.Errorf("document of plan %d: %w", id, err)
	}
	a.plans.put(id, &d)
	return &d, nil
}

// current is the plan in force with its document.
func (a *App) current(ctx context.Context) (store.PlanInfo, *plandoc.Document, error) {
	info, err := a.o.Store.CurrentPlanInfo(ctx)
	if err != nil {
		return info, nil, err
	}
	d, err := a.document(ctx, info.ID)
	return info, d, err
}

// sheetIndex finds a crew's day in a document, -1 where it has no work.
func sheetIndex(d *plandoc.Document, crew, date string) int {
	for i, s := range d.Sheets {
		if s.Crew == crew && s.Date == date {
			return i
		}
	}
	return -1
}

// hoursOf are a crew's working hours as the plan has them.
func hoursOf(d *plandoc.Document, crew string) ([]Span, error) {
	for _, c := range d.Crews {
		if c.Key != crew {
			continue
		}
		out := make([]Span, 0, len(c.Hours))
		for _, h := range c.Hours {
			from, err := time.Parse(time.RFC3339, h[0])
			if err != nil {
				return nil, fmt.Errorf("hours of crew %s: %w", crew, err)
			}
			to, err := time.Parse(time.RFC3339, h[1])
			if err != nil {
				return nil, fmt.Errorf("hours of crew %s: %w", crew, err)
			}
			out = append(out, Span{from, to})
		}
		return out, nil
	}
	return nil, nil
}
