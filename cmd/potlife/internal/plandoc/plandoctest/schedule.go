package plandoctest

import (
	"fmt"

	"potlife/cmd/potlife/internal/plandoc"
)

// schedule sets the wall on the first day in two areas, the floor on the
// second, and grouts on the third.
func schedule(d *plandoc.Document) {
	w, f := d.Surfaces[0].Zones[0].Pieces, d.Surfaces[1].Zones[0].Pieces
	lower, upper, bottom := split(w)
	a1 := area("A1", "set-wall", Wall, CrewA, Day, "08:00", "10:30", lower, 7.2)
	a2 := area("A2", "set-wall", Wall, CrewA, Day, "10:45", "14:30", upper, 6.1)
	a3 := area("A3", "set-floor", Floor, CrewB, "2026-03-05", "08:00", "11:00", ids(f), 3.4)
	a4 := area("A4", "set-foot", Wall, CrewA, "2026-03-05", "08:00", "09:00", bottom, 0.7)
	d.Areas = []plandoc.Area{a1, a2, a3, a4}
	for i := range d.Areas {
		for _, id := range d.Areas[i].Pieces {
			setArea(d, id, d.Areas[i].ID)
		}
	}
	act := func(id, kind, title, crew, day, from, to string, surfaces ...string) plandoc.Activity {
		a := plandoc.Activity{ID: id, Room: Room, Surfaces: surfaces, Kind: kind, Title: title, Start: at(day, from), Finish: at(day, to),
			Work: []plandoc.Span{{at(day, from), at(day, to)}}, After: []plandoc.After{}, State: "planned"}
		if crew != "" {
			a.Crew, a.Setters = &crew, 1
		}
		return a
	}
	read := act("prep", "prepare", "prepare north wall", CrewA, Day, "07:30", "08:00", Wall)
	read.Notes = []string{"flat within 3 mm under 2 m", "mark the level line at 292 mm"}
	set := act("set-wall", "set", "set north wall", CrewA, Day, "08:00", "14:30", Wall)
	set.Products = []plandoc.Use{{Product: "flex", Quantity: 19.5, Unit: "kg"}}
	set.Notes = []string{"ledger under course 1"}
	set.Critical = true
	set.After = []plandoc.After{{Activity: "prep", LeastMinutes: 0, Clock: "elapsed", Why: "prepared"}}
	foot := act("set-foot", "set", "set course 0 of north wall", CrewA, "2026-03-05", "08:00", "09:00", Wall)
	floor := act("set-floor", "set", "set floor", CrewB, "2026-03-05", "08:00", "11:00", Floor)
	cure := act("cure", "hold", "mortar cures", "", "2026-03-05", "11:00", "11:30", Floor)
	grout := act("grout", "grout", "grout walls and floor", CrewA, "2026-03-06", "11:00", "14:00", Wall, Floor)
	over := act("over", "hand over", "hand over the bathroom", CrewA, "2026-03-06", "14:30", "15:00")
	read.CriticalShare = 0.85
	d.Activities = []plandoc.Activity{read, set, foot, floor, cure, grout, over}
	d.Mixes = append(feed("M", CrewA, "set-wall", d.Areas[:2]), feed("N", CrewB, "set-floor", d.Areas[2:3])...)
	d.Mixes = append(d.Mixes, feed("P", CrewA, "set-foot", d.Areas[3:4])...)
	d.Mixes = append(d.Mixes, plandoc.Mix{ID: "G1", Crew: CrewA, Product: "grey", Kg: 2.5, WaterL: 0.7, Start: at("2026-03-06", "11:00"), UseBy: ptr(at("2026-03-06", "11:40")), PotMinutes: ptr(40.0), Activity: "grout", Patches: []plandoc.MixPatch{}, Also: []plandoc.MixWork{}})
	sheets(d)
}

// split parts the wall into the field over the ledger in two halves and the
// course under it.
func split(pieces []plandoc.Piece) (lower, upper, bottom []string) {
	for _, p := range pieces {
		switch {
		case p.Course == 0:
			bottom = append(bottom, p.ID)
		case p.Course <= 3:
			lower = append(lower, p.ID)
		default:
			upper = append(upper, p.ID)
		}
	}
	return lower, upper, bottom
}

func ids(pieces []plandoc.Piece) []string {
	var out []string
	for _, p := range pieces {
		out = append(out, p.ID)
	}
	return out
}

func setArea(d *plandoc.Document, id, area string) {
	for i := range d.Surfaces {
		for j := range d.Surfaces[i].Zones {
			for k := range d.Surfaces[i].Zones[j].Pieces {
				if p := &d.Surfaces[i].Zones[j].Pieces[k]; p.ID == id {
					p.Area = area
				}
			}
		}
	}
}

// area spreads patches of six pieces, 25 minutes apart.
func area(id, activity, surface, crew, day, from, to string, pieces []string, m2 float64) plandoc.Area {
	a := plandoc.Area{ID: id, Activity: activity, Surfaces: []string{surface}, Crew: crew, Start: at(day, from), Finish: at(day, to), OpenMinutes: 21, LimitsFrom: "data sheet",
		Mortar: ptr("flex"), KgPerM2: 3.2, GroutAfterMinutes: 1440, Pieces: pieces, M2: m2, Kg: m2 * 3.2, StopAt: "end of a course"}
	var h, m int
	fmt.Sscanf(from, "%d:%d", &h, &m)
	for i := 0; i < len(pieces); i += 6 {
		t := h*60 + m + i/6*25
		end := min(i+6, len(pieces))
		a.Patches = append(a.Patches, plandoc.Patch{Pieces: pieces[i:end], Start: clock(day, t), SetBy: clock(day, t+20), M2: m2 * float64(end-i) / float64(len(pieces))})
	}
	return a
}

func clock(day string, m int) string { return at(day, fmt.Sprintf("%02d:%02d", m/60, m%60)) }

// feed mixes a bucket for every two patches.
func feed(name, crew, activity string, areas []plandoc.Area) []plandoc.Mix {
	var out []plandoc.Mix
	for _, a := range areas {
		for i := 0; i < len(a.Patches); i += 2 {
			m := plandoc.Mix{ID: fmt.Sprintf("%s%d", name, len(out)+1), Crew: crew, Product: "flex", Kg: 5, WaterL: 1.4, Start: a.Patches[i].Start, Activity: activity, Also: []plandoc.MixWork{},
				UseBy: ptr(a.Patches[min(i+1, len(a.Patches)-1)].SetBy), PotMinutes: ptr(120.0)}
			for k := i; k < min(i+2, len(a.Patches)); k++ {
				m.Patches = append(m.Patches, plandoc.MixPatch{Area: a.ID, Index: k})
			}
			out = append(out, m)
		}
	}
	return out
}

func sheets(d *plandoc.Document) {
	one := plandoc.Sheet{Date: Day, Crew: CrewA, Activities: []string{"prep", "set-wall"}, Areas: []string{"A1", "A2"}, Cuts: cutList(d, "sand-60"), OnSite: []string{},
		Carry:    []plandoc.Carry{{Product: "sand-60", Lot: ptr("K12"), Quantity: 5, Unit: "box", Kg: 110}, {Product: "flex", Quantity: 1, Unit: "bag", Kg: 20}},
		Waits:    []plandoc.Wait{{Room: Room, Until: at("2026-03-05", "14:30"), Why: "mortar of the north wall before grout"}},
		Read:     []string{"width of the north wall at the foot and at the head"},
		Cautions: []string{"Cutting frees silica dust: cut wet, wear a fitting mask.", "Boxes weigh 22 kg: two hands, straight back."},
		Saving:   "15 cuts, 3 settings"}
	two := plandoc.Sheet{Date: "2026-03-05", Crew: CrewA, Activities: []string{"set-foot"}, Areas: []string{"A4"}, Cuts: []plandoc.CutGroup{}, OnSite: []string{}, Carry: []plandoc.Carry{}, Waits: []plandoc.Wait{}}
	floor := plandoc.Sheet{Date: "2026-03-05", Crew: CrewB, Activities: []string{"set-floor"}, Areas: []string{"A3"}, Cuts: cutList(d, "slate-30"), OnSite: []string{Floor + "/all/4.7"}, Carry: []plandoc.Carry{{Product: "slate-30", Quantity: 4, Unit: "box", Kg: 72}}, Waits: []plandoc.Wait{}}
	last := plandoc.Sheet{Date: "2026-03-06", Crew: CrewA, Activities: []string{"grout", "over"}, Areas: []string{}, Cuts: []plandoc.CutGroup{}, OnSite: []string{}, Carry: []plandoc.Carry{{Product: "grey", Quantity: 1, Unit: "bag", Kg: 5}}, Waits: []plandoc.Wait{}}
	d.Sheets = []plandoc.Sheet{one, two, floor, last}
}

// cutList groups the cuts of a tile by size, in order of size; those on site
// are left out.
func cutList(d *plandoc.Document, tile string) []plandoc.CutGroup {
	var out []plandoc.CutGroup
	for _, s := range d.Surfaces {
		for _, p := range s.Zones[0].Pieces {
			for _, c := range p.Cuts {
				if p.Tile != tile || p.OnSite {
					continue
				}
				k := -1
				for i := range out {
					if out[i].Tool == c.Tool && out[i].Shape == c.Shape && (c.Size == nil || out[i].Size != nil && *out[i].Size == *c.Size) {
						k = i
					}
				}
				if k < 0 {
					k = len(out)
					out = append(out, plandoc.CutGroup{Tile: tile, Tool: c.Tool, Size: c.Size, Shape: c.Shape})
				}
				out[k].Pieces = append(out[k].Pieces, p.ID)
				out[k].From = append(out[k].From, p.Stock)
			}
		}
	}
	return out
}

// buy makes stock, takeoff, materials and the order.
func buy(d *plandoc.Document) {
	for _, s := range d.Surfaces {
		for _, p := range s.Zones[0].Pieces {
			lot := ptr("K12")
			if p.Tile != "sand-60" {
				lot = nil
			}
			d.Stock = append(d.Stock, plandoc.Stock{ID: p.Stock, Tile: p.Tile, Lot: lot, Pieces: []plandoc.StockPiece{{Piece: p.ID, Polygon: p.Polygon}}})
		}
	}
	d.Takeoff = []plandoc.Takeoff{
		{Tile: "sand-60", Group: "bath", Rooms: []string{Room}, Lot: ptr("K12"), Pieces: 33, Full: 12, Cut: 21, Stock: 30, StockBound: 29, Spares: 2, Attic: 2, Quantity: 34, FlatQuantity: 37, Boxes: 6, How: "30 + 2 + 2 tiles, 6 to the box"},
		{Tile: "slate-30", Group: "bath", Rooms: []string{Room}, Pieces: 40, Full: 27, Cut: 13, Stock: 40, StockBound: 40, Spares: 2, Attic: 2, Quantity: 44, FlatQuantity: 44, Boxes: 4, How: "40 + 2 + 2 tiles, 11 to the box"},
	}
	d.Materials = []plandoc.Material{{Product: "flex", Kind: "mortar", Unit: "kg", Net: 50.1, Quantity: 60, Packages: 3, PackageSize: 20, Surfaces: []string{Wall, Floor}, How: "3.2 kg/m² × 8.4 m², 10 % margin"}}
	d.Orders = []plandoc.Order{{Key: Order, Supplier: "kiln", OrderBy: "2026-02-25", Delivery: "2026-03-03", Ready: "2026-03-05", NeedBy: "2026-03-05", Currency: "EUR", Total: money("291.40"), Late: true, Rooms: []string{Room},
		Lines: []plandoc.OrderLine{
			{Product: ptr("slate-30"), Quantity: 4, Unit: "box", UnitPrice: money("52.10"), Amount: money("208.40"), Text: "Slate 300 × 300, one lot, one calibre", NeedBy: "2026-03-05"},
			{Product: ptr("flex"), Quantity: 1, Unit: "bag", UnitPrice: money("38.00"), Amount: money("38.00"), Text: "=Flex wall mortar", NeedBy: "2026-03-04"},
			{Quantity: 1, Unit: "delivery", UnitPrice: money("45.00"), Amount: money("45.00"), Text: "freight"},
		}}}
	d.Offcuts = []plandoc.Offcut{
		{Stock: "S01", Tile: "sand-60", Lot: ptr("K12"), Width: 120, Height: 400, Factory: []string{"left"}},
		{Stock: "S02", Tile: "sand-60", Lot: ptr("K12"), Width: 400, Height: 120, Factory: []string{"top"}},
		{Stock: "S03", Tile: "sand-60", Lot: ptr("K12"), Width: 50, Height: 80, Factory: []string{}},
	}
	d.Counts = []plandoc.Count{
		{Level: "surface", Key: Wall, Tile: "sand-60", Pieces: 30, Full: 20, Cut: 10, Stock: 26, Spares: 1, Attic: 1, Quantity: 28, Flat: 27, Boxes: 4.67, M2: 4.5},
		{Level: "room", Key: Room, Tile: "sand-60", Pieces: 30, Full: 20, Cut: 10, Stock: 26, Spares: 1, Attic: 1, Quantity: 28, Flat: 27, Boxes: 4.67, M2: 4.5},
		{Level: "group", Key: Room, Tile: "sand-60", Pieces: 30, Full: 20, Cut: 10, Stock: 26, Spares: 1, Attic: 1, Quantity: 28, Flat: 27, Boxes: 5, M2: 4.5},
		{Level: "job", Key: Job, Tile: "sand-60", Pieces: 30, Full: 20, Cut: 10, Stock: 26, Spares: 1, Attic: 1, Quantity: 28, Flat: 27, Boxes: 5, M2: 4.5},
	}
	d.Costs = []plandoc.Cost{{Room: Room, Job: Job, Tiles: money("208.40"), Products: money("38.00"), Labour: money("310.25"), Total: money("556.65"),
		SetterMinutes: 425, HelperMinutes: 240, Done: 120, Worked: 150, DoneLabour: money("80.00"), WorkedLabour: money("100.00"), TilesPlanned: 12, TilesUsed: 14}}
	d.StopSetting = []plandoc.StopSaving{{Tile: "sand-60", Cuts: 15, Settings: 3, Text: "15 cuts, 3 settings"}}
}
