package takeoff

import "slices"

// The runners-up of a pattern whose directions depend on each other.
//
// As along the axes of a straight pattern, the places next to the best one are nearly as
// good because they are nearly the same. What else there is to choose from are places of
// their own, each of another rank. To search for those that none within 5 mm betters
// would take longer than the search for the best does; so they are taken from the places
// that it weighed on its way: those that none of the others within 20 mm betters.

const (
	// ownApart is how far around a place of its own none that was weighed is better.
	ownApart = 4 * distinct
	// mostOwn is of how many of the best places weighed they are sought.
	mostOwn = 120
)

// others are up to three places of their own beside the one that won, of those tried,
// which are in order; the best first.
func (c *cellSearch) others(won triedOrigin) (list []triedOrigin) {
	for i, t := range c.tried[:min(len(c.tried), mostOwn)] {
		if len(list) == mostOthers {
			break
		}
		sameRank := func(o triedOrigin) bool { return o.rank.ties(t.rank) }
		beside := func(o triedOrigin) bool { return !c.z.apartBy(o.at, t.at, ownApart) }
		if !sameRank(won) && !beside(won) && !slices.ContainsFunc(list, sameRank) && !slices.ContainsFunc(c.tried[:i], beside) {
			list = append(list, t)
		}
	}
	return list
}
