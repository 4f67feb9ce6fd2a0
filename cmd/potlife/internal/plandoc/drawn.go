package plandoc

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
)

// drawnZone is what is to be seen of a zone.
type drawnZone struct {
	Key, Pattern, Tile, Grout string
	Joint                     MM
	Pieces                    []drawnPiece
	Soft                      []SoftJoint
}

type drawnPiece struct {
	Tile    string
	Polygon Polygon
}

// Drawn is a digest of what a client sees of a room: outlines, openings, tile,
// grout, pattern, joints and every piece of it. It changes exactly when they do
// (not with dates, prices or what is set already) and is empty where nothing is
// tiled.
func (d *Document) Drawn(room string) (string, error) {
	h, tiled := sha256.New(), false
	enc := json.NewEncoder(h)
	for i := range d.Surfaces {
		s := &d.Surfaces[i]
		if s.Room != room {
			continue
		}
		var zones []drawnZone
		for _, z := range s.Zones {
			tiled = tiled || len(z.Pieces) > 0
			zones = append(zones, drawnZoneOf(z))
		}
		for _, v := range []any{s.Key, s.Kind, s.Outline, s.Openings, zones} {
			if err := enc.Encode(v); err != nil {
				return "", err
			}
		}
	}
	if !tiled {
		return "", nil
	}
	return hex.EncodeToString(h.Sum(nil)[:16]), nil
}

func drawnZoneOf(z Zone) drawnZone {
	out := drawnZone{Key: z.Key, Pattern: z.Pattern, Tile: z.Tile, Grout: z.Grout, Joint: z.Joint, Soft: z.SoftJoints}
	for i := range z.Pieces {
		out.Pieces = append(out.Pieces, drawnPiece{z.Pieces[i].Tile, z.Pieces[i].Polygon})
	}
	return out
}
