package webhook

import (
	"errors"
	"fmt"
	"net/netip"
	"net/url"
	"syscall"

	"code.dny.dev/ssrf"
)

var errClearText = errors.New("clear text (http://) goes only to networks that are allowed by name")

// guard looks at each address just before it is connected to, after its name
// has been looked up, so that no name can lead into a private network.
func (e Endpoint) guard(u *url.URL) (func(network, address string, c syscall.RawConn) error, error) {
	to, err := port(u)
	if err != nil {
		return nil, err
	}
	var v4, v6 []netip.Prefix
	for _, p := range e.Allow {
		switch {
		case !p.IsValid():
			return nil, errors.New("one of its allowed networks isn't one: write for example 10.1.2.0/24")
		case p.Addr().Is4():
			v4 = append(v4, p.Masked())
		case p.Addr().Is4In6() && p.Bits() >= 96:
			v4 = append(v4, netip.PrefixFrom(p.Addr().Unmap(), p.Bits()-96).Masked())
		default:
			v6 = append(v6, p.Masked())
		}
	}
	public := ssrf.New(ssrf.WithPorts(to), ssrf.WithAllowedV4Prefixes(v4...), ssrf.WithAllowedV6Prefixes(v6...))
	return func(network, address string, c syscall.RawConn) error {
		if u.Scheme == "http" {
			ap, err := netip.ParseAddrPort(address)
			if err != nil || !within(ap.Addr().Unmap(), v4, v6) {
				return errClearText
			}
		}
		return public.Safe(network, address, c)
	}, nil
}

func within(addr netip.Addr, lists ...[]netip.Prefix) bool {
	for _, list := range lists {
		for _, p := range list {
			if p.Contains(addr) {
				return true
			}
		}
	}
	return false
}

// blocked tells what to do where the guard is the reason for an error; empty
// if it isn't.
func blocked(err error) string {
	switch {
	case errors.Is(err, errClearText):
		return errClearText.Error() + ": write https://, or add its network to those allowed"
	case errors.Is(err, ssrf.ErrProhibitedIP):
		return "its address is in a private or reserved network: add that network to those allowed if it is meant"
	case errors.Is(err, ssrf.ErrProhibitedPort), errors.Is(err, ssrf.ErrProhibitedNetwork), errors.Is(err, ssrf.ErrInvalidHostPort):
		return fmt.Sprintf("its address may not be connected to (%v): correct its url", err)
	}
	return ""
}
