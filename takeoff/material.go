package takeoff

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"potlife/rooms"
)

// More kinds of product, bought by the piece.
const (
	KindScrew = "screw"
	KindClip  = "levelling clip"
	KindWedge = "wedge"
	KindBlade = "blade" // by the metres it lasts
)

// ProductKinds lists the kinds of product other than tile, and UnitsOf the units
// in which one of them is sold.
func ProductKinds() []string {
	return []string{
		KindMortar, KindGrout, KindSealant, KindMembrane, KindPrimer, KindLeveller, KindBoard, KindTrim, KindBacker,
		KindSpacer, KindScrew, KindClip, KindWedge, KindBlade,
	}
}

// margins are what is bought beyond the net quantity, by kind: grout 10 % as
// consumption charts add, sealant 10 to 20 % lost at the nozzle, all else common
// practice. Mixes are drawn from what is bought, so the margin also covers them.
var margins = map[string]float64{
	KindMortar: 0.10, KindGrout: 0.10, KindSealant: 0.15, KindMembrane: 0.10, KindPrimer: 0.10, KindLeveller: 0.10,
	KindBoard: 0.10, KindBacker: 0.05, KindSpacer: 0.10, KindScrew: 0.10, KindClip: 0.10, KindWedge: 0.10,
}

// takenSurface is a surface with its layout.
type takenSurface struct {
	*rooms.Surface
	layout *Layout
	room   *takenRoom
	key    string
	group  string // lot group: the room's, or its part where a split is accepted
}

// addSurface pairs a layout with its surface; false where the room has none of
// that key.
func (t *taker) addSurface(l *Layout, r *takenRoom) bool {
	for i := range r.Surfaces {
		s := &r.Surfaces[i]
		if k := joinKey(r.key, s.Key); k == layoutSurface(l) {
			of := takenSurface{Surface: s, layout: l, room: r, key: k, group: r.group}
			if part := partIn(t.splits[r.group], &of); part != "" {
				of.group += "/" + part
			}
			t.surfaces = append(t.surfaces, of)
			return true
		}
	}
	return false
}

// m2 is the area to be covered, less openings, in m².
func (s *takenSurface) m2() float64 {
	a := s.layout.Outline.AreaMM2()
	if len(s.layout.Outline.Outer) == 0 {
		a = s.Outline.AreaMM2()
	}
	for _, o := range s.layout.Openings {
		a -= o.Outline.AreaMM2()
	}
	return max(0, a) / 1e6
}

// edgeMetres is the length of edge i in m, after correction where the layout has
// the same edges.
func (s *takenSurface) edgeMetres(i int) float64 {
	ring := s.layout.Outline.Outer
	if len(ring) != len(s.Outline) {
		ring = s.Outline
	}
	return segmentMetres(ring[i], ring[(i+1)%len(ring)])
}

func segmentMetres(a, b rooms.Point) float64 {
	dx, dy := (b.X - a.X).Metres(), (b.Y - a.Y).Metres()
	return math.Sqrt(float64(dx*dx) + float64(dy*dy))
}

// vertical surfaces are walls and what stands like them.
func (s *takenSurface) vertical() bool {
	switch s.Kind {
	case rooms.Floor, rooms.ShowerFloor, rooms.Ceiling, rooms.Bench, rooms.Kerb:
		return false
	}
	return true
}

// Of returns the first product of a kind in the catalogue: the one taken where
// no zone or edge names another.
func (c *Catalogue) Of(kind string) *Product {
	for i := range c.Products {
		if c.Products[i].Kind == kind {
			return &c.Products[i]
		}
	}
	return nil
}

// need notes what a surface takes of a product, the net rounded to a thousandth
// of the unit, so that no processor's last digit decides a package.
func (t *taker) need(p *Product, s *takenSurface, net float64, how string) {
	net = math.Round(net*1000) / 1000
	if net <= 0 {
		return
	}
	margin := margins[p.Kind]
	if p.toThePiece() {
		margin = 0
	}
	with := math.Round(net*(1+margin)*1000) / 1000
	t.out.Needs = append(t.out.Needs, Need{Product: p.Key, Kind: p.Kind, Room: s.room.key, Surface: s.key, Net: net, With: with, How: how})
}

// needKind notes what a surface takes of the first product of a kind; where the
// catalogue has none it says so.
func (t *taker) needKind(kind string, s *takenSurface, rate func(*Product) (net float64, how string)) {
	p := t.productFor(kind, s)
	if p == nil {
		t.findLack(s, kind, "the job's own recipe")
		return
	}
	net, how := rate(p)
	t.need(p, s, net, how)
}

// findLack says of a surface what it takes and the firm does not have, once: what is
// said alike of many surfaces is printed once with their names.
func (t *taker) findLack(s *takenSurface, what, source string) {
	f := Finding{Rule: "no product", Severity: Warn, Where: s.key, Source: source,
		Message: fmt.Sprintf("%s is needed, and the firm's products have none", what)}
	if !slices.ContainsFunc(t.out.Findings, func(g Finding) bool { return g.Rule == f.Rule && g.Where == f.Where && g.Message == f.Message }) {
		t.find(f)
	}
}

// materials counts every product other than tile, surface by surface, and
// rounds each up to packages once.
func (t *taker) materials(ctx context.Context) error {
	seams := newSeams(t.surfaces)
	var bars []barLength
	var panels []panelArea
	for i := range t.surfaces {
		s := &t.surfaces[i]
		t.needMortar(s)
		t.needGrout(s, seams.of(s))
		t.needPreparation(s)
		t.needSteps(s)
		bars = append(bars, t.needSealant(s, seams.of(s))...)
		t.needSpacers(s)
		t.needBlades(s)
		bars = append(bars, t.trimLengths(s, seams.of(s))...)
		panels = append(panels, t.panelAreas(s)...)
	}
	barPackages, err := t.needBars(ctx, bars)
	if err != nil {
		return err
	}
	if err := t.nestPanels(ctx, panels, barPackages); err != nil {
		return err
	}
	for i := range t.in.Catalogue.Products {
		t.roundUp(&t.in.Catalogue.Products[i], barPackages)
	}
	return nil
}

// roundUp adds the line of one product, unless nothing needs it.
func (t *taker) roundUp(p *Product, bars map[Use]barCount) {
	m := Material{Product: p.Key, Kind: p.Kind, Unit: p.Unit, PackageSize: p.PackageSize}
	with := 0.0
	var hows []string
	for _, n := range t.out.Needs {
		if n.Product != p.Key {
			continue
		}
		m.Net += n.Net
		with += n.With
		m.Surfaces = append(m.Surfaces, n.Surface)
		if !slices.Contains(hows, n.How) {
			hows = append(hows, n.How)
		}
	}
	if len(m.Surfaces) == 0 {
		return
	}
	slices.Sort(m.Surfaces)
	m.Surfaces = slices.Compact(m.Surfaces)
	m.Net, with = math.Round(m.Net*1000)/1000, math.Round(with*1000)/1000
	packages, places, bound := t.out.packageCount(p, bars)
	m.Packages = packages
	if p.toThePiece() {
		hows = append(hows, fmt.Sprintf("no plan needs fewer than %d", bound))
	}
	m.Quantity = float64(m.Packages) * p.PackageSize
	m.How = materialHow(&m, p, with, hows, places)
	t.out.Materials = append(t.out.Materials, m)
}

// materialHow spells the line out, with three of its rates at most.
func materialHow(m *Material, p *Product, with float64, hows []string, places int) string {
	rates := strings.Join(hows[:min(3, len(hows))], "; ")
	if len(hows) > 3 {
		rates += fmt.Sprintf("; and %s more", count(len(hows)-3, "rate"))
	}
	pack := p.Package
	if pack == "" {
		pack = "package"
	}
	margin := ""
	if g := margins[p.Kind]; g > 0 && !p.toThePiece() {
		margin = fmt.Sprintf(" + %s = %s", percent(g), amount(with, m.Unit))
	}
	water := ""
	if w := p.Sheet.WaterPerKg; w > 0 && p.Unit == "kg" {
		water = fmt.Sprintf(", %s l of water to each", trimmed(w*p.PackageSize, 2))
	}
	where := ""
	if places > 1 {
		where = fmt.Sprintf(", whole at each of %d places of delivery", places)
	}
	return fmt.Sprintf("%s: %s net%s → %s of %s%s%s", rates, amount(m.Net, m.Unit), margin, count(m.Packages, pack), p.Holds(), where, water)
}
