package results

import (
	"bytes"
	"compress/gzip"
	"crypto/aes"
	"crypto/cipher"
	"crypto/ed25519"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"handrule/scenarios/lesson"
	"io"
)

// Kept is how far a learner has come, as it is kept on the learner's own machine. It is packed: what is unsealed holds
// hashes in the place of names until a lesson.Run resumes it.
type Kept struct {
	Stage    int             `json:"stage"` // the one the learner is in
	Progress lesson.Progress `json:"progress"`
}

// These keep the key and its texts from being used for anything else.
const (
	keyForm  = "handrule progress 1" // of the key, which stays the same in every form
	keptForm = "handrule progress 2"
	oldKept  = "handrule progress 1" // compressed JSON, by place and without identities; it is still read
)

// largestKept is the most bytes of progress in the old form that are taken back.
const largestKept = 4 << 20

// errNotKept says that progress was not written by this key's server.
var errNotKept = errors.New("this progress is not as the server wrote it, or another server wrote it")

// Seal writes progress, in at most 4,096 characters, so that only the server with this key can read or change it. It holds how far answers were
// off, from which the right ones could be worked out.
func Seal(k Kept, key ed25519.PrivateKey) (string, error) {
	sealer, err := sealer(key)
	if err != nil {
		return "", err
	}
	packed, err := k.Progress.MarshalBinary()
	if err != nil {
		return "", err
	}
	packed = append([]byte{byte(k.Stage)}, packed...)
	nonce := make([]byte, sealer.NonceSize())
	rand.Read(nonce) // never fails
	return base64.RawURLEncoding.EncodeToString(sealer.Seal(nonce, nonce, packed, []byte(keptForm))), nil
}

// Unseal reads what Seal wrote.
func Unseal(text string, key ed25519.PrivateKey) (k Kept, err error) {
	sealer, err := sealer(key)
	if err != nil {
		return k, err
	}
	sealed, err := base64.RawURLEncoding.DecodeString(text)
	if err != nil || len(sealed) < sealer.NonceSize() {
		return k, errNotKept
	}
	nonce, sealed := sealed[:sealer.NonceSize()], sealed[sealer.NonceSize():]
	packed, err := sealer.Open(nil, nonce, sealed, []byte(keptForm))
	if err != nil {
		return unsealOld(sealer, nonce, sealed)
	}
	if len(packed) == 0 {
		return k, errNotKept
	}
	k.Stage = int(packed[0])
	return k, k.Progress.UnmarshalBinary(packed[1:])
}

// unsealOld reads what was sealed in the old form.
func unsealOld(sealer cipher.AEAD, nonce, sealed []byte) (k Kept, err error) {
	packed, err := sealer.Open(nil, nonce, sealed, []byte(oldKept))
	if err != nil {
		return k, errNotKept
	}
	zip, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		return k, err
	}
	plain, err := io.ReadAll(io.LimitReader(zip, largestKept))
	if err != nil {
		return k, err
	}
	return k, strictly(plain, &k)
}

// sealer is AES-256-GCM (NIST SP 800-38D) with a key of its own, made from the one that signs.
func sealer(key ed25519.PrivateKey) (cipher.AEAD, error) {
	secret := sha256.Sum256(append([]byte(keyForm+"\n"), key.Seed()...))
	block, err := aes.NewCipher(secret[:])
	if err != nil {
		return nil, err
	}
	return cipher.NewGCM(block)
}
