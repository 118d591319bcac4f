package bench

import (
	"fmt"
	"math"
	"reflect"
	"strings"
)

// bound is what a number of a request may be.
type bound struct{ low, high float64 }

// What anything in a request may be, unless the tables below say otherwise. It is far more than any page asks for, and far less
// than what could grow without end in what is computed of it. What makes sense is told by whoever does what is asked.
var (
	ordinary   = bound{-1e6, 1e6}
	mostItems  = 100  // of a list
	mostLetter = 4096 // bytes of a text
)

// unlike are the numbers with other bounds, by message and field.
var unlike = map[string]bound{
	"hold.press":  {0, 1 << 53}, // what a page can count to
	"lesson.seed": {math.MinInt64, math.MaxInt64},
}

// long are the texts with another bound, in bytes. No message is longer than what the server reads.
var long = map[string]int{
	"own-arm.text":      64 << 10,
	"own-arm-file.text": 64 << 10,
	"scene.own":         64 << 10,
	"play.name":         math.MaxInt, // it is cut off
	"play.text":         math.MaxInt, // the reader of jog files has bounds of its own
	"lesson.progress":   math.MaxInt, // it is sealed
}

// checkBounds returns what of a request is out of all bounds. Every number, list and text of every message has one.
func checkBounds(word string, request any) error {
	return checkValue(word, reflect.ValueOf(request).Elem())
}

func checkValue(path string, v reflect.Value) error {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			return checkValue(path, v.Elem())
		}
	case reflect.Struct:
		for i := range v.NumField() {
			name, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("json"), ",")
			if err := checkValue(path+"."+name, v.Field(i)); err != nil {
				return err
			}
		}
	case reflect.Slice, reflect.Array:
		if v.Len() > mostItems {
			return fmt.Errorf("%s has %d items; %d are plenty", path, v.Len(), mostItems)
		}
		for i := range v.Len() {
			if err := checkValue(path, v.Index(i)); err != nil {
				return err
			}
		}
	case reflect.String:
		most, is := long[path]
		if !is {
			most = mostLetter
		}
		if v.Len() > most {
			return fmt.Errorf("%s has %d bytes; %d are plenty", path, v.Len(), most)
		}
	case reflect.Float64:
		return checkNumber(path, v.Float())
	case reflect.Int, reflect.Int64:
		return checkNumber(path, float64(v.Int()))
	}
	return nil
}

func checkNumber(path string, x float64) error {
	b, is := unlike[path]
	if !is {
		b = ordinary
	}
	if x >= b.low && x <= b.high {
		return nil
	}
	return fmt.Errorf("%s must be from %g to %g, not %g", path, b.low, b.high, x)
}

// allFinite returns a copy of a message with 0 in place of every number that JSON cannot write. There should be none; but where a
// mistake makes one, the page is to be told the rest.
func allFinite(message any) any { return madeFinite(reflect.ValueOf(message)).Interface() }

func madeFinite(v reflect.Value) reflect.Value {
	switch v.Kind() {
	case reflect.Float64, reflect.Float32:
		if x := v.Float(); math.IsNaN(x) || math.IsInf(x, 0) {
			return reflect.Zero(v.Type())
		}
	case reflect.Pointer, reflect.Interface:
		if v.IsNil() {
			return v
		}
		inner := madeFinite(v.Elem())
		if v.Kind() == reflect.Interface {
			return inner
		}
		to := reflect.New(v.Type().Elem())
		to.Elem().Set(inner)
		return to
	case reflect.Struct:
		to := reflect.New(v.Type()).Elem()
		to.Set(v)
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				to.Field(i).Set(madeFinite(v.Field(i)))
			}
		}
		return to
	case reflect.Slice:
		if v.IsNil() {
			return v
		}
		to := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
		for i := range v.Len() {
			to.Index(i).Set(madeFinite(v.Index(i)))
		}
		return to
	case reflect.Array:
		to := reflect.New(v.Type()).Elem()
		for i := range v.Len() {
			to.Index(i).Set(madeFinite(v.Index(i)))
		}
		return to
	}
	return v
}
