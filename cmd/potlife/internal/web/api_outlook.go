package web

import (
	"context"
	"net/http"
	"net/url"
	"strconv"
	"time"

	"github.com/danielgtaylor/huma/v2"
)

type likelyOut struct {
	Body struct {
		Runs   int         `json:"runs"`
		Half   string      `json:"half" doc:"all is finished by then in half of the runs"`
		Eighty string      `json:"eighty"`
		Rooms  []apiLikely `json:"rooms" nullable:"false"`
	}
}

type apiLikely struct {
	Room   string  `json:"room"`
	Half   string  `json:"half"`
	Eighty string  `json:"eighty"`
	Chance float64 `json:"chance" doc:"of the due date"`
}

type whatIfIn struct {
	Kind     string `query:"kind" required:"true" enum:"crew away,person away,extra day,more setters,more helpers,supplier late,order late,room first,order of work,room to crew,room due,room ready"`
	Crew     string `query:"crew"`
	Room     string `query:"room"`
	Supplier string `query:"supplier"`
	Order    string `query:"order" doc:"key of an order that was placed and is still to come"`
	Text     string `query:"text" doc:"the order of work; person away: \"helper\" where it is no setter"`
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

// apiOutlook is there only where the program can answer.
func (s *server) apiOutlook(a huma.API) {
	if s.o.Outlook == nil {
		return
	}
	operation(s, a, http.MethodGet, "/likely", "get-likely", "When rooms are handed over in half and in 80 % of a simulation", desk, func(ctx context.Context, _ *nothing) (*likelyOut, error) {
		l, err := s.o.Outlook.Likely(ctx)
		if err != nil {
			return nil, err
		}
		v, err := s.current(ctx)
		if err != nil {
			return nil, err
		}
		out := &likelyOut{}
		out.Body.Runs, out.Body.Half, out.Body.Eighty, out.Body.Rooms = l.Runs, l.Half.Format(time.RFC3339), l.Eighty.Format(time.RFC3339), []apiLikely{}
		for _, r := range v.Document.Rooms {
			if x, ok := l.Rooms[r.Key]; ok {
				out.Body.Rooms = append(out.Body.Rooms, apiLikely{r.Key, x.Half.Format(time.RFC3339), x.Eighty.Format(time.RFC3339), x.Chance})
			}
		}
		return out, nil
	})
	operation(s, a, http.MethodGet, "/what-if", "ask-what-if", "The plan with one thing changed, compared; nothing is saved", desk, s.apiWhatIf)
}

func (s *server) apiWhatIf(ctx context.Context, in *whatIfIn) (*whatIfOut, error) {
	c, err := readChange(url.Values{"kind": {in.Kind}, "crew": {in.Crew}, "room": {in.Room}, "supplier": {in.Supplier}, "order": {in.Order}, "text": {in.Text}, "from": {in.From}, "to": {in.To}, "count": {strconv.Itoa(in.Count)}})
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
