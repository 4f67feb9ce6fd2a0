package sheet

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"fmt"
	"html/template"
	"io"

	"potlife/cmd/potlife/internal/plandoc"
)

//go:embed day.html
var dayHTML string

// Slot puts something of the page's own into the sheet: after an activity
// (kind "activity") or a setting area (kind "area") of the given id.
type Slot = func(kind, id string) template.HTML

var dayTemplate = template.Must(template.New("day").Funcs(template.FuncMap{
	"svg":  func(Drawing) template.HTML { return "" },
	"qr":   func(string) template.HTML { return "" },
	"slot": func(string, string) template.HTML { return "" },
}).Parse(dayHTML))

// HTML writes the sheet as one <article>, for a page or a mail. slot may be nil.
func (d *Day) HTML(w io.Writer, slot Slot) error {
	t, err := dayTemplate.Clone()
	if err != nil {
		return fmt.Errorf("day sheet: %w", err)
	}
	t.Funcs(template.FuncMap{
		"svg": func(dr Drawing) template.HTML { return template.HTML(dr.picture.svg(190, 150)) },
		"qr":  qrHTML,
		"slot": func(kind, id string) template.HTML {
			if slot == nil {
				return ""
			}
			return slot(kind, id)
		},
	})
	if err := t.Execute(w, d); err != nil {
		return fmt.Errorf("day sheet of %s on %s: %w", d.Crew, d.Date, err)
	}
	return nil
}

// DayHTML writes sheet i of the document as one <article>.
func (p Printer) DayHTML(w io.Writer, doc *plandoc.Document, i int, m plandoc.Mark, slot Slot) error {
	d, err := p.NewDay(doc, i, m)
	if err != nil {
		return err
	}
	return d.HTML(w, slot)
}

// DayFile writes sheet i of the document in a format: "pdf", "csv", "json" or
// "html".
func (p Printer) DayFile(w io.Writer, doc *plandoc.Document, i int, m plandoc.Mark, format string) error {
	d, err := p.NewDay(doc, i, m)
	if err != nil {
		return err
	}
	switch format {
	case "pdf":
		return d.PDF(w)
	case "csv":
		return d.CSV(w)
	case "json":
		return d.JSON(w)
	case "html":
		return d.HTML(w, nil)
	}
	return fmt.Errorf("day sheet: there is no format %q; there are pdf, csv, json and html", format)
}

// JSON writes the model.
func (d *Day) JSON(w io.Writer) error {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(d); err != nil {
		return fmt.Errorf("day sheet: %w", err)
	}
	_, err := w.Write(b.Bytes())
	return err
}
