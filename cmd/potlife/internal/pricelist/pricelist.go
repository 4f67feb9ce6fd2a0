// Package pricelist reads a supplier's prices from CSV: whichever delimiter,
// decimal mark and column names it has. Every row that is wrong is named with its
// line and column and with what to do about it.
package pricelist

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"potlife/rooms"
	"potlife/takeoff"
)

// Options say how a list is to be read.
type Options struct {
	// Columns gives the list's own name for a column of Names.
	Columns map[string]string
	// From is the day from which the prices count where a row names none.
	From rooms.Date
	// Decimal is "point", "comma", or empty to find out.
	Decimal string
}

// Names are the columns: product and price are needed, the others may be absent.
var Names = []string{"product", "price", "unit", "currency", "from"}

// How says what to do with a list that has been read.
type How struct {
	Source, Who string
	// Skip takes over the rows that are right although others are wrong.
	Skip bool
	// Dry writes nothing.
	Dry bool
}

// Item is a price of a package from a day on.
type Item struct {
	Line    int // in the file, from 1
	Product string
	Price   takeoff.Money
	From    rooms.Date
}

// Problem is what is wrong with one cell, or with a row where Column is empty.
type Problem struct {
	Line             int
	Column, What, Do string
}

// String is the problem in one line.
func (p Problem) String() string {
	at := fmt.Sprintf("line %d", p.Line)
	if p.Column != "" {
		at += ", column " + p.Column
	}
	return at + ": " + p.What + "; " + p.Do
}

// Report is what a list holds.
type Report struct {
	Items    []Item
	Problems []Problem
}

// reader carries one reading.
type reader struct {
	o     Options
	comma rune // decimal mark
	at    map[string]int
	head  []string
	units map[string]string
	money string
	seen  map[string]int
	out   Report
}

// Read reads a list against what can be bought. The error is about the list as a
// whole; rows that are wrong are in the report and not among its items.
func Read(text []byte, cat takeoff.Catalogue, o Options) (Report, error) {
	text = bytes.TrimPrefix(text, []byte("\ufeff"))
	if !utf8.Valid(text) {
		return Report{}, errors.New("the list is not written in UTF-8; save it as CSV UTF-8 and take it over again")
	}
	rows, lines, err := cells(text)
	if err != nil {
		return Report{}, err
	}
	r := &reader{o: o, head: rows[0], units: unitsOf(cat), money: cat.Currency, seen: map[string]int{}}
	if err := r.columns(); err != nil {
		return Report{}, err
	}
	if r.comma, err = r.decimal(rows[1:]); err != nil {
		return Report{}, err
	}
	for i, row := range rows[1:] {
		r.row(lines[i+1], row)
	}
	return r.out, nil
}

// cells splits the text at whichever delimiter its first line has most of, and
// says on which line each row begins.
func cells(text []byte) ([][]string, []int, error) {
	first, _, _ := bytes.Cut(text, []byte("\n"))
	delimiter, most := ',', 0
	for _, d := range []rune{';', '\t', ',', '|'} {
		if n := strings.Count(string(first), string(d)); n > most {
			delimiter, most = d, n
		}
	}
	c := csv.NewReader(bytes.NewReader(text))
	c.Comma, c.FieldsPerRecord, c.TrimLeadingSpace = delimiter, -1, delimiter != '\t'
	var rows [][]string
	var lines []int
	for {
		row, err := c.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, nil, fmt.Errorf("the list cannot be read as CSV: %w; mend the quotes on that line", err)
		}
		if strings.TrimSpace(strings.Join(row, "")) == "" {
			continue
		}
		line, _ := c.FieldPos(0)
		rows, lines = append(rows, row), append(lines, line)
	}
	if len(rows) < 2 {
		return nil, nil, errors.New("the list has no rows under its heading; the template shows the form")
	}
	return rows, lines, nil
}

// ColumnError is the error of a list that has no Column, one of Names, or has it
// under a name that is not known.
type ColumnError struct{ Column, text string }

func (e *ColumnError) Error() string { return e.text }

// columns finds the columns by their names, or by the names the options give.
func (r *reader) columns() error {
	r.at = map[string]int{}
	for _, name := range Names {
		own := name
		if r.o.Columns[name] != "" {
			own = r.o.Columns[name]
		}
		for i, h := range r.head {
			if strings.EqualFold(strings.TrimSpace(h), own) {
				if _, twice := r.at[name]; twice {
					return fmt.Errorf("line 1: there are two columns %q; name one of them otherwise", own)
				}
				r.at[name] = i
			}
		}
		_, there := r.at[name]
		if !there && (name == "product" || name == "price" || own != name) {
			return &ColumnError{name, fmt.Sprintf("line 1: there is no column %q among %s; rename a column, or say which one is the %s", own, strings.Join(r.head, ", "), name)}
		}
	}
	for name := range r.o.Columns {
		if _, known := r.at[name]; !known {
			return fmt.Errorf("%q is no column of a price list; there are %s", name, strings.Join(Names, ", "))
		}
	}
	return nil
}

// cell is what a row has in a column, empty where it has none.
func (r *reader) cell(row []string, name string) string {
	i, there := r.at[name]
	if !there || i >= len(row) {
		return ""
	}
	return strings.TrimSpace(row[i])
}

func (r *reader) wrong(line int, column, do, format string, args ...any) {
	if i, there := r.at[column]; there {
		column = strings.TrimSpace(r.head[i])
	}
	r.out.Problems = append(r.out.Problems, Problem{line, column, fmt.Sprintf(format, args...), do})
}

// row takes one row over, or says all that is wrong with it.
func (r *reader) row(line int, row []string) {
	before := len(r.out.Problems)
	if len(row) > len(r.head) {
		r.wrong(line, "", "put a text that holds the delimiter into quotes", "it has %d cells and the heading has %d", len(row), len(r.head))
		return
	}
	it := Item{Line: line, Product: r.cell(row, "product"), From: r.o.From}
	unit, known := r.units[it.Product]
	switch {
	case it.Product == "":
		r.wrong(line, "product", "write its key", "no product is named")
	case !known:
		r.wrong(line, "product", "use the key it has in the firm's file, or add it there first", "there is no tile or product %q", it.Product)
	}
	price, err := parsePrice(r.cell(row, "price"), r.comma)
	if err != nil {
		r.wrong(line, "price", "write what a package costs, as 12.50", "%s", err)
	}
	it.Price = price
	if u := r.cell(row, "unit"); u != "" && known && !strings.EqualFold(u, unit) {
		r.wrong(line, "unit", "give the price by the "+unit, "%s is bought by the %s, not by the %q", it.Product, unit, u)
	}
	if c := r.cell(row, "currency"); c != "" && !strings.EqualFold(c, r.money) {
		r.wrong(line, "currency", "convert the price to "+r.money, "the firm buys in %s, not in %q", r.money, c)
	}
	if d := r.cell(row, "from"); d != "" {
		if it.From, err = rooms.ParseDate(d); err != nil {
			r.wrong(line, "from", "write the day as 2026-03-04", "%q is no day", d)
		}
	} else if it.From.IsZero() {
		r.wrong(line, "from", "give a day in the row or for the whole list", "it says not from which day the price counts")
	}
	key := it.Product + " " + it.From.String()
	if first, twice := r.seen[key]; twice && known {
		r.wrong(line, "product", "leave one of the two out", "%s has a price from %s on line %d already", it.Product, it.From, first)
	}
	r.seen[key] = line
	if len(r.out.Problems) == before {
		r.out.Items = append(r.out.Items, it)
	}
}

// unitsOf is by what each tile and product is bought.
func unitsOf(cat takeoff.Catalogue) map[string]string {
	units := map[string]string{}
	for _, t := range cat.Tiles {
		units[t.Key] = "box"
	}
	for _, p := range cat.Products {
		units[p.Key] = p.Package
		if p.Package == "" {
			units[p.Key] = "package"
		}
	}
	return units
}
