package sheet

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
)

// PDF writes the sheet on A4, or on Letter for a firm that works in inches.
// Where more than two pages would be needed the cut list goes before the
// drawings, and drawings are made smaller, if that saves a page. The bytes
// depend on the sheet alone.
func (d *Day) PDF(w io.Writer) error {
	p, err := d.best()
	if err != nil {
		return err
	}
	return p.finish(w)
}

// best is the sheet laid out on as few pages as it takes, two at best, with the
// drawings as large as that allows.
func (d *Day) best() (*paper, error) {
	var best *paper
	for _, try := range []struct {
		share     float64
		cutsFirst bool
	}{{1, false}, {0.85, false}, {1, true}, {0.85, true}, {0.7, false}, {0.7, true}, {0.62, false}, {0.62, true}, {0.5, false}, {0.5, true}} {
		p, err := d.pages(try.share, try.cutsFirst)
		if err != nil {
			return nil, err
		}
		if best == nil || p.f.PageCount() < best.f.PageCount() {
			best = p
		}
		if best.f.PageCount() <= 2 {
			break
		}
	}
	return best, nil
}

// pages lays the sheet out with drawings at a share of their usual height.
func (d *Day) pages(share float64, cutsFirst bool) (*paper, error) {
	stamp, err := time.Parse(time.DateOnly, d.Date)
	if err != nil {
		return nil, fmt.Errorf("day sheet: date %q: %w", d.Date, err)
	}
	p := newPaper(d.w.Imperial, "Day sheet, "+d.CrewName+", "+d.DateText, d.Firm, stamp)
	p.share = share
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
	if cutsFirst {
		d.pdfCuts(p)
		d.pdfDrawings(p)
	} else {
		d.pdfDrawings(p)
		d.pdfCuts(p)
	}
	d.pdfOnSite(p)
	d.pdfCautions(p)
	return p, nil
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
	if len(d.There) > 0 {
		p.para("There: "+strings.Join(d.There, ", "), Type{Size: body, Ink: Dark}, 0)
	}
	if len(d.Away) > 0 {
		p.para("Away: "+strings.Join(d.Away, ", "), Type{Size: body, Bold: true, Ink: Dark}, 0)
	}
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
	if len(d.Moved) > 0 {
		p.heading("Not today: moved to another day")
		p.bullets(d.Moved, "–")
	}
	if len(d.Read) > 0 {
		p.heading("Readings first")
		p.bullets(d.Read, "☐")
	}
	if len(d.Waits) > 2 {
		p.heading("Waits")
		p.bullets(d.Waits, "–")
	} else if len(d.Waits) > 0 { // no heading for so little: the day is to take two pages
		p.para("Waits: "+strings.Join(d.Waits, " · "), Type{Size: body, Ink: Dark}, 0)
	}
}

func (d *Day) pdfWork(p *paper) {
	p.heading("The day in order")
	var rows [][]string
	critical := false
	for _, it := range d.Items {
		var how []string
		if first := joinNonEmpty(": ", strings.Join(it.Areas, "; "), strings.Join(it.Takes, "; ")); first != "" {
			how = append(how, first)
		}
		for _, m := range it.Mixes {
			how = append(how, m.text())
		}
		how = append(how, it.Notes...)
		title := it.Title
		if it.Critical {
			title = "► " + title
			critical = true
		}
		rows = append(rows, []string{it.Time, title + "\n" + joinNonEmpty(", ", it.Room, it.Site), strings.Join(how, "\n"), "☐"})
	}
	p.table([]column{{head: "time", share: 2.6, bold: true}, {head: "what and where", share: 5.3}, {head: "with what, and what to watch", share: 10.1}, {head: "done", share: 0.8}}, rows)
	if critical {
		p.para("► holds up the finish of the job", Type{Size: small, Ink: Mid}, 0)
	}
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
	var blocks []block
	for _, c := range d.Carry {
		blocks = append(blocks, p.loadBlock(c))
	}
	p.twoColumns(blocks)
}

func (d *Day) pdfAreas(p *paper) {
	if len(d.Areas) == 0 {
		return
	}
	p.heading("Setting areas")
	var rows [][]string
	for _, m := range d.Mixes {
		rows = append(rows, []string{"☐", m.Name, m.At, m.Mass, m.Product, m.Water, m.UseBy, m.For})
	}
	if len(rows) > 0 {
		p.table([]column{{head: "", share: 0.7}, {head: "mixes", share: 1.8, bold: true}, {head: "at", share: 2.2}, {head: "powder", share: 2.2, bold: true}, {head: "", share: 5}, {head: "water", share: 3}, {head: "used up by", share: 2.2, bold: true}, {head: "for pieces", share: 4}}, rows)
	}
	for _, a := range d.Areas {
		what := joinNonEmpty(", ", a.Title+" ("+a.Room+") "+a.Time+": pieces "+a.Numbers, a.M2, joinNonEmpty(" ", a.Mass, a.Mortar))
		p.tableBand(what + "\n" + joinNonEmpty(". ", a.Open, a.Grout, endsAt(a.StopAt)))
		p.patchGrid(a.Patches)
	}
}

func endsAt(s string) string {
	if s == "" {
		return ""
	}
	return "Ends at: " + s
}

// patchGrid writes patches three in a row, or two where three do not fit.
func (p *paper) patchGrid(patches []Spread) {
	across := 3
	for _, s := range patches {
		before, bold, after := s.parts()
		p.c.font(Type{Size: body, Bold: true, Ink: Dark})
		if p.f.GetStringWidth(before+bold+after) > p.inner()/3-1 {
			across = 2
		}
	}
	w := p.inner() / float64(across)
	for i := 0; i < len(patches); i += across {
		p.need(body*leading + 1)
		for k, s := range patches[i:min(i+across, len(patches))] {
			x := pageSide + float64(k)*w
			before, bold, after := s.parts()
			for n, text := range []string{before, bold, after} {
				p.c.Text(Pt{x, p.y + 0.3 + body}, text, Type{Size: body, Bold: n == 1, Ink: Dark})
				x += p.f.GetStringWidth(text)
			}
		}
		p.y += body*leading + 1
		p.c.Line(Pt{pageSide, p.y}, Pt{p.w - pageSide, p.y}, Pen{W: 0.1, Ink: Pale})
	}
	p.y += 0.8
}

// parts writes a patch in a line, the middle part of which is bold.
func (s Spread) parts() (before, bold, after string) {
	at := s.At
	if n := len(at) - 3; n > 0 && strings.HasSuffix(at, "m") && strings.HasSuffix(s.SetBy, at[n:]) {
		at = at[:n] // "7:40, set by 8:01 am"
	}
	return at + ", set by ", s.SetBy, ": " + joinNonEmpty(", ", s.Numbers, s.M2, s.Mix)
}

func (d *Day) pdfCuts(p *paper) {
	if len(d.Cuts) == 0 {
		return
	}
	title := "Cut list, sizes in " + d.Unit + " from the factory edge"
	if slices.ContainsFunc(d.Cuts, func(b Bench) bool {
		return slices.ContainsFunc(b.Settings, func(s Setting) bool { return s.Ahead && s.Size != "" })
	}) {
		title += "; L R T B: the edge that is cut"
	}
	p.heading(title)
	key := ""
	for _, b := range d.Cuts {
		for _, s := range b.Settings {
			if strings.Contains(s.Text, "(offcut of ") {
				key = "(← 12: from the offcut of piece 12)"
			}
		}
	}
	if text := joinNonEmpty("   ", d.Saving, key); text != "" {
		p.para(text, Type{Size: body, Ink: Mid}, 0)
	}
	var blocks []block
	for _, b := range d.Cuts {
		blocks = append(blocks, p.cutBlocks(b)...)
	}
	p.twoColumns(blocks)
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

// cautionsFit says whether the cautions fit what is left of the page.
func (d *Day) cautionsFit(p *paper) bool {
	blocks := d.cautionBlocks(p)
	rule := len(p.wrap(d.Rule, p.inner(), Type{Size: body, Bold: true, Ink: Dark}))
	_, right, high := split(blocks, p.room())
	return right > 0 && p.room() > 14+high+float64(rule)*body*leading
}

func (d *Day) cautionBlocks(p *paper) []block {
	var blocks []block
	for _, c := range d.Cautions {
		blocks = append(blocks, p.bulletBlock(c))
	}
	return blocks
}

// pdfCautions writes the cautions once.
func (d *Day) pdfCautions(p *paper) {
	if p.cautioned {
		return
	}
	p.cautioned = true
	p.heading("Take care")
	p.twoColumns(d.cautionBlocks(p))
	p.para(d.Rule, Type{Size: body, Bold: true, Ink: Dark}, 0)
}
