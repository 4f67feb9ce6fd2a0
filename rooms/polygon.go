package rooms

// Point is a place on a surface, counted from the surface's corner: x to the
// right, y up, as seen from the side that is tiled (flat surfaces: as drawn).
type Point struct{ X, Y Length }

// Ring is a closed line through its points; the last point is joined to the
// first and not repeated.
type Ring []Point

// Polygon is an outer ring, counter-clockwise, less its holes, clockwise.
type Polygon struct {
	Outer Ring
	Holes []Ring
}
