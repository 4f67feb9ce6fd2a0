package web

import (
	"bytes"
	"encoding/csv"
	"net/http"
	"strconv"
	"strings"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/rooms"
)

type stockPage struct {
	frame
	Places []stockPlace
	InHand []offcutLine
	Gone   []offcutLine
	Keep   offcutForm
}

type stockPlace struct {
	Name string
	Rows []stockLine
}

type stockLine struct {
	Name, Lot, Units                              string
	OnHand, Reserved, Free, Used, Broken, Damaged string
	Holds                                         string // what lies free, in area, mass or volume
	Differs                                       string // more went than was booked in
	Short                                         string // more is reserved than lies there
}

func (s *server) stockRows(r *http.Request) (*view, []StockRow, error) {
	if s.o.Stock == nil {
		return nil, nil, &Error{Kind: NotFound, Text: "This program keeps no stock."}
	}
	v, err := s.current(r.Context())
	if err != nil {
		return nil, nil, err
	}
	rows, err := s.o.Stock.StockRows(r.Context())
	return v, rows, err
}

// stock lists what lies in the yard and on each site.
func (s *server) stock(w http.ResponseWriter, r *http.Request) error {
	v, rows, err := s.stockRows(r)
	if err != nil {
		return err
	}
	p := stockPage{frame: s.frame(r, "Stock", "orders")}
	for i, row := range rows {
		if i == 0 || rows[i-1].Place != row.Place {
			p.Places = append(p.Places, stockPlace{Name: v.stockPlace(row.Place)})
		}
		last := &p.Places[len(p.Places)-1]
		last.Rows = append(last.Rows, v.stockLine(row))
	}
	if err := s.offcutsInHand(r, v, &p); err != nil {
		return err
	}
	s.render(w, r, http.StatusOK, "stock", p)
	return nil
}

func (v *view) stockPlace(key string) string {
	if key == "" {
		return "Yard"
	}
	job, _, _ := strings.Cut(key, "/")
	return v.jobName(job) + ", " + v.siteName(key)
}

func (v *view) stockLine(r StockRow) stockLine {
	fig := func(n float64) string { return v.w.Number(n, 2) }
	free := r.OnHand - r.Reserved
	l := stockLine{Name: v.x.ProductName(r.Product), Lot: r.Lot, Units: rooms.Plural(r.Unit, 2), OnHand: fig(r.OnHand), Reserved: fig(r.Reserved), Free: fig(free),
		Used: fig(r.Used), Broken: fig(r.Broken), Damaged: fig(r.Damaged)}
	const dust = 1e-6
	switch {
	case r.OnHand < -dust:
		l.Differs = fig(-r.OnHand) + " more gone than was booked in"
	case free < -dust:
		l.Short = fig(-free) + " short of what is reserved"
	}
	if n, unit := v.holds(r, free); n > dust {
		l.Holds = v.w.Quantity(n, unit)
	}
	return l
}

// holds is what a number of packages holds: m² of tile, or kg, l, m or pieces of
// a product; no unit where the plan does not know it.
func (v *view) holds(r StockRow, packages float64) (float64, string) {
	if t := v.x.Tiles[r.Product]; t != nil {
		if r.Unit == "box" {
			packages *= float64(t.PerBox)
		}
		return packages * shapeArea(t.Shape), "m2"
	}
	if p := v.x.Products[r.Product]; p != nil {
		return packages * p.PackageSize, p.Unit
	}
	return 0, ""
}

// shapeArea is the area of a tile's outline in m².
func shapeArea(shape []plandoc.Point) float64 {
	var twice float64
	for i, a := range shape {
		b := shape[(i+1)%len(shape)]
		twice += float64(a[0])*float64(b[1]) - float64(a[1])*float64(b[0])
	}
	return max(twice, -twice) / 2 / 1e6
}

// stockFile is the stock as CSV, with figures that programs read.
func (s *server) stockFile(w http.ResponseWriter, r *http.Request) error {
	v, rows, err := s.stockRows(r)
	if err != nil {
		return err
	}
	return s.file(w, contentTypes["csv"], "stock.csv", true, func(b *bytes.Buffer) error {
		out := [][]string{{"place", "product", "name", "lot", "unit", "on_hand", "reserved", "free", "used", "broken", "damaged_on_delivery", "free_holds"}}
		plain := *v
		plain.w.Plain = true
		fig := func(n float64) string { return strconv.FormatFloat(n, 'f', -1, 64) }
		for _, row := range rows {
			place := row.Place
			if place == "" {
				place = "yard"
			}
			out = append(out, []string{place, row.Product, v.x.ProductName(row.Product), row.Lot, row.Unit, fig(row.OnHand), fig(row.Reserved),
				fig(row.OnHand - row.Reserved), fig(row.Used), fig(row.Broken), fig(row.Damaged), plain.stockLine(row).Holds})
		}
		return csv.NewWriter(b).WriteAll(out)
	})
}
