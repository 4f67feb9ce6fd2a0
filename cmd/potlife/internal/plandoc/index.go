package plandoc

// Index finds the parts of a document by key. It holds pointers into the
// document, which must not be changed while the index is in use.
type Index struct {
	Doc        *Document
	Jobs       map[string]*Job
	Sites      map[string]*Site
	Rooms      map[string]*Room
	Tiles      map[string]*Tile
	Products   map[string]*Product
	Suppliers  map[string]*Supplier
	Crews      map[string]*Crew
	Surfaces   map[string]*Surface
	Zones      map[string]*Zone
	Pieces     map[string]*Piece
	PieceAt    map[string]*Surface // surface of a piece
	Activities map[string]*Activity
	Areas      map[string]*Area
	Stock      map[string]*Stock
	Orders     map[string]*Order
}

// Index builds the index of d.
func (d *Document) Index() *Index {
	x := &Index{
		Doc: d, Jobs: byKey(d.Jobs, func(v *Job) string { return v.Key }),
		Sites:      byKey(d.Sites, func(v *Site) string { return v.Key }),
		Rooms:      byKey(d.Rooms, func(v *Room) string { return v.Key }),
		Tiles:      byKey(d.Tiles, func(v *Tile) string { return v.Key }),
		Products:   byKey(d.Products, func(v *Product) string { return v.Key }),
		Suppliers:  byKey(d.Suppliers, func(v *Supplier) string { return v.Key }),
		Crews:      byKey(d.Crews, func(v *Crew) string { return v.Key }),
		Surfaces:   byKey(d.Surfaces, func(v *Surface) string { return v.Key }),
		Activities: byKey(d.Activities, func(v *Activity) string { return v.ID }),
		Areas:      byKey(d.Areas, func(v *Area) string { return v.ID }),
		Stock:      byKey(d.Stock, func(v *Stock) string { return v.ID }),
		Orders:     byKey(d.Orders, func(v *Order) string { return v.Key }),
		Zones:      map[string]*Zone{}, Pieces: map[string]*Piece{}, PieceAt: map[string]*Surface{},
	}
	for i := range d.Surfaces {
		s := &d.Surfaces[i]
		for j := range s.Zones {
			z := &s.Zones[j]
			x.Zones[z.Key] = z
			for k := range z.Pieces {
				p := &z.Pieces[k]
				x.Pieces[p.ID], x.PieceAt[p.ID] = p, s
			}
		}
	}
	return x
}

func byKey[T any](list []T, key func(*T) string) map[string]*T {
	m := make(map[string]*T, len(list))
	for i := range list {
		m[key(&list[i])] = &list[i]
	}
	return m
}

// ProductName names a tile or product, or repeats its key where it is unknown.
func (x *Index) ProductName(key string) string {
	if t := x.Tiles[key]; t != nil && t.Name != "" {
		return t.Name
	}
	if p := x.Products[key]; p != nil && p.Name != "" {
		return p.Name
	}
	return key
}

// CrewName names a crew.
func (x *Index) CrewName(key string) string {
	if c := x.Crews[key]; c != nil && c.Name != "" {
		return c.Name
	}
	return key
}

// SiteName names a site.
func (x *Index) SiteName(key string) string {
	if s := x.Sites[key]; s != nil && s.Name != "" {
		return s.Name
	}
	return key
}

// SupplierName names a supplier.
func (x *Index) SupplierName(key string) string {
	if s := x.Suppliers[key]; s != nil && s.Name != "" {
		return s.Name
	}
	return key
}

// RoomName names a room.
func (x *Index) RoomName(key string) string {
	if r := x.Rooms[key]; r != nil && r.Name != "" {
		return r.Name
	}
	return key
}

// SurfaceName names a surface.
func (x *Index) SurfaceName(key string) string {
	if s := x.Surfaces[key]; s != nil && s.Name != "" {
		return s.Name
	}
	return key
}
