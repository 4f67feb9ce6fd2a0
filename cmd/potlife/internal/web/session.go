package web

import (
	"context"
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strings"
)

type userKey struct{}

// userOf returns who is signed in, nil for nobody.
func userOf(ctx context.Context) *User {
	u, _ := ctx.Value(userKey{}).(*User)
	return u
}

// identify looks up who is signed in. A person who is gone, or whose epoch has
// grown, is signed out.
func (s *server) identify(r *http.Request) (*http.Request, error) {
	ctx := r.Context()
	id := s.sessions.GetString(ctx, "user")
	if id == "" {
		return r, nil
	}
	u, err := s.o.Accounts.User(ctx, id)
	var known *Error
	if errors.As(err, &known) && known.Kind == NotFound || err == nil && u.Epoch != s.sessions.GetInt64(ctx, "epoch") {
		return r, s.sessions.Destroy(ctx)
	}
	if err != nil {
		return r, err
	}
	return r.WithContext(context.WithValue(ctx, userKey{}, &u)), nil
}

// free serves a page that needs no sign-in.
func (s *server) free(h handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !bare(r.URL.Path) {
			var err error
			if r, err = s.identify(r); err != nil {
				s.fail(w, r, err)
				return
			}
		}
		if err := h(w, r); err != nil {
			s.fail(w, r, err)
		}
	})
}

// gated serves a page for some roles.
func (s *server) gated(roles []Role, h handler) http.Handler {
	return s.free(func(w http.ResponseWriter, r *http.Request) error {
		u := userOf(r.Context())
		if u == nil {
			to := "/sign-in"
			if r.Method == http.MethodGet && r.URL.Path != "/" {
				to += "?next=" + url.QueryEscape(r.URL.RequestURI())
			}
			http.Redirect(w, r, to, http.StatusSeeOther)
			return nil
		}
		if !slices.Contains(roles, u.Role) {
			return &Error{Kind: Forbidden, Text: "This page is for " + roleList(roles) + "."}
		}
		return h(w, r)
	})
}

func roleList(roles []Role) string {
	words := make([]string, len(roles))
	for i, r := range roles {
		words[i] = "the " + string(r)
	}
	return strings.Join(words, " and ")
}

type signInPage struct {
	frame
	Token, Next, Trouble string
}

// signInPage shows the button that uses up a link. Opening the link changes
// nothing, so that a mail program that looks at links first does not burn it.
func (s *server) signInPage(w http.ResponseWriter, r *http.Request) error {
	p := signInPage{frame: s.frame(r, "Sign in", ""), Token: r.PathValue("token"), Next: r.URL.Query().Get("next")}
	s.render(w, r, http.StatusOK, "sign_in", p)
	return nil
}

func (s *server) signIn(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	if err := r.ParseForm(); err != nil {
		return unreadable(err)
	}
	token := tokenOf(r.PostForm.Get("token"))
	if token == "" {
		return s.signInAgain(w, r, http.StatusUnprocessableEntity, "Paste the link you were given, or the part of it after /sign-in/.")
	}
	u, err := s.o.Accounts.Redeem(ctx, token)
	var known *Error
	if errors.As(err, &known) {
		return s.signInAgain(w, r, statuses[known.Kind], known.Text)
	}
	if err != nil {
		return err
	}
	if err := s.sessions.RenewToken(ctx); err != nil {
		return err
	}
	s.sessions.Put(ctx, "user", u.ID)
	s.sessions.Put(ctx, "epoch", u.Epoch)
	http.Redirect(w, r, localPath(r.PostForm.Get("next")), http.StatusSeeOther)
	return nil
}

func (s *server) signInAgain(w http.ResponseWriter, r *http.Request, status int, trouble string) error {
	p := signInPage{frame: s.frame(r, "Sign in", ""), Next: r.PostForm.Get("next"), Trouble: trouble}
	s.render(w, r, status, "sign_in", p)
	return nil
}

// tokenOf takes a token or the whole link around it.
func tokenOf(s string) string {
	s = strings.TrimSpace(s)
	if _, after, found := strings.Cut(s, "/sign-in/"); found {
		s = after
	}
	s, _, _ = strings.Cut(s, "?")
	return strings.Trim(s, "/")
}

// localPath keeps a redirect on this site.
func localPath(next string) string {
	if !strings.HasPrefix(next, "/") || strings.HasPrefix(next, "//") || strings.ContainsAny(next, "\\\r\n") {
		return "/"
	}
	return next
}

func (s *server) signOut(w http.ResponseWriter, r *http.Request) error {
	if err := s.sessions.Destroy(r.Context()); err != nil {
		return err
	}
	http.Redirect(w, r, "/sign-in", http.StatusSeeOther)
	return nil
}

// home sends everybody to the page they work with.
func (s *server) home(w http.ResponseWriter, r *http.Request) error {
	to := "/board"
	if userOf(r.Context()).Role == Crew {
		to = "/sheets"
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}

func unreadable(err error) error {
	var tooLarge *http.MaxBytesError
	if errors.As(err, &tooLarge) {
		return err
	}
	return &Error{Kind: Invalid, Text: "The form could not be read. Go back and send it again."}
}
