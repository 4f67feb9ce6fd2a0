package takeoff

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"
	"sync"

	"potlife/rooms"
)

// TakeIn is everything quantities depend on; the same input gives the same
// answer.
type TakeIn struct {
	Jobs      []rooms.Job
	Layouts   []Layout
	Given     bool // the layouts are Take's own from here on: it writes into them, not into a copy
	Catalogue Catalogue
	// Days are the firm's working days, on which it takes goods in; none: any day.
	Days  rooms.Days
	Today rooms.Date
	// Imperial prints cut sizes to 1/16 in instead of whole mm.
	Imperial bool
	// Rank is the setting order of the pieces, lower first, by layout, zone and piece;
	// nil takes the order in which they are listed.
	Rank [][][]int
	// Broken counts by piece how many of it broke so far.
	Broken map[string]int
	// Kept are stock tiles cut or laid already. They stay as they are, except
	// that a piece which broke since, or no longer fits its place, leaves them.
	Kept []StockTile
	// Placed are orders already placed: what they bring is not ordered again,
	// and a lot named on a line is a lot that groups can be given.
	Placed []Order
	// Measured are lots that came in with their calibre and mean size; boxes do not
	// count here.
	Measured []Lot
	// AcclimatiseDays lie between the delivery of tile and its first use, 0
	// takes 2 (on site at least 48 h before use), and OpenDays between the delivery
	// of anything and its first use, besides, 0 takes 1 (a day to open and check);
	// negative is none. Common practice; a tile's or product's own WaitDays stand
	// before them.
	AcclimatiseDays, OpenDays int
	// Kerf of a wet saw or grinder; 0 takes DefaultKerf.
	Kerf rooms.Length
	// Sharing says how far offcuts are carried: "" through the rooms of a lot
	// group, ShareRoom inside a room, ShareSurface inside a surface, ShareLot from
	// kept tiles (with ReuseKept) to any group of the same tile and lot too.
	Sharing string
	// SmallestOffcut is the shorter side of the smallest offcut worth keeping; 0
	// takes DefaultSmallest.
	SmallestOffcut rooms.Length
	// ReuseKept says that what is left of kept tiles still lies there and may be
	// cut further.
	ReuseKept bool
	// NestSteps bounds each search for offcuts; 0 shares sixty million among
	// all tiles and groups, at least three hundred thousand and at most six
	// million to each.
	NestSteps int64
	// Steps are products that the jobs' own recipes name for surfaces.
	Steps []StepNeed
	// Memory, where given, keeps nests for the next takeoff.
	Memory *Memory
}

// How far offcuts are carried.
const (
	ShareRoom    = "room"
	ShareSurface = "surface"
	ShareLot     = "lot"
)

// Taken is the takeoff of all jobs.
type Taken struct {
	// Layouts are the layouts given, with the sizes of cuts chosen.
	Layouts   []Layout
	Stock     []StockTile
	Rows      []Row
	Materials []Material
	Stops     []StopGroup
	// Savings has a line for each tile and tool: "41 cuts, 6 settings".
	Savings  []StopSaving
	Needs    []Need
	Lots     []LotAnswer
	Findings []Finding

	catalogue       Catalogue
	placed          []Order
	places          []place
	days            rooms.Days  // the firm's
	packagesAt      map[Use]int // by product and place
	hasRow          map[rowKey]bool
	losses          map[rowKey]loss
	due             map[string]rooms.Date
	siteOf, jobOf   map[string]string
	roomName        map[string]string // what people call the rooms
	groupOf         map[string]string // of surfaces
	flat            map[Use]float64   // tiles by the flat percentage, by tile and surface
	acclimatiseDays int
	openDays        int
	kerf, smallest  rooms.Length
	memory          *Memory
}

// Need is what one surface takes of a product other than tile: Net in the
// product's unit, and With with its margin.
type Need struct {
	Product, Kind, Room, Surface string
	Net, With                    float64
	How                          string
	// Piece names a stretch of trim, which takes Whole bars and a rest that is cut to
	// Cut, 0 where nothing is left; Measure says that it is measured first, and Cut is
	// what is expected.
	Piece   string
	Whole   int
	Cut     rooms.Length
	Measure bool
}

// takenPiece is a piece with the keys that decide where it is counted.
type takenPiece struct {
	*Piece
	room, group string
	surface     string
	kept        bool          // cut or laid already: its sizes are what they are
	uncut       bool          // of these, one that is settled only: it may still break
	elsewhere   bool          // cut from a tile of another group
	again       int           // it broke this many times
	rank        int           // its place in the setting order
	onTile      rooms.Polygon // of a cut piece, once its sizes are chosen: shapeOnTile
}

// takenRoom is a room with its keys.
type takenRoom struct {
	*rooms.Room
	key, group string
	job, site  string // "job", "job/site"
}

// taker carries one run of Take.
type taker struct {
	own      map[string][]StepNeed // by recipes, by surface, once they are asked for
	in       TakeIn
	out      *Taken
	tiles    map[string]*Tile
	products map[string]*Product
	rooms    map[string]*takenRoom
	roomKeys []string
	surfaces []takenSurface
	splits   map[string]string // accepted, by what is seen together
	pieces   []*takenPiece
	byID     map[string]*takenPiece
	flat     map[rowKey]float64 // tiles by the flat percentage
	kept     []StockTile
	named    map[string]bool   // names of stock tiles kept and broken
	steps    int64             // of each search for offcuts
	rowLot   map[rowKey]string // the lots that groups get, where offcuts of a lot go to any group
	donated  map[rowKey]string // the lots of the offcuts that groups took from others
	// brokenOffcut are the offcuts in hand from which a piece was cut that broke, by
	// the name of the broken tile.
	brokenOffcut map[string]*YardOffcut
	onTile       map[string]bool // offcuts in hand that the tiles given are, by key
}

// Take counts what the layouts need: it chooses the sizes of cuts so that the
// fewest stop settings serve them, the stock tiles they come from, spares,
// boxes and lots, and the quantities of all other products. It returns an
// error that names every field which does not make sense, and changes nothing
// it was given.
func Take(ctx context.Context, in TakeIn) (*Taken, error) {
	t := &taker{in: in, out: &Taken{}}
	if err := t.index(); err != nil {
		return nil, err
	}
	if in.Memory != nil {
		in.Memory.begin()
	}
	if err := t.knowLots(ctx); err != nil {
		return nil, err
	}
	t.keepSizes()
	t.chooseStops()
	if err := t.cutStock(ctx); err != nil {
		return nil, err
	}
	t.dropTrims()
	t.giveLots(ctx)
	if err := t.materials(ctx); err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, fmt.Errorf("takeoff: %w", err)
	}
	if err := t.needSuppliers(); err != nil {
		return nil, err
	}
	return t.out, nil
}

// index copies the layouts where they are not given away, so that sizes can be
// written into them, and looks up what everything names.
func (t *taker) index() error {
	if err := t.checkInput(); err != nil {
		return err
	}
	t.out.catalogue, t.out.placed, t.out.days = t.in.Catalogue, t.in.Placed, t.in.Days
	t.out.acclimatiseDays = max(0, cmp.Or(t.in.AcclimatiseDays, acclimatiseDays))
	t.out.openDays = max(0, cmp.Or(t.in.OpenDays, openDays))
	t.out.packagesAt, t.out.losses = map[Use]int{}, map[rowKey]loss{}
	t.out.kerf, t.out.smallest, t.out.memory = t.kerf(), cmp.Or(t.in.SmallestOffcut, DefaultSmallest), t.in.Memory
	t.out.Layouts = t.in.Layouts
	if !t.in.Given {
		t.out.Layouts = slices.Clone(t.in.Layouts)
	}
	Each(len(t.out.Layouts), 1, func(i int) { t.ready(&t.out.Layouts[i]) })
	t.out.due, t.out.siteOf, t.out.jobOf, t.out.groupOf = map[string]rooms.Date{}, map[string]string{}, map[string]string{}, map[string]string{}
	t.out.flat, t.out.roomName = map[Use]float64{}, map[string]string{}
	for _, k := range t.roomKeys {
		r := t.rooms[k]
		t.out.due[k], t.out.siteOf[k], t.out.jobOf[k], t.out.roomName[k] = r.Due, r.site, r.job, r.Name
	}
	for i := range t.surfaces {
		t.out.groupOf[t.surfaces[i].key] = t.surfaces[i].group
	}
	return t.indexPieces()
}

// indexPieces looks up every piece of the layouts.
func (t *taker) indexPieces() error {
	from, n := make([]int, len(t.out.Layouts)), 0
	for i := range t.out.Layouts {
		from[i] = n
		for _, z := range t.out.Layouts[i].Zones {
			n += len(z.Pieces)
		}
	}
	t.pieces = make([]*takenPiece, n)
	list, flat := make([]takenPiece, n), make([][]tileShare, len(t.out.Layouts))
	var named sync.WaitGroup
	var twice error
	named.Go(func() { twice = t.nameAll(list) })
	Each(len(t.out.Layouts), 1, func(i int) { flat[i] = t.indexLayout(i, from[i], list) })
	if named.Wait(); twice != nil {
		return twice
	}
	t.flat = map[rowKey]float64{}
	for i := range flat {
		for _, f := range flat[i] {
			t.flat[rowKey{f.tile, t.surfaces[i].group}] += f.tiles
			t.out.flat[Use{f.tile, layoutSurface(&t.out.Layouts[i])}] += f.tiles
		}
	}
	return nil
}

// nameAll says by the ids of all pieces which of the list they are.
func (t *taker) nameAll(list []takenPiece) error {
	t.byID = make(map[string]*takenPiece, len(list))
	next := 0
	for i := range t.out.Layouts {
		for _, z := range t.out.Layouts[i].Zones {
			for p := range z.Pieces {
				id := z.Pieces[p].ID
				if t.byID[id] != nil {
					return fmt.Errorf("takeoff: piece %s stands twice in the layouts", id)
				}
				t.byID[id] = &list[next]
				next++
			}
		}
	}
	return nil
}

// indexLayout fills in the pieces of a layout, the first of which has the number given,
// and returns its tiles by the flat percentage.
func (t *taker) indexLayout(i, next int, list []takenPiece) (flat []tileShare) {
	l := &t.out.Layouts[i]
	r, surface, group := t.rooms[layoutRoom(l)], layoutSurface(l), t.surfaces[i].group
	for z := range l.Zones {
		flat = append(flat, t.flatTiles(&l.Zones[z])...)
		for p := range l.Zones[z].Pieces {
			piece := &l.Zones[z].Pieces[p]
			list[next] = takenPiece{Piece: piece, room: r.key, group: group, surface: surface, again: t.in.Broken[piece.ID]}
			if t.in.Rank != nil {
				list[next].rank = t.in.Rank[i][z][p]
			}
			t.pieces[next] = &list[next]
			next++
		}
	}
	return flat
}

// ready gives a layout pieces and cuts of its own, which Take writes to, and the
// pieces the trims they were laid out with.
func (t *taker) ready(l *Layout) {
	if !t.in.Given {
		l.Zones = slices.Clone(l.Zones)
	}
	for z := range l.Zones {
		zone := &l.Zones[z]
		if !t.in.Given {
			zone.Pieces = slices.Clone(zone.Pieces)
		}
		copyCuts(zone.Pieces)
		for p := range zone.Pieces {
			zone.Pieces[p].restoreTrims()
		}
	}
}

// copyCuts gives pieces cuts of their own, all in one list.
func copyCuts(pieces []Piece) {
	n := 0
	for p := range pieces {
		n += len(pieces[p].Cuts)
	}
	cuts := make([]Cut, 0, n)
	for p := range pieces {
		if q := &pieces[p]; q.Cuts != nil {
			from := len(cuts)
			cuts = append(cuts, q.Cuts...)
			q.Cuts = cuts[from:len(cuts):len(cuts)]
		}
	}
}

// layoutRoom is the room's key in the plan, "job/room".
func layoutRoom(l *Layout) string { return joinKey(l.Job, l.Room) }

// layoutSurface is the surface's key in the plan, "job/room/surface".
func layoutSurface(l *Layout) string { return joinKey(layoutRoom(l), l.Surface) }

// joinKey puts the parent's key before the child's unless it stands there.
func joinKey(parent, child string) string {
	if strings.HasPrefix(child, parent+"/") {
		return child
	}
	return parent + "/" + child
}

// groupKey names what is seen together: rooms of one job with the same Group,
// else the room alone. A room's key holds one slash, a group's two, so the two
// cannot meet.
func groupKey(job string, r *rooms.Room) string {
	if r.Group != "" {
		return job + "/group/" + r.Group
	}
	return joinKey(job, r.Key)
}

// groupAt keeps rooms on two sites apart that name the same group: they are not
// seen together.
func groupAt(group, site, name string, first map[string]string) string {
	if first[group] == "" {
		first[group] = site
	}
	if first[group] != site {
		return group + "/" + name
	}
	return group
}

// rowKey is what one line of the takeoff covers.
type rowKey struct{ tile, group string }

func compareRowKeys(a, b rowKey) int {
	return cmp.Or(cmp.Compare(a.tile, b.tile), cmp.Compare(a.group, b.group))
}

// Days from delivery to first use where nobody says otherwise, common practice:
// 48 h in the room's climate for tile, a day to open and check for everything.
const (
	acclimatiseDays = 2
	openDays        = 1
)

// GroupOf is the lot group of a surface, "job/room/surface".
func (t *Taken) GroupOf(surface string) string { return t.groupOf[surface] }

// tileWait is the days from a tile's delivery to its first use.
func (t *Taken) tileWait(tile *Tile) int {
	return max(0, cmp.Or(tile.WaitDays, t.acclimatiseDays+t.openDays))
}

// productWait is the days from a product's delivery to its first use.
func (t *Taken) productWait(p *Product) int { return max(0, cmp.Or(p.WaitDays, t.openDays)) }

// find adds a finding.
func (t *taker) find(f Finding) { t.out.Findings = append(t.out.Findings, f) }
