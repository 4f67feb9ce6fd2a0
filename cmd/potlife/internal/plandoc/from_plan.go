package plandoc

import (
	"encoding/json"
	"fmt"
	"math"
	"time"

	"potlife/rooms"
	"potlife/scheduler"
	"potlife/takeoff"
)

// FromPlan writes p as a document. Every list is present, empty or not, so
// that a reader never meets null where a list is due.
func FromPlan(p *scheduler.Plan) *Document { return FromPlanAfter(p, nil, nil) }

// FromPlanAfter is FromPlan for a plan that was made from another, of which there is a
// document: zones and stock tiles that the plans share are shared by their documents
// too, which must not be changed any more. was and its document may be nil.
func FromPlanAfter(p, was *scheduler.Plan, before *Document) *Document {
	w := &writer{plan: p, zone: p.Firm.Zone}
	if was != nil && before != nil && was.Firm.Units == p.Firm.Units {
		w.was, w.before = was, before
	}
	if w.zone == nil {
		w.zone = time.UTC
	}
	w.index()
	d := &Document{
		Format: Format, Zone: w.zone.String(), Currency: p.Firm.Catalogue.Currency,
		Firm: p.Firm.Name, Units: p.Firm.Units, Today: p.Today.String(), Days: someDays(p.Firm.Days),
		Hours:  w.spans(w.plan.Office),
		Finish: w.at(p.Finish), FinishBound: w.at(p.Bound),
		Travel: []Travel{}, Summary: list(p.Summary), Likely: Likely{Runs: p.Risk.Runs, Half: w.at(p.Risk.Half), Eighty: w.at(p.Risk.Eighty)},
	}
	for _, t := range p.Firm.Travel {
		d.Travel = append(d.Travel, Travel{From: t.From, To: t.To, Minutes: t.Minutes})
	}
	w.jobs(d)
	w.products(d)
	w.surfaces(d)
	w.stock(d)
	w.quantities(d)
	w.orders(d)
	w.accounts(d)
	w.crews(d)
	w.activities(d)
	w.areas(d)
	w.sheets(d)
	w.findings(d)
	if d.Units == "imperial" {
		w.speakImperial(d)
	}
	return d
}

// writer carries what the parts of a document share.
type writer struct {
	plan      *scheduler.Plan
	zone      *time.Location
	stockOf   map[string]string // piece → stock tile
	areaOf    map[string]string // piece → setting area
	hand      map[string]bool   // pieces cut from offcuts in hand
	roomDates map[string]scheduler.RoomDate
	risks     map[string]scheduler.RoomRisk

	was    *scheduler.Plan // the plan before and its document; nil: neither is known
	before *Document
	shared map[int]bool // surfaces whose zones are those of the document before
}

func (w *writer) index() {
	n := 0
	for _, a := range w.plan.Areas {
		n += len(a.Pieces)
	}
	w.stockOf, w.areaOf = make(map[string]string, n), make(map[string]string, n)
	w.roomDates = map[string]scheduler.RoomDate{}
	for _, t := range w.plan.Stock {
		for _, q := range t.Pieces {
			w.stockOf[q.Piece] = t.ID
		}
	}
	for _, a := range w.plan.Areas {
		for _, id := range a.Pieces {
			w.areaOf[id] = a.ID
		}
	}
	for _, r := range w.plan.RoomDates {
		w.roomDates[r.Room] = r
	}
	w.risks = map[string]scheduler.RoomRisk{}
	for _, r := range w.plan.Risk.Rooms {
		w.risks[r.Room] = r
	}
	w.indexHand()
}

// at prints a minute of the plan as an instant in the firm's zone.
func (w *writer) at(minute int) string {
	return w.plan.Epoch.Add(time.Duration(minute) * time.Minute).In(w.zone).Format(time.RFC3339)
}

func (w *writer) spans(in []scheduler.Interval) []Span {
	out := make([]Span, 0, len(in))
	for _, i := range in {
		out = append(out, Span{w.at(i.Start), w.at(i.End)})
	}
	return out
}

// jobs writes jobs, sites and rooms.
func (w *writer) jobs(d *Document) {
	d.Jobs, d.Sites, d.Rooms = []Job{}, []Site{}, []Room{}
	for _, j := range w.plan.Jobs {
		d.Jobs = append(d.Jobs, Job{Key: j.Key, Name: j.Name, Client: j.Client, Start: j.Start.String()})
		for _, s := range j.Sites {
			site := j.Key + "/" + s.Key
			d.Sites = append(d.Sites, Site{Key: site, Job: j.Key, Name: s.Name, Address: s.Address, Open: w.siteSpans(s.Hours), Noise: w.siteSpans(s.Noise),
				Days: openDays(&s), Attended: s.Contact != ""})
			for _, r := range s.Rooms {
				d.Rooms = append(d.Rooms, w.room(j, site, r))
			}
		}
	}
}

// siteSpans writes a site's weekly hours out; none where it names none.
func (w *writer) siteSpans(hours []rooms.DayHours) []Span {
	if len(hours) == 0 {
		return []Span{}
	}
	clock := scheduler.Clock{Epoch: w.plan.Epoch, Zone: w.zone}
	return w.spans(clock.SiteHours(rooms.Site{Hours: hours}, 0, w.plan.Horizon))
}

func (w *writer) room(j rooms.Job, site string, r rooms.Room) Room {
	key := j.Key + "/" + r.Key
	ready := r.Ready
	if ready.IsZero() {
		ready = j.Start
	}
	out := Room{Key: key, Job: j.Key, Site: site, Name: r.Name, People: r.People,
		Ready: ready.String(), Celsius: r.Celsius, Group: r.Group, Chance: 1, HeldBy: []Often{}, Temperatures: []Temperature{}}
	for _, t := range r.Temperatures {
		out.Temperatures = append(out.Temperatures, Temperature{From: t.From.String(), To: t.To.String(), Celsius: t.Celsius, Forecast: t.Forecast})
	}
	if out.Name == "" {
		out.Name = r.Key
	}
	if !r.Due.IsZero() {
		s := r.Due.String()
		out.Due = &s
	}
	if date, ok := w.roomDates[key]; ok {
		out.Finish, out.Bound = w.at(date.Finish), w.at(date.Bound)
		out.LateDays, out.Blocked = date.LateDays, date.Blocked
		out.Half, out.Eighty = out.Finish, out.Finish
	}
	if risk, ok := w.risks[key]; ok {
		out.Half, out.Eighty, out.Chance = w.at(risk.Half), w.at(risk.Eighty), math.Round(risk.Chance*1000)/1000
		for _, o := range risk.Critical {
			out.HeldBy = append(out.HeldBy, Often{o.Activity, math.Round(o.Share*1000) / 1000})
		}
	}
	return out
}

// products writes tiles, other products and suppliers.
func (w *writer) products(d *Document) {
	c := w.plan.Firm.Catalogue
	d.Tiles, d.Products, d.Suppliers = []Tile{}, []Product{}, []Supplier{}
	for _, t := range c.Tiles {
		x := Tile{Key: t.Key, Name: t.Name, Shape: points(t.Shape), Thickness: mm(t.Thickness),
			PerBox: t.PerBox, Material: t.Material, Supplier: t.Supplier, BoxKg: t.BoxKg}
		if bow := mm(t.Warpage); t.Warpage > 0 {
			x.Warpage = &bow
		}
		d.Tiles = append(d.Tiles, x)
	}
	w.handTiles(d)
	for _, p := range c.Products {
		d.Products = append(d.Products, Product{Key: p.Key, Name: p.Name, Kind: p.Kind, Unit: p.Unit,
			Package: p.Package, PackageSize: p.PackageSize, Content: p.Holds(), MinCelsius: given(p.Sheet.MinCelsius), MaxCelsius: given(p.Sheet.MaxCelsius)})
	}
	for _, s := range c.Suppliers {
		d.Suppliers = append(d.Suppliers, Supplier{Key: s.Key, Name: s.Name, Email: s.Email, Days: daysOf(s.Days), LeadDays: s.LeadDays, Unattended: s.Unattended})
	}
}

// given is a figure of a data sheet, nil where it is silent.
func given(v float64) *float64 {
	if v == 0 {
		return nil
	}
	return &v
}

// offcuts writes what is left of the stock tiles.
func (w *writer) offcuts(d *Document) {
	d.Offcuts = []Offcut{}
	for _, o := range w.plan.Offcuts {
		left := Offcut{Stock: o.Stock, Tile: o.Tile, Lot: optional(o.Lot), Width: mm(o.Box.Width()), Height: mm(o.Box.Height()), Factory: []string{}}
		for _, side := range []struct {
			own  bool
			name string
		}{{o.Left, "left"}, {o.Bottom, "bottom"}, {o.Right, "right"}, {o.Top, "top"}} {
			if side.own {
				left.Factory = append(left.Factory, side.name)
			}
		}
		d.Offcuts = append(d.Offcuts, left)
	}
}

// earlierStock finds what the document before says of the pieces of a stock tile that
// both plans share, nil where they do not.
func (w *writer) earlierStock() func(i int) []StockPiece {
	if w.was == nil {
		return func(int) []StockPiece { return nil }
	}
	at := make(map[*takeoff.StockPiece]int, len(w.was.Stock))
	for i := range w.was.Stock {
		if p := w.was.Stock[i].Pieces; len(p) > 0 {
			at[&p[0]] = i
		}
	}
	return func(i int) []StockPiece {
		p := w.plan.Stock[i].Pieces
		if len(p) == 0 {
			return nil
		}
		k, ok := at[&p[0]]
		if !ok || k >= len(w.before.Stock) || len(w.before.Stock[k].Pieces) != len(p) {
			return nil
		}
		return w.before.Stock[k].Pieces
	}
}

// stock writes the stock tiles and what stop settings save.
func (w *writer) stock(d *Document) {
	d.Stock, d.StopSetting = []Stock{}, []StopSaving{}
	w.offcuts(d)
	w.yard(d)
	d.Stock = make([]Stock, 0, len(w.plan.Stock))
	earlier := w.earlierStock()
	for i := range w.plan.Stock {
		t := &w.plan.Stock[i]
		s := Stock{ID: t.ID, Tile: t.Tile, Lot: optional(t.Lot), Broken: t.Broken, Pieces: earlier(i)}
		if s.Pieces == nil {
			s.Pieces = make([]StockPiece, 0, len(t.Pieces))
			for _, q := range t.Pieces {
				s.Pieces = append(s.Pieces, StockPiece{Piece: q.Piece, Polygon: polygon(q.Polygon)})
			}
		}
		if t.InHand() {
			o := keptOffcut(t.Offcut)
			s.Tile, s.Offcut = handKey(t.Tile), &o
		}
		d.Stock = append(d.Stock, s)
	}
	at := map[string]int{}
	for _, g := range w.plan.Stops {
		i, ok := at[g.Tile]
		if !ok {
			i = len(d.StopSetting)
			at[g.Tile] = i
			d.StopSetting = append(d.StopSetting, StopSaving{Tile: g.Tile})
		}
		d.StopSetting[i].Cuts += len(g.Pieces)
		d.StopSetting[i].Settings++
	}
	for i := range d.StopSetting {
		s := &d.StopSetting[i]
		s.Text = takeoff.StopSaving{Cuts: s.Cuts, Settings: s.Settings}.String()
	}
}

// quantities writes takeoff, materials and what is on hand.
func (w *writer) quantities(d *Document) {
	d.Takeoff, d.Materials, d.OnHand = []Takeoff{}, []Material{}, []OnHand{}
	for i := range w.plan.Rows {
		d.Takeoff = append(d.Takeoff, w.takeoffRows(&w.plan.Rows[i])...)
	}
	for _, m := range w.plan.Materials {
		d.Materials = append(d.Materials, Material{Product: m.Product, Kind: m.Kind, Unit: m.Unit, Net: m.Net,
			Quantity: m.Quantity, Packages: m.Packages, PackageSize: m.PackageSize, Surfaces: list(m.Surfaces), How: m.How})
	}
	m := newMeasuredBoxes(w.plan)
	for _, h := range w.plan.OnHand {
		d.OnHand = append(d.OnHand, m.onHand(h)...)
	}
	d.OnHand = append(d.OnHand, w.handStock()...)
}

func (w *writer) orders(d *Document) {
	d.Orders = []Order{}
	m := newMeasuredBoxes(w.plan)
	for n, o := range w.plan.Orders {
		out := orderOf(&o)
		out.Placed = n < w.plan.Placed
		lines := out.Lines
		out.Lines = []OrderLine{}
		for i, l := range o.Lines {
			out.Lines = append(out.Lines, m.line(lines[i], l)...)
		}
		d.Orders = append(d.Orders, out)
	}
}

// accounts writes changes of orders, the quantity chain and costs.
func (w *writer) accounts(d *Document) {
	d.Changes, d.Counts, d.Costs = []Change{}, []Count{}, []Cost{}
	for _, c := range w.plan.Changes {
		d.Changes = append(d.Changes, Change{Order: c.Order, Supplier: c.Supplier, Product: c.Product, Lot: optional(c.Lot), Kind: c.Kind,
			Quantity: c.Quantity, Unit: c.Unit, Credit: money(c.Credit), Text: c.Text})
	}
	for _, c := range w.plan.Counts {
		d.Counts = append(d.Counts, Count{Level: c.Level, Key: c.Key, Tile: c.Tile, Pieces: c.Pieces, Full: c.Full, Cut: c.Cut, Stock: c.Stock,
			Spares: c.Spares, Attic: c.Attic, Quantity: c.Quantity, Flat: c.Flat, Boxes: c.Boxes, M2: c.M2})
	}
	for _, c := range w.plan.Costs {
		cost := Cost{Room: c.Room, Job: c.Job, Tiles: money(c.Tiles), Products: money(c.Products), Labour: money(c.Labour), Total: money(c.Total()),
			SetterMinutes: c.SetterMinutes, HelperMinutes: c.HelperMinutes, Done: c.Done, Worked: c.Worked,
			DoneLabour: money(c.DoneLabour), WorkedLabour: money(c.WorkedLabour), TilesPlanned: c.TilesPlanned, TilesUsed: c.TilesUsed, Packages: []PackageUse{}}
		for _, u := range c.Packages {
			cost.Packages = append(cost.Packages, PackageUse(u))
		}
		d.Costs = append(d.Costs, cost)
	}
}

func (w *writer) findings(d *Document) {
	d.Findings = []Finding{}
	for _, l := range w.plan.Layouts {
		for _, f := range l.Findings {
			d.Findings = append(d.Findings, finding(f))
		}
	}
	for _, f := range w.plan.Findings {
		d.Findings = append(d.Findings, finding(f))
	}
}

func finding(f takeoff.Finding) Finding {
	return Finding{Rule: f.Rule, Severity: f.Severity, Where: f.Where, Message: f.Message, Value: f.Value,
		Limit: f.Limit, Source: f.Source, Waived: f.Waived}
}

// money prints 1/10 000 of the unit with as many decimals as it has, two at
// least.
func money(m takeoff.Money) json.Number {
	sign := ""
	if m < 0 {
		sign, m = "-", -m
	}
	whole, rest := m/10_000, m%10_000
	if rest%100 == 0 {
		return json.Number(fmt.Sprintf("%s%d.%02d", sign, whole, rest/100))
	}
	return json.Number(fmt.Sprintf("%s%d.%04d", sign, whole, rest))
}

func join(a, b string) string {
	if a == "" {
		return b
	}
	return a + " " + b
}

// list is a copy of in, never nil, so that it is written as []; the document's words
// may be turned without touching the plan.
func list(in []string) []string { return append([]string{}, in...) }

func optional(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}

func mm(l rooms.Length) MM { return MM(l.Millimetres()) }

func points(r rooms.Ring) []Point {
	out := make([]Point, 0, len(r))
	for _, p := range r {
		out = append(out, Point{mm(p.X), mm(p.Y)})
	}
	return out
}

func polygon(p rooms.Polygon) Polygon {
	out := Polygon{Outer: points(p.Outer), Holes: [][]Point{}}
	for _, h := range p.Holes {
		out.Holes = append(out.Holes, points(h))
	}
	return out
}
