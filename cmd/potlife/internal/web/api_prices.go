package web

import (
	"context"
	"net/http"
	"strings"
	"time"

	"github.com/danielgtaylor/huma/v2"
	"github.com/shopspring/decimal"

	"potlife/cmd/potlife/internal/pricelist"
	"potlife/rooms"
)

type apiPrice struct {
	Product string    `json:"product"`
	Price   string    `json:"price" doc:"of a package, decimal"`
	From    string    `json:"from" doc:"YYYY-MM-DD: the day from which it counts"`
	Source  string    `json:"source"`
	By      string    `json:"by"`
	At      time.Time `json:"at" doc:"when it was taken over"`
}

type pricesOut struct {
	Body struct {
		Currency string     `json:"currency"`
		Prices   []apiPrice `json:"prices" nullable:"false"`
	}
}

type priceListIn struct {
	Body struct {
		Source  string            `json:"source" minLength:"1" maxLength:"200" doc:"what the list is called"`
		List    string            `json:"list" minLength:"1" doc:"the list as CSV"`
		From    string            `json:"from,omitempty" format:"date" doc:"the day from which rows without one count; left out: today"`
		Decimal string            `json:"decimal,omitempty" enum:"point,comma" doc:"the decimal sign, where the list leaves it open"`
		Columns map[string]string `json:"columns,omitempty" doc:"what the list calls our columns"`
		Skip    bool              `json:"skip,omitempty" doc:"take over what is right and leave out rows that are not"`
		Dry     bool              `json:"dry,omitempty" doc:"only say what would be done"`
	}
}

type priceListOut struct {
	Body struct {
		Message  string       `json:"message"`
		Prices   int          `json:"prices" doc:"rows that are right"`
		Problems []apiProblem `json:"problems" nullable:"false" doc:"rows that are left out"`
	}
}

type apiProblem struct {
	Line   int    `json:"line"`
	Column string `json:"column"`
	What   string `json:"what"`
	Do     string `json:"do"`
}

func (s *server) apiPrices(a huma.API) {
	operation(s, a, http.MethodGet, "/prices", "list-prices", "Prices taken over from lists, by product, the latest day first", desk, s.apiPriceHistory)
	operation(s, a, http.MethodPost, "/prices", "take-prices", "Take a supplier's price list over; where a row is wrong nothing is written, unless it may be skipped", desk, s.apiTakePrices)
}

func (s *server) apiPriceHistory(ctx context.Context, _ *nothing) (*pricesOut, error) {
	if s.o.Prices == nil {
		return nil, &Error{Kind: NotFound, Text: "This program keeps no price lists."}
	}
	v, err := s.current(ctx)
	if err != nil {
		return nil, err
	}
	history, err := s.o.Prices.Prices(ctx)
	if err != nil {
		return nil, err
	}
	out := &pricesOut{}
	out.Body.Currency, out.Body.Prices = v.Document.Currency, []apiPrice{}
	for _, h := range history {
		out.Body.Prices = append(out.Body.Prices, apiPrice{Product: h.Product, Price: money(decimal.New(int64(h.Price), -4).String()), From: h.From, Source: h.Source, By: h.By, At: h.At})
	}
	return out, nil
}

func (s *server) apiTakePrices(ctx context.Context, in *priceListIn) (*priceListOut, error) {
	if s.o.Prices == nil {
		return nil, &Error{Kind: NotFound, Text: "This program keeps no price lists."}
	}
	b := in.Body
	o := pricelist.Options{Decimal: b.Decimal, Columns: b.Columns}
	if b.From != "" {
		var err error
		if o.From, err = rooms.ParseDate(b.From); err != nil {
			return nil, &Error{Kind: Invalid, Field: "from", Text: "The day from which the prices count is not of the form 2026-03-04."}
		}
	}
	got, said, err := s.o.Prices.TakePrices(ctx, []byte(b.List), o, pricelist.How{Source: strings.TrimSpace(b.Source), Who: userOf(ctx).Name, Skip: b.Skip, Dry: b.Dry})
	if err != nil {
		return nil, err
	}
	out := &priceListOut{}
	out.Body.Message, out.Body.Prices, out.Body.Problems = said, len(got.Items), []apiProblem{}
	text := "The list: " + said + "."
	for _, p := range got.Problems {
		out.Body.Problems = append(out.Body.Problems, apiProblem(p))
		text += "\n" + p.String()
	}
	if len(got.Problems) > 0 && !b.Skip {
		return nil, &Error{Kind: Invalid, Field: "list", Text: text}
	}
	return out, nil
}
