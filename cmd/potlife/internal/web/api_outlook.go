package web

import (
	"context"
	"net/http"
	"net/url"
	"strconv"
	"time"

	"github.com/danielgtaylor/huma/v2"

	"potlife/cmd/potlife/internal/plandoc"
)

type likelyOut struct {
	Body struct {
		Runs   int         `json:"runs"`
		Half   string      `json:"half" doc:"all is finished by then in half of the runs"`
		Eighty string      `json:"eighty"`
		Rooms  []apiLikely `json:"rooms" nullable:"false"`
		HeldBy []apiOften  `json:"held_by" nullable:"false" doc:"activities that held the finish of all, most often first"`
	}
}

type apiLikely struct {
	Room   string     `json:"room"`
	Half   string     `json:"half"`
	Eighty string     `json:"eighty"`
	Chance float64    `json:"chance" doc:"of the due date"`
	HeldBy []apiOften `json:"held_by" nullable:"false" doc:"activities that held the room's hand-over, most often first"`
}

type apiOften struct {
	Activity string  `json:"activity"`
	Title    string  `json:"title"`
	Room     string  `json:"room"`
	Share    float64 `json:"share" doc:"of the runs"`
}

type whatIfIn struct {
	Kind     string `query:"kind" required:"true" enum:"crew away,person away,extra day,more setters,more helpers,supplier late,order late,room first,order of work,room to crew,room due,room ready"`
	Crew     string `query:"crew"`
	Room     string `query:"room"`
	Supplier string `query:"supplier"`
	Order    string `query:"order" doc:"key of an order that was placed and is still to come"`
	Text     string `query:"text" doc:"the order of work; person away: \"setter\", \"helper\", or the name of one of the crew"`
	From     string `query:"from" doc:"YYYY-MM-DD"`
	To       string `query:"to" doc:"YYYY-MM-DD, inclusive"`
	Count    int    `query:"count"`
}

type whatIfOut struct {
	Body struct {
		Text  []string   `json:"text" nullable:"false"`
		Rooms []apiShift `json:"rooms" nullable:"false"`
	}
}

type apiShift struct {
	Room      string `json:"room"`
	Was       string `json:"was"`
	Is        string `json:"is"`
	LateWas   int    `json:"late_was"`
	LateIs    int    `json:"late_is"`
	MovedDays int    `json:"moved_days"`
	Blocked   string `json:"blocked"`
}

// apiOutlook says what is likely; questions are there only where the program can
// answer.
func (s *server) apiOutlook(a huma.API) {
	operation(s, a, http.MethodGet, "/likely", "get-likely", "When rooms are handed over in half and in 80 % of a simulation, and what held them up how often", desk, s.apiLikely)
	if s.o.Outlook != nil {
		operation(s, a, http.MethodGet, "/what-if", "ask-what-if", "The plan with one thing changed, compared; nothing is saved", desk, s.apiWhatIf)
	}
}

func (s *server) apiLikely(ctx context.Context, _ *nothing) (*likelyOut, error) {
	v, err := s.current(ctx)
	if err != nil {
		return nil, err
	}
	out := &likelyOut{}
	l := v.Document.Likely
	out.Body.Runs, out.Body.Half, out.Body.Eighty, out.Body.Rooms = l.Runs, l.Half, l.Eighty, []apiLikely{}
	for i := range v.Document.Rooms {
		r := &v.Document.Rooms[i]
		out.Body.Rooms = append(out.Body.Rooms, apiLikely{r.Key, r.Half, r.Eighty, r.Chance, v.apiOften(r.HeldBy)})
	}
	out.Body.HeldBy = v.apiOften(v.x.MostHeld("", len(v.Document.Activities)))
	return out, nil
}

func (v *view) apiOften(list []plandoc.Often) []apiOften {
	out := []apiOften{}
	for _, o := range list {
		if a := v.x.Activities[o.Activity]; a != nil {
			out = append(out, apiOften{o.Activity, a.Title, a.Room, o.Share})
		}
	}
	return out
}

func (s *server) apiWhatIf(ctx context.Context, in *whatIfIn) (*whatIfOut, error) {
	v, err := s.current(ctx)
	if err != nil {
		return nil, err
	}
	c, err := readChange(url.Values{"kind": {in.Kind}, "crew": {in.Crew}, "room": {in.Room}, "supplier": {in.Supplier}, "order": {in.Order}, "text": {in.Text}, "from": {in.From}, "to": {in.To}, "count": {strconv.Itoa(in.Count)}}, v.x)
	if err != nil {
		return nil, err
	}
	a, err := s.o.Outlook.WhatIf(ctx, c)
	if err != nil {
		return nil, err
	}
	out := &whatIfOut{}
	out.Body.Text, out.Body.Rooms = append([]string{}, a.Text...), []apiShift{}
	for _, sh := range a.Rooms {
		out.Body.Rooms = append(out.Body.Rooms, apiShift{sh.Room, sh.Was.Format(time.RFC3339), sh.Is.Format(time.RFC3339), sh.LateWas, sh.LateIs, sh.MovedDays, sh.Blocked})
	}
	return out, nil
}
