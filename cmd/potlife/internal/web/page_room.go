package web

import (
	"net/http"
	"sort"
	"strings"
	"time"

	"potlife/cmd/potlife/internal/plandoc"
)

type roomPage struct {
	frame
	Room   jobRoom
	Job    string
	JobKey string
	Days   []timelineDay
	Sign   *roomSign // nil: its client does not sign
	Likely *likelyRoom
	Held   []heldLine // what held the hand-over in the simulated runs
	// Of the form for a temperature: its key, the day, and the unit of a bare number.
	Key, Today, Degree string
}

type timelineDay struct {
	Date, Text string
	Entries    []timelineEntry
}

// timelineEntry is work as planned, or a report.
type timelineEntry struct {
	at                       time.Time
	Time, Text, Who, State   string
	Kind                     string // "planned", "recorded", or what a Happening is
	Recorded, Wait, Critical bool
	Held                     string // in how many runs it held the finish
	ID                       string // of a report
	Old                      bool   // put right since
	Pictures                 []int
}

// room shows a room's work and what was reported from it, day by day.
func (s *server) room(w http.ResponseWriter, r *http.Request) error {
	v, err := s.current(r.Context())
	if err != nil {
		return err
	}
	u, key := userOf(r.Context()), r.PathValue("job")+"/"+r.PathValue("room")
	room := v.x.Rooms[key]
	if room == nil || !v.worksOn(u, room.Job) {
		return &Error{Kind: NotFound, Text: "There is no room " + key + " in the plan."}
	}
	entries := v.plannedIn(key)
	records, err := s.o.Recorder.Records(r.Context(), crewOf(u), "")
	if err != nil {
		return err
	}
	for _, rec := range records {
		if v.roomOf(rec.RecordIn) == key {
			at := rec.At
			if v.w.Zone != nil {
				at = at.In(v.w.Zone)
			}
			l := recordLines(v.x, v.w, []RecordRow{rec})[0]
			entries = append(entries, timelineEntry{at: at, Time: l.At, Text: rec.Kind + ": " + l.Text, Who: l.By, Kind: "recorded", Recorded: true, ID: rec.ID, Old: l.Old, Pictures: l.Pictures})
		}
	}
	happened, err := s.o.History.Happenings(r.Context(), key)
	if err != nil {
		return err
	}
	for _, h := range happened {
		if h.Kind == "sheet" && !mayAct(u, h.Who) {
			continue
		}
		at := h.At
		if v.w.Zone != nil {
			at = at.In(v.w.Zone)
		}
		who := h.Who
		if h.Kind == "sheet" {
			who = v.x.CrewName(h.Who)
		}
		entries = append(entries, timelineEntry{at: at, Time: v.w.Clock(at.Format(time.RFC3339)), Text: h.Text, Who: who, Kind: h.Kind})
	}
	p := roomPage{frame: s.frame(r, room.Name, "jobs"), Room: v.jobRoom(room), Job: v.jobName(room.Job), JobKey: room.Job, Days: v.timeline(entries),
		Key: s.o.NewKey(), Today: v.Document.Today, Degree: degreeOf(v.w)}
	if v.Document.Likely.Runs > 0 && v.openRooms()[key] {
		l := v.likelyRoom(room)
		p.Likely, p.Held = &l, v.held(room.HeldBy)
	}
	if p.Sign, err = s.roomSign(r.Context(), key); err != nil {
		return err
	}
	s.render(w, r, http.StatusOK, "room", p)
	return nil
}

// crewOf is the crew whose reports a person may see, empty for all.
func crewOf(u *User) string {
	if u.Role == Crew {
		return u.Crew
	}
	return ""
}

func (v *view) plannedIn(room string) []timelineEntry {
	var out []timelineEntry
	for i := range v.Document.Activities {
		a := &v.Document.Activities[i]
		if a.Room != room {
			continue
		}
		l := v.scheduleLine(a)
		out = append(out, timelineEntry{at: v.w.Time(a.Start), Time: l.Time, Text: l.Title, Who: l.Crew, Kind: "planned", State: a.State, Wait: a.Crew == nil, Critical: a.Critical, Held: l.Held})
	}
	return out
}

// roomOf finds the room a report speaks of, by its area, work, surface or
// first piece.
func (v *view) roomOf(in RecordIn) string {
	if a := v.x.Areas[in.Area]; a != nil {
		if act := v.x.Activities[a.Activity]; act != nil {
			return act.Room
		}
	}
	if a := v.x.Activities[in.Activity]; a != nil {
		return a.Room
	}
	surface := v.x.Surfaces[in.Surface]
	if surface == nil && len(in.Pieces) > 0 {
		surface = v.x.PieceAt[in.Pieces[0]]
	}
	if surface != nil {
		return surface.Room
	}
	return roomOfKey(v.x, in)
}

// roomOfKey reads the room off the key of a part that the plan in force does
// not hold any more: keys begin with job and room.
func roomOfKey(x *plandoc.Index, in RecordIn) string {
	for _, key := range append([]string{in.Room + "/", in.Surface, in.Activity, in.Area}, in.Pieces...) {
		if parts := strings.SplitN(key, "/", 3); len(parts) > 1 && x.Rooms[parts[0]+"/"+parts[1]] != nil {
			return parts[0] + "/" + parts[1]
		}
	}
	return ""
}

func (v *view) timeline(entries []timelineEntry) []timelineDay {
	sort.SliceStable(entries, func(i, j int) bool { return entries[i].at.Before(entries[j].at) })
	var days []timelineDay
	for _, e := range entries {
		date := e.at.Format(time.DateOnly)
		if len(days) == 0 || days[len(days)-1].Date != date {
			days = append(days, timelineDay{Date: date, Text: v.w.Day(date)})
		}
		d := &days[len(days)-1]
		d.Entries = append(d.Entries, e)
	}
	return days
}
