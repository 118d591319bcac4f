package server

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/coder/websocket"
)

// A learner's page is told nothing of anybody else: no name, no answer of theirs, no hint, no result, and not by which word the class knows
// them; nor does the page of somebody who has not joined.
func TestALearnerHearsOfNobodyElse(t *testing.T) {
	_, address := classServer(t)
	_, front, _, code := openHour(t, address)
	ben, _, bens := learner(t, address, code, "Ben")
	lurker := (&browser{t: t, address: address}).dial("/class?code=" + code)
	lurker.hear("class-welcome")
	ana, anasArm, anas := learner(t, address, code, "Anaximandra")
	for _, p := range []page{ben, lurker} {
		p.say(followFront)
		p.say(fmt.Sprintf(`{"type":"follow","whom":%q,"read_in":{"frame":"base","task":""},"shows":{"room":false,"plot":false,"of":"tcp","form":"fixed_xyz"},"unit":"mm"}`, anas["learner"]))
		p.say(`{"type":"watch-over","on":true}`)
	}
	front.hear("front")
	front.say(`{"type":"watch-over","on":true}`)
	anasArm.say(`{"type":"step","direction":{"frame":"joint","axis":4,"sign":1}}`)
	anasArm.hear("stop")
	ana.say(`{"type":"hand","up":true}`)
	front.until("class", is("hands", 1.0))
	front.say(fmt.Sprintf(`{"type":"hint","learner":%q,"text":"for her alone"}`, anas["learner"]))
	ana.until("mine", is("hint", "for her alone"))
	anasArm.say(`{"type":"lesson","id":"first-straight-line","progress":"","seed":null}`)
	anasArm.until("lesson", is("id", "first-straight-line"))
	anasArm.say(`{"type":"result","learner":"Anaximandra","number":"","email":""}`)
	result, _ := json.Marshal(anasArm.hear("result")["text"])
	ana.say(`{"type":"finished","text":` + string(result) + `}`)
	ana.until("mine", func(m map[string]any) bool { return m["arrived"] != 0.0 })
	front.say(`{"type":"ask","kind":"number","jog":"","measure":{"of":"x","frame":"base","task":"","joint":0},"text":"","options":[],"right":[]}`)
	ana.until("question", is("state", "open"))
	ana.say(`{"type":"reply","question":1,"round":1,"arrow":null,"stays":false,"joints":null,"stop":"","number":77.25,"options":null}`)
	front.until("question", is("given", 1.0))
	front.say(`{"type":"rules","names_hidden":true}`)
	front.say(fmt.Sprintf(`{"type":"hand-over","learner":%q}`, anas["learner"]))
	front.until("class", is("driven", true))
	front.say(`{"type":"hand-over","learner":""}`)
	front.say(`{"type":"reveal","state":"ended"}`)
	front.until("question", is("state", "ended"))
	front.say(`{"type":"close"}`)
	for who, p := range map[string]page{"a learner": ben, "who has not joined": lurker} {
		for {
			kind, text, err := p.conn.Read(p.ctx)
			if websocket.CloseStatus(err) == classOver {
				break // who has not joined by now is sent away
			}
			if err != nil {
				t.Fatal(err)
			}
			if kind != websocket.MessageText {
				continue
			}
			for _, hers := range []string{"Anaximandra", fmt.Sprint(anas["learner"]), fmt.Sprint(anas["token"]), "for her alone", "77.25", `"type":"board"`} {
				if strings.Contains(string(text), hers) {
					t.Errorf("%s is told %q: %.300s", who, hers, text)
				}
			}
			if who != "a learner" && strings.Contains(string(text), fmt.Sprint(bens["learner"])) {
				t.Errorf("%s is told of Ben: %.300s", who, text)
			}
			if strings.Contains(string(text), `"ended":true`) {
				break
			}
		}
	}
}

// Nobody hands in a result for somebody else: not in another's name, not one that nobody signed, nor one that was changed since.
func TestResultsAreOnesOwn(t *testing.T) {
	_, address := classServer(t)
	instructor, _, _, code := openHour(t, address)
	ana, anasArm, _ := learner(t, address, code, "Ana")
	anasArm.say(`{"type":"lesson","id":"first-straight-line","progress":"","seed":null}`)
	anasArm.until("lesson", is("id", "first-straight-line"))
	signed := func(name string) string {
		anasArm.say(fmt.Sprintf(`{"type":"result","learner":%q,"number":"","email":""}`, name))
		return anasArm.hear("result")["text"].(string)
	}
	say := func(text string) {
		quoted, _ := json.Marshal(text)
		ana.say(`{"type":"finished","text":` + string(quoted) + `}`)
	}
	hers := signed("Ana")
	for _, wrong := range []string{signed("Zacharias"), strings.Replace(hers, "Ana", "Zacharias", 1), strings.Replace(hers, `"Ana"`, `"Ana" `, 1)[:len(hers)/2], "{}"} {
		say(wrong)
		if m := ana.hear("class-problem"); m["fatal"] == true {
			t.Errorf("it ends the connection: %v", m)
		}
	}
	say(hers)
	ana.until("mine", func(m map[string]any) bool { return m["arrived"] != 0.0 })
	if _, text := instructor.do("GET", "/class/"+code+"/results", ""); strings.Contains(text, "Zacharias") || !strings.Contains(text, "Ana") {
		t.Errorf("there are %s", text)
	}
}

// Answers are of whoever has the token: a page with none of its own, or another's name for one, answers for itself.
func TestAnswersAreOnesOwn(t *testing.T) {
	_, address := classServer(t)
	instructor, front, _, code := openHour(t, address)
	ana, _, anas := learner(t, address, code, "Ana")
	front.hear("front")
	front.say(`{"type":"ask","kind":"choice","jog":"","measure":{"of":"","frame":"base","task":"","joint":0},"text":"?","options":["a","b"],"right":[0]}`)
	ana.until("question", is("state", "open"))
	forger := (&browser{t: t, address: address}).dial(fmt.Sprintf("/class?code=%s&token=%s", code, anas["learner"]))
	if m := forger.hear("class-welcome"); m["learner"] == anas["learner"] || m["token"] == anas["token"] {
		t.Fatalf("what others may know of her is her key: %v", m)
	}
	answer := `{"type":"reply","question":1,"round":1,"arrow":null,"stays":false,"joints":null,"stop":"","number":null,"options":[1]}`
	forger.say(answer)
	forger.hear("class-problem") // not before joining
	forger.say(`{"type":"join","name":"Ana","number":"","email":""}`)
	forger.until("mine", is("joined", true))
	forger.say(strings.Replace(answer, `"type":"reply"`, fmt.Sprintf(`"type":"reply","learner":%q`, anas["learner"]), 1))
	forger.hear("class-problem") // there is no such field
	forger.say(answer)
	forger.until("question", func(m map[string]any) bool { return m["mine"] != nil })
	ana.say(strings.Replace(answer, "[1]", "[0]", 1))
	ana.until("question", func(m map[string]any) bool { return m["mine"] != nil && m["given"] == 2.0 })
	var kept struct {
		Answers map[string]map[string]struct {
			Reply struct{ Options []int }
		}
	}
	_, text := instructor.do("GET", "/class/"+code+"/export", "")
	if err := json.Unmarshal([]byte(text), &kept); err != nil {
		t.Fatal(err)
	}
	if of := kept.Answers["1.1"][fmt.Sprint(anas["learner"])]; len(kept.Answers["1.1"]) != 2 || fmt.Sprint(of.Reply.Options) != "[0]" {
		t.Errorf("kept is %v", kept.Answers)
	}
}

// A foreign page gets nowhere with the cookie of an instructor who looks at it, nor as anybody else.
func TestAForeignPageIsInNoClass(t *testing.T) {
	_, address := classServer(t)
	instructor, _, _, code := openHour(t, address)
	for _, cookie := range []string{instructor.cookie.String(), ""} {
		header := http.Header{"Origin": {"https://elsewhere.example"}, "Cookie": {cookie}}
		for _, path := range []string{"/class?code=" + code, "/bench?class=" + code} {
			if _, answer, err := websocket.Dial(context.Background(), "ws://"+address+path, &websocket.DialOptions{HTTPHeader: header}); err == nil || answer == nil || answer.StatusCode != http.StatusForbidden {
				t.Errorf("%s is answered with %v, %v", path, answer, err)
			}
		}
	}
}

// Whoever floods a class with messages is sent away, and what is too much is not done.
func TestMessagesToAClassAreBounded(t *testing.T) {
	_, address := classServer(t)
	_, _, _, code := openHour(t, address)
	ana, _, _ := learner(t, address, code, "Ana")
	go ana.floods(`{"type":"hand","up":true}`)
	if status := ana.closed(); status != websocket.StatusPolicyViolation {
		t.Errorf("it ends with %d", status)
	}
}

// The instructor's page is in no frame, whichever sites may show the page otherwise, and has nothing of the private link in it.
func TestTheInstructorsPageKeepsToItself(t *testing.T) {
	s := New(Options{Offer: shipped(), Static: fstest.MapFS{}, Bundled: true, Instructor: testLink, Front: front(t, "", nil, []string{"https://lms.example"})})
	get := func(path, cookie string) *httptest.ResponseRecorder {
		r, w := httptest.NewRequest("GET", path, nil), httptest.NewRecorder()
		if cookie != "" {
			r.AddCookie(&http.Cookie{Name: instructorCookie, Value: cookie})
		}
		s.Handler(false).ServeHTTP(w, r)
		return w
	}
	link := get("/teach/"+testLink, "")
	if to := link.Header().Get("Location"); link.Code != http.StatusSeeOther || strings.Contains(to, testLink) || link.Header().Get("Cache-Control") != "no-store" || link.Header().Get("Referrer-Policy") != "no-referrer" {
		t.Errorf("the link leads on with %d, %v", link.Code, link.Header())
	}
	page := get("/", cookieOf(testLink))
	if policy := page.Header().Get("Content-Security-Policy"); !strings.HasSuffix(policy, "frame-ancestors 'none'") {
		t.Errorf("its policy is %s", policy)
	}
	if text := page.Body.String(); !strings.Contains(text, `id="class-desk"`) || strings.Contains(text, testLink) || strings.Contains(text, cookieOf(testLink)) {
		t.Error("it is no instructor's page, or shows what opens one")
	}
	if policy := get("/", "").Header().Get("Content-Security-Policy"); !strings.HasSuffix(policy, "frame-ancestors https://lms.example") {
		t.Errorf("a learner's has %s", policy)
	}
	if text := get("/", "wrong").Body.String(); strings.Contains(text, `id="class-desk"`) {
		t.Error("a wrong cookie makes an instructor")
	}
}
