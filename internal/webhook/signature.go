package webhook

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"fmt"
	"io"
	"net/http"
	"strconv"
	"strings"
	"time"
)

// The headers of Standard Webhooks.
const (
	HeaderID        = "Webhook-Id"
	HeaderTimestamp = "Webhook-Timestamp"
	HeaderSignature = "Webhook-Signature"
)

const (
	secretPrefix = "whsec_"
	minSecret    = 24 // bytes, by the standard
	maxSecret    = 64
	newSecret    = 32
	// Tolerance is how far the timestamp may be from the receiving end's clock,
	// either way: older ones may be recordings played again.
	Tolerance = 5 * time.Minute
)

// NewSecret makes a secret for one address, in the form whsec_…, from 32 bytes
// of rand (crypto/rand.Reader).
func NewSecret(rand io.Reader) (string, error) {
	key := make([]byte, newSecret)
	if _, err := io.ReadFull(rand, key); err != nil {
		return "", fmt.Errorf("making a webhook secret: reading %d random bytes: %w", newSecret, err)
	}
	return secretPrefix + base64.StdEncoding.EncodeToString(key), nil
}

// key decodes a secret; its errors never quote it.
func key(secret string) ([]byte, error) {
	k, err := base64.StdEncoding.DecodeString(strings.TrimPrefix(strings.TrimSpace(secret), secretPrefix))
	if err != nil {
		return nil, errors.New("it isn't base64 (after whsec_, where that stands before it)")
	}
	if len(k) < minSecret || len(k) > maxSecret {
		return nil, fmt.Errorf("it has %d bytes, and must have %d to %d", len(k), minSecret, maxSecret)
	}
	return k, nil
}

// sign gives "v1," and the base64 of HMAC-SHA256 over id.seconds.body.
func sign(key []byte, id string, seconds int64, body []byte) string {
	mac := hmac.New(sha256.New, key)
	_, _ = fmt.Fprintf(mac, "%s.%d.", id, seconds)
	_, _ = mac.Write(body)
	return "v1," + base64.StdEncoding.EncodeToString(mac.Sum(nil))
}

// Verify checks, for the receiving end, that body came from somebody who has
// the secret, and within Tolerance of now. body is what was received, byte for
// byte. One fitting signature among several is enough, so that secrets can be
// changed without a gap.
func Verify(secret string, headers http.Header, body []byte, now time.Time) error {
	k, err := key(secret)
	if err != nil {
		return fmt.Errorf("the webhook secret can't be used: %w: take the secret as it was given out", err)
	}
	id, stamp, signatures := headers.Get(HeaderID), headers.Get(HeaderTimestamp), headers.Get(HeaderSignature)
	if id == "" || stamp == "" || signatures == "" {
		return errors.New("one of the headers webhook-id, webhook-timestamp, webhook-signature is missing: this isn't a signed webhook, refuse it")
	}
	seconds, err := strconv.ParseInt(stamp, 10, 64)
	if err != nil || strconv.FormatInt(seconds, 10) != stamp {
		return errors.New("webhook-timestamp isn't a number of seconds since 1970: refuse it")
	}
	if off := now.Sub(time.Unix(seconds, 0)); off > Tolerance || off < -Tolerance {
		return fmt.Errorf("webhook-timestamp is %v away from this clock, more than %v: refuse it, and compare both clocks", off.Round(time.Second), Tolerance)
	}
	want := []byte(sign(k, id, seconds, body))
	for given := range strings.FieldsSeq(signatures) {
		if hmac.Equal([]byte(given), want) {
			return nil
		}
	}
	return errors.New("no signature fits: refuse it, and check that both ends have the same secret and that the body wasn't changed on the way")
}
