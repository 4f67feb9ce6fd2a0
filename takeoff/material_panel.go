package takeoff

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"potlife/rooms"
	"potlife/takeoff/nest"
)

// Boards and rolls of sheet membrane are cut to the surface: panels are laid out in
// rows from its lower left corner, upright or lying, whichever takes fewer pieces;
// whole ones are counted, and the rest are nested over all surfaces of a place of
// delivery by cuts from edge to edge.

const (
	// panelLeast is the smallest side of a panel that is planned by the piece.
	panelLeast = 100 * rooms.Millimetre
	// panelSteps bounds the search of one product at one place.
	panelSteps = 400_000
	// panelPieces is the number of cut pieces beyond which the area alone counts.
	panelPieces = 600
	// membraneLap is how far strips of sheet membrane overlap: 2 in (50 mm) as
	// reported of makers' guides; the roll's own sheet says.
	membraneLap = 50 * rooms.Millimetre
)

// panels is how many panels or rolls a package holds, 0 where their size is not
// given.
func (p *Product) panels() int {
	if p.Unit != "m2" || min(p.Sheet.PanelWidth, p.Sheet.PanelLength) < panelLeast || p.Kind != KindBoard && p.Kind != KindMembrane {
		return 0
	}
	return max(1, int(math.Round(p.PackageSize/(p.Sheet.PanelWidth.Metres()*p.Sheet.PanelLength.Metres()))))
}

func (p *Product) panelText() string {
	noun := "boards"
	if p.Kind == KindMembrane {
		noun = "rolls"
	}
	return fmt.Sprintf("%s of %s × %s", noun, p.Sheet.PanelWidth, p.Sheet.PanelLength)
}

// panelArea is what one surface takes of a product in panels.
type panelArea struct {
	product *Product
	place   string
	pieces  []nest.SheetItem
}

// panelAreas lists the panels' pieces of a surface.
func (t *taker) panelAreas(s *takenSurface) []panelArea {
	var list []panelArea
	add := func(kind string, lap rooms.Length, bands bool) {
		p := t.productFor(kind, s)
		if p == nil || p.panels() == 0 {
			return
		}
		a := panelArea{product: p, place: t.out.placeOf(s.room.key), pieces: panelPiecesOf(s, p, lap)}
		for left := rooms.Length(s.bandMetres() * float64(rooms.Metre)); bands && left >= rooms.Millimetre; {
			n := min(left, p.Sheet.PanelLength)
			a.pieces = append(a.pieces, panelPiece(min(MembraneBand, p.Sheet.PanelWidth), n))
			left -= n
		}
		list = append(list, a)
	}
	if slices.Contains(s.Prepare, "board") {
		add(KindBoard, 0, false)
	}
	if slices.Contains(s.Prepare, "membrane") || s.Wet {
		add(KindMembrane, membraneLap, true)
	}
	return list
}

// wholeMM rounds a length up to whole millimetres.
func wholeMM(l rooms.Length) int64 {
	return int64(l.Round(rooms.Millimetre, rooms.Up) / rooms.Millimetre)
}

// panelPiece is a piece of a board or roll to be nested. It is counted in micrometres,
// rounded down as the panel is rounded up: halves and thirds of a panel of whole inches
// come out of it, which they would not in whole millimetres.
func panelPiece(w, h rooms.Length) nest.SheetItem {
	return nest.SheetItem{W: int64(w / rooms.Micrometre), H: int64(h / rooms.Micrometre)}
}

// panelSide is a side of the panel that pieces are nested in.
func panelSide(l rooms.Length) int64 {
	return int64(l.Round(rooms.Micrometre, rooms.Up) / rooms.Micrometre)
}

// panelPiecesOf parts a surface less its openings into pieces no larger than a panel.
func panelPiecesOf(s *takenSurface, p *Product, lap rooms.Length) []nest.SheetItem {
	area := s.layout.Outline
	if len(area.Outer) == 0 {
		area = rooms.Polygon{Outer: s.Outline}
	}
	var holes []rooms.Polygon
	for _, o := range s.layout.Openings {
		holes = append(holes, o.Outline)
	}
	whole, err := rooms.Subtract([]rooms.Polygon{area}, holes)
	if err != nil {
		whole = []rooms.Polygon{area}
	}
	upright := panelGrid(whole, area.Outer.Box(), p.Sheet.PanelWidth, p.Sheet.PanelLength, lap)
	lying := panelGrid(whole, area.Outer.Box(), p.Sheet.PanelLength, p.Sheet.PanelWidth, lap)
	if len(lying) < len(upright) {
		return lying
	}
	return upright
}

// panelGrid cuts an area into cells of a panel's size, each piece as the rectangle
// around it.
func panelGrid(area []rooms.Polygon, box rooms.Box, w, h, lap rooms.Length) []nest.SheetItem {
	var list []nest.SheetItem
	stepX, stepY := max(w-lap, w/2), max(h-lap, h/2)
	for y := box.Min.Y; y == box.Min.Y || y+lap < box.Max.Y; y += stepY {
		for x := box.Min.X; x == box.Min.X || x+lap < box.Max.X; x += stepX {
			cell := rooms.Polygon{Outer: rooms.Rect(x, y, min(x+w, box.Max.X), min(y+h, box.Max.Y))}
			parts, err := rooms.Intersect(area, []rooms.Polygon{cell})
			if err != nil {
				parts = []rooms.Polygon{cell}
			}
			for _, part := range parts {
				b := part.Outer.Box()
				if b.Width() >= rooms.Millimetre && b.Height() >= rooms.Millimetre {
					list = append(list, panelPiece(b.Width(), b.Height()))
				}
			}
		}
	}
	return list
}

// nestPanels counts the packages of each product in panels at each place, and the
// number below which no plan for these pieces comes.
func (t *taker) nestPanels(ctx context.Context, list []panelArea, out map[Use]barCount) error {
	slices.SortStableFunc(list, func(a, b panelArea) int {
		return cmp.Or(cmp.Compare(a.product.Key, b.product.Key), cmp.Compare(a.place, b.place))
	})
	for i := 0; i < len(list); {
		p, place := list[i].product, list[i].place
		problem := nest.SheetProblem{W: panelSide(p.Sheet.PanelWidth), H: panelSide(p.Sheet.PanelLength), Rotate: true}
		whole, area := 0, int64(0)
		for ; i < len(list) && list[i].product == p && list[i].place == place; i++ {
			for _, q := range list[i].pieces {
				if min(q.W, q.H)+1 >= min(problem.W, problem.H) && max(q.W, q.H)+1 >= max(problem.W, problem.H) {
					whole++
					continue
				}
				problem.Items = append(problem.Items, q)
				area += q.W * q.H
			}
		}
		n := barCount{whole, whole}
		if len(problem.Items) > panelPieces {
			share := float64(area) / float64(problem.W*problem.H)
			n.bars, n.bound = whole+ceilCount(share*(1+margins[p.Kind])), whole+ceilCount(share)
		} else if len(problem.Items) > 0 {
			r, err := nest.SolveSheets(ctx, problem, nest.Options{Steps: panelSteps})
			if err != nil {
				return fmt.Errorf("takeoff: panels of %s: %w", p.Key, err)
			}
			n.bars, n.bound = whole+r.Sheets, whole+r.Bound
		}
		each := p.panels()
		out[Use{p.Key, place}] = barCount{(n.bars + each - 1) / each, (n.bound + each - 1) / each}
	}
	return nil
}
