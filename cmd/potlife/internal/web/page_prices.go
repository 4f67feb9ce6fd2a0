package web

import (
	"bytes"
	"errors"
	"io"
	"net/http"
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"potlife/cmd/potlife/internal/pricelist"
	"potlife/rooms"
)

type pricesPage struct {
	frame
	Currency, From, Decimal, Columns string
	Skip                             bool
	Said, Trouble                    string
	Problems                         []pricelist.Problem
	History                          []priceRow
}

type priceRow struct{ Name, Key, Price, From, Source, By, At string }

func (s *server) prices(w http.ResponseWriter, r *http.Request) error {
	p, err := s.pricesPage(r)
	if err != nil {
		return err
	}
	s.render(w, r, http.StatusOK, "prices", p)
	return nil
}

func (s *server) pricesPage(r *http.Request) (*pricesPage, error) {
	if s.o.Prices == nil {
		return nil, &Error{Kind: NotFound, Text: "This program keeps no price lists."}
	}
	v, err := s.current(r.Context())
	if err != nil {
		return nil, err
	}
	history, err := s.o.Prices.Prices(r.Context())
	if err != nil {
		return nil, err
	}
	p := &pricesPage{frame: s.frame(r, "Prices", "orders"), Currency: v.Document.Currency, From: s.o.Now().In(zoneOf(v)).Format(time.DateOnly)}
	for _, h := range history {
		p.History = append(p.History, priceRow{Name: v.x.ProductName(h.Product), Key: h.Product, Price: v.w.Money(decimal.New(int64(h.Price), -4).String()),
			From: v.w.ShortDay(h.From), Source: h.Source, By: h.By, At: v.w.DayClock(h.At.Format(time.RFC3339))})
	}
	return p, nil
}

// priceTemplate serves a list of all that can be bought at today's prices.
func (s *server) priceTemplate(w http.ResponseWriter, r *http.Request) error {
	if s.o.Prices == nil {
		return &Error{Kind: NotFound, Text: "This program keeps no price lists."}
	}
	return s.file(w, contentTypes["csv"], "prices.csv", true, func(b *bytes.Buffer) error { return s.o.Prices.PriceTemplate(r.Context(), b) })
}

// takePrices takes an uploaded list over, or shows what is wrong with it row by
// row.
func (s *server) takePrices(w http.ResponseWriter, r *http.Request) error {
	p, err := s.pricesPage(r)
	if err != nil {
		return err
	}
	text, name, err := uploaded(r, "list")
	if err != nil {
		return err
	}
	f := r.PostForm
	p.From, p.Decimal, p.Columns, p.Skip = strings.TrimSpace(f.Get("from")), f.Get("decimal"), f.Get("columns"), f.Get("skip") != ""
	o := pricelist.Options{Decimal: p.Decimal, Columns: columnNames(p.Columns)}
	var got pricelist.Report
	if o.From, err = rooms.ParseDate(p.From); err != nil {
		err = &Error{Kind: Invalid, Field: "from", Text: "The day from which the prices count is not of the form 2026-03-04."}
	} else {
		got, p.Said, err = s.o.Prices.TakePrices(r.Context(), text, o, pricelist.How{Source: name, Who: userOf(r.Context()).Name, Skip: p.Skip})
	}
	var known *Error
	switch {
	case errors.As(err, &known) && known.Kind != NotFound:
		p.Trouble = known.Text
		s.render(w, r, statuses[known.Kind], "prices", p)
		return nil
	case err != nil:
		return err
	case len(got.Problems) > 0:
		if p.Problems = got.Problems; !p.Skip {
			p.Trouble, p.Said = "The list: "+p.Said+".", ""
			s.render(w, r, http.StatusUnprocessableEntity, "prices", p)
			return nil
		}
		said, problems := p.Said, p.Problems
		if p, err = s.pricesPage(r); err != nil {
			return err
		}
		p.Said, p.Problems = said, problems
		s.render(w, r, http.StatusOK, "prices", p)
		return nil
	}
	s.notice(r, "Price list "+name+": "+p.Said+".")
	http.Redirect(w, r, "/prices", http.StatusSeeOther)
	return nil
}

// uploaded reads the file of a form.
func uploaded(r *http.Request, field string) ([]byte, string, error) {
	if err := r.ParseMultipartForm(mostBody); err != nil {
		return nil, "", unreadable(err)
	}
	f, head, err := r.FormFile(field)
	if err != nil {
		return nil, "", &Error{Kind: Invalid, Field: field, Text: "No file was sent. Choose a CSV file and send the form again."}
	}
	defer f.Close()
	text, err := io.ReadAll(f)
	return text, head.Filename, err
}

// columnNames reads "price=EK, product=Art".
func columnNames(text string) map[string]string {
	names := map[string]string{}
	for part := range strings.SplitSeq(text, ",") {
		if ours, theirs, ok := strings.Cut(part, "="); ok {
			names[strings.TrimSpace(ours)] = strings.TrimSpace(theirs)
		}
	}
	return names
}
