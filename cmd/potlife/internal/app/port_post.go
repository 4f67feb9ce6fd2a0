package app

import (
	"context"
	"encoding/json"
	"strconv"
	"time"

	"potlife/cmd/potlife/internal/deliver"
	"potlife/cmd/potlife/internal/store"
	"potlife/cmd/potlife/internal/web"
)

var _ web.Outbox = Pages{}

// mostLetters is how many open messages a page lists.
const mostLetters = 200

// Letters lists what has not been accepted yet, the latest first.
func (p Pages) Letters(ctx context.Context) ([]web.Letter, error) {
	open, err := p.o.Store.Messages(ctx, true, mostLetters)
	if err != nil {
		return nil, refuse(err)
	}
	out := []web.Letter{}
	for _, m := range open {
		out = append(out, letter(m))
	}
	return out, nil
}

func letter(m store.MessageState) web.Letter {
	l := web.Letter{ID: strconv.FormatInt(m.ID, 10), About: m.Key, Where: m.Channel, Attempts: m.Attempts, Trouble: m.LastError, Next: m.NextTry}
	if m.To != "" {
		l.Where += " to " + m.To
	}
	if m.FailedAt != nil {
		l.Next = time.Time{}
	}
	var body deliver.Message
	if json.Unmarshal(m.Body, &body) == nil && body.Subject != "" {
		l.About = body.Subject
	}
	return l
}

// SendAgain makes a message due that was given up.
func (p Pages) SendAgain(ctx context.Context, by web.User, id string) error {
	n, err := strconv.ParseInt(id, 10, 64)
	if err != nil {
		return &web.Error{Kind: web.NotFound, Text: "there is no such message"}
	}
	if err := p.o.Store.Revive(ctx, n, p.now()); err != nil {
		return refuse(err)
	}
	p.log.Info("a message is sent again", "message", n, "by", by.Name)
	p.somethingToSend()
	return nil
}

// Told lists the notices to the contractor, the latest first.
func (p Pages) Told(ctx context.Context) ([]web.Told, error) {
	all, err := p.o.Store.Notices(ctx, 30)
	if err != nil {
		return nil, refuse(err)
	}
	out := []web.Told{}
	for _, n := range all {
		out = append(out, web.Told{Date: n.Date().String(), Subject: n.Subject, Text: n.Text, At: n.MadeAt})
	}
	return out, nil
}
