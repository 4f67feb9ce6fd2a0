package web

import (
	"context"
	"net/http"
	"strings"
	"time"

	"github.com/danielgtaylor/huma/v2"

	"potlife/cmd/potlife/internal/plandoc"
)

type apiRecord struct {
	Key       string    `json:"key" minLength:"8" maxLength:"200" doc:"idempotency key, made where the report is written"`
	Kind      string    `json:"kind" enum:"area started,area done,area not done,activity started,activity done,activity not done,pieces broken,reading,temperature,boxes opened,away,hours,note,withdrawn"`
	At        time.Time `json:"at,omitempty" doc:"when it happened; left out: now, or for a day that is over the end of the crew's work"`
	Clock     string    `json:"time,omitempty" doc:"instead of at: the time of day on date, 14:30, in the firm's zone"`
	Crew      string    `json:"crew,omitempty" doc:"a crew's own people may leave it out"`
	Date      string    `json:"date" format:"date" doc:"of the sheet; of away: the first day"`
	Area      string    `json:"area,omitempty"`
	Activity  string    `json:"activity,omitempty"`
	Pieces    []string  `json:"pieces,omitempty" maxItems:"2000" nullable:"false"`
	UpTo      string    `json:"up_to,omitempty" doc:"of an area that ended early: the last piece set; stands for all before it in setting order. none: nothing of it was set"`
	Surface   string    `json:"surface,omitempty"`
	Edge      int       `json:"edge,omitempty" minimum:"-1" doc:"index of the outline's edge from 0, -1 for the whole"`
	EdgeAt    string    `json:"edge_at,omitempty" maxLength:"40" doc:"how far along the edge, as a tape reads: 1200, 1.2 m, 47 1/4 in; a bare number is in the firm's unit"`
	Deviation string    `json:"deviation,omitempty" maxLength:"40" doc:"how far the true edge lies outside (+) or inside (-) of the outline there"`
	Minutes   int       `json:"minutes,omitempty" minimum:"0" maximum:"1440"`
	DoneBy    []string  `json:"done_by,omitempty" maxItems:"128" nullable:"false" doc:"of area done, activity done and hours: everybody who worked on it, by the names that the firm gives the crew's people; left out where it is not known. What names one setter teaches how long that one takes"`
	Note      string    `json:"note,omitempty" maxLength:"4000"`
	Room      string    `json:"room,omitempty" doc:"of temperature: where it was read; of boxes opened: where they are used; left out, that of the area, work or surface"`
	Celsius   string    `json:"temperature,omitempty" maxLength:"40" doc:"of temperature: what the thermometer in the room showed on that date: 14 °C, 57 °F; a bare number is in the firm's unit"`
	Product   string    `json:"product,omitempty" doc:"of boxes opened: tile or product"`
	Lot       string    `json:"lot,omitempty" maxLength:"60" doc:"of boxes opened, as written on the box"`
	Packages  float64   `json:"packages,omitempty" minimum:"0" maximum:"999" doc:"how many boxes or packages were opened"`
	Who       string    `json:"who,omitempty" maxLength:"100" doc:"of away: one of the crew by name, or setter or helper where they have no names"`
	Until     string    `json:"until,omitempty" maxLength:"10" doc:"of away: the last day, YYYY-MM-DD; left out, date alone"`
	AwayFrom  string    `json:"away_from,omitempty" maxLength:"5" doc:"of away: from this time on each of the days, 13:00; left out, from the morning"`
	AwayTo    string    `json:"away_to,omitempty" maxLength:"5" doc:"of away: back at this time; left out, not on that day"`
	Corrects  string    `json:"corrects,omitempty" maxLength:"200" doc:"key of the report that this one puts right; it stays to be read and counts no longer"`
	Photos    [][]byte  `json:"photos,omitempty" maxItems:"4" nullable:"false" doc:"JPEG or PNG, base64; kept as JPEG of at most 1600 pixels a side, without what the file said of place and time"`
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
	// CorrectedBy and Pictures: see RecordRow.
	CorrectedBy string `json:"corrected_by,omitempty" doc:"key of the report that puts this one right"`
	Pictures    int    `json:"pictures" doc:"how many photos came with it, at /records/{id}/photos/0 and so on"`
}

func (s *server) apiRecords(a huma.API) {
	operation(s, a, http.MethodPost, "/records", "add-record", "Report from the day", nil, func(ctx context.Context, in *recordIn) (*recordOut, error) {
		b := in.Body
		photos, err := readPhotos(b.Photos)
		if err != nil {
			return nil, err
		}
		res, err := s.store(ctx, RecordIn{Key: b.Key, Kind: b.Kind, At: b.At, Crew: b.Crew, Date: b.Date, Area: b.Area, Activity: b.Activity, Pieces: b.Pieces, Surface: b.Surface,
			Edge: b.Edge, MinutesWorked: b.Minutes, DoneBy: b.DoneBy, Note: strings.TrimSpace(b.Note),
			Room: b.Room, Product: b.Product, Lot: strings.TrimSpace(b.Lot), Packages: b.Packages, Corrects: b.Corrects, Photos: photos, Who: strings.TrimSpace(b.Who), Until: b.Until, AwayFrom: b.AwayFrom, AwayTo: b.AwayTo},
			tape{edgeAt: b.EdgeAt, deviation: b.Deviation, upTo: b.UpTo, clock: b.Clock, celsius: strings.TrimSpace(b.Celsius)})
		if err != nil {
			return nil, err
		}
		out := &recordOut{}
		out.Body.ID, out.Body.Again, out.Body.Message = res.ID, res.Again, res.Message
		return out, nil
	})
	operation(s, a, http.MethodGet, "/records", "list-records", "Reports in order of time", nil, s.apiRecordList)
}

// celsiusText writes a temperature that was read, "" in reports of other kinds.
func celsiusText(in RecordIn) string {
	if in.Kind != "temperature" {
		return ""
	}
	return plandoc.Figure(in.Celsius, 2) + " °C"
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
		out.Body.Records = append(out.Body.Records, apiRecordRow{ID: r.ID, By: r.By.Name, Stored: r.Stored, CorrectedBy: r.CorrectedBy, Pictures: r.Pictures, apiRecord: apiRecord{Key: r.Key, Kind: r.Kind, At: r.At, Crew: r.Crew, Date: r.Date, Area: r.Area, Activity: r.Activity,
			Pieces: r.Pieces, Surface: r.Surface, Edge: r.Edge, EdgeAt: mmText(r.EdgeAtMM), Deviation: mmText(r.DeviationMM), Minutes: r.MinutesWorked, DoneBy: r.DoneBy, Note: r.Note,
			Room: r.Room, Product: r.Product, Lot: r.Lot, Packages: r.Packages, Celsius: celsiusText(r.RecordIn), Corrects: r.Corrects, Who: r.Who, Until: r.Until, AwayFrom: r.AwayFrom, AwayTo: r.AwayTo}})
	}
	return out, nil
}

func readPhotos(in [][]byte) ([]Photo, error) {
	var out []Photo
	for _, body := range in {
		p, err := readPhoto(body)
		if err != nil {
			return nil, err
		}
		out = append(out, p)
	}
	return out, nil
}

func mmText(mm float64) string {
	if mm == 0 {
		return ""
	}
	return plandoc.Figure(mm, 4) + " mm"
}
