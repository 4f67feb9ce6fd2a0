package nest

import (
	"math"
	"slices"
)

// simplex is a primal revised simplex with an explicit inverse, made for column generation: minimise the cost of the
// columns so that every row reaches at least its right-hand side. It starts from a feasible basis that the caller
// knows (a diagonal one), and columns are brought in one by one.
//
// Its numbers only propose. Bounds are recomputed in integers from the duals, and plans from the columns, so an error
// here can cost quality but never make a result wrong. Products are converted before they are added, so that no
// processor fuses them and every machine takes the same pivots.
type simplex struct {
	m       int
	rhs     []float64
	cols    []column
	basis   []int     // column in each row's place
	where   []int     // by column: its place in the basis, or -1
	inv     []float64 // inverse of the basis, row-major
	x       []float64 // value of each basic column
	y       []float64 // dual value of each row
	column  []float64 // direction of the column that enters
	nonzero []int32   // places of the pivot row that are not zero
	age     int       // pivots since the inverse was last computed afresh
	pivots  int64     // in all
	work    int64     // multiplications and the like in all, about a nanosecond each
}

// column is a sparse column of the master problem.
type column struct {
	cost float64
	rows []int32
	coef []float64
}

// shaken is the cost 1 of column j less a tiny part that differs from column to column, so that dual pivots do not go
// round in circles. A bound from the duals loses as little.
func shaken(j int) float64 { return 1 - 1e-7*float64(j*7919%1009)/1009 }

const (
	pivotTolerance = 1e-9
	priceTolerance = 1e-9
	refreshEvery   = 400
)

// improving lists the columns outside the basis, at most so many, that would improve it most, the best first. There may be
// very many of them, so only the list is kept in order.
func (s *simplex) improving(most int) []int {
	list, cost := make([]int, 0, most), make([]float64, 0, most)
	for c := range s.cols {
		if s.where[c] >= 0 {
			continue
		}
		d := s.reduced(c)
		if !(d < -priceTolerance) || len(list) == most && d >= cost[most-1] {
			continue
		}
		if len(list) == most {
			list, cost = list[:most-1], cost[:most-1]
		}
		at := len(list) // behind those that cost as little: the lower number first
		for at > 0 && cost[at-1] > d {
			at--
		}
		list, cost = slices.Insert(list, at, c), slices.Insert(cost, at, d)
	}
	return list
}

// newSimplex starts with one column per row, each having one positive coefficient in its own row. A tiny, row-dependent
// addition to the right-hand sides keeps degenerate problems from stalling.
func newSimplex(demand []float64, start []column) *simplex {
	m := len(demand)
	s := &simplex{m: m, rhs: make([]float64, m), inv: make([]float64, m*m), x: make([]float64, m), y: make([]float64, m), column: make([]float64, m),
		cols: make([]column, 0, 3*m), basis: make([]int, 0, m), where: make([]int, 0, 3*m)}
	for i := range m {
		s.rhs[i] = demand[i] + 1e-7*float64(1+(i*7919)%101)/101
		c := start[i].coef[0]
		s.cols = append(s.cols, start[i])
		s.basis = append(s.basis, i)
		s.where = append(s.where, i)
		s.inv[i*m+i] = 1 / c
		s.x[i] = s.rhs[i] / c
		s.y[i] = start[i].cost / c
	}
	return s
}

// add appends a column outside the basis and gives its number.
func (s *simplex) add(c column) int {
	s.cols = append(s.cols, c)
	s.where = append(s.where, -1)
	return len(s.cols) - 1
}

// reduced is the cost of a column less what its coefficients are worth.
func (s *simplex) reduced(j int) float64 {
	c := &s.cols[j]
	v := c.cost
	for t, i := range c.rows {
		v -= float64(c.coef[t] * s.y[i])
	}
	return v
}

// enter brings a column with negative reduced cost into the basis. It reports false where the column cannot (it is
// basic already, or no row limits it, which the problems here exclude but for rounding).
func (s *simplex) enter(j int) bool {
	if s.where[j] >= 0 {
		return false
	}
	d := s.reduced(j)
	u := s.direction(j)
	r := s.leaving(u)
	if r < 0 {
		return false
	}
	s.x[r] = max(0, s.x[r])
	s.pivot(r, j, u, d)
	s.age++
	if s.age >= refreshEvery {
		s.refresh()
	}
	return true
}

// direction is the inverse times the column.
func (s *simplex) direction(j int) []float64 {
	c := &s.cols[j]
	u := s.column
	s.work += int64(s.m * (len(c.rows) + 1))
	for i := range u {
		row := s.inv[i*s.m : (i+1)*s.m]
		v := 0.0
		for t, k := range c.rows {
			v += float64(row[k] * c.coef[t])
		}
		u[i] = v
	}
	return u
}

// leaving picks the row that first reaches zero; among near ties the largest pivot.
func (s *simplex) leaving(u []float64) int {
	r, best := -1, math.Inf(1)
	for i, v := range u {
		if v <= pivotTolerance {
			continue
		}
		ratio := max(0, s.x[i]) / v
		if r < 0 || ratio < best-1e-12 || ratio < best+1e-12 && v > u[r] {
			r, best = i, min(best, ratio)
		}
	}
	return r
}

// pivot exchanges the basic column of row r for column j, whose direction is u and whose reduced cost is d.
func (s *simplex) pivot(r, j int, u []float64, d float64) {
	m := s.m
	s.pivots++
	row := s.inv[r*m : (r+1)*m]
	p := u[r]
	s.nonzero = s.nonzero[:0]
	for k, w := range row {
		if w != 0 {
			row[k] = w / p
			s.nonzero = append(s.nonzero, int32(k))
		}
	}
	s.x[r] /= p
	s.work += int64(2 * m)
	for i, v := range u {
		if i == r || v == 0 {
			continue
		}
		other := s.inv[i*m : (i+1)*m]
		s.work += int64(len(s.nonzero))
		for _, k := range s.nonzero {
			other[k] -= float64(v * row[k])
		}
		s.x[i] -= float64(v * s.x[r])
	}
	for _, k := range s.nonzero {
		s.y[k] += float64(d * row[k])
	}
	s.where[s.basis[r]] = -1
	s.basis[r], s.where[j] = j, r
}

// fixOne takes one unit of a basic column out of the problem: the right-hand sides fall by its coefficients, and only its
// own value changes. Where that becomes negative, repair must follow.
func (s *simplex) fixOne(j int) {
	c := &s.cols[j]
	for t, i := range c.rows {
		s.rhs[i] -= c.coef[t]
	}
	s.x[s.where[j]]--
}

// drop takes n units off the right-hand side of row i.
func (s *simplex) drop(i int, n float64) {
	s.rhs[i] -= n
	for r := range s.x {
		s.x[r] -= float64(n * s.inv[r*s.m+i])
	}
}

// repair makes negative values whole again by dual pivots, which keep the duals as good as they were, so that the cost
// rises to its least. It reports false where it cannot, or where the cost has risen above enough.
func (s *simplex) repair(enough float64) bool {
	for range s.m + 50 {
		if s.objective() > enough+1e-5 {
			return false
		}
		r := -1
		for i, v := range s.x {
			if v < -1e-7 && (r < 0 || v < s.x[r]) {
				r = i
			}
		}
		if r < 0 {
			return true
		}
		j := s.dualEntering(r)
		if j < 0 {
			return false
		}
		d := s.reduced(j)
		s.pivot(r, j, s.direction(j), d)
		if s.age++; s.age >= refreshEvery {
			s.refresh()
		}
	}
	return false
}

// dualEntering picks the column that raises row r at the least rise of cost.
func (s *simplex) dualEntering(r int) int {
	row := s.inv[r*s.m : (r+1)*s.m]
	j, best, pivot := -1, math.Inf(1), 0.0
	s.work += int64(6 * len(s.cols))
	for c := range s.cols {
		if s.where[c] >= 0 {
			continue
		}
		a := 0.0
		for t, i := range s.cols[c].rows {
			a += float64(row[i] * s.cols[c].coef[t])
		}
		if a > -1e-7 {
			continue
		}
		ratio := max(0, s.reduced(c)) / -a
		if ratio < best-1e-10 || ratio < best+1e-10 && a < pivot {
			j, best, pivot = c, min(best, ratio), a
		}
	}
	return j
}

// addRow adds a row that must reach b, with a surplus column, and extends the inverse; a solution that breaks the row
// has then a negative surplus, and repair must follow. coef gives the coefficient of each column. It returns the number of
// the surplus column.
func (s *simplex) addRow(b float64, coef func(j int) float64) int {
	m := s.m
	row := int32(m)
	last := make([]float64, m+1)
	value := -b
	for p, j := range s.basis {
		if c := coef(j); c != 0 {
			value += float64(c * s.x[p])
			for k := range m {
				last[k] += float64(c * s.inv[p*m+k])
			}
		}
	}
	last[m] = -1
	inv := make([]float64, (m+1)*(m+1))
	for i := range m {
		copy(inv[i*(m+1):], s.inv[i*m:(i+1)*m])
	}
	copy(inv[m*(m+1):], last)
	for j := range s.cols {
		if c := coef(j); c != 0 {
			s.cols[j].rows, s.cols[j].coef = append(s.cols[j].rows, row), append(s.cols[j].coef, c)
		}
	}
	s.m, s.inv = m+1, inv
	s.rhs, s.x, s.y, s.column = append(s.rhs, b), append(s.x, value), append(s.y, 0), append(s.column, 0)
	surplus := s.add(column{0, []int32{row}, []float64{-1}})
	s.basis, s.where[surplus] = append(s.basis, surplus), m
	return surplus
}

// snapshot is what has to be kept to come back to a basis. Columns added later stay.
type snapshot struct {
	rhs, inv, x, y []float64
	basis          []int
	age            int
}

func (s *simplex) save() snapshot {
	s.work += int64(s.m * s.m)
	return snapshot{slices.Clone(s.rhs), slices.Clone(s.inv), slices.Clone(s.x), slices.Clone(s.y), slices.Clone(s.basis), s.age}
}

// restore comes back to a saved basis; the snapshot may be used again.
func (s *simplex) restore(k snapshot) {
	s.work += int64(s.m*s.m/2 + len(s.where))
	copy(s.rhs, k.rhs)
	copy(s.inv, k.inv)
	copy(s.x, k.x)
	copy(s.y, k.y)
	copy(s.basis, k.basis)
	s.age = k.age
	for c := range s.where {
		s.where[c] = -1
	}
	for p, c := range s.basis {
		s.where[c] = p
	}
}

// refresh computes inverse, values and duals afresh by elimination with row exchange. A basis that has become singular
// in rounding is left as it is.
func (s *simplex) refresh() {
	s.age = 0
	m := s.m
	s.work += int64(m * m * m)
	a := make([]float64, m*m)
	for p, j := range s.basis {
		for t, i := range s.cols[j].rows {
			a[int(i)*m+p] = s.cols[j].coef[t]
		}
	}
	inv, ok := invert(a, m)
	if !ok {
		return
	}
	s.inv = inv
	for i := range m {
		v := 0.0
		for k, b := range s.rhs {
			v += float64(inv[i*m+k] * b)
		}
		s.x[i] = v
	}
	clear(s.y)
	for p, j := range s.basis {
		if c := s.cols[j].cost; c != 0 {
			for k := range m {
				s.y[k] += float64(c * inv[p*m+k])
			}
		}
	}
}

// invert gives the inverse of an m × m row-major matrix, which it destroys.
func invert(a []float64, m int) (inv []float64, ok bool) {
	inv = make([]float64, m*m)
	for i := range m {
		inv[i*m+i] = 1
	}
	for c := range m {
		p := c
		for i := c + 1; i < m; i++ {
			if math.Abs(a[i*m+c]) > math.Abs(a[p*m+c]) {
				p = i
			}
		}
		if math.Abs(a[p*m+c]) < 1e-11 {
			return nil, false
		}
		if p != c {
			for k := range m {
				a[p*m+k], a[c*m+k] = a[c*m+k], a[p*m+k]
				inv[p*m+k], inv[c*m+k] = inv[c*m+k], inv[p*m+k]
			}
		}
		eliminate(a, inv, m, c)
	}
	return inv, true
}

// eliminate clears column c outside row c.
func eliminate(a, inv []float64, m, c int) {
	ra, ri := a[c*m:(c+1)*m], inv[c*m:(c+1)*m]
	d := 1 / ra[c]
	for k := range m {
		ra[k] *= d
		ri[k] *= d
	}
	for i := range m {
		v := a[i*m+c]
		if i == c || v == 0 {
			continue
		}
		oa, oi := a[i*m:(i+1)*m], inv[i*m:(i+1)*m]
		for k := range m {
			if ra[k] != 0 {
				oa[k] -= float64(v * ra[k])
			}
			if ri[k] != 0 {
				oi[k] -= float64(v * ri[k])
			}
		}
	}
}

// objective is the cost of the present basis.
func (s *simplex) objective() float64 {
	v := 0.0
	for p, j := range s.basis {
		v += float64(s.cols[j].cost * s.x[p])
	}
	return v
}
