package web

import (
	"net/http"
	"time"

	"potlife/cmd/potlife/internal/plandoc"
)

type crewsPage struct {
	frame
	Crews []crewEntry
}

// crewEntry is a crew with those of it who are away from today on.
type crewEntry struct {
	Key, Name, Hands string
	People           []string     // with hours of their own, where they have any
	Away             []string     // as the plan has it
	Reported         []recordLine // in force, to be changed or taken back
	Absence          absenceForm
	NewKey           string
}

// MayBeAway are those whom the form offers.
func (e crewEntry) MayBeAway() []choice { return e.Absence.MayBeAway }

// absenceForm is what the fields of an absence begin with.
type absenceForm struct {
	ID                      string // of the form, in front of its fields' own
	MayBeAway               []choice
	From, Until, Start, End string
}

// Absence is what the form on a sheet begins with: the sheet's day.
func (p sheetPage) Absence() absenceForm {
	return absenceForm{ID: "sheet", MayBeAway: p.MayBeAway, From: p.Date, Until: p.Date}
}

// Absence is what a report of one says.
func (p recordPage) Absence() absenceForm {
	f := absenceForm{ID: "right", MayBeAway: p.MayBeAway, From: p.In.Date, Until: p.In.Until, Start: p.In.AwayFrom, End: p.In.AwayTo}
	if f.Start == "00:00" {
		f.Start = ""
	}
	if f.End == "24:00" {
		f.End = ""
	}
	return f
}

// crews shows who is in each crew and who is away; a crew sees itself.
func (s *server) crews(w http.ResponseWriter, r *http.Request) error {
	v, err := s.current(r.Context())
	if err != nil {
		return err
	}
	u := userOf(r.Context())
	records, err := s.o.Recorder.Records(r.Context(), crewOf(u), "")
	if err != nil {
		return err
	}
	now := s.o.Now()
	if v.w.Zone != nil {
		now = now.In(v.w.Zone)
	}
	today := now.Format(time.DateOnly)
	p := crewsPage{frame: s.frame(r, "Crews", "crews")}
	for i := range v.Document.Crews {
		c := &v.Document.Crews[i]
		if !mayAct(u, c.Key) {
			continue
		}
		e := v.crewEntry(c, records, today)
		e.NewKey = s.o.NewKey()
		p.Crews = append(p.Crews, e)
	}
	s.render(w, r, http.StatusOK, "crews", p)
	return nil
}

func (v *view) crewEntry(c *plandoc.Crew, records []RecordRow, today string) crewEntry {
	e := crewEntry{Key: c.Key, Name: v.x.CrewName(c.Key), Hands: plandoc.There{Setters: c.Setters, Helpers: c.Helpers}.Hands(),
		People:  v.x.Roster(c.Key),
		Absence: absenceForm{ID: c.Key, MayBeAway: mayBeAway(v.x, c.Key), From: today, Until: today}}
	for _, a := range c.Away {
		if a.To >= today {
			e.Away = append(e.Away, awayText(v.w, absentIn(a, "", "")))
		}
	}
	for _, a := range c.AwayHours {
		if a.To >= today {
			e.Away = append(e.Away, awayText(v.w, absentIn(a.Absence, a.Start, a.End)))
		}
	}
	for _, rec := range records {
		if rec.Kind == "away" && rec.Crew == c.Key && rec.InForce() && rec.Until >= today {
			e.Reported = append(e.Reported, recordLines(v.x, v.w, []RecordRow{rec})[0])
		}
	}
	return e
}

// absentIn is an absence of the plan in the terms of a report.
func absentIn(a plandoc.Absence, from, to string) RecordIn {
	in := RecordIn{Who: a.Who, Date: a.From, Until: a.To, AwayFrom: from, AwayTo: to}
	if in.Who == "" {
		in.Who = map[bool]string{false: "setter", true: "helper"}[a.Helper]
	}
	return in
}
