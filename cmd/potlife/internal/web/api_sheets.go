package web

import (
	"bytes"
	"context"
	"net/http"
	"strconv"
	"time"

	"github.com/danielgtaylor/huma/v2"

	"potlife/cmd/potlife/internal/plandoc"
)

type apiSheet struct {
	Crew        string   `json:"crew"`
	Date        string   `json:"date"`
	Revision    int      `json:"revision"`
	ReplacedBy  int      `json:"replaced_by" doc:"0: current"`
	Issued      string   `json:"issued"`
	Differences []string `json:"differences" nullable:"false"`
	Moved       []string `json:"moved" nullable:"false" doc:"meant for the day and moved, with the reason"`
	Delivery    []string `json:"delivery" nullable:"false"`
}

type sheetsIn struct {
	Crew string `query:"crew" doc:"only this crew's; a crew sees its own alone"`
}

type sheetsOut struct {
	Body struct {
		Sheets []apiSheet `json:"sheets" nullable:"false"`
	}
}

type sheetIn struct {
	Crew     string `path:"crew"`
	Date     string `path:"date"`
	Revision int    `query:"revision" minimum:"0" doc:"0: the current one"`
}

func (s *server) apiSheets(a huma.API) {
	operation(s, a, http.MethodGet, "/sheets", "list-sheets", "Issued day sheets, newest first", nil, s.apiSheetList)
	operation(s, a, http.MethodGet, "/sheets/{crew}/{date}", "get-sheet", "One day sheet as printed", nil, s.apiSheet)
}

func (s *server) apiSheetList(ctx context.Context, in *sheetsIn) (*sheetsOut, error) {
	u := userOf(ctx)
	crew := in.Crew
	if u.Role == Crew {
		if crew != "" && crew != u.Crew {
			return nil, &Error{Kind: Forbidden, Text: "These are another crew's sheets."}
		}
		crew = u.Crew
	}
	list, err := s.o.Sheets.List(ctx, crew)
	if err != nil {
		return nil, err
	}
	out := &sheetsOut{}
	out.Body.Sheets = []apiSheet{}
	for _, i := range list {
		out.Body.Sheets = append(out.Body.Sheets, apiSheet{Crew: i.Crew, Date: i.Date, Revision: i.Revision, ReplacedBy: i.ReplacedBy, Issued: i.Issued.UTC().Format(time.RFC3339),
			Differences: append([]string{}, i.Differences...), Moved: append([]string{}, i.Moved...), Delivery: append([]string{}, i.Delivery...)})
	}
	return out, nil
}

func (s *server) apiSheet(ctx context.Context, in *sheetIn) (*rawJSON, error) {
	revision := ""
	if in.Revision > 0 {
		revision = strconv.Itoa(in.Revision)
	}
	o, err := s.openSheet(ctx, userOf(ctx), in.Crew, in.Date, revision)
	if err != nil {
		return nil, err
	}
	m := plandoc.Mark{Revision: o.Revision, ReplacedBy: o.ReplacedBy, Differences: o.Differences, Moved: o.Moved}
	if s.o.PublicURL != "" {
		m.URL = s.o.PublicURL + path("sheets", o.Crew, o.Date)
	}
	if !o.Issued.IsZero() {
		m.Issued = o.Issued.Format(time.RFC3339)
	}
	var b bytes.Buffer
	if err := s.o.Print.DayFile(&b, o.Document, o.Index, m, "json"); err != nil {
		return nil, err
	}
	return &rawJSON{ContentType: "application/json", Body: b.Bytes()}, nil
}
