-- What the contractor is told when a working day is issued.

-- +goose Up
ALTER TABLE issues ADD moved text[] NOT NULL DEFAULT '{}';
COMMENT ON COLUMN issues.moved IS 'What was meant for the day and is not on the sheet, and why, in words';

CREATE TABLE notices (
	work_date date PRIMARY KEY,
	made_at   timestamptz NOT NULL,
	subject   text NOT NULL CHECK (subject <> ''),
	text      text NOT NULL CHECK (text <> '')
);
COMMENT ON TABLE notices IS 'What the contractor was told about the working day issued: one a day, however many processes issue';
CREATE TRIGGER keep BEFORE UPDATE OR DELETE ON notices FOR EACH ROW EXECUTE FUNCTION refuse_change();

-- +goose Down
DROP TABLE notices;
ALTER TABLE issues DROP moved;
