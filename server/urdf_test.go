package server

import (
	"encoding/json"
	"strings"
	"testing"

	"handrule/scenarios"
	"handrule/scenarios/urdf"
	"handrule/server/bench"
)

// A page hands in a URDF file and hears what was understood: the arm file, drawn with the meshes that the page has, or what is wrong and where.
func TestAPageHandsInURDF(t *testing.T) {
	arm, err := scenarios.OpenArm("curlew")
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Replace(string(urdf.Text(arm)), `<link name="link_2">`, `<link name="link_2"><visual><geometry><mesh filename="package://curlew/meshes/two.stl"/></geometry></visual>`, 1)
	_, address := startServer(t, 1)
	p := visit(t, address, "")
	p.hear("welcome")
	say := func(r bench.OwnArmRequest) map[string]any {
		r.Kind, r.Convention = bench.OwnArmURDF, "classic"
		message, err := json.Marshal(r)
		if err != nil {
			t.Fatal(err)
		}
		p.say(strings.Replace(string(message), "{", `{"type":"own-arm",`, 1))
		return p.hear("own-arm")
	}
	m := say(bench.OwnArmRequest{Text: text, Files: []string{"meshes/two.stl", "meshes/other.stl"}, AtDeg: [6]float64{10}})
	if len(m["problems"].([]any)) > 0 || len(m["joints"].([]any)) != 6 || !strings.Contains(m["file"].(string), `{link: 2, file: "meshes/two.stl"`) || !strings.HasPrefix(m["file"].(string), "name: Curlew\n") {
		t.Errorf("%v", m)
	}
	if m = say(bench.OwnArmRequest{Text: text, Files: []string{}, Name: "Mine"}); strings.Contains(m["file"].(string), "meshes") || !strings.HasPrefix(m["file"].(string), "name: Mine\n") {
		t.Errorf("%v", m["file"])
	}
	m = say(bench.OwnArmRequest{Text: strings.Replace(text, `type="revolute"`, `type="prismatic"`, 1), Files: []string{}})
	if problems := m["problems"].([]any); len(problems) == 0 || m["file"] != "" || !strings.Contains(problems[0].(map[string]any)["message"].(string), "prismatic") {
		t.Errorf("%v", m)
	}
	for _, hostile := range []string{"", "<", "<!DOCTYPE a [<!ENTITY b \"c\">]><robot name=\"&b;\"/>", strings.Repeat("<a>", 20_000)} {
		if m = say(bench.OwnArmRequest{Text: hostile, Files: []string{}}); len(m["problems"].([]any)) == 0 || m["file"] != "" {
			t.Errorf("%.20q: %v", hostile, m)
		}
	}
}
