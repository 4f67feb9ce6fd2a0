package takeoff

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

func TestSparesTable(t *testing.T) {
	for _, c := range []struct {
		name    string
		classes []breakClass
		level   float64
		want    int
	}{
		{"nothing to break", nil, 0.98, 0},
		{"one tile at 2 % is safe enough", []breakClass{{"", 1, 0.02}}, 0.98, 0},
		{"one tile at 3 % is not", []breakClass{{"", 1, 0.03}}, 0.98, 1},
		// P(0) = 0.5, P(≤ 1) = 1: two fair coins, worked by hand: 1/4, 3/4, 1.
		{"two coins, three quarters", []breakClass{{"", 2, 0.5}}, 0.75, 1},
		{"two coins, one class each", []breakClass{{"", 1, 0.5}, {"", 1, 0.5}}, 0.75, 1},
		{"two coins, more", []breakClass{{"", 2, 0.5}}, 0.76, 2},
	} {
		if got := spares(c.classes, c.level); got != c.want {
			t.Errorf("%s: %d spares, want %d", c.name, got, c.want)
		}
	}
}

// The binomial distribution of gonum is the outside reference.
func TestBreakageAgainstGonum(t *testing.T) {
	for _, n := range []int{1, 2, 7, 30, 165, 1000, 20000, 1_000_000} {
		for _, p := range []float64{0.0005, 0.01, 0.02, 0.05, 0.3, 0.5, 0.97} {
			ref := distuv.Binomial{N: float64(n), P: p}
			got := binomial(n, p)
			for k := 0; k < len(got); k += max(1, len(got)/50) {
				want := math.Exp(ref.LogProb(float64(k)))
				if math.Abs(got[k]-want) > 1e-7*max(want, 1e-12)+1e-13 {
					t.Errorf("binomial(%d, %v) at %d: %v, want %v", n, p, k, got[k], want)
				}
			}
			for _, level := range []float64{0.5, 0.9, 0.98, 0.999} {
				k := quantile(got, level)
				if at := ref.CDF(float64(k)); at < level-1e-9 {
					t.Errorf("n %d, p %v, level %v: %d spares reach %v", n, p, level, k, at)
				}
				if k > 0 && ref.CDF(float64(k-1)) >= level+1e-9 {
					t.Errorf("n %d, p %v, level %v: %d spares are one too many", n, p, level, k)
				}
			}
		}
	}
}

// A sum of classes has the mean and variance of its parts.
func TestConvolve(t *testing.T) {
	got := convolve(binomial(40, 0.02), binomial(300, 0.01))
	mean, square, sum := 0.0, 0.0, 0.0
	for k, p := range got {
		sum += p
		mean += float64(k) * p
		square += float64(k*k) * p
	}
	wantMean, wantVar := 40*0.02+300*0.01, 40*0.02*0.98+300*0.01*0.99
	if math.Abs(sum-1) > 1e-12 || math.Abs(mean-wantMean) > 1e-9 || math.Abs(square-mean*mean-wantVar) > 1e-9 {
		t.Errorf("sum %v, mean %v (want %v), variance %v (want %v)", sum, mean, wantMean, square-mean*mean, wantVar)
	}
}
