-- Offcuts in hand: what was kept of tiles cut for one job until another takes it.

-- +goose Up
CREATE TABLE offcuts (
	key      text PRIMARY KEY CHECK (key <> ''),
	pos      int,
	tile     text NOT NULL CHECK (tile <> ''),
	lot      text NOT NULL,
	width    exact_length NOT NULL CHECK (width > 0),
	height   exact_length NOT NULL CHECK (height > 0),
	edges    text[] NOT NULL CHECK (edges <@ ARRAY['left', 'bottom', 'right', 'top']),
	place    text NOT NULL,
	left_of  text NOT NULL,
	kept_at  timestamptz NOT NULL,
	kept_by  text NOT NULL,
	gone_at  timestamptz,
	gone_by  text NOT NULL DEFAULT '',
	CHECK (gone_at IS NOT NULL OR gone_by = '')
);
COMMENT ON TABLE offcuts IS 'Each piece once: counted in the firm''s file (pos), recorded by someone (kept_by), or left by rooms that a plan no longer holds';
COMMENT ON COLUMN offcuts.pos IS 'Order in the firm''s file, null for what does not stand there';
COMMENT ON COLUMN offcuts.edges IS 'Its sides that are the tile''s own edges, as it lies face up';
COMMENT ON COLUMN offcuts.tile IS 'The tile''s key when it was kept; an offcut of a tile that is no longer sold stays to be read';
COMMENT ON COLUMN offcuts.gone_at IS 'Something was cut from it, or it broke: by the plan in force where gone_by is empty, else as someone said';

-- +goose Down
DROP TABLE offcuts;
