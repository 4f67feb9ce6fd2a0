package jobfile

import (
	"strconv"

	"potlife/rooms"
)

// Write exports f as YAML with every value spelled out, so that reading it
// gives the same File. Expansions of quick forms stay expanded.
func Write(f *File) ([]byte, error) {
	c := content{firm: f.Firm}
	for _, j := range f.Jobs {
		c.jobs = append(c.jobs, writeJob(j))
	}
	e := &emitter{imperial: f.Firm != nil && f.Firm.Units == "imperial"}
	for i, in := range fileObject.write(c) {
		if i > 0 {
			e.WriteByte('\n')
		}
		e.WriteString(in.key + ":")
		e.value(in.value, "  ")
	}
	return e.Bytes(), nil
}

func writeJob(j rooms.Job) job {
	out := job{Job: j}
	for _, s := range j.Sites {
		st := site{Site: s}
		for _, m := range s.Rooms {
			st.rooms = append(st.rooms, writeRoom(m))
		}
		out.sites = append(out.sites, st)
	}
	return out
}

func writeRoom(m rooms.Room) room {
	out := room{Room: m, celsius: &m.Celsius, people: &m.People}
	for _, o := range m.Obstacles {
		out.obstacles = append(out.obstacles, obstacle{key: o.Key, name: o.Name, tall: o.Tall, region: writeRegion(o.Outline)})
	}
	for _, s := range m.Surfaces {
		out.surfaces = append(out.surfaces, writeSurface(s))
	}
	return out
}

func writeSurface(s rooms.Surface) surface {
	prepare := append([]string{}, s.Prepare...)
	out := surface{key: s.Key, name: s.Name, kind: s.Kind, layer: &s.Layer, measured: &s.Measured, wet: &s.Wet, ledger: &s.Ledger, prepare: &prepare, extras: writeExtras(s)}
	w, h, named := rectangle(s.Outline)
	if named {
		out.region = region{width: &w, height: &h}
	} else {
		out.region = region{outline: outline{ring: s.Outline}}
	}
	if s.LevellerDepth != 0 {
		out.levellerDepth = &s.LevellerDepth
	}
	if s.Difficulty != 0 {
		out.difficulty = &s.Difficulty
	}
	for i, e := range s.Edges {
		out.edges = append(out.edges, bySide[edge]{name: sideName(i, named), what: writeEdge(e)})
	}
	for i, d := range s.Build.Deduct {
		out.deduct = append(out.deduct, bySide[rooms.Length]{name: sideName(i, named), what: d})
	}
	for _, o := range s.Openings {
		out.openings = append(out.openings, writeOpening(o))
	}
	out.set.none = true
	for _, z := range s.Zones {
		out.zones = append(out.zones, writeZone(z))
		out.set.none = out.set.none && len(z.Region) > 0
	}
	for _, m := range s.Readings {
		name := "whole"
		if m.Edge >= 0 {
			name = sideName(m.Edge, named)
		}
		out.readings = append(out.readings, reading{edge: name, at: m.At, off: m.Deviation, layer: m.Layer, note: m.Note})
	}
	return out
}

func sideName(i int, named bool) string {
	if named {
		return sideNames[i]
	}
	return strconv.Itoa(i)
}

func writeZone(z rooms.Zone) zone {
	out := zone{key: z.Key, setting: setting{tile: &z.Tile, mortar: &z.Mortar, grout: &z.Grout, pattern: &z.Pattern, turn: &z.Turn, joint: &z.Joint,
		datum: &z.Datum, sideways: &z.Sideways, backButter: &z.BackButter}}
	if z.Sealant != "" {
		out.sealant = &z.Sealant
	}
	if len(z.Tiles) > 0 {
		out.tiles = &z.Tiles
	}
	if z.Trim != "" {
		out.trim = &z.Trim
	}
	if len(z.Region) > 0 {
		out.region = writeRegion(z.Region)
	}
	return out
}
