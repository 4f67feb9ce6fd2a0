package pricelist

import (
	"errors"
	"fmt"
	"strings"

	"github.com/shopspring/decimal"

	"potlife/takeoff"
)

// decimal finds out which mark the prices use: the last of two different ones,
// or one that is not followed by exactly three digits. Where every price could be
// read both ways nothing is guessed.
func (r *reader) decimal(rows [][]string) (rune, error) {
	switch r.o.Decimal {
	case "point":
		return '.', nil
	case "comma":
		return ',', nil
	case "":
	default:
		return 0, fmt.Errorf("the decimal mark can be point or comma, not %q", r.o.Decimal)
	}
	votes, doubt := map[rune]string{}, ""
	for _, row := range rows {
		text := r.cell(row, "price")
		i := strings.LastIndexAny(text, ".,")
		if i < 0 {
			continue
		}
		mark := rune(text[i])
		if strings.Count(text, string(mark)) > 1 { // it parts the thousands
			votes['.'+','-mark] = text
			continue
		}
		if len(text)-i-1 == 3 && !strings.ContainsAny(text[:i], ".,") {
			doubt = text
			continue
		}
		votes[mark] = text
	}
	if len(votes) == 2 {
		return 0, fmt.Errorf("some prices have a decimal comma (%s) and some a decimal point (%s); use one of them throughout", votes[','], votes['.'])
	}
	if votes[','] != "" {
		return ',', nil
	}
	if votes['.'] == "" && doubt != "" {
		return 0, fmt.Errorf("%q can be read in two ways; %w", doubt, ErrDecimal)
	}
	return '.', nil
}

// ErrDecimal is the error of a list whose decimal mark cannot be found out.
var ErrDecimal = errors.New("say whether the decimal mark is point or comma")

// mostPrice is beyond any price of a package.
var mostPrice = decimal.New(1, 9)

func parsePrice(text string, mark rune) (takeoff.Money, error) {
	if text == "" {
		return 0, errors.New("no price is given")
	}
	other := "."
	if mark == '.' {
		other = ","
	}
	plain := strings.NewReplacer(other, "", " ", "", "\u00a0", "", "\u202f", "", "'", "", "’", "").Replace(text)
	plain = strings.Replace(plain, string(mark), ".", 1)
	d, err := decimal.NewFromString(strings.ReplaceAll(plain, "−", "-"))
	switch {
	case err != nil || strings.ContainsAny(plain, "eE+"):
		return 0, fmt.Errorf("%q is no price", text)
	case d.IsNegative():
		return 0, fmt.Errorf("%q is negative", text)
	case d.GreaterThan(mostPrice):
		return 0, fmt.Errorf("%q is more than any package costs", text)
	case !d.Equal(d.Truncate(4)):
		return 0, fmt.Errorf("%q has more than four decimals", text)
	}
	return takeoff.Money(d.Shift(4).IntPart()), nil
}
