package web

import (
	"fmt"
	"strings"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/rooms"
)

// readMean reads the measured mean width and height of a lot's tiles, in the
// firm's unit where none is written. Both stay 0 where nothing was measured.
func (v *view) readMean(l *ReceiveLine, width, height string) error {
	for _, m := range []struct {
		field, side, text string
		into              *rooms.Length
	}{{"mean_width", "width", width, &l.MeanWidth}, {"mean_height", "height", height, &l.MeanHeight}} {
		if m.text == "" {
			continue
		}
		unit := rooms.UnitMM
		if v.w.Imperial {
			unit = rooms.UnitInch
		}
		// A comma is how half the world writes a decimal point.
		got, err := rooms.ParseLength(strings.ReplaceAll(m.text, ",", "."), unit)
		if err != nil || got <= 0 {
			return &Error{Kind: Invalid, Field: m.field, Text: fmt.Sprintf("%s: the mean %s %q is not a length above 0; write it as measured, in %s.", v.x.ProductName(l.Product), m.side, m.text, v.w.Unit())}
		}
		*m.into = got
	}
	return nil
}

// offSize is how far a measured mean may lie from the size in the catalogue
// before it is taken for a slip (wrong unit, width and height exchanged), as a
// share: from memory; true lots differ by a percent or two.
const offSize = 0.1

// checkReceived holds a line of a delivery against what can be.
func (v *view) checkReceived(l ReceiveLine) error {
	bad := func(field, format string, args ...any) error {
		return &Error{Kind: Invalid, Field: field, Text: v.x.ProductName(l.Product) + ": " + fmt.Sprintf(format, args...)}
	}
	fig := func(n float64) string { return plandoc.Figure(n, 2) }
	switch {
	case l.Damaged > l.Packages:
		return bad("damaged", "more is damaged (%s) than came (%s).", fig(l.Damaged), fig(l.Packages))
	case l.Damaged+l.Wrong > l.Packages:
		return bad("wrong", "more is damaged and wrong (%s) than came (%s).", fig(l.Damaged+l.Wrong), fig(l.Packages))
	case l.MeanWidth == 0 && l.MeanHeight == 0:
		return nil
	case l.Packages == l.Damaged+l.Wrong:
		return bad("mean_width", "a mean size is given and nothing of it is kept.")
	case l.Lot == "":
		return bad("lot", "a mean size is that of a lot; name the lot.")
	case l.MeanWidth == 0:
		return bad("mean_width", "the mean height is given and the mean width is not; measure both.")
	case l.MeanHeight == 0:
		return bad("mean_height", "the mean width is given and the mean height is not; measure both.")
	}
	t := v.x.Tiles[l.Product]
	if t == nil {
		return bad("mean_width", "only tile has a mean size.")
	}
	width, height := extent(t.Shape)
	for _, m := range []struct {
		field, side string
		got         rooms.Length
		want        plandoc.MM
	}{{"mean_width", "width", l.MeanWidth, width}, {"mean_height", "height", l.MeanHeight, height}} {
		if got := m.got.Millimetres(); got < float64(m.want)*(1-offSize) || got > float64(m.want)*(1+offSize) {
			return bad(m.field, "a mean %s of %s is more than 10 %% off the tile's %s; look at the unit, and whether width and height are exchanged.",
				m.side, v.w.LengthUnit(plandoc.MM(got)), v.w.LengthUnit(m.want))
		}
	}
	return nil
}

// extent is the width and height of a tile's outline.
func extent(shape []plandoc.Point) (width, height plandoc.MM) {
	if len(shape) == 0 {
		return 0, 0
	}
	low, high := shape[0], shape[0]
	for _, p := range shape {
		for i := range p {
			low[i], high[i] = min(low[i], p[i]), max(high[i], p[i])
		}
	}
	return high[0] - low[0], high[1] - low[1]
}
