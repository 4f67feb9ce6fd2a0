package scheduler

import (
	"slices"
	"strings"
	"time"

	"potlife/rooms"
)

// Keys of delays by days on which nobody works: those off of a crew, those on which
// firm or site are closed, and the days of the week on which a crew never works.
const (
	offKey     = "off"
	firmKey    = "firm closed"
	siteKey    = "site closed"
	weekendKey = "weekend"
)

// closedDays tells the days between two minutes on which a task's crew cannot work on
// its site apart by why. Nights belong to their days; they alone are no delay.
func (m *maker) closedDays(t *task, from, to int) (out []delay) {
	if to-from <= 24*60 {
		return nil
	}
	crew, site := m.works.crews[t.crew], m.siteOf(t.room)
	if crew == nil || site == nil {
		return nil
	}
	why := m.closures(&crew.Crew, site)
	common := m.works.common[[2]string{t.crew, t.room.site}]
	runs, worked := map[string]*closedRun{}, 0
	for d := m.clock.Day(from); m.clock.DayStart(d) < to; d = d.AddDays(1) {
		start, end := m.clock.DayStart(d), m.clock.DayStart(d.AddDays(1))
		key := why(d)
		if key == "" || Working(common, start, end) > 0 {
			worked++
			continue
		}
		if runs[key] == nil {
			runs[key] = &closedRun{}
		}
		runs[key].minutes += min(end, to) - max(start, from)
		runs[key].add(d, worked)
	}
	for _, key := range []string{offKey, siteKey, firmKey, weekendKey} {
		if r := runs[key]; r != nil {
			out = append(out, delay{t, r.minutes, to, key, m.closedWords(key, t, r), false})
		}
	}
	return out
}

// closedRun is the days that are closed for one reason, as stretches in which nobody
// works.
type closedRun struct {
	minutes int
	days    [][2]rooms.Date // first and last of each
	worked  int             // days worked before the last stretch
}

func (r *closedRun) add(d rooms.Date, worked int) {
	if len(r.days) == 0 || worked != r.worked {
		r.days, r.worked = append(r.days, [2]rooms.Date{d, d}), worked
	}
	r.days[len(r.days)-1][1] = d
}

func (r *closedRun) words() string {
	var list []string
	for _, d := range r.days {
		text := d[0].Words()
		if d[0] != d[1] {
			text += " to " + d[1].Words()
		}
		list = append(list, text)
	}
	return strings.Join(list, ", ")
}

// closures says of a day why a crew does not work on a site, "" where it may.
func (m *maker) closures(crew *Crew, site *rooms.Site) func(rooms.Date) string {
	f, shifts, open := &m.in.Firm, week(crew.Hours), week(site.Hours)
	return func(d rooms.Date) string {
		off, extra := slices.Contains(crew.Off, d), slices.Contains(crew.On, d) || slices.Contains(f.Days.On, d)
		hours := shifts[d.Weekday()]
		if extra && len(hours) == 0 {
			hours = shifts[time.Monday]
		}
		switch {
		case len(hours) == 0 && len(datedHours(crew.Special, d))+len(datedHours(f.Special, d)) == 0:
			return weekendKey
		case slices.Contains(f.Days.Off, d) && !slices.Contains(crew.On, d):
			return firmKey
		case off || len(hours) > 0 && len(crew.staffed(d, hours)) == 0:
			return offKey
		case slices.Contains(site.Closed, d), len(site.Hours) > 0 && len(open[d.Weekday()]) == 0:
			return siteKey
		}
		return ""
	}
}

func (m *maker) closedWords(key string, t *task, r *closedRun) string {
	days, first := r.words(), r.days[0][0]
	crew := m.works.called.crew(t.crew)
	switch key {
	case offKey:
		if who := m.awayOn(t.crew, m.clock.DayStart(first)); who != "" {
			return "days off of " + crew + who
		}
		return "days off of " + crew + ", " + days
	case siteKey:
		return m.works.called.site(t.room.site) + " is closed, " + days
	case firmKey:
		return "the firm is closed, " + days
	}
	return "days of the week on which " + crew + " does not work"
}

// siteOf is the site of a room.
func (m *maker) siteOf(r *roomWork) *rooms.Site {
	job, key, _ := strings.Cut(r.site, "/")
	for i := range m.jobs {
		for k := range m.jobs[i].Sites {
			if s := &m.jobs[i].Sites[k]; m.jobs[i].Key == job && s.Key == key {
				return s
			}
		}
	}
	return nil
}
