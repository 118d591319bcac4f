package main

import (
	"crypto/rand"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"os"
	"path/filepath"
	"strings"

	"handrule/internal/files"
)

// linkFile is where the secret of the instructor's private link is kept.
func linkFile() (string, error) {
	dir, err := os.UserConfigDir()
	return filepath.Join(dir, "handrule", "instructor-link"), err
}

// longestLink is more than any secret of a link.
const longestLink = 200

// instructorLink returns the secret of the private link: the one that is kept, or a new one.
func instructorLink(anew bool) (string, error) {
	path, err := linkFile()
	if err != nil {
		return "", fmt.Errorf("there is no folder for settings, to keep the instructor's link in: %w", err)
	}
	secret := strings.ToLower(rand.Text())
	switch {
	case anew:
		err = os.MkdirAll(filepath.Dir(path), 0o700)
		if err == nil {
			err = files.Replace(path, []byte(secret+"\n"))
		}
	default:
		if text, err := files.Read(path, longestLink); err == nil {
			if kept := strings.TrimSpace(string(text)); len(kept) >= len(secret) {
				return kept, nil
			}
			return "", fmt.Errorf("%s holds no secret of a link; serve --instructor-link new makes one", path)
		} else if !errors.Is(err, fs.ErrNotExist) {
			return "", err
		}
		err = os.MkdirAll(filepath.Dir(path), 0o700)
		if err == nil {
			err = files.WriteNew(path, []byte(secret+"\n"))
		}
		if errors.Is(err, fs.ErrExist) {
			return instructorLink(false) // Another server was quicker.
		}
	}
	if err != nil {
		return "", fmt.Errorf("the instructor's link cannot be kept in %s: %w", path, err)
	}
	return secret, nil
}

// learnersAddress is where learners in the same network reach a server that listens for all: by the first address that this machine has
// there. It is "" where the server listens for this machine alone, or by one address.
func learnersAddress(listener net.Listener, scheme string) string {
	at, is := listener.Addr().(*net.TCPAddr)
	if !is || !at.IP.IsUnspecified() {
		return ""
	}
	all, err := net.InterfaceAddrs()
	if err != nil {
		return ""
	}
	for _, one := range all {
		if network, is := one.(*net.IPNet); is && network.IP.IsGlobalUnicast() && network.IP.To4() != nil {
			return fmt.Sprintf("%s://%s/", scheme, net.JoinHostPort(network.IP.String(), fmt.Sprint(at.Port)))
		}
	}
	return ""
}
