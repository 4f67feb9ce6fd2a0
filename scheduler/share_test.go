package scheduler

import (
	"reflect"
	"testing"

	"potlife/rooms"
	"potlife/takeoff"
)

// Whatever differs in a piece or a stock piece, it is not taken for the same: a
// field that is added must be compared too, or this fails.
func TestNothingThatDiffersIsShared(t *testing.T) {
	lies := rooms.Polygon{Outer: rooms.Ring{{}, {X: 2}, {Y: 2}}}
	everyField(t, takeoff.Piece{Polygon: lies}, samePiece)
	everyField(t, takeoff.StockPiece{Polygon: lies}, sameStockPiece)
}

func everyField[T any](t *testing.T, like T, same func(a, b T) bool) {
	t.Helper()
	if !same(like, like) {
		t.Errorf("%T is not the same as itself", like)
	}
	for i := range reflect.TypeFor[T]().NumField() {
		other := like
		v := reflect.ValueOf(&other).Elem()
		switch f := v.Field(i); f.Interface().(type) {
		case rooms.Polygon:
			f.Set(reflect.ValueOf(rooms.Polygon{Outer: rooms.Ring{{}, {X: 1}, {Y: 1}}}))
		case rooms.Point:
			f.Set(reflect.ValueOf(rooms.Point{X: 1}))
		case []takeoff.Cut:
			f.Set(reflect.ValueOf([]takeoff.Cut{{Side: "left"}}))
		case string:
			f.SetString("x")
		case int:
			f.SetInt(1)
		case float64:
			f.SetFloat(1)
		case bool:
			f.SetBool(true)
		default:
			t.Fatalf("%T.%s is of a kind that this test does not know", like, v.Type().Field(i).Name)
		}
		if same(like, other) {
			t.Errorf("%T.%s differs and is taken for the same", like, v.Type().Field(i).Name)
		}
	}
}
