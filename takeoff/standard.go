package takeoff

import (
	"potlife/rooms"
)

// Standards by whose figures a layout is judged, and soft joints are placed. The
// firm chooses one, and a job may choose another.
const (
	MovementEJ171  = "EJ171"   // TCNA EJ171 and ANSI A108, United States
	MovementBS5385 = "BS 5385" // parts 1 and 3, with the NHBC's figures, United Kingdom
	MovementAS3958 = "AS 3958" // Australia, with New Zealand's tolerances
)

// MovementStandards lists them, the one that holds where none is chosen first.
func MovementStandards() []string {
	return []string{MovementEJ171, MovementBS5385, MovementAS3958}
}

// standard is the figures of one country's standard. All are defaults: the
// product's data sheet and local code override them.
type standard struct {
	// Longest runs without a soft joint, by place.
	floorRun, wallRun, sunRun, outsideRun, suspendedRun rooms.Length
	srcRun, srcOutside                                  string
	// softLeast and softWish are the least and the better width of a gap at what
	// restrains the tile of a floor; changePlane that at a wall's edges. Floors
	// whose runs are all shorter than softFrom are not asked for one.
	softLeast, softWish, changePlane, softFrom rooms.Length
	srcSoft                                    string
	// moveLeast is the least width of a soft joint in the field.
	moveLeast rooms.Length
	srcMove   string
	// least is the least joint of a tile, whatever its variation.
	least func(t *Tile, floor bool) (rooms.Length, string)
	// flat is what the ground must be, lippage how far
	// neighbours may stand above each other, beyond the tile's own warpage where
	// warpage says so.
	flat    func(long rooms.Length, floor bool) flatness
	lippage func(joint rooms.Length) rooms.Length
	warpage bool
	srcLip  string
}

// flatness is how far the ground may be off under a straightedge, as both
// systems of units write it.
type flatness struct {
	off              rooms.Length
	metric, imperial string
	source           string
}

// standardNamed takes the first of the list for a name it does not know: what
// is written is checked where it is read.
func standardNamed(name string) standard {
	switch name {
	case MovementBS5385:
		return british()
	case MovementAS3958:
		return australian()
	}
	return american()
}

func american() standard {
	const ej = "TCNA EJ171, as reported in the trade press"
	return standard{
		// 25 ft inside; 12 ft in sun or moisture, outside and on suspended slabs
		// (user-69113096.cld.bz/2024-25-NTCA-Reference-Manual-dig-dwnld/21,
		// laticrete.blogspot.com/2011/07/technical-advisory-movement-joints.html).
		floorRun: 25 * rooms.Foot, wallRun: 25 * rooms.Foot, sunRun: 12 * rooms.Foot, outsideRun: 12 * rooms.Foot, suspendedRun: 12 * rooms.Foot,
		srcRun: ej, srcOutside: ej,
		// 1/8 in, printed beside it as 3 mm, and preferably 1/4 in, 6 mm
		// (floortrendsmag.com/articles/111116-movement-accommodation-joints-a-necessary-step-in-tile-installation).
		softLeast: 3 * rooms.Millimetre, softWish: 6 * rooms.Millimetre, changePlane: 3 * rooms.Millimetre, srcSoft: ej,
		moveLeast: 3 * rooms.Millimetre, srcMove: ej,
		least: func(*Tile, bool) (rooms.Length, string) { return leastJoint, srcJoint },
		flat: func(long rooms.Length, _ bool) flatness {
			if long >= longSide {
				return flatness{rooms.Inch / 8, "3 mm under 3 m and 1.6 mm under 600 mm", `1/8" under 10 ft and 1/16" under 2 ft`, srcFlat}
			}
			return flatness{rooms.Inch / 4, "6 mm under 3 m and 1.6 mm under 300 mm", `1/4" under 10 ft and 1/16" under 1 ft`, srcFlat}
		},
		lippage: func(joint rooms.Length) rooms.Length {
			if joint >= rooms.Inch/4 {
				return lippageWide
			}
			return lippageNarrow
		},
		warpage: true, srcLip: srcLippage,
	}
}

func british() standard {
	const tta = "TTA guide to BS 5385, as published at tiles.org.uk"
	return standard{
		// Floors on a grid of 8 to 10 m, walls 3 to 4.5 m both ways
		// (tiles.org.uk/wp-content/uploads/flipbook/6/files/basic-html/page16.html);
		// outside 3 to 5 m (BS 5385-3:2024, as reported at tilezine.tiles.org.uk/?p=8563).
		// No figure of its own was found for sun, wet rooms and suspended floors.
		floorRun: 10 * rooms.Metre, wallRun: 4500 * rooms.Millimetre, sunRun: 10 * rooms.Metre, outsideRun: 5 * rooms.Metre, suspendedRun: 10 * rooms.Metre,
		srcRun: tta, srcOutside: "BS 5385-3:2024, as reported in the trade press",
		// A perimeter joint where a run exceeds 2 m
		// (colouredmovementjoints.co.uk/technical-information/placement-of-movement-joints/), joints of 6 mm at least.
		softLeast: 6 * rooms.Millimetre, softWish: 6 * rooms.Millimetre, changePlane: 3 * rooms.Millimetre, softFrom: 2 * rooms.Metre, srcSoft: tta,
		moveLeast: 6 * rooms.Millimetre, srcMove: tta,
		least: britishJoint,
		// Walls 3 mm under 2 m for a thin bed, floors 3 mm under 3 m
		// (nhbc-standards.co.uk, 9.2.5 and 9.3.5).
		flat: func(_ rooms.Length, floor bool) flatness {
			if floor {
				return flatness{3 * rooms.Millimetre, "3 mm under 3 m", `1/8" under 10 ft`, "NHBC Standards 9.3.5"}
			}
			return flatness{3 * rooms.Millimetre, "3 mm under 2 m", `1/8" under 6 ft 6"`, "NHBC Standards 9.2.5"}
		},
		// 1 mm for joints up to 6 mm, 2 mm above (nhbc-standards.co.uk, 9.1.7).
		lippage: func(joint rooms.Length) rooms.Length {
			if joint > 6*rooms.Millimetre {
				return 2 * rooms.Millimetre
			}
			return rooms.Millimetre
		},
		srcLip: "NHBC Standards 9.1.7",
	}
}

// britishJoint is the least joint by the size of the tile: 2 mm below 0.1 m² and
// no side over 600 mm, 3 mm up to 1 m² and 1 200 mm, growing to 5 mm for 3 m
// (BS 5385-1:2018, as reported at
// ardexbuildingproducts.ie/british-standards-codes-of-practice-updates/); floors
// 3 mm (NHBC 9.1.7).
func britishJoint(t *Tile, floor bool) (rooms.Length, string) {
	const source = "BS 5385-1:2018, as reported by a mortar maker"
	b, m2 := t.Shape.Box(), t.Shape.AreaMM2()/1e6
	long := max(b.Width(), b.Height())
	switch {
	case long > 1200*rooms.Millimetre || m2 > 1:
		return 3*rooms.Millimetre + max(0, long-1200*rooms.Millimetre)*2/1800, source
	case m2 >= 0.1 || long > 600*rooms.Millimetre:
		return 3 * rooms.Millimetre, source
	case floor:
		return 3 * rooms.Millimetre, "NHBC Standards 9.1.7"
	}
	return 2 * rooms.Millimetre, source
}

func australian() standard {
	const sheet = "an Australian adhesive's data sheet"
	return standard{
		// A grid of 5 m at most, the perimeter and internal corners
		// (docstoc.com/docs/32477387/BLUE-LABEL).
		floorRun: 5 * rooms.Metre, wallRun: 5 * rooms.Metre, sunRun: 5 * rooms.Metre, outsideRun: 5 * rooms.Metre, suspendedRun: 5 * rooms.Metre,
		srcRun: sheet, srcOutside: sheet,
		softLeast: 3 * rooms.Millimetre, softWish: 6 * rooms.Millimetre, changePlane: 3 * rooms.Millimetre, srcSoft: sheet + "; the widths are common practice",
		moveLeast: 3 * rooms.Millimetre, srcMove: srcPractice,
		least: func(_ *Tile, floor bool) (rooms.Length, string) {
			if floor {
				return 3 * rooms.Millimetre, "AS 3958, from memory"
			}
			return 1500 * rooms.Micrometre, "AS 3958, from memory"
		},
		// ±4 mm per 2 m is New Zealand's for the finished surface (regaltiling.nz,
		// guide to building tolerances); the ground is held to the same.
		flat: func(long rooms.Length, floor bool) flatness {
			return flatness{4 * rooms.Millimetre, "4 mm under 2 m", `5/32" under 6 ft 6"`, "MBIE guide to tolerances 2015 (New Zealand)"}
		},
		// 1.5 mm for smooth tile with joints of 2 to 3 mm, 2 mm for wider (the same guide).
		lippage: func(joint rooms.Length) rooms.Length {
			if joint > 3*rooms.Millimetre {
				return 2 * rooms.Millimetre
			}
			return 1500 * rooms.Micrometre
		},
		srcLip: "MBIE guide to tolerances 2015 (New Zealand)",
	}
}

// movementLimit is the longest run a surface may have without a soft joint, and
// who says so.
func (t standard) movementLimit(s *rooms.Surface) (rooms.Length, string) {
	run := t.wallRun
	if lies(s) {
		run = t.floorRun
	}
	switch {
	case s.MovementLimit > 0:
		return s.MovementLimit, "the job's own limit"
	case s.Outside:
		return t.outsideRun, t.srcOutside
	case s.Wet || s.Sunny || s.Kind == rooms.ShowerFloor:
		run = min(run, t.sunRun)
	}
	if s.Suspended && lies(s) {
		run = min(run, t.suspendedRun)
	}
	return run, t.srcRun
}

// lies reports whether a surface lies on the ground.
func lies(s *rooms.Surface) bool { return s.Kind == rooms.Floor || s.Kind == rooms.ShowerFloor }
