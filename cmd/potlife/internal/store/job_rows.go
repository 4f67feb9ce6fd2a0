package store

import (
	"encoding/json"
	"time"

	"potlife/rooms"
)

type jobRow struct {
	Key       string          `db:"key"`
	Pos       int             `db:"pos"`
	Name      string          `db:"name"`
	Client    string          `db:"client"`
	Start     day             `db:"start"`
	More      json.RawMessage `db:"more"`
	ChangedAt time.Time       `db:"changed_at"`
}

var jobTable = relation[jobRow]{"jobs", []string{"key"}}

func newJobRow(pos int, j rooms.Job, now time.Time) (jobRow, error) {
	r := jobRow{Key: j.Key, Pos: pos, Name: j.Name, Client: j.Client, Start: day(j.Start), ChangedAt: now}
	j.Sites = nil
	back, err := r.job()
	if err != nil {
		return r, err
	}
	r.More, err = more(j, back)
	return r, err
}

func (r jobRow) job() (rooms.Job, error) {
	j := rooms.Job{Key: r.Key, Name: r.Name, Client: r.Client, Start: rooms.Date(r.Start)}
	return j, andMore(&j, r.More)
}

type siteRow struct {
	Job       string          `db:"job"`
	Key       string          `db:"key"`
	Pos       int             `db:"pos"`
	Name      string          `db:"name"`
	Address   string          `db:"address"`
	StorageKg float64         `db:"storage_kg"`
	More      json.RawMessage `db:"more"`
}

var siteTable = relation[siteRow]{"sites", []string{"job", "key"}}

func newSiteRow(job string, pos int, s rooms.Site) (siteRow, error) {
	r := siteRow{Job: job, Key: s.Key, Pos: pos, Name: s.Name, Address: s.Address, StorageKg: s.StorageKg}
	s.Hours, s.Rooms = nil, nil
	back, err := r.site()
	if err != nil {
		return r, err
	}
	r.More, err = more(s, back)
	return r, err
}

func (r siteRow) site() (rooms.Site, error) {
	s := rooms.Site{Key: r.Key, Name: r.Name, Address: r.Address, StorageKg: r.StorageKg}
	return s, andMore(&s, r.More)
}

type siteHoursRow struct {
	Job     string `db:"job"`
	Site    string `db:"site"`
	Pos     int    `db:"pos"`
	Weekday int    `db:"weekday"`
	Starts  int    `db:"starts"`
	Ends    int    `db:"ends"`
}

var siteHoursTable = relation[siteHoursRow]{"site_hours", []string{"job", "site", "pos"}}

type roomRow struct {
	Job     string          `db:"job"`
	Key     string          `db:"key"`
	Site    string          `db:"site"`
	Pos     int             `db:"pos"`
	Name    string          `db:"name"`
	Due     day             `db:"due"`
	Ready   day             `db:"ready"`
	Celsius float64         `db:"celsius"`
	People  int             `db:"people"`
	Crew    *string         `db:"crew"`
	Group   string          `db:"seen_group"`
	Order   string          `db:"work_order"`
	Recipe  string          `db:"recipe"`
	More    json.RawMessage `db:"more"`
}

var roomTable = relation[roomRow]{"rooms", []string{"job", "key"}}

func newRoomRow(job, site string, pos int, m rooms.Room) (roomRow, error) {
	r := roomRow{Job: job, Key: m.Key, Site: site, Pos: pos, Name: m.Name, Due: day(m.Due), Ready: day(m.Ready), Celsius: m.Celsius,
		People: m.People, Crew: orNull(m.Crew), Group: m.Group, Order: m.Order, Recipe: m.Recipe}
	m.Holds, m.Surfaces = nil, nil
	back, err := r.room()
	if err != nil {
		return r, err
	}
	r.More, err = more(m, back)
	return r, err
}

func (r roomRow) room() (rooms.Room, error) {
	m := rooms.Room{Key: r.Key, Name: r.Name, Due: rooms.Date(r.Due), Ready: rooms.Date(r.Ready), Celsius: r.Celsius,
		People: r.People, Crew: orEmpty(r.Crew), Group: r.Group, Order: r.Order, Recipe: r.Recipe}
	return m, andMore(&m, r.More)
}

type holdRow struct {
	Job     string          `db:"job"`
	Room    string          `db:"room"`
	Pos     int             `db:"pos"`
	Key     string          `db:"key"`
	Why     string          `db:"why"`
	After   string          `db:"after"`
	Before  string          `db:"before"`
	Until   day             `db:"until"`
	Minutes int             `db:"minutes"`
	More    json.RawMessage `db:"more"`
}

var holdTable = relation[holdRow]{"holds", []string{"job", "room", "pos"}}

func newHoldRow(job, room string, pos int, h rooms.Hold) (holdRow, error) {
	r := holdRow{Job: job, Room: room, Pos: pos, Key: h.Key, Why: h.Why, After: h.After, Before: h.Before,
		Until: day(h.Until), Minutes: h.Minutes}
	back, err := r.hold()
	if err != nil {
		return r, err
	}
	r.More, err = more(h, back)
	return r, err
}

func (r holdRow) hold() (rooms.Hold, error) {
	h := rooms.Hold{Key: r.Key, Why: r.Why, After: r.After, Before: r.Before, Until: rooms.Date(r.Until), Minutes: r.Minutes}
	return h, andMore(&h, r.More)
}

type surfaceRow struct {
	Job           string          `db:"job"`
	Room          string          `db:"room"`
	Key           string          `db:"key"`
	Pos           int             `db:"pos"`
	Name          string          `db:"name"`
	Kind          string          `db:"kind"`
	Outline       []int64         `db:"outline"`
	Layer         string          `db:"layer"`
	Measured      bool            `db:"measured"`
	Wet           bool            `db:"wet"`
	Deduct        []int64         `db:"deduct"`
	Ledger        bool            `db:"ledger"`
	Prepare       []string        `db:"prepare"`
	LevellerDepth int64           `db:"leveller_depth"`
	Difficulty    float64         `db:"difficulty"`
	More          json.RawMessage `db:"more"`
}

var surfaceTable = relation[surfaceRow]{"surfaces", []string{"job", "room", "key"}}

func newSurfaceRow(job, room string, pos int, s rooms.Surface) (surfaceRow, error) {
	r := surfaceRow{Job: job, Room: room, Key: s.Key, Pos: pos, Name: s.Name, Kind: s.Kind, Outline: flat(s.Outline), Layer: s.Layer,
		Measured: s.Measured, Wet: s.Wet, Ledger: s.Ledger, Prepare: s.Prepare, LevellerDepth: int64(s.LevellerDepth), Difficulty: s.Difficulty}
	for _, d := range s.Build.Deduct {
		r.Deduct = append(r.Deduct, int64(d))
	}
	s.Edges, s.Readings, s.Openings, s.Zones = nil, nil, nil, nil
	back, err := r.surface()
	if err != nil {
		return r, err
	}
	r.More, err = more(s, back)
	return r, err
}

func (r surfaceRow) surface() (rooms.Surface, error) {
	s := rooms.Surface{Key: r.Key, Name: r.Name, Kind: r.Kind, Outline: ring(r.Outline), Layer: r.Layer, Measured: r.Measured,
		Wet: r.Wet, Ledger: r.Ledger, Prepare: r.Prepare, LevellerDepth: rooms.Length(r.LevellerDepth), Difficulty: r.Difficulty}
	for _, d := range r.Deduct {
		s.Build.Deduct = append(s.Build.Deduct, rooms.Length(d))
	}
	return s, andMore(&s, r.More)
}
