// Package deliver carries what the outbox holds to where it is due: by mail,
// to a webhook, or into a folder. A sender says whether a failure is final and
// whether the receiver may have got the message all the same; the outbox
// decides what follows.
package deliver

import (
	"context"
	"errors"
	"fmt"
	"time"
)

// Channels a message can take.
const (
	Mail    = "mail"
	Webhook = "webhook"
	Folder  = "folder"
)

// Message is one thing to deliver. ID is the same at every attempt, so that a
// receiver can tell a repeat: it becomes the Message-ID of a mail and the
// Idempotency-Key of a webhook.
type Message struct {
	ID      string    `json:"id"`
	Channel string    `json:"channel"`
	To      string    `json:"to"` // mail address; empty for webhook and folder
	Subject string    `json:"subject"`
	Text    string    `json:"text"`
	Created time.Time `json:"created"`
	// Event names what happened, Body is its JSON (webhook).
	Event string `json:"event"`
	Body  []byte `json:"body,omitempty"`
	Files []File `json:"files,omitempty"`
}

// File is an attachment, or a file to be put into the folder under its Name.
type File struct {
	Name string `json:"name"`
	Type string `json:"type"`
	Data []byte `json:"data"`
}

// Failure is an attempt that did not succeed.
type Failure struct {
	// Permanent: another attempt with the same message cannot succeed.
	Permanent bool
	// Unknown: the receiver may have got it; a repeat goes under the same ID.
	Unknown bool
	Err     error
}

func (f *Failure) Error() string {
	kind := "not delivered, will be tried again"
	switch {
	case f.Permanent:
		kind = "cannot be delivered"
	case f.Unknown:
		kind = "delivery not confirmed, will be tried again under the same id"
	}
	return fmt.Sprintf("%s: %v", kind, f.Err)
}

func (f *Failure) Unwrap() error { return f.Err }

// IsPermanent reports whether err says that trying again is of no use.
func IsPermanent(err error) bool {
	var f *Failure
	return errors.As(err, &f) && f.Permanent
}

// Sender delivers on one channel. An error is always a *Failure.
type Sender interface {
	Send(ctx context.Context, m Message) error
}

// Post is a sender per channel.
type Post map[string]Sender

// Send hands m to the sender of its channel.
func (p Post) Send(ctx context.Context, m Message) error {
	s := p[m.Channel]
	if s == nil {
		return &Failure{Permanent: true, Err: fmt.Errorf("no %s is configured", m.Channel)}
	}
	return s.Send(ctx, m)
}
