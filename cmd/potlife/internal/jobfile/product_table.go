package jobfile

import (
	"fmt"
	"math"
	"regexp"
	"strings"

	"potlife/rooms"
	"potlife/takeoff"
)

type supplier = takeoff.Supplier

var supplierObject = object[supplier]{
	name: "supplier", doc: "who sells products",
	start: func() supplier { return supplier{Days: rooms.MondayToFriday()} },
	fields: []field[supplier]{
		keep("key", "the supplier's key", keyForm, func(s *supplier) *string { return &s.Key }).needed(),
		keep("name", "the supplier's name", textForm, func(s *supplier) *string { return &s.Name }).needed(),
		keep("email", "where orders go", emailForm, func(s *supplier) *string { return &s.Email }),
		keep("lead_days", "lead time in the supplier's working days", whole(0, 400, "days"), func(s *supplier) *int { return &s.LeadDays }),
		keep("buffer_days", "working days to order earlier than that", whole(0, 400, "days"), func(s *supplier) *int { return &s.BufferDays }),
		always("days", "working weekdays (monday-friday if left out)", weekForm, func(s *supplier) *[7]bool { return &s.Days.Week }),
		keep("holidays", "dates without work", datesForm, func(s *supplier) *[]rooms.Date { return &s.Days.Off }),
		keep("extra_days", "dates with work although the week says none", datesForm, func(s *supplier) *[]rooms.Date { return &s.Days.On }),
		keep("minimum", "smallest order", moneyForm, func(s *supplier) *takeoff.Money { return &s.MinOrder }),
		keep("free_from", "order value from which freight is free", moneyForm, func(s *supplier) *takeoff.Money { return &s.FreeFrom }),
		keep("return_days", "unopened packages are taken back within so many days of delivery (never if left out)", whole(0, 400, "days"), func(s *supplier) *int { return &s.ReturnDays }),
		keep("return_fee", "share of the price kept for it", shareForm, func(s *supplier) *float64 { return &s.ReturnFee }),
		keep("return_least", "smallest number of packages of a product that is taken back (any if left out)", whole(0, 100_000, "packages"), func(s *supplier) *int { return &s.ReturnLeast }),
		keep("unattended", "goods are left where nobody takes them in; otherwise they come on days on which the firm works or, on a site, it is open and the firm works or a contact is named (no)", flagForm, func(s *supplier) *bool { return &s.Unattended }),
		keep("freight", "charged per delivery below free_from", moneyForm, func(s *supplier) *takeoff.Money { return &s.Freight }),
	},
	check: func(r *reader, v *value, s *supplier) {
		if !s.Days.Any() {
			r.failf(v.at("days"), "weekdays such as monday-friday", "supplier %s has no working days", s.Key)
		}
		checkBoth(r, v, "supplier "+s.Key, s.Days.Off, "holidays", s.Days.On, "extra_days")
	},
}

type tile = takeoff.Tile

var tileObject = object[tile]{
	name: "tile", doc: "a tile product; sizes are the true mean size (the work size on the box), not the nominal one",
	fields: []field[tile]{
		keep("key", "the tile's key", keyForm, func(t *tile) *string { return &t.Key }).needed(),
		keep("name", "the tile's name", textForm, func(t *tile) *string { return &t.Name }).needed(),
		keep("supplier", "who sells it", keyForm, func(t *tile) *string { return &t.Supplier }),
		shapeField("size", "width x height of a rectangular tile, such as 297 x 597; of a mosaic the sheet's, with its stones in stone_width and stone_height", sizeForm, true),
		shapeField("hexagon", "width across the flats of a regular hexagon", hexagonForm, false).readOnly(),
		shapeField("shape", "corners [x, y] of any convex tile, counter-clockwise", ringForm, false),
		keep("thickness", "thickness", length(rooms.Millimetre, 100*rooms.Millimetre), func(t *tile) *rooms.Length { return &t.Thickness }).needed(),
		keep("stone_width", "width of the stones of a mosaic in sheets; the grout between them is counted by it, a joint apart", zeroLength, func(t *tile) *rooms.Length { return &t.StoneWidth }),
		keep("stone_height", "height of the stones of a mosaic in sheets", zeroLength, func(t *tile) *rooms.Length { return &t.StoneHeight }),
		keep("per_box", "tiles in a box", whole(1, 10_000, "tiles"), func(t *tile) *int { return &t.PerBox }).needed(),
		keep("boxes_per_pallet", "boxes on a pallet", whole(1, 10_000, "boxes"), func(t *tile) *int { return &t.BoxesPerPallet }),
		keep("box_weight", "weight of a box", weightForm, func(t *tile) *float64 { return &t.BoxKg }),
		keep("material", "ceramic, porcelain, glass or stone", word("ceramic", "porcelain", "glass", "stone"), func(t *tile) *string { return &t.Material }).needed(),
		keep("directional", "the face has a way up and may not be turned", flagForm, func(t *tile) *bool { return &t.Directional }),
		keep("finished_edges", "its edges can be seen at outside corners: glazed, rounded or coloured through", flagForm, func(t *tile) *bool { return &t.Finished }),
		keep("rectified", "edges ground to size", flagForm, func(t *tile) *bool { return &t.Rectified }),
		keep("variation", "facial size variation as supplied", zeroLength, func(t *tile) *rooms.Length { return &t.Variation }),
		keep("warpage", "how far the longest edge bows, measured in its middle (not known if left out)", length(0, 20*rooms.Millimetre), func(t *tile) *rooms.Length { return &t.Warpage }),
		keep("min_strip", "narrowest strip that snaps off (trade default by thickness if left out)", zeroLength, func(t *tile) *rooms.Length { return &t.MinStrip }),
		keep("saw_dry", "how long a piece dries after the wet saw before it is set, as its data sheet says (the firm's if left out; 0min: not at all)", zeroIsNone(minutesForm), func(t *tile) *int { return &t.SawDry }),
		keep("break_chance", "share of cut tiles that break (trade default if left out)", shareForm, func(t *tile) *float64 { return &t.BreakChance }),
		keep("defect_chance", "share of whole tiles that come unfit (default if left out)", shareForm, func(t *tile) *float64 { return &t.DefectChance }),
		keep("attic", "share of laid tiles to keep for repairs", shareForm, func(t *tile) *float64 { return &t.Attic }),
		keep("price", "price of a box", moneyForm, func(t *tile) *takeoff.Money { return &t.PricePerBox }),
		keep("wait_days", "days between delivery and first use (the firm's acclimatise_days and open_days if left out)", daysForm, func(t *tile) *int { return &t.WaitDays }),
		keep("no_return", "the supplier does not take it back: a special order", flagForm, func(t *tile) *bool { return &t.NoReturn }),
	},
	check: checkTile,
}

func checkTile(r *reader, v *value, t *tile) {
	r.supplier(v.get("supplier"), t.Supplier)
	given := 0
	for _, key := range []string{"size", "hexagon", "shape"} {
		if v.get(key) != nil {
			given++
		}
	}
	if given != 1 {
		r.failf(v.place, "one of size, hexagon, shape", "tile %s has %d of size, hexagon and shape", t.Key, given)
	}
	checkBox(r, v, t)
	if v.get("shape") != nil && len(t.Shape) > 0 {
		if b := t.Shape.Box(); t.Shape.Validate() == nil && (!t.Shape.Convex() || b.Min != (rooms.Point{})) {
			r.fail(v.at("shape"), "the shape is not convex, or its box does not begin at 0, 0", "the corners of a convex tile, counter-clockwise, its box beginning at 0, 0")
		}
	}
}

// shapeField keeps one way of giving a tile's outline; rectangles are exported
// as a size and all else as a shape.
func shapeField(key, doc string, f form[rooms.Ring], rectangles bool) field[tile] {
	out := keep(key, doc, f, func(t *tile) *rooms.Ring { return &t.Shape })
	out.write = func(t *tile) (any, bool) {
		_, _, ok := rectangle(t.Shape)
		if len(t.Shape) == 0 || ok != rectangles {
			return nil, false
		}
		return f.write(t.Shape), true
	}
	return out
}

var timesPattern = regexp.MustCompile(`\s*[x×]\s*`)

// minTile is the smallest side of a tile: less than any mosaic has.
const minTile = 5 * rooms.Millimetre

// sizeForm is "297 x 597": a rectangle.
var sizeForm = form[rooms.Ring]{
	read: func(r *reader, v *value) (rooms.Ring, bool) {
		parts := timesPattern.Split(scalarText(v), -1)
		if len(parts) != 2 {
			r.failf(v.place, "width x height, such as 297 x 597", "%q is no size of a tile", scalarText(v))
			return nil, false
		}
		var side [2]rooms.Length
		for i, p := range parts {
			in := *v
			in.text = p
			l, ok := zeroLength.read(r, &in)
			if !ok {
				return nil, false
			}
			if l < minTile {
				r.failf(v.place, fmt.Sprintf("at least %s", minTile), "the tile's %s is %s", [...]string{"width", "height"}[i], l)
				return nil, false
			}
			side[i] = l
		}
		return rooms.Rect(0, 0, side[0], side[1]), true
	},
	write: func(ring rooms.Ring) any {
		w, h, _ := rectangle(ring)
		return sizeOut{w, h}
	},
	schema: func(*schemas) any {
		return ordered{{"type", "string"}, {"description", "width x height, each a length"}}
	},
}

// hexagonForm is a regular hexagon standing on a corner, by its width across
// the flats. Its height is 2/√3 times the width, rounded to 1/8 µm.
var hexagonForm = form[rooms.Ring]{
	read: func(r *reader, v *value) (rooms.Ring, bool) {
		w, ok := length(minTile, 2*rooms.Metre).read(r, v)
		if !ok {
			return nil, false
		}
		w -= w % 2
		// 2/√3 = 1.154700538…; the quarter height is w/(2√3) = w × 0.288675134…
		q := (w*288_675_135 + 500_000_000) / 1_000_000_000
		return rooms.Ring{{X: w / 2, Y: 0}, {X: w, Y: q}, {X: w, Y: 3 * q}, {X: w / 2, Y: 4 * q}, {X: 0, Y: 3 * q}, {X: 0, Y: q}}, true
	},
	write:  func(ring rooms.Ring) any { return nil },
	schema: func(*schemas) any { return lengthSchema },
}

// product is a takeoff.Product as it is written: coverage and water may be
// given by the package, as bags print them.
type product struct {
	takeoff.Product
	coverage, water float64
}

var productForm = mapped(of(&productObject), func(p product) takeoff.Product { return p.Product },
	func(p takeoff.Product) product { return product{Product: p} })

var productKinds = takeoff.ProductKinds()

var productObject = object[product]{
	name: "product", doc: "what is bought by the package other than tile",
	fields: []field[product]{
		keep("key", "the product's key", keyForm, func(p *product) *string { return &p.Key }).needed(),
		keep("name", "the product's name", textForm, func(p *product) *string { return &p.Name }).needed(),
		keep("supplier", "who sells it", keyForm, func(p *product) *string { return &p.Supplier }),
		keep("kind", "one of "+list(productKinds), word(productKinds...), func(p *product) *string { return &p.Kind }).needed(),
		contentField,
		keep("package", "bag, pail, cartridge, bar …", textForm, func(p *product) *string { return &p.Package }),
		keep("price", "price of a package", moneyForm, func(p *product) *takeoff.Money { return &p.Price }),
		keep("coverage", "area a package covers, instead of sheet: per_m2", areaForm, func(p *product) *float64 { return &p.coverage }).readOnly(),
		keep("water", "mix water of a package, instead of sheet: water_per_kg", waterForm, func(p *product) *float64 { return &p.water }).readOnly(),
		keep("diameter", "diameter of a backer rod", zeroLength, func(p *product) *rooms.Length { return &p.Diameter }),
		keep("stock_length", "length of one bar of trim, where a package holds several, or of backer rod that comes in lengths (a package of trim is one bar and a rod comes on a roll if left out)", zeroLength, func(p *product) *rooms.Length { return &p.StockLength }),
		keep("wait_days", "days between delivery and first use (the firm's open_days if left out)", daysForm, func(p *product) *int { return &p.WaitDays }),
		keep("no_return", "the supplier does not take it back", flagForm, func(p *product) *bool { return &p.NoReturn }),
		keep("sheet", "figures of the data sheet", of(&sheetObject), func(p *product) *takeoff.DataSheet { return &p.Sheet }),
	},
	check: checkProduct,
}

func checkProduct(r *reader, v *value, p *product) {
	r.supplier(v.get("supplier"), p.Supplier)
	if p.coverage > 0 {
		if p.Sheet.PerM2 > 0 {
			r.fail(v.at("coverage"), "both coverage and sheet: per_m2 are given", "one of them")
		}
		p.Sheet.PerM2 = p.PackageSize / p.coverage
	}
	if p.water > 0 {
		if p.Unit == "" {
			return // reported already
		}
		if p.Unit != "kg" {
			r.fail(v.at("water"), "water is given for a product that is not bought by weight", "holds in kg or lb")
		} else if p.PackageSize > 0 {
			p.Sheet.WaterPerKg = p.water / p.PackageSize
		}
	}
	if p.StockLength > 0 && (p.Kind == takeoff.KindTrim || p.Kind == takeoff.KindBacker) {
		checkStockLength(r, v, p)
	}
	powder := p.Kind == takeoff.KindMortar || p.Kind == takeoff.KindGrout || p.Kind == takeoff.KindLeveller
	if powder && p.Unit != "" && p.Unit != "kg" {
		r.failf(v.at("holds"), "a weight such as 20 kg or 50 lb", "%s is bought by %s", p.Kind, p.Unit)
	}
}

// checkStockLength refuses bars that make up no package: more or fewer of them would
// be bought than are cut.
func checkStockLength(r *reader, v *value, p *product) {
	n := p.PackageSize / p.StockLength.Metres()
	if whole := math.Round(n); p.Unit == "m" && (whole < 1 || math.Abs(n-whole) > 0.01*whole) {
		r.failf(v.at("stock_length"), "the length of one bar, whole ones of which make up a package", "a package holds %s, which is no whole number of bars of %s",
			scalarText(v.get("holds")), scalarText(v.get("stock_length")))
	}
}

// contents are the units in which packages are filled.
var contents = []struct {
	unit  string
	words []unit
}{{"kg", weightUnits}, {"l", volumeUnits}, {"m2", areaUnits}, {"m", runUnits}, {"piece", pieceUnits}}

// contentField is what a package holds: 20 kg, 50 lb, 0.31 l, 2.5 m, 10 ft2.
var contentField = field[product]{
	key: "holds", doc: "what a package holds: 20 kg, 50 lb, 0.31 l, 10.1 fl oz, 2.5 m, 8' 2 1/2\", 5 m2, 100 pieces", must: true,
	read: func(r *reader, v *value, p *product) {
		unit, size, err := parseContent(scalarText(v))
		if err != "" {
			r.fail(v.place, err, "a number and a unit: kg, g, lb, oz, l, ml, gal, qt, fl oz, m, ft, in, m2, ft2, piece")
			return
		}
		p.Unit, p.PackageSize = unit, size
		if text := decimals(size) + " " + unit; text != scalarText(v) {
			p.Content = scalarText(v)
		}
	},
	write: func(p *product) (any, bool) {
		if unit, size, err := parseContent(p.Content); err == "" && unit == p.Unit && size == p.PackageSize {
			return p.Content, true
		}
		return decimals(p.PackageSize) + " " + p.Unit, p.Unit != ""
	},
	schema: func(*schemas) any { return ordered{{"type", "string"}} },
}

func parseContent(s string) (unit string, size float64, problem string) {
	num, word := splitUnit(s)
	for _, c := range contents {
		for _, u := range c.words {
			if strings.EqualFold(u.word, word) {
				f, err := parseQuantity(num+" "+u.word, "content", 0, 1e6, c.words)
				if err != nil || f <= 0 {
					return "", 0, fmt.Sprintf("a package cannot hold %q", s)
				}
				return c.unit, f, ""
			}
		}
	}
	if word == "" {
		return "", 0, fmt.Sprintf("%q has no unit", s)
	}
	if l, err := rooms.ParseLength(s, rooms.UnitMM); err == nil && l > 0 && strings.Trim(word, "0123456789/ ") != "" { // a bar in feet and inches
		return "m", l.Metres(), ""
	}
	return "", 0, fmt.Sprintf("unknown unit %q of a package", word)
}

type lot = takeoff.Lot

var lotObject = object[lot]{
	name: "lot", doc: "tile of one shade and calibre",
	fields: []field[lot]{
		keep("tile", "the tile's key", keyForm, func(l *lot) *string { return &l.Tile }).needed(),
		keep("lot", "the lot as printed on the box", textForm, func(l *lot) *string { return &l.Lot }).needed(),
		keep("calibre", "the calibre as printed on the box", textForm, func(l *lot) *string { return &l.Calibre }),
		keep("boxes", "whole boxes", whole(0, 1_000_000, "boxes"), func(l *lot) *int { return &l.Boxes }).needed(),
		keep("tiles", "loose tiles beside them", whole(0, 1_000_000, "tiles"), func(l *lot) *int { return &l.Tiles }),
		keep("mean_width", "mean width of its tiles as measured when it came in", zeroLength, func(l *lot) *rooms.Length { return &l.Width }),
		keep("mean_height", "mean height of its tiles as measured", zeroLength, func(l *lot) *rooms.Length { return &l.Height }),
		keep("offered", "on offer, not bought yet", flagForm, func(l *lot) *bool { return &l.Offered }),
	},
	check: func(r *reader, v *value, l *lot) {
		r.tile(v.get("tile"), l.Tile, nil)
		if v.get("boxes") != nil && l.Boxes == 0 && l.Tiles == 0 {
			r.failf(v.at("boxes"), "at least one box or tile; drop the entry otherwise", "lot %s has no boxes", l.Lot)
		}
	},
}

type stock = takeoff.Stock

var stockObject = object[stock]{
	name: "stock", doc: "packages in the yard",
	fields: []field[stock]{
		keep("product", "the product's key", keyForm, func(s *stock) *string { return &s.Product }).needed(),
		always("packages", "how many packages, parts of one included", amount(0, 1e6, "packages"), func(s *stock) *float64 { return &s.Packages }).needed(),
	},
	check: func(r *reader, v *value, s *stock) { r.product(v.get("product"), s.Product) },
}
