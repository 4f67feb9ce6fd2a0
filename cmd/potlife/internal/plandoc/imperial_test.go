package plandoc

import (
	"encoding/json"
	"regexp"
	"testing"
)

// Sentences of the trade's packages, as a firm that works in inches reads them:
// 1 in = 25.4 mm, 1 lb = 0.45359237 kg, 1 US gal = 3.785411784 l.
func TestImperialWords(t *testing.T) {
	for in, want := range map[string]string{
		"notch 52.2 × 8.2 mm in the lower left corner of the tile":                             `notch 2 1/16" × 5/16" in the lower left corner of the tile`,
		"9 pieces are narrower than 1/3 of their tile, the narrowest a/b/field/9.3 with 97 mm": `9 pieces are narrower than 1/3 of their tile, the narrowest a/b/field/9.3 with 3 13/16"`,
		"soft joints, width × depth: 3 × 3 to 6 × 6 mm: 0.6 l net + 15 % = 0.69 l":             `soft joints, width × depth: 1/8" × 1/8" to 1/4" × 1/4": 20.3 fl oz net + 15 % = 23.3 fl oz`,
		"3.49 kg/m² (data sheet): 61.56 kg net → 3 bags of 22.68 kg, 5.68 l of water":          "0.71 lb/ft² (data sheet): 135.7 lb net → 3 bags of 50 lb, 1.5 gal of water",
		"1.6 kg/m² and mm, 4 mm deep at 1.6 kg/l":                                              `8.32 lb/ft² and inch, 5/32" deep at 13.4 lb/gal`,
		"open time 30 min at 18.9 °C (66 °F) × 0.7":                                            "open time 30 min at 66 °F × 0.7",
		"may not be used below 5 °C":                                                           "may not be used below 41 °F",
		"the ground must be flat to 6 mm under 3 m and 1.6 mm under 300 mm":                    `the ground must be flat to 1/4" under 10 ft and 1/16" under 12"`,
		"a run of 7700 mm": `a run of 25' 3 1/8"`,
		"0.8 mm":           `1/32"`,
		"0.751 l/m² over 2 coats, bands 150 mm wide": `2.36 fl oz/ft² over 2 coats, bands 5 7/8" wide`,
		"wait 90 min, 24 h, 2 m2 of floor, 13.249 l": "wait 90 min, 24 h, 21.5 ft² of floor, 3.5 gal",
		"tile slate12x24 mm, key 3-7 mm, m/9.3 m":    "tile slate12x24 mm, key 3-7 mm, m/9.3 m",
		"1.5 m": "4.9 ft",
		"waits until Mon 7 Dec 07:30: the room is ready on Sat 5 Dec": "waits until Mon, Dec 7 7:30 am: the room is ready on Sat, Dec 5",
		"finish Tue 22 Dec 2026 17:05, now 08:00 to 13:30":            "finish Tue, Dec 22, 2026 5:05 pm, now 8:00 am to 1:30 pm",
		"Mon, Dec 7 10:30 am is turned, 41:20 h and 10:30 h are work": "Mon, Dec 7 10:30 am is turned, 41:20 h and 10:30 h are work",
		"1\u202f555 pieces, 1\u202f250.5 kg net":                      "1,555 pieces, 2,756.9 lb net",
		"nothing to turn":                                             "nothing to turn",
	} {
		if got := imperialWords(in); got != want {
			t.Errorf("%s\n got %s\nwant %s", in, got, want)
		}
	}
	got := besides([]string{"Leveller, 2 to 15 mm"}, "Leveller, 2 to 15 mm, 25 kg, 3 mm deep", imperialWords)
	if want := `Leveller, 2 to 15 mm, 55.1 lb, 1/8" deep`; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

// No sentence of an imperial document holds a metric figure.
func TestImperialDocumentSpeaksInches(t *testing.T) {
	d := Document{Units: "imperial", Products: []Product{{Name: "Flat bar 3 mm"}}, Summary: []string{"17 mixes (70.1 kg)"},
		Findings: []Finding{{Message: "Flat bar 3 mm is 2 mm thick", Source: "5 mm", Waived: "3 mm agreed"}}}
	d.speakImperial()
	text, err := json.Marshal(d)
	if err != nil {
		t.Fatal(err)
	}
	if d.Summary[0] != "17 mixes (154.5 lb)" || d.Findings[0].Message != `Flat bar 3 mm is 3/32" thick` || d.Findings[0].Waived != "3 mm agreed" {
		t.Errorf("%s", text)
	}
	if left := regexp.MustCompile(`\d kg`).FindString(string(text)); left != "" {
		t.Errorf("%q is left in %s", left, text)
	}
}
