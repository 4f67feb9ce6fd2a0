package web

import (
	"crypto/subtle"
	"fmt"
	"net/http"
	"strings"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/promhttp"
)

func (s *server) register() error {
	s.timings = prometheus.NewHistogramVec(prometheus.HistogramOpts{
		Name: "potlife_http_request_seconds", Help: "Time to answer a request, by method and status.",
		Buckets: []float64{0.005, 0.02, 0.05, 0.1, 0.25, 0.5, 1, 2.5},
	}, []string{"method", "status"})
	if err := s.o.Metrics.Register(s.timings); err != nil {
		return fmt.Errorf("web: metrics: %w", err)
	}
	return nil
}

// metrics answers a collector that holds the token, or a signed-in contractor.
func (s *server) metrics() http.Handler {
	show := promhttp.HandlerFor(s.o.Metrics, promhttp.HandlerOpts{})
	forPeople := s.gated([]Role{Contractor}, func(w http.ResponseWriter, r *http.Request) error {
		show.ServeHTTP(w, r)
		return nil
	})
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		token, isBearer := strings.CutPrefix(r.Header.Get("Authorization"), "Bearer ")
		if isBearer && s.o.MetricsToken != "" && subtle.ConstantTimeCompare([]byte(token), []byte(s.o.MetricsToken)) == 1 {
			show.ServeHTTP(w, r)
			return
		}
		forPeople.ServeHTTP(w, r)
	})
}
