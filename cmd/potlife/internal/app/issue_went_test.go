package app

import (
	"context"
	"strings"
	"testing"

	"potlife/cmd/potlife/internal/deliver"
	"potlife/rooms"
)

// The command line says where each sheet went: without any way out it warns, with
// a folder it sends and says so.
func TestIssuingSaysWhereSheetsWent(t *testing.T) {
	ctx := context.Background()
	day := rooms.Date{Year: 2026, Month: 11, Day: 26}
	f := demoFirm(t, "inches", day, day.AddDays(5))
	d := &Daemon{App: f.App}
	var issued rooms.Date
	for _, with := range []bool{false, true} {
		f.o.Post = deliver.Post{}
		if with {
			folder, err := deliver.NewFolder(t.TempDir())
			if err != nil {
				t.Fatal(err)
			}
			f.o.Post[deliver.Folder] = folder
		}
		saved, err := f.o.Store.CurrentPlan(ctx)
		if err != nil {
			t.Fatal(err)
		}
		at := 0
		for !issued.Before(saved.Plan.Sheets[at].Date) {
			at++
		}
		issued = saved.Plan.Sheets[at].Date
		lines, err := d.IssueDay(ctx, issued, true)
		said := strings.Join(lines, "\n")
		if err != nil || !strings.Contains(said, "issued, revision 1") {
			t.Fatalf("nothing was issued: %s, %v", said, err)
		}
		if warned := strings.Contains(said, "WARNING") && strings.Contains(said, "sent to nobody") && strings.Contains(said, "POTLIFE_FOLDER"); warned == with {
			t.Errorf("with a folder: %v; said:\n%s", with, said)
		}
		if sent := strings.Contains(said, "; folder"); sent != with {
			t.Errorf("with a folder: %v; said:\n%s", with, said)
		}
		if again := d.wentLines(ctx, []Outcome{{Crew: saved.Plan.Sheets[at].Crew, Date: issued, Why: "issued already"}}); again != nil {
			t.Errorf("of what was not issued now it says %q", again)
		}
	}
}
