package app

import (
	"context"
	"errors"
	"strconv"
	"time"

	"potlife/cmd/potlife/internal/store"
	"potlife/cmd/potlife/internal/web"
)

// linkLife is how long a sign-in link can be used.
const linkLife = 72 * time.Hour

func webUser(u *store.User) web.User {
	return web.User{ID: strconv.FormatInt(u.ID, 10), Name: u.Name, Role: web.Role(u.Role), Crew: u.Crew, Email: u.Email, Epoch: int64(u.Epoch)}
}

// Redeem uses up a sign-in link.
func (p Pages) Redeem(ctx context.Context, token string) (web.User, error) {
	u, err := p.o.Store.RedeemSignInLink(ctx, token, p.now())
	if errors.Is(err, store.ErrNotFound) {
		return web.User{}, &web.Error{Kind: web.Gone, Text: "this sign-in link has been used or has run out; ask the contractor for a new one"}
	}
	if err != nil {
		return web.User{}, refuse(err)
	}
	return webUser(u), nil
}

// User returns a person who may still sign in.
func (p Pages) User(ctx context.Context, id string) (web.User, error) {
	n, err := strconv.ParseInt(id, 10, 64)
	if err != nil {
		return web.User{}, &web.Error{Kind: web.NotFound, Text: "there is no such person"}
	}
	u, err := p.o.Store.User(ctx, n)
	if err != nil {
		return web.User{}, refuse(err)
	}
	if u.Disabled {
		return web.User{}, &web.Error{Kind: web.NotFound, Text: "this person may not sign in any more"}
	}
	return webUser(u), nil
}

// People returns everybody who may sign in.
func (p Pages) People(ctx context.Context) ([]web.User, error) {
	all, err := p.o.Store.Users(ctx)
	if err != nil {
		return nil, refuse(err)
	}
	out := []web.User{}
	for i := range all {
		if !all[i].Disabled {
			out = append(out, webUser(&all[i]))
		}
	}
	return out, nil
}

// NewLink makes a sign-in link's token for a person; only the contractor may.
func (p Pages) NewLink(ctx context.Context, by web.User, id string) (string, error) {
	if by.Role != web.Contractor {
		return "", &web.Error{Kind: web.Forbidden, Text: "only the contractor hands out sign-in links"}
	}
	n, err := strconv.ParseInt(id, 10, 64)
	if err != nil {
		return "", &web.Error{Kind: web.NotFound, Text: "there is no such person"}
	}
	token, err := p.o.Store.NewSignInLink(ctx, n, linkLife, p.now())
	return token, refuse(err)
}
