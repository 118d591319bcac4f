package results

import (
	"crypto/ed25519"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base32"
	"encoding/binary"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode"
)

// This file makes of the server's key what only the server may know of an assessment: what its numbers are drawn from, and the
// codes that give a learner more time. Both are HMAC-SHA-256 (RFC 2104) under keys of their own.

// NumbersOf returns what the numbers of an assessment are drawn from, for the deal of that number. Whoever knows the deal's
// number and not the key cannot tell it. It is never 0.
func NumbersOf(lesson string, deal uint64, key ed25519.PrivateKey) uint64 {
	sum := derived(key, "handrule numbers 1", fmt.Sprintf("%d %s", deal, lesson))
	return max(binary.BigEndian.Uint64(sum), 1)
}

func derived(key ed25519.PrivateKey, use, text string) []byte {
	mac := hmac.New(sha256.New, append([]byte(use+"\n"), key.Seed()...))
	mac.Write([]byte(text))
	return mac.Sum(nil)
}

// MostExtra is how many minutes more a code may give.
const MostExtra = 600

// mostWho is how many letters of a name a code has.
const mostWho = 16

// ExtraTime returns a code with which a learner has so many minutes more in an assessment. For whom it is stands in it.
func ExtraTime(lesson, who string, minutes int, key ed25519.PrivateKey) (string, error) {
	word := codeWord(who)
	switch {
	case minutes < 1 || minutes > MostExtra:
		return "", fmt.Errorf("there may be 1 to %d minutes more, not %d", MostExtra, minutes)
	case word == "":
		return "", errors.New("say for whom the time is, in letters or digits")
	}
	return fmt.Sprintf("%d-%s-%s", minutes, word, proof(lesson, word, minutes, key)), nil
}

// errNoCode says that a code is none.
var errNoCode = errors.New("this is no code for more time in this assessment")

// ReadExtraTime returns what a code gives, however it was typed.
func ReadExtraTime(lesson, code string, key ed25519.PrivateKey) (minutes int, who string, err error) {
	parts := strings.Split(strings.Join(strings.Fields(code), ""), "-")
	if len(parts) != 3 {
		return 0, "", errNoCode
	}
	minutes, err = strconv.Atoi(parts[0])
	who = codeWord(parts[1])
	if err != nil || minutes < 1 || minutes > MostExtra || !hmac.Equal([]byte(strings.ToUpper(parts[2])), []byte(proof(lesson, who, minutes, key))) {
		return 0, "", errNoCode
	}
	return minutes, who, nil
}

// proof is 50 bits that only the server can make, in ten letters and digits.
func proof(lesson, who string, minutes int, key ed25519.PrivateKey) string {
	sum := derived(key, "handrule extra time 1", fmt.Sprintf("%d %s %s", minutes, who, lesson))
	return base32.StdEncoding.EncodeToString(sum)[:10]
}

// codeWord is a name as a code has it: its letters and digits, in small letters.
func codeWord(name string) string {
	var word []rune
	for _, r := range strings.ToLower(name) {
		if (unicode.IsLetter(r) || unicode.IsDigit(r)) && len(word) < mostWho && len(string(word))+len(string(r)) <= 24 {
			word = append(word, r)
		}
	}
	return string(word)
}

// KeyID is a short name of a key, by which a result says who signed it.
func KeyID(key ed25519.PublicKey) string {
	sum := sha256.Sum256(append([]byte("handrule key 1\n"), key...))
	return strings.ToLower(base32.StdEncoding.EncodeToString(sum[:])[:8])
}
