package inbox_test

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"math/big"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/emersion/go-imap/v2"
	"github.com/emersion/go-imap/v2/imapclient"

	"budcall/internal/inbox"
)

// certificate is a new one for localhost, as PEM and as what trusts it.
func certificate(t *testing.T) (cert, key []byte, trust *tls.Config) {
	t.Helper()
	private, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	template := &x509.Certificate{
		SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: "localhost"}, DNSNames: []string{"localhost"},
		IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)}, NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour),
		IsCA: true, BasicConstraintsValid: true, KeyUsage: x509.KeyUsageDigitalSignature | x509.KeyUsageCertSign,
	}
	der, err := x509.CreateCertificate(rand.Reader, template, template, &private.PublicKey, private)
	if err != nil {
		t.Fatal(err)
	}
	secret, err := x509.MarshalECPrivateKey(private)
	if err != nil {
		t.Fatal(err)
	}
	cert = pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der})
	pool := x509.NewCertPool()
	pool.AppendCertsFromPEM(cert)
	return cert, pem.EncodeToMemory(&pem.Block{Type: "EC PRIVATE KEY", Bytes: secret}), &tls.Config{RootCAs: pool}
}

// imapServer is a Dovecot of the test.
type imapServer struct {
	plain, secure string // addresses: with STARTTLS, with TLS from the first byte
	trust         *tls.Config
}

// dovecot starts a Dovecot of its own in a temporary folder. Its processes run
// as the users dovecot, dovenull and nobody.
func dovecot(t *testing.T) imapServer {
	t.Helper()
	if os.Geteuid() != 0 {
		t.Skip("Dovecot is started by root here (it then runs as other users): run this test as root")
	}
	path := program(t, "dovecot", "dovecot-imapd")
	if out, err := exec.Command(path, "--version").Output(); err != nil || !strings.HasPrefix(string(out), "2.3.") {
		t.Skipf("this Dovecot is %q and the test's settings are for 2.3 (%v): install Debian 12's package dovecot-imapd", out, err)
	}
	account(t, "dovecot")
	account(t, "dovenull")
	uid, gid := account(t, "nobody")
	dir := folder(t)
	for _, d := range []string{"run", "home", "home/" + boxUser} {
		if err := os.Mkdir(filepath.Join(dir, d), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Chown(filepath.Join(dir, "home", boxUser), int(uid), int(gid)); err != nil {
		t.Fatal(err)
	}
	s := imapServer{plain: "127.0.0.1:" + freePort(t), secure: "127.0.0.1:" + freePort(t)}
	cert, key, trust := certificate(t)
	s.trust = trust
	write(t, dir, "cert.pem", string(cert))
	write(t, dir, "key.pem", string(key))
	port := func(addr string) string { return addr[strings.LastIndex(addr, ":")+1:] }
	conf := write(t, dir, "dovecot.conf", strings.NewReplacer("DIR", dir, "PLAIN", port(s.plain), "SECURE", port(s.secure), "PASSWORD", boxPassword).Replace(`base_dir = DIR/run
state_dir = DIR/run
log_path = DIR/log
protocols = imap
listen = 127.0.0.1
ssl = yes
ssl_cert = <DIR/cert.pem
ssl_key = <DIR/key.pem
mail_location = maildir:~/Maildir
first_valid_uid = 1
first_valid_gid = 1
passdb {
  driver = static
  args = password=PASSWORD
}
userdb {
  driver = static
  args = uid=nobody gid=nogroup home=DIR/home/%u
}
namespace inbox {
  inbox = yes
}
service imap-login {
  inet_listener imap {
    port = PLAIN
  }
  inet_listener imaps {
    port = SECURE
    ssl = yes
  }
}
`))
	daemon(t, exec.Command(path, "-F", "-c", conf), filepath.Join(dir, "log"))
	answers(t, s.plain)
	return s
}

// visitor is a person's own connection to the mailbox, beside the poller's.
func visitor(t *testing.T, addr string) *imapclient.Client {
	t.Helper()
	c, err := imapclient.DialInsecure(addr, nil)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = c.Close() })
	if err := c.Login(boxUser, boxPassword).Wait(); err != nil {
		t.Fatal(err)
	}
	return c
}

func put(t *testing.T, c *imapclient.Client, box, body string, at time.Time) {
	t.Helper()
	cmd := c.Append(box, int64(len(body)), &imap.AppendOptions{Time: at})
	if _, err := cmd.Write([]byte(body)); err != nil {
		t.Fatal(err)
	}
	if err := cmd.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := cmd.Wait(); err != nil {
		t.Fatal(err)
	}
}

// seen gives how many of the mails of a mailbox are marked as read, and how
// many there are.
func seen(t *testing.T, c *imapclient.Client, box string) (read, all int) {
	t.Helper()
	status, err := c.Select(box, &imap.SelectOptions{ReadOnly: true}).Wait()
	if err != nil {
		t.Fatal(err)
	}
	if status.NumMessages == 0 {
		return 0, 0
	}
	var set imap.SeqSet
	set.AddRange(1, 0)
	mails, err := c.Fetch(set, &imap.FetchOptions{Flags: true}).Collect()
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range mails {
		if slices.Contains(m.Flags, imap.FlagSeen) {
			read++
		}
	}
	return read, len(mails)
}

func TestADovecotMailboxIsReadOnceAndLeftAsItIs(t *testing.T) {
	server, m, places := dovecot(t), newMemory(), &marks{}
	c := visitor(t, server.plain)
	put(t, c, "INBOX", mail("long ago", "T1 2+1"), time.Now().Add(-60*24*time.Hour))
	put(t, c, "INBOX", mail("one", "T1 2+1"), time.Now())
	put(t, c, "INBOX", mail("two", "T2 2+1"), time.Now())
	for _, security := range []inbox.Security{inbox.TLS, inbox.StartTLS, inbox.NoTLS} {
		addr := server.plain
		if security == inbox.TLS {
			addr = server.secure
		}
		p := poller(t, inbox.PollOptions{Addr: addr, Security: security, Trust: server.trust, Keep: m.keep, Mark: places, Count: m.count})
		round(t, p)
		round(t, p)
	}
	if got, want := m.subjects(), []string{"one", "two"}; !reflect.DeepEqual(got, want) || m.calls != 2 {
		t.Errorf("kept %q in %d calls, want %q in 2", got, m.calls, want)
	}
	if m.events[inbox.PassedBy] != 1 || m.events[inbox.Polled] != 6 {
		t.Errorf("events: %v", m.events)
	}
	if read, all := seen(t, c, "INBOX"); read != 0 || all != 3 {
		t.Errorf("%d of %d mails are marked as read, want none of 3", read, all)
	}
	sets := places.sets
	put(t, c, "INBOX", mail("three", "T3 2+1"), time.Now())
	p := poller(t, inbox.PollOptions{Addr: server.secure, Trust: server.trust, Keep: m.keep, Mark: places, After: inbox.Seen})
	round(t, p)
	round(t, p)
	if read, all := seen(t, c, "INBOX"); read != 1 || all != 4 {
		t.Errorf("%d of %d mails are marked as read, want the new one of 4", read, all)
	}
	if got := m.kept()[2]; got.Key != inbox.KeyOf([]byte(mail("three", "T3 2+1"))) || got.Way != inbox.ByIMAP || got.At.IsZero() {
		t.Errorf("the third mail came as %+v", got)
	}
	if places.sets != sets+1 {
		t.Errorf("the place was written %d times for one new mail", places.sets-sets)
	}
}

func TestADovecotMailboxThatWasMadeAnewIsReadAgainAndChangesNothing(t *testing.T) {
	server, m, places := dovecot(t), newMemory(), &marks{}
	c := visitor(t, server.plain)
	if err := c.Create("Replies", nil).Wait(); err != nil {
		t.Fatal(err)
	}
	o := inbox.PollOptions{Addr: server.secure, Trust: server.trust, Mailbox: "Replies", After: inbox.Move, Folder: "Read", Keep: m.keep, Mark: places}
	p := poller(t, o)
	put(t, c, "Replies", mail("one", "T1 2+1"), time.Now())
	put(t, c, "Replies", mail("two", "T2 2+1"), time.Now())
	round(t, p)
	if _, all := seen(t, c, "Replies"); all != 0 {
		t.Errorf("%d mails were not moved", all)
	}
	if _, all := seen(t, c, "Read"); all != 2 {
		t.Errorf("%d mails are in the folder of those read, want 2", all)
	}
	if err := c.Unselect().Wait(); err != nil {
		t.Fatal(err)
	}
	if err := c.Delete("Replies").Wait(); err != nil {
		t.Fatal(err)
	}
	if err := c.Create("Replies", nil).Wait(); err != nil {
		t.Fatal(err)
	}
	before := places.all()["Replies"].Validity
	put(t, c, "Replies", "Received: by somebody\r\n"+mail("two", "T2 2+1"), time.Now())
	put(t, c, "Replies", mail("three", "T3 2+1"), time.Now())
	round(t, p)
	if got, want := m.subjects(), []string{"one", "three", "two"}; !reflect.DeepEqual(got, want) {
		t.Errorf("kept %q, want %q", got, want)
	}
	if places.all()["Replies"].Validity == before {
		t.Error("the UIDVALIDITY didn't change, so this tried nothing")
	}
	if m.calls != 4 {
		t.Errorf("%d mails were handed over, want 4: three, one of them again", m.calls)
	}
}

func TestAMailTooLargeIsNotFetchedFromDovecotButItsHeaderIs(t *testing.T) {
	server, m, places := dovecot(t), newMemory(), &marks{}
	c := visitor(t, server.plain)
	put(t, c, "INBOX", mail("huge", strings.Repeat(strings.Repeat("x", 70)+"\r\n", 30_000)), time.Now())
	put(t, c, "INBOX", mail("small", "T2 2+1"), time.Now())
	round(t, poller(t, inbox.PollOptions{Addr: server.secure, Trust: server.trust, Keep: m.keep, Mark: places, Count: m.count, MaxBytes: 1 << 20}))
	got := m.kept()
	if len(got) != 2 || !got[0].Cut || got[0].Size < 2<<20 || len(got[0].Raw) > 1000 || got[1].Cut {
		t.Errorf("kept %d mails: %+v", len(got), m.subjects())
	}
	if m.events[inbox.TooLarge] != 1 {
		t.Errorf("events: %v", m.events)
	}
}

func TestACertificateThatNobodyVouchesForEndsTheConnection(t *testing.T) {
	server, m := dovecot(t), newMemory()
	for _, o := range []inbox.PollOptions{
		{Addr: server.secure, Security: inbox.TLS},
		{Addr: server.plain, Security: inbox.StartTLS},
	} {
		o.Keep, o.Mark = m.keep, &marks{}
		err := poller(t, o).Round(t.Context())
		if err == nil || !strings.Contains(err.Error(), "check the certificate") {
			t.Errorf("%s: %v", o.Security, err)
		}
	}
}
