package main

import (
	"flag"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"strings"
	"syscall"
	"time"

	natsserver "github.com/nats-io/nats-server/v2/server"
)

// node is one of NATS's, in a process of its own, so that it can be killed.
type node struct {
	name    string
	port    int
	args    []string
	command *exec.Cmd
}

func (n *node) url() string { return fmt.Sprintf("nats://127.0.0.1:%d", n.port) }

// start starts the node, or starts it again with what it has kept.
func (n *node) start() error {
	self, err := os.Executable()
	if err != nil {
		return err
	}
	n.command = exec.Command(self, n.args...)
	n.command.Stderr = os.Stderr
	return n.command.Start()
}

func (n *node) kill() {
	if n.command != nil && n.command.Process != nil {
		n.command.Process.Kill()
		n.command.Wait()
	}
}

// freeze has the node say nothing more, as one whose cable was pulled, until it thaws.
func (n *node) freeze()     { n.command.Process.Signal(syscall.SIGSTOP) }
func (n *node) thaw() error { return n.command.Process.Signal(syscall.SIGCONT) }

// nodes prepares a cluster of three that listen on this machine alone.
func nodes(dir string) ([]*node, error) {
	ports, err := freePorts(6)
	if err != nil {
		return nil, err
	}
	var routes []string
	for i := range 3 {
		routes = append(routes, fmt.Sprintf("nats://127.0.0.1:%d", ports[3+i]))
	}
	var all []*node
	for i := range 3 {
		name := fmt.Sprintf("n%d", i+1)
		all = append(all, &node{name: name, port: ports[i], args: []string{
			"node", "-name", name, "-port", fmt.Sprint(ports[i]), "-peers", fmt.Sprint(ports[3+i]), "-routes", strings.Join(routes, ","), "-dir", dir + "/" + name,
		}})
	}
	return all, nil
}

// runNode is the node's process. Every value is on the disk before it is acknowledged, as inside handrule.
func runNode(args []string) error {
	flags := flag.NewFlagSet("node", flag.ExitOnError)
	name := flags.String("name", "", "")
	port := flags.Int("port", 0, "")
	peers := flags.Int("peers", 0, "")
	routes := flags.String("routes", "", "")
	dir := flags.String("dir", "", "")
	flags.Parse(args)
	opts := &natsserver.Options{
		ServerName: *name, Host: "127.0.0.1", Port: *port, NoLog: true, NoSigs: true, JetStream: true, StoreDir: *dir, SyncAlways: true, MaxPayload: 8 << 20,
		Cluster: natsserver.ClusterOpts{Name: "handrule", Host: "127.0.0.1", Port: *peers},
	}
	for _, r := range strings.Split(*routes, ",") {
		u, err := url.Parse(r)
		if err != nil {
			return err
		}
		opts.Routes = append(opts.Routes, u)
	}
	s, err := natsserver.NewServer(opts)
	if err != nil {
		return err
	}
	s.Start()
	if !s.ReadyForConnections(time.Minute) {
		return fmt.Errorf("node %s does not start", *name)
	}
	s.WaitForShutdown()
	return nil
}
