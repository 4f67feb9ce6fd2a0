package takeoff

// slab gives out room for small slices from large pieces, so that a thousand of them
// are a few allocations. What was taken stays where it is until it is given back or the
// slab is emptied; then it is given out again.
type slab[T any] struct{ room []T }

// take is room for n, whose contents are whatever was there.
func (s *slab[T]) take(n int) []T {
	k := len(s.room)
	if cap(s.room)-k < n {
		s.room, k = make([]T, 0, max(n, min(2*cap(s.room), 1024), 32)), 0
	}
	s.room = s.room[:k+n]
	return s.room[k : k+n : k+n]
}

// back gives back the last n that were taken.
func (s *slab[T]) back(n int) { s.room = s.room[:len(s.room)-n] }

// empty takes back all of the piece in use.
func (s *slab[T]) empty() { s.room = s.room[:0] }
