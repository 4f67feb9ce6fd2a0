package jobfile

import (
	"embed"
	"regexp"
	"slices"
	"strings"

	"potlife/rooms"
	"potlife/scheduler"
)

//go:embed demo/*.yaml
var demos embed.FS

// Demo returns the text of a demonstration file: "" the contractor with six
// bathrooms, "inches" the smaller job in inches and pounds; nil where there is
// no such one.
func Demo(which string) []byte {
	name := "job"
	if which != "" {
		name = which
	}
	text, err := demos.ReadFile("demo/" + name + ".yaml")
	if err != nil {
		return nil
	}
	return text
}

// DemoNames lists what Demo knows.
func DemoNames() []string { return []string{"", "inches"} }

// Shift moves every date of f by the same number of days: starts, due and
// ready dates, holds, absences. Holidays of firm and suppliers stay where they
// are, since they belong to the year. By whole weeks it keeps the weekdays.
func Shift(f *File, days int) {
	move := func(d *rooms.Date) {
		if !d.IsZero() {
			*d = d.AddDays(days)
		}
	}
	if f.Firm != nil {
		for i := range f.Firm.Crews {
			c := &f.Firm.Crews[i]
			c.Off, c.On, c.Special = shifted(c.Off, c.On, c.Special, days)
			c.Away, c.People = slices.Clone(c.Away), slices.Clone(c.People)
			for k := range c.Away {
				move(&c.Away[k].From)
				move(&c.Away[k].To)
			}
			for k := range c.People {
				p := &c.People[k]
				p.Off, p.On, p.Special = shifted(p.Off, p.On, p.Special, days)
			}
		}
	}
	for j := range f.Jobs {
		move(&f.Jobs[j].Start)
		for s := range f.Jobs[j].Sites {
			for m := range f.Jobs[j].Sites[s].Rooms {
				room := &f.Jobs[j].Sites[s].Rooms[m]
				move(&room.Due)
				move(&room.Ready)
				for h := range room.Holds {
					move(&room.Holds[h].Until)
				}
				for f := range room.Surfaces {
					for k := range room.Surfaces[f].LeftOut {
						move(&room.Surfaces[f].LeftOut[k].Until)
					}
				}
			}
		}
	}
}

// shifted are the dates of a crew or of one of its people, that many days later.
func shifted(off, on []rooms.Date, special []scheduler.DatedHours, days int) ([]rooms.Date, []rooms.Date, []scheduler.DatedHours) {
	off, on, special = slices.Clone(off), slices.Clone(on), slices.Clone(special)
	for _, list := range [][]rooms.Date{off, on} {
		for k := range list {
			list[k] = list[k].AddDays(days)
		}
	}
	for k := range special {
		special[k].On = special[k].On.AddDays(days)
	}
	return off, on, special
}

// StartOn returns by how many days, in whole weeks, f must be shifted so that
// its earliest job starts in the week that begins on monday.
func StartOn(f *File, monday rooms.Date) int {
	var earliest rooms.Date
	for _, j := range f.Jobs {
		if earliest.IsZero() || j.Start.Before(earliest) {
			earliest = j.Start
		}
	}
	if earliest.IsZero() {
		return 0
	}
	week := earliest.AddDays(-(int(earliest.Weekday()) + 6) % 7)
	days := 0
	for ; week.AddDays(days).Before(monday); days += 7 {
	}
	for ; monday.Before(week.AddDays(days)); days -= 7 {
	}
	return days
}

var (
	datePattern = regexp.MustCompile(`\b\d{4}-\d{2}-\d{2}\b`)
	fixedKey    = regexp.MustCompile(`^\s*(holidays|extra_days):`)
)

// ShiftText moves the dates of a demonstration's text as Shift moves those of
// its File: all but the ones on lines of holidays and extra days.
func ShiftText(text []byte, days int) []byte {
	lines := strings.SplitAfter(string(text), "\n")
	for i, line := range lines {
		if fixedKey.MatchString(line) {
			continue
		}
		lines[i] = datePattern.ReplaceAllStringFunc(line, func(s string) string {
			d, err := rooms.ParseDate(s)
			if err != nil {
				return s
			}
			return d.AddDays(days).String()
		})
	}
	return []byte(strings.Join(lines, ""))
}
