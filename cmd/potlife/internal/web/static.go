package web

import (
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"net/http"
	pathpkg "path"
	"strings"
)

//go:embed static/*
var staticEmbed embed.FS

var staticTypes = map[string]string{
	".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".svg": "image/svg+xml", ".webmanifest": "application/manifest+json",
}

// staticFiles serves the embedded files with a tag made of their bytes, so
// that a browser asks again but fetches only what has changed.
func staticFiles() http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		serveStatic(w, r, strings.TrimPrefix(r.URL.Path, "/static/"))
	})
}

// workerFile serves the service worker from the root, where it may look after
// all pages.
func workerFile() http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { serveStatic(w, r, "worker.js") })
}

func serveStatic(w http.ResponseWriter, r *http.Request, name string) {
	b, err := staticEmbed.ReadFile("static/" + pathpkg.Clean("/" + name)[1:])
	if err != nil {
		plain(w, http.StatusNotFound, "not found\n")
		return
	}
	sum := sha256.Sum256(b)
	tag := `"` + hex.EncodeToString(sum[:8]) + `"`
	w.Header().Set("Content-Type", staticTypes[pathpkg.Ext(name)])
	w.Header().Set("Cache-Control", "no-cache")
	w.Header().Set("ETag", tag)
	if r.Header.Get("If-None-Match") == tag {
		w.WriteHeader(http.StatusNotModified)
		return
	}
	_, _ = w.Write(b)
}
