package sheet

import (
	"fmt"
	"io"
	"strings"
	"time"
)

// PDF writes the sheet on A4, or on Letter for a firm that works in inches.
// The bytes depend on the sheet alone.
func (d *Day) PDF(w io.Writer) error {
	stamp, err := time.Parse(time.DateOnly, d.Date)
	if err != nil {
		return fmt.Errorf("day sheet: date %q: %w", d.Date, err)
	}
	p := newPaper(d.w.Imperial, "Day sheet, "+d.CrewName+", "+d.DateText, d.Firm, stamp)
	p.running = d.CrewName + ", " + d.DateText + ", " + d.revisionText()
	p.foot = d.Firm + " · " + p.running
	if d.ReplacedBy > 0 {
		p.stamp = fmt.Sprintf("REPLACED BY REVISION %d", d.ReplacedBy)
	}
	d.pdfHead(p)
	d.pdfBefore(p)
	d.pdfWork(p)
	d.pdfCarry(p)
	d.pdfAreas(p)
	d.pdfDrawings(p)
	d.pdfCuts(p)
	d.pdfOnSite(p)
	d.pdfCautions(p)
	return p.finish(w)
}

func (d *Day) revisionText() string {
	if d.Revision == 0 {
		return "not issued yet"
	}
	s := fmt.Sprintf("revision %d", d.Revision)
	if d.Issued != "" {
		s += ", issued " + d.Issued
	}
	return s
}

func (d *Day) pdfHead(p *paper) {
	top := p.y
	p.c.Text(Pt{pageSide, p.y + 3}, d.Firm, Type{Size: 3, Ink: Mid})
	p.c.Text(Pt{pageSide, p.y + 10}, d.CrewName, Type{Size: 6.5, Bold: true, Ink: Dark})
	p.c.Text(Pt{pageSide, p.y + 16.4}, d.DateText+"   "+d.Time, Type{Size: 4.6, Ink: Dark})
	p.c.Text(Pt{pageSide, p.y + 20.6}, d.Hands+" · "+d.revisionText(), Type{Size: body, Ink: Mid})
	p.y += 22
	if d.URL != "" {
		drawQR(p.c, d.URL, Pt{p.w - pageSide - 24, top - 3}, 25)
	}
	if d.ReplacedBy > 0 {
		p.y += 1
		p.c.Rect(Pt{pageSide, p.y}, p.inner(), 6, NoInk, Pen{W: 0.6, Ink: Clay})
		p.c.Text(Pt{p.w / 2, p.y + 4.2}, fmt.Sprintf("Replaced by revision %d. Do not work from this sheet.", d.ReplacedBy), Type{Size: 3.4, Bold: true, Ink: Clay, Anchor: Centre})
		p.y += 7
	}
	for _, pl := range d.Places {
		p.para(fmt.Sprintf("%s  %s", pl.Time, joinNonEmpty(", ", pl.Site, pl.Address)), Type{Size: body, Bold: true, Ink: Dark}, 0)
		p.para(pl.Job+": "+strings.Join(pl.Rooms, ", "), Type{Size: body, Ink: Mid}, 4)
	}
}

func joinNonEmpty(sep string, parts ...string) string {
	var out []string
	for _, s := range parts {
		if s != "" {
			out = append(out, s)
		}
	}
	return strings.Join(out, sep)
}

// pdfBefore is what must be known before work begins.
func (d *Day) pdfBefore(p *paper) {
	if len(d.Changes) > 0 {
		p.heading("Changed since the revision before")
		p.bullets(d.Changes, "△")
	}
	if len(d.Read) > 0 {
		p.heading("Readings first")
		p.bullets(d.Read, "☐")
	}
	if len(d.Waits) > 0 {
		p.heading("Waits")
		p.bullets(d.Waits, "–")
	}
}

func (d *Day) pdfWork(p *paper) {
	p.heading("The day in order")
	var rows [][]string
	for _, it := range d.Items {
		var how []string
		if len(it.Areas) > 0 {
			how = append(how, strings.Join(it.Areas, "; "))
		}
		if len(it.Takes) > 0 {
			how = append(how, strings.Join(it.Takes, "; "))
		}
		for _, m := range it.Mixes {
			how = append(how, m.text())
		}
		how = append(how, it.Notes...)
		title := it.Title
		if it.Critical {
			title += " (holds up the finish)"
		}
		rows = append(rows, []string{it.Time, title + "\n" + joinNonEmpty(", ", it.Room, it.Site), strings.Join(how, "\n"), "☐"})
	}
	p.table([]column{{head: "time", share: 2.7, bold: true}, {head: "what and where", share: 5.5}, {head: "with what, and what to watch", share: 9.6}, {head: "done", share: 0.9}}, rows)
}

func (b Bucket) text() string {
	s := b.Name + " " + b.At + ": " + joinNonEmpty(", ", b.Mass+" "+b.Product, b.Water)
	if b.UseBy != "" {
		s += ", used up by " + b.UseBy
	}
	if b.For != "" {
		s += " (pieces " + b.For + ")"
	}
	return s
}

func (d *Day) pdfCarry(p *paper) {
	if len(d.Carry) == 0 {
		return
	}
	title := "Carry in"
	if d.CarryKg != "" {
		title += ", " + d.CarryKg + " in all"
	}
	p.heading(title)
	var rows [][]string
	for _, c := range d.Carry {
		rows = append(rows, []string{"☐", c.Amount, c.Name, c.Lot, c.Mass})
	}
	p.table([]column{{head: "", share: 0.7}, {head: "how much", share: 3, bold: true}, {head: "what", share: 8}, {head: "lot", share: 3}, {head: "weight", share: 2, right: true}}, rows)
}

func (d *Day) pdfAreas(p *paper) {
	if len(d.Areas) == 0 {
		return
	}
	p.heading("Setting areas: patches and mixes")
	var rows [][]string
	for _, a := range d.Areas {
		what := joinNonEmpty(", ", a.Title+" ("+a.Room+") "+a.Time+": pieces "+a.Numbers, a.M2, joinNonEmpty(" ", a.Mass, a.Mortar))
		rows = append(rows, []string{what + "\n" + joinNonEmpty(". ", a.Open, a.Grout, endsAt(a.StopAt))})
		for _, s := range a.Patches {
			how := s.Mix
			for _, m := range a.Mixes {
				if m.Name == s.Mix && firstOf(a.Patches, s) {
					how = m.text()
				}
			}
			rows = append(rows, []string{s.At, s.SetBy, joinNonEmpty(", ", "pieces "+s.Numbers, s.M2), how})
		}
	}
	p.table([]column{{head: "spread at", share: 1.7}, {head: "set by", share: 1.7, bold: true}, {head: "what", share: 6}, {head: "from which mix", share: 9}}, rows)
}

func endsAt(s string) string {
	if s == "" {
		return ""
	}
	return "Ends at: " + s
}

// firstOf says whether s is the first patch of its mix, beside which the mix
// is written out.
func firstOf(patches []Spread, s Spread) bool {
	for _, q := range patches {
		if q.Mix == s.Mix {
			return q == s
		}
	}
	return false
}

// pdfDrawings sets drawings two in a row where their numbers can still be
// read, else over the full width.
func (d *Day) pdfDrawings(p *paper) {
	if len(d.Drawings) == 0 {
		return
	}
	half, high := (p.inner()-4)/2, 84.0
	if len(d.Drawings) == 1 {
		_, tall := d.Drawings[0].picture.size(p.inner(), 132)
		if left := p.room() - 20; left > 80 && left < tall {
			tall = left
		}
		p.headingOver("Drawing", tall+6)
		d.pdfDrawing(p, p.inner(), min(tall, 132), &d.Drawings[0])
		return
	}
	_, tall := d.Drawings[0].picture.size(half, high)
	p.headingOver("Drawings", tall+6)
	for i := 0; i < len(d.Drawings); i++ {
		a := &d.Drawings[i]
		if !a.picture.readable(half, high) {
			d.pdfDrawing(p, p.inner(), 132, a)
			continue
		}
		if i+1 < len(d.Drawings) && d.Drawings[i+1].picture.readable(half, high) {
			d.pdfDrawing(p, half, high, a, &d.Drawings[i+1])
			i++
			continue
		}
		d.pdfDrawing(p, half, high, a)
	}
}

func (d *Day) pdfDrawing(p *paper, w, h float64, row ...*Drawing) {
	tall := 0.0
	for _, dr := range row {
		_, ph := dr.picture.size(w, h)
		tall = max(tall, ph)
	}
	p.need(tall + 5)
	x := pageSide
	for _, dr := range row {
		t := Type{Size: body, Bold: true, Ink: Dark}
		title := p.wrap(joinNonEmpty(": ", dr.Title, strings.Join(dr.Areas, ", ")), w, t)[0]
		p.c.Text(Pt{x, p.y + body}, title, t)
		p.c.dx, p.c.dy = x, p.y+4
		dr.picture.draw(p.c, w, h)
		p.c.dx, p.c.dy = 0, 0
		x += w + 4
	}
	p.y += tall + 5
}

func (d *Day) pdfCuts(p *paper) {
	if len(d.Cuts) == 0 {
		return
	}
	p.heading("Cut list, sizes in " + d.Unit + " from the factory edge")
	if d.Saving != "" {
		p.para(d.Saving, Type{Size: body, Ink: Mid}, 0)
	}
	for _, b := range d.Cuts {
		var rows [][]string
		for _, s := range b.Settings {
			size := s.Size
			if s.Ahead {
				size += " ahead"
			}
			rows = append(rows, []string{size, fmt.Sprint(s.Count), joinNonEmpty("\n", s.Shape, s.Text), s.Tile})
		}
		p.table([]column{{head: b.Tool + ", stop at", share: 3.4, bold: true}, {head: "how many", share: 1.6, right: true}, {head: "pieces", share: 9}, {head: "tile", share: 4}}, rows)
	}
}

func (d *Day) pdfOnSite(p *paper) {
	if len(d.OnSite) == 0 {
		return
	}
	p.heading("Measure on site before cutting")
	var rows [][]string
	for _, e := range d.OnSite {
		rows = append(rows, []string{e.Name, e.Where, e.Size, e.Why, "……………"})
	}
	p.table([]column{{head: "piece", share: 2, bold: true}, {head: "where", share: 4}, {head: "expected", share: 4}, {head: "why", share: 5}, {head: "measured", share: 2}}, rows)
}

func (d *Day) pdfCautions(p *paper) {
	p.heading("Take care")
	p.bullets(d.Cautions, "–")
	p.para(d.Rule, Type{Size: body, Bold: true, Ink: Dark}, 0)
}
