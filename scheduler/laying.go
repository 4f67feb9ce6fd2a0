package scheduler

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"
	"sync"

	"potlife/rooms"
	"potlife/takeoff"
)

// withDefaults copies jobs down to the rooms and fills in how many people a
// room holds.
func withDefaults(in []rooms.Job) []rooms.Job {
	return withRooms(in, func(_ string, room *rooms.Room) {
		if room.People <= 0 {
			room.People = 2 // common practice: two in a bathroom
		}
		if room.Order == FloorBeforeLowWalls {
			overFloor(room)
		}
	})
}

// overFloor lets the walls of a room begin with their second course: the bottom
// course is set when the floor is in, and cut to what is measured over it.
func overFloor(room *rooms.Room) {
	room.Surfaces = slices.Clone(room.Surfaces)
	for i := range room.Surfaces {
		s := &room.Surfaces[i]
		if s.Kind != rooms.Wall && s.Kind != rooms.TubSurround {
			continue
		}
		s.Edges = slices.Clone(s.Edges)
		for k := range s.Edges {
			if s.Edges[k].Meets == rooms.AtFloor {
				s.Ledger, s.Edges[k].Unmeasured = true, true
			}
		}
	}
}

// layAll lays out every room, or takes its layouts over where nothing that they
// depend on has changed. Rooms are laid out side by side and taken in order, so
// that the number of processors decides nothing.
func (m *maker) layAll() error {
	for j := range m.jobs {
		job := &m.jobs[j]
		for s := range job.Sites {
			for r := range job.Sites[s].Rooms {
				m.rooms = append(m.rooms, m.roomWork(job, &job.Sites[s], &job.Sites[s].Rooms[r]))
			}
		}
	}
	m.ofAllRooms = sync.OnceValues(m.encodeProducts)
	laid, failed := make([][]takeoff.Layout, len(m.rooms)), make([]error, len(m.rooms))
	digests := make([]string, len(m.rooms))
	takeoff.Each(len(m.rooms), 1, func(i int) { laid[i], digests[i], failed[i] = m.layRoom(m.rooms[i]) })
	for i, w := range m.rooms {
		if failed[i] != nil {
			return failed[i]
		}
		m.digests[w.key] = digests[i]
		m.layouts = append(m.layouts, m.fullKeys(w, laid[i])...)
	}
	return nil
}

// layRoom lays out one room, unless the plan in force has it as it is.
func (m *maker) layRoom(w *roomWork) ([]takeoff.Layout, string, error) {
	digest, err := m.digest(w)
	if err != nil {
		return nil, "", err
	}
	if m.in.Prior != nil && m.in.Prior.Digests[w.key] == digest && len(m.known[w.key]) > 0 {
		return m.known[w.key], digest, nil
	}
	got, err := m.layOut(takeoff.RoomToLay{Job: w.job, Site: w.site, Room: *w.room,
		Tiles: m.tiles, Products: m.products, Locks: m.kept.locks, Imperial: m.in.Firm.Units == "imperial", Taper: m.limits.Taper,
		Standard: m.standard(w), Patterns: m.in.Firm.OwnPatterns()})
	if err != nil {
		return nil, "", err
	}
	return got, digest, m.leaveOut(w, got)
}

// leaveOut marks what the room's surfaces leave out on purpose.
func (m *maker) leaveOut(w *roomWork, got []takeoff.Layout) error {
	for i := range w.room.Surfaces {
		s := &w.room.Surfaces[i]
		for k := range got {
			if got[k].Surface != s.Key && got[k].Surface != w.key+"/"+s.Key || len(s.LeftOut) == 0 {
				continue
			}
			if err := leaveOut(s, &got[k]); err != nil {
				return fmt.Errorf("%w: %w", ErrInput, err)
			}
		}
	}
	return nil
}

// standard is the job's, or the firm's.
func (m *maker) standard(w *roomWork) string { return cmp.Or(w.standard, m.in.Firm.Catalogue.Movement) }

// digest is of all that the layout of a room depends on.
func (m *maker) digest(w *roomWork) (string, error) {
	room := w.room
	h := sha256.New()
	enc := json.NewEncoder(h)
	encode := func(list ...any) error {
		for _, v := range list {
			if err := enc.Encode(v); err != nil {
				return fmt.Errorf("%w: room %s: %w", ErrInput, room.Key, err)
			}
		}
		return nil
	}
	if err := encode(m.in.Firm.Units, m.tilesFor(room)); err != nil {
		return "", err
	}
	common, err := m.ofAllRooms()
	if err != nil {
		return "", err
	}
	h.Write(common)
	if err := encode(m.standard(w), m.limits.Taper, room.Key, room.Order, room.Surfaces); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)[:16]), nil
}

// encodeProducts writes down what the layouts of all rooms depend on alike.
func (m *maker) encodeProducts() ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	for _, v := range []any{m.in.Firm.Catalogue.Products, m.in.Firm.Patterns} {
		if err := enc.Encode(v); err != nil {
			return nil, fmt.Errorf("%w: products and patterns: %w", ErrInput, err)
		}
	}
	return b.Bytes(), nil
}

// fullKeys gives layouts the keys they have in a plan, an empty layout to each
// surface that has no tile, and puts back what is set already.
func (m *maker) fullKeys(w *roomWork, got []takeoff.Layout) []takeoff.Layout {
	var out []takeoff.Layout
	for i := range w.room.Surfaces {
		s := &w.room.Surfaces[i]
		key := w.key + "/" + s.Key
		l := takeoff.Layout{Outline: rooms.Polygon{Outer: s.Outline}}
		for _, o := range s.Openings {
			l.Openings = append(l.Openings, takeoff.LaidOpening{Key: o.Key, Outline: rooms.Polygon{Outer: o.Outline}})
		}
		for _, g := range got {
			if g.Surface == s.Key || g.Surface == key {
				l = g
			}
		}
		l.Job, l.Site, l.Room, l.Surface = w.job, w.site, w.key, key
		m.kept.restore(s, &l, m.prior[key])
		out = append(out, l)
	}
	return out
}

func newSurfaceWork(key string, src *rooms.Surface, l *takeoff.Layout) *surfaceWork {
	f := &surfaceWork{key: key, src: src, layout: l, m2: polygonMM2(l.Outline) / 1e6}
	for _, o := range l.Openings {
		f.m2 -= polygonMM2(o.Outline) / 1e6
	}
	f.m2 = max(0, f.m2)
	for _, z := range l.Zones {
		f.pieces += len(z.Pieces)
	}
	return f
}
