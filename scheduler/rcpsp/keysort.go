package rcpsp

// keySort orders activities by whole keys that lie close together: counting sort.
type keySort struct {
	key   []int32
	count []int32
}

func newKeySort(n int) keySort { return keySort{key: make([]int32, n)} }

// sort fills order with the activities by key. Those of one key follow their numbers, beginning with first.
func (k *keySort) sort(order []int32, first int) {
	least, most := k.key[0], k.key[0]
	for _, v := range k.key {
		least, most = min(least, v), max(most, v)
	}
	n := int(most-least) + 2
	if cap(k.count) < n {
		k.count = make([]int32, 2*n)
	}
	count := k.count[:n]
	clear(count)
	for _, v := range k.key {
		count[v-least+1]++
	}
	for v := 1; v < n; v++ {
		count[v] += count[v-1]
	}
	i := first
	for range k.key {
		v := k.key[i] - least
		order[count[v]] = int32(i)
		count[v]++
		if i++; i == len(k.key) {
			i = 0
		}
	}
}
