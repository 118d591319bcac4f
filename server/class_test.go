package server

import (
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"net/http"
	"os"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/coder/websocket"
)

const testLink = "a-link-that-only-the-instructor-has"

// classServer serves a sandbox with an instructor.
func classServer(t testing.TB) (*Server, string) {
	t.Helper()
	s := New(Options{Offer: shipped(), Static: fstest.MapFS{}, Instructor: testLink})
	s.opens.rate = 1e9
	listener := listen(t)
	serveIn(t, s, listener)
	return s, listener.Addr().String()
}

// browser is somebody's browser: with the instructor's cookie, or without.
type browser struct {
	t       testing.TB
	address string
	cookie  *http.Cookie
}

func (b *browser) do(method, path, body string, header ...string) (int, string) {
	b.t.Helper()
	request, err := http.NewRequest(method, "http://"+b.address+path, strings.NewReader(body))
	if err != nil {
		b.t.Fatal(err)
	}
	if b.cookie != nil {
		request.AddCookie(b.cookie)
	}
	for i := 0; i+1 < len(header); i += 2 {
		request.Header.Set(header[i], header[i+1])
	}
	client := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	answer, err := client.Do(request)
	if err != nil {
		b.t.Fatal(err)
	}
	defer answer.Body.Close()
	text, _ := io.ReadAll(answer.Body)
	for _, c := range answer.Cookies() {
		b.cookie = c
	}
	return answer.StatusCode, string(text)
}

func (b *browser) dial(path string) page {
	b.t.Helper()
	var options websocket.DialOptions
	if b.cookie != nil {
		options.HTTPHeader = http.Header{"Cookie": {b.cookie.Name + "=" + b.cookie.Value}}
	}
	conn, _, err := websocket.Dial(b.t.Context(), "ws://"+b.address+path, &options)
	if err != nil {
		b.t.Fatal(err)
	}
	conn.SetReadLimit(4 << 20)
	b.t.Cleanup(func() { conn.CloseNow() })
	return page{b.t, conn, b.t.Context()}
}

// until reads on until a message of the type comes for which this holds.
func (p page) until(word string, holds func(m map[string]any) bool) map[string]any {
	p.t.Helper()
	for {
		if m := p.hear(word); holds(m) {
			return m
		}
	}
}

// openHour has an instructor open a class, and returns their browser, the class's page, their bench, and the code.
func openHour(t testing.TB, address string) (*browser, page, page, string) {
	t.Helper()
	b := &browser{t: t, address: address}
	if status, _ := b.do("GET", "/teach/"+testLink, ""); status != http.StatusSeeOther || b.cookie == nil {
		t.Fatalf("the link is answered with %d", status)
	}
	status, text := b.do("POST", "/classes", `{"type":"open","title":"Monday","ask_for":[]}`)
	var opened struct{ Code string }
	if json.Unmarshal([]byte(text), &opened); status != http.StatusOK || len(opened.Code) != 6 {
		t.Fatalf("opening a class: %d %s", status, text)
	}
	arm := b.dial("/bench?class=" + opened.Code)
	arm.hear("welcome")
	class := b.dial("/class?code=" + opened.Code)
	if w := class.hear("class-welcome"); w["role"] != "instructor" || w["token"] != "" {
		t.Fatalf("the instructor is welcomed as %v", w)
	}
	return b, class, arm, opened.Code
}

// learner joins, and returns the class's page, the bench, and how the class knows them.
func learner(t testing.TB, address, code, name string) (page, page, map[string]any) {
	t.Helper()
	b := &browser{t: t, address: address}
	class := b.dial("/class?code=" + strings.ToLower(code))
	w := class.hear("class-welcome")
	class.say(fmt.Sprintf(`{"type":"join","name":%q,"number":"","email":""}`, name))
	class.until("mine", func(m map[string]any) bool { return m["joined"] == true })
	arm := b.dial(fmt.Sprintf("/bench?class=%s&token=%s", code, w["token"]))
	arm.hear("welcome")
	return class, arm, w
}

func is(key string, value any) func(map[string]any) bool {
	return func(m map[string]any) bool { return m[key] == value }
}

const followFront = `{"type":"follow","whom":"front","read_in":{"frame":"base","task":""},"shows":{"room":false,"plot":false,"of":"tcp","form":"fixed_xyz"},"unit":"mm"}`

func TestAnHour(t *testing.T) {
	_, address := classServer(t)
	_, front, arm, code := openHour(t, address)
	ana, anasArm, anas := learner(t, address, code, "Ana")
	ben, _, _ := learner(t, address, code, "Ben")
	front.until("class", func(m map[string]any) bool { return m["learners"] == 2.0 && m["here"] == 2.0 && m["front"] == true })

	// Both follow the demonstrated arm, which is told as to its own page.
	ana.say(followFront)
	ben.say(followFront)
	for _, p := range []page{ana, ben} {
		p.hear("arm")
		p.hear("setup")
		p.hear(frame)
	}
	arm.say(`{"type":"step","direction":{"frame":"joint","axis":4,"sign":1}}`)
	for _, p := range []page{ana, ben} {
		p.until("stop", is("count", 1.0))
	}
	j5At := func(m map[string]any) float64 {
		return m["scene"].(map[string]any)["joints_deg"].([]any)[4].(float64)
	}
	var j5 float64
	ana.until("front", func(m map[string]any) bool {
		j5 = j5At(m)
		return j5 != 0
	})

	// The arm is handed over: Ana's goes on from where it stood, and is what all see.
	front.say(fmt.Sprintf(`{"type":"hand-over","learner":%q}`, anas["learner"]))
	ana.until("mine", is("drives", true))
	ben.until("class", is("driver", "Ana"))
	anasArm.say(`{"type":"step","direction":{"frame":"joint","axis":4,"sign":1}}`)
	if m := anasArm.until("stop", is("count", 1.0)); m["reason"] != "done" {
		t.Errorf("her step ended with %v", m["reason"])
	}
	for ben.hear(frame)["j5"].(float64) < j5+4.99 {
	}
	// And is taken back at once, in the middle of a jog, and goes on from where that ended. The jog is a step of a minute and a half: a busy
	// machine may lose a hold before.
	anasArm.say(`{"type":"speed","mm_s":50,"deg_s":1}`)
	anasArm.say(`{"type":"increment","mm":10,"deg":90}`)
	anasArm.say(`{"type":"step","direction":{"frame":"joint","axis":4,"sign":1}}`)
	for ben.hear(frame)["j5"].(float64) < j5+5.1 {
	}
	front.say(`{"type":"hand-over","learner":""}`)
	ana.until("mine", is("drives", false))
	anasArm.until("stop", is("reason", "released"))
	ben.until("front", func(m map[string]any) bool { return j5At(m) > j5+5.09 })

	// Sent, called, counted down, helped.
	front.say(`{"type":"send","address":"#/lessons/first-straight-line","learner":""}`)
	ben.until("class", func(m map[string]any) bool { return m["sent"].(map[string]any)["count"] == 1.0 })
	front.say(`{"type":"eyes","on":true}`)
	ben.until("class", is("eyes", true))
	front.say(`{"type":"look","view":{"from_mm":[1000,-1000,800],"at_mm":[0,0,300]}}`)
	if m := ben.hear("look"); fmt.Sprint(m["view"]) != "map[at_mm:[0 0 300] from_mm:[1000 -1000 800]]" {
		t.Errorf("the arm is looked at from %v", m["view"])
	}
	front.say(`{"type":"countdown","seconds":600}`)
	ben.until("class", func(m map[string]any) bool { return m["countdown_ms"] != nil && m["countdown_ms"].(float64) > 0 })
	front.say(fmt.Sprintf(`{"type":"hint","learner":%q,"text":"bend J5 first"}`, anas["learner"]))
	ana.until("mine", is("hint", "bend J5 first"))
	ben.say(`{"type":"hand","up":true}`)
	front.until("class", is("hands", 1.0))

	// Asked, answered, shown, asked again, told.
	front.say(`{"type":"ask","kind":"way","jog":"joint J1 +20","measure":{"of":"","frame":"base","task":"","joint":0},"text":"","options":[],"right":[]}`)
	for round, wrong := range []string{"[0,-1,0]", "[0,1,0.1]"} {
		for p, answer := range map[page]string{ana: "[0,2,0]", ben: wrong} {
			p.until("question", func(m map[string]any) bool {
				return m["count"] == 1.0 && m["round"] == float64(round+1) && m["state"] == "open"
			})
			p.say(fmt.Sprintf(`{"type":"reply","question":1,"round":%d,"arrow":%s,"stays":false,"joints":null,"stop":"","number":null,"options":null}`, round+1, answer))
			p.until("question", func(m map[string]any) bool { return m["mine"] != nil })
		}
		front.until("question", func(m map[string]any) bool { return m["given"] == 2.0 && m["round"] == float64(round+1) })
		front.say(`{"type":"reveal","state":"shown"}`)
		shown := ben.until("answers", func(m map[string]any) bool { return len(m["rounds"].([]any)) == round+1 })
		text := fmt.Sprint(shown)
		if strings.Contains(text, "Ana") || shown["truth"] != nil || shown["right"] != "" {
			t.Errorf("shown are %s", text)
		}
		if groups := shown["rounds"].([]any)[round].(map[string]any)["groups"].([]any); len(groups) != 2-round || groups[0].(map[string]any)["name"] != "" {
			t.Errorf("in round %d the groups are %v", round+1, groups)
		}
		if round == 0 {
			front.say(`{"type":"ask-again"}`)
		}
	}
	front.say(`{"type":"reveal","state":"told"}`)
	told := ben.until("answers", func(m map[string]any) bool { return m["truth"] != nil })
	if groups := told["rounds"].([]any)[0].(map[string]any)["groups"].([]any); told["right"] == "" || told["why"] == "" || groups[0].(map[string]any)["name"] == "" {
		t.Errorf("told is %v", told)
	}
	if m := ana.until("question", is("state", "told")); m["mine"].(map[string]any)["right"] != true {
		t.Errorf("what was right is told as %v", m["mine"])
	}
	ana.say(`{"type":"reply","question":1,"round":2,"arrow":[1,0,0],"stays":false,"joints":null,"stop":"","number":null,"options":null}`)
	ana.hear("class-problem")

	// Who leaves is forgotten; who is removed does not come back.
	ben.say(`{"type":"leave"}`)
	front.until("class", is("learners", 1.0))
	front.say(fmt.Sprintf(`{"type":"remove","learner":%q}`, anas["learner"]))
	if status := ana.closed(); status != classOver {
		t.Errorf("who is removed is sent away with %d", status)
	}
	again := (&browser{t: t, address: address}).dial(fmt.Sprintf("/class?code=%s&token=%s", code, anas["token"]))
	if m := again.hear("class-problem"); m["fatal"] != true {
		t.Errorf("who was removed comes back with %v", m)
	}
}

// When all are called to the front, or asked about it, learners' arms come to rest, whatever moves them; the one in front goes on.
func TestArmsComeToRestWhenAllAreCalled(t *testing.T) {
	_, address := classServer(t)
	_, front, arm, code := openHour(t, address)
	_, anasArm, _ := learner(t, address, code, "Ana")
	_, bensArm, _ := learner(t, address, code, "Ben")
	const slowly, far = `{"type":"speed","mm_s":50,"deg_s":1}`, `{"type":"increment","mm":10,"deg":90}`
	moves := func(p page) {
		t.Helper()
		for from := p.hear(frame)["j5"].(float64); ; {
			m := p.hear(frame, "stop")
			if m["type"] == "stop" {
				t.Fatalf("it stops: %v", m["reason"])
			}
			if m["j5"].(float64) > from+0.2 {
				return
			}
		}
	}
	for _, p := range []page{arm, anasArm} {
		p.say(slowly)
		p.say(far)
		p.say(stepJ5)
		moves(p)
	}
	bensArm.say(slowly)
	bensArm.say(`{"type":"play","name":"a.jogs","text":"joint J5 +60\njoint J5 -60\n"}`)
	moves(bensArm)
	front.say(`{"type":"eyes","on":true}`)
	for _, p := range []page{anasArm, bensArm} {
		if m := p.hear("stop"); m["reason"] != "released" {
			t.Errorf("it ended with %v", m["reason"])
		}
	}
	moves(arm)

	front.say(`{"type":"eyes","on":false}`)
	front.until("class", is("eyes", false))
	anasArm.say(stepJ5)
	moves(anasArm)
	arm.say(`{"type":"release"}`)
	arm.hear("stop")
	front.say(`{"type":"ask","kind":"number","jog":"","measure":{"of":"x","frame":"base","task":"","joint":0},"text":"","options":[],"right":[]}`)
	if m := anasArm.hear("stop"); m["reason"] != "released" {
		t.Errorf("it ended with %v", m["reason"])
	}
}

// An arm that the instructor brought is the one in front as any other: it is seen, asked about, handed over with all that it is, and told
// exactly to whoever tries from there. In a lesson, its stage is told, too.
func TestAnOwnArmInFront(t *testing.T) {
	_, address := classServer(t)
	_, front, arm, code := openHour(t, address)
	ana, anasArm, anas := learner(t, address, code, "Ana")
	file, err := os.ReadFile("../scenarios/arms/wren.yaml")
	if err != nil {
		t.Fatal(err)
	}
	text, _ := json.Marshal(strings.Replace(string(file), "name: Wren", "name: Ours", 1))
	ana.say(followFront)
	arm.say(`{"type":"own-arm-file","show":true,"text":` + string(text) + `}`)
	ana.until("arm", is("name", "Ours"))
	told := ana.until("front", func(m map[string]any) bool { return m["scene"].(map[string]any)["arm"] == "own-arm" })
	scene := told["scene"].(map[string]any)
	if own, _ := scene["own"].(string); !strings.Contains(own, "name: Ours") || told["lesson"] != "" {
		t.Errorf("it is told as %v", told)
	}
	request := map[string]any{"type": "scene"}
	maps.Copy(request, scene)
	said, _ := json.Marshal(request)
	anasArm.say(string(said))
	anasArm.until("arm", is("name", "Ours"))
	anasArm.say(`{"type":"arm","id":"curlew"}`)
	anasArm.until("arm", is("name", "Curlew"))

	front.say(`{"type":"ask","kind":"way","jog":"joint J1 +20","measure":{"of":"","frame":"base","task":"","joint":0},"text":"","options":[],"right":[]}`)
	ana.until("question", is("state", "open"))
	front.say(`{"type":"reveal","state":"ended"}`)
	front.say(fmt.Sprintf(`{"type":"hand-over","learner":%q}`, anas["learner"]))
	anasArm.until("arm", is("name", "Ours"))
	front.say(`{"type":"hand-over","learner":""}`)
	arm.until("motion", is("put", 3.0)) // It stands where Ana left hers: what it is asked from now on comes after that.

	arm.say(`{"type":"lesson","id":"first-straight-line","progress":"","seed":null}`)
	ana.until("front", func(m map[string]any) bool {
		return m["lesson"] == "first-straight-line" && m["stage"] == 0.0 && m["scene"].(map[string]any)["own"] == nil
	})
}

func TestWhoGetsIn(t *testing.T) {
	_, address := classServer(t)
	instructor, front, _, code := openHour(t, address)
	stranger := &browser{t: t, address: address}
	for _, path := range []string{"/classes", "/class/" + code + "/export", "/class/" + code + "/results"} {
		if status, text := stranger.do("GET", path, ""); status != http.StatusForbidden {
			t.Errorf("%s is answered to anybody: %d %s", path, status, text)
		}
		if status, _ := stranger.do("GET", path, "", "Authorization", "Bearer wrong"); status != http.StatusForbidden {
			t.Errorf("%s is answered to a wrong secret", path)
		}
		if status, _ := stranger.do("GET", path, "", "Authorization", "Bearer "+testLink); status != http.StatusOK {
			t.Errorf("%s is not answered to the instructor's program", path)
		}
		if status, _ := instructor.do("GET", path, ""); status != http.StatusOK {
			t.Errorf("%s is not answered to the instructor", path)
		}
	}
	if status, _ := stranger.do("GET", "/teach/wrong", ""); status != http.StatusForbidden || stranger.cookie != nil {
		t.Error("a wrong link is taken")
	}
	if !instructor.cookie.HttpOnly || instructor.cookie.SameSite != http.SameSiteLaxMode {
		t.Errorf("the cookie is %v", instructor.cookie)
	}
	if strings.Contains(instructor.cookie.Value, testLink) {
		t.Error("the cookie holds the link")
	}
	if status, _ := instructor.do("POST", "/classes", `{"type":"open","title":"","ask_for":[]}`, "Origin", "https://elsewhere.example"); status != http.StatusForbidden {
		t.Error("a foreign page opens a class")
	}
	if status, text := instructor.do("POST", "/classes", `{"type":"open","title":"`+strings.Repeat("x", 81)+`","ask_for":[]}`); status != http.StatusBadRequest {
		t.Errorf("a title without end is taken: %s", text)
	}

	device := *instructor
	if status, _ := device.do("POST", "/classes/not-me", ""); status != http.StatusNoContent || device.cookie.MaxAge >= 0 {
		t.Errorf("a device that forgets its instructor keeps %v", device.cookie)
	}

	// A learner does nothing that is the instructor's, for nobody else, and nothing before they joined.
	ana, _, anas := learner(t, address, code, "Ana")
	ben := stranger.dial("/class?code=" + code)
	ben.hear("class-welcome")
	for _, request := range []string{`{"type":"hand","up":true}`, `{"type":"finished","text":"{}"}`, `{"type":"leave"}`} {
		ben.say(request)
		ben.hear("class-problem")
	}
	for _, request := range []string{
		`{"type":"close"}`, `{"type":"delete"}`, `{"type":"rules","locked":true}`, fmt.Sprintf(`{"type":"remove","learner":%q}`, anas["learner"]),
		`{"type":"eyes","on":true}`, `{"type":"send","address":"#/","learner":""}`, `{"type":"countdown","seconds":1}`, fmt.Sprintf(`{"type":"hand-over","learner":%q}`, anas["learner"]),
		`{"type":"ask","kind":"choice","jog":"","measure":{"of":"","frame":"base","task":"","joint":0},"text":"?","options":["a","b"],"right":[0]}`,
		`{"type":"look","view":{"from_mm":[0,0,0],"at_mm":[0,0,0]}}`, `{"type":"ask-again"}`, `{"type":"reveal","state":"told"}`, fmt.Sprintf(`{"type":"hint","learner":%q,"text":"x"}`, anas["learner"]),
		`{"type":"follow","whom":"instructor","read_in":{"frame":"base","task":""},"shows":{"room":false,"plot":false,"of":"tcp","form":"fixed_xyz"},"unit":"mm"}`,
		`{"type":"open","title":"","ask_for":[]}`, `{"type":"nonsense"}`, `{`, `[]`,
	} {
		ana.say(request)
		ana.hear("class-problem")
	}
	ana.say(`{"type":"watch-over","on":true}`)
	front.say(`{"type":"rules","locked":true}`)
	for {
		_, text, err := ana.conn.Read(ana.ctx)
		if err != nil {
			t.Fatal(err)
		}
		if strings.Contains(string(text), `"type":"board"`) {
			t.Fatal("a learner is told the board")
		}
		if strings.Contains(string(text), `"locked":true`) {
			break
		}
	}
	late := stranger.dial("/class?code=" + code)
	if m := late.hear("class-problem"); m["fatal"] != true {
		t.Error("a locked class takes newcomers")
	}
	back := stranger.dial(fmt.Sprintf("/class?code=%s&token=%s", code, anas["token"]))
	if m := back.hear("class-welcome"); m["learner"] != anas["learner"] {
		t.Error("a learner is not known again")
	}
	front.say(`{"type":"delete"}`)
	if status := back.closed(); status != classOver {
		t.Errorf("a class that is deleted ends with %d", status)
	}
	if status, text := instructor.do("GET", "/classes", ""); status != http.StatusOK || strings.Contains(text, code) {
		t.Errorf("what was deleted is listed: %s", text)
	}
}

// No more classes are open at once than may be; one that ended makes room for another.
func TestOpenClassesAreBounded(t *testing.T) {
	s, address := classServer(t)
	s.school.most = 2
	b, front, _, _ := openHour(t, address)
	const open = `{"type":"open","title":"","ask_for":[]}`
	if status, text := b.do("POST", "/classes", open); status != http.StatusOK {
		t.Fatalf("the second is answered with %d: %s", status, text)
	}
	if status, text := b.do("POST", "/classes", open); status != http.StatusBadRequest || !strings.Contains(text, "than 2 can be open") {
		t.Errorf("one too many is answered with %d: %s", status, text)
	}
	front.say(`{"type":"close"}`)
	front.until("class", is("ended", true))
	if status, text := b.do("POST", "/classes", open); status != http.StatusOK {
		t.Errorf("in the place of one that ended there is opened none: %d %s", status, text)
	}
	if open, err := s.school.countOpen(time.Now().Add(25 * time.Hour)); err != nil || open != 0 {
		t.Errorf("after a day %d are open, %v", open, err)
	}
}

// slowServer has who guesses wait that long. However long the tries take, none is forgiven meanwhile.
func slowServer(t *testing.T, wait time.Duration) string {
	t.Helper()
	s, address := classServer(t)
	s.guesses.rate, s.guesses.wait = 0, wait
	return address
}

// guesses tries codes until it is slowed.
func (b *browser) guesses() {
	b.t.Helper()
	for i := range guessBurst {
		p := b.dial(fmt.Sprintf("/class?code=AAAA%c%c", "ACDEFGH"[i%7], "ACDEFGH"[i/7]))
		if m := p.hear("class-problem", "class-wait"); m["fatal"] != true {
			b.t.Fatalf("guess %d is answered with %v", i, m)
		}
		p.conn.CloseNow()
	}
}

// A phone that guesses codes learns no more of a right one than of a wrong one until it has waited, and keeps nobody out who is known, though
// they have its address.
func TestCodesCannotBeGuessed(t *testing.T) {
	address := slowServer(t, time.Hour)
	_, front, _, code := openHour(t, address)
	_, _, anas := learner(t, address, code, "Ana")
	phone := &browser{t: t, address: address}
	phone.guesses()
	told := map[string]bool{}
	for _, tried := range []string{code, "AAAAAA", "AAAAAA&token=" + newToken(), code + "&token=" + newToken()} {
		m := phone.dial("/class?code="+tried).hear("class-welcome", "class-problem", "class-wait")
		told[fmt.Sprint(m)] = true
	}
	if len(told) != 1 || !told["map[seconds:3600 type:class-wait]"] {
		t.Errorf("guesses are answered with %v", told)
	}
	if status, _ := phone.do("GET", "/teach/x", ""); status != http.StatusTooManyRequests {
		t.Error("the link may be guessed on and on")
	}

	back := phone.dial(fmt.Sprintf("/class?code=%s&token=%s", code, anas["token"]))
	if m := back.hear("class-welcome", "class-problem", "class-wait"); m["learner"] != anas["learner"] {
		t.Errorf("who has joined is told %v", m)
	}
	another, _, _, _ := openHour(t, address) // by the link, and with the cookie
	if m := another.dial("/class?code="+code).hear("class-welcome", "class-problem", "class-wait"); m["role"] != "instructor" {
		t.Errorf("the instructor is told %v", m)
	}
	front.say(fmt.Sprintf(`{"type":"remove","learner":%q}`, anas["learner"]))
	back.closed()
	if m := phone.dial(fmt.Sprintf("/class?code=%s&token=%s", code, anas["token"])).hear("class-welcome", "class-problem", "class-wait"); m["fatal"] != true {
		t.Errorf("who was removed is told %v", m)
	}
}

// A newcomer with the right code comes in beside a phone that guesses, each after the same wait, however many there are.
func TestNewcomersComeInBesideGuesses(t *testing.T) {
	address := slowServer(t, time.Millisecond)
	_, front, _, code := openHour(t, address)
	phone := &browser{t: t, address: address}
	phone.guesses()
	const newcomers = 30
	for n := range newcomers {
		if m := phone.dial("/class?code=AAAAAA").hear("class-welcome", "class-problem"); m["fatal"] != true {
			t.Fatalf("a wrong code is answered with %v", m)
		}
		learner(t, address, code, fmt.Sprint("Newcomer ", n))
	}
	front.until("class", is("here", float64(newcomers)))
}

// Who has the right code, and is refused for something else, has not guessed.
func TestWhoIsRightHasNotGuessed(t *testing.T) {
	address := slowServer(t, time.Hour)
	_, front, _, code := openHour(t, address)
	front.say(`{"type":"rules","locked":true}`)
	front.until("class", is("locked", true))
	b := &browser{t: t, address: address}
	for range guessBurst + 1 {
		p := b.dial("/class?code=" + code)
		if m := p.hear("class-welcome", "class-problem", "class-wait"); m["fatal"] != true {
			t.Fatalf("a locked class answers with %v", m)
		}
		p.conn.CloseNow()
	}
}

// One learner's pages, and people who have not joined, do not fill a class.
func TestPagesOfAClassAreBounded(t *testing.T) {
	_, address := classServer(t)
	_, _, _, code := openHour(t, address)
	_, _, anas := learner(t, address, code, "Ana")
	b := &browser{t: t, address: address}
	var pages []page
	for range mostPages {
		p := b.dial(fmt.Sprintf("/class?code=%s&token=%s", code, anas["token"]))
		p.hear("mine")
		pages = append(pages, p)
	}
	var unjoined []page
	for range mostUnjoined {
		unjoined = append(unjoined, b.dial("/class?code="+code))
		if len(unjoined) == 1 {
			unjoined[0].hear("class") // It is there before the others.
		}
	}
	for _, p := range unjoined[1:] {
		p.hear("class")
	}
	late := b.dial("/class?code=" + code)
	late.hear("class")
	if m := unjoined[0].hear("class-problem"); m["fatal"] != true {
		t.Errorf("who waited longest without joining is told %v", m)
	}
	if status := unjoined[0].closed(); status != classOver {
		t.Errorf("it ends with %d", status)
	}
	for _, p := range []page{unjoined[1], late} {
		p.say(`{"type":"join","name":"Ben","number":"","email":""}`)
		p.until("mine", is("joined", true))
	}
	p := b.dial(fmt.Sprintf("/class?code=%s&token=%s", code, anas["token"]))
	p.hear("mine")
	if status := pages[0].closed(); status != takenOver.status {
		t.Errorf("her oldest page ends with %d", status)
	}
}
