package store

import (
	"encoding/json"
	"fmt"
	"time"

	"potlife/rooms"
	"potlife/takeoff"
)

type supplierRow struct {
	Key        string          `db:"key"`
	Pos        int             `db:"pos"`
	Name       string          `db:"name"`
	Email      string          `db:"email"`
	LeadDays   int             `db:"lead_days"`
	BufferDays int             `db:"buffer_days"`
	Week       []bool          `db:"week"`
	DaysOff    []day           `db:"days_off"`
	DaysOn     []day           `db:"days_on"`
	MinOrder   amount          `db:"min_order"`
	FreeFrom   amount          `db:"free_from"`
	Freight    amount          `db:"freight"`
	More       json.RawMessage `db:"more"`
	Retired    *time.Time      `db:"retired_at"`
}

var supplierTable = relation[supplierRow]{"suppliers", []string{"key"}}

func newSupplierRow(pos int, s takeoff.Supplier) (supplierRow, error) {
	r := supplierRow{Key: s.Key, Pos: pos, Name: s.Name, Email: s.Email, LeadDays: s.LeadDays, BufferDays: s.BufferDays,
		Week: week(s.Days.Week), DaysOff: days(s.Days.Off), DaysOn: days(s.Days.On),
		MinOrder: amount(s.MinOrder), FreeFrom: amount(s.FreeFrom), Freight: amount(s.Freight)}
	back, err := r.supplier()
	if err != nil {
		return r, err
	}
	r.More, err = more(s, back)
	return r, err
}

func (r supplierRow) supplier() (takeoff.Supplier, error) {
	s := takeoff.Supplier{Key: r.Key, Name: r.Name, Email: r.Email, LeadDays: r.LeadDays, BufferDays: r.BufferDays,
		Days:     rooms.Days{Week: week7(r.Week), Off: dates(r.DaysOff), On: dates(r.DaysOn)},
		MinOrder: takeoff.Money(r.MinOrder), FreeFrom: takeoff.Money(r.FreeFrom), Freight: takeoff.Money(r.Freight)}
	return s, andMore(&s, r.More)
}

type tileRow struct {
	Key         string          `db:"key"`
	Pos         int             `db:"pos"`
	Name        string          `db:"name"`
	Supplier    *string         `db:"supplier"`
	Shape       []int64         `db:"shape"`
	Thickness   int64           `db:"thickness"`
	PerBox      int             `db:"per_box"`
	BoxKg       float64         `db:"box_kg"`
	Material    string          `db:"material"`
	Directional bool            `db:"directional"`
	Rectified   bool            `db:"rectified"`
	Variation   int64           `db:"variation"`
	MinStrip    int64           `db:"min_strip"`
	BreakChance float64         `db:"break_chance"`
	Attic       float64         `db:"attic"`
	PricePerBox amount          `db:"price_per_box"`
	More        json.RawMessage `db:"more"`
}

var tileTable = relation[tileRow]{"tiles", []string{"key"}}

func newTileRow(pos int, t takeoff.Tile) (tileRow, error) {
	r := tileRow{Key: t.Key, Pos: pos, Name: t.Name, Supplier: orNull(t.Supplier), Shape: flat(t.Shape), Thickness: int64(t.Thickness),
		PerBox: t.PerBox, BoxKg: t.BoxKg, Material: t.Material, Directional: t.Directional, Rectified: t.Rectified,
		Variation: int64(t.Variation), MinStrip: int64(t.MinStrip), BreakChance: t.BreakChance, Attic: t.Attic,
		PricePerBox: amount(t.PricePerBox)}
	back, err := r.tile()
	if err != nil {
		return r, err
	}
	r.More, err = more(t, back)
	return r, err
}

func (r tileRow) tile() (takeoff.Tile, error) {
	t := takeoff.Tile{Key: r.Key, Name: r.Name, Supplier: orEmpty(r.Supplier), Shape: ring(r.Shape), Thickness: rooms.Length(r.Thickness),
		PerBox: r.PerBox, BoxKg: r.BoxKg, Material: r.Material, Directional: r.Directional, Rectified: r.Rectified,
		Variation: rooms.Length(r.Variation), MinStrip: rooms.Length(r.MinStrip), BreakChance: r.BreakChance, Attic: r.Attic,
		PricePerBox: takeoff.Money(r.PricePerBox)}
	return t, andMore(&t, r.More)
}

type productRow struct {
	Key         string          `db:"key"`
	Pos         int             `db:"pos"`
	Name        string          `db:"name"`
	Supplier    *string         `db:"supplier"`
	Kind        string          `db:"kind"`
	Unit        string          `db:"unit"`
	Package     string          `db:"package"`
	PackageSize float64         `db:"package_size"`
	Price       amount          `db:"price"`
	Sheet       json.RawMessage `db:"sheet"`
	More        json.RawMessage `db:"more"`
}

var productTable = relation[productRow]{"products", []string{"key"}}

func newProductRow(pos int, p takeoff.Product) (productRow, error) {
	r := productRow{Key: p.Key, Pos: pos, Name: p.Name, Supplier: orNull(p.Supplier), Kind: p.Kind, Unit: p.Unit, Package: p.Package,
		PackageSize: p.PackageSize, Price: amount(p.Price)}
	var err error
	if r.Sheet, err = more(p.Sheet, takeoff.DataSheet{}); err != nil { // the figures that are given
		return r, err
	}
	back, err := r.product()
	if err != nil {
		return r, err
	}
	r.More, err = more(p, back)
	return r, err
}

func (r productRow) product() (takeoff.Product, error) {
	p := takeoff.Product{Key: r.Key, Name: r.Name, Supplier: orEmpty(r.Supplier), Kind: r.Kind, Unit: r.Unit, Package: r.Package,
		PackageSize: r.PackageSize, Price: takeoff.Money(r.Price)}
	if err := andMore(&p.Sheet, r.Sheet); err != nil {
		return p, fmt.Errorf("data sheet of %s: %w", r.Key, err)
	}
	return p, andMore(&p, r.More)
}

type lotRow struct {
	Pos     int             `db:"pos"`
	Tile    string          `db:"tile"`
	Lot     string          `db:"lot"`
	Calibre string          `db:"calibre"`
	Boxes   int             `db:"boxes"`
	Tiles   int             `db:"tiles"`
	Offered bool            `db:"offered"`
	More    json.RawMessage `db:"more"`
}

var lotTable = relation[lotRow]{"lots", []string{"tile", "lot", "offered"}}

func newLotRow(pos int, l takeoff.Lot) (lotRow, error) {
	r := lotRow{Pos: pos, Tile: l.Tile, Lot: l.Lot, Calibre: l.Calibre, Boxes: l.Boxes, Tiles: l.Tiles, Offered: l.Offered}
	back, err := r.lot()
	if err != nil {
		return r, err
	}
	r.More, err = more(l, back)
	return r, err
}

func (r lotRow) lot() (takeoff.Lot, error) {
	l := takeoff.Lot{Tile: r.Tile, Lot: r.Lot, Calibre: r.Calibre, Boxes: r.Boxes, Tiles: r.Tiles, Offered: r.Offered}
	return l, andMore(&l, r.More)
}

type stockRow struct {
	Pos      int             `db:"pos"`
	Product  string          `db:"product"`
	Packages float64         `db:"packages"`
	More     json.RawMessage `db:"more"`
}

var stockTable = relation[stockRow]{"stock", []string{"product"}}

func newStockRow(pos int, s takeoff.Stock) (stockRow, error) {
	r := stockRow{Pos: pos, Product: s.Product, Packages: s.Packages}
	back, err := r.stock()
	if err != nil {
		return r, err
	}
	r.More, err = more(s, back)
	return r, err
}

func (r stockRow) stock() (takeoff.Stock, error) {
	s := takeoff.Stock{Product: r.Product, Packages: r.Packages}
	return s, andMore(&s, r.More)
}
