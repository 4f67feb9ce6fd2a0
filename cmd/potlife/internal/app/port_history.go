package app

import (
	"context"
	"time"

	"potlife/cmd/potlife/internal/web"
)

// PlanAt is the plan that was in force at an instant.
func (p Pages) PlanAt(ctx context.Context, at time.Time) (web.Plan, error) {
	info, err := p.o.Store.PlanInfoAt(ctx, at)
	if err != nil {
		return web.Plan{}, refuse(err)
	}
	doc, err := p.document(ctx, info.ID)
	if err != nil {
		return web.Plan{}, refuse(err)
	}
	return web.Plan{Document: doc, Revision: int(info.ID), Made: info.MadeAt}, nil
}

// Happenings are what has happened to a room besides work and reports.
func (p Pages) Happenings(ctx context.Context, room string) ([]web.Happening, error) {
	got, err := p.o.Store.Timeline(ctx, room)
	if err != nil {
		return nil, refuse(err)
	}
	out := []web.Happening{}
	for _, h := range got {
		if h.Kind != "record" { // pages show reports at length
			out = append(out, web.Happening(h))
		}
	}
	return out, nil
}
