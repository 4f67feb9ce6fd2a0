-- What a report is about besides its time: the working day of the sheet it was
-- written on, a room, and boxes opened.

-- +goose Up
ALTER TABLE records
	ADD day      date,
	ADD room     text NOT NULL DEFAULT '',
	ADD product  text NOT NULL DEFAULT '',
	ADD lot      text NOT NULL DEFAULT '',
	ADD packages double precision NOT NULL DEFAULT 0 CHECK (packages >= 0);
COMMENT ON COLUMN records.day IS 'Working day of the sheet it reports on; none where a report came without one: the day it happened';
COMMENT ON COLUMN records.packages IS 'Boxes or other packages opened';
CREATE UNIQUE INDEX records_corrected ON records (corrects);
COMMENT ON INDEX records_corrected IS 'A report is corrected once; whoever knows better corrects the correction';
CREATE INDEX records_day ON records (day, crew);
CREATE INDEX records_room ON records (room) WHERE room <> '';

-- +goose Down
ALTER TABLE records DROP day, DROP room, DROP product, DROP lot, DROP packages;
DROP INDEX records_corrected;
