package app

import (
	"strings"
	"testing"
	"time"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/web"
)

func TestAReportOnADayToComeIsFlagged(t *testing.T) {
	doc := &plandoc.Document{Zone: "Europe/Berlin", Units: "metric"}
	now := time.Date(2026, 11, 30, 23, 30, 0, 0, time.UTC) // half past midnight on 1 December there
	for _, c := range []struct {
		kind, date, want string
	}{
		{"area done", "2026-12-01", ""},
		{"area done", "2026-11-30", ""},
		{"area done", "2026-12-02", "Wed 2 Dec, 1 day ahead"},
		{"activity done", "2026-12-04", "Fri 4 Dec, 3 days ahead"},
		{"note", "2026-12-04", ""},
		{"reading", "2026-12-04", ""},
		{"hours", "", ""},
	} {
		got := aheadWarning(doc, web.RecordIn{Kind: c.kind, Date: c.date}, now)
		if c.want == "" && got != "" || !strings.Contains(got, c.want) {
			t.Errorf("%s on %q: %q, want %q", c.kind, c.date, got, c.want)
		}
	}
}
