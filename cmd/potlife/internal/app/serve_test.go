package app

import (
	"net/http"
	"net/http/httptest"
	"testing"
)

// Links lead to the daemon that answers now, and to nothing that only has its
// port.
func TestAnswers(t *testing.T) {
	serving := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/readyz" {
			_, _ = w.Write([]byte("ready\n"))
		}
	}))
	defer serving.Close()
	other := httptest.NewServer(http.NotFoundHandler())
	defer other.Close()
	gone := httptest.NewServer(http.NotFoundHandler())
	gone.Close()
	for url, want := range map[string]bool{serving.URL: true, other.URL: false, gone.URL: false, "no address": false} {
		if got := answers(t.Context(), url); got != want {
			t.Errorf("%s answers: %v", url, got)
		}
	}
}

func TestReachable(t *testing.T) {
	for in, want := range map[string]string{":8080": "127.0.0.1:8080", "0.0.0.0:80": "127.0.0.1:80", "[::]:80": "127.0.0.1:80",
		"127.0.0.1:9": "127.0.0.1:9", "tiles.example:80": "tiles.example:80", "[::1]:80": "[::1]:80"} {
		if got := reachable(in); got != want {
			t.Errorf("%s → %s, want %s", in, got, want)
		}
	}
}
