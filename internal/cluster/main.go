// Command cluster starts three NATS nodes, two handrule processes that share them, and nginx before these, on this machine alone. It
// lets learners hold jogs through nginx, kills processes in the middle of that, and prints what the learners see of it.
//
//	cluster -server bin/handrule -learners 100 -times 100
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"net"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"time"

	"github.com/nats-io/nats.go/jetstream"

	"handrule/internal/drive"
	"handrule/server"
	"handrule/server/store"
	"handrule/server/store/lasting"
)

type options struct {
	server   string
	learners int
	times    int
	leaders  int
	silences int
	keep     bool
	logs     bool
}

func main() {
	if len(os.Args) > 1 && os.Args[1] == "node" {
		if err := runNode(os.Args[2:]); err != nil {
			fmt.Fprintln(os.Stderr, "cluster:", err)
			os.Exit(1)
		}
		return
	}
	var o options
	flag.StringVar(&o.server, "server", "bin/handrule", "the program to start")
	flag.IntVar(&o.learners, "learners", 100, "who hold jogs")
	flag.IntVar(&o.times, "times", 100, "how often a handrule process is killed")
	flag.IntVar(&o.leaders, "leaders", 5, "how often each of the nodes that lead is killed")
	flag.IntVar(&o.silences, "silences", 5, "how often a node that leads falls silent without ending")
	flag.BoolVar(&o.keep, "keep", false, "start all, print the address, and wait for Ctrl+C")
	flag.BoolVar(&o.logs, "logs", false, "leave logs and data there")
	flag.Parse()
	ctx, stop := signal.NotifyContext(context.Background(), syscall.SIGINT, syscall.SIGTERM)
	defer stop()
	if err := run(ctx, o); err != nil {
		fmt.Fprintln(os.Stderr, "cluster:", err)
		os.Exit(1)
	}
}

// cluster is all that was started.
type cluster struct {
	dir      string
	logs     bool
	nodes    []*node
	servers  []*process
	balancer *exec.Cmd
	address  string // of the balancer
	store    *lasting.Store
	asks     jetstream.JetStream // about streams
	benches  store.Bucket
	facts    store.Bucket
	code     string // of the class
	members  []*member
	learners []*learner // the same, in their order
	mu       sync.Mutex
	keptAt   map[string]time.Time // by bench
}

func (c *cluster) keyFile() string { return filepath.Join(c.dir, "key.pem") }

// process is one of handrule's, which can be killed and started again.
type process struct {
	*drive.Server
	program string
	args    []string
	log     *os.File
}

func (p *process) start() (err error) {
	p.Server, err = drive.Start(p.program, p.log, p.args...)
	return err
}

func run(ctx context.Context, o options) error {
	dir, err := os.MkdirTemp("", "handrule-cluster")
	if err != nil {
		return err
	}
	os.Setenv("XDG_CONFIG_HOME", dir) // which the processes inherit
	c := &cluster{dir: dir, logs: o.logs}
	defer c.end()
	if err := c.start(o); err != nil {
		return err
	}
	fmt.Printf("three nodes, two processes and nginx run; the page is at http://%s/\n", c.address)
	if o.keep {
		<-ctx.Done()
		return nil
	}
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	if err := c.countWrites(); err != nil {
		return err
	}
	if err := c.beginHour(ctx, o.learners); err != nil {
		return err
	}
	if err := c.killProcesses(ctx, o.times); err != nil {
		return err
	}
	return c.killNodes(ctx, o.leaders, o.silences)
}

func (c *cluster) start(o options) (err error) {
	if c.nodes, err = nodes(c.dir); err != nil {
		return err
	}
	var urls []string
	for _, n := range c.nodes {
		if err := n.start(); err != nil {
			return err
		}
		urls = append(urls, n.url())
	}
	if c.store, err = lasting.Open(context.Background(), lasting.Options{URL: strings.Join(urls, ",")}); err != nil {
		return err
	}
	ports, err := freePorts(3)
	if err != nil {
		return err
	}
	c.address = fmt.Sprintf("127.0.0.1:%d", ports[2])
	for i, port := range ports[:2] {
		log, err := os.Create(filepath.Join(c.dir, fmt.Sprintf("handrule-%d.log", i+1)))
		if err != nil {
			return err
		}
		p := &process{program: o.server, log: log, args: []string{
			"serve", "--listen", fmt.Sprintf("127.0.0.1:%d", port), "--key", c.keyFile(), "--nats", strings.Join(urls, ","), "--proxy", "127.0.0.1",
		}}
		if i == 0 {
			p.args = append(p.args, "--new-key")
		}
		if err := p.start(); err != nil {
			return fmt.Errorf("%w; its log is %s", err, log.Name())
		}
		c.servers = append(c.servers, p)
	}
	if c.benches, err = c.store.Bucket(server.BenchBucket); err != nil {
		return err
	}
	return c.startBalancer(ports)
}

const balancerConfig = `
daemon off;
pid %[1]s/nginx.pid;
error_log %[1]s/nginx.log;
events { worker_connections 8192; }
http {
	access_log off;
	client_body_temp_path %[1]s/body;
	proxy_temp_path %[1]s/proxy;
	fastcgi_temp_path %[1]s/fastcgi;
	uwsgi_temp_path %[1]s/uwsgi;
	scgi_temp_path %[1]s/scgi;
	upstream handrule {
		server 127.0.0.1:%[2]d max_fails=0;
		server 127.0.0.1:%[3]d max_fails=0;
	}
	server {
		listen %[4]s;
		location / {
			proxy_pass http://handrule;
			proxy_http_version 1.1;
			proxy_set_header Host $http_host;
			proxy_set_header Upgrade $http_upgrade;
			proxy_set_header Connection "upgrade";
			proxy_set_header X-Forwarded-For $proxy_add_x_forwarded_for;
			proxy_read_timeout 1h;
			proxy_buffering off;
		}
	}
}
`

// startBalancer starts nginx, which asks the other process where one does not answer. It must not leave a process out for a while after
// that (max_fails=0): all pages that lose one come at once.
func (c *cluster) startBalancer(ports []int) error {
	program, err := exec.LookPath("nginx")
	if err != nil {
		program = "/usr/sbin/nginx" // which is not in everybody's path
	}
	config := filepath.Join(c.dir, "nginx.conf")
	if err := os.WriteFile(config, fmt.Appendf(nil, balancerConfig, c.dir, ports[0], ports[1], c.address), 0o600); err != nil {
		return err
	}
	c.balancer = exec.Command(program, "-p", c.dir, "-c", config, "-e", "stderr")
	c.balancer.Stderr = os.Stderr
	if err := c.balancer.Start(); err != nil {
		return fmt.Errorf("nginx is needed to balance, as the package nginx-light has it: %w", err)
	}
	return until(context.Background(), "nginx answers", func() bool {
		conn, err := net.Dial("tcp", c.address)
		if err == nil {
			conn.Close()
		}
		return err == nil
	})
}

func (c *cluster) end() {
	if c.balancer != nil && c.balancer.Process != nil {
		c.balancer.Process.Signal(syscall.SIGTERM)
		c.balancer.Wait()
	}
	for _, p := range c.servers {
		p.Process.Kill()
		p.Wait()
	}
	if c.store != nil {
		c.store.Close()
	}
	for _, n := range c.nodes {
		n.kill()
	}
	if c.logs {
		fmt.Println("logs and data are in", c.dir)
	} else {
		os.RemoveAll(c.dir)
	}
}

// each does the same with all learners at once.
func (c *cluster) each(f func(l *learner) error) error { return each(c.learners, f) }

func each(learners []*learner, f func(l *learner) error) error {
	errs := make([]error, len(learners))
	var all sync.WaitGroup
	for i, l := range learners {
		all.Go(func() { errs[i] = f(l) })
	}
	all.Wait()
	return errors.Join(errs...)
}

// freePorts are ports of this machine that nobody has.
func freePorts(n int) (ports []int, err error) {
	for range n {
		l, err := net.Listen("tcp", "127.0.0.1:0")
		if err != nil {
			return nil, err
		}
		defer l.Close()
		ports = append(ports, l.Addr().(*net.TCPAddr).Port)
	}
	return ports, nil
}
