-- What leaves on paper must lie there: goods that go back to their supplier or
-- to another place.

-- +goose Up
-- +goose StatementBegin
CREATE FUNCTION stock_lies_there() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
	lies double precision;
BEGIN
	-- Whoever books out the same product waits, so that two cannot take the last.
	PERFORM pg_advisory_xact_lock(hashtextextended('stock ' || NEW.place || ' ' || NEW.product, 0));
	SELECT coalesce(sum(quantity), 0) INTO lies FROM stock_movements
		WHERE place = NEW.place AND product = NEW.product AND unit = NEW.unit AND (NEW.lot = '' OR lot = NEW.lot)
			AND kind NOT IN ('reserved', 'released');
	IF lies < -1e-6 THEN
		RAISE EXCEPTION '%', format('of %s%s lie %s in %s, so %s cannot be %s: count what is there and correct the stock in the firm''s file',
			NEW.product, CASE WHEN NEW.lot = '' THEN '' ELSE ', lot ' || NEW.lot END, round((lies - NEW.quantity)::numeric, 2)::double precision,
			CASE WHEN NEW.place = '' THEN 'the yard' ELSE NEW.place END, -NEW.quantity, NEW.kind)
			USING ERRCODE = 'restrict_violation';
	END IF;
	RETURN NULL;
END $$;
-- +goose StatementEnd
COMMENT ON FUNCTION stock_lies_there IS 'What a crew opens, breaks or is to take is booked though the books say it is not there: a report from the site is not refused, and the page of stock shows the difference';
CREATE TRIGGER lies_there AFTER INSERT ON stock_movements FOR EACH ROW
	WHEN (NEW.quantity < 0 AND NEW.kind IN ('returned', 'moved')) EXECUTE FUNCTION stock_lies_there();

-- +goose Down
DROP TRIGGER lies_there ON stock_movements;
DROP FUNCTION stock_lies_there;
