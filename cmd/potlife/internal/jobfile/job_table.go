package jobfile

import (
	"fmt"
	"slices"
	"strings"

	"potlife/rooms"
	"potlife/scheduler"
	"potlife/takeoff"
)

// job, site and room as they are written: what is common to the surfaces below
// stands once.
type job struct {
	rooms.Job
	v     *value
	usual usual
	sites []site
}

type site struct {
	rooms.Site
	v     *value
	rooms []room
}

type room struct {
	rooms.Room
	v         *value
	celsius   *float64
	people    *int
	usual     usual
	rectangle *rectRoom
	alcove    *alcove
	shower    *shower
	surfaces  []surface
	obstacles []obstacle
}

// usual is what holds for all surfaces below unless they say otherwise.
type usual struct {
	set, walls, floors setting
	layer              *string
	measured           *bool
	corners            *string
}

// over fills what u leaves out from base.
func (u usual) over(base usual) usual {
	u.set, u.walls, u.floors = u.set.over(base.set), u.walls.over(base.walls), u.floors.over(base.floors)
	u.layer, u.measured, u.corners = first(u.layer, base.layer), first(u.measured, base.measured), first(u.corners, base.corners)
	return u
}

// setting is what a surface of the kind inherits.
func (u usual) setting(kind string) setting {
	switch {
	case rooms.Flat(kind):
		return u.floors.over(u.set)
	case kind == rooms.Ceiling:
		return u.set
	}
	return u.walls.over(u.set)
}

func usualFields[T any](at func(*T) *usual) []field[T] {
	return []field[T]{
		setField("set", "how all surfaces below are set unless they say otherwise", func(t *T) *setting { return &at(t).set }),
		setField("set_walls", "how walls and what stands on them are set", func(t *T) *setting { return &at(t).walls }),
		setField("set_floors", "how floors are set", func(t *T) *setting { return &at(t).floors }),
		keep("layer", "layer on which surfaces were measured: "+list(layers), maybe(word(layers...)), func(t *T) **string { return &at(t).layer }),
		keep("outside_corners", "what closes outside corners and the edges round niches where they say nothing: mitre, the key of a trim, or nothing (the firm's if left out)", maybe(keyForm), func(t *T) **string { return &at(t).corners }),
		keep("measured", "outlines were read on the last layer before setting, so that cuts may be made ahead", maybe(flagForm), func(t *T) **bool { return &at(t).measured }),
	}
}

var jobObject = object[job]{
	name: "job", doc: "one contract: rooms on one or more sites",
	fields: append([]field[job]{
		keep("key", "the job's key, the same in every import", keyForm, func(j *job) *string { return &j.Key }).needed(),
		keep("name", "the job's name", textForm, func(j *job) *string { return &j.Name }).needed(),
		keep("client", "for whom", textForm, func(j *job) *string { return &j.Client }),
		keep("start", "first day of work, YYYY-MM-DD", dateForm, func(j *job) *rooms.Date { return &j.Start }).needed(),
		keep("movement_joints", "standard by which layouts are judged and soft joints placed (the firm's if left out): "+list(takeoff.MovementStandards()), word(takeoff.MovementStandards()...), func(j *job) *string { return &j.Movement }),
		keep("client_signs", "the client signs each room's layout before an order with goods for it is placed", flagForm, func(j *job) *bool { return &j.ClientSigns }),
		keep("sites", "the addresses", listOf(of(&siteObject)), func(j *job) *[]site { return &j.sites }).needed(),
	}, usualFields(func(j *job) *usual { return &j.usual })...),
	check: func(r *reader, v *value, j *job) {
		j.v = v
		r.unique("sites", v.get("sites"))
		checkFilled(r, v, "sites", "job "+j.Key)
	},
}

var siteObject = object[site]{
	name: "site", doc: "one address",
	fields: []field[site]{
		keep("key", "the site's key, its own in the job", keyForm, func(s *site) *string { return &s.Key }).needed(),
		keep("name", "the site's name", textForm, func(s *site) *string { return &s.Name }),
		keep("address", "where it is", textForm, func(s *site) *string { return &s.Address }),
		keep("contact", "who takes goods in there: a name and a telephone number", textForm, func(s *site) *string { return &s.Contact }),
		keep("hours", "hours at which work is allowed; whenever the crew works if left out", hoursForm, func(s *site) *[]rooms.DayHours { return &s.Hours }),
		keep("closed", "dates on which nobody works there", datesForm, func(s *site) *[]rooms.Date { return &s.Closed }),
		keep("noise", "hours at which loud work is allowed (grinding, drilling, power saws); whenever work is if left out", hoursForm, func(s *site) *[]rooms.DayHours { return &s.Noise }),
		keep("storage", "weight that may lie on the site at once", weightForm, func(s *site) *float64 { return &s.StorageKg }),
		keep("pallets", "pallets of tile that may stand on the site at once", whole(0, 10_000, "pallets"), func(s *site) *int { return &s.StoragePallets }),
		keep("deliver", "where its goods are delivered: site or yard (the site where its address is given, else the yard)", word(rooms.ToSite, rooms.ToYard), func(s *site) *string { return &s.Deliver }),
		keep("rooms", "the rooms", listOf(of(&roomObject)), func(s *site) *[]room { return &s.rooms }).needed(),
	},
	check: func(r *reader, v *value, s *site) {
		s.v = v
		checkFilled(r, v, "rooms", "site "+s.Key)
		s.checkHours(r)
		checkSplits(r, s)
	},
}

// checkSplits holds the rooms of a group to one way of splitting.
func checkSplits(r *reader, s *site) {
	first := map[string]*room{}
	for i := range s.rooms {
		m := &s.rooms[i]
		if m.Group == "" || m.Split == "" {
			continue
		}
		if was := first[m.Group]; was == nil {
			first[m.Group] = m
		} else if was.Split != m.Split {
			r.failf(m.v.at("split"), fmt.Sprintf("%q, or no split here", was.Split), "room %s splits group %s %s, room %s splits it %s", m.Key, m.Group, m.Split, was.Key, was.Split)
		}
	}
}

// checkFilled refuses a list without entries.
func checkFilled(r *reader, v *value, key, where string) {
	if in := v.get(key); in != nil && in.kind == sequence && len(in.items) == 0 {
		r.failf(in.place, "at least one", "%s has no %s", where, key)
	}
}

var orders = []string{"walls then floor", "floor then walls", "walls from the second course, floor, bottom course"}

var splits = []string{rooms.SplitRooms, rooms.SplitFloor, rooms.SplitRoomFloor, rooms.SplitSurfaces}

var roomObject = object[room]{
	name: "room", doc: "what a crew sets as a whole: one bathroom, one shower",
	start: func() room { return room{Room: rooms.Room{Order: orders[0]}} },
	fields: append([]field[room]{
		keep("key", "the room's key, its own in the job", keyForm, func(m *room) *string { return &m.Key }).needed(),
		keep("name", "the room's name", textForm, func(m *room) *string { return &m.Name }),
		keep("due", "day on whose evening it is handed over", dateForm, func(m *room) *rooms.Date { return &m.Due }),
		keep("ready", "first day on which tile work may start (the job's start if left out)", dateForm, func(m *room) *rooms.Date { return &m.Ready }),
		keep("temperature", "air temperature while work and cures go on (20 °C if left out)", maybe(celsiusForm), func(m *room) **float64 { return &m.celsius }),
		keep("temperatures", "what was read in the room or is forecast for it, by day", listOf(of(&temperatureObject)), func(m *room) *[]rooms.Temperature { return &m.Temperatures }),
		keep("people", "how many can work in it at once (2 if left out)", maybe(whole(1, 100, "people")), func(m *room) **int { return &m.people }),
		keep("crew", "the crew that must do it", keyForm, func(m *room) *string { return &m.Crew }),
		keep("group", "what is seen together takes tile of one lot", keyForm, func(m *room) *string { return &m.Group }),
		keep("split", "where tile may change from one lot to another in what is seen together: "+list(splits)+"; one lot if left out", word(splits...), func(m *room) *string { return &m.Split }),
		always("order", list(orders), word(orders...), func(m *room) *string { return &m.Order }),
		keep("recipe", "a recipe of the firm instead of the built-in one", keyForm, func(m *room) *string { return &m.Recipe }),
		keep("holds", "stops that others end", listOf(of(&holdObject)), func(m *room) *[]rooms.Hold { return &m.Holds }),
		keep("rectangle", "a rectangular or L-shaped room, which becomes a floor and walls", maybe(of(&rectObject)), func(m *room) **rectRoom { return &m.rectangle }),
		keep("tub_alcove", "a tub between three walls, which become tub surrounds", maybe(of(&alcoveObject)), func(m *room) **alcove { return &m.alcove }),
		keep("corner_shower", "a shower in a corner, which becomes a floor, two walls and a niche", maybe(of(&showerObject)), func(m *room) **shower { return &m.shower }),
		keep("obstacles", "what will stand on the floor and hides cuts under and behind it: a vanity, a tub, a cupboard", listOf(of(&obstacleObject)), func(m *room) *[]obstacle { return &m.obstacles }),
		keep("surfaces", "the surfaces", listOf(of(&surfaceObject)), func(m *room) *[]surface { return &m.surfaces }),
	}, usualFields(func(m *room) *usual { return &m.usual })...),
	check: checkRoom,
}

func checkRoom(r *reader, v *value, m *room) {
	m.v = v
	r.crew(v.get("crew"), m.Crew)
	r.recipe(v.get("recipe"), m.Recipe)
	checkHolds(r, v, m)
	if m.rectangle == nil && m.alcove == nil && m.shower == nil && (v.get("surfaces") == nil || v.get("surfaces").kind == nothing) {
		r.failf(v.place, "surfaces, a rectangle, a tub_alcove or a corner_shower", "room %s has no surfaces", m.Key)
	}
	checkFilled(r, v, "surfaces", "room "+m.Key)
	r.unique("holds", v.get("holds"))
}

// activities are the kinds of the built-in sequence in their order, as holds name
// them; the steps of setting walls and floor are all "set".
var activities = builtIn()

func builtIn() []string {
	var out []string
	for _, s := range scheduler.BuiltIn("") {
		kind := s.Kind
		if strings.HasPrefix(kind, "set ") {
			kind = "set"
		}
		if !slices.Contains(out, kind) {
			out = append(out, kind)
		}
	}
	return out
}

var holdObject = object[rooms.Hold]{
	name: "hold", doc: "a stop in a room's sequence that others end: a plumber, an inspection",
	fields: []field[rooms.Hold]{
		keep("key", "the hold's key", keyForm, func(h *rooms.Hold) *string { return &h.Key }).needed(),
		keep("why", "what is waited for", textForm, func(h *rooms.Hold) *string { return &h.Why }).needed(),
		keep("after", "the activity it comes after, a membrane once it has cured: "+list(activities), textForm, func(h *rooms.Hold) *string { return &h.After }),
		keep("before", "the activity that waits for it", textForm, func(h *rooms.Hold) *string { return &h.Before }),
		keep("until", "the date on which it is expected to end; work goes on with the next shift", dateForm, func(h *rooms.Hold) *rooms.Date { return &h.Until }),
		keep("lasts", "how long it lasts, such as 24h", minutesForm, func(h *rooms.Hold) *int { return &h.Minutes }),
	},
	check: func(r *reader, v *value, h *rooms.Hold) {
		if h.Before == "" {
			r.failf(v.place, "before: one of "+list(activities), "hold %s holds nothing up", h.Key)
		}
		if h.Until.IsZero() == (h.Minutes == 0) && !r.told(v.get("until")) && !r.told(v.get("lasts")) {
			r.failf(v.place, "one of until and lasts", "hold %s says both or neither of until and lasts", h.Key)
		}
	},
}
