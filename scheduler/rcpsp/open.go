package rcpsp

import (
	"math/bits"
	"slices"
)

// openTime is when a resource is available: its windows between calendar entries, and how much of each can be used.
type openTime struct{ windows []window }

// window is available time [start, end). Of it, usable is what whole activities can fill: an activity is not
// interrupted, so on a resource of capacity 1 no window holds more than the largest sum of durations that fits it.
type window struct{ start, end, usable, before int } // before: usable time of earlier windows

func newOpenTime(m *model, r int) openTime {
	res := m.p.Resources[r]
	var o openTime
	at := 0
	for _, f := range res.Forbidden {
		if f.Start >= f.End {
			continue
		}
		if f.Start > at {
			o.windows = append(o.windows, window{start: at, end: f.Start, usable: f.Start - at})
		}
		at = max(at, f.End)
	}
	if res.Capacity == 1 {
		o.fitDurations(m, r)
	}
	o.windows = append(o.windows, window{start: at, end: 4 * never, usable: 4*never - at})
	before := 0
	for k := range o.windows {
		o.windows[k].before = before
		before += o.windows[k].usable
	}
	return o
}

// longestWindow is the length up to which sums of durations are worked out.
const longestWindow = 1 << 14

// fitDurations lowers what is usable to the largest sum of durations.
func (o *openTime) fitDurations(m *model, r int) {
	longest := 0
	for _, w := range o.windows {
		longest = max(longest, w.end-w.start)
	}
	if longest > longestWindow {
		return
	}
	sums := make([]uint64, longest/64+1) // bit s: some activities last s together
	sums[0] = 1
	for i := range m.uses {
		if !m.free(i) || !slices.ContainsFunc(m.uses[i], func(u use) bool { return u.res == r }) {
			continue
		}
		orShifted(sums, m.dur[i])
	}
	for k := range o.windows {
		w := &o.windows[k]
		w.usable = largestBit(sums, w.end-w.start)
	}
}

// orShifted adds the sums that one more activity of duration d makes.
func orShifted(sums []uint64, d int) {
	words, rest := d/64, uint(d%64)
	for k := len(sums) - 1; k >= words; k-- {
		v := sums[k-words] << rest
		if rest > 0 && k > words {
			v |= sums[k-words-1] >> (64 - rest)
		}
		sums[k] |= v
	}
}

// largestBit is the largest sum not above limit; sum 0 is always there.
func largestBit(sums []uint64, limit int) int {
	k := limit / 64
	word := sums[k] & (^uint64(0) >> (63 - uint(limit%64)))
	for word == 0 {
		k--
		word = sums[k]
	}
	return k*64 + 63 - bits.LeadingZeros64(word)
}

// until is a lower bound on the usable time that is gone at t, with what is idle in a window put first.
func (o *openTime) until(t int) int {
	for _, w := range o.windows {
		if t < w.end {
			return w.before + max(0, w.usable-(w.end-max(t, w.start)))
		}
	}
	return 0
}

// end is the earliest time at which span of usable time can have passed since t.
func (o *openTime) end(t, span int) int {
	if span <= 0 {
		return t
	}
	for _, w := range o.windows {
		if w.end <= t {
			continue
		}
		from := max(t, w.start)
		usable := min(w.usable, w.end-from)
		if span <= usable {
			return from + span
		}
		span -= usable
	}
	return 0
}
