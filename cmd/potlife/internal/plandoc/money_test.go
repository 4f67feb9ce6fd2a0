package plandoc

import (
	"testing"

	"potlife/rooms"
)

func TestAmountsAndOunces(t *testing.T) {
	metric, imperial, plain := Writing{}, Writing{Imperial: true}, Writing{Plain: true}
	for _, c := range []struct {
		w          Writing
		give, want string
	}{
		{metric, "1234567.5", "1" + rooms.GroupMark + "234" + rooms.GroupMark + "567.50"}, {imperial, "1234.5", "1,234.50"}, {imperial, "-1234.5", "-1,234.50"},
		{plain, "1234.5", "1234.50"}, {metric, "999", "999.00"}, {metric, "24.3116", "24.3116"}, {metric, "much", "much"}, {metric, "", ""},
	} {
		if got := c.w.Money(c.give); got != c.want {
			t.Errorf("%q: %q, want %q", c.give, got, c.want)
		}
	}
	for _, c := range []struct {
		w     Writing
		v     float64
		unit  string
		holds string
		want  string
	}{
		{imperial, 1.5, "l", "10.1 fl oz", "50.7 fl oz"}, {imperial, 1.5, "l", "1 qt", "1.59 qt"}, {metric, 1.5, "l", "10.1 fl oz", "1.5 l"}, {imperial, 2, "bag", "5 fl oz", "2 bags"},
	} {
		if got := c.w.QuantityAs(c.v, c.unit, c.holds); got != c.want {
			t.Errorf("%g %s sold by %s: %q, want %q", c.v, c.unit, c.holds, got, c.want)
		}
	}
}
