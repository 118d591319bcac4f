package lasting

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"github.com/gofrs/flock"
	natsserver "github.com/nats-io/nats-server/v2/server"
)

// engine is NATS inside this process. It opens no port. Every value is on the disk before it is acknowledged.
type engine struct {
	*natsserver.Server
	folder string
	lock   *flock.Flock
	log    *slog.Logger
	stream natsserver.JetStreamConfig

	ended  chan struct{}
	once   sync.Once
	mender sync.WaitGroup

	mu     sync.Mutex
	failed context.Context // ends when something could not be written; another begins when that is mended
	fail   context.CancelFunc
}

const (
	lockFile  = "in-use.lock"
	inUseFile = "in-use-by.txt"
)

// InUse says that another process has the folder.
type InUse struct{ Folder, By string }

func (e *InUse) Error() string {
	return fmt.Sprintf("%s is in use by another handrule: %s; one process at a time may have it. End that one, or give another folder", e.Folder, e.By)
}

func openEngine(folder string, log *slog.Logger) (*engine, error) {
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return nil, fmt.Errorf("no folder to keep data in: %w", err)
	}
	e := &engine{folder: folder, log: log, lock: flock.New(filepath.Join(folder, lockFile)), ended: make(chan struct{})}
	e.failed, e.fail = context.WithCancel(context.Background())
	switch got, err := e.lock.TryLock(); {
	case err != nil:
		return nil, fmt.Errorf("cannot write in %s: %w", folder, err)
	case !got:
		by, err := os.ReadFile(filepath.Join(folder, inUseFile))
		if err != nil {
			by = []byte("it does not say which")
		}
		return nil, &InUse{folder, strings.TrimSpace(string(by))}
	}
	host, _ := os.Hostname()
	by := fmt.Sprintf("process %d on %s, since %s\n", os.Getpid(), host, time.Now().Format(time.RFC3339))
	if err := os.WriteFile(filepath.Join(folder, inUseFile), []byte(by), 0o600); err != nil {
		e.lock.Unlock()
		return nil, fmt.Errorf("cannot write in %s: %w", folder, err)
	}
	if err := e.start(); err != nil {
		e.close()
		return nil, fmt.Errorf("cannot keep data in %s: %w", folder, err)
	}
	return e, nil
}

func (e *engine) start() (err error) {
	const disk = 1 << 60 // no bound but the disk's
	opts := &natsserver.Options{
		ServerName: "handrule", DontListen: true, NoSigs: true, NoLog: true, JetStream: true, StoreDir: e.folder, SyncAlways: true, JetStreamMaxStore: disk,
		JetStreamMaxMemory: 64 << 20, MaxPayload: 8 << 20, DisableJetStreamBanner: true,
	}
	e.stream = natsserver.JetStreamConfig{StoreDir: e.folder, SyncAlways: true, MaxStore: disk, MaxMemory: opts.JetStreamMaxMemory, Strict: true, CompressOK: true}
	if e.Server, err = natsserver.NewServer(opts); err != nil {
		return err
	}
	e.SetLoggerV2(logger{e.log, e.fails}, false, false, false)
	go e.Start()
	if !e.ReadyForConnections(startPatience) || !e.JetStreamEnabled() {
		return errors.New("the engine does not start; its log says why")
	}
	e.mender.Go(e.mendWhenNeeded)
	return nil
}

func (e *engine) close() {
	e.once.Do(func() {
		close(e.ended)
		e.mender.Wait()
		if e.Server != nil {
			e.Shutdown()
			e.WaitForShutdown()
		}
		os.Remove(filepath.Join(e.folder, inUseFile))
		e.lock.Unlock()
	})
}

// failing is a context that ends when something cannot be written.
func (e *engine) failing() context.Context {
	e.mu.Lock()
	defer e.mu.Unlock()
	return e.failed
}

// fails takes note that something could not be written. The engine takes nothing more after that, and does not even answer, until its
// store is opened anew.
func (e *engine) fails() {
	e.mu.Lock()
	defer e.mu.Unlock()
	e.fail()
}

const mendEvery = 2 * time.Second

func (e *engine) mendWhenNeeded() {
	for {
		select {
		case <-e.ended:
			return
		case <-e.failing().Done():
		}
		e.log.Error("nothing can be kept: "+fullWords, "folder", e.folder)
		for err := e.tryRoom(); ; err = e.tryRoom() {
			if err == nil && e.reopen() == nil {
				e.mu.Lock()
				e.failed, e.fail = context.WithCancel(context.Background())
				e.mu.Unlock()
				e.log.Info("what must last is kept again", "folder", e.folder)
				break
			}
			select {
			case <-e.ended:
				return
			case <-time.After(mendEvery):
			}
		}
	}
}

func (e *engine) reopen() error {
	if err := e.ShutdownJetStream(); err != nil {
		return err
	}
	again := e.stream
	return e.EnableJetStream(&again)
}

// enoughRoom is how much must fit on the disk before it counts as having room again.
const enoughRoom = 1 << 20

func (e *engine) tryRoom() error {
	path := filepath.Join(e.folder, "room.tmp")
	defer os.Remove(path)
	f, err := os.OpenFile(path, os.O_CREATE|os.O_WRONLY|os.O_TRUNC, 0o600)
	if err != nil {
		return err
	}
	_, err = f.Write(make([]byte, enoughRoom))
	return errors.Join(err, f.Sync(), f.Close())
}

// InProcessConn connects with the engine.
func (e *engine) InProcessConn() (net.Conn, error) {
	select {
	case <-e.ended:
		return nil, fs.ErrClosed
	default:
	}
	return e.Server.InProcessConn()
}

// logger hands the engine's log on. What it notes as an ordinary event is of no interest to who runs handrule.
type logger struct {
	*slog.Logger
	fails func()
}

func (l logger) Noticef(format string, v ...any) { l.Debug("engine: " + fmt.Sprintf(format, v...)) }
func (l logger) Debugf(string, ...any)           {}
func (l logger) Tracef(string, ...any)           {}
func (l logger) Warnf(format string, v ...any)   { l.Warn("engine: " + fmt.Sprintf(format, v...)) }
func (l logger) Errorf(format string, v ...any) {
	text := fmt.Sprintf(format, v...)
	l.Error("engine: " + text)
	if strings.Contains(text, "write error") || strings.Contains(text, noRoom) {
		l.fails() // which the engine tells nobody else
	}
}
func (l logger) Fatalf(format string, v ...any) { l.Error("engine: " + fmt.Sprintf(format, v...)) }
