package scheduler

import (
	"maps"
	"slices"
	"strings"
	"testing"

	"potlife/rooms"
)

// What a room waits for is what leads to its end: a stop by others, a day on which it
// is ready that was given for it, a cure; never the days that are left until the job
// begins while there is anything else, nor a wait beside which the rest goes on.
func TestBlockedNamesWhatLeads(t *testing.T) {
	for name, c := range map[string]struct {
		change      func(job *rooms.Job, room *rooms.Room)
		says, never string
	}{
		"the job begins in a month": {func(job *rooms.Job, room *rooms.Room) {
			job.Start = job.Start.AddDays(28)
		}, "waits until", "the room is ready"},
		"the room is ready late": {func(job *rooms.Job, room *rooms.Room) {
			room.Ready = job.Start.AddDays(28)
		}, "the room is ready on", "hold"},
		"a stop for three weeks": {func(job *rooms.Job, room *rooms.Room) {
			room.Holds = []rooms.Hold{{Key: "h", Why: "the plumber comes", Before: "set", Until: job.Start.AddDays(21)}}
		}, "the plumber comes", "the room is ready"},
		"a stop beside the work": {func(job *rooms.Job, room *rooms.Room) {
			room.Holds = []rooms.Hold{{Key: "h", Why: "the plumber comes", Before: "hand over", Until: job.Start.AddDays(1)}}
		}, "", "the plumber comes"},
	} {
		in := small(t, 3, 1)
		job := &in.Jobs[0]
		c.change(job, &job.Sites[0].Rooms[0])
		got := made(t, in).RoomDates[0].Blocked
		if !strings.Contains(got, c.says) || strings.Contains(got, c.never) {
			t.Errorf("%s: %q, want %q and not %q", name, got, c.says, c.never)
		}
	}
}

// Days on which nobody works are called what they are: the crew's days off, the site's
// and the firm's closed days, the days of the week on which the crew never works.
func TestClosedDaysAreToldApart(t *testing.T) {
	friday := day("2026-03-27")
	in := small(t, 3, 1)
	in.Firm.Crews = in.Firm.Crews[:1]
	crew, job := &in.Firm.Crews[0], &in.Jobs[0]
	m := &maker{in: in, jobs: in.Jobs, clock: NewClock(in.Today, in.Firm.Zone)}
	after := func(change func(m *maker, site *rooms.Site)) map[string]string {
		m := *m
		m.in.Firm.Crews, m.jobs = []Crew{*crew}, []rooms.Job{*job}
		m.jobs[0].Sites = []rooms.Site{job.Sites[0]}
		site := &m.jobs[0].Sites[0]
		change(&m, site)
		c := &m.in.Firm.Crews[0]
		key := "job/" + site.Key
		hours := m.clock.CrewHours(m.in.Firm, *c, 0, 60*1440)
		m.works = &works{clock: m.clock, called: called(&m.in.Firm, m.jobs), crews: map[string]*team{c.Key: {Crew: *c}},
			common: map[[2]string][]Interval{{c.Key, key}: Common(hours, m.clock.SiteHours(*site, 0, 60*1440))}}
		work := &task{crew: c.Key, minutes: 60, room: &roomWork{site: key}}
		out := map[string]string{}
		free := m.clock.OnDay(friday, 17*60)
		until, _ := earliest(m.works.common[[2]string{c.Key, key}], free, 60)
		for _, d := range m.closedDays(work, free, until) {
			out[d.key] = d.why
		}
		return out
	}
	monday, wednesday := friday.AddDays(3), friday.AddDays(5)
	for name, x := range map[string]struct {
		change func(m *maker, site *rooms.Site)
		want   map[string]string
	}{
		"a weekend": {func(*maker, *rooms.Site) {}, map[string]string{weekendKey: "days of the week on which Alder does not work"}},
		"a crew's days off": {func(m *maker, _ *rooms.Site) {
			m.in.Firm.Crews[0].Off = []rooms.Date{monday, monday.AddDays(1), wednesday}
		}, map[string]string{weekendKey: "days of the week on which Alder does not work", offKey: "days off of Alder, Mon 30 Mar to Wed 1 Apr"}},
		"its setter away": {func(m *maker, _ *rooms.Site) {
			m.in.Firm.Crews[0].Away = []Absence{{Who: "Ida", From: monday, To: monday}}
		}, map[string]string{weekendKey: "days of the week on which Alder does not work", offKey: "days off of Alder (away: Ida until Mon 30 Mar)"}},
		"a closed site": {func(_ *maker, site *rooms.Site) { site.Closed = []rooms.Date{monday} },
			map[string]string{weekendKey: "days of the week on which Alder does not work", siteKey: "Yard Lane is closed, Mon 30 Mar"}},
		"a closed firm": {func(m *maker, _ *rooms.Site) { m.in.Firm.Days.Off = []rooms.Date{monday} },
			map[string]string{weekendKey: "days of the week on which Alder does not work", firmKey: "the firm is closed, Mon 30 Mar"}},
		"a closed firm, and again after days with too little time": {func(m *maker, site *rooms.Site) {
			m.in.Firm.Days.Off, site.Hours = []rooms.Date{monday, wednesday}, nil
			for d := 1; d <= 5; d++ {
				site.Hours = append(site.Hours, rooms.DayHours{Weekday: d, Start: 7 * 60, End: 7*60 + 30})
			}
			site.Hours[3].End = 9 * 60 // on Thursdays
		}, map[string]string{weekendKey: "days of the week on which Alder does not work", firmKey: "the firm is closed, Mon 30 Mar, Wed 1 Apr"}},
		"a night": {func(m *maker, _ *rooms.Site) { m.in.Firm.Crews[0].On = []rooms.Date{friday.AddDays(1)} }, map[string]string{}},
	} {
		if got := after(x.change); !maps.Equal(got, x.want) {
			t.Errorf("%s: %v, want %v", name, got, x.want)
		}
	}
}

// Work that could begin when its room is ready and begins later, the crew being busy
// elsewhere, waits for the room until it is ready, on the day's first hour of the crew.
func TestReadyRoomWaitsUntilItIsReady(t *testing.T) {
	in := small(t, 3, 1)
	crew, job := &in.Firm.Crews[0], &in.Jobs[0]
	site := job.Sites[0]
	key := "job/" + site.Key
	m := &maker{in: in, jobs: in.Jobs, clock: NewClock(in.Today, in.Firm.Zone)}
	hours := m.clock.CrewHours(in.Firm, *crew, 0, 60*1440)
	common := Common(hours, m.clock.SiteHours(site, 0, 60*1440))
	m.works = &works{firm: &in.Firm, clock: m.clock, called: called(&in.Firm, m.jobs), crews: map[string]*team{crew.Key: {Crew: *crew}}, common: map[[2]string][]Interval{{crew.Key, key}: common}}
	ready := day("2026-03-24")
	room := &roomWork{site: key, ready: m.clock.DayStart(ready), room: &rooms.Room{Ready: ready}}
	work := &task{title: "prepare the ground", crew: crew.Key, minutes: 60, room: room, release: room.ready, start: m.clock.OnDay(ready.AddDays(2), 13*60)}
	m.choice = &choice{net: &network{works: m.works, tasks: []*task{work}}}
	for _, h := range common { // at work elsewhere on the site until then
		for at := h.Start; at < min(h.End, work.start); at += 30 {
			m.choice.net.tasks = append(m.choice.net.tasks, &task{crew: crew.Key, gang: gang{setters: crew.Setters}, minutes: 30, start: at, room: &roomWork{site: key}})
		}
	}
	var got []string
	for _, d := range m.delays(work) {
		got = append(got, d.words(m.clock))
	}
	if want := []string{"prepare the ground waits until Tue 24 Mar 07:00: the room is ready on Tue 24 Mar", "prepare the ground waits until Thu 26 Mar 13:00: other work of Alder"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}
