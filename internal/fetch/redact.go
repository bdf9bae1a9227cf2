package fetch

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"net/url"
	"slices"
	"strings"

	"budcall/internal/config"
)

// placeParameters tell where a site lies; that is nobody's business either.
var placeParameters = []string{"lat", "lon", "latitude", "longitude"}

// redactor holds an address as it may be shown, and the secrets that must be
// taken out of any text about it.
type redactor struct {
	address string
	secrets []string
}

func newRedactor(u *url.URL) redactor {
	var r redactor
	shown := *u
	if u.User != nil {
		password, _ := u.User.Password()
		r.add(u.User.Username(), password)
		r.add(basic(u.User.Username(), password)...)
		shown.User = nil
	}
	shown.Fragment, shown.RawFragment = "", ""
	pairs := strings.Split(u.RawQuery, "&")
	for i, pair := range pairs {
		name, raw, hasValue := strings.Cut(pair, "=")
		plain, err := url.QueryUnescape(name)
		if err != nil {
			plain = name
		}
		switch plain = strings.ToLower(plain); {
		case !hasValue:
		case slices.Contains(placeParameters, plain):
			pairs[i] = name + "=***"
		case config.SecretParameter(plain):
			value, _ := url.QueryUnescape(raw)
			r.add(raw, value)
			pairs[i] = name + "=***"
		}
	}
	shown.RawQuery = strings.Join(pairs, "&")
	r.address = shown.String()
	return r
}

// add takes secrets, and the forms in which an answer may repeat them: as an
// address and as JSON write them.
func (r *redactor) add(secrets ...string) {
	for _, s := range secrets {
		if s == "" {
			continue
		}
		quoted, _ := json.Marshal(s) // a string always can be
		for _, form := range []string{s, url.QueryEscape(s), url.PathEscape(s), strings.Trim(string(quoted), `"`)} {
			if !slices.Contains(r.secrets, form) {
				r.secrets = append(r.secrets, form)
			}
		}
	}
	// One secret may hold another: the longer goes first, lest a part of it stays.
	slices.SortStableFunc(r.secrets, func(a, b string) int { return len(b) - len(a) })
}

// basic gives a user and password as HTTP Basic sends them, with and without
// the padding, and in the alphabet of addresses.
func basic(user, password string) []string {
	if user == "" && password == "" {
		return nil
	}
	pair := []byte(user + ":" + password)
	return []string{
		base64.StdEncoding.EncodeToString(pair), base64.RawStdEncoding.EncodeToString(pair),
		base64.URLEncoding.EncodeToString(pair), base64.RawURLEncoding.EncodeToString(pair),
	}
}

// clean takes the secrets out of a text.
func (r redactor) clean(text string) string {
	for _, s := range r.secrets {
		text = strings.ReplaceAll(text, s, "***")
	}
	return text
}

func (r redactor) holdsSecret(text string) bool { return r.clean(text) != text }

// shortestScrubbed is how long a key must be to be taken out of data: a short
// word may stand in them by itself.
const shortestScrubbed = 12

// withoutKey takes our key out of an answer that repeats it, for what came is
// kept, and quoted where it can't be read.
func (a ask) withoutKey(body []byte) []byte {
	if len(a.Key) < shortestScrubbed {
		return body
	}
	var key redactor
	key.add(a.Key)
	key.add(basic(a.Key, "")...)
	for _, s := range key.secrets {
		body = bytes.ReplaceAll(body, []byte(s), []byte("***"))
	}
	return body
}

// Redact gives an address as it may stand in logs, messages and pages:
// without user, password, keys and coordinates.
func Redact(address string) string {
	u, err := url.Parse(address)
	if err != nil {
		return "an address that can't be read"
	}
	return newRedactor(u).address
}
