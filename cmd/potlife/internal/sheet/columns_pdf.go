package sheet

import (
	"fmt"
	"slices"
	"strings"
)

// gutter parts two columns of text, in mm.
const gutter = 5.0

// block is a piece of a column that is not broken.
type block struct {
	h    float64
	keep bool // stays with the next one
	draw func(x, y float64)
}

// twoColumns sets blocks in two columns, one after the other, as high as need
// be and no higher; what does not fit goes on on the next page.
func (p *paper) twoColumns(blocks []block) {
	p.need(14)
	for len(blocks) > 0 {
		left, right, high := split(blocks, p.room())
		if left+right == 0 { // a block higher than what is left, or than any page
			if p.y > pageTop+10 {
				p.need(p.h)
				continue
			}
			left = 1
		}
		w, top := p.columnWidth(), p.y
		at := func(list []block, x float64) (end float64) {
			y := top
			for _, b := range list {
				b.draw(x, y)
				y += b.h
			}
			return y
		}
		end := max(at(blocks[:left], pageSide), at(blocks[left:left+right], pageSide+w+gutter))
		p.y = min(end, top+max(high, end-top))
		if blocks = blocks[left+right:]; len(blocks) > 0 {
			p.need(p.h)
		}
	}
	p.y += 1.2
}

func (p *paper) columnWidth() float64 { return (p.inner() - gutter) / 2 }

// split says how many blocks go into the left and the right column of a space
// of so many mm: balanced where all fit, else as many as fit.
func split(blocks []block, room float64) (left, right int, high float64) {
	best := -1.0
	sum := 0.0
	total := 0.0
	for _, b := range blocks {
		total += b.h
	}
	for i, b := range blocks {
		if sum += b.h; sum > room {
			break
		}
		if b.keep && i+1 < len(blocks) {
			continue
		}
		if h := max(sum, total-sum); h <= room && (best < 0 || h <= best) {
			best, left, right, high = h, i+1, len(blocks)-i-1, h
		}
	}
	if best >= 0 {
		return left, right, high
	}
	left = fill(blocks, room)
	return left, fill(blocks[left:], room), room
}

// fill is how many blocks fit a height, none parted from what it stays with.
func fill(blocks []block, room float64) int {
	n, sum := 0, 0.0
	for i, b := range blocks {
		if sum += b.h; sum > room {
			break
		}
		if !b.keep || i+1 == len(blocks) {
			n = i + 1
		}
	}
	return n
}

// Widths of what stands before the pieces in a column of the cut list, in mm.
const (
	boxWide   = 4.2
	sizeWide  = 17.0
	countWide = 7.0
)

// cutBlocks are the cut list of a tool: its head, a band for each tile, and a
// row for each setting.
func (p *paper) cutBlocks(t Bench) []block {
	w := p.columnWidth()
	head := Type{Size: small, Ink: Mid}
	title := t.Tool + ", stop at: pieces"
	if slices.ContainsFunc(t.Settings, func(s Setting) bool { return s.Dry }) {
		title += "; set today: dry first"
	}
	blocks := []block{{h: small*leading + 1.6, keep: true, draw: func(x, y float64) {
		p.c.Text(Pt{x + boxWide, y + small + 0.8}, title, head)
		p.c.Line(Pt{x, y + small*leading + 1.4}, Pt{x + w, y + small*leading + 1.4}, Pen{W: 0.2, Ink: Mid})
	}}}
	tile := ""
	for _, s := range t.Settings {
		if s.Tile != tile {
			tile = s.Tile
			blocks = append(blocks, p.bandBlock(tile, w))
		}
		blocks = append(blocks, p.cutBlock(s, w))
	}
	return blocks
}

func (p *paper) bandBlock(text string, w float64) block {
	bold := Type{Size: body, Bold: true, Ink: Dark}
	lines := p.wrap(text, w-3, bold)
	return block{h: float64(len(lines))*body*leading + 1.4, keep: true, draw: func(x, y float64) {
		p.c.Rect(Pt{x, y}, w, float64(len(lines))*body*leading+1.2, Hollow, Pen{})
		for k, line := range lines {
			p.c.Text(Pt{x + 1.5, y + 0.4 + body + float64(k)*body*leading}, line, bold)
		}
	}}
}

func (p *paper) cutBlock(s Setting, w float64) block {
	plain, bold := Type{Size: body, Ink: Dark}, Type{Size: body, Bold: true, Ink: Dark}
	size := s.Size
	if size == "" {
		size = "–"
	}
	names := s.plain // the day's own pieces are drawn, with the edges that are cut
	if s.Ahead {
		names = namesText(s.parts, edgeLetter)
	}
	text := joinNonEmpty(": ", strings.ReplaceAll(names, "(offcut of ", "(←\u00a0"), s.Shape)
	if s.Ahead {
		text = "ahead: " + text
	}
	from := boxWide + sizeWide + countWide + 2
	lines := p.wrap(text, w-from, plain)
	return block{h: float64(len(lines))*body*leading + 1.1, draw: func(x, y float64) {
		base := y + 0.4 + body
		p.c.Text(Pt{x, base}, "☐", plain)
		p.c.Text(Pt{x + boxWide, base}, size, bold)
		count := plain
		count.Anchor = Right
		p.c.Text(Pt{x + boxWide + sizeWide + countWide, base}, fmt.Sprintf("%d ×", s.Count), count)
		for k, line := range lines {
			p.c.Text(Pt{x + from, base + float64(k)*body*leading}, line, plain)
		}
		under := y + float64(len(lines))*body*leading + 1.1
		p.c.Line(Pt{x, under}, Pt{x + w, under}, Pen{W: 0.1, Ink: Pale})
	}}
}

// loadBlock is a line of what to carry in: how much, what, its lot and weight.
func (p *paper) loadBlock(c Load) block {
	w := p.columnWidth()
	plain, bold := Type{Size: body, Ink: Dark}, Type{Size: body, Bold: true, Ink: Dark}
	what := c.Name
	if c.Lot != "" {
		what += ", lot " + c.Lot
	}
	const amountWide, massWide = 22.0, 16.0
	lines := p.wrap(what, w-boxWide-amountWide-massWide, plain)
	high := float64(len(lines))*body*leading + 1.1
	return block{h: high, draw: func(x, y float64) {
		base := y + 0.4 + body
		p.c.Text(Pt{x, base}, "☐", plain)
		p.c.Text(Pt{x + boxWide, base}, c.Amount, bold)
		mass := plain
		mass.Anchor = Right
		p.c.Text(Pt{x + w, base}, c.Mass, mass)
		for k, line := range lines {
			p.c.Text(Pt{x + boxWide + amountWide, base + float64(k)*body*leading}, line, plain)
		}
		p.c.Line(Pt{x, y + high}, Pt{x + w, y + high}, Pen{W: 0.1, Ink: Pale})
	}}
}

// bulletBlock is a sentence of a list.
func (p *paper) bulletBlock(s string) block {
	t := Type{Size: body, Ink: Dark}
	lines := p.wrap(s, p.columnWidth()-4, t)
	return block{h: float64(len(lines))*body*leading + 0.4, draw: func(x, y float64) {
		p.c.Text(Pt{x, y + body}, "–", t)
		for k, line := range lines {
			p.c.Text(Pt{x + 4, y + body + float64(k)*body*leading}, line, t)
		}
	}}
}
