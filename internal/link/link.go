// Package link is the signed links in mails: what a link opens, for whom and
// until when, in a token that can't be altered.
package link

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"errors"
	"strings"
	"time"
)

// Claim is what a link is good for.
type Claim struct {
	Opens   string    `json:"o"` // "form", "board", "held", "calendar" or "settings"
	Person  string    `json:"p"` // code of the person it was sent to
	Site    string    `json:"s,omitempty"`
	Task    string    `json:"t,omitempty"`
	Season  int       `json:"y,omitempty"`
	Turn    int       `json:"w,omitempty"` // how often the person's links had been withdrawn when it was signed
	Expires time.Time `json:"e"`
}

// The ways in which a token is refused.
var (
	ErrAltered = errors.New("the link is incomplete or altered")
	ErrExpired = errors.New("the link has expired")
)

// tagLen is the length of the truncated HMAC in bytes: 128 bits, the least
// that RFC 2104 section 5 calls sound (half the hash), keeps links short.
const tagLen = 16

// Sign gives the token for a claim: base64url of JSON, a dot, base64url of a
// truncated HMAC-SHA256 of it. The key needs at least 32 bytes.
func Sign(key []byte, c Claim) string {
	c.Expires = c.Expires.UTC().Truncate(time.Second)
	body, err := json.Marshal(c)
	if err != nil {
		panic(err) // a Claim always encodes: strings, numbers and a time
	}
	enc := base64.RawURLEncoding
	return enc.EncodeToString(body) + "." + enc.EncodeToString(tag(key, body))
}

// Open checks a token and gives its claim. Nothing of an altered token is
// returned; of an expired one the claim is, so that a page can say whose call
// it was about.
func Open(key []byte, token string, now time.Time) (Claim, error) {
	if strings.ContainsAny(token, "\r\n") { // the decoder would skip them
		return Claim{}, ErrAltered
	}
	enc := base64.RawURLEncoding.Strict()
	for i := 0; i < len(token); i++ {
		if token[i] != '.' {
			continue
		}
		body, err1 := enc.DecodeString(token[:i])
		got, err2 := enc.DecodeString(token[i+1:])
		if err1 != nil || err2 != nil || !hmac.Equal(got, tag(key, body)) {
			return Claim{}, ErrAltered
		}
		var c Claim
		if err := json.Unmarshal(body, &c); err != nil {
			return Claim{}, ErrAltered
		}
		if now.After(c.Expires) {
			return c, ErrExpired
		}
		return c, nil
	}
	return Claim{}, ErrAltered
}

func tag(key, body []byte) []byte {
	m := hmac.New(sha256.New, key)
	m.Write(body)
	return m.Sum(nil)[:tagLen]
}
