package server

import (
	"crypto/tls"
	"net"
	"os"
	"sync"
	"time"
)

// Secured returns the listener with TLS by a certificate and its key, both files in PEM. They are read again when they have changed, so
// that a renewed certificate needs no new start; while they cannot be read, the last good ones stay.
func Secured(listener net.Listener, certificate, key string) (net.Listener, error) {
	k := &keeper{certificate: certificate, key: key}
	if err := k.read(); err != nil {
		return nil, err
	}
	return tls.NewListener(listener, &tls.Config{
		MinVersion:     tls.VersionTLS12,
		NextProtos:     []string{"http/1.1"}, // which a page's connection with its bench needs
		GetCertificate: func(*tls.ClientHelloInfo) (*tls.Certificate, error) { return k.get(time.Now()), nil },
	}), nil
}

// lookAgain is how often the files are looked at, at most.
const lookAgain = 10 * time.Second

// keeper keeps a certificate.
type keeper struct {
	certificate, key string

	mu     sync.Mutex
	pair   *tls.Certificate
	of     time.Time // when the newer of the files was written
	looked time.Time
}

func (k *keeper) get(now time.Time) *tls.Certificate {
	k.mu.Lock()
	defer k.mu.Unlock()
	if now.Sub(k.looked) >= lookAgain {
		k.looked = now
		if k.written().After(k.of) {
			_ = k.read() // or the last good one stays
		}
	}
	return k.pair
}

func (k *keeper) read() error {
	of := k.written()
	pair, err := tls.LoadX509KeyPair(k.certificate, k.key)
	if err != nil {
		return err
	}
	k.pair, k.of = &pair, of
	return nil
}

func (k *keeper) written() (last time.Time) {
	for _, name := range []string{k.certificate, k.key} {
		if info, err := os.Stat(name); err == nil && info.ModTime().After(last) {
			last = info.ModTime()
		}
	}
	return last
}
