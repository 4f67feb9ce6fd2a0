package app

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/robfig/cron/v3"

	"potlife/cmd/potlife/internal/deliver"
	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/store"
	"potlife/rooms"
	"potlife/scheduler"
)

// Outcome says what a run of issuing did for one crew.
type Outcome struct {
	Crew string
	Date rooms.Date
	// Issued is the revision that went out now, 0 for none.
	Issued int
	// Revision is the one that is out, 0 for none.
	Revision int
	// Why says in words why nothing went out.
	Why string
	// Moved is what was meant for the day and was moved, with the reason.
	Moved []string
}

// round is what one firing of the firm's schedule asks for.
type round struct {
	fired, next time.Time
	now         time.Time
	// on, where set, is the one day that is asked for.
	on rooms.Date
	// quiet: the contractor asked, and is not told by a notice.
	quiet bool
}

// IssueDue issues to each crew the working days that are due now and have not
// been issued, and nothing else, and tells the contractor. It may run at any
// time, in any number of processes and as often as one likes: the database takes
// one issue per crew and day and one notice a day.
func (a *App) IssueDue(ctx context.Context) ([]Outcome, error) {
	schedule, zone, ok, err := a.schedule(ctx)
	if err != nil || !ok {
		return nil, err
	}
	now := a.now()
	fired, ok := LastFire(schedule, zone, now)
	if !ok {
		return nil, nil
	}
	return a.issueRound(ctx, round{fired: fired, next: NextFire(schedule, zone, fired), now: now})
}

// schedule is the firm's issue time; false where there is no firm yet.
func (a *App) schedule(ctx context.Context) (cron.Schedule, *time.Location, bool, error) {
	firm, err := a.o.Store.Firm(ctx)
	if errors.Is(err, store.ErrNotFound) {
		return nil, nil, false, nil
	}
	if err != nil {
		return nil, nil, false, err
	}
	schedule, zone, err := a.scheduleOf(firm)
	return schedule, zone, err == nil, err
}

func (a *App) scheduleOf(firm *scheduler.Firm) (cron.Schedule, *time.Location, error) {
	spec, zone := firm.IssueAt, firm.Zone
	if a.o.Spec != "" {
		spec = a.o.Spec
	}
	if a.o.Zone != nil {
		zone = a.o.Zone
	}
	schedule, err := ParseSpec(spec)
	return schedule, zone, err
}

// IssueAfter issues to each crew its first working day after the day of an
// evening, as long as that day is not over.
func (a *App) IssueAfter(ctx context.Context, evening, now time.Time) ([]Outcome, error) {
	return a.issueRound(ctx, round{fired: evening, next: evening, now: now, quiet: evening.After(a.now())})
}

// IssueDay issues one day to each crew that works on it. A day later than a
// crew's next working day is refused, unless ahead says that the crew's work may
// be held fixed up to it.
func (a *App) IssueDay(ctx context.Context, day rooms.Date, ahead bool) ([]Outcome, error) {
	schedule, zone, ok, err := a.schedule(ctx)
	if err != nil {
		return nil, err
	}
	if !ok {
		return nil, ErrNothing
	}
	now := a.now()
	if today := rooms.DateOf(now.In(zone)); day.Before(today) {
		return nil, fmt.Errorf("%s is over, and a day that is over is not issued: give today, %s, or a later day", day, today)
	}
	if !ahead {
		if err := a.tooEarly(ctx, schedule, day, now); err != nil {
			return nil, err
		}
	}
	return a.issueRound(ctx, round{fired: now, next: now, now: now, on: day, quiet: true})
}

// tooEarly refuses a day that lies beyond a crew's next working day although it
// has work before it that is not issued.
func (a *App) tooEarly(ctx context.Context, schedule cron.Schedule, day rooms.Date, now time.Time) error {
	firm, err := a.o.Store.Firm(ctx)
	if err != nil {
		return err
	}
	_, doc, err := a.current(ctx)
	if err != nil {
		return err
	}
	today := rooms.DateOf(now.In(firm.Zone))
	for _, c := range firm.Crews {
		if sheetIndex(doc, c.Key, day.String()) < 0 {
			continue
		}
		hours, err := hoursOf(doc, c.Key)
		if err != nil {
			return err
		}
		open := WorkDates(hours, firm.Zone, today.AddDays(-1).In(firm.Zone), schedule.Next(now.In(firm.Zone)), now)
		open = append(open, WorkDates(hours, firm.Zone, now, now, now)...)
		last := today
		for _, d := range open {
			if last.Before(d) {
				last = d
			}
		}
		if last.Before(day) {
			return fmt.Errorf("the next working day of crew %s is %s; a sheet for %s now would hold its work fixed until then, whatever comes in before. Wait for the evening before it, or say --ahead", c.Key, last, day)
		}
	}
	return nil
}

// issueRound issues what a round asks for. Where a plan comes into force
// meanwhile, the round begins again with that one.
func (a *App) issueRound(ctx context.Context, r round) ([]Outcome, error) {
	for try := 1; ; try++ {
		out, err := a.issueOnce(ctx, r)
		if !errors.Is(err, store.ErrConflict) || try == tries {
			return out, err
		}
	}
}

func (a *App) issueOnce(ctx context.Context, r round) ([]Outcome, error) {
	all, err := a.due(ctx, r)
	if err != nil || len(all) == 0 {
		return nil, err
	}
	told, err := a.o.Store.HasNotice(ctx, all[0].Date)
	if err != nil {
		return nil, err
	}
	var due []Outcome
	for _, o := range all {
		if o.Revision == 0 {
			due = append(due, o)
		}
	}
	told = told || r.quiet
	if len(due) == 0 && told {
		return nil, nil
	}
	plan, doc, err := a.planOfTheEvening(ctx, r.fired, all[0].Date)
	if err != nil {
		return nil, err
	}
	if told { // who has no work was told so, and is looked at again only when work turns up
		due = slices.DeleteFunc(due, func(o Outcome) bool { return sheetIndex(doc, o.Crew, o.Date.String()) < 0 && r.on.IsZero() && !r.quiet })
		if len(due) == 0 {
			return nil, nil
		}
	}
	issued := false
	was := a.planBefore(ctx, r.fired, doc)
	var failed error
	for i := range due {
		err := a.issueDay(ctx, plan, doc, was, &due[i])
		if errors.Is(err, store.ErrConflict) {
			return nil, err
		}
		if err != nil { // the other crews get theirs all the same
			due[i].Why = "it could not be issued: " + err.Error()
			failed = errors.Join(failed, fmt.Errorf("issue %s to crew %s: %w", due[i].Date, due[i].Crew, err))
		}
		issued = issued || due[i].Issued > 0
	}
	if !told && (failed == nil || r.now.Sub(r.fired) > patience) {
		if err := a.tell(ctx, plan, doc, was, r, merge(all, due)); err != nil {
			failed = errors.Join(failed, fmt.Errorf("notice for %s: %w", all[0].Date, err))
		}
	}
	a.somethingToSend()
	if issued {
		if _, err := a.Replan(ctx, "after issuing "+due[0].Date.String()); err != nil {
			failed = errors.Join(failed, err)
		}
	}
	return due, failed
}

// patience is how long a sheet that cannot be issued is tried again before the
// contractor is told so.
const patience = 10 * time.Minute

// merge puts what was done into the list of all that is due.
func merge(all, done []Outcome) []Outcome {
	for i := range all {
		for _, d := range done {
			if d.Crew == all[i].Crew && d.Date == all[i].Date {
				all[i] = d
			}
		}
	}
	return all
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

// planBefore is the plan that was in force when the day of an evening began: what
// it had on a crew's next day and the plan of the evening has not was moved. Nil
// where there was none.
func (a *App) planBefore(ctx context.Context, evening time.Time, doc *plandoc.Document) *scheduler.Plan {
	zone, err := time.LoadLocation(doc.Zone)
	if err != nil {
		return nil
	}
	saved, err := a.o.Store.PlanAt(ctx, rooms.DateOf(evening.In(zone)).In(zone))
	if err != nil {
		if !errors.Is(err, store.ErrNotFound) {
			a.log.Warn("the plan of the morning could not be read; what was moved is not said", "err", err)
		}
		return nil
	}
	return saved.Plan
}

// moved says what was taken off a crew's day since the morning, and why.
func (a *App) moved(ctx context.Context, was *scheduler.Plan, plan int64, doc *plandoc.Document, crew string, date rooms.Date) ([]string, error) {
	if was == nil {
		return nil, nil
	}
	is, err := a.planOf(ctx, plan)
	if err != nil {
		return nil, err
	}
	return movedWords(doc, was, is, crew, date), nil
}

// movedWords says what one plan had on a crew's day and the next has not, and
// why, as the firm writes it.
func movedWords(doc *plandoc.Document, was, is *scheduler.Plan, crew string, date rooms.Date) []string {
	return doc.Say(scheduler.Moved(was, is, crew, date))
}

// planOf reads a plan, not to be changed.
func (a *App) planOf(ctx context.Context, id int64) (*scheduler.Plan, error) {
	saved, err := a.o.Store.PlanByID(ctx, id)
	if err != nil {
		return nil, err
	}
	return saved.Plan, nil
}

// due lists the crews' working days that are due, in order of date, with the
// revision that is out.
func (a *App) due(ctx context.Context, r round) ([]Outcome, error) {
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
		days := WorkDates(hours, firm.Zone, r.fired, r.next, r.now)
		if !r.on.IsZero() {
			days = []rooms.Date{r.on}
		}
		for _, day := range days {
			o := Outcome{Crew: c.Key, Date: day}
			issue, err := a.o.Store.CurrentIssue(ctx, c.Key, day)
			if err == nil {
				o.Revision = issue.Revision
			} else if !errors.Is(err, store.ErrNotFound) {
				return nil, err
			}
			out = append(out, o)
		}
	}
	slices.SortStableFunc(out, func(a, b Outcome) int { return a.Date.Compare(b.Date) })
	return out, nil
}

// issueDay issues one crew's day from a plan, or says why not.
func (a *App) issueDay(ctx context.Context, plan int64, doc *plandoc.Document, was *scheduler.Plan, o *Outcome) error {
	moved, err := a.moved(ctx, was, plan, doc, o.Crew, o.Date)
	if err != nil {
		return err
	}
	o.Moved = moved
	i := sheetIndex(doc, o.Crew, o.Date.String())
	if i < 0 {
		o.Why = a.whyIdle(ctx, plan, doc, *o)
		a.log.Debug("no sheet", "crew", o.Crew, "date", o.Date, "why", o.Why)
		return nil
	}
	n, err := a.newIssue(ctx, plan, doc, i, said{revision: 1, moved: moved})
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
	o.Issued, o.Revision = 1, 1
	a.log.Info("sheet issued", "crew", o.Crew, "date", o.Date, "revision", 1, "plan", plan, "moved", len(moved))
	return nil
}

// said is what a sheet says beside the plan.
type said struct {
	revision           int
	differences, moved []string
}

// newIssue gathers all that goes out with a sheet.
func (a *App) newIssue(ctx context.Context, plan int64, doc *plandoc.Document, index int, say said) (store.NewIssue, error) {
	s := doc.Sheets[index]
	date, err := rooms.ParseDate(s.Date)
	if err != nil {
		return store.NewIssue{}, err
	}
	zone, err := time.LoadLocation(doc.Zone)
	if err != nil {
		return store.NewIssue{}, err
	}
	s.Revision = say.revision
	text, err := json.Marshal(s)
	if err != nil {
		return store.NewIssue{}, err
	}
	n := store.NewIssue{Crew: s.Crew, Date: date, Revision: say.revision, Plan: plan, Sheet: text, Differences: say.differences,
		Moved: say.moved, FrozenUntil: date.AddDays(1).In(zone), Pieces: issuedPieces(doc, s)}
	n.Reserve, n.Sites = reserved(doc, s)
	n.Text = sheetText(doc, s, say)
	n.Messages, err = a.sheetMessages(ctx, doc, index, say, n.Text)
	return n, err
}

// reserved is what a sheet takes from stock, and the sites on which it may lie:
// the packages that the day's areas and cuts open, tiles by lot.
func reserved(doc *plandoc.Document, s plandoc.Sheet) (take []store.OnHand, sites []string) {
	tile := map[string]bool{}
	for _, t := range doc.Tiles {
		tile[t.Key] = true
	}
	for _, c := range s.Carry {
		h := store.OnHand{Product: c.Product, Unit: "package", Quantity: c.Quantity}
		if tile[c.Product] {
			h.Unit = "box"
		}
		if c.Lot != nil {
			h.Lot = *c.Lot
		}
		take = append(take, h)
	}
	on := map[string]bool{}
	for _, id := range s.Activities {
		on[id] = true
	}
	at := map[string]string{}
	for _, r := range doc.Rooms {
		at[r.Key] = r.Site
	}
	for _, act := range doc.Activities {
		if site := at[act.Room]; on[act.ID] && site != "" && !slices.Contains(sites, site) {
			sites = append(sites, site)
		}
	}
	return take, sites
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
	lot, whole := map[string]string{}, map[string]string{}
	for _, t := range doc.Tiles {
		if whole[t.Key] = t.Key; t.Of != nil {
			whole[t.Key] = *t.Of
		}
	}
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
						Label: p.Label, Course: p.Course, Position: p.Position, Tile: whole[p.Tile], Full: p.Full, Stock: p.Stock,
						Lot: lot[p.Stock], Crew: s.Crew})
				}
			}
		}
	}
	return out
}

// sheetText is the sheet in a few lines, for the body of a mail.
func sheetText(doc *plandoc.Document, s plandoc.Sheet, say said) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s, day sheet for %s, revision %d\n", doc.Firm, s.Date, say.revision)
	if names := doc.Index().There(s.Crew, s.Date).Names; len(names) > 0 {
		fmt.Fprintf(&b, "there: %s\n", strings.Join(names, ", "))
	}
	if away := doc.Index().AwayWords(s.Crew, s.Date); len(away) > 0 {
		fmt.Fprintf(&b, "away: %s\n", strings.Join(away, ", "))
	}
	for _, d := range say.differences {
		fmt.Fprintf(&b, "changed: %s\n", d)
	}
	for _, d := range say.moved {
		fmt.Fprintf(&b, "moved to another day: %s\n", d)
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
func (a *App) sheetMessages(ctx context.Context, doc *plandoc.Document, index int, say said, text string) ([]store.Message, error) {
	s := doc.Sheets[index]
	revision, differences := say.revision, say.differences
	now := a.now()
	id := sheetID(s.Crew, s.Date, revision)
	page := a.o.PublicURL + "/sheets/" + s.Crew + "/" + s.Date
	mark := plandoc.Mark{URL: page, Revision: revision, Issued: now.UTC().Format(time.RFC3339), Differences: differences, Moved: say.moved}
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
			"differences": differences, "moved": say.moved, "page": page, "sheet": s})
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
