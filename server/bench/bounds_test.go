package bench

import (
	"encoding/json"
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// leaves calls f with every number of a request's type: its path, and JSON that sets it alone.
func leaves(path string, t reflect.Type, wrap func(string) string, f func(path string, is reflect.Kind, wrap func(string) string)) {
	switch t.Kind() {
	case reflect.Pointer:
		leaves(path, t.Elem(), wrap, f)
	case reflect.Struct:
		for i := range t.NumField() {
			name, _, _ := strings.Cut(t.Field(i).Tag.Get("json"), ",")
			leaves(path+"."+name, t.Field(i).Type, func(inner string) string { return wrap(fmt.Sprintf("{%q:%s}", name, inner)) }, f)
		}
	case reflect.Slice:
		leaves(path, t.Elem(), func(inner string) string { return wrap("[" + inner + "]") }, f)
	case reflect.Array:
		rest := strings.Repeat(",0", t.Len()-1)
		leaves(path, t.Elem(), func(inner string) string { return wrap("[" + inner + rest + "]") }, f)
	default:
		f(path, t.Kind(), wrap)
	}
}

// Every number that a page can send, whichever message it is in, is refused where it is out of bounds, and the message says so.
func TestEveryNumberIsBounded(t *testing.T) {
	numbers, texts, seen := 0, 0, map[string]bool{}
	for word, request := range Requests {
		leaves(word, reflect.TypeOf(request), func(s string) string { return s }, func(path string, kind reflect.Kind, wrap func(string) string) {
			seen[path] = true
			refused := func(value string) {
				text := strings.Replace(wrap(value), "{", `{"type":"`+word+`",`, 1)
				if _, err := Decode([]byte(text)); err == nil || !strings.Contains(err.Error(), path) && !strings.Contains(err.Error(), "cannot be a number") {
					t.Errorf("%.200s: %v", text, err)
				}
			}
			switch kind {
			case reflect.Float64:
				numbers++
				for _, value := range []string{"1e7", "-1e7", "1e300", "-1.7e308"} {
					refused(value)
				}
			case reflect.Int, reflect.Int64:
				numbers++
				refused("1e300")
				refused("9223372036854775808")
				if _, is := unlike[path]; !is {
					refused("9000000000000000000")
					refused("-10000000")
				}
			case reflect.String:
				texts++
				if _, is := long[path]; !is {
					refused(`"` + strings.Repeat("x", mostLetter+1) + `"`)
				}
			case reflect.Bool:
			default:
				t.Errorf("%s is a %v, of which the bounds know nothing", path, kind)
			}
		})
	}
	if numbers < 15 || texts < 15 {
		t.Errorf("only %d numbers and %d texts were found", numbers, texts)
	}
	for path := range unlike {
		if !seen[path] {
			t.Errorf("there is no %s", path)
		}
	}
	for path := range long {
		if !seen[path] {
			t.Errorf("there is no %s", path)
		}
	}
	if _, err := Decode([]byte(`{"type":"predict","joints":[` + strings.Repeat("1,", 1000) + `1]}`)); err == nil || !strings.Contains(err.Error(), "predict.joints has 1001 items") {
		t.Errorf("%v", err)
	}
}

// What is at its bounds is not refused by them.
func TestWhatAPageSendsIsWithinBounds(t *testing.T) {
	for _, text := range []string{
		`{"type":"hold","press":9007199254740992,"directions":[{"frame":"joint","axis":4,"sign":1}],"bound":-1e6,"speed_part":5e-324}`,
		`{"type":"lesson","id":"assessment","progress":"` + strings.Repeat("x", 100_000) + `","seed":-9223372036854775808}`,
		`{"type":"ways","do":"numbers","numbers":[1e5,-1e5,0,180,5e-324,1e-320]}`,
	} {
		if _, err := Decode([]byte(text)); err != nil {
			t.Errorf("%.100s: %v", text, err)
		}
	}
}

// Whatever numbers a message is made of, it can be written.
func TestTheEncoderNeverFails(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	for word, reply := range Replies {
		message := reflect.New(reflect.TypeOf(reply)).Elem()
		spoil(message, []float64{inf, nan, -inf, 5e-324, math.MaxFloat64}, new(int), 0)
		text := Encode(word, message.Interface())
		var head struct{ Type string }
		if err := json.Unmarshal(text, &head); err != nil || head.Type != word {
			t.Errorf("%s: %v in %.200s", word, err, text)
		}
	}
}

// spoil fills everything in a value, the numbers with these in turn.
func spoil(v reflect.Value, with []float64, n *int, depth int) {
	if depth > 12 {
		return
	}
	switch v.Kind() {
	case reflect.Float64:
		v.SetFloat(with[*n%len(with)])
		*n++
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		spoil(v.Elem(), with, n, depth+1)
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 2, 2))
		fallthrough
	case reflect.Array:
		for i := range v.Len() {
			spoil(v.Index(i), with, n, depth+1)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				spoil(v.Field(i), with, n, depth+1)
			}
		}
	}
}

// The least number there is, as a part of the speed, moves the arm slowly, and all that is told of it can be written.
func TestTheLeastPartOfTheSpeed(t *testing.T) {
	b, page := testBench()
	ask(t, b, noon, `{"type":"show","room":true,"plot":true,"of":"tcp","form":"fixed_xyz"}`)
	ask(t, b, noon, `{"type":"hold","press":1,"directions":[{"frame":"joint","axis":4,"sign":1}],"speed_part":5e-324}`)
	now := noon
	for range 100 {
		now = now.Add(20 * tickTime)
		b.Request([]byte(`{"type":"hold","press":1,"directions":[{"frame":"joint","axis":4,"sign":1}],"speed_part":5e-324}`), now)
		b.Advance(20, now)
		b.Tell(now, page.hear)
	}
	if q := b.drive().Joints()[4]; !(q > 0 && q < 0.01) || !b.Busy() {
		t.Errorf("joint 5 is at %g", q)
	}
}

// What is taught at a bench is bounded: more is refused, and what there is stays.
func TestWhatIsTaughtIsBounded(t *testing.T) {
	b, sent := testBench()
	teach := func(do string, name string) error {
		return b.Handle(&TeachRequest{Do: TeachDo(do), Name: name}, noon)
	}
	for range mostTouches {
		if err := teach("touch", ""); err != nil {
			t.Fatal(err)
		}
	}
	if err := teach("touch", ""); err == nil || len(b.mounted.teaching.touches) != mostTouches {
		t.Errorf("one touch more: %v, %d of them", err, len(b.mounted.teaching.touches))
	}
	at := func(x, y float64) *r3.Vec { return &r3.Vec{X: x, Y: y} }
	refused := ""
	for i := range 200 {
		teaching := &b.mounted.teaching
		teaching.origin, teaching.x, teaching.xy = at(0, 0), at(100, 0), at(0, 100)
		if err := teach("frame", fmt.Sprintf("frame-%d", i)); err != nil {
			t.Fatal(err)
		}
		if refused = teaching.problem; refused != "" {
			break
		}
	}
	if n := len(b.mounted.taught); refused == "" || n == 0 || n > 40 || last[TeachMessage](t, sent).Problem != refused {
		t.Errorf("%d frames are taught, %q", n, refused)
	}
}
