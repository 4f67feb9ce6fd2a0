package cli

import (
	"strings"
	"testing"
)

func TestPrices(t *testing.T) {
	clean(t)
	good := write(t, "good.csv", []byte("Art;Net\nwhite;26,10\n"))
	bad := write(t, "bad.csv", []byte("product,price\nwhite,26.10\npink,-3\n"))
	for _, c := range []struct {
		args   []string
		code   int
		out    string
		errs   string
		prices int
	}{
		{[]string{"prices"}, 2, "", "no file given", 0},
		{[]string{"prices", "nowhere.csv"}, 2, "", "there is no such file", 0},
		{[]string{"prices", "--template"}, 0, "product,price", "", 0},
		{[]string{"prices", "--from", "2026-05-01", "--column", "product=Art,price=Net", good}, 0, "1 prices taken over", "", 1},
		{[]string{"prices", "--from", "2026-05-01", good}, 2, "", `no column "product"`, 0},
		{[]string{"prices", "--from", "2026-05-01", bad}, 2, `bad.csv: line 3, column product: there is no tile or product "pink"; use the key`, "nothing was taken over", 0},
		{[]string{"prices", "--from", "2026-05-01", "--skip-bad", bad}, 0, "1 prices taken over", "", 1},
		{[]string{"prices", "--from", "soon", good}, 2, "", "soon", 0},
	} {
		m := &memory{}
		out, errs, code := run(t, m, c.args...)
		if code != c.code || !strings.Contains(out, c.out) || !strings.Contains(errs, c.errs) || m.prices != c.prices {
			t.Errorf("%v: code %d, %d prices\n%s%s", c.args, code, m.prices, out, errs)
		}
	}
}
