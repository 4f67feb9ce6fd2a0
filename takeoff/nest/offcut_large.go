package nest

const (
	manyKinds   = 150 // beyond this a problem is bounded by ones of fewer sizes first
	mostRelaxed = 400 // beyond this the relaxation of all kinds is not solved
)

// solveLarge plans a building: the bound comes from problems with fewer sizes, the plan from first fit, squeezed tile by
// tile.
func (s *offcutSolver) solveLarge() {
	s.shrink(squeezeTries, s.steps/4)
	if s.tiles > s.bound && !s.over() {
		s.bound = max(s.bound, s.boundAlike((s.steps-s.f.steps)*2/3))
	}
	s.shrink(3*squeezeTries, (s.steps-s.f.steps)/2)
}
