package web

import (
	"context"
	"net/http"
	"time"

	"github.com/danielgtaylor/huma/v2"

	"potlife/cmd/potlife/internal/plandoc"
)

type apiRecord struct {
	Key       string    `json:"key" minLength:"8" maxLength:"200" doc:"idempotency key, made where the report is written"`
	Kind      string    `json:"kind" enum:"area done,activity done,pieces broken,reading,hours,note"`
	At        time.Time `json:"at" doc:"when it happened"`
	Crew      string    `json:"crew,omitempty" doc:"a crew's own people may leave it out"`
	Date      string    `json:"date" format:"date" doc:"of the sheet"`
	Area      string    `json:"area,omitempty"`
	Activity  string    `json:"activity,omitempty"`
	Pieces    []string  `json:"pieces,omitempty" maxItems:"2000" nullable:"false"`
	UpTo      string    `json:"up_to,omitempty" doc:"of an area that ended early: the last piece set; stands for all before it in setting order"`
	Surface   string    `json:"surface,omitempty"`
	Edge      int       `json:"edge,omitempty" minimum:"-1" doc:"index of the outline's edge from 0, -1 for the whole"`
	EdgeAt    string    `json:"edge_at,omitempty" maxLength:"40" doc:"how far along the edge, as a tape reads: 1200, 1.2 m, 47 1/4 in; a bare number is in the firm's unit"`
	Deviation string    `json:"deviation,omitempty" maxLength:"40" doc:"how far the true edge lies outside (+) or inside (-) of the outline there"`
	Minutes   int       `json:"minutes,omitempty" minimum:"0" maximum:"1440"`
	Note      string    `json:"note,omitempty" maxLength:"4000"`
}

type recordIn struct{ Body apiRecord }

type recordOut struct {
	Body struct {
		ID      string `json:"id"`
		Again   bool   `json:"again" doc:"the key was known already; nothing was added"`
		Message string `json:"message"`
	}
}

type recordsIn struct {
	Crew string `query:"crew"`
	Date string `query:"date" doc:"YYYY-MM-DD"`
}

type recordsOut struct {
	Body struct {
		Records []apiRecordRow `json:"records" nullable:"false"`
	}
}

type apiRecordRow struct {
	apiRecord
	ID     string    `json:"id"`
	By     string    `json:"by"`
	Stored time.Time `json:"stored"`
}

func (s *server) apiRecords(a huma.API) {
	operation(s, a, http.MethodPost, "/records", "add-record", "Report from the day", nil, func(ctx context.Context, in *recordIn) (*recordOut, error) {
		b := in.Body
		res, err := s.store(ctx, RecordIn{Key: b.Key, Kind: b.Kind, At: b.At, Crew: b.Crew, Date: b.Date, Area: b.Area, Activity: b.Activity, Pieces: b.Pieces, Surface: b.Surface,
			Edge: b.Edge, MinutesWorked: b.Minutes, Note: b.Note}, tape{edgeAt: b.EdgeAt, deviation: b.Deviation, upTo: b.UpTo})
		if err != nil {
			return nil, err
		}
		out := &recordOut{}
		out.Body.ID, out.Body.Again, out.Body.Message = res.ID, res.Again, res.Message
		return out, nil
	})
	operation(s, a, http.MethodGet, "/records", "list-records", "Reports in order of time", nil, s.apiRecordList)
}

func (s *server) apiRecordList(ctx context.Context, in *recordsIn) (*recordsOut, error) {
	u := userOf(ctx)
	if u.Role == Crew {
		if in.Crew != "" && in.Crew != u.Crew {
			return nil, &Error{Kind: Forbidden, Text: "These are another crew's reports."}
		}
		in.Crew = u.Crew
	}
	rows, err := s.o.Recorder.Records(ctx, in.Crew, in.Date)
	if err != nil {
		return nil, err
	}
	out := &recordsOut{}
	out.Body.Records = []apiRecordRow{}
	for _, r := range rows {
		out.Body.Records = append(out.Body.Records, apiRecordRow{ID: r.ID, By: r.By.Name, Stored: r.Stored, apiRecord: apiRecord{Key: r.Key, Kind: r.Kind, At: r.At, Crew: r.Crew, Date: r.Date, Area: r.Area, Activity: r.Activity,
			Pieces: r.Pieces, Surface: r.Surface, Edge: r.Edge, EdgeAt: mmText(r.EdgeAtMM), Deviation: mmText(r.DeviationMM), Minutes: r.MinutesWorked, Note: r.Note}})
	}
	return out, nil
}

func mmText(mm float64) string {
	if mm == 0 {
		return ""
	}
	return plandoc.Figure(mm, 4) + " mm"
}
