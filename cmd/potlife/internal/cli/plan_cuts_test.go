package cli

import (
	"encoding/json"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"potlife/cmd/potlife/internal/jobfile"
	"potlife/cmd/potlife/internal/plandoc"
)

// An offcut that the firm counted and the plan cuts from is told in the summary with
// its mark, lot and place, for what it serves, and on the sheet of the day on which
// it is cut; all offcuts the plan leaves are counted by tile and lot, and every stop
// setting is told.
func TestPlanTellsOffcuts(t *testing.T) {
	clean(t)
	counted := "  offcuts:\n    - {key: k1, tile: mist, lot: A48, width: 290, height: 297, edges: [left, bottom, top], place: shelf 2}\n  lots:"
	file := write(t, "job.yaml", []byte(strings.Replace(string(jobfile.Demo("")), "  lots:", counted, 1)))
	text, errs, code := run(t, &memory{}, "plan", file, "--today", "2026-11-26", "--sheets", "1000")
	document, _, _ := run(t, &memory{}, "plan", file, "--today", "2026-11-26", "--json")
	var doc plandoc.Document
	if err := json.Unmarshal([]byte(document), &doc); code != 0 || err != nil {
		t.Fatal(code, errs, err)
	}
	words := "Mist porcelain, matt, 30 x 60, 290 × 297; left, bottom and top edges uncut; marked k1"
	pieces := 0
	for _, s := range doc.Stock {
		if s.Offcut != nil {
			pieces += len(s.Pieces)
			for _, p := range s.Pieces {
				if name := doc.Index().PieceWords(p.Piece); name == "" || !regexp.MustCompile(regexp.QuoteMeta(words)+` +A48 +at shelf 2 .*`+regexp.QuoteMeta(name)).MatchString(text) {
					t.Errorf("the offcut is not told for %q", name)
				}
			}
		}
	}
	if fetch := "  fetch offcut: " + words + ", lot A48, at shelf 2\n"; pieces == 0 || strings.Count(text, fetch) != 1 {
		t.Errorf("%d pieces are cut from the offcut, and it is fetched %d times", pieces, strings.Count(text, fetch))
	}
	_, left, _ := strings.Cut(text, "\nOffcuts left, worth keeping: "+plural(len(doc.Offcuts), "piece"))
	left, _, _ = strings.Cut(left, "\n\n")
	sum := 0
	for _, m := range regexp.MustCompile(`(?:× [0-9.]+|smaller sizes?) +(\d+)  `).FindAllStringSubmatch(left, -1) {
		n, _ := strconv.Atoi(m[1])
		sum += n
	}
	if sum == 0 || sum != len(doc.Offcuts) {
		t.Errorf("the summary counts %d offcuts, the plan leaves %d:\n%s", sum, len(doc.Offcuts), left)
	}
	for _, s := range doc.StopSetting {
		if !strings.Contains(text, s.Text) {
			t.Errorf("%s of %s are not told", s.Text, s.Tile)
		}
	}
}
