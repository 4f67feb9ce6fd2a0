package rcpsp

// compress looks for a shorter schedule near a given one with the constraint engine: what lies left of a stretch of
// time may start no later than it does, what lies right of it, pushed to the right, no earlier less the wanted gain;
// what lies between is free. What the engine learns in one stretch holds everywhere.
type compress struct {
	x      *exactRun
	left   []int32 // starts pushed to the left
	right  []int32 // and to the right, in the same span
	span   int32
	share  float64 // of the time that is free
	assume []atom
}

// window is one try; the outcome is that of the engine.
func (c *compress) window(from, to, gain int32, conflicts int64) outcome {
	cp := c.x.c
	c.assume = c.assume[:0]
	for i := range c.left {
		d := int32(cp.m.dur[i])
		if c.left[i]+d <= from || c.left[i] < from && c.left[i]+d/2 < from {
			c.assume = append(c.assume, atom{2*int32(i) + 1, -c.left[i]})
		}
		if c.right[i] >= to || c.right[i]+d/2 >= to {
			c.assume = append(c.assume, atom{2 * int32(i), c.right[i] - gain})
		}
	}
	return cp.run(c.assume, conflicts, c.x.stop)
}
