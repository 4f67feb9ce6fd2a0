package web

import (
	"context"
	"net/http"

	"github.com/danielgtaylor/huma/v2"
)

type apiOffcut struct {
	Key    string   `json:"key"`
	Tile   string   `json:"tile"`
	Lot    string   `json:"lot" doc:"empty: not known"`
	Width  float64  `json:"width" doc:"mm, as the tile lies face up"`
	Height float64  `json:"height" doc:"mm"`
	Edges  []string `json:"edges" nullable:"false" doc:"its sides that are the tile's own edges"`
	Place  string   `json:"place" doc:"empty: the yard"`
	From   string   `json:"from" doc:"what it was left of"`
	Gone   bool     `json:"gone"`
}

type offcutsOut struct {
	Body struct {
		Offcuts []apiOffcut `json:"offcuts" nullable:"false"`
	}
}

type keepOffcutIn struct {
	Body struct {
		Key    string   `json:"key,omitempty" maxLength:"100" doc:"what is marked on its back; left out: the next number"`
		Tile   string   `json:"tile" minLength:"1"`
		Lot    string   `json:"lot,omitempty" maxLength:"100" doc:"without it the offcut is listed and not used"`
		Width  string   `json:"width" minLength:"1" doc:"as written: 300, 30 cm, 11 3/4\""`
		Height string   `json:"height" minLength:"1"`
		Edges  []string `json:"edges,omitempty" doc:"left, bottom, right, top: its sides that are the tile's own edges"`
		Place  string   `json:"place,omitempty" maxLength:"200"`
		From   string   `json:"from,omitempty" maxLength:"200"`
	}
}

type offcutKeyOut struct {
	Body struct {
		Key string `json:"key"`
	}
}

type offcutGoneIn struct {
	Body struct {
		Key string `json:"key" minLength:"1"`
	}
}

func (s *server) apiOffcuts(a huma.API) {
	operation(s, a, http.MethodGet, "/offcuts", "list-offcuts", "Offcuts that were kept, those in hand first", desk, s.apiListOffcuts)
	operation(s, a, http.MethodPost, "/offcuts", "keep-offcut", "Record an offcut in hand; the next plan cuts from it where that saves a tile of its lot", desk, s.apiKeepOffcut)
	operation(s, a, http.MethodPost, "/offcuts/gone", "book-out-offcut", "Say that an offcut is not there any more", desk, s.apiOffcutGone)
}

func (s *server) apiListOffcuts(ctx context.Context, _ *nothing) (*offcutsOut, error) {
	if s.o.Stock == nil {
		return nil, &Error{Kind: NotFound, Text: "This program keeps no stock."}
	}
	list, err := s.o.Stock.Offcuts(ctx)
	if err != nil {
		return nil, err
	}
	out := &offcutsOut{}
	out.Body.Offcuts = []apiOffcut{}
	for _, o := range list {
		out.Body.Offcuts = append(out.Body.Offcuts, apiOffcut{Key: o.Key, Tile: o.Tile, Lot: o.Lot, Width: o.Width.Millimetres(), Height: o.Height.Millimetres(),
			Edges: o.Edges(), Place: o.Place, From: o.From, Gone: o.Gone})
	}
	return out, nil
}

func (s *server) apiKeepOffcut(ctx context.Context, in *keepOffcutIn) (*offcutKeyOut, error) {
	if s.o.Stock == nil {
		return nil, &Error{Kind: NotFound, Text: "This program keeps no stock."}
	}
	b := in.Body
	key, err := s.o.Stock.KeepOffcut(ctx, OffcutIn{Key: b.Key, Tile: b.Tile, Lot: b.Lot, Width: b.Width, Height: b.Height, Edges: b.Edges, Place: b.Place, From: b.From, By: *userOf(ctx)})
	if err != nil {
		return nil, err
	}
	out := &offcutKeyOut{}
	out.Body.Key = key
	return out, nil
}

func (s *server) apiOffcutGone(ctx context.Context, in *offcutGoneIn) (*offcutKeyOut, error) {
	if s.o.Stock == nil {
		return nil, &Error{Kind: NotFound, Text: "This program keeps no stock."}
	}
	if err := s.o.Stock.OffcutGone(ctx, in.Body.Key, *userOf(ctx)); err != nil {
		return nil, err
	}
	out := &offcutKeyOut{}
	out.Body.Key = in.Body.Key
	return out, nil
}
