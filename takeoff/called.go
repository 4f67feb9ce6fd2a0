package takeoff

import "strings"

// Sentences say the names people gave; a key stands only where there is none.

// called names a tile or another product by its key. A lot laid out as it
// measured goes by its tile.
func (c *Catalogue) called(product string) string {
	goods := GoodsKey(product)
	if t := c.tile(goods); t != nil && t.Name != "" {
		return t.Name
	}
	if p := c.product(goods); p != nil && p.Name != "" {
		return p.Name
	}
	return goods
}

// supplierCalled names a supplier.
func (c *Catalogue) supplierCalled(key string) string {
	for i := range c.Suppliers {
		if c.Suppliers[i].Key == key && c.Suppliers[i].Name != "" {
			return c.Suppliers[i].Name
		}
	}
	return key
}

// roomsCalled names rooms: "Bath and Hall".
func (t *Taken) roomsCalled(keys []string) string {
	var list []string
	for _, k := range keys {
		if name := t.roomName[k]; name != "" {
			list = append(list, name)
		} else {
			list = append(list, k)
		}
	}
	if n := len(list); n > 1 {
		return strings.Join(list[:n-1], ", ") + " and " + list[n-1]
	}
	return strings.Join(list, "")
}
