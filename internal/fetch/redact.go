package fetch

import (
	"net/url"
	"slices"
	"strings"
)

// secretParameters are query parameters whose values are never shown.
var secretParameters = []string{
	"apikey", "api_key", "api-key", "key", "token", "access_token", "auth", "appid", "app_id",
	"client_id", "client_secret", "secret", "password", "passwd", "sig", "signature",
}

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
		case slices.Contains(secretParameters, plain):
			value, _ := url.QueryUnescape(raw)
			r.add(raw, value)
			pairs[i] = name + "=***"
		}
	}
	shown.RawQuery = strings.Join(pairs, "&")
	r.address = shown.String()
	return r
}

func (r *redactor) add(secrets ...string) {
	for _, s := range secrets {
		if s != "" {
			r.secrets = append(r.secrets, s)
		}
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

// Redact gives an address as it may stand in logs, messages and pages:
// without user, password, keys and coordinates.
func Redact(address string) string {
	u, err := url.Parse(address)
	if err != nil {
		return "an address that can't be read"
	}
	return newRedactor(u).address
}
