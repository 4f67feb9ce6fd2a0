package plandoc

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"time"
)

// MostHeld are the activities of a job, or of all with "", that held the finish of
// all in most simulated runs, of equals the longest, n at most.
func (x *Index) MostHeld(job string, n int) []Often {
	w := x.Doc.Writing()
	long := map[string]time.Duration{}
	var held []Often
	for i := range x.Doc.Activities {
		a := &x.Doc.Activities[i]
		if r := x.Rooms[a.Room]; a.CriticalShare <= 0 || job != "" && (r == nil || r.Job != job) {
			continue
		}
		held = append(held, Often{Activity: a.ID, Share: a.CriticalShare})
		long[a.ID] = w.Time(a.Finish).Sub(w.Time(a.Start))
	}
	slices.SortStableFunc(held, func(a, b Often) int {
		return cmp.Or(cmp.Compare(b.Share, a.Share), cmp.Compare(long[b.Activity], long[a.Activity]))
	})
	return held[:min(n, len(held))]
}

// Percent is a share in whole percent: "85 %".
func Percent(share float64) string { return strconv.Itoa(int(math.Round(share*100))) + " %" }
