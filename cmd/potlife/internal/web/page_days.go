package web

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"potlife/cmd/potlife/internal/plandoc"
)

type daysPage struct {
	frame
	From, To, Today string
	Rows            []daysRow
	Total           daysRow
	Products        []productRow
	Query           string
}

// daysRow is a crew's day, or all of them, planned and done side by side.
type daysRow struct {
	Date, Text, Crew, CrewName string
	Areas, Works, Pieces, M2   [2]string
	Hours                      [2]string
	Packages                   [2]string
	Broken                     int
	Remark                     string
}

// Heads are the columns that hold a planned and a done figure.
func (daysPage) Heads() [6]struct{} { return [6]struct{}{} }

type productRow struct{ Name, Unit, Planned, Done string }

// mostCompared is how many days one page or file compares.
const mostCompared = 92

// span reads the days asked for; without a question it is the last fourteen.
func (s *server) span(r *http.Request, v *view) (from, to, today string, err error) {
	now := s.o.Now()
	if v.w.Zone != nil {
		now = now.In(v.w.Zone)
	}
	today = now.Format(time.DateOnly)
	from, to = now.AddDate(0, 0, -13).Format(time.DateOnly), today
	for name, into := range map[string]*string{"from": &from, "to": &to} {
		if text := r.URL.Query().Get(name); text != "" {
			*into = text
		}
	}
	a, err1 := time.Parse(time.DateOnly, from)
	b, err2 := time.Parse(time.DateOnly, to)
	switch {
	case err1 != nil || err2 != nil:
		err = &Error{Kind: Invalid, Field: "from", Text: "The days are of the form 2026-03-04."}
	case b.Before(a):
		err = &Error{Kind: Invalid, Field: "to", Text: fmt.Sprintf("The last day, %s, lies before the first, %s.", to, from)}
	case b.Sub(a) > mostCompared*24*time.Hour:
		err = &Error{Kind: Invalid, Field: "to", Text: fmt.Sprintf("At most %d days are compared at once; ask for fewer.", mostCompared)}
	}
	return from, to, today, err
}

// daysDone compares what was planned and what was done, day by day.
func (s *server) daysDone(w http.ResponseWriter, r *http.Request) error {
	if day := r.URL.Query().Get("day"); day != "" {
		http.Redirect(w, r, path("days", day), http.StatusSeeOther)
		return nil
	}
	v, err := s.current(r.Context())
	if err != nil {
		return err
	}
	from, to, today, err := s.span(r, v)
	if err != nil {
		return err
	}
	days, err := s.doneDays(r.Context(), "", from, to, today)
	if err != nil {
		return err
	}
	p := daysPage{frame: s.frame(r, "Planned and done", "days"), From: from, To: to, Today: today, Query: "?from=" + from + "&to=" + to}
	total := doneDay{Planned: newAmounts(), Done: newAmounts()}
	for _, d := range days {
		p.Rows = append(p.Rows, v.daysRow(d))
		total.Planned.plus(d.Planned)
		total.Done.plus(d.Done)
		total.Broken += d.Broken
		total.Unconfirmed += d.Unconfirmed
		total.Open += d.Open
		total.HoursReported = total.HoursReported || d.HoursReported
	}
	p.Total, p.Products = v.daysRow(total), v.productRows(total)
	s.render(w, r, http.StatusOK, "days", p)
	return nil
}

func (v *view) daysRow(d doneDay) daysRow {
	r := daysRow{Date: d.Date, Crew: d.Crew, CrewName: v.x.CrewName(d.Crew), Broken: d.Broken}
	if d.Date != "" {
		r.Text = v.w.Day(d.Date)
	}
	for i, m := range []amounts{d.Planned, d.Done} {
		r.Areas[i], r.Works[i], r.Pieces[i], r.M2[i] = strconv.Itoa(m.Areas), strconv.Itoa(m.Works), strconv.Itoa(m.Pieces), v.w.Area(m.M2)
		r.Hours[i] = crewHours(m.Minutes)
		n := 0.0
		for _, q := range m.Packages {
			n += q
		}
		r.Packages[i] = plandoc.Figure(n, 2)
	}
	if !d.HoursReported {
		r.Hours[1] = "not reported"
	}
	var remark []string
	if d.Unconfirmed > 0 {
		remark = append(remark, fmt.Sprintf("%d unconfirmed", d.Unconfirmed))
	}
	if d.Open > 0 {
		remark = append(remark, fmt.Sprintf("%d not reported yet", d.Open))
	}
	r.Remark = strings.Join(remark, ", ")
	return r
}

func crewHours(minutes int) string { return fmt.Sprintf("%d:%02d h", minutes/60, minutes%60) }

// productRows lists tiles set, mortar used and packages opened, in order of name.
func (v *view) productRows(d doneDay) []productRow {
	var out []productRow
	for _, key := range keysOf(d.Planned.Tiles, d.Done.Tiles) {
		out = append(out, productRow{productName(v.x, key), "pieces set", strconv.Itoa(d.Planned.Tiles[key]), strconv.Itoa(d.Done.Tiles[key])})
	}
	for _, key := range keysOf(d.Planned.Kg, d.Done.Kg) {
		out = append(out, productRow{productName(v.x, key), "mortar for what was set", v.w.Mass(d.Planned.Kg[key]), v.w.Mass(d.Done.Kg[key])})
	}
	for _, key := range keysOf(d.Planned.Packages, d.Done.Packages) {
		out = append(out, productRow{productName(v.x, key), packageOf(v.x, key) + ", opened", plandoc.Figure(d.Planned.Packages[key], 2), plandoc.Figure(d.Done.Packages[key], 2)})
	}
	return out
}

func keysOf[N any](maps ...map[string]N) []string {
	var keys []string
	for _, m := range maps {
		for k := range m {
			if !slices.Contains(keys, k) {
				keys = append(keys, k)
			}
		}
	}
	slices.Sort(keys)
	return keys
}

// daysFile is the comparison as CSV: a row for each figure of a crew's day.
func (s *server) daysFile(w http.ResponseWriter, r *http.Request) error {
	v, err := s.current(r.Context())
	if err != nil {
		return err
	}
	from, to, today, err := s.span(r, v)
	if err != nil {
		return err
	}
	days, err := s.doneDays(r.Context(), "", from, to, today)
	if err != nil {
		return err
	}
	return s.file(w, contentTypes["csv"], "days-"+from+"-"+to+".csv", true, func(b *bytes.Buffer) error {
		c := csv.NewWriter(b)
		_ = c.Write([]string{"day", "crew", "what", "product", "unit", "planned", "done", "unconfirmed"})
		for _, d := range days {
			for _, row := range d.figures(v.x) {
				_ = c.Write(append([]string{d.Date, d.Crew}, row...))
			}
		}
		c.Flush()
		return c.Error()
	})
}

// figures are the lines of a crew's day: what, product, unit, planned, done, and
// how many areas and works nobody confirmed.
func (d doneDay) figures(x *plandoc.Index) [][]string {
	fig := func(v float64) string { return plandoc.Figure(v, 3) }
	unconfirmed := strconv.Itoa(d.Unconfirmed)
	out := [][]string{
		{"areas", "", "areas", strconv.Itoa(d.Planned.Areas), strconv.Itoa(d.Done.Areas), unconfirmed},
		{"other work", "", "works", strconv.Itoa(d.Planned.Works), strconv.Itoa(d.Done.Works), unconfirmed},
		{"surface", "", "m2", fig(d.Planned.M2), fig(d.Done.M2), unconfirmed},
		{"hours", "", "min", strconv.Itoa(d.Planned.Minutes), map[bool]string{true: strconv.Itoa(d.Done.Minutes)}[d.HoursReported], ""},
		{"broken", "", "pieces", "", strconv.Itoa(d.Broken), ""},
	}
	for _, k := range keysOf(d.Planned.Tiles, d.Done.Tiles) {
		out = append(out, []string{"set", k, "pieces", strconv.Itoa(d.Planned.Tiles[k]), strconv.Itoa(d.Done.Tiles[k]), unconfirmed})
	}
	for _, k := range keysOf(d.Planned.Kg, d.Done.Kg) {
		out = append(out, []string{"mortar", k, "kg", fig(d.Planned.Kg[k]), fig(d.Done.Kg[k]), unconfirmed})
	}
	for _, k := range keysOf(d.Planned.Packages, d.Done.Packages) {
		out = append(out, []string{"opened", k, packageOf(x, k), fig(d.Planned.Packages[k]), fig(d.Done.Packages[k]), ""})
	}
	return out
}

type dayPage struct {
	frame
	Date, Text, Before, After string
	Plan                      string // when the plan in force that morning was made
	Work                      []daysRow
	Planned                   []scheduledCrew
	Sheets                    []sheetEntry
	Records                   []recordLine
	Desk                      bool
}

type scheduledCrew struct {
	Name  string
	Lines []string
}

// day shows a day as it was: the plan in force that morning, the sheets with all
// their revisions, and what was reported.
func (s *server) day(w http.ResponseWriter, r *http.Request) error {
	ctx, u, date := r.Context(), userOf(r.Context()), r.PathValue("date")
	at, err := time.Parse(time.DateOnly, date)
	if err != nil {
		return &Error{Kind: NotFound, Text: fmt.Sprintf("%q is not a day of the form 2026-03-04.", date)}
	}
	v, err := s.current(ctx)
	if err != nil {
		return err
	}
	p := dayPage{frame: s.frame(r, v.w.Day(date), "days"), Date: date, Text: v.w.Day(date), Desk: u.Role != Crew,
		Before: at.AddDate(0, 0, -1).Format(time.DateOnly), After: at.AddDate(0, 0, 1).Format(time.DateOnly)}
	crew := crewOf(u)
	if err := s.asPlanned(r, &p, v, crew); err != nil {
		return err
	}
	issued, err := s.o.Sheets.List(ctx, crew)
	if err != nil {
		return err
	}
	for _, i := range issued {
		if i.Date == date {
			p.Sheets = append(p.Sheets, v.issuedEntry(i))
		}
	}
	records, err := s.o.Recorder.Records(ctx, crew, date)
	if err != nil {
		return err
	}
	p.Records = recordLines(v.x, v.w, records)
	for i := range p.Records {
		p.Records[i].By += ", " + v.x.CrewName(records[i].Crew)
	}
	_, _, today, _ := s.span(r, v)
	done, err := s.doneDays(ctx, crew, date, date, today)
	if err != nil {
		return err
	}
	for _, d := range done {
		p.Work = append(p.Work, v.daysRow(d))
	}
	s.render(w, r, http.StatusOK, "day", p)
	return nil
}

// morning is the instant of which a day's plan is shown: the plan in force then
// is the one the crews went to work by.
func morning(date string, zone *time.Location) time.Time {
	if zone == nil {
		zone = time.UTC
	}
	at, _ := time.ParseInLocation(time.DateOnly, date, zone)
	return at.Add(6 * time.Hour)
}

// asPlanned lists each crew's work of the day in the plan of that morning.
func (s *server) asPlanned(r *http.Request, p *dayPage, v *view, crew string) error {
	plan, err := s.o.History.PlanAt(r.Context(), morning(p.Date, v.w.Zone))
	var known *Error
	if errors.As(err, &known) && known.Kind == NotFound {
		return nil
	}
	if err != nil {
		return err
	}
	p.Plan = v.w.DayClock(plan.Made.Format(time.RFC3339))
	wr, x := plan.Document.Writing(), plan.Document.Index()
	for _, c := range plan.Document.Crews {
		if crew != "" && c.Key != crew {
			continue
		}
		out := scheduledCrew{Name: x.CrewOn(c.Key, p.Date)}
		for _, a := range plan.Document.Activities {
			if a.Crew == nil || *a.Crew != c.Key || wr.DateOf(a.Start) > p.Date || wr.DateOf(a.Finish) < p.Date {
				continue
			}
			out.Lines = append(out.Lines, wr.Span(a.Start, a.Finish)+" "+roomName(plan.Document, a.Room)+": "+a.Title)
		}
		slices.Sort(out.Lines)
		p.Planned = append(p.Planned, out)
	}
	return nil
}

func roomName(d *plandoc.Document, key string) string {
	for _, r := range d.Rooms {
		if r.Key == key && r.Name != "" {
			return r.Name
		}
	}
	return key
}

// dayPlan is the whole plan document of that morning.
func (s *server) dayPlan(w http.ResponseWriter, r *http.Request) error {
	date := r.PathValue("date")
	if _, err := time.Parse(time.DateOnly, date); err != nil {
		return &Error{Kind: NotFound, Text: fmt.Sprintf("%q is not a day of the form 2026-03-04.", date)}
	}
	v, err := s.current(r.Context())
	if err != nil {
		return err
	}
	plan, err := s.o.History.PlanAt(r.Context(), morning(date, v.w.Zone))
	if err != nil {
		return err
	}
	return s.file(w, contentTypes["json"], "plan-"+date+".json", true, func(b *bytes.Buffer) error {
		return json.NewEncoder(b).Encode(plan.Document)
	})
}
