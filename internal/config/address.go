package config

import (
	"fmt"
	"net/netip"
	"net/url"
	"path"
	"strconv"
	"strings"
)

// hostPort gives an address of the form host:port.
func (e entry) hostPort() string {
	value := e.text()
	if value == "" {
		return ""
	}
	host, port := hostOf(value), portOf(value)
	_, err := strconv.ParseUint(port, 10, 16)
	if host == "" || err != nil || !plausibleHost(host) {
		e.problem(fmt.Sprintf("%q is no address", clip(value)), "write host:port with a port up to 65535, such as 127.0.0.1:8484")
		return ""
	}
	return value
}

// hostOf and portOf part host:port at its last colon; the brackets of an IPv6
// address go.
func hostOf(address string) string {
	i := strings.LastIndexByte(address, ':')
	if i < 0 {
		return ""
	}
	host := address[:i]
	if inner, ok := strings.CutPrefix(host, "["); ok {
		inner, closed := strings.CutSuffix(inner, "]")
		if a, err := netip.ParseAddr(inner); err != nil || !closed || !a.Is6() {
			return ""
		}
		return inner
	}
	if strings.Contains(host, ":") {
		return "" // an IPv6 address without brackets: nobody can tell its port
	}
	return host
}

func portOf(address string) string { return address[strings.LastIndexByte(address, ':')+1:] }

func portZero(address string) bool { return portOf(address) == "0" }

// plausibleHost reports whether a host is an IP address or a name of letters,
// digits, hyphens and dots.
func plausibleHost(host string) bool {
	if _, err := netip.ParseAddr(host); err == nil {
		return true
	}
	labels := strings.Split(strings.TrimSuffix(host, "."), ".")
	if numeric(labels[len(labels)-1]) {
		return false
	}
	for _, label := range labels {
		if label == "" || len(label) > 63 || label[0] == '-' || label[len(label)-1] == '-' {
			return false
		}
		if strings.ContainsFunc(label, func(r rune) bool {
			return (r < 'a' || r > 'z') && (r < 'A' || r > 'Z') && (r < '0' || r > '9') && r != '-' && r != '_'
		}) {
			return false
		}
	}
	return len(host) <= 253
}

// numeric reports whether a label is a number, decimal or hexadecimal. A host
// that ends in one is an IPv4 address, whatever way it is written (WHATWG URL
// Standard, "ends in a number checker"): one way is enough.
func numeric(label string) bool {
	if hex, ok := strings.CutPrefix(strings.ToLower(label), "0x"); ok {
		return strings.Trim(hex, "0123456789abcdef") == ""
	}
	return label != "" && strings.Trim(label, "0123456789") == ""
}

// IsLoopback reports whether a host is this machine and nobody else: by its
// address, or by a name that is kept for it (RFC 6761, section 6.3) or that
// many systems give it.
func IsLoopback(host string) bool {
	if a, err := netip.ParseAddr(host); err == nil {
		return a.Unmap().IsLoopback()
	}
	name := strings.ToLower(strings.TrimSuffix(host, "."))
	return name == "localhost" || name == "localhost.localdomain" || strings.HasSuffix(name, ".localhost")
}

// webURL gives an http or https address, with a path as it may be.
func (e entry) webURL() string {
	value := e.text()
	if value == "" {
		return ""
	}
	u, err := url.Parse(value)
	switch {
	case err != nil || u.Scheme != "https" && u.Scheme != "http" || !plausibleHost(u.Hostname()) || u.Fragment != "":
		e.problem(fmt.Sprintf("%q is no web address", clip(value)), "write https://host/path")
	case u.User != nil:
		e.problem("a password doesn't belong in an address", "remove what stands before the @")
	default:
		return value
	}
	return ""
}

// baseURL gives a web address that others are appended to.
func (e entry) baseURL() string {
	value := e.webURL()
	if strings.ContainsAny(value, "?") {
		e.problem("an address that others are appended to can't hold a ?", "write https://host or https://host/path")
		return ""
	}
	return strings.TrimRight(value, "/")
}

func isPlainHTTP(address string) bool { return strings.HasPrefix(strings.ToLower(address), "http:") }

func hostOfURL(address string) string {
	u, err := url.Parse(address)
	if err != nil {
		return ""
	}
	return u.Hostname()
}

// email gives a mail address that can be right: one @, a name before it, and
// after it a domain of two labels or more, or localhost. Letters outside ASCII
// are refused, since few relays take them.
func (e entry) email() string {
	value := e.text()
	if value == "" {
		return ""
	}
	name, domain, _ := strings.Cut(value, "@")
	bad := strings.ContainsFunc(name, func(r rune) bool {
		return r <= ' ' || r >= 127 || strings.ContainsRune(`()<>[]:;@\,"`, r)
	})
	dotted := strings.Contains(domain, ".") || domain == "localhost"
	if name == "" || len(name) > 64 || bad || strings.Contains("."+name+".", "..") || !dotted || !plausibleHost(domain) {
		e.problem(fmt.Sprintf("%q is no mail address", clip(value)), "write name@domain, such as maia@birches.example")
		return ""
	}
	return value
}

// filePath gives the path of a file as written, with slashes.
func (e entry) filePath() string {
	value := e.text()
	switch {
	case value == "":
		return ""
	case strings.Contains(value, `\`):
		e.problem("holds a backslash", "write paths with /")
		return ""
	case path.Clean(value) == "." || strings.HasSuffix(value, "/"):
		e.problem("is a folder", "name a file")
		return ""
	}
	return value
}
