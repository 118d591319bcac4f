package main

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"
)

// server is the program under load, in a process of its own.
type server struct {
	command *exec.Cmd
	address string
	dir     string
}

func start(program string, benches int) (*server, error) {
	dir, err := os.MkdirTemp("", "handrule-load")
	if err != nil {
		return nil, err
	}
	s := &server{dir: dir}
	s.command = exec.Command(program, "serve", "--listen", "127.0.0.1:0", "--benches", strconv.Itoa(benches), "--key", filepath.Join(dir, "key.pem"), "--new-key")
	out, err := s.command.StdoutPipe()
	if err != nil {
		return nil, err
	}
	if err := s.command.Start(); err != nil {
		return nil, err
	}
	line, err := bufio.NewReader(out).ReadString('\n')
	_, rest, found := strings.Cut(line, "http://")
	if err != nil || !found {
		s.stop()
		return nil, fmt.Errorf("the server says %q", line)
	}
	s.address, _, _ = strings.Cut(rest, " ")
	return s, nil
}

func (s *server) stop() {
	s.command.Process.Signal(syscall.SIGTERM)
	s.command.Wait()
	os.RemoveAll(s.dir)
}

// processorTime is what the process has used so far: fields 14 and 15 of /proc/PID/stat, in hundredths of a second (proc(5)).
func (s *server) processorTime() time.Duration {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", s.command.Process.Pid))
	if err != nil {
		return 0
	}
	_, rest, _ := strings.Cut(string(text), ") ")
	fields := strings.Fields(rest)
	user, _ := strconv.Atoi(fields[11])
	system, _ := strconv.Atoi(fields[12])
	return time.Duration(user+system) * 10 * time.Millisecond
}

// resident is the memory that the process has, kB.
func (s *server) resident() int {
	text, _ := os.ReadFile(fmt.Sprintf("/proc/%d/status", s.command.Process.Pid))
	for line := range strings.Lines(string(text)) {
		if value, is := strings.CutPrefix(line, "VmRSS:"); is {
			kB, _ := strconv.Atoi(strings.TrimSuffix(strings.TrimSpace(value), " kB"))
			return kB
		}
	}
	return 0
}
