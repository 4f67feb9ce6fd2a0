package store

import (
	"cmp"
	"context"
	"maps"
	"slices"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"potlife/rooms"
	"potlife/takeoff"
)

// Signature says that a client signed the drawings of a room.
type Signature struct {
	// Key makes a signature that is sent twice count once.
	Key string
	// Room is "job/room", Digest stands for the drawings that were signed.
	Room, Digest string
	// Signer is the client's name as typed, On the day of the signature.
	Signer string
	On     rooms.Date
	Note   string
	// Who recorded it, and when.
	Who string
	At  time.Time
}

// Sign adds a signature; one whose key is known already changes nothing.
// ErrInvalid: it lacks its signer. ErrConflict: the key is that of another.
func (s *Store) Sign(ctx context.Context, g Signature) error {
	g.Signer = strings.TrimSpace(g.Signer)
	if g.Signer == "" {
		return invalid("the signature on %s lacks the name of who signed", g.Room)
	}
	return s.write(ctx, func(tx pgx.Tx) error {
		tag, err := tx.Exec(ctx, `
			INSERT INTO signatures (key, room, digest, signer, on_day, note, who, at) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)
			ON CONFLICT (key) DO NOTHING`, g.Key, g.Room, g.Digest, g.Signer, day(g.On), g.Note, g.Who, g.At)
		if err != nil || tag.RowsAffected() == 1 {
			return err
		}
		before, err := loadSignatures(ctx, tx, "key = $1", g.Key)
		if err != nil {
			return err
		}
		if b := before[0]; b.Room != g.Room || b.Digest != g.Digest || b.Signer != g.Signer || b.On != g.On {
			return conflict("another signature was recorded under the key %q; open the layout again", g.Key)
		}
		return nil
	})
}

// Signatures are all that were recorded for the rooms, the latest first.
func (s *Store) Signatures(ctx context.Context, of []string) ([]Signature, error) {
	var out []Signature
	err := s.read(ctx, func(tx pgx.Tx) (err error) {
		out, err = loadSignatures(ctx, tx, "room = ANY($1)", of)
		return err
	})
	return out, err
}

func loadSignatures(ctx context.Context, tx pgx.Tx, where string, arg any) ([]Signature, error) {
	var out []Signature
	rows, _ := tx.Query(ctx, `SELECT key, room, digest, signer, on_day, note, who, at FROM signatures WHERE `+where+` ORDER BY id DESC`, arg)
	var g Signature
	_, err := pgx.ForEachRow(rows, []any{&g.Key, &g.Room, &g.Digest, &g.Signer, (*day)(&g.On), &g.Note, &g.Who, &g.At}, func() error {
		out = append(out, g)
		return nil
	})
	return out, err
}

// SigningJobs are the keys of the jobs whose client signs.
func (s *Store) SigningJobs(ctx context.Context) (map[string]bool, error) {
	var out map[string]bool
	err := s.read(ctx, func(tx pgx.Tx) error {
		out = map[string]bool{}
		rows, _ := tx.Query(ctx, `SELECT key FROM jobs WHERE more->'ClientSigns' = 'true'::jsonb`)
		var key string
		_, err := pgx.ForEachRow(rows, []any{&key}, func() error { out[key] = true; return nil })
		return err
	})
	return out, err
}

// PlaceSigned is PlaceOrder where clients are to have signed: wanted is the
// digest of the present drawings of each room that needs it. ErrConflict names
// the rooms that lack theirs, and nothing is placed. An order that stands is
// returned without being asked again.
func (s *Store) PlaceSigned(ctx context.Context, o takeoff.Order, wanted map[string]string, who string, letters func(*Order) ([]Message, error), now time.Time) (*Order, error) {
	return s.place(ctx, o, who, letters, now, func(tx pgx.Tx) error { return signed(ctx, tx, wanted) })
}

// signed refuses where a room has no signature on its digest.
func signed(ctx context.Context, tx pgx.Tx, wanted map[string]string) error {
	if len(wanted) == 0 {
		return nil
	}
	got, err := loadSignatures(ctx, tx, "room = ANY($1)", slices.Collect(maps.Keys(wanted)))
	if err != nil {
		return err
	}
	left := maps.Clone(wanted)
	for _, g := range got {
		if wanted[g.Room] == g.Digest {
			delete(left, g.Room)
		}
	}
	if len(left) > 0 {
		names, err := roomNames(ctx, tx, slices.Sorted(maps.Keys(left)))
		if err != nil {
			return err
		}
		return conflict("The client has not signed the present layout of %s. Open the layout of each of these rooms, have it signed, record the signature there, then place the order.",
			strings.Join(names, ", "))
	}
	return nil
}

// roomNames are the names of rooms, "job/room", with their jobs'; a key stands
// where there is no name.
func roomNames(ctx context.Context, tx pgx.Tx, keys []string) ([]string, error) {
	rows, _ := tx.Query(ctx, `
		SELECT r.job || '/' || r.key, r.name, j.name FROM rooms r JOIN jobs j ON j.key = r.job WHERE r.job || '/' || r.key = ANY($1)`, keys)
	called := map[string]string{}
	var key, room, job string
	_, err := pgx.ForEachRow(rows, []any{&key, &room, &job}, func() error {
		called[key] = strings.Trim(room+" ("+job+")", " ()")
		if room != "" && job != "" {
			called[key] = room + " (" + job + ")"
		}
		return nil
	})
	out := make([]string, len(keys))
	for i, k := range keys {
		out[i] = cmp.Or(called[k], k)
	}
	return out, err
}
