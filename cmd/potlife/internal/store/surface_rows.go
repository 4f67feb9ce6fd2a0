package store

import (
	"encoding/json"

	"potlife/rooms"
)

// place is the path of a surface, in the rows of what belongs to it.
type place struct{ job, room, surface string }

type edgeRow struct {
	Job        string          `db:"job"`
	Room       string          `db:"room"`
	Surface    string          `db:"surface"`
	Pos        int             `db:"pos"`
	Meets      string          `db:"meets"`
	Gap        int64           `db:"gap"`
	GapMin     int64           `db:"gap_min"`
	GapMax     int64           `db:"gap_max"`
	Fill       string          `db:"fill"`
	Trim       *string         `db:"trim"`
	Seen       bool            `db:"seen"`
	Shared     string          `db:"shared"`
	Unmeasured bool            `db:"unmeasured"`
	More       json.RawMessage `db:"more"`
}

var edgeTable = relation[edgeRow]{"edges", []string{"job", "room", "surface", "pos"}}

func newEdgeRow(p place, pos int, e rooms.Edge) (edgeRow, error) {
	r := edgeRow{Job: p.job, Room: p.room, Surface: p.surface, Pos: pos, Meets: e.Meets, Gap: int64(e.Gap), GapMin: int64(e.GapMin),
		GapMax: int64(e.GapMax), Fill: e.Fill, Trim: orNull(e.Trim), Seen: e.Seen, Shared: e.Shared, Unmeasured: e.Unmeasured}
	back, err := r.edge()
	if err != nil {
		return r, err
	}
	r.More, err = more(e, back)
	return r, err
}

func (r edgeRow) edge() (rooms.Edge, error) {
	e := rooms.Edge{Meets: r.Meets, Gap: rooms.Length(r.Gap), GapMin: rooms.Length(r.GapMin), GapMax: rooms.Length(r.GapMax),
		Fill: r.Fill, Trim: orEmpty(r.Trim), Seen: r.Seen, Shared: r.Shared, Unmeasured: r.Unmeasured}
	return e, andMore(&e, r.More)
}

type openingRow struct {
	Job     string          `db:"job"`
	Room    string          `db:"room"`
	Surface string          `db:"surface"`
	Key     string          `db:"key"`
	Pos     int             `db:"pos"`
	Kind    string          `db:"kind"`
	Outline []int64         `db:"outline"`
	Gap     int64           `db:"gap"`
	GapMin  int64           `db:"gap_min"`
	GapMax  int64           `db:"gap_max"`
	Fill    string          `db:"fill"`
	NotYet  bool            `db:"not_yet"`
	Seen    bool            `db:"seen"`
	More    json.RawMessage `db:"more"`
}

var openingTable = relation[openingRow]{"openings", []string{"job", "room", "surface", "key"}}

func newOpeningRow(p place, pos int, o rooms.Opening) (openingRow, error) {
	r := openingRow{Job: p.job, Room: p.room, Surface: p.surface, Key: o.Key, Pos: pos, Kind: o.Kind, Outline: flat(o.Outline),
		Gap: int64(o.Gap), GapMin: int64(o.GapMin), GapMax: int64(o.GapMax), Fill: o.Fill, NotYet: o.NotYet, Seen: o.Seen}
	back, err := r.opening()
	if err != nil {
		return r, err
	}
	r.More, err = more(o, back)
	return r, err
}

func (r openingRow) opening() (rooms.Opening, error) {
	o := rooms.Opening{Key: r.Key, Kind: r.Kind, Outline: ring(r.Outline), Gap: rooms.Length(r.Gap), GapMin: rooms.Length(r.GapMin),
		GapMax: rooms.Length(r.GapMax), Fill: r.Fill, NotYet: r.NotYet, Seen: r.Seen}
	return o, andMore(&o, r.More)
}

type zoneRow struct {
	Job        string          `db:"job"`
	Room       string          `db:"room"`
	Surface    string          `db:"surface"`
	Key        string          `db:"key"`
	Pos        int             `db:"pos"`
	Region     []int64         `db:"region"`
	Tile       *string         `db:"tile"`
	Mortar     *string         `db:"mortar"`
	Grout      *string         `db:"grout"`
	Sealant    *string         `db:"sealant"`
	Pattern    string          `db:"pattern"`
	Turn       int             `db:"turn"`
	Joint      int64           `db:"joint"`
	Across     string          `db:"across"`
	Up         string          `db:"up"`
	DatumX     int64           `db:"datum_x"`
	DatumY     int64           `db:"datum_y"`
	Sideways   bool            `db:"sideways"`
	BackButter bool            `db:"back_butter"`
	More       json.RawMessage `db:"more"`
}

var zoneTable = relation[zoneRow]{"zones", []string{"job", "room", "surface", "key"}}

func newZoneRow(p place, pos int, z rooms.Zone) (zoneRow, error) {
	r := zoneRow{Job: p.job, Room: p.room, Surface: p.surface, Key: z.Key, Pos: pos, Region: flat(z.Region), Tile: orNull(z.Tile),
		Mortar: orNull(z.Mortar), Grout: orNull(z.Grout), Sealant: orNull(z.Sealant), Pattern: z.Pattern, Turn: z.Turn,
		Joint: int64(z.Joint), Across: z.Datum.Across, Up: z.Datum.Up, DatumX: int64(z.Datum.X), DatumY: int64(z.Datum.Y),
		Sideways: z.Sideways, BackButter: z.BackButter}
	back, err := r.zone()
	if err != nil {
		return r, err
	}
	r.More, err = more(z, back)
	return r, err
}

func (r zoneRow) zone() (rooms.Zone, error) {
	z := rooms.Zone{Key: r.Key, Region: ring(r.Region), Tile: orEmpty(r.Tile), Mortar: orEmpty(r.Mortar), Grout: orEmpty(r.Grout),
		Sealant: orEmpty(r.Sealant), Pattern: r.Pattern, Turn: r.Turn, Joint: rooms.Length(r.Joint), Sideways: r.Sideways,
		Datum:      rooms.Datum{Across: r.Across, Up: r.Up, X: rooms.Length(r.DatumX), Y: rooms.Length(r.DatumY)},
		BackButter: r.BackButter}
	return z, andMore(&z, r.More)
}

type readingRow struct {
	Job       string          `db:"job"`
	Room      string          `db:"room"`
	Surface   string          `db:"surface"`
	Pos       int             `db:"pos"`
	Edge      int             `db:"edge"`
	At        int64           `db:"at"`
	Deviation int64           `db:"deviation"`
	Layer     string          `db:"layer"`
	Note      string          `db:"note"`
	More      json.RawMessage `db:"more"`
}

var readingTable = relation[readingRow]{"readings", []string{"job", "room", "surface", "pos"}}

func newReadingRow(p place, pos int, m rooms.Reading) (readingRow, error) {
	r := readingRow{Job: p.job, Room: p.room, Surface: p.surface, Pos: pos, Edge: m.Edge, At: int64(m.At),
		Deviation: int64(m.Deviation), Layer: m.Layer, Note: m.Note}
	back, err := r.reading()
	if err != nil {
		return r, err
	}
	r.More, err = more(m, back)
	return r, err
}

func (r readingRow) reading() (rooms.Reading, error) {
	m := rooms.Reading{Edge: r.Edge, At: rooms.Length(r.At), Deviation: rooms.Length(r.Deviation), Layer: r.Layer, Note: r.Note}
	return m, andMore(&m, r.More)
}
