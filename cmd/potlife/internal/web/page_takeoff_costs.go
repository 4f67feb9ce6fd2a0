package web

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"potlife/cmd/potlife/internal/plandoc"
)

// chainTable is the quantity chain of tile at one level.
type chainTable struct {
	Name string
	Rows []chainRow
}

type chainRow struct {
	plandoc.Count
	Place, TileName, Area, BoxesText string
}

// chainLevels are the levels in the order in which they are read.
var chainLevels = []struct{ level, name string }{{"job", "By job"}, {"group", "By lot group"}, {"room", "By room"}, {"surface", "By surface"}}

// chain lists the quantity chain, level by level.
func (v *view) chain() []chainTable {
	var out []chainTable
	for _, l := range chainLevels {
		t := chainTable{Name: l.name}
		for _, c := range v.Document.Counts {
			if c.Level != l.level {
				continue
			}
			t.Rows = append(t.Rows, chainRow{Count: c, Place: v.placeName(c.Level, c.Key), TileName: v.x.ProductName(c.Tile),
				Area: v.w.Area(c.M2), BoxesText: plandoc.Figure(c.Boxes, 2)})
		}
		if len(t.Rows) > 0 {
			out = append(out, t)
		}
	}
	return out
}

// placeName is what a key of the chain is called.
func (v *view) placeName(level, key string) string {
	switch level {
	case "room":
		return v.x.RoomName(key)
	case "surface":
		if room := strings.LastIndexByte(key, '/'); room > 0 {
			return v.x.RoomName(key[:room]) + ", " + v.x.SurfaceName(key)
		}
	case "group":
		if v.x.Rooms[key] != nil {
			return v.x.RoomName(key)
		}
	case "job":
		for _, j := range v.Document.Jobs {
			if j.Key == key {
				return j.Name
			}
		}
	}
	return key
}

// costRow is what a room costs, or a job, or all of them.
type costRow struct {
	Name                            string
	Sum                             bool
	Tiles, Products, Labour, Total  string
	Setters, Helpers                string // hours, of one person
	Planned, Worked, Over, TilesOff string // of what is recorded
	Packages                        string
}

// costSum adds costs up.
type costSum struct {
	tiles, products, labour, done, worked        decimal.Decimal
	setters, helpers, doneM, workedM, plan, used int
	packages                                     map[string]plandoc.PackageUse
}

func (s *costSum) add(c plandoc.Cost) {
	s.tiles, s.products, s.labour = s.tiles.Add(sum(c.Tiles)), s.products.Add(sum(c.Products)), s.labour.Add(sum(c.Labour))
	s.done, s.worked = s.done.Add(sum(c.DoneLabour)), s.worked.Add(sum(c.WorkedLabour))
	s.setters += c.SetterMinutes
	s.helpers += c.HelperMinutes
	s.doneM += c.Done
	s.workedM += c.Worked
	s.plan += c.TilesPlanned
	s.used += c.TilesUsed
	for _, u := range c.Packages {
		if s.packages == nil {
			s.packages = map[string]plandoc.PackageUse{}
		}
		was := s.packages[u.Product]
		s.packages[u.Product] = plandoc.PackageUse{Product: u.Product, Planned: was.Planned + u.Planned, Opened: was.Opened + u.Opened}
	}
}

// opened says of each product how many packages were opened and how many are
// planned for what is done.
func (s *costSum) opened(name func(string) string) string {
	var out []string
	for _, k := range slices.Sorted(maps.Keys(s.packages)) {
		u := s.packages[k]
		out = append(out, fmt.Sprintf("%s: %s of %s planned", name(k), plandoc.Figure(u.Opened, 2), plandoc.Figure(u.Planned, 2)))
	}
	return strings.Join(out, "; ")
}

// sum reads an amount of the document; what is none counts as nothing.
func sum(n json.Number) decimal.Decimal {
	d, err := decimal.NewFromString(n.String())
	if err != nil {
		return decimal.Zero
	}
	return d
}

func (s *costSum) row(v *view, name string, total bool) costRow {
	amount := func(d decimal.Decimal) string { return v.w.Money(d.StringFixed(2)) }
	r := costRow{Name: name, Sum: total, Tiles: amount(s.tiles), Products: amount(s.products), Labour: amount(s.labour),
		Total: amount(s.tiles.Add(s.products).Add(s.labour)), Setters: hoursOf(s.setters), Helpers: hoursOf(s.helpers), Packages: s.opened(v.x.ProductName)}
	if s.workedM > 0 {
		r.Planned, r.Worked = hoursOf(s.doneM), hoursOf(s.workedM)
		r.Over = signed(s.workedM-s.doneM, hoursOf)
		if off := s.worked.Sub(s.done); off.IsPositive() {
			r.Over += ", +" + amount(off)
		} else if off.IsNegative() {
			r.Over += ", −" + amount(off.Neg())
		}
	}
	if s.used > 0 {
		r.TilesOff = fmt.Sprintf("%d of %d planned", s.used, s.plan)
	}
	return r
}

// hoursOf writes minutes as hours and minutes: "7:05 h".
func hoursOf(minutes int) string { return fmt.Sprintf("%d:%02d h", minutes/60, minutes%60) }

// signed writes a difference with its sign.
func signed(n int, word func(int) string) string {
	switch {
	case n > 0:
		return "+" + word(n)
	case n < 0:
		return "−" + word(-n)
	}
	return "±0"
}

// costs lists rooms job by job, each job's sum under its rooms.
func (v *view) costs() []costRow {
	var out []costRow
	var all costSum
	for _, j := range v.Document.Jobs {
		var job costSum
		rooms := 0
		for _, c := range v.Document.Costs {
			if c.Job != j.Key {
				continue
			}
			var one costSum
			one.add(c)
			job.add(c)
			all.add(c)
			out = append(out, one.row(v, v.x.RoomName(c.Room), false))
			rooms++
		}
		if rooms > 0 {
			out = append(out, job.row(v, "All of "+j.Name, true))
		}
	}
	if len(v.Document.Jobs) > 1 && len(out) > 0 {
		out = append(out, all.row(v, "All jobs", true))
	}
	return out
}
