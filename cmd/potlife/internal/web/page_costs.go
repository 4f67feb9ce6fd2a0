package web

import (
	"bytes"
	"encoding/csv"
	"net/http"
	"strconv"
	"strings"

	"potlife/cmd/potlife/internal/plandoc"
)

var costHead = []string{"job", "room", "currency", "tiles", "products", "labour", "total", "setter_minutes", "helper_minutes", "done_minutes", "worked_minutes",
	"done_labour", "worked_labour", "tiles_planned", "tiles_used", "packages_opened_of_planned"}

// costsFile serves the costs room by room.
func (s *server) costsFile(w http.ResponseWriter, r *http.Request) error {
	v, err := s.current(r.Context())
	if err != nil {
		return err
	}
	return s.file(w, contentTypes["csv"], "costs.csv", true, func(b *bytes.Buffer) error {
		rows := [][]string{costHead}
		for _, k := range v.Document.Costs {
			rows = append(rows, []string{k.Job, k.Room, v.Document.Currency, k.Tiles.String(), k.Products.String(), k.Labour.String(), k.Total.String(),
				strconv.Itoa(k.SetterMinutes), strconv.Itoa(k.HelperMinutes), strconv.Itoa(k.Done), strconv.Itoa(k.Worked),
				k.DoneLabour.String(), k.WorkedLabour.String(), strconv.Itoa(k.TilesPlanned), strconv.Itoa(k.TilesUsed), packagesText(k.Packages)})
		}
		return csv.NewWriter(b).WriteAll(rows)
	})
}

// packagesText is what was opened, product by product: "flex 4/3.4; joint 1/0.9".
func packagesText(list []plandoc.PackageUse) string {
	var out []string
	for _, u := range list {
		out = append(out, u.Product+" "+strconv.FormatFloat(u.Opened, 'f', -1, 64)+"/"+strconv.FormatFloat(u.Planned, 'f', -1, 64))
	}
	return strings.Join(out, "; ")
}
