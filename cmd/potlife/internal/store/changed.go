package store

import "context"

// Basis stands for all that a plan is made from: it changes with every record,
// import, step or delivery of an order, job put away, and offcut that someone
// recorded. Read it before the
// plan's input and save it with the plan (NewPlan.Basis); the plan in force is
// overtaken as soon as its Basis is no longer the present one, whatever the
// clocks of those who write say.
func (s *Store) Basis(ctx context.Context) (string, error) {
	return value[string](ctx, s, `
		SELECT format('records %s, imports %s, order steps %s, open jobs %s, prices %s, offcuts %s',
			(SELECT coalesce(max(id), 0) FROM records), (SELECT count(*) FROM imports),
			(SELECT count(*) FROM order_events), (SELECT count(*) FROM jobs WHERE closed_at IS NULL),
			(SELECT count(*) FROM prices WHERE from_day <= current_date),
			(SELECT count(*) FILTER (WHERE kept_by <> '') + count(*) FILTER (WHERE gone_by <> '') FROM offcuts))`)
}

// Overtaken reports whether something has come in that the plan in force does
// not know; true where there is no plan yet.
func (s *Store) Overtaken(ctx context.Context) (bool, error) {
	basis, err := s.Basis(ctx)
	if err != nil {
		return false, err
	}
	info, err := s.CurrentPlanInfo(ctx)
	if isNotFound(err) {
		return true, nil
	}
	return info.Basis != basis, err
}
