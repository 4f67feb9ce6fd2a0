package cli

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"sort"
	"strings"
	"text/tabwriter"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/rooms"
	"potlife/takeoff"
)

// summary prints a plan document in words.
type summary struct {
	bytes.Buffer
	doc *plandoc.Document
	x   *plandoc.Index
	w   plandoc.Writing
}

// printPlan writes what a contractor asks first: when, what to buy, what is
// next, what is wrong.
func printPlan(out io.Writer, doc *plandoc.Document, sheets int) error {
	s := &summary{doc: doc, x: doc.Index(), w: doc.Writing()}
	s.head()
	s.rooms()
	s.takeoff()
	s.stops()
	s.offcuts()
	s.orders()
	for i := range min(sheets, len(doc.Sheets)) {
		s.sheet(&doc.Sheets[i])
	}
	s.findings()
	_, err := out.Write(s.Bytes())
	return err
}

// table prints rows in columns.
func (s *summary) table(rows [][]string) {
	t := tabwriter.NewWriter(s, 0, 0, 2, ' ', 0)
	for _, r := range rows {
		fmt.Fprintln(t, "  "+strings.Join(r, "\t"))
	}
	t.Flush()
}

func (s *summary) section(title string) { fmt.Fprintf(s, "\n%s\n", title) }

func (s *summary) head() {
	pieces, cuts := 0, 0
	for _, f := range s.doc.Surfaces {
		for _, z := range f.Zones {
			for _, p := range z.Pieces {
				pieces++
				if !p.Full {
					cuts++
				}
			}
		}
	}
	fmt.Fprintf(s, "%s: %s in %s, planned from %s\n", s.doc.Firm, plural(len(s.doc.Rooms), "room"), plural(len(s.doc.Jobs), "job"), s.w.Day(s.doc.Today))
	fmt.Fprintf(s, "%s on %s, %d of them cut; by the plan all is done %s (no plan before %s)\n", plural(pieces, "piece"), plural(len(s.doc.Surfaces), "surface"), cuts,
		s.w.DayClock(s.doc.Finish), s.w.DayClock(s.doc.FinishBound))
	for _, line := range s.doc.Summary {
		fmt.Fprintln(s, line)
	}
}

func (s *summary) rooms() {
	s.section("Rooms")
	runs := s.doc.Likely.Runs
	rows := [][]string{{"room", "name", "due", "done", "at best", "half by", "4 in 5 by", "due kept in", ""}}
	for _, r := range s.doc.Rooms {
		due, note, kept := "-", "", "-"
		if r.Due != nil {
			due = s.w.ShortDay(*r.Due)
			if runs > 0 {
				kept = plandoc.Percent(r.Chance)
			}
		}
		if r.LateDays > 0 {
			note = plural(r.LateDays, "day") + " late"
		}
		if r.Blocked != "" {
			note = strings.TrimPrefix(note+"; "+r.Blocked, "; ")
		}
		rows = append(rows, []string{r.Key, r.Name, due, s.w.DayClock(r.Finish), s.w.DayClock(r.Bound), s.w.ShortDay(r.Half), s.w.ShortDay(r.Eighty), kept, note})
	}
	s.table(rows)
	s.heldBy()
}

// mostHeld is how many activities are named that hold up the finish.
const mostHeld = 6

// heldBy names the activities that most often held the finish in the simulated
// runs.
func (s *summary) heldBy() {
	held := s.x.MostHeld("", mostHeld)
	if len(held) == 0 {
		return
	}
	s.section("What most often holds up the finish")
	var rows [][]string
	for _, o := range held {
		a := s.x.Activities[o.Activity]
		rows = append(rows, []string{plandoc.Percent(o.Share) + " of the runs", a.Title, s.x.RoomName(a.Room), s.w.DayClock(a.Start)})
	}
	s.table(rows)
}

func (s *summary) takeoff() {
	s.section("Takeoff (pieces → tiles → spares and tiles kept for repairs → boxes)")
	rows := [][]string{{"tile", "for", "pieces", "cut", "tiles", "at least", "spares", "for repairs", "boxes", "by flat percentage", "lot"}}
	for _, t := range s.doc.Takeoff {
		lot := "-"
		if t.Lot != nil {
			lot = *t.Lot
		}
		if t.Split != nil {
			lot += " (split: " + *t.Split + ")"
		}
		var where []string
		for _, r := range rooms.InOrder(t.Rooms) {
			where = append(where, s.x.RoomName(r))
		}
		rows = append(rows, []string{s.x.ProductName(t.Tile), strings.Join(where, "; "), fmt.Sprint(t.Pieces), fmt.Sprint(t.Cut), fmt.Sprint(t.Stock), fmt.Sprint(t.StockBound),
			fmt.Sprint(t.Spares), fmt.Sprint(t.Attic), fmt.Sprint(t.Boxes), fmt.Sprintf("%d tiles", t.FlatQuantity), lot})
	}
	s.table(rows)
	rows = [][]string{{"material", "kind", "needed", "bought"}}
	for _, m := range s.doc.Materials {
		holds := ""
		if p := s.x.Products[m.Product]; p != nil {
			holds = p.Content
		}
		rows = append(rows, []string{s.x.ProductName(m.Product), m.Kind, s.w.QuantityAs(m.Net, m.Unit, holds), fmt.Sprintf("%d × %s", m.Packages, s.w.QuantityAs(m.PackageSize, m.Unit, holds))})
	}
	fmt.Fprintln(s)
	s.table(rows)
}

func (s *summary) orders() {
	s.section("Orders")
	if len(s.doc.Orders) == 0 {
		fmt.Fprintln(s, "  nothing to order")
		return
	}
	rows := [][]string{{"order", "supplier", "order by", "delivered", "to", "ready", "lines", "total", ""}}
	for _, o := range s.doc.Orders {
		note := ""
		if o.Late {
			note = "LATE: order at once"
		}
		rows = append(rows, []string{o.Key, s.x.SupplierName(o.Supplier), s.w.ShortDay(o.OrderBy), s.w.ShortDay(o.Delivery), s.placeOf(&o), s.w.ShortDay(o.Ready), fmt.Sprint(len(o.Lines)), string(o.Total) + " " + o.Currency, note})
	}
	s.table(rows)
	for _, o := range s.doc.Orders {
		fmt.Fprintf(s, "\n  %s\n", o.Key+toWords(o.DeliverTo))
		rows = nil
		for _, l := range o.Lines {
			lot := ""
			if l.Lot != nil {
				lot = "lot " + *l.Lot
			}
			rows = append(rows, []string{"  " + s.w.Quantity(l.Quantity, l.Unit), l.Text, lot, string(l.Amount)})
		}
		s.table(rows)
	}
}

// placeOf is where an order is delivered: a site's name, or the yard.
func (s *summary) placeOf(o *plandoc.Order) string {
	if o.Place == nil {
		return "yard"
	}
	return s.x.SiteName(*o.Place)
}

// toWords adds the place of a delivery with its address.
func toWords(to string) string {
	if to == "" {
		return ""
	}
	return ", to " + to
}

// onlySite says to which site a day's goods are carried, where it has one alone.
func (s *summary) onlySite(d *plandoc.Sheet) string {
	sites := map[string]bool{}
	for _, id := range d.Activities {
		if a := s.x.Activities[id]; a != nil && s.x.Rooms[a.Room] != nil {
			sites[s.x.Rooms[a.Room].Site] = true
		}
	}
	if len(sites) != 1 {
		return ""
	}
	for k := range sites {
		return ", to " + s.x.SiteName(k)
	}
	return ""
}

// sheet prints one crew's day.
func (s *summary) sheet(d *plandoc.Sheet) {
	s.section(fmt.Sprintf("Day sheet: %s, %s", s.x.CrewOn(d.Crew, d.Date), s.w.Day(d.Date)))
	if names := s.x.There(d.Crew, d.Date).Names; len(names) > 0 {
		fmt.Fprintf(s, "  there: %s\n", strings.Join(names, ", "))
	}
	type line struct{ at, span, room, title string }
	var lines []line
	for _, id := range d.Activities {
		i := slices.IndexFunc(s.doc.Activities, func(a plandoc.Activity) bool { return a.ID == id })
		if i < 0 {
			continue
		}
		a := s.doc.Activities[i]
		for _, w := range a.Work {
			if s.w.DateOf(w[0]) == d.Date {
				lines = append(lines, line{w[0], s.w.Span(w[0], w[1]), s.x.RoomName(a.Room), a.Title})
			}
		}
	}
	sort.SliceStable(lines, func(i, j int) bool { return s.w.Time(lines[i].at).Before(s.w.Time(lines[j].at)) })
	var rows [][]string
	for _, l := range lines {
		rows = append(rows, []string{l.span, l.room, l.title})
	}
	s.table(rows)
	s.mixes(d)
	s.cuts(d)
	to := s.onlySite(d)
	for _, c := range d.Carry {
		lot := ""
		if c.Lot != nil {
			lot = ", lot " + *c.Lot
		}
		fmt.Fprintf(s, "  carry %s of %s%s%s\n", s.w.Quantity(c.Quantity, c.Unit), s.x.ProductName(c.Product), lot, to)
	}
	s.fetch(d)
	for _, w := range d.Waits {
		fmt.Fprintf(s, "  wait  %s until %s: %s\n", s.x.RoomName(w.Room), s.w.DayClock(w.Until), w.Why)
	}
	for _, line := range append(slices.Clone(d.Read), d.Cautions...) {
		fmt.Fprintf(s, "  %s\n", line)
	}
}

// mixes lists what the crew mixes on the day, and by when it is used up.
func (s *summary) mixes(d *plandoc.Sheet) {
	var rows [][]string
	for _, m := range s.doc.Mixes {
		if m.Crew != d.Crew || s.w.DateOf(m.Start) != d.Date {
			continue
		}
		water, useBy := "", ""
		if m.WaterL > 0 {
			water = "with " + s.w.Volume(m.WaterL) + " of water"
		}
		if m.UseBy != nil {
			useBy = "use by " + s.w.Clock(*m.UseBy)
		}
		rows = append(rows, []string{"mix " + s.w.Clock(m.Start), s.w.Mass(m.Kg) + " of " + s.x.ProductName(m.Product), water, useBy})
	}
	s.table(rows)
}

// cuts lists the day's cuts by tool and stop setting.
func (s *summary) cuts(d *plandoc.Sheet) {
	if len(d.Cuts) == 0 {
		return
	}
	fmt.Fprintf(s, "  cuts: %s\n", d.Saving)
	var rows [][]string
	for _, c := range d.Cuts {
		size := c.Shape
		if c.Size != nil {
			size = s.length(*c.Size)
		}
		ahead := ""
		if c.Ahead {
			ahead = "ahead"
		} else if c.Tool == takeoff.WetSaw || c.Tool == takeoff.HoleSaw {
			ahead = "dry first"
		}
		rows = append(rows, []string{"  " + s.x.ProductName(c.Tile), c.Tool, size, fmt.Sprintf("%d ×", len(c.Pieces)), ahead})
	}
	const most = 12
	s.table(rows[:min(most, len(rows))])
	if len(rows) > most {
		fmt.Fprintf(s, "    … and %d more settings\n", len(rows)-most)
	}
}

// length prints a length in the firm's units.
func (s *summary) length(v plandoc.MM) string {
	if s.doc.Units == "imperial" {
		return inches(float64(v))
	}
	return strings.TrimSuffix(strings.TrimRight(fmt.Sprintf("%.1f", float64(v)), "0"), ".") + " mm"
}

// remark is a line of findings that say the same.
type remark struct {
	severity, rule, message string
	where                   []string
}

// findings lists what to look at, the gravest first. Remarks that are for
// information are drawn together by rule; the plan document has them all.
func (s *summary) findings() {
	s.section("To look at")
	var lines []remark
	for _, f := range s.doc.Findings {
		if f.Waived != "" {
			f.Severity, f.Message = "set aside", f.Message+"; why: "+f.Waived
		}
		i := slices.IndexFunc(lines, func(l remark) bool {
			return l.severity == f.Severity && l.rule == f.Rule && (l.message == f.Message || f.Severity == "info")
		})
		if i < 0 {
			lines = append(lines, remark{f.Severity, f.Rule, f.Message, nil})
			i = len(lines) - 1
		}
		if !slices.Contains(lines[i].where, f.Where) {
			lines[i].where = append(lines[i].where, f.Where)
		}
	}
	if len(lines) == 0 {
		fmt.Fprintln(s, "  nothing")
		return
	}
	ranks := map[string]int{"stop": 0, "warn": 1, "info": 2, "set aside": 3}
	sort.SliceStable(lines, func(i, j int) bool { return ranks[lines[i].severity] < ranks[lines[j].severity] })
	for _, l := range lines {
		places := s.x.Places(l.where[:min(2, len(l.where))])
		if more := len(l.where) - 2; more > 0 {
			places += fmt.Sprintf(" and %d more", more)
		}
		fmt.Fprintf(s, "  %-12s  %s: %s (%s)\n", plandoc.SeverityWord(l.severity), l.rule, l.message, places)
	}
}
