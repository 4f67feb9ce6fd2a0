package scheduler

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"potlife/rooms"
	"potlife/takeoff"
)

// Uncovered is a room whose membrane cannot be covered in time, whatever else the
// firm does.
type Uncovered struct {
	Job, Room string // keys
	Text      string
}

// LongCovers plans by itself each room whose wet surfaces take long against the time
// in which their membrane is to be covered, and lists those of which no plan can
// keep that time. Quantities, rates, gangs and hours are the plan's own. Rooms that
// are far from it are not planned. The error is the context's.
func LongCovers(ctx context.Context, in Input) ([]Uncovered, error) {
	var out []Uncovered
	for _, j := range in.Jobs {
		for _, s := range j.Sites {
			for i := range s.Rooms {
				if !coversLong(&in.Firm, &s.Rooms[i]) {
					continue
				}
				alone, job, site := in, j, s
				site.Rooms = s.Rooms[i : i+1]
				job.Sites = []rooms.Site{site}
				alone.Jobs = []rooms.Job{job}
				_, err := Make(ctx, alone)
				if ctx.Err() != nil {
					return out, ctx.Err()
				}
				var not *Infeasible
				if errors.As(err, &not) {
					out = append(out, Uncovered{j.Key, s.Rooms[i].Key, not.Text})
				}
			}
		}
	}
	return out, nil
}

// longShare is the share of a window's working hours from which setting a room's wet
// surfaces may not fit in it. Whole tiles alone are reckoned: setting up and cleaning
// every area, cuts, ledgers and a single setter make up to eight times as much of it.
const longShare = 0.08

// coversLong reports whether setting what is wet in a room, reckoned as whole tiles
// without any cut, takes a good part of the time in which the firm's membrane is to
// be covered.
func coversLong(f *Firm, r *rooms.Room) bool {
	within, setters := 0, 1
	for _, p := range f.Catalogue.Products {
		if p.Kind == takeoff.KindMembrane && p.Sheet.CoverWithin > 0 && (within == 0 || p.Sheet.CoverWithin < within) {
			within = p.Sheet.CoverWithin
		}
	}
	for _, c := range f.Crews {
		setters = max(setters, c.Setters)
	}
	if within == 0 {
		return false
	}
	rates, minutes := f.Rates.filled(), 0.0
	for i := range r.Surfaces {
		if s := &r.Surfaces[i]; s.Wet || slices.Contains(s.Prepare, kindMembrane) {
			minutes += wholeTileMinutes(f, rates, s)
		}
	}
	return minutes/float64(setters) > longShare*float64(within)*8/24
}

// wholeTileMinutes is what a surface's area takes in whole tiles of the slowest of
// its zones.
func wholeTileMinutes(f *Firm, r Rates, s *rooms.Surface) float64 {
	m2, perM2 := s.Outline.AreaMM2()/1e6, 0.0
	for i := range f.Catalogue.Tiles {
		t := &f.Catalogue.Tiles[i]
		if !slices.ContainsFunc(s.Zones, func(z rooms.Zone) bool { return z.Tile == t.Key }) {
			continue
		}
		p := takeoff.Piece{AreaMM2: t.Shape.AreaMM2()}
		if p.AreaMM2 > 0 {
			perM2 = max(perM2, pieceMinutes(r, s.Kind, &p, sizeClass(t), s.Difficulty)/p.AreaMM2*1e6)
		}
	}
	return m2 * perM2
}

// cover is the setting that one coat of membrane waits for: of all areas that are to
// begin while it may stay open, what of them lies on it.
type cover struct {
	coat          *task
	within        int     // after the coat, by the strictest sheet
	least, most   int     // after the coat, between which all of it begins
	minutes, last float64 // together, and of the longest: the last one need only begin
	crew          string
}

// longCover says, of rooms that cannot be planned, what takes longer to set than its
// membrane may stay open, and what helps; "" where nothing does.
func (n *network) longCover(keys []string) string {
	var list []*cover
	for _, t := range n.inRooms(keys) {
		if t.kind != kindSet || t.fixed != nil || t.area == nil {
			continue
		}
		for _, l := range t.after {
			if l.task.kind != kindMembrane || l.most < 0 {
				continue
			}
			i := slices.IndexFunc(list, func(c *cover) bool { return c.coat == l.task && c.crew == t.crew })
			if i < 0 {
				i = len(list)
				list = append(list, &cover{coat: l.task, within: l.most, least: l.least, most: l.most, crew: t.crew})
			}
			c, on := list[i], float64(t.minutes)*t.area.shareOn(l.task.surfaces)
			c.within, c.least, c.most = min(c.within, l.most), min(c.least, l.least), max(c.most, l.most)
			c.minutes, c.last = c.minutes+on, max(c.last, on)
		}
	}
	for _, c := range list {
		if c.most <= c.least || c.minutes-c.last <= float64(n.works.mostWorked(c.crew, c.most-c.least)) {
			continue
		}
		return fmt.Sprintf(". %s is to be covered within %s, and setting %s takes %s %s of work: divide the room into rooms that are coated and set one after the other, or take a membrane that may stay open longer or a crew with more setters",
			n.works.membraneOf(c.coat), words(c.within), surfaceNames(c.coat), n.works.called.crew(c.crew), words((int(c.minutes)+29)/30*30))
	}
	return ""
}

// shareOn is the share of an area's work that lies on some surfaces.
func (a *areaPlan) shareOn(surfaces []string) float64 {
	on, all := 0.0, 0.0
	for _, it := range a.items {
		m := it.set + it.cut
		if all += m; slices.Contains(surfaces, it.surface) {
			on += m
		}
	}
	if all == 0 {
		return 1
	}
	return on / all
}

// surfaceNames are those of a task, the first few.
func surfaceNames(t *task) string {
	var names []string
	for _, f := range t.room.surfaces {
		if slices.Contains(t.surfaces, f.key) {
			names = append(names, nameOf(f.src))
		}
	}
	const most = 4
	if n := len(names) - most; n > 1 {
		names = append(names[:most:most], fmt.Sprintf("%d more", n))
	}
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}

// mostWorked is the most that a crew works in any span of so many minutes: one that
// begins with a shift, of the first weeks.
func (w *works) mostWorked(crew string, span int) int {
	most := 0
	for i, v := range from(w.hours[crew], w.opens(crew)) {
		if i == 60 {
			break
		}
		most = max(most, Working(w.hours[crew], v.Start, v.Start+span))
	}
	return most
}

// membraneOf names the membrane that a task puts on.
func (w *works) membraneOf(t *task) string {
	for _, u := range t.products {
		if p, ok := w.products[u.Product]; ok && p.Kind == takeoff.KindMembrane {
			return p.Name
		}
	}
	return "the membrane"
}
