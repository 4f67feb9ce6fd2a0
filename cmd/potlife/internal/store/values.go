package store

import (
	"fmt"
	"math/big"
	"time"

	"github.com/jackc/pgx/v5/pgtype"

	"potlife/rooms"
	"potlife/takeoff"
)

// day is a civil date in a row; no date is NULL.
type day rooms.Date

// DateValue implements pgtype.DateValuer.
func (d day) DateValue() (pgtype.Date, error) {
	if rooms.Date(d).IsZero() {
		return pgtype.Date{}, nil
	}
	return pgtype.Date{Time: rooms.Date(d).In(time.UTC), Valid: true}, nil
}

// ScanDate implements pgtype.DateScanner.
func (d *day) ScanDate(v pgtype.Date) error {
	if v.InfinityModifier != pgtype.Finite {
		return fmt.Errorf("infinite date")
	}
	*d = day{}
	if v.Valid {
		*d = day(rooms.DateOf(v.Time))
	}
	return nil
}

func days(in []rooms.Date) []day {
	out := make([]day, len(in)) // never NULL
	for i, d := range in {
		out[i] = day(d)
	}
	return out
}

func dates(in []day) []rooms.Date {
	var out []rooms.Date
	for _, d := range in {
		out = append(out, rooms.Date(d))
	}
	return out
}

// amount is money in a row.
type amount takeoff.Money

// moneyDigits is the number of decimals of takeoff.Money.
const moneyDigits = 4

// NumericValue implements pgtype.NumericValuer.
func (m amount) NumericValue() (pgtype.Numeric, error) {
	return pgtype.Numeric{Int: big.NewInt(int64(m)), Exp: -moneyDigits, Valid: true}, nil
}

// ScanNumeric implements pgtype.NumericScanner.
func (m *amount) ScanNumeric(v pgtype.Numeric) error {
	if !v.Valid || v.NaN || v.InfinityModifier != pgtype.Finite {
		return fmt.Errorf("no amount of money")
	}
	n := new(big.Int).Set(v.Int)
	shift := int64(v.Exp) + moneyDigits
	ten := new(big.Int).Exp(big.NewInt(10), big.NewInt(max(shift, -shift)), nil)
	if shift >= 0 {
		n.Mul(n, ten)
	} else if _, rest := n.QuoRem(n, ten, new(big.Int)); rest.Sign() != 0 {
		return fmt.Errorf("an amount with more than %d decimals", moneyDigits)
	}
	if !n.IsInt64() {
		return fmt.Errorf("an amount out of range")
	}
	*m = amount(n.Int64())
	return nil
}

// orNull makes the empty string NULL, for columns that refer to another table.
func orNull(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}

func orEmpty(s *string) string {
	if s == nil {
		return ""
	}
	return *s
}

// flat lays a ring out as x0, y0, x1, y1, …; no ring is NULL.
func flat(r rooms.Ring) []int64 {
	if len(r) == 0 {
		return nil
	}
	out := make([]int64, 0, 2*len(r))
	for _, p := range r {
		out = append(out, int64(p.X), int64(p.Y))
	}
	return out
}

func ring(flat []int64) rooms.Ring {
	var r rooms.Ring
	for i := 0; i+1 < len(flat); i += 2 {
		r = append(r, rooms.Point{X: rooms.Length(flat[i]), Y: rooms.Length(flat[i+1])})
	}
	return r
}

func week(w [7]bool) []bool { return w[:] }

func week7(w []bool) (out [7]bool) {
	copy(out[:], w)
	return out
}
