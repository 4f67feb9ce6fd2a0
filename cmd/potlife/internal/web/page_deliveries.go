package web

import (
	"net/http"
	"time"
)

type deliveriesPage struct {
	frame
	GivenUp []letterEntry
	Waiting []letterEntry
	Told    []toldEntry
}

type letterEntry struct {
	ID, About, Where, Trouble, Next string
	Attempts                        int
}

type toldEntry struct{ Date, Subject, Text, At string }

// deliveries lists what did not arrive, with a way to send it again, and what
// the contractor was told.
func (s *server) deliveries(w http.ResponseWriter, r *http.Request) error {
	if s.o.Outbox == nil {
		return &Error{Kind: NotFound, Text: "This program delivers nothing."}
	}
	letters, err := s.o.Outbox.Letters(r.Context())
	if err != nil {
		return err
	}
	told, err := s.o.Outbox.Told(r.Context())
	if err != nil {
		return err
	}
	at := func(t time.Time) string { return t.UTC().Format("2006-01-02 15:04 UTC") }
	if v, err := s.current(r.Context()); err == nil {
		at = func(t time.Time) string { return v.w.DayClock(t.Format(time.RFC3339)) }
	}
	p := deliveriesPage{frame: s.frame(r, "Deliveries", "sheets")}
	for _, l := range letters {
		e := letterEntry{ID: l.ID, About: l.About, Where: l.Where, Trouble: l.Trouble, Attempts: l.Attempts}
		if l.Next.IsZero() {
			p.GivenUp = append(p.GivenUp, e)
			continue
		}
		e.Next = at(l.Next)
		p.Waiting = append(p.Waiting, e)
	}
	for _, t := range told {
		p.Told = append(p.Told, toldEntry{Date: t.Date, Subject: t.Subject, Text: t.Text, At: at(t.At)})
	}
	s.render(w, r, http.StatusOK, "deliveries", p)
	return nil
}

// sendAgain makes a message due that was given up.
func (s *server) sendAgain(w http.ResponseWriter, r *http.Request) error {
	if s.o.Outbox == nil {
		return &Error{Kind: NotFound, Text: "This program delivers nothing."}
	}
	if err := s.o.Outbox.SendAgain(r.Context(), *userOf(r.Context()), r.PathValue("message")); err != nil {
		return err
	}
	s.notice(r, "It is sent again under the same id.")
	http.Redirect(w, r, "/deliveries", http.StatusSeeOther)
	return nil
}
