package app

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"

	"potlife/cmd/potlife/internal/deliver"
	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/store"
	"potlife/rooms"
)

// Outcome says what a run of issuing did for one crew.
type Outcome struct {
	Crew string
	Date rooms.Date
	// Issued is the revision that went out now, 0 for none.
	Issued int
	// Why says in words why nothing went out.
	Why string
}

// IssueDue issues to each crew the working day that is due now and has not been
// issued, and nothing else. It may run at any time, in any number of processes
// and as often as one likes: the database takes one issue per crew and day.
func (a *App) IssueDue(ctx context.Context) ([]Outcome, error) {
	fired, ok, err := a.lastFire(ctx)
	if err != nil || !ok {
		return nil, err
	}
	return a.IssueAfter(ctx, fired, a.now())
}

// lastFire is when the firm's issue time last came.
func (a *App) lastFire(ctx context.Context) (time.Time, bool, error) {
	firm, err := a.o.Store.Firm(ctx)
	if errors.Is(err, store.ErrNotFound) {
		return time.Time{}, false, nil
	}
	if err != nil {
		return time.Time{}, false, err
	}
	spec, zone := firm.IssueAt, firm.Zone
	if a.o.Spec != "" {
		spec = a.o.Spec
	}
	if a.o.Zone != nil {
		zone = a.o.Zone
	}
	schedule, err := ParseSpec(spec)
	if err != nil {
		return time.Time{}, false, err
	}
	fired, ok := LastFire(schedule, zone, a.now())
	return fired, ok, nil
}

// IssueAfter issues to each crew its first working day after the day of an
// evening, as long as that day is not over.
func (a *App) IssueAfter(ctx context.Context, evening, now time.Time) ([]Outcome, error) {
	due, err := a.due(ctx, evening, now)
	if err != nil || len(due) == 0 {
		return nil, err
	}
	plan, doc, err := a.planOfTheEvening(ctx, evening, due[0].Date)
	if err != nil {
		return nil, err
	}
	issued := false
	for i := range due {
		if err := a.issueDay(ctx, plan, doc, &due[i]); err != nil {
			return due, fmt.Errorf("issue %s to crew %s: %w", due[i].Date, due[i].Crew, err)
		}
		issued = issued || due[i].Issued > 0
	}
	if issued {
		a.somethingToSend()
		if _, err := a.Replan(ctx, "after issuing "+due[0].Date.String()); err != nil {
			return due, err
		}
	}
	return due, nil
}

// planOfTheEvening is the plan to issue from: one made since the evening from
// all that was reported and received, so that what is missing has moved before
// it is issued.
func (a *App) planOfTheEvening(ctx context.Context, evening time.Time, day rooms.Date) (int64, *plandoc.Document, error) {
	info, doc, err := a.current(ctx)
	if err != nil {
		return 0, nil, err
	}
	stale, err := a.o.Store.Overtaken(ctx)
	if err != nil {
		return 0, nil, err
	}
	if !stale && !info.MadeAt.Before(evening) {
		return info.ID, doc, nil
	}
	saved, err := a.Replan(ctx, "before issuing "+day.String())
	if err != nil {
		return 0, nil, err
	}
	doc, err = a.document(ctx, saved.ID)
	return saved.ID, doc, err
}

// due lists the crews whose next working day is due and not issued yet.
func (a *App) due(ctx context.Context, evening, now time.Time) ([]Outcome, error) {
	firm, err := a.o.Store.Firm(ctx)
	if errors.Is(err, store.ErrNotFound) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	_, doc, err := a.current(ctx)
	if errors.Is(err, store.ErrNotFound) {
		return nil, nil // nothing planned: nothing due
	}
	if err != nil {
		return nil, err
	}
	var out []Outcome
	for _, c := range firm.Crews {
		hours, err := hoursOf(doc, c.Key)
		if err != nil {
			return nil, err
		}
		day, ok := WorkDate(hours, firm.Zone, evening, now)
		if !ok {
			continue
		}
		switch _, err := a.o.Store.CurrentIssue(ctx, c.Key, day); {
		case errors.Is(err, store.ErrNotFound):
			out = append(out, Outcome{Crew: c.Key, Date: day})
		case err != nil:
			return nil, err
		}
	}
	return out, nil
}

// issueDay issues one crew's day from a plan, or says why not.
func (a *App) issueDay(ctx context.Context, plan int64, doc *plandoc.Document, o *Outcome) error {
	i := sheetIndex(doc, o.Crew, o.Date.String())
	if i < 0 {
		o.Why = noWork(doc, o.Crew, o.Date.String())
		a.log.Debug("no sheet", "crew", o.Crew, "date", o.Date, "why", o.Why)
		return nil
	}
	n, err := a.newIssue(ctx, plan, doc, i, 1, nil)
	if err != nil {
		return err
	}
	done, err := a.o.Store.IssueSheet(ctx, n, a.now())
	if err != nil {
		return err
	}
	if !done {
		o.Why = "issued already"
		return nil
	}
	o.Issued = 1
	a.log.Info("sheet issued", "crew", o.Crew, "date", o.Date, "revision", 1, "plan", plan)
	return nil
}

// noWork says why a crew has no sheet on a day: what it waits for, where the
// plan knows.
func noWork(doc *plandoc.Document, crew, date string) string {
	next := ""
	for _, s := range doc.Sheets {
		if s.Crew == crew && s.Date > date && (next == "" || s.Date < next) {
			next = s.Date
		}
	}
	var waits []string
	for _, r := range doc.Rooms {
		if r.Blocked != "" && len(waits) < 3 {
			waits = append(waits, r.Name+": "+r.Blocked)
		}
	}
	text := "no work is left"
	if next != "" {
		text = "no work before " + next
	}
	if len(waits) > 0 && next != "" {
		text += " (" + strings.Join(waits, "; ") + ")"
	}
	return text
}

// newIssue gathers all that goes out with a sheet.
func (a *App) newIssue(ctx context.Context, plan int64, doc *plandoc.Document, index, revision int, differences []string) (store.NewIssue, error) {
	s := doc.Sheets[index]
	date, err := rooms.ParseDate(s.Date)
	if err != nil {
		return store.NewIssue{}, err
	}
	zone, err := time.LoadLocation(doc.Zone)
	if err != nil {
		return store.NewIssue{}, err
	}
	s.Revision = revision
	text, err := json.Marshal(s)
	if err != nil {
		return store.NewIssue{}, err
	}
	n := store.NewIssue{Crew: s.Crew, Date: date, Revision: revision, Plan: plan, Sheet: text, Differences: differences,
		FrozenUntil: date.AddDays(1).In(zone), Pieces: issuedPieces(doc, s)}
	n.Text = sheetText(doc, s, revision, differences)
	n.Messages, err = a.sheetMessages(ctx, doc, index, revision, differences, n.Text)
	return n, err
}

// issuedPieces are the pieces that the day's areas set.
func issuedPieces(doc *plandoc.Document, s plandoc.Sheet) []store.IssuedPiece {
	want := map[string]string{}
	for _, a := range doc.Areas {
		for _, k := range s.Areas {
			if a.ID == k {
				for _, p := range a.Pieces {
					want[p] = a.ID
				}
			}
		}
	}
	lot := map[string]string{}
	for _, t := range doc.Stock {
		if t.Lot != nil {
			lot[t.ID] = *t.Lot
		}
	}
	var out []store.IssuedPiece
	for _, f := range doc.Surfaces {
		part := strings.SplitN(f.Key, "/", 3)
		if len(part) != 3 {
			continue
		}
		for _, z := range f.Zones {
			for _, p := range z.Pieces {
				if area, ok := want[p.ID]; ok {
					out = append(out, store.IssuedPiece{ID: p.ID, Job: part[0], Room: part[1], Surface: part[2], Zone: z.Key, Area: area,
						Label: p.Label, Course: p.Course, Position: p.Position, Tile: p.Tile, Full: p.Full, Stock: p.Stock,
						Lot: lot[p.Stock], Crew: s.Crew})
				}
			}
		}
	}
	return out
}

// sheetText is the sheet in a few lines, for the body of a mail.
func sheetText(doc *plandoc.Document, s plandoc.Sheet, revision int, differences []string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s, day sheet for %s, revision %d\n", doc.Firm, s.Date, revision)
	for _, d := range differences {
		fmt.Fprintf(&b, "changed: %s\n", d)
	}
	on := map[string]bool{}
	for _, id := range s.Activities {
		on[id] = true
	}
	for _, act := range doc.Activities {
		if on[act.ID] {
			fmt.Fprintf(&b, "%s–%s  %s: %s\n", clock(act.Start), clock(act.Finish), act.Room, act.Title)
		}
	}
	cuts := 0
	for _, g := range s.Cuts {
		cuts += len(g.Pieces)
	}
	if cuts > 0 {
		fmt.Fprintf(&b, "%d cuts in %d settings\n", cuts, len(s.Cuts))
	}
	b.WriteString("Local codes, product data sheets and licensed trades decide.\n")
	return b.String()
}

// clock is the time of day of an instant as written.
func clock(instant string) string {
	if len(instant) < 16 {
		return instant
	}
	return instant[11:16]
}

// sheetMessages writes one message per channel that is configured.
func (a *App) sheetMessages(ctx context.Context, doc *plandoc.Document, index, revision int, differences []string, text string) ([]store.Message, error) {
	s := doc.Sheets[index]
	now := a.now()
	id := sheetID(s.Crew, s.Date, revision)
	page := a.o.PublicURL + "/sheets/" + s.Crew + "/" + s.Date
	mark := plandoc.Mark{URL: page, Revision: revision, Issued: now.UTC().Format(time.RFC3339), Differences: differences}
	var out []store.Message
	add := func(m deliver.Message) error {
		m.ID, m.Created, m.Event = id+"."+m.Channel, now, "sheet issued"
		body, err := json.Marshal(m)
		out = append(out, store.Message{Key: m.ID, Channel: m.Channel, To: m.To, Body: body})
		return err
	}
	name := fmt.Sprintf("%s %s r%d", s.Date, s.Crew, revision)
	subject := fmt.Sprintf("Day sheet %s, %s, revision %d", s.Date, s.Crew, revision)
	if a.o.Post[deliver.Folder] != nil {
		files, err := a.sheetFiles(doc, index, mark, name, "pdf", "csv", "html", "json")
		if err != nil {
			return nil, err
		}
		if err := add(deliver.Message{Channel: deliver.Folder, Subject: subject, Files: files}); err != nil {
			return nil, err
		}
	}
	if to := a.crewMail(ctx, s.Crew); to != "" && a.o.Post[deliver.Mail] != nil {
		files, err := a.sheetFiles(doc, index, mark, name, "pdf")
		if err != nil {
			return nil, err
		}
		if err := add(deliver.Message{Channel: deliver.Mail, To: to, Subject: subject, Text: text + page + "\n", Files: files}); err != nil {
			return nil, err
		}
	}
	if a.o.Post[deliver.Webhook] != nil {
		body, err := json.Marshal(map[string]any{"event": "sheet issued", "crew": s.Crew, "date": s.Date, "revision": revision,
			"differences": differences, "page": page, "sheet": s})
		if err != nil {
			return nil, err
		}
		if err := add(deliver.Message{Channel: deliver.Webhook, Subject: subject, Body: body}); err != nil {
			return nil, err
		}
	}
	return out, nil
}

func (a *App) crewMail(ctx context.Context, crew string) string {
	firm, err := a.o.Store.Firm(ctx)
	if err != nil {
		return ""
	}
	for _, c := range firm.Crews {
		if c.Key == crew {
			return c.Email
		}
	}
	return ""
}

// contentType of a sheet's file.
var contentType = map[string]string{"pdf": "application/pdf", "csv": "text/csv; charset=utf-8", "html": "text/html; charset=utf-8",
	"json": "application/json"}

func (a *App) sheetFiles(doc *plandoc.Document, index int, m plandoc.Mark, name string, formats ...string) ([]deliver.File, error) {
	var out []deliver.File
	for _, f := range formats {
		var b bytes.Buffer
		if err := a.o.Print.DayFile(&b, doc, index, m, f); err != nil {
			return nil, fmt.Errorf("sheet as %s: %w", f, err)
		}
		out = append(out, deliver.File{Name: strings.ReplaceAll(name, "/", "-") + "." + f, Type: contentType[f], Data: b.Bytes()})
	}
	return out, nil
}
