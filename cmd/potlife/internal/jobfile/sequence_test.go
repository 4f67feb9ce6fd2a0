package jobfile

import (
	"context"
	"fmt"
	"os"
	"strings"
	"testing"

	"potlife/rooms"
	"potlife/scheduler"
)

// What the reader accepts of a hold the scheduler can plan, and what it refuses
// the scheduler finds circular: both know one order of work. An electrician who
// lays a heating cable between primer and leveller is one such. The room asks for
// every step: large tile on a wall over a tub.
func TestHoldsByTheOrderOfWork(t *testing.T) {
	good, err := os.ReadFile("testdata/good.yaml")
	if err != nil {
		t.Fatal(err)
	}
	head, _, _ := strings.Cut(string(good), "        - key: bath")
	head = strings.Replace(head, "  products:\n", `  products:
    - {key: grip, name: Grip, supplier: yard, kind: primer, holds: 5 l, price: 20}
    - {key: lev, name: Level, supplier: yard, kind: leveller, holds: 25 kg, price: 20}
    - {key: damp, name: Damp, supplier: yard, kind: membrane, holds: 7 kg, price: 20}
    - {key: sil, name: Silicone, supplier: yard, kind: sealant, holds: 310 ml, price: 7}
    - {key: plate, name: Board, supplier: yard, kind: board, holds: 1 m2, price: 20}
`, 1)
	head = strings.Replace(head, "  products:\n", "    - {key: large, name: Large, supplier: yard, size: 598 x 398, thickness: 9, per_box: 5, material: ceramic, price: 19.90}\n  products:\n", 1)
	const room = `        - key: bath
          set: {sealant: sil}
          holds: [{key: cable, why: the electrician, after: %s, before: %s, lasts: 1h}]
          surfaces:
            - {key: floor, kind: floor, wet: yes, width: 600, height: 600, prepare: [level, prime, board, membrane, flood test], leveller_depth: 5}
            - {key: back, kind: wall, width: 600, height: 600, set: {tile: large}, edges: {bottom: {meets: tub}}}
`
	for i, after := range activities {
		for j, before := range activities {
			f, problems := Parse("x", []byte(head+fmt.Sprintf(room, after, before)))
			if i >= j {
				if len(problems) != 1 || !strings.Contains(problems[0].String(), "run in a circle") {
					t.Errorf("after %s, before %s: %v", after, before, problems)
				}
				continue
			}
			if len(problems) > 0 {
				t.Errorf("after %s, before %s: %v", after, before, problems)
				continue
			}
			f.Firm.Limits.Schedules = 1
			if _, err := scheduler.Make(context.Background(), scheduler.Input{Firm: *f.Firm, Jobs: f.Jobs, Today: rooms.Date{Year: 2026, Month: 12, Day: 1}}); err != nil {
				t.Errorf("after %s, before %s: %v", after, before, err)
			}
		}
	}
}
