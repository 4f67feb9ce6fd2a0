package sheet

import (
	"fmt"
	"html/template"
	"image/color"
	"strings"

	"github.com/boombuler/barcode/qr"
)

// quiet is the white border a QR code needs, in modules (ISO/IEC 18004).
const quiet = 4

// qrModules returns the dark modules of the code of text, row by row.
func qrModules(text string) ([][]bool, error) {
	code, err := qr.Encode(text, qr.M, qr.Auto)
	if err != nil {
		return nil, fmt.Errorf("QR code of %q: %w", text, err)
	}
	n := code.Bounds().Dx()
	rows := make([][]bool, n)
	for y := range rows {
		rows[y] = make([]bool, n)
		for x := range rows[y] {
			rows[y][x] = code.At(x, y) == color.Black
		}
	}
	return rows, nil
}

// drawQR draws the code of text in a square of side mm, its quiet zone in it.
func drawQR(c Canvas, text string, at Pt, side float64) {
	rows, err := qrModules(text)
	if err != nil {
		return // a URL too long for a code: the sheet stands without it
	}
	m := side / float64(len(rows)+2*quiet)
	c.Rect(at, side, side, Paper, Pen{})
	for y, row := range rows {
		for x := 0; x < len(row); x++ {
			from := x
			for x < len(row) && row[x] {
				x++
			}
			if x > from {
				c.Rect(Pt{at.X + m*float64(from+quiet), at.Y + m*float64(y+quiet)}, m*float64(x-from)+0.01, m+0.01, Dark, Pen{})
			}
		}
	}
}

// qrHTML returns the code of url as SVG: one path, always black on white.
func qrHTML(url string) template.HTML {
	rows, err := qrModules(url)
	if err != nil {
		return ""
	}
	var b strings.Builder
	n := len(rows) + 2*quiet
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" class="qr-code" viewBox="0 0 %d %d" role="img" aria-label="QR code of this sheet's page"><path fill="#ffffff" d="M0 0h%dv%dh-%dz"/><path fill="#000000" d="`, n, n, n, n, n)
	for y, row := range rows {
		for x := 0; x < len(row); x++ {
			from := x
			for x < len(row) && row[x] {
				x++
			}
			if x > from {
				fmt.Fprintf(&b, "M%d %dh%dv1h-%dz", from+quiet, y+quiet, x-from, x-from)
			}
		}
	}
	b.WriteString(`"/></svg>`)
	return template.HTML(b.String())
}
