package results

import (
	"bytes"
	"crypto/ed25519"
	"crypto/rand"
	"crypto/x509"
	"encoding/pem"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"handrule/internal/files"
)

// A key file is PEM: PKCS #8 for the key that signs, PKIX for the key that verifies. A server keeps the first for
// itself; either verifies.
const (
	signingBlock   = "PRIVATE KEY"
	verifyingBlock = "PUBLIC KEY"
	largestKeyFile = 4096
)

// OpenSigningKey returns the key in that file, which must be there.
func OpenSigningKey(path string) (ed25519.PrivateKey, error) { return readKey(path) }

// OpenKey returns the key in that file, with which a server signs. Where there is no such file it makes one that only
// its owner can read. Servers that start at the same time get the same one.
func OpenKey(path string) (ed25519.PrivateKey, error) {
	key, err := readKey(path)
	if !errors.Is(err, fs.ErrNotExist) {
		return key, err
	}
	if err := makeKey(path); err != nil && !errors.Is(err, fs.ErrExist) {
		return nil, fmt.Errorf("%s: a new key cannot be kept there: %w", path, err)
	}
	return readKey(path) // It is the one of another server where that was quicker.
}

func readKey(path string) (ed25519.PrivateKey, error) {
	block, err := readPEM(path)
	if err != nil {
		return nil, err
	}
	key, err := x509.ParsePKCS8PrivateKey(block.Bytes)
	if private, ok := key.(ed25519.PrivateKey); ok && err == nil && block.Type == signingBlock {
		return private, nil
	}
	return nil, fmt.Errorf("%s: is not a key to sign with (Ed25519, PKCS #8 in PEM)", path)
}

func makeKey(path string) error {
	_, private, err := ed25519.GenerateKey(rand.Reader)
	if err != nil {
		return err
	}
	der, err := x509.MarshalPKCS8PrivateKey(private)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	return files.WriteNew(path, pem.EncodeToMemory(&pem.Block{Type: signingBlock, Bytes: der}))
}

// OpenVerifyingKey returns the key in that file with which results are verified: a server's own, or the half of it that
// others may have (SubjectPublicKeyInfo, RFC 8410, in PEM).
func OpenVerifyingKey(path string) (ed25519.PublicKey, error) {
	block, err := readPEM(path)
	if err != nil {
		return nil, err
	}
	var key any
	if block.Type == signingBlock {
		key, err = x509.ParsePKCS8PrivateKey(block.Bytes)
	} else if block.Type == verifyingBlock {
		key, err = x509.ParsePKIXPublicKey(block.Bytes)
	}
	if err == nil {
		switch key := key.(type) {
		case ed25519.PrivateKey:
			return key.Public().(ed25519.PublicKey), nil
		case ed25519.PublicKey:
			return key, nil
		}
	}
	return nil, fmt.Errorf("%s: is not a key to verify with (Ed25519 in PEM)", path)
}

// OpenVerifyingKeys returns the keys at a path: the one in a file, or those of all the files of a folder that end with .pem.
func OpenVerifyingKeys(path string) (keys []ed25519.PublicKey, err error) {
	if !files.IsFolder(path) {
		key, err := OpenVerifyingKey(path)
		return []ed25519.PublicKey{key}, err
	}
	inIt, err := filepath.Glob(filepath.Join(path, "*.pem"))
	if err == nil && len(inIt) == 0 {
		err = fmt.Errorf("%s: no file in this folder ends with .pem", path)
	}
	for _, file := range inIt {
		key, err := OpenVerifyingKey(file)
		if err != nil {
			return nil, err
		}
		keys = append(keys, key)
	}
	return keys, err
}

// PublicHalf is a key file with the half of a key that others may have: it verifies and does not sign.
func PublicHalf(key ed25519.PublicKey) ([]byte, error) {
	der, err := x509.MarshalPKIXPublicKey(key)
	if err != nil {
		return nil, err
	}
	return pem.EncodeToMemory(&pem.Block{Type: verifyingBlock, Bytes: der}), nil
}

func readPEM(path string) (*pem.Block, error) {
	text, err := readFile(path, largestKeyFile)
	if err != nil {
		return nil, err
	}
	block, _ := pem.Decode(text)
	switch {
	case block != nil:
		return block, nil
	case len(bytes.TrimSpace(text)) == 0:
		return nil, fmt.Errorf("%s: is empty, as a full disk may have left it; put a copy of the key in its place, or delete it and a new key is made", path)
	case bytes.HasPrefix(bytes.TrimSpace(text), []byte("-----BEGIN")):
		return nil, fmt.Errorf("%s: the key in it is cut short or changed; put a copy in its place, or move it away and a new key is made: "+
			"what was signed with the old one cannot be verified with the new one", path)
	}
	return nil, fmt.Errorf("%s: is not a key file (PEM)", path)
}
