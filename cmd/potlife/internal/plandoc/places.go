package plandoc

import (
	"slices"
	"strings"
)

// SeverityWord says how grave a finding is to who has to act on it.
func SeverityWord(severity string) string {
	switch severity {
	case "stop":
		return "Settle first"
	case "warn":
		return "Check"
	case "info":
		return "To know"
	}
	return severity
}

// Places names the rooms and surfaces that keys of findings lead into, each room
// once: "Bath (north, south); Hall". A key of anything else stays as it is.
func (x *Index) Places(keys []string) string {
	var names []string
	parts := map[string][]string{}
	for _, key := range keys {
		name, part := x.place(key)
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
		if part != "" && !slices.Contains(parts[name], part) {
			parts[name] = append(parts[name], part)
		}
	}
	for i, name := range names {
		switch p := parts[name]; {
		case len(p) == 1 && len(names) == 1:
			names[i] += ", " + p[0]
		case len(p) > 0:
			mark := ", "
			if strings.Contains(strings.Join(p, ""), ",") {
				mark = "; "
			}
			names[i] += " (" + strings.Join(p, mark) + ")"
		}
	}
	return strings.Join(names, "; ")
}

// place is the room that a key leads into and what of it, or what else the key
// names.
func (x *Index) place(key string) (name, part string) {
	for at := key; at != ""; at = at[:max(0, strings.LastIndexByte(at, '/'))] {
		if x.Rooms[at] != nil {
			return x.RoomName(at), part
		}
		if part == "" && x.Surfaces[at] != nil {
			part = x.SurfaceName(at)
		}
	}
	if x.Tiles[key] != nil || x.Products[key] != nil {
		return x.ProductName(key), ""
	}
	if x.Crews[key] != nil {
		return x.CrewName(key), ""
	}
	return key, ""
}
