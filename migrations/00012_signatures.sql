-- Signatures of clients on the layouts of rooms.

-- +goose Up
CREATE TABLE signatures (
	id     bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
	key    text NOT NULL UNIQUE CHECK (key <> ''),
	room   text NOT NULL CHECK (room <> ''),
	digest text NOT NULL CHECK (digest <> ''),
	signer text NOT NULL CHECK (signer <> ''),
	on_day date NOT NULL,
	note   text NOT NULL,
	who    text NOT NULL CHECK (who <> ''),
	at     timestamptz NOT NULL
);
COMMENT ON TABLE signatures IS 'That a client signed what a room will look like. None is ever changed; later ones are added';
COMMENT ON COLUMN signatures.room IS 'job/room; it stays when the room is taken out of its job';
COMMENT ON COLUMN signatures.digest IS 'Of the drawing that was signed';
COMMENT ON COLUMN signatures.who IS 'Who recorded it, at';
CREATE INDEX signatures_room ON signatures (room, digest);
CREATE TRIGGER keep BEFORE UPDATE OR DELETE ON signatures FOR EACH ROW EXECUTE FUNCTION refuse_change();

-- +goose Down
DROP TABLE signatures;
