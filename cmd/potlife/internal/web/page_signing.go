package web

import (
	"context"
	"html/template"
	"net/http"
	"strings"
	"time"
)

// signingPage is a room's drawings with the signatures on them, and on paper
// lines to sign on.
type signingPage struct {
	frame
	RoomKey, Room, Job, JobKey, Client string
	Digest, Key, Today                 string
	Signed                             bool
	Again                              bool // an earlier layout was signed
	Signatures                         []signatureRow
	Drawings                           []signedDrawing
	Trouble, Signer, Note              string
}

type signatureRow struct {
	Signer, On, By, At, Note string
	Present                  bool
}

type signedDrawing struct {
	Name, Size, Patterns string
	Drawing              template.HTML
}

// roomSign is how far a room is signed, on the pages of rooms and orders.
type roomSign struct {
	Key, Name     string
	Signed, Again bool
}

// unsigned are the rooms whose client has not signed their present layout.
func (s *server) unsigned(ctx context.Context, v *view, rooms []string) ([]roomSign, error) {
	var out []roomSign
	if s.o.Signings == nil {
		return nil, nil
	}
	got, err := s.o.Signings.Signings(ctx, rooms)
	if err != nil {
		return nil, err
	}
	for _, room := range rooms {
		if g, asked := got[room]; asked && !g.Signed {
			out = append(out, roomSign{Key: room, Name: v.x.RoomName(room), Again: len(g.Signatures) > 0})
		}
	}
	return out, nil
}

// roomSign is how far one room is signed; nil where its client does not sign.
func (s *server) roomSign(ctx context.Context, room string) (*roomSign, error) {
	if s.o.Signings == nil {
		return nil, nil
	}
	got, err := s.o.Signings.Signings(ctx, []string{room})
	g, asked := got[room]
	if err != nil || !asked {
		return nil, err
	}
	return &roomSign{Key: room, Signed: g.Signed, Again: !g.Signed && len(g.Signatures) > 0}, nil
}

func (s *server) signing(w http.ResponseWriter, r *http.Request) error {
	p, err := s.signingPage(r)
	if err != nil {
		return err
	}
	s.render(w, r, http.StatusOK, "signing", p)
	return nil
}

func (s *server) signingPage(r *http.Request) (*signingPage, error) {
	v, err := s.current(r.Context())
	if err != nil {
		return nil, err
	}
	key := r.PathValue("job") + "/" + r.PathValue("room")
	room := v.x.Rooms[key]
	if room == nil {
		return nil, &Error{Kind: NotFound, Text: "There is no room " + key + " in the plan."}
	}
	g, err := s.signingOf(r.Context(), key)
	if err != nil {
		return nil, err
	}
	zone := zoneOf(v)
	p := &signingPage{frame: s.frame(r, "Layout of "+room.Name+" to sign", "jobs"), RoomKey: key, Room: room.Name, Job: v.jobName(room.Job), JobKey: room.Job,
		Digest: g.Digest, Signed: g.Signed, Again: !g.Signed && len(g.Signatures) > 0, Key: s.o.NewKey(), Today: s.o.Now().In(zone).Format(time.DateOnly)}
	if j := v.x.Jobs[room.Job]; j != nil {
		p.Client = j.Client
	}
	for _, one := range g.Signatures {
		p.Signatures = append(p.Signatures, signatureRow{Signer: one.Signer, On: v.w.Day(one.On), By: one.By, At: v.w.DayClock(one.At.In(zone).Format(time.RFC3339)), Note: one.Note, Present: one.Present})
	}
	return p, s.drawRoom(v, key, p)
}

// signingOf is how far a room is signed; NotFound where its client does not sign.
func (s *server) signingOf(ctx context.Context, room string) (RoomSigning, error) {
	if s.o.Signings != nil {
		got, err := s.o.Signings.Signings(ctx, []string{room})
		if err != nil {
			return RoomSigning{}, err
		}
		if g, ok := got[room]; ok {
			return g, nil
		}
	}
	return RoomSigning{}, &Error{Kind: NotFound, Text: "No signature is asked for on " + room + ". Say client_signs: true in its job and import it again."}
}

func (s *server) drawRoom(v *view, room string, p *signingPage) error {
	for i := range v.Document.Surfaces {
		sf := &v.Document.Surfaces[i]
		if sf.Room != room {
			continue
		}
		svg, err := s.o.Print.Surface(v.Document, sf.Key)
		if err != nil {
			return err
		}
		e := v.jobSurface(sf)
		p.Drawings = append(p.Drawings, signedDrawing{Name: e.Name, Size: e.Size, Patterns: e.Patterns, Drawing: template.HTML(svg)})
	}
	return nil
}

// sign records a signature that the client gave.
func (s *server) sign(w http.ResponseWriter, r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		return unreadable(err)
	}
	f := r.PostForm
	in := SignIn{Key: formKey(r), Room: r.PathValue("job") + "/" + r.PathValue("room"), Digest: f.Get("digest"), Signer: f.Get("signer"), On: f.Get("on"), Note: f.Get("note"), By: *userOf(r.Context())}
	err := s.takeSignature(r.Context(), in)
	known, ok := err.(*Error)
	switch {
	case err == nil:
		s.notice(r, "The signature is recorded.")
		http.Redirect(w, r, path("rooms", r.PathValue("job"), r.PathValue("room"), "layout"), http.StatusSeeOther)
		return nil
	case !ok || known.Kind == NotFound:
		return err
	}
	p, bad := s.signingPage(r)
	if bad != nil {
		return bad
	}
	p.Trouble, p.Signer, p.Note = known.Text, in.Signer, in.Note
	if in.On != "" {
		p.Today = in.On
	}
	s.render(w, r, statuses[known.Kind], "signing", p)
	return nil
}

// takeSignature checks a signature and hands it on.
func (s *server) takeSignature(ctx context.Context, in SignIn) error {
	in.Signer, in.Note = strings.TrimSpace(in.Signer), strings.TrimSpace(in.Note)
	switch {
	case in.Key == "":
		return &Error{Kind: Invalid, Field: "key", Text: "The form lacks its key. Open the layout again and send it from there."}
	case in.Signer == "" || len(in.Signer) > 200:
		return &Error{Kind: Invalid, Field: "signer", Text: "Give the name of who signed, in at most 200 letters."}
	case len(in.Note) > 4000:
		return &Error{Kind: Invalid, Field: "note", Text: "The note is longer than 4000 letters."}
	}
	if _, err := time.Parse(time.DateOnly, in.On); err != nil {
		return &Error{Kind: Invalid, Field: "on", Text: "The day of the signature is not of the form 2026-03-04."}
	}
	if _, err := s.signingOf(ctx, in.Room); err != nil {
		return err
	}
	return s.o.Signings.Sign(ctx, in)
}
