package takeoff

import "os"

// cases is how many random cases a test goes through: a few, which is what CI
// has time for with the race detector on, or many with POTLIFE_LONG_TESTS set.
func cases(few, many int) int {
	if os.Getenv("POTLIFE_LONG_TESTS") != "" {
		return many
	}
	return few
}
