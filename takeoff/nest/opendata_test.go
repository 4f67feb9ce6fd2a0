package nest

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// openData is where the open instances lie, outside the repository.
const openData = "../../../shared/data/cutting"

// known is what is published about the instances of a set, by name and column.
func known(t *testing.T, set string) map[string]map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join(openData, set+".csv"))
	if err != nil {
		t.Skipf("open data absent, nothing held against published values: %v", err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	table := map[string]map[string]string{}
	for _, row := range rows[1:] {
		table[row[0]] = map[string]string{}
		for i, name := range rows[0] {
			table[row[0]][name] = row[i]
		}
	}
	return table
}

func numbersOf(t *testing.T, set, file string) []int64 {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(openData, set, file))
	if err != nil {
		t.Fatal(err)
	}
	var list []int64
	for _, word := range strings.Fields(string(text)) {
		n, err := strconv.ParseInt(word, 10, 64)
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, n)
	}
	return list
}

// Published optima: Falkenauer 1996, Scholl et al. 1997, Schwerin & Wäscher 1997, Wäscher & Gau 1996, Schoenfield 2002
// (values as in ../shared/data/README.md). A few of each set, which the solver must all close.
func TestBarsOpenData(t *testing.T) {
	for set, names := range map[string][]string{
		"falkenauer": {"Falkenauer_t60_00", "Falkenauer_t120_02", "Falkenauer_u120_00", "Falkenauer_u250_12", "Falkenauer_u500_02"},
		"scholl":     {"N1C1W1_A", "N2C1W4_A", "N3C1W2_K", "N4C3W2_A", "N4W4B3R0"},
		"schwerin":   {"Schwerin1_BPP1", "Schwerin1_BPP18"},
		"waescher":   {"Waescher_TEST0022", "Waescher_TEST0065", "Waescher_TEST0044"},
		"hard28":     {"Hard28_BPP119", "Hard28_BPP716", "Hard28_BPP766"},
	} {
		t.Run(set, func(t *testing.T) {
			table := known(t, set)
			for _, name := range names {
				if table[name] == nil {
					continue
				}
				n := numbersOf(t, set, name+".bpp")
				r := mustBars(t, BarProblem{Capacity: n[1], Items: n[2 : 2+n[0]]})
				if want := table[name]["best_known"]; strconv.Itoa(r.Bars) != want || r.Status != Optimal {
					t.Errorf("%s: %v, %s, known optimum %s", name, r.Status, r.Sentence(), want)
				}
			}
		})
	}
}

// Classes of Berkey & Wang 1987 and Martello & Vigo 1998; best known values as in ../shared/data/README.md. A short
// search on a few: never a bound above the best known, and within one sheet of it.
func TestSheetsOpenData(t *testing.T) {
	table := known(t, "class2bp")
	for class := 1; class <= 10; class++ {
		for _, items := range []string{"020", "060"} {
			name := "cl_" + strconv.Itoa(100 + class)[1:] + "_" + items + "_01"
			n := numbersOf(t, "class2bp", name+".2bp")
			p := SheetProblem{W: n[0], H: n[1]}
			for k := int64(0); k < n[2]; k++ {
				for range n[3+3*k+2] {
					p.Items = append(p.Items, SheetItem{n[3+3*k], n[3+3*k+1]})
				}
			}
			for column, rotate := range map[string]bool{"best_known": false, "RG_best_known": true} {
				p.Rotate = rotate
				best, err := strconv.Atoi(table[name][column])
				if err != nil {
					t.Fatal(err)
				}
				r := mustSheets(t, p, Options{Steps: 400_000})
				if r.Bound > best || r.Status == Optimal && r.Sheets > best {
					t.Errorf("%s, %s: bound %d above the best known %d", name, column, r.Bound, best)
				}
				if r.Sheets > best+1 {
					t.Errorf("%s, %s: %d sheets, best known %d", name, column, r.Sheets, best)
				}
			}
		}
	}
}
