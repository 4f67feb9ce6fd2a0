package store

import (
	"context"
	"errors"
	"fmt"
	"reflect"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"potlife/scheduler"
)

func areaDone(key, who string, at time.Time) Record {
	return Record{Record: scheduler.Record{Kind: "area done", At: at, Crew: "north", Area: "area-1"}, Key: key, Who: who}
}

func TestRecordRoundTrip(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	var r Record
	new(filler).fill(reflect.ValueOf(&r.Record).Elem())
	r.At, r.Crew = noon.Add(-time.Hour), "north"
	r.Key, r.Who, r.Photos = "k1", "ann", []Photo{{"image/jpeg", []byte{0xff, 0xd8, 0}}}
	a, err := s.AddRecord(ctx, r, noon)
	if err != nil || !a.New || a.ID != 1 {
		t.Fatalf("AddRecord: %+v, %v", a, err)
	}
	got, err := s.Records(ctx, 0)
	if err != nil || len(got) != 1 {
		t.Fatalf("Records: %v, %v", got, err)
	}
	want := r
	want.ID, want.ReceivedAt, want.Photos, want.Pictures = 1, noon, nil, 1
	if d := cmp.Diff(want, got[0]); d != "" {
		t.Errorf("(-added +read):\n%s", d)
	}
	photos, err := s.Photos(ctx, 1)
	if d := cmp.Diff(r.Photos, photos); d != "" || err != nil {
		t.Errorf("photos %v, %v", photos, err)
	}
}

func TestRecordOnceByKey(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	first := areaDone("k1", "ann", noon)
	for i := range 3 {
		a, err := s.AddRecord(ctx, first, noon.Add(time.Duration(i)*time.Minute))
		if err != nil || a.ID != 1 || a.New != (i == 0) {
			t.Errorf("time %d: %+v, %v", i+1, a, err)
		}
	}
	other := first
	other.Area = "area-2"
	if _, err := s.AddRecord(ctx, other, noon); !errors.Is(err, ErrConflict) || !strings.Contains(err.Error(), "k1") {
		t.Errorf("the same key for another record: %v", err)
	}
	correction := areaDone("k2", "office", noon)
	correction.Kind, correction.Corrects = "correction", "k1"
	if a, err := s.AddRecord(ctx, correction, noon); err != nil || a.ID != 2 {
		t.Errorf("a correction: %+v, %v (repeats must not use up numbers)", a, err)
	}
	correction.Key, correction.Corrects = "k3", "k99"
	if _, err := s.AddRecord(ctx, correction, noon); !errors.Is(err, ErrConflict) {
		t.Errorf("a correction of nothing: %v", err)
	}
	if _, err := s.pool.Exec(ctx, `UPDATE records SET note = 'changed'`); err == nil {
		t.Error("a record can be overwritten")
	}
	if _, err := s.pool.Exec(ctx, `DELETE FROM records`); err == nil {
		t.Error("a record can be deleted")
	}
}

func TestRecordsOfflineQueueLandsInOrder(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	var queue []Record
	for i := range 100 {
		queue = append(queue, areaDone(fmt.Sprintf("q%d", i), "ann", noon.Add(time.Duration(i%7)*time.Minute)))
	}
	if _, err := s.AddRecords(ctx, queue[:40], noon); err != nil { // the answer got lost: all is sent again
		t.Fatal(err)
	}
	added, err := s.AddRecords(ctx, queue, noon)
	if err != nil {
		t.Fatal(err)
	}
	for i, a := range added {
		if a.ID != int64(i+1) || a.New != (i >= 40) {
			t.Errorf("record %d: %+v", i, a)
		}
	}
	byTime, err := s.RecordsByTime(ctx)
	if err != nil || len(byTime) != 100 {
		t.Fatalf("%d records, %v", len(byTime), err)
	}
	for i := 1; i < len(byTime); i++ {
		a, b := byTime[i-1], byTime[i]
		if a.At.After(b.At) || a.At.Equal(b.At) && a.ID > b.ID {
			t.Fatalf("record %d stands before %d", a.ID, b.ID)
		}
	}
	bad := areaDone("bad", "ann", noon)
	bad.Crew = "nobody"
	if _, err := s.AddRecords(ctx, []Record{areaDone("good", "ann", noon), bad}, noon); err == nil {
		t.Fatal("a record of a crew that does not exist was taken")
	}
	if got, _ := s.Records(ctx, 100); len(got) != 0 {
		t.Errorf("half of a refused queue landed: %v", got)
	}
}

func TestTwoPeopleOnOneArea(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	if _, err := s.AddRecord(ctx, areaDone("a", "ann", noon), noon); err != nil {
		t.Fatal(err)
	}
	got, err := s.AddRecord(ctx, areaDone("b", "ben", noon.Add(time.Minute)), noon)
	if err != nil || !got.New || len(got.Same) != 1 || got.Same[0].Who != "ann" {
		t.Errorf("%+v, %v; want ann's record beside", got, err)
	}
	if got, err := s.AddRecord(ctx, areaDone("c", "ben", noon), noon); err != nil || len(got.Same) != 1 {
		t.Errorf("%+v, %v; one's own records are no news", got, err)
	}
	if all, err := s.RecordsOf(ctx, "area-1"); err != nil || len(all) != 3 {
		t.Errorf("%d records of the area, %v; none may be lost", len(all), err)
	}
}

// A reader that follows by number misses nothing, whatever is written at once.
func TestRecordNumbersFollowCommits(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	const writers, each = 10, 10
	var wg sync.WaitGroup
	for w := range writers {
		wg.Go(func() {
			for i := range each {
				if _, err := s.AddRecord(ctx, areaDone(fmt.Sprintf("%d-%d", w, i), "ann", noon), noon); err != nil {
					t.Error(err)
				}
			}
		})
	}
	done := make(chan struct{})
	go func() { wg.Wait(); close(done) }()
	var seen int64
	for finished := false; !finished; time.Sleep(2 * time.Millisecond) {
		select {
		case <-done:
			finished = true
		default:
		}
		got, err := s.Records(ctx, seen)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range got {
			if r.ID != seen+1 {
				t.Fatalf("record %d follows %d", r.ID, seen)
			}
			seen = r.ID
		}
	}
	if seen != writers*each {
		t.Errorf("saw %d of %d records", seen, writers*each)
	}
}
