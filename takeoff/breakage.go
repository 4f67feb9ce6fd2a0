package takeoff

import "fmt"

// Default chances that a piece breaks or comes unfit, used where the tile gives
// none: 2 to 3 % in handling and cutting, 5 % for notches and holes in hard
// porcelain (common practice). Whole tiles: of a first choice up to 5 % may show
// defects (EN 14411), most of which can still be cut; 1 % lost is common
// practice.
const (
	breakSnap    = 0.02
	breakWet     = 0.03
	breakNotch   = 0.03
	breakHard    = 0.05
	breakWhole   = 0.01
	serviceLevel = 0.98
)

// breakClass is pieces that break with the same chance, independently.
type breakClass struct {
	name   string
	n      int
	chance float64
}

// breakClasses sorts what is still to be cut and set by the chance of losing it.
func breakClasses(tile *Tile, open []cutPiece, whole int) []breakClass {
	classes := []breakClass{
		{"snapped", 0, breakSnap}, {"wet-sawn", 0, breakWet}, {"notched or drilled", 0, breakNotch}, {"whole", whole, breakWhole},
	}
	if tile.Material == "porcelain" || tile.Material == "glass" || tile.Material == "stone" {
		classes[2].chance = breakHard
	}
	if tile.DefectChance > 0 {
		classes[3].chance = tile.DefectChance
	}
	for _, c := range open {
		worst := 0
		for _, cut := range c.Cuts {
			switch {
			case !cut.Sized || cut.Tool == HoleSaw:
				worst = 2
			case cut.Tool != Snap:
				worst = max(worst, 1)
			}
		}
		classes[worst].n++
	}
	if tile.BreakChance > 0 {
		cut := classes[0].n + classes[1].n + classes[2].n
		return []breakClass{{"cut", cut, tile.BreakChance}, classes[3]}
	}
	return classes
}

// spares is the least number that breakage exceeds with a chance of at most
// 1 − level, each class breaking by the binomial distribution.
func spares(classes []breakClass, level float64) int { return quantile(losses(classes), level) }

// losses gives the probabilities of losing 0, 1, … pieces of all classes together.
func losses(classes []breakClass) []float64 {
	total := []float64{1}
	for _, c := range classes {
		if c.n > 0 && c.chance > 0 {
			total = convolve(total, binomial(c.n, c.chance))
		}
	}
	return total
}

// quantile is the least k whose probability of at most k reaches the level; a
// millionth of a millionth is left for rounding of the sum.
func quantile(p []float64, level float64) int {
	sum := 0.0
	for k, q := range p {
		sum += q
		if sum >= level-1e-12 {
			return k
		}
	}
	return len(p) - 1
}

// binomial gives the probabilities of 0, 1, … losses among n. It starts at the
// likeliest count with weight 1 and goes both ways by the ratio of neighbours,
// so nothing underflows that matters, and divides by the sum. What is less than
// 1e-30 of the likeliest is left out.
func binomial(n int, p float64) []float64 {
	if p >= 1 {
		w := make([]float64, n+1)
		w[n] = 1
		return w
	}
	mode := min(n, int(float64(n+1)*p))
	w := make([]float64, mode+1, mode+16)
	w[mode] = 1
	odds := p / (1 - p)
	for k := mode; k > 0; k-- {
		w[k-1] = float64(w[k]*float64(k)/float64(n-k+1)) / odds
		if w[k-1] < 1e-30 {
			break
		}
	}
	for k := mode; k < n; k++ {
		next := float64(w[k]*float64(n-k)/float64(k+1)) * odds
		if next < 1e-30 {
			break
		}
		w = append(w, next)
	}
	sum := 0.0
	for _, x := range w {
		sum += x
	}
	for k := range w {
		w[k] /= sum
	}
	return w
}

// convolve is the distribution of the sum of two independent counts.
func convolve(a, b []float64) []float64 {
	out := make([]float64, len(a)+len(b)-1)
	for i, x := range a {
		for j, y := range b {
			out[i+j] += float64(x * y)
		}
	}
	return out
}

// describe says a class in words: "25 snapped at 2 %".
func (c breakClass) describe() string {
	return fmt.Sprintf("%d %s at %s", c.n, c.name, percent(c.chance))
}

// percent prints a share: "2 %", "2.5 %".
func percent(share float64) string { return trimmed(share*100, 2) + " %" }
