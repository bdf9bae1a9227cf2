package fetch

import (
	"crypto/tls"
	"errors"
	"fmt"
	"net"
	"net/http"
	"net/netip"
	"syscall"
	"time"

	"code.dny.dev/ssrf"
)

// guarded gives a transport whose every connection is checked at the address
// it is about to dial, whatever name or redirect led there: public addresses
// by https on the usual ports, and what allow names, also by plain http. No
// proxy is taken from the environment: the guard would see only the proxy.
func guarded(allow []netip.Prefix) http.RoundTripper {
	public := ssrf.New(ssrf.WithPorts(443, 8443))
	return &bySchemeTransport{
		https: transport(func(network, address string, raw syscall.RawConn) error {
			if allowed(allow, address) {
				return nil
			}
			if err := public.Safe(network, address, raw); err != nil {
				return fmt.Errorf("%w: %w", ErrGuarded, err)
			}
			return nil
		}),
		http: transport(func(_, address string, _ syscall.RawConn) error {
			if allowed(allow, address) {
				return nil
			}
			return fmt.Errorf("%w: %s by plain http (write https://)", ErrGuarded, address)
		}),
	}
}

// bySchemeTransport keeps plain http to its own, stricter guard.
type bySchemeTransport struct{ https, http http.RoundTripper }

func (t *bySchemeTransport) RoundTrip(r *http.Request) (*http.Response, error) {
	if r.URL.Scheme == "https" {
		return t.https.RoundTrip(r)
	}
	return t.http.RoundTrip(r)
}

func transport(control func(network, address string, raw syscall.RawConn) error) *http.Transport {
	dialer := &net.Dialer{Timeout: 10 * time.Second, Control: control}
	return &http.Transport{
		DialContext:           dialer.DialContext,
		TLSHandshakeTimeout:   10 * time.Second,
		ResponseHeaderTimeout: 30 * time.Second,
		IdleConnTimeout:       30 * time.Second,
		MaxIdleConnsPerHost:   2,
		ForceAttemptHTTP2:     true,
	}
}

func allowed(allow []netip.Prefix, address string) bool {
	at, err := netip.ParseAddrPort(address)
	if err != nil {
		return false
	}
	for _, prefix := range allow {
		if prefix.Contains(at.Addr().Unmap()) {
			return true
		}
	}
	return false
}

// checkRedirect follows three redirects and none from https to http. The
// Referer that net/http adds would carry a key in the query to another host.
func (c *Client) checkRedirect(next *http.Request, via []*http.Request) error {
	next.Header.Del("Referer")
	if len(via) > 3 {
		return errRedirects
	}
	if next.URL.Scheme != "https" && next.URL.Scheme != "http" {
		return fmt.Errorf("%w (%s:)", errNoWeb, next.URL.Scheme)
	}
	if via[len(via)-1].URL.Scheme == "https" && next.URL.Scheme != "https" {
		return errDowngrade
	}
	return nil
}

// isCertificate reports whether TLS failed on the server's certificate.
func isCertificate(err error) bool {
	var bad *tls.CertificateVerificationError
	return errors.As(err, &bad)
}
