package rooms

import "fmt"

// A floor with a drain falls towards it in planes, one from each side. Small
// tile turns the folds between them; larger tile is cut along the folds, as an
// envelope is folded.

// Envelope divides an outline into the planes that fall to one low point: a
// triangle for each edge. The point must see every corner.
func Envelope(outline Ring, low Point) ([]Ring, error) {
	if err := outline.Validate(); err != nil {
		return nil, err
	}
	var planes []Ring
	for i, a := range outline {
		b := outline[(i+1)%len(outline)]
		if Side(a, b, low) <= 0 {
			return nil, fmt.Errorf("the low point (%s, %s) does not see the %s edge from inside: the floor cannot fall to it in one plane there",
				FormatMM(low.X, 1, Nearest), FormatMM(low.Y, 1, Nearest), outline.EdgeNames()[i])
		}
		planes = append(planes, Ring{a, b, low})
	}
	return planes, nil
}

// EnvelopeZones makes a zone of each plane of the surface's floor, set as z is;
// the folds are joints between zones. Keys are z's with the edge's number.
func (s *Surface) EnvelopeZones(z Zone, low Point) ([]Zone, error) {
	planes, err := Envelope(s.Outline, low)
	if err != nil {
		return nil, fmt.Errorf("falls of %s: %w", s.Key, err)
	}
	var out []Zone
	for i, p := range planes {
		part := z
		part.Key, part.Region = fmt.Sprintf("%s %d", z.Key, i+1), p
		out = append(out, part)
	}
	return out, nil
}

// Fall is how much higher the floor lies at a distance from its low point with a
// slope in thousandths (1/4 in per foot is about 21, 2 % is 20).
func Fall(distance Length, perMille int64) Length {
	return scaled(distance, Length(perMille), 1000)
}
