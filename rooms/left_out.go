package rooms

// LeftOut are pieces that are left out on purpose and set after the field: those at
// an opening, such as a valve or drain that is still to be fitted, or those that
// reach into a region, such as a walking lane.
type LeftOut struct {
	// Opening is the key of one of the surface's; else Region is on the surface.
	Opening string
	Region  Ring
	Why     string
	// Until is the first day on which they may be set; zero: as soon as the field
	// is.
	Until Date
}
