package config

import (
	"net/netip"
	"net/url"
	"slices"
	"strings"
)

// sharedNetwork is what providers of lines share among customers (RFC 6598).
var sharedNetwork = netip.MustParsePrefix("100.64.0.0/10")

// asked holds the address of a weather service to what a running program asks:
// public addresses by https on two ports, and this machine while time is
// simulated. A host's name may still lead elsewhere; that is seen only when it
// is asked.
func (e entry) asked(address string) {
	u, err := url.Parse(address)
	if address == "" || err != nil {
		return
	}
	for name := range u.Query() {
		if SecretParameter(name) {
			e.problem("holds a key ("+clip(name)+")", "whoever reads this file or its copies would have it: let the provider be asked with a key_file, or let the data be written to a file and name it by path")
			return
		}
	}
	host := u.Hostname()
	switch {
	case IsLoopback(host):
		e.warn("is on this machine", "a programme asks this machine only while time is simulated (budcall run --clock), for trials: name the provider's public address, by https")
	case privateAddress(host):
		e.problem("is an address of a private network", "no programme asks there: name the provider's public address, or let the data be written to a file and name it by path")
	case isPlainHTTP(address):
		e.problem("is not encrypted", "use https")
	case u.Port() != "" && u.Port() != "443" && u.Port() != "8443":
		e.problem("is on port "+u.Port(), "a programme asks on 443 and 8443 alone: name the provider's usual address")
	}
}

// privateAddress reports whether a host is written as an address that belongs
// to no public machine.
func privateAddress(host string) bool {
	a, err := netip.ParseAddr(host)
	if err != nil {
		return false
	}
	a = a.Unmap()
	return a.IsPrivate() || a.IsLinkLocalUnicast() || a.IsUnspecified() || a.IsMulticast() || sharedNetwork.Contains(a)
}

// secretParameters are query parameters whose values are a key or a password.
var secretParameters = []string{
	"apikey", "api_key", "api-key", "key", "token", "access_token", "auth", "appid", "app_id",
	"client_id", "client_secret", "secret", "password", "passwd", "sig", "signature",
}

// SecretParameter reports whether a query parameter of that name holds what is
// never shown.
func SecretParameter(name string) bool {
	return slices.Contains(secretParameters, strings.ToLower(name))
}
