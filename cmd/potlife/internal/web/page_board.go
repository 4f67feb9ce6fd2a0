package web

import (
	"net/http"
	"sort"
	"strconv"
	"strings"
	"time"

	"potlife/cmd/potlife/internal/plandoc"
)

type boardPage struct {
	frame
	Firm, Today   string
	Finish, Bound string
	Summary       []string
	Days          []boardDay
	Rows          []boardRow
	Alarms        []alarm
	Blocks        []block
	Crews         []boardCrew
}

type boardDay struct {
	Date, Weekday, Number string
	Month                 string // on the first day of it
	Rest                  bool   // nobody works
}

type boardRow struct {
	Room, Key, Job, JobKey    string
	Due, Finish, Bound, State string
	LateDays                  int
	Blocked                   string
	Cells                     []boardCell
}

type boardCell struct {
	Date   string
	Entry  []boardEntry
	Curing bool // something cures or is held and nobody works
	Rest   bool
	IsDue  bool
}

type boardEntry struct{ Word, Kind, Crew, Letter, Title, State string }

type boardCrew struct{ Letter, Name string }

type alarm struct{ Severity, Where, Text string }

type block struct{ Room, Why, Until string }

// shortKinds are the words that fit a day of the board.
var shortKinds = map[string]string{
	"prepare": "prep", "level": "level", "prime": "prime", "board": "board", "membrane": "memb", "flood test": "flood",
	"set": "set", "grout": "grout", "seal": "seal", "clean": "clean", "hand over": "hand", "hold": "hold", "take off ledger": "ledger",
}

func (s *server) board(w http.ResponseWriter, r *http.Request) error {
	v, err := s.current(r.Context())
	if err != nil {
		return err
	}
	d := v.Document
	p := boardPage{frame: s.frame(r, "Board", "board"), Firm: d.Firm, Today: v.w.Day(d.Today), Finish: v.w.DayClock(d.Finish), Bound: v.w.DayClock(d.FinishBound), Summary: d.Summary}
	for i, c := range d.Crews {
		p.Crews = append(p.Crews, boardCrew{crewLetter(i), v.x.CrewName(c.Key)})
	}
	p.Days = v.boardDays()
	p.Rows = v.boardRows(p.Days)
	p.Alarms = v.alarms()
	for i := range d.Rooms {
		if room := &d.Rooms[i]; room.Blocked != "" {
			p.Blocks = append(p.Blocks, block{Room: v.jobName(room.Job) + ", " + room.Name, Why: room.Blocked, Until: v.w.ShortDay(room.Finish)})
		}
	}
	s.render(w, r, http.StatusOK, "board", p)
	return nil
}

// crewLetter names the i-th crew on the board: A to Z, then by number.
func crewLetter(i int) string {
	if i < 26 {
		return string(rune('A' + i))
	}
	return strconv.Itoa(i + 1)
}

// mostDays keeps the board printable; what lies beyond is on the schedule.
const mostDays = 120

func (v *view) boardDays() []boardDay {
	first, last := "", ""
	work := map[string]bool{}
	for i := range v.Document.Activities {
		a := &v.Document.Activities[i]
		from, to := v.w.DateOf(a.Start), v.w.DateOf(a.Finish)
		if from != "" && (first == "" || from < first) {
			first = from
		}
		last = max(last, to)
		for _, span := range a.Work {
			work[v.w.DateOf(span[0])] = work[v.w.DateOf(span[0])] || a.Crew != nil
		}
	}
	begin, err := time.Parse(time.DateOnly, first)
	if err != nil {
		return nil
	}
	var days []boardDay
	for t := begin; t.Format(time.DateOnly) <= last && len(days) < mostDays; t = t.AddDate(0, 0, 1) {
		date := t.Format(time.DateOnly)
		b := boardDay{Date: date, Weekday: t.Format("Mon"), Number: t.Format("2"), Rest: !work[date]}
		if len(days) == 0 || t.Day() == 1 {
			b.Month = t.Format("Jan")
		}
		days = append(days, b)
	}
	return days
}

func (v *view) boardRows(days []boardDay) []boardRow {
	byRoom := map[string][]*plandoc.Activity{}
	for i := range v.Document.Activities {
		a := &v.Document.Activities[i]
		byRoom[a.Room] = append(byRoom[a.Room], a)
	}
	letters := map[string]string{}
	for i, c := range v.Document.Crews {
		letters[c.Key] = crewLetter(i)
	}
	var rows []boardRow
	for i := range v.Document.Rooms {
		room := &v.Document.Rooms[i]
		row := boardRow{Room: room.Name, Key: room.Key, Job: v.jobName(room.Job), JobKey: room.Job, Finish: v.w.ShortDay(room.Finish), Bound: v.w.ShortDay(room.Bound), LateDays: room.LateDays, Blocked: room.Blocked}
		due := deref(room.Due)
		row.Due = v.w.ShortDay(due)
		row.State = roomState(byRoom[room.Key])
		for _, day := range days {
			cell := v.boardCell(byRoom[room.Key], day, letters)
			cell.IsDue = due == day.Date
			row.Cells = append(row.Cells, cell)
		}
		rows = append(rows, row)
	}
	sort.SliceStable(rows, func(i, j int) bool { return rows[i].LateDays > rows[j].LateDays })
	return rows
}

func (v *view) boardCell(acts []*plandoc.Activity, day boardDay, letters map[string]string) boardCell {
	c := boardCell{Date: day.Date, Rest: day.Rest}
	seen := map[string]bool{}
	begun, over := false, true
	for _, a := range acts {
		from, to := v.w.DateOf(a.Start), v.w.DateOf(a.Finish)
		begun = begun || from < day.Date
		over = over && to < day.Date
		if a.Crew == nil && from <= day.Date && day.Date <= to {
			c.Curing = true
		}
		if a.Crew == nil || !v.worksOnDay(a, day.Date) {
			continue
		}
		word := shortKinds[a.Kind]
		if word == "" {
			word = a.Kind
		}
		if key := word + *a.Crew; !seen[key] {
			seen[key] = true
			c.Entry = append(c.Entry, boardEntry{Word: word, Kind: a.Kind, Crew: v.x.CrewName(*a.Crew), Letter: letters[*a.Crew], Title: a.Title, State: a.State})
		}
	}
	c.Curing = (c.Curing || begun && !over) && len(c.Entry) == 0
	return c
}

func (v *view) worksOnDay(a *plandoc.Activity, date string) bool {
	for _, span := range a.Work {
		if v.w.DateOf(span[0]) == date {
			return true
		}
	}
	return false
}

func roomState(acts []*plandoc.Activity) string {
	done := 0
	for _, a := range acts {
		if strings.HasPrefix(a.State, "done") {
			done++
		}
	}
	switch {
	case len(acts) > 0 && done == len(acts):
		return "done"
	case done > 0:
		return "open"
	}
	return "planned"
}

// alarms are late orders and findings that warn or stop, the worst first.
func (v *view) alarms() []alarm {
	var out []alarm
	for _, f := range v.Document.Findings {
		if f.Severity != "info" && f.Waived == "" {
			out = append(out, alarm{Severity: f.Severity, Where: f.Where, Text: f.Message})
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Severity == "stop" && out[j].Severity != "stop" })
	for _, o := range v.Document.Orders {
		if o.Late {
			out = append(out, alarm{Severity: "warn", Where: o.Key, Text: "was to be ordered by " + v.w.ShortDay(o.OrderBy) + "; delivered " + v.w.ShortDay(o.Delivery)})
		}
	}
	return out
}
