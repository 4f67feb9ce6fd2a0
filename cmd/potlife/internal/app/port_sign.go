package app

import (
	"context"
	"strings"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/store"
	"potlife/cmd/potlife/internal/web"
	"potlife/rooms"
)

var _ web.Signings = Pages{}

// wanted is the digest of the drawings of each of the rooms ("job/room") whose
// client signs.
func (a *App) wanted(ctx context.Context, doc *plandoc.Document, of []string) (map[string]string, error) {
	jobs, err := a.o.Store.SigningJobs(ctx)
	if err != nil {
		return nil, err
	}
	out := map[string]string{}
	for _, room := range of {
		if job, _, _ := strings.Cut(room, "/"); !jobs[job] {
			continue
		}
		digest, err := doc.Drawn(room)
		if err != nil {
			return nil, err
		}
		if digest != "" {
			out[room] = digest
		}
	}
	return out, nil
}

// Signings says how far the rooms are signed whose client signs.
func (p Pages) Signings(ctx context.Context, of []string) (map[string]web.RoomSigning, error) {
	_, doc, err := p.current(ctx)
	if err != nil {
		return nil, refuse(err)
	}
	wanted, err := p.wanted(ctx, doc, of)
	if err != nil {
		return nil, refuse(err)
	}
	out := map[string]web.RoomSigning{}
	for room, digest := range wanted {
		out[room] = web.RoomSigning{Digest: digest}
	}
	if len(out) == 0 {
		return out, nil
	}
	all, err := p.o.Store.Signatures(ctx, of)
	if err != nil {
		return nil, refuse(err)
	}
	for _, g := range all {
		r, ok := out[g.Room]
		if !ok {
			continue
		}
		present := g.Digest == r.Digest
		r.Signed = r.Signed || present
		r.Signatures = append(r.Signatures, web.Signature{Signer: g.Signer, On: g.On.String(), Note: g.Note, By: g.Who, At: g.At, Present: present})
		out[g.Room] = r
	}
	return out, nil
}

// Sign records a client's signature on the present drawings of a room.
func (p Pages) Sign(ctx context.Context, in web.SignIn) error {
	on, err := rooms.ParseDate(in.On)
	if err != nil {
		return &web.Error{Kind: web.Invalid, Field: "on", Text: "The day of the signature: " + err.Error()}
	}
	firm, err := p.o.Store.Firm(ctx)
	if err != nil {
		return refuse(err)
	}
	if now := today(firm, p.now()); now.Before(on) {
		return &web.Error{Kind: web.Invalid, Field: "on", Text: "The day of the signature, " + in.On + ", has not come yet; give the day on which it was signed."}
	}
	_, doc, err := p.current(ctx)
	if err != nil {
		return refuse(err)
	}
	wanted, err := p.wanted(ctx, doc, []string{in.Room})
	if err != nil {
		return refuse(err)
	}
	switch digest, asked := wanted[in.Room]; {
	case !asked:
		return &web.Error{Kind: web.Conflict, Field: "room", Text: "No signature is asked for on " + in.Room + ": its job does not say client_signs, or nothing is tiled there."}
	case digest != in.Digest:
		return &web.Error{Kind: web.Conflict, Field: "digest", Text: "The layout of " + in.Room + " has changed since these drawings were shown. Show the client the drawings as they are now, and record the signature on them."}
	}
	return refuse(p.o.Store.Sign(ctx, store.Signature{Key: in.Key, Room: in.Room, Digest: in.Digest, Signer: in.Signer, On: on, Note: in.Note, Who: in.By.Name, At: p.now()}))
}
