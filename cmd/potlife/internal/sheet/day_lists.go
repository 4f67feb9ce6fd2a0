package sheet

import (
	"fmt"
	"sort"
	"strconv"
	"strings"
	"time"

	"potlife/cmd/potlife/internal/plandoc"
)

const rfc = time.RFC3339

func minutes(m float64) time.Duration { return time.Duration(m * float64(time.Minute)) }

// drawings collects the surfaces of the day in the order in which they are
// first worked on.
func (d *Day) drawings(areas []*plandoc.Area) {
	at := map[string]int{}
	second := map[string]bool{}
	first := map[string]*plandoc.Piece{}
	for i, a := range areas {
		for _, id := range a.Pieces {
			s := d.x.PieceAt[id]
			if s == nil || !drawable(s.Outline) {
				continue
			}
			second[id] = i%2 == 1
			if first[s.Key] == nil {
				first[s.Key] = d.x.Pieces[id]
			}
			k, ok := at[s.Key]
			if !ok {
				k, at[s.Key] = len(d.Drawings), len(d.Drawings)
				d.Drawings = append(d.Drawings, Drawing{Surface: s.Key})
			}
			if letter := areaLetter(i); !contains(d.Drawings[k].Areas, letter) {
				d.Drawings[k].Areas = append(d.Drawings[k].Areas, letter)
			}
		}
	}
	for i := range d.Drawings {
		s := d.x.Surfaces[d.Drawings[i].Surface]
		p := &picture{x: d.x, w: d.w, surface: s, state: d.states(s, d.w.Time(areas[0].Start)), number: d.number, second: second, first: first[s.Key]}
		d.Drawings[i].picture, d.Drawings[i].Title = p, p.title()
	}
}

// states says of every piece of a surface whether it is up when the day
// begins, set on the day, or later.
func (d *Day) states(s *plandoc.Surface, begin time.Time) map[string]state {
	st := map[string]state{}
	for _, z := range s.Zones {
		for _, p := range z.Pieces {
			st[p.ID] = setOn
			if d.number[p.ID] > 0 {
				st[p.ID] = setNow
			} else if a := d.x.Areas[p.Area]; a != nil && !d.w.Time(a.Finish).After(begin) {
				st[p.ID] = setYet
			}
		}
	}
	return st
}

// toolOrder is the order of benches: what is quickest to set up first.
var toolOrder = map[string]int{"score and snap": 1, "wet saw": 2, "hole saw": 3, "grinder": 4}

// cuts groups the cut list by tool and keeps the sheet's order of settings.
func (d *Day) cuts() {
	at := map[string]int{}
	for _, g := range d.sheet.Cuts {
		k, ok := at[g.Tool]
		if !ok {
			k, at[g.Tool] = len(d.Cuts), len(d.Cuts)
			d.Cuts = append(d.Cuts, Bench{Tool: g.Tool})
		}
		s := Setting{Shape: g.Shape, Tile: d.x.ProductName(g.Tile), Count: len(g.Pieces), Pieces: g.Pieces, From: g.From, Ahead: g.Ahead, Edges: d.edgesOf(&g), Dry: !g.Ahead && wetTool[g.Tool]}
		if g.Size != nil {
			mm := float64(*g.Size)
			s.SizeMM, s.Size = &mm, d.w.Cut(*g.Size)
		}
		for _, id := range g.Pieces {
			s.Names = append(s.Names, d.cutName(id))
		}
		s.parts, s.plain = d.byEdge(&g), d.cutNames(g.Pieces)
		s.Text = namesText(s.parts, func(edge string) string { return edge })
		d.Cuts[k].Settings = append(d.Cuts[k].Settings, s)
	}
	sort.SliceStable(d.Cuts, func(i, j int) bool { return toolRank(d.Cuts[i].Tool) < toolRank(d.Cuts[j].Tool) })
}

// wetTool are the tools that run with water: what they cut dries before it is set.
var wetTool = map[string]bool{"wet saw": true, "hole saw": true}

func toolRank(tool string) int {
	if r := toolOrder[tool]; r > 0 {
		return r
	}
	return len(toolOrder) + 1
}

// cutNames draws names together: numbers as ranges, labels under their surface.
func (d *Day) cutNames(ids []string) string {
	var plainNumbers []int
	var out, labels []string
	place := ""
	flush := func() {
		if len(labels) > 0 {
			out = append(out, place+" "+strings.Join(labels, " "))
		}
		labels = nil
	}
	for _, id := range ids {
		name, p := d.cutName(id), d.x.Pieces[id]
		switch n := d.number[id]; {
		case n > 0 && name == strconv.Itoa(n):
			plainNumbers = append(plainNumbers, n)
		case n > 0 || p == nil:
			out = append(out, name)
		default:
			surface := d.surfaceText(d.x.PieceAt[id])
			if surface != place {
				flush()
				place = surface
			}
			labels = append(labels, strings.TrimPrefix(name, surface+" "))
		}
	}
	flush()
	if len(plainNumbers) > 0 {
		out = append([]string{ranges(plainNumbers)}, out...)
	}
	return strings.Join(out, "; ")
}

// cutName names a piece in the cut list, with the tile it is an offcut of.
func (d *Day) cutName(id string) string {
	name := d.pieceName(id)
	p := d.x.Pieces[id]
	if p == nil {
		return name
	}
	st := d.x.Stock[p.Stock]
	if mark := d.fetched[p.Stock]; mark != "" {
		return name + " (from offcut " + mark + ")"
	}
	if st != nil && len(st.Pieces) > 1 && st.Pieces[0].Piece != id {
		first := st.Pieces[0].Piece
		from := d.pieceName(first)
		if q := d.x.Pieces[first]; q != nil && d.number[id] == 0 && d.number[first] == 0 && d.x.PieceAt[first] == d.x.PieceAt[id] {
			from = q.Label
		}
		name += " (offcut of " + from + ")"
	}
	return name
}

// pieceName is the number of a piece on the sheet, or its label and surface,
// with the room where the sheet speaks of several.
func (d *Day) pieceName(id string) string {
	if n := d.number[id]; n > 0 {
		return strconv.Itoa(n)
	}
	p := d.x.Pieces[id]
	if p == nil {
		return id
	}
	return d.surfaceText(d.x.PieceAt[id]) + " " + p.Label
}

func (d *Day) surfaceText(s *plandoc.Surface) string {
	if d.severalRooms {
		return d.x.RoomName(s.Room) + " " + d.x.SurfaceName(s.Key)
	}
	return d.x.SurfaceName(s.Key)
}

// countRooms says whether the pieces the sheet names lie in several rooms.
func (d *Day) countRooms() {
	room := ""
	look := func(id string) {
		if s := d.x.PieceAt[id]; s != nil {
			d.severalRooms = d.severalRooms || room != "" && room != s.Room
			room = s.Room
		}
	}
	for id := range d.number {
		look(id)
	}
	for _, g := range d.sheet.Cuts {
		for _, id := range g.Pieces {
			look(id)
			if p := d.x.Pieces[id]; p != nil {
				if st := d.x.Stock[p.Stock]; st != nil && len(st.Pieces) > 0 {
					look(st.Pieces[0].Piece)
				}
			}
		}
	}
}

func (d *Day) expects() {
	for _, id := range d.sheet.OnSite {
		p := d.x.Pieces[id]
		if p == nil {
			continue
		}
		e := Expect{Piece: id, Name: d.pieceName(id), Where: d.x.RoomName(d.x.PieceAt[id].Room) + ", " + d.x.SurfaceName(d.x.PieceAt[id].Key), Why: p.OnSiteWhy}
		var sizes []string
		for _, c := range p.Cuts {
			switch {
			case c.Size != nil && sideKnown(c.Side):
				sizes = append(sizes, c.Side+" ≈ "+d.w.Cut(*c.Size))
			case c.Size != nil:
				sizes = append(sizes, "≈ "+d.w.Cut(*c.Size))
			case c.Shape != "":
				sizes = append(sizes, c.Shape)
			}
		}
		e.Size = strings.Join(sizes, ", ")
		d.OnSite = append(d.OnSite, e)
	}
}

func (d *Day) carry() {
	total := 0.0
	for _, c := range d.sheet.Carry {
		l := Load{Name: d.x.ProductName(c.Product), Amount: d.w.Quantity(c.Quantity, c.Unit)}
		if c.Lot != nil {
			l.Lot = *c.Lot
		}
		if c.Kg > 0 {
			l.Mass = d.w.Mass(c.Kg)
		}
		total += c.Kg
		d.Carry = append(d.Carry, l)
	}
	if total > 0 {
		d.CarryKg = d.w.Mass(total)
	}
	d.Carry = append(d.Carry, d.fetch...)
	var saws []string
	for _, b := range d.Cuts {
		if name := bladeFor[b.Tool]; name != "" {
			saws = append(saws, name)
		}
	}
	if len(saws) > 0 {
		d.Carry = append(d.Carry, Load{Name: strings.Join(saws, "; "), Amount: "saws"})
	}
}

// bladeFor is what a tool of the cut list wants to have in good order; common
// practice.
var bladeFor = map[string]string{
	"score and snap": "snap cutter",
	"wet saw":        "wet saw and blade",
	"grinder":        "grinder, shroud, disc",
	"hole saw":       "hole saws",
}

func (d *Day) waits() {
	for _, w := range d.sheet.Waits {
		until := d.w.Clock(w.Until)
		if d.w.DateOf(w.Until) != d.Date {
			until = d.w.DayClock(w.Until)
		}
		d.Waits = append(d.Waits, fmt.Sprintf("%s until %s: %s", d.x.RoomName(w.Room), until, w.Why))
	}
}

// cautions takes the plan's cautions, the one that says who decides apart.
func (d *Day) cautions() {
	for _, c := range d.sheet.Cautions {
		if strings.HasPrefix(c, "Local codes") {
			d.Rule = c
			continue
		}
		d.Cautions = append(d.Cautions, c)
	}
	if len(d.Cautions) == 0 {
		d.Cautions = d.usualCautions()
	}
}

// usualCautions are the usual cautions for the day's kinds of work, where the
// plan brings none of its own.
func (d *Day) usualCautions() []string {
	kinds := map[string]bool{}
	for _, it := range d.Items {
		kinds[it.Kind] = true
	}
	var out []string
	if len(d.Cuts) > 0 || kinds["prepare"] || kinds["board"] {
		out = append(out, "Cutting and grinding tile or board frees silica dust: cut wet or with extraction, wear a fitting mask, do not sweep dry, do not let slurry dry.")
		out = append(out, "Eyes and ears protected at saw and cutter; cut edges and broken tile are sharp.")
	}
	if kinds["set"] || kinds["grout"] || kinds["level"] {
		out = append(out, "Wet cement burns: gloves, no wet knees, rinse splashes at once; in the eye rinse long and see a doctor.")
	}
	if kinds["set"] || len(d.Cuts) > 0 {
		out = append(out, "Power near water: saws and mixers on a residual-current device, leads off the wet floor.")
	}
	if kinds["membrane"] || kinds["prime"] || kinds["seal"] {
		out = append(out, "Primers, membranes and sealants: air the room, keep flames away, read the safety data sheet.")
	}
	if kinds["prepare"] {
		out = append(out, "Old floors, adhesives and boards may hold asbestos or lead paint: stop and have them tested before you break or grind anything.")
	}
	if d.CarryKg != "" {
		out = append(out, "Lifting: "+d.CarryKg+" go into the room in all; split loads, use the cart, two to a large tile.")
	}
	return out
}
