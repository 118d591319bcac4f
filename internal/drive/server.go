// Package drive is what programs share that drive a real server as pages do, and measure what that costs: the server's process, and a
// page's end of its connection.
package drive

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"syscall"
	"time"
)

// Server is a program that serves, in a process of its own.
type Server struct {
	*exec.Cmd
	Address string
}

// Start starts a program with these arguments, and waits until it says where it serves. What it complains of goes to the log.
func Start(program string, log io.Writer, args ...string) (*Server, error) {
	s := &Server{Cmd: exec.Command(program, args...)}
	s.Stderr = log
	out, err := s.StdoutPipe()
	if err != nil {
		return nil, err
	}
	if err := s.Cmd.Start(); err != nil {
		return nil, err
	}
	said := bufio.NewReader(out)
	line, err := said.ReadString('\n')
	found := address.FindStringSubmatch(line)
	if err != nil || found == nil {
		s.Stop()
		return nil, fmt.Errorf("the server says %q", line)
	}
	s.Address = found[1]
	go io.Copy(io.Discard, said)
	return s, nil
}

// address is where a server says that it listens.
var address = regexp.MustCompile(`([0-9]+(?:\.[0-9]+){3}:[0-9]+)`)

// Stop ends the process in an orderly way.
func (s *Server) Stop() {
	s.Process.Signal(syscall.SIGTERM)
	s.Wait()
}

// ProcessorTime is what the process has used so far: fields 14 and 15 of /proc/PID/stat, in hundredths of a second (proc(5)).
func (s *Server) ProcessorTime() time.Duration {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", s.Process.Pid))
	if err != nil {
		return 0
	}
	_, rest, _ := strings.Cut(string(text), ") ")
	fields := strings.Fields(rest)
	user, _ := strconv.Atoi(fields[11])
	system, _ := strconv.Atoi(fields[12])
	return time.Duration(user+system) * 10 * time.Millisecond
}

// Resident is the memory that the process has, kB.
func (s *Server) Resident() int {
	text, _ := os.ReadFile(fmt.Sprintf("/proc/%d/status", s.Process.Pid))
	for line := range strings.Lines(string(text)) {
		if value, is := strings.CutPrefix(line, "VmRSS:"); is {
			kB, _ := strconv.Atoi(strings.TrimSuffix(strings.TrimSpace(value), " kB"))
			return kB
		}
	}
	return 0
}
