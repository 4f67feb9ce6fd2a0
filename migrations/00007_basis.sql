-- What a plan was made from, so that a plan that has been overtaken is known as
-- such by numbers and not by clocks.

-- +goose Up
ALTER TABLE plans ADD basis text NOT NULL DEFAULT '';
COMMENT ON COLUMN plans.basis IS 'Store.Basis when the plan''s input was read; it differs from the present one as soon as anything new has come in';

-- +goose Down
ALTER TABLE plans DROP basis;
