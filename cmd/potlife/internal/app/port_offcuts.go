package app

import (
	"context"
	"strings"

	"potlife/cmd/potlife/internal/web"
	"potlife/rooms"
	"potlife/takeoff"
)

// Offcuts lists the offcuts that were ever kept, those in hand first.
func (a *App) Offcuts(ctx context.Context) ([]web.OffcutRow, error) {
	all, err := a.o.Store.Offcuts(ctx)
	if err != nil {
		return nil, refuse(err)
	}
	var out []web.OffcutRow
	for _, o := range all {
		r := web.OffcutRow{YardOffcut: o.YardOffcut, KeptAt: o.KeptAt, KeptBy: o.KeptBy, Gone: o.GoneAt != nil, GoneBy: o.GoneBy}
		if o.GoneAt != nil {
			r.GoneAt = *o.GoneAt
		}
		out = append(out, r)
	}
	return out, nil
}

// KeepOffcut records an offcut in hand and returns its key; the plan follows.
func (a *App) KeepOffcut(ctx context.Context, in web.OffcutIn) (string, error) {
	o := takeoff.YardOffcut{Key: strings.TrimSpace(in.Key), Tile: in.Tile, Lot: strings.TrimSpace(in.Lot), Place: strings.TrimSpace(in.Place), From: strings.TrimSpace(in.From)}
	firm, err := a.o.Store.Firm(ctx)
	if err != nil {
		return "", refuse(err)
	}
	unit := rooms.UnitMM
	if firm.Units == "imperial" {
		unit = rooms.UnitInch
	}
	for _, d := range []struct {
		name, text string
		to         *rooms.Length
	}{{"width", in.Width, &o.Width}, {"height", in.Height, &o.Height}} {
		if *d.to, err = rooms.ParseLength(strings.TrimSpace(d.text), unit); err != nil {
			return "", &web.Error{Kind: web.Invalid, Field: d.name, Text: "The " + d.name + ": " + err.Error()}
		}
	}
	if err := o.SetEdges(in.Edges); err != nil {
		return "", &web.Error{Kind: web.Invalid, Field: "edges", Text: err.Error()}
	}
	key, fresh, err := a.o.Store.KeepOffcut(ctx, o, in.By.Name, a.now())
	if err != nil {
		return "", refuse(err)
	}
	if fresh {
		a.follow.Follow("offcut " + key + " recorded")
	}
	return key, nil
}

// OffcutGone records that an offcut is not there any more; the plan follows.
func (a *App) OffcutGone(ctx context.Context, key string, by web.User) error {
	if err := a.o.Store.OffcutGone(ctx, key, by.Name, a.now()); err != nil {
		return refuse(err)
	}
	a.follow.Follow("offcut " + key + " is gone")
	return nil
}

// CloseJob puts a job away: it is not planned any more, and where the firm keeps
// offcuts, what its tiles left comes to hand.
func (a *App) CloseJob(ctx context.Context, key string) error {
	if err := a.o.Store.CloseJob(ctx, key, a.now()); err != nil {
		return refuse(err)
	}
	a.follow.Follow("job " + key + " put away")
	return nil
}

// ReopenJob takes a job that was put away back into planning.
func (a *App) ReopenJob(ctx context.Context, key string) error {
	if err := a.o.Store.ReopenJob(ctx, key); err != nil {
		return refuse(err)
	}
	a.follow.Follow("job " + key + " taken up again")
	return nil
}
