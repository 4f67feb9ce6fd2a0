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
	More          int    // rooms left out
	MayAsk        bool   // what if
	Eighty        string // all is finished by then in 80 % of a simulation
}

type boardDay struct {
	Date, Weekday, Number string
	Month                 string // on the first day of it
	Rest                  bool   // nobody works
}

type boardRow struct {
	Room, Key, Job, JobKey    string
	Due, Finish, Bound, State string
	Eighty, Chance            string // of a simulation, empty without one
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
	"prepare": "prep", "flatten": "flat", "lay out": "lines", "cut": "cut", "fill tub": "fill", "empty tub": "empty", "level": "level", "prime": "prime", "board": "board", "membrane": "memb", "flood test": "flood",
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
	byRoom, worked := v.daysByRoom()
	p.Days = boardDays(byRoom, worked)
	most := mostRooms
	if r.URL.Query().Get("all") != "" {
		most = len(d.Rooms)
	}
	p.Rows, p.More = v.boardRows(byRoom, p.Days, most), max(0, len(d.Rooms)-most)
	p.MayAsk = s.o.Outlook != nil
	v.likelyRows(&p)
	p.Alarms = v.alarms()
	for i := range d.Rooms {
		if room := &d.Rooms[i]; room.Blocked != "" {
			p.Blocks = append(p.Blocks, block{Room: v.jobName(room.Job) + ", " + room.Name, Why: room.Blocked, Until: v.w.ShortDay(room.Finish)})
		}
	}
	s.render(w, r, http.StatusOK, "board", p)
	return nil
}

// likelyRows adds what the simulation of the plan says, where there is one.
func (v *view) likelyRows(p *boardPage) {
	runs := v.Document.Likely.Runs
	if runs == 0 {
		return
	}
	p.Eighty = v.w.ShortDay(v.Document.Likely.Eighty)
	for i := range p.Rows {
		if x := v.x.Rooms[p.Rows[i].Key]; x != nil && p.Rows[i].State != "done" {
			p.Rows[i].Eighty = v.w.ShortDay(x.Eighty)
			if p.Rows[i].Due != "" {
				p.Rows[i].Chance = keptIn(x.Chance, runs)
			}
		}
	}
}

// keptIn says in how many simulated runs something held.
func keptIn(share float64, runs int) string {
	switch n := int(share*float64(runs) + 0.5); n {
	case runs:
		return "all of " + strconv.Itoa(runs) + " simulated runs"
	case 0:
		return "none of " + strconv.Itoa(runs) + " simulated runs"
	default:
		return strconv.Itoa(n) + " of " + strconv.Itoa(runs) + " simulated runs"
	}
}

// crewLetter names the i-th crew on the board: A to Z, then by number.
func crewLetter(i int) string {
	if i < 26 {
		return string(rune('A' + i))
	}
	return strconv.Itoa(i + 1)
}

// A board stays one that a person can look over and a browser can show: the
// latest rooms first, the rest behind "all".
const (
	mostDays  = 120
	mostRooms = 80
)

// roomDays is what happens in a room, by day.
type roomDays struct {
	first, last string
	waits       map[string]bool // days under a hold by others
	entries     map[string][]boardEntry
	done, acts  int
}

// daysByRoom sorts the plan's work into rooms and days. It parses each instant
// once: a board of 1 000 rooms holds a hundred thousand cells.
func (v *view) daysByRoom() (rooms map[string]*roomDays, worked map[string]bool) {
	letters := map[string]string{}
	for i, c := range v.Document.Crews {
		letters[c.Key] = crewLetter(i)
	}
	rooms, worked = map[string]*roomDays{}, map[string]bool{}
	for i := range v.Document.Activities {
		a := &v.Document.Activities[i]
		r := rooms[a.Room]
		if r == nil {
			r = &roomDays{waits: map[string]bool{}, entries: map[string][]boardEntry{}}
			rooms[a.Room] = r
		}
		r.acts++
		if strings.HasPrefix(a.State, "done") {
			r.done++
		}
		from, to := v.w.DateOf(a.Start), v.w.DateOf(a.Finish)
		if r.first == "" || from < r.first {
			r.first = from
		}
		r.last = max(r.last, to)
		if a.Crew == nil {
			for d := from; d <= to && len(r.waits) < 400; d = nextDate(d) {
				r.waits[d] = true
			}
			continue
		}
		for _, span := range a.Work {
			date := v.w.DateOf(span[0])
			worked[date] = true
			r.add(date, boardEntry{Word: shortKind(a.Kind), Kind: a.Kind, Crew: v.x.CrewName(*a.Crew), Letter: letters[*a.Crew], Title: a.Title, State: a.State})
		}
	}
	return rooms, worked
}

// add puts an entry into a day; a second one of the same kind and crew adds
// nothing to look at.
func (r *roomDays) add(date string, e boardEntry) {
	for _, have := range r.entries[date] {
		if have.Word == e.Word && have.Letter == e.Letter {
			return
		}
	}
	r.entries[date] = append(r.entries[date], e)
}

func nextDate(date string) string {
	t, err := time.Parse(time.DateOnly, date)
	if err != nil {
		return "9999"
	}
	return t.AddDate(0, 0, 1).Format(time.DateOnly)
}

func shortKind(kind string) string {
	if s := shortKinds[kind]; s != "" {
		return s
	}
	return kind
}

func boardDays(rooms map[string]*roomDays, worked map[string]bool) []boardDay {
	first, last := "", ""
	for _, r := range rooms {
		if r.first != "" && (first == "" || r.first < first) {
			first = r.first
		}
		last = max(last, r.last)
	}
	begin, err := time.Parse(time.DateOnly, first)
	if err != nil {
		return nil
	}
	var days []boardDay
	for t := begin; t.Format(time.DateOnly) <= last && len(days) < mostDays; t = t.AddDate(0, 0, 1) {
		date := t.Format(time.DateOnly)
		b := boardDay{Date: date, Weekday: t.Format("Mon"), Number: t.Format("2"), Rest: !worked[date]}
		if len(days) == 0 || t.Day() == 1 {
			b.Month = t.Format("Jan")
		}
		days = append(days, b)
	}
	return days
}

// boardRows lists the rooms, the latest first, at most `most` of them.
func (v *view) boardRows(byRoom map[string]*roomDays, days []boardDay, most int) []boardRow {
	rooms := make([]*plandoc.Room, 0, len(v.Document.Rooms))
	for i := range v.Document.Rooms {
		rooms = append(rooms, &v.Document.Rooms[i])
	}
	sort.SliceStable(rooms, func(i, j int) bool { return rooms[i].LateDays > rooms[j].LateDays })
	var rows []boardRow
	for _, room := range rooms[:min(len(rooms), most)] {
		due, r := deref(room.Due), byRoom[room.Key]
		if r == nil {
			r = &roomDays{}
		}
		row := boardRow{Room: room.Name, Key: room.Key, Job: v.jobName(room.Job), JobKey: room.Job, Due: v.w.ShortDay(due), Finish: v.w.ShortDay(room.Finish),
			Bound: v.w.ShortDay(room.Bound), LateDays: room.LateDays, Blocked: room.Blocked, State: r.state()}
		for _, day := range days {
			c := boardCell{Date: day.Date, Rest: day.Rest, IsDue: due == day.Date, Entry: r.entries[day.Date]}
			c.Curing = len(c.Entry) == 0 && (r.waits[day.Date] || r.first < day.Date && day.Date <= r.last)
			row.Cells = append(row.Cells, c)
		}
		rows = append(rows, row)
	}
	return rows
}

func (r *roomDays) state() string {
	switch {
	case r.acts > 0 && r.done == r.acts:
		return "done"
	case r.done > 0:
		return "open"
	}
	return "planned"
}

// alarms are late orders and findings that warn or stop, the worst first. What
// is said alike of several places is said once.
func (v *view) alarms() []alarm {
	var out []alarm
	said := map[string]int{} // what is said, to its place in out
	var where [][]string
	for _, f := range v.Document.Findings {
		if f.Severity == "info" || f.Waived != "" {
			continue
		}
		i, ok := said[f.Severity+f.Message]
		if !ok {
			i = len(out)
			said[f.Severity+f.Message] = i
			out, where = append(out, alarm{Severity: f.Severity, Text: f.Message}), append(where, nil)
		}
		where[i] = append(where[i], f.Where)
	}
	for i := range out {
		out[i].Where = v.x.Places(where[i])
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Severity == "stop" && out[j].Severity != "stop" })
	for _, o := range v.Document.Orders {
		if o.Late {
			out = append(out, alarm{Severity: "warn", Where: o.Key, Text: "was to be ordered by " + v.w.ShortDay(o.OrderBy) + "; delivered " + v.w.ShortDay(o.Delivery)})
		}
	}
	return out
}
