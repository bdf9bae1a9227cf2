package webhook_test

import (
	"bytes"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"io"
	"net/http"
	"strconv"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"pgregory.net/rapid"

	"budcall/internal/webhook"
)

// The published example: repository standard-webhooks/standard-webhooks,
// libraries/go/webhook_test.go, TestWebhookSign.
const (
	publishedSecret    = "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw"
	publishedID        = "msg_p5jXN8AQM9LWM0D4loKWxJek"
	publishedSeconds   = 1614265330
	publishedBody      = `{"test": 2432232314}`
	publishedSignature = "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE="
)

func published() http.Header {
	h := http.Header{}
	h.Set("webhook-id", publishedID)
	h.Set("webhook-timestamp", strconv.Itoa(publishedSeconds))
	h.Set("webhook-signature", publishedSignature)
	return h
}

func TestThePublishedExampleIsVerified(t *testing.T) {
	at := time.Unix(publishedSeconds, 0)
	for name, row := range map[string]struct {
		change func(h http.Header, secret, body *string, now *time.Time)
		says   string // empty: it is good
	}{
		"as published":                  {func(http.Header, *string, *string, *time.Time) {}, ""},
		"the secret without its prefix": {func(_ http.Header, s, _ *string, _ *time.Time) { *s = strings.TrimPrefix(*s, "whsec_") }, ""},
		"a clock 5 minutes fast":        {func(_ http.Header, _, _ *string, now *time.Time) { *now = at.Add(5 * time.Minute) }, ""},
		"a clock 5 minutes slow":        {func(_ http.Header, _, _ *string, now *time.Time) { *now = at.Add(-5 * time.Minute) }, ""},
		"one fitting signature of three": {func(h http.Header, _, _ *string, _ *time.Time) {
			h.Set("webhook-signature", "v1,AAAA v1a,BBBB "+publishedSignature)
		}, ""},
		"played again 5 min 1 s later": {func(_ http.Header, _, _ *string, now *time.Time) { *now = at.Add(301 * time.Second) }, "5m1s away"},
		"from 5 min 1 s in the future": {func(_ http.Header, _, _ *string, now *time.Time) { *now = at.Add(-301 * time.Second) }, "away from this clock"},
		"a space in the body less":     {func(_ http.Header, _, b *string, _ *time.Time) { *b = strings.ReplaceAll(*b, " ", "") }, "no signature fits"},
		"another id":                   {func(h http.Header, _, _ *string, _ *time.Time) { h.Set("webhook-id", "msg_other") }, "no signature fits"},
		"another second": {func(h http.Header, _, _ *string, _ *time.Time) {
			h.Set("webhook-timestamp", strconv.Itoa(publishedSeconds+1))
		}, "no signature fits"},
		"the signature of another version": {func(h http.Header, _, _ *string, _ *time.Time) {
			h.Set("webhook-signature", "v2,"+publishedSignature[3:])
		}, "no signature fits"},
		"another secret": {func(_ http.Header, s, _ *string, _ *time.Time) {
			*s = "whsec_" + base64.StdEncoding.EncodeToString(make([]byte, 24))
		}, "no signature fits"},
		"no signature":            {func(h http.Header, _, _ *string, _ *time.Time) { h.Del("webhook-signature") }, "is missing"},
		"no id":                   {func(h http.Header, _, _ *string, _ *time.Time) { h.Del("webhook-id") }, "is missing"},
		"no timestamp":            {func(h http.Header, _, _ *string, _ *time.Time) { h.Del("webhook-timestamp") }, "is missing"},
		"a timestamp in words":    {func(h http.Header, _, _ *string, _ *time.Time) { h.Set("webhook-timestamp", "today") }, "isn't a number"},
		"a timestamp with a sign": {func(h http.Header, _, _ *string, _ *time.Time) { h.Set("webhook-timestamp", "+1614265330") }, "isn't a number"},
		"a secret of 23 bytes": {func(_ http.Header, s, _ *string, _ *time.Time) {
			*s = base64.StdEncoding.EncodeToString(make([]byte, 23))
		}, "has 23 bytes"},
		"a secret that isn't base64": {func(_ http.Header, s, _ *string, _ *time.Time) { *s = "whsec_my birch!" }, "isn't base64"},
	} {
		t.Run(name, func(t *testing.T) {
			h, secret, body, now := published(), publishedSecret, publishedBody, at
			row.change(h, &secret, &body, &now)
			err := webhook.Verify(secret, h, []byte(body), now)
			if row.says == "" && err != nil || row.says != "" && (err == nil || !strings.Contains(err.Error(), row.says)) {
				t.Errorf("%v, want %q", err, row.says)
			}
		})
	}
}

// byHand is HMAC-SHA256 by its definition (RFC 2104), a second way to the same
// signature.
func byHand(key []byte, text string) string {
	pad := func(with byte) []byte {
		p := bytes.Repeat([]byte{with}, 64)
		for i, k := range key {
			p[i] ^= k
		}
		return p
	}
	inner := sha256.Sum256(append(pad(0x36), text...))
	outer := sha256.Sum256(append(pad(0x5c), inner[:]...))
	return "v1," + base64.StdEncoding.EncodeToString(outer[:])
}

func TestSignaturesAgreeWithTheDefinition(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		key := rapid.SliceOfN(rapid.Byte(), 24, 64).Draw(t, "key")
		id := rapid.StringMatching(`[0-9A-Za-z_-]{1,30}`).Draw(t, "id")
		at := rapid.Int64Range(0, 1<<40).Draw(t, "at")
		body := rapid.SliceOf(rapid.Byte()).Draw(t, "body")
		h := http.Header{}
		h.Set("webhook-id", id)
		h.Set("webhook-timestamp", strconv.FormatInt(at, 10))
		h.Set("webhook-signature", byHand(key, id+"."+strconv.FormatInt(at, 10)+"."+string(body)))
		if err := webhook.Verify(base64.StdEncoding.EncodeToString(key), h, body, time.Unix(at, 0)); err != nil {
			t.Fatal(err)
		}
	})
}

func TestANewSecretIsUsableAndItsOwn(t *testing.T) {
	one, err1 := webhook.NewSecret(rand.Reader)
	two, err2 := webhook.NewSecret(rand.Reader)
	if err1 != nil || err2 != nil || one == two || !strings.HasPrefix(one, "whsec_") {
		t.Fatalf("%q %v, %q %v", one, err1, two, err2)
	}
	if err := (webhook.Endpoint{Name: "x", URL: "https://a.example/", Secrets: []string{one, two}}).Check(); err != nil {
		t.Error(err)
	}
	if _, err := webhook.NewSecret(iotest.ErrReader(errors.New("no randomness"))); err == nil || !strings.Contains(err.Error(), "no randomness") {
		t.Error(err)
	}
	if _, err := webhook.NewSecret(io.LimitReader(rand.Reader, 31)); err == nil {
		t.Error("31 bytes were enough")
	}
}

func FuzzVerifyNeverTakesWhatItDidNotSign(f *testing.F) {
	f.Add(publishedID, "1614265330", "v1,AAAA", []byte(publishedBody))
	f.Add("", "-1", " v1, v1a,", []byte{})
	f.Add("a.b", "99999999999999999999", "\x00", []byte("\xff"))
	f.Fuzz(func(t *testing.T, id, stamp, signature string, body []byte) {
		h := http.Header{"Webhook-Id": {id}, "Webhook-Timestamp": {stamp}, "Webhook-Signature": {signature}}
		if webhook.Verify(publishedSecret, h, body, time.Unix(publishedSeconds, 0)) == nil && (id != publishedID || string(body) != publishedBody) {
			t.Errorf("took %q %q %q %q", id, stamp, signature, body)
		}
	})
}
