package store

import (
	"bytes"
	"context"
	"math"
	"testing"

	"potlife/rooms"
	"potlife/takeoff"
)

func TestAmountsAndDaysInTheDatabase(t *testing.T) {
	ctx := context.Background()
	s := open(t)
	for _, m := range []amount{0, 1, -1, 9_999, 10_000, 251_500, math.MaxInt64, math.MinInt64} {
		var got amount
		var text string
		if err := s.pool.QueryRow(ctx, `SELECT $1::numeric, $1::numeric::text`, m).Scan(&got, &text); err != nil || got != m {
			t.Errorf("%d came back as %d (%s), %v", m, got, text, err)
		}
	}
	for text, want := range map[string]amount{"12": 120_000, "1e3": 10_000_000, "-0.0001": -1, "0.50": 5_000, "7.0000000": 70_000} {
		var got amount
		if err := s.pool.QueryRow(ctx, `SELECT $1::text::numeric`, text).Scan(&got); err != nil || got != want {
			t.Errorf("%s came as %d, %v; want %d", text, got, err, want)
		}
	}
	for _, bad := range []string{"0.00001", "NaN", "Infinity", "922337203685477.5808"} {
		var got amount
		if err := s.pool.QueryRow(ctx, `SELECT $1::text::numeric`, bad).Scan(&got); err == nil {
			t.Errorf("%s came as %d", bad, got)
		}
	}
	for _, d := range []rooms.Date{{}, {Year: 1, Month: 1, Day: 1}, {Year: 2028, Month: 2, Day: 29}, {Year: 9999, Month: 12, Day: 31}} {
		got := day{Year: 7}
		if err := s.pool.QueryRow(ctx, `SELECT $1::date`, day(d)).Scan(&got); err != nil || rooms.Date(got) != d {
			t.Errorf("%v came back as %v, %v", d, rooms.Date(got), err)
		}
	}
	list := []rooms.Date{{Year: 2026, Month: 12, Day: 24}, {Year: 2026, Month: 1, Day: 6}}
	var got []day
	if err := s.pool.QueryRow(ctx, `SELECT $1::date[]`, days(list)).Scan(&got); err != nil || len(got) != 2 || dates(got)[1] != list[1] {
		t.Errorf("%v came back as %v, %v", list, got, err)
	}
}

func TestMoneyInWords(t *testing.T) {
	for m, want := range map[amount]string{0: "0.00", 251_500: "25.15", 251_501: "25.1501", -50: "-0.0050", -12_300: "-1.23", 1: "0.0001"} {
		if got := money(takeoff.Money(m)); got != want {
			t.Errorf("money(%d) = %s, want %s", m, got, want)
		}
	}
}

func FuzzCut(f *testing.F) {
	f.Add([]byte("short"), uint16(1))
	f.Add([]byte("0123456789abcdef"), uint16(3000))
	f.Fuzz(func(t *testing.T, seed []byte, times uint16) {
		text := bytes.Repeat(seed, int(times))
		if len(text) > 1<<20 {
			t.Skip()
		}
		chunks := newPart("", text, nil).chunks
		if !bytes.Equal(bytes.Join(chunks, nil), text) {
			t.Fatal("the chunks do not make up the text")
		}
		for i, c := range chunks {
			if len(c) == 0 || len(c) > chunkMost || i < len(chunks)-1 && len(c) < chunkLeast {
				t.Fatalf("chunk %d of %d bytes", i, len(c))
			}
			packed, err := deflate(c)
			if err != nil {
				t.Fatal(err)
			}
			if plain, err := inflate(packed); err != nil || !bytes.Equal(plain, c) {
				t.Fatalf("chunk %d does not come back: %v", i, err)
			}
		}
	})
}
