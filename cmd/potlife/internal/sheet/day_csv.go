package sheet

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"
)

// CSV writes the cut list, one row a piece and cut. Sizes stand in mm and as
// printed.
func (d *Day) CSV(w io.Writer) error {
	c := csv.NewWriter(w)
	rows := [][]string{{"date", "crew", "tool", "size_mm", "size", "shape", "tile", "piece", "name", "stock_tile", "ahead", "cut_edge", "label"}}
	label := map[string]string{}
	for _, l := range d.Labels {
		label[l.Piece] = l.Text
	}
	for _, b := range d.Cuts {
		for _, s := range b.Settings {
			for i, id := range s.Pieces {
				mm, from := "", ""
				if s.SizeMM != nil {
					mm = strconv.FormatFloat(*s.SizeMM, 'f', -1, 64)
				}
				if i < len(s.From) {
					from = s.From[i]
				}
				rows = append(rows, []string{d.Date, d.Crew, b.Tool, mm, s.Size, s.Shape, s.Tile, id, s.Names[i], from, strconv.FormatBool(s.Ahead), s.Edges[i], label[id]})
			}
		}
	}
	return writeCSV(c, rows)
}

func writeCSV(c *csv.Writer, rows [][]string) error {
	for _, row := range rows {
		for i := range row {
			row[i] = cell(row[i])
		}
		if err := c.Write(row); err != nil {
			return fmt.Errorf("csv: %w", err)
		}
	}
	c.Flush()
	return c.Error()
}

// cell keeps a spreadsheet from taking text for a formula: text that begins
// with = + - @, a tab or a line feed gets an apostrophe. Numbers stay numbers.
func cell(s string) string {
	if s == "" || !strings.ContainsRune("=+-@\t\r\n", rune(s[0])) {
		return s
	}
	if _, err := strconv.ParseFloat(s, 64); err == nil {
		return s
	}
	return "'" + s
}
