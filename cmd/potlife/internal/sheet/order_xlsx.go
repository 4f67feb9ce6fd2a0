package sheet

import (
	"fmt"
	"io"
	"strconv"

	"github.com/xuri/excelize/v2"

	"potlife/rooms"
)

// workbook keeps the first error of a run of cells.
type workbook struct {
	f   *excelize.File
	tab string
	err error
}

func (b *workbook) put(column, row int, v any, style int) {
	if b.err != nil {
		return
	}
	at, err := excelize.CoordinatesToCellName(column, row)
	if err == nil {
		err = b.f.SetCellValue(b.tab, at, v)
	}
	if err == nil && style != 0 {
		err = b.f.SetCellStyle(b.tab, at, at, style)
	}
	b.err = err
}

func (b *workbook) number(column, row int, text string, style int) {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		b.err = fmt.Errorf("%q is no number", text)
		return
	}
	b.put(column, row, v, style)
}

func (b *workbook) style(s *excelize.Style) int {
	id, err := b.f.NewStyle(s)
	if err != nil && b.err == nil {
		b.err = err
	}
	return id
}

// XLSX writes the order as a workbook of one sheet; figures are numbers, texts
// are texts even where they look like a formula.
func (p *Purchase) XLSX(w io.Writer) error {
	f := excelize.NewFile()
	defer f.Close()
	b := &workbook{f: f, tab: "Order"}
	b.err = f.SetSheetName("Sheet1", b.tab)
	money := b.style(&excelize.Style{NumFmt: 4}) // #,##0.00
	bold := b.style(&excelize.Style{Font: &excelize.Font{Bold: true}})
	for i, h := range orderHead {
		b.put(i+1, 1, h, bold)
	}
	rows := p.rows()
	for r, row := range rows {
		for i, v := range row {
			switch orderHead[i] {
			case "quantity":
				b.number(i+1, r+2, v, 0)
			case "unit_price", "amount":
				b.number(i+1, r+2, v, money)
			case "unit":
				b.put(i+1, r+2, rooms.Plural(v, quantity(p.Lines[r].Quantity)), 0)
			default:
				b.put(i+1, r+2, v, 0)
			}
		}
	}
	b.put(4, len(rows)+2, "total", bold)
	b.number(9, len(rows)+2, p.Total, money)
	b.put(10, len(rows)+2, p.Currency, 0)
	if b.err == nil {
		b.err = f.SetColWidth(b.tab, "A", "K", 14)
	}
	if b.err == nil {
		b.err = f.SetColWidth(b.tab, "D", "D", 44)
	}
	if b.err != nil {
		return fmt.Errorf("order %s: workbook: %w", p.name(), b.err)
	}
	return f.Write(w)
}
