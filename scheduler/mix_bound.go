package scheduler

import (
	"cmp"
	"math"
	"slices"

	"potlife/takeoff"
)

// fewestMixes is a number of mixes below which the feeds, which come in order of
// time, cannot be served, however they are shared out. No mix goes from one site to
// another, nor over a time longer than the longest life of any; in what lies
// between, there are as many mixes as feeds of which no two can take from one mix,
// and as many as buckets are filled.
func fewestMixes(p takeoff.Product, feeds []feed, size mixSize) int {
	if p.Sheet.ReadyMixed {
		return ownMixes(feeds)
	}
	count, longest := map[string]int{}, 0
	for i := range feeds {
		count[feeds[i].site]++
		longest = max(longest, feeds[i].life)
	}
	sites := make(map[string][]feed, len(count))
	for i := range feeds {
		s := feeds[i].site
		if sites[s] == nil {
			sites[s] = make([]feed, 0, count[s])
		}
		sites[s] = append(sites[s], feeds[i])
	}
	n := 0
	for _, list := range sites { // a sum: in any order
		from := 0
		for i := 1; i <= len(list); i++ {
			if i == len(list) || list[i].start > list[i-1].begun()+longest {
				n += fewestTogether(list[from:i], size)
				from = i
			}
		}
	}
	return n
}

// ownMixes is the number of activities: what is ready mixed is opened for each.
func ownMixes(feeds []feed) int {
	seen := map[string]bool{}
	for _, f := range feeds {
		seen[f.activity] = true
	}
	return len(seen)
}

// fewestTogether bounds the mixes for feeds of one site.
func fewestTogether(feeds []feed, size mixSize) int {
	kg := 0.0
	inTime, byLife := make([]int, len(feeds)), make([]int, len(feeds))
	for i, f := range feeds {
		kg += f.kg
		inTime[i], byLife[i] = i, i
	}
	slices.SortStableFunc(byLife, func(a, b int) int { return cmp.Compare(feeds[a].life, feeds[b].life) })
	return max(pairwiseApart(feeds, inTime), pairwiseApart(feeds, byLife), int(math.Ceil(kg/size.bucket-1e-6)))
}

// pairwiseApart picks feeds, tried in the order given, of which no two can take from one
// mix, and counts them. Two can where the later takes from it before the shorter of
// their lives is over.
func pairwiseApart(feeds []feed, order []int) int {
	picked := make([]bool, len(feeds))
	free := func(i int) bool {
		for k := i - 1; k >= 0 && feeds[i].start <= feeds[k].begun()+feeds[i].life; k-- {
			if picked[k] && feeds[i].start <= feeds[k].begun()+feeds[k].life {
				return false
			}
		}
		for k := i + 1; k < len(feeds) && feeds[k].start <= feeds[i].begun()+feeds[i].life; k++ {
			if picked[k] && feeds[k].start <= feeds[i].begun()+feeds[k].life {
				return false
			}
		}
		return true
	}
	n := 0
	for _, i := range order {
		if free(i) {
			picked[i] = true
			n++
		}
	}
	return n
}
