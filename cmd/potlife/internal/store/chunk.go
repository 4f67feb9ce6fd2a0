package store

import (
	"bytes"
	"compress/flate"
	"context"
	"crypto/sha256"
	"fmt"
	"io"
	"sync"

	"github.com/jackc/pgx/v5"
)

// A large text is cut where its content says so, not at fixed offsets: after a
// change in the middle the cuts fall into step again, and all other chunks are
// the ones stored before.
const (
	chunkLeast = 4 << 10
	chunkMost  = 64 << 10
	chunkMask  = 1<<13 - 1 // one cut in 8 KiB on average, beyond chunkLeast
)

// gear gives each byte a random-looking number; fixed, or nothing would match.
var gear = func() (g [256]uint64) {
	x := uint64(0x9E3779B97F4A7C15)
	for i := range g { // splitmix64
		x += 0x9E3779B97F4A7C15
		z := x
		z = (z ^ z>>30) * 0xBF58476D1CE4E5B9
		z = (z ^ z>>27) * 0x94D049BB133111EB
		g[i] = z ^ z>>31
	}
	return g
}()

// cut is the length of the chunk that a text begins with.
func cut(text []byte) int {
	n := min(len(text), chunkMost)
	var h uint64
	for i := chunkLeast; i < n; i++ {
		h = h<<1 + gear[text[i]]
		if h>>40&chunkMask == 0 {
			return i + 1
		}
	}
	return n
}

// part is a text in chunks.
type part struct {
	name   string
	size   int
	hashes [][]byte
	chunks [][]byte
}

// newPart cuts a text. before, which may be nil, is the part cut before it: a chunk
// depends on nothing but what follows its beginning, so that where the old one's
// bytes stand again the cut and its hash are taken over. The old one's last chunk may
// have ended only because the text did.
func newPart(name string, text []byte, before *part) part {
	p := part{name: name, size: len(text)}
	at, next := map[string]int{}, 0
	var old part
	if before != nil && len(before.chunks) > 0 {
		n := len(before.chunks) - 1
		old.chunks, old.hashes = before.chunks[:n], before.hashes[:n]
	}
	for i, h := range old.hashes {
		at[string(h)] = i
	}
	for len(text) > 0 {
		n := 0
		if next < len(old.chunks) && bytes.HasPrefix(text, old.chunks[next]) {
			n = len(old.chunks[next])
			p.hashes = append(p.hashes, old.hashes[next])
			next++
		} else {
			n = cut(text)
			h := sha256.Sum256(text[:n])
			p.hashes = append(p.hashes, h[:])
			if i, ok := at[string(h[:])]; ok {
				next = i + 1 // in step again
			}
		}
		p.chunks = append(p.chunks, text[:n:n])
		text = text[n:]
	}
	return p
}

// saveParts stores a plan's parts, of which only the chunks that are new.
func saveParts(ctx context.Context, tx pgx.Tx, plan int64, parts []part) error {
	var hashes [][]byte
	for _, p := range parts {
		hashes = append(hashes, p.hashes...)
	}
	rows, _ := tx.Query(ctx, `SELECT hash FROM chunks WHERE hash = ANY($1)`, hashes)
	have, err := pgx.CollectRows(rows, pgx.RowTo[[]byte])
	if err != nil {
		return err
	}
	there := map[string]bool{}
	for _, h := range have {
		there[string(h)] = true
	}
	var missing [][]any
	for _, p := range parts {
		for i, h := range p.hashes {
			if there[string(h)] {
				continue
			}
			there[string(h)] = true
			body, err := deflate(p.chunks[i])
			if err != nil {
				return err
			}
			missing = append(missing, []any{h, body})
		}
	}
	if _, err := tx.CopyFrom(ctx, pgx.Identifier{"chunks"}, []string{"hash", "body"}, pgx.CopyFromRows(missing)); err != nil {
		return err
	}
	for _, p := range parts {
		if p.hashes == nil {
			p.hashes = [][]byte{}
		}
		_, err := tx.Exec(ctx, `INSERT INTO plan_parts (plan, part, size, chunks) VALUES ($1, $2, $3, $4)`, plan, p.name, p.size, p.hashes)
		if err != nil {
			return err
		}
	}
	return nil
}

// loadPart puts a part together again; false where the plan has none.
func loadPart(ctx context.Context, tx pgx.Tx, plan int64, name string) ([]byte, bool, error) {
	var size int
	var hashes [][]byte
	err := tx.QueryRow(ctx, `SELECT size, chunks FROM plan_parts WHERE plan = $1 AND part = $2`, plan, name).Scan(&size, &hashes)
	if err == pgx.ErrNoRows {
		return nil, false, nil
	}
	if err != nil {
		return nil, false, err
	}
	rows, _ := tx.Query(ctx, `SELECT hash, body FROM chunks WHERE hash = ANY($1)`, hashes)
	bodies := map[string][]byte{}
	var hash, body []byte
	if _, err := pgx.ForEachRow(rows, []any{&hash, &body}, func() error {
		bodies[string(hash)] = bytes.Clone(body)
		return nil
	}); err != nil {
		return nil, false, err
	}
	text := make([]byte, 0, size)
	for _, h := range hashes {
		plain, err := inflate(bodies[string(h)])
		if sum := sha256.Sum256(plain); err != nil || !bytes.Equal(sum[:], h) {
			return nil, false, fmt.Errorf("plan %d: a stored chunk of its %s is damaged or missing (%x)", plan, name, h)
		}
		text = append(text, plain...)
	}
	return text, true, nil
}

// deflaters are kept because making one costs more than using it.
var deflaters = sync.Pool{New: func() any {
	w, err := flate.NewWriter(io.Discard, flate.BestSpeed)
	if err != nil {
		panic(err) // the level is out of range
	}
	return w
}}

func deflate(plain []byte) ([]byte, error) {
	var b bytes.Buffer
	w := deflaters.Get().(*flate.Writer)
	defer deflaters.Put(w)
	w.Reset(&b)
	if _, err := w.Write(plain); err != nil {
		return nil, err
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

func inflate(packed []byte) ([]byte, error) {
	return io.ReadAll(flate.NewReader(bytes.NewReader(packed)))
}
