package config

import (
	"fmt"
	"net/netip"
	"strings"
)

// readMail reads how mails leave; sender is the name that they come from where
// nothing else is said.
func readMail(s *section, sender string) Mail {
	from := s.need("from", "the address that mails come from").email()
	_, domain, _ := strings.Cut(from, "@")
	m := Mail{
		Relay:        s.need("relay", "host:port of the mail server that takes our mails, such as mail.birches.example:587").hostPort(),
		TLS:          orElse(s.get("tls").choice("starttls", "implicit", "none"), "starttls"),
		User:         s.get("user").text(),
		PasswordFile: s.secret("password_file", "password", "pass", "secret").filePath(),
		From:         from,
		FromName:     orElse(s.get("from_name").text(), sender),
		EnvelopeFrom: orElse(s.get("envelope_from").email(), from),
		Domain:       orElse(s.get("domain").host(), domain),
	}
	m.Hello = orElse(s.get("hello").host(), m.Domain)
	if m.TLS == "none" && m.Relay != "" && !IsLoopback(hostOf(m.Relay)) {
		s.get("tls").problem("none would send names and addresses in the open to "+m.Relay, "starttls or implicit; none is for a relay on this machine")
	}
	if m.User != "" && !s.get("password_file").set() {
		s.get("user").problem("needs a password", "put it alone into a file and name that as password_file")
	}
	if m.PasswordFile != "" && !s.get("user").set() {
		s.get("password_file").problem("is of no use without user", "add user, or remove the line")
	}
	s.done()
	return m
}

// host gives the name of a machine.
func (e entry) host() string {
	value := e.text()
	if value != "" && !plausibleHost(value) {
		e.problem(fmt.Sprintf("%q is no host name", clip(value)), "letters, digits, hyphens and dots: birches.example")
		return ""
	}
	return value
}

// readWebhook reads one program to be told.
func readWebhook(s *section, names *codes) Webhook {
	var w Webhook
	name := s.need("name", "a short name, for the log")
	if w.Name = name.code(personForm); w.Name != "" {
		names.define(name, w.Name)
	}
	address := s.need("url", "https://host/path")
	w.URL = address.webURL()
	if isPlainHTTP(w.URL) && !IsLoopback(hostOfURL(w.URL)) {
		address.problem("is not encrypted", "use https; http is for a program on this machine")
	}
	secrets := s.secret("secret_files", "secret", "secrets", "key")
	for _, e := range secrets.list() {
		w.SecretFiles = append(w.SecretFiles, e.filePath())
	}
	if len(w.SecretFiles) == 0 && s.set() {
		secrets.problem("no file with a secret is named", "each file holds one line, whsec_ and the secret in base64")
	}
	for _, e := range s.get("allow").list() {
		if p, ok := e.network(); ok {
			w.Allow = append(w.Allow, p)
		}
	}
	s.done()
	return w
}

// network gives a range of addresses.
func (e entry) network() (netip.Prefix, bool) {
	value := e.text()
	if value == "" {
		return netip.Prefix{}, false
	}
	p, err := netip.ParsePrefix(value)
	if a, err := netip.ParseAddr(value); err == nil {
		e.problem(fmt.Sprintf("%q is one address, not a range", value), fmt.Sprintf("write %s/%d", value, a.BitLen()))
		return p, false
	}
	switch {
	case err != nil:
		e.problem(fmt.Sprintf("%q is no range of addresses", clip(value)), "write 10.20.30.0/24")
	case p.Bits() == 0:
		e.problem("would allow every address", "name the range that the program is in")
	default:
		return p.Masked(), true
	}
	return p, false
}
