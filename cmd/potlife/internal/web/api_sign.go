package web

import (
	"context"
	"net/http"
	"time"

	"github.com/danielgtaylor/huma/v2"
)

type apiSignature struct {
	Signer  string    `json:"signer"`
	On      string    `json:"on" doc:"YYYY-MM-DD"`
	Note    string    `json:"note"`
	By      string    `json:"by" doc:"who recorded it"`
	At      time.Time `json:"at"`
	Present bool      `json:"present" doc:"it is of the layout as it is now"`
}

type signingIn struct {
	Job  string `path:"job"`
	Room string `path:"room"`
}

type signingOut struct {
	Body struct {
		Asked      bool           `json:"asked" doc:"the client is to sign before goods for the room are ordered"`
		Digest     string         `json:"digest" doc:"of the layout as it is now; empty where none is asked"`
		Signed     bool           `json:"signed"`
		Signatures []apiSignature `json:"signatures" nullable:"false"`
	}
}

type signIn struct {
	Job  string `path:"job"`
	Room string `path:"room"`
	Body struct {
		Key    string `json:"key" minLength:"8" maxLength:"200" doc:"idempotency key"`
		Digest string `json:"digest" minLength:"1" doc:"of the layout that was signed"`
		Signer string `json:"signer" minLength:"1" maxLength:"200"`
		On     string `json:"on" format:"date"`
		Note   string `json:"note,omitempty" maxLength:"4000"`
	}
}

func (s *server) apiSign(a huma.API) {
	operation(s, a, http.MethodGet, "/rooms/{job}/{room}/signatures", "get-signatures", "The client's signatures on a room's layout", desk, func(ctx context.Context, in *signingIn) (*signingOut, error) {
		return s.apiSigning(ctx, in.Job+"/"+in.Room)
	})
	operation(s, a, http.MethodPost, "/rooms/{job}/{room}/signatures", "sign-layout", "Record the client's signature on a room's layout", desk, func(ctx context.Context, in *signIn) (*signingOut, error) {
		room, b := in.Job+"/"+in.Room, in.Body
		if err := s.takeSignature(ctx, SignIn{Key: b.Key, Room: room, Digest: b.Digest, Signer: b.Signer, On: b.On, Note: b.Note, By: *userOf(ctx)}); err != nil {
			return nil, err
		}
		return s.apiSigning(ctx, room)
	})
}

func (s *server) apiSigning(ctx context.Context, room string) (*signingOut, error) {
	v, err := s.current(ctx)
	if err != nil {
		return nil, err
	}
	if v.x.Rooms[room] == nil {
		return nil, &Error{Kind: NotFound, Text: "There is no room " + room + " in the plan."}
	}
	out := &signingOut{}
	out.Body.Signatures = []apiSignature{}
	if s.o.Signings == nil {
		return out, nil
	}
	got, err := s.o.Signings.Signings(ctx, []string{room})
	if err != nil {
		return nil, err
	}
	g, asked := got[room]
	out.Body.Asked, out.Body.Digest, out.Body.Signed = asked, g.Digest, g.Signed
	for _, one := range g.Signatures {
		out.Body.Signatures = append(out.Body.Signatures, apiSignature(one))
	}
	return out, nil
}
