package traces

import (
	"bytes"
	"encoding/json"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"handrule/internal/draws"
	"handrule/internal/reference"
)

const files = 50

// seed is the same in every run of the test command, and another one with HANDRULE_DRAWS=new.
var seed = func() uint64 {
	if os.Getenv("HANDRULE_DRAWS") == "new" {
		return rand.Uint64()
	}
	return 20
}()

func here(t *testing.T, files int) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := Write(&out, files, seed); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// target is another processor: what to tell the compiler, and what runs its programs here.
type target struct {
	system, processor string
	flags             []string
	runner            []string
}

func (to target) traces(t *testing.T, files int) []byte {
	t.Helper()
	program := filepath.Join(t.TempDir(), "print")
	build := exec.Command("go", append(append([]string{"build"}, to.flags...), "-o", program, "./print")...)
	// A compiler that is told not to fuse logs where it does not.
	build.Env = append(os.Environ(), "GOOS="+to.system, "GOARCH="+to.processor, "CGO_ENABLED=0", "GSHS_LOGFILE="+os.DevNull)
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	var errs bytes.Buffer
	command := exec.Command(to.runner[0], append(to.runner[1:], program, strconv.Itoa(files), strconv.FormatUint(seed, 10))...)
	command.Stderr = &errs
	out, err := command.Output()
	if err != nil {
		t.Fatalf("%v\n%s", err, &errs)
	}
	return out
}

// The drawn files are not tame: all arms move, and there is contact, refusal and a set distance among them.
func TestTheFilesTryEverything(t *testing.T) {
	all, err := Read(bytes.NewReader(here(t, files)))
	if err != nil {
		t.Fatal(err)
	}
	count := map[string]int{}
	for _, tick := range all {
		reason, _, _ := strings.Cut(tick.Event, ":")
		count[reason]++
	}
	for _, reason := range []string{"done", "released", "joint limit", "contact", "set distance", "singularity", "out of reach"} {
		if count[reason] == 0 && seed == 20 {
			t.Errorf("no jog ends by: %s", reason)
		}
	}
	t.Logf("%d ticks, seed %d", count[""], seed)
}

// A browser's arm moves as a server's does, bit for bit: Go's WebAssembly, compiled as for a site and run by Node, against this
// processor.
func TestABrowserMovesAsTheServerDoes(t *testing.T) {
	if _, err := exec.LookPath("node"); err != nil {
		reference.Skip(t, "node is not installed: the motion in WebAssembly is not compared")
	}
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	text, err := exec.Command("node", "../../web/alone.mjs", "flags").Output()
	if err != nil {
		t.Fatal(err)
	}
	wasm := target{system: "js", processor: "wasm"}
	if err := json.Unmarshal(text, &wasm.flags); err != nil {
		t.Fatal(err)
	}
	wasm.runner = []string{"node", "--stack-size=8192", filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "wasm_exec_node.js")}
	same(t, wasm.traces(t, files), here(t, files))
}

// A server on arm64 moves alike, bit for bit, where it is compiled as the Makefile does: without fusing multiplying and adding. Fused, the same
// files end up to 0.04 mm apart next to a singularity.
func TestAnArm64ServerMovesAlike(t *testing.T) {
	const emulator = "qemu-aarch64-static"
	if _, err := exec.LookPath(emulator); err != nil {
		reference.Skip(t, "qemu-user-static is not installed: the motion on arm64 is not compared")
	}
	makefile, err := os.ReadFile("../../Makefile")
	if err != nil {
		t.Fatal(err)
	}
	unfused := regexp.MustCompile(`(?m)^UNFUSED *:= *(\S+)$`).FindStringSubmatch(string(makefile))
	if unfused == nil {
		t.Fatal("the Makefile does not say how nothing is fused")
	}
	few := 6
	if draws.Thorough() {
		few = files
	}
	arm := target{system: "linux", processor: "arm64", flags: []string{unfused[1]}, runner: []string{emulator}}
	same(t, arm.traces(t, few), here(t, few))
}

// same reports where two traces part.
func same(t *testing.T, got, want []byte) {
	t.Helper()
	if bytes.Equal(got, want) {
		t.Logf("%d bytes, seed %d", len(want), seed)
		return
	}
	a, err := Read(bytes.NewReader(got))
	if err != nil {
		t.Fatal(err)
	}
	b, err := Read(bytes.NewReader(want))
	if err != nil {
		t.Fatal(err)
	}
	line := ""
	for i := range b {
		if strings.HasPrefix(b[i].Event, "start ") {
			line = b[i].Event
		}
		if i >= len(a) || a[i] != b[i] {
			t.Fatalf("seed %d, %s, tick %d: %+v, want %+v", seed, line, i, a[min(i, len(a)-1)], b[i])
		}
	}
	t.Fatalf("seed %d: %d ticks, want %d", seed, len(a), len(b))
}
