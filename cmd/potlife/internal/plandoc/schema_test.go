package plandoc

import (
	"bytes"
	"encoding/json"
	"os"
	"regexp"
	"strings"
	"testing"
)

func TestSchemaNamesEveryField(t *testing.T) {
	var s struct {
		Defs map[string]struct {
			Properties map[string]any
			Required   []string
		} `json:"$defs"`
	}
	if err := json.Unmarshal(Schema(), &s); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(Schema(), Schema()) {
		t.Error("two schemas differ")
	}
	for name, def := range s.Defs {
		optional := map[string]int{"Crew": 1, "Person": 4}[name] // people; hours, off, on, dates
		if len(def.Properties) == 0 || len(def.Properties) != len(def.Required)+optional {
			t.Errorf("%s: %d properties, %d required", name, len(def.Properties), len(def.Required))
		}
	}
	if _, ok := s.Defs["Document"].Properties["stock"]; !ok {
		t.Error("the document has no stock")
	}
}

// TestFixedFields compares the schema with the field lists of the re-check
// that was written without sight of this project.
func TestFixedFields(t *testing.T) {
	text, err := os.ReadFile("../../../../../shared/checks/plan_check")
	if err != nil {
		t.Skip("skipped: ../shared/checks/plan_check is absent")
	}
	var s struct {
		Defs map[string]struct{ Properties map[string]any } `json:"$defs"`
	}
	if err := json.Unmarshal(Schema(), &s); err != nil {
		t.Fatal(err)
	}
	def := map[string]string{"": "Document", "jobs": "Job", "sites": "Site", "travel": "Travel", "rooms": "Room", "tiles": "Tile",
		"surfaces": "Surface", "surfaces.zones": "Zone", "surfaces.zones.pieces": "Piece", "surfaces.zones.pieces.cuts": "Cut",
		"surfaces.openings": "Opening", "stock": "Stock", "stock.pieces": "StockPiece", "takeoff": "Takeoff", "materials": "Material",
		"on_hand": "OnHand", "orders": "Order", "orders.lines": "OrderLine", "crews": "Crew", "activities": "Activity",
		"activities.after": "After", "areas": "Area", "areas.patches": "Patch", "mixes": "Mix", "mixes.patches": "MixPatch",
		"sheets": "Sheet", "sheets.cuts": "CutGroup", "sheets.carry": "Carry", "sheets.waits": "Wait", "findings": "Finding"}
	found := 0
	for _, m := range regexp.MustCompile(`'([a-z_.]*)': '([a-z_0-9 ]+)'`).FindAllStringSubmatch(string(text), -1) {
		name, ok := def[m[1]]
		if !ok {
			continue
		}
		found++
		for _, f := range strings.Fields(m[2]) {
			if _, ok := s.Defs[name].Properties[f]; !ok {
				t.Errorf("%s lacks %s", name, f)
			}
		}
	}
	if found < len(def) {
		t.Errorf("only %d of %d field lists were found", found, len(def))
	}
}
