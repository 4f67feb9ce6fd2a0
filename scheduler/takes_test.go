package scheduler

import "testing"

// An activity names each product once, with all that its surfaces take of it: an area
// over several surfaces had listed the spacers of each.
func TestActivitiesNameEachProductOnce(t *testing.T) {
	over := 0
	for seed := uint64(1); seed <= 4; seed++ {
		p := made(t, small(t, seed, 2))
		for _, a := range p.Activities {
			seen := map[string]bool{}
			for _, u := range a.Products {
				if k := u.Product + " " + u.Unit; seen[k] {
					t.Errorf("seed %d: %s takes %s twice: %v", seed, a.ID, u.Product, a.Products)
				} else {
					seen[k] = true
				}
			}
			if len(a.Surfaces) > 1 && len(a.Products) > 0 {
				over++
			}
		}
	}
	if over == 0 {
		t.Error("no activity on several surfaces takes anything: the test shows nothing")
	}
	task := &task{}
	for _, u := range []Use{{"cross", 12, "piece"}, {"flex", 3.1, "kg"}, {"cross", 5, "piece"}, {"flex", 0.25, "kg"}} {
		task.takes(u)
	}
	if len(task.products) != 2 || task.products[0].Quantity != 17 || task.products[1].Quantity != 3.35 {
		t.Errorf("it takes %v, want 17 crosses and 3.35 kg", task.products)
	}
}
