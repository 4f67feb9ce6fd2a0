package app

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"potlife/cmd/potlife/internal/store"
	"potlife/cmd/potlife/internal/web"
	"potlife/rooms"
)

// Pages is an App as the pages see it.
type Pages struct{ *App }

var (
	_ web.Plans    = Pages{}
	_ web.Sheets   = Pages{}
	_ web.Recorder = Pages{}
	_ web.History  = Pages{}
	_ web.Orders   = Pages{}
	_ web.Accounts = Pages{}
	_ web.Health   = Pages{}
)

// refuse turns what the store refuses into what pages may show; other errors
// stay as they are and are shown by number only.
func refuse(err error) error {
	var se *store.Error
	if err == nil || !errors.As(err, &se) {
		return err
	}
	kind := web.Invalid
	switch {
	case errors.Is(err, store.ErrNotFound):
		kind = web.NotFound
	case errors.Is(err, store.ErrConflict):
		kind = web.Conflict
	}
	return &web.Error{Kind: kind, Text: se.Text}
}

// Current is the plan in force.
func (p Pages) Current(ctx context.Context) (web.Plan, error) {
	info, doc, err := p.current(ctx)
	if errors.Is(err, store.ErrNotFound) {
		return web.Plan{}, &web.Error{Kind: web.NotFound, Text: "There is no plan yet. Import a job file (potlife import FILE); the plan follows by itself."}
	}
	if err != nil {
		return web.Plan{}, refuse(err)
	}
	return web.Plan{Document: doc, Revision: int(info.ID), Made: info.MadeAt}, nil
}

// List returns every revision of the sheets of a crew, the newest first.
func (p Pages) List(ctx context.Context, crew string) ([]web.SheetInfo, error) {
	issues, err := p.o.Store.Issues(ctx, rooms.Date{Year: 1900, Month: 1, Day: 1}, rooms.Date{Year: 9999, Month: 1, Day: 1})
	if err != nil {
		return nil, refuse(err)
	}
	went, err := p.deliveries(ctx)
	if err != nil {
		return nil, err
	}
	out := []web.SheetInfo{}
	for i := len(issues) - 1; i >= 0; i-- {
		if crew == "" || issues[i].Crew == crew {
			out = append(out, sheetInfo(&issues[i], went))
		}
	}
	return out, nil
}

func sheetInfo(i *store.Issue, went map[string][]string) web.SheetInfo {
	info := web.SheetInfo{Crew: i.Crew, Date: i.Date().String(), Revision: i.Revision, Issued: i.IssuedAt, Differences: i.Differences, Moved: i.Moved}
	if !i.Current() {
		info.ReplacedBy = i.Revision + 1
	}
	info.Delivery = went[sheetID(i.Crew, info.Date, i.Revision)]
	return info
}

// sheetID begins the ids of all messages about one revision of a sheet.
func sheetID(crew, date string, revision int) string {
	return fmt.Sprintf("sheet.%s.%s.%d", crew, date, revision)
}

// deliveries says, per sheet, where it went.
func (p Pages) deliveries(ctx context.Context) (map[string][]string, error) {
	messages, err := p.o.Store.Messages(ctx, false, 500)
	if err != nil {
		return nil, err
	}
	at := p.dayClock(ctx)
	out := map[string][]string{}
	for _, m := range messages {
		id, ok := strings.CutSuffix(m.Key, "."+m.Channel)
		if !ok || !strings.HasPrefix(id, "sheet.") {
			continue
		}
		out[id] = append(out[id], wentWhere(m, at))
	}
	return out, nil
}

// dayClock writes instants in the zone and the way of the plan in force, in UTC
// where there is none.
func (p Pages) dayClock(ctx context.Context) func(time.Time) string {
	_, doc, err := p.current(ctx)
	if err != nil {
		return func(t time.Time) string { return rooms.MomentWords(t.UTC()) + " UTC" }
	}
	w := doc.Writing()
	return func(t time.Time) string { return w.DayClock(t.Format(time.RFC3339)) }
}

func wentWhere(m store.MessageState, at func(time.Time) string) string {
	to := m.Channel
	if m.To != "" {
		to += " to " + m.To
	}
	switch {
	case m.DoneAt != nil:
		return fmt.Sprintf("%s: sent %s", to, at(*m.DoneAt))
	case m.FailedAt != nil:
		return fmt.Sprintf("%s: given up, %s", to, m.LastError)
	case m.Attempts > 0:
		return fmt.Sprintf("%s: tried %s, next %s, %s", to, count(m.Attempts, "time"), at(m.NextTry), m.LastError)
	}
	return to + ": waiting"
}

// Sheet returns one issued sheet with the plan it came from.
func (p Pages) Sheet(ctx context.Context, crew, date string, revision int) (web.IssuedSheet, error) {
	day, err := rooms.ParseDate(date)
	if err != nil {
		return web.IssuedSheet{}, &web.Error{Kind: web.NotFound, Text: err.Error()}
	}
	var issue *store.Issue
	if revision == 0 {
		issue, err = p.o.Store.CurrentIssue(ctx, crew, day)
	} else {
		issue, err = p.o.Store.Issue(ctx, crew, day, revision)
	}
	if err != nil {
		return web.IssuedSheet{}, refuse(err)
	}
	if issue.Plan == nil {
		return web.IssuedSheet{}, &web.Error{Kind: web.NotFound, Text: "the plan this sheet was issued from is no longer kept"}
	}
	doc, err := p.document(ctx, *issue.Plan)
	if err != nil {
		return web.IssuedSheet{}, refuse(err)
	}
	went, err := p.deliveries(ctx)
	if err != nil {
		return web.IssuedSheet{}, err
	}
	i := sheetIndex(doc, crew, date)
	if i < 0 {
		return web.IssuedSheet{}, fmt.Errorf("plan %d has no sheet of %s on %s although it was issued", *issue.Plan, crew, date)
	}
	return web.IssuedSheet{SheetInfo: sheetInfo(issue, went), Document: doc, Index: i}, nil
}
