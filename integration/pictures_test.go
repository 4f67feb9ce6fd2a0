package integration

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// TestPictures draws README's pictures from the demonstration job when
// POTLIFE_PICTURES is set (`make pictures`), and otherwise sees that they are
// there and are what they claim to be.
func TestPictures(t *testing.T) {
	if os.Getenv("POTLIFE_PICTURES") != "" {
		drawPictures(t)
	}
	wall, err := os.ReadFile("pictures/wall.svg")
	if err != nil || !bytes.Contains(wall, []byte("<svg")) {
		t.Errorf("pictures/wall.svg: %v", err)
	}
	sheet, err := os.ReadFile("pictures/day-sheet.png")
	if err != nil || !bytes.HasPrefix(sheet, []byte("\x89PNG")) {
		t.Errorf("pictures/day-sheet.png: %v", err)
	}
	readme, err := os.ReadFile("../README.md")
	if err != nil || !bytes.Contains(readme, []byte("integration/pictures/wall.svg")) || !bytes.Contains(readme, []byte("integration/pictures/day-sheet.png")) {
		t.Errorf("README does not show both: %v", err)
	}
}

func drawPictures(t *testing.T) {
	t.Helper()
	p := newProgram(t)
	folder := t.TempDir()
	p.env = append(p.env, "POTLIFE_FOLDER="+folder)
	p.run("import", p.demoFile())
	d := p.serve()
	boss := d.signIn("Mara", "contractor", "")
	eventually(t, "a plan", func() bool { _, code := boss.get("/api/v1/plan"); return code == 200 })
	svg, code := boss.get("/surfaces/linden/flat1/north/drawing.svg")
	if code != 200 {
		t.Fatalf("drawing: %d", code)
	}
	if err := os.WriteFile("pictures/wall.svg", []byte(svg), 0o644); err != nil {
		t.Fatal(err)
	}
	doc := boss.plan()
	crew, date := doc.Sheets[0].Crew, doc.Sheets[0].Date
	issueBefore(t, p, date)
	pdf := filepath.Join(folder, date+" "+crew+" r1.pdf")
	for end := time.Now().Add(time.Minute); time.Now().Before(end); time.Sleep(200 * time.Millisecond) {
		if _, err := os.Stat(pdf); err == nil {
			break
		}
	}
	out, err := exec.Command("pdftoppm", "-r", "90", "-png", "-f", "1", "-l", "1", "-singlefile", pdf, "pictures/day-sheet").CombinedOutput()
	if err != nil {
		t.Fatalf("pdftoppm: %v\n%s", err, strings.TrimSpace(string(out)))
	}
}
