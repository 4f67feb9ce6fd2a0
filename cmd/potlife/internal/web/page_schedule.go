package web

import (
	"net/http"
	"sort"
	"time"

	"potlife/cmd/potlife/internal/plandoc"
)

type schedulePage struct {
	frame
	Crew, Job, Room string // chosen
	Crews, Jobs     []choice
	Weeks           []scheduleWeek
	Finish, Bound   string
	Likely          *likelyDates // nil: nothing was simulated
}

type choice struct {
	Key, Name string
	Chosen    bool
}

type scheduleDay struct {
	Date, Text string
	Work       []scheduleLine
}

type scheduleLine struct {
	ID, Time, Crew, Room, Job, JobKey, Title, Kind, State string
	Critical                                              bool
	Held                                                  string // in how many runs it held the finish
	After                                                 string // the wait that ends last
}

func (s *server) schedule(w http.ResponseWriter, r *http.Request) error {
	v, err := s.current(r.Context())
	if err != nil {
		return err
	}
	q := r.URL.Query()
	p := schedulePage{frame: s.frame(r, "Schedule", "schedule"), Crew: q.Get("crew"), Job: q.Get("job"), Finish: v.w.DayClock(v.Document.Finish), Bound: v.w.DayClock(v.Document.FinishBound)}
	for _, c := range v.Document.Crews {
		p.Crews = append(p.Crews, choice{c.Key, v.x.CrewName(c.Key), c.Key == p.Crew})
	}
	for _, j := range v.Document.Jobs {
		p.Jobs = append(p.Jobs, choice{j.Key, v.jobName(j.Key), j.Key == p.Job})
	}
	p.Weeks = v.weeks(v.scheduleDays(p.Crew, p.Job), v.w.DateOf(s.o.Now().Format(time.RFC3339)))
	p.Likely = v.likely(p.Job)
	s.render(w, r, http.StatusOK, "schedule", p)
	return nil
}

// scheduleWeek is the days of a calendar week, folded but for the first that is
// not over.
type scheduleWeek struct {
	Text, Count string
	Open        bool
	Days        []scheduleDay
}

// weeks gathers days by calendar weeks.
func (v *view) weeks(days []scheduleDay, today string) []scheduleWeek {
	var out []scheduleWeek
	last, open := "", false
	for _, d := range days {
		t, err := time.Parse(time.DateOnly, d.Date)
		if err != nil {
			continue
		}
		monday := t.AddDate(0, 0, -(int(t.Weekday())+6)%7).Format(time.DateOnly)
		if monday != last {
			last = monday
			out = append(out, scheduleWeek{Text: "Week of " + v.w.Day(monday)})
		}
		w := &out[len(out)-1]
		w.Days = append(w.Days, d)
		if !open && d.Date >= today {
			open, w.Open = true, true
		}
	}
	for i := range out {
		n := 0
		for _, d := range out[i].Days {
			n += len(d.Work)
		}
		out[i].Count = v.w.Quantity(float64(n), "start")
	}
	if len(out) > 0 && !open {
		out[len(out)-1].Open = true
	}
	return out
}

// scheduleDays lists activities by the day they start, waits among them.
func (v *view) scheduleDays(crew, job string) []scheduleDay {
	acts := make([]*plandoc.Activity, 0, len(v.Document.Activities))
	for i := range v.Document.Activities {
		acts = append(acts, &v.Document.Activities[i])
	}
	sort.SliceStable(acts, func(i, j int) bool { return v.w.Time(acts[i].Start).Before(v.w.Time(acts[j].Start)) })
	var days []scheduleDay
	for _, a := range acts {
		room := v.x.Rooms[a.Room]
		if crew != "" && (a.Crew == nil || *a.Crew != crew) || job != "" && (room == nil || room.Job != job) {
			continue
		}
		date := v.w.DateOf(a.Start)
		if len(days) == 0 || days[len(days)-1].Date != date {
			days = append(days, scheduleDay{Date: date, Text: v.w.Day(date)})
		}
		d := &days[len(days)-1]
		d.Work = append(d.Work, v.scheduleLine(a))
	}
	return days
}

func (v *view) scheduleLine(a *plandoc.Activity) scheduleLine {
	l := scheduleLine{ID: a.ID, Time: v.w.Span(a.Start, a.Finish), Room: v.x.RoomName(a.Room), Title: a.Title, Kind: a.Kind, State: a.State, Critical: a.Critical}
	if v.w.DateOf(a.Finish) != v.w.DateOf(a.Start) {
		l.Time = v.w.Clock(a.Start) + "–" + v.w.DayClock(a.Finish)
	}
	if l.Title == "" {
		l.Title = a.Kind
	}
	if a.CriticalShare > 0 {
		l.Held = "in " + plandoc.Percent(a.CriticalShare) + " of runs"
		if !a.Critical { // no mark before it says what it does
			l.Held = "holds up the finish " + l.Held
		}
	}
	if a.Crew != nil {
		l.Crew = v.x.CrewOn(*a.Crew, v.w.DateOf(a.Start))
	}
	if r := v.x.Rooms[a.Room]; r != nil {
		l.Job, l.JobKey = v.jobName(r.Job), r.Job
	}
	l.After = v.lastWait(a)
	return l
}

// lastWait says in words which wait before an activity ends last. A wait in
// working time is counted as if the clock ran through, which is enough to
// choose by.
func (v *view) lastWait(a *plandoc.Activity) string {
	text, end := "", time.Time{}
	for _, after := range a.After {
		before := v.x.Activities[after.Activity]
		if before == nil {
			continue
		}
		t := v.w.Time(before.Finish).Add(time.Duration(after.LeastMinutes * float64(time.Minute)))
		if !t.After(end) {
			continue
		}
		end, text = t, before.Title+", "+after.Why
		if after.LeastMinutes > 0 {
			text = hoursText(after.LeastMinutes) + " " + after.Clock + " after " + text
		}
	}
	return text
}

func hoursText(minutes float64) string {
	if minutes < 120 {
		return plandoc.Figure(minutes, 0) + " min"
	}
	return plandoc.Figure(minutes/60, 1) + " h"
}
