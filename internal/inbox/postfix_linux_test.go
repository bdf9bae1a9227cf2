package inbox_test

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"budcall/internal/inbox"
)

// postfix starts a Postfix of its own in a temporary folder, which hands mail
// for programme.example to next. It gives the address of its SMTP server and
// a function that makes it try what is waiting.
func postfix(t *testing.T, next string) (addr string, flush func()) {
	t.Helper()
	if os.Geteuid() != 0 {
		t.Skip("Postfix is started by root only (it then runs as the user postfix): run this test as root")
	}
	master, tool := program(t, "master", "postfix"), program(t, "postfix", "postfix")
	queue := program(t, "postqueue", "postfix")
	uid, gid := account(t, "postfix")
	dir := folder(t)
	for _, d := range []string{"conf", "queue", "data"} {
		if err := os.Mkdir(filepath.Join(dir, d), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Chown(filepath.Join(dir, "data"), int(uid), int(gid)); err != nil {
		t.Fatal(err)
	}
	conf, log, port := filepath.Join(dir, "conf"), filepath.Join(dir, "log"), freePort(t)
	write(t, conf, "main.cf", strings.NewReplacer("DIR", dir, "NEXT", next).Replace(`compatibility_level = 3.6
queue_directory = DIR/queue
data_directory = DIR/data
maillog_file = DIR/log
maillog_file_prefixes = DIR
mail_owner = postfix
setgid_group = postdrop
myhostname = relay.programme.example
mydestination =
mynetworks = 127.0.0.0/8
inet_interfaces = 127.0.0.1
inet_protocols = ipv4
alias_maps =
alias_database =
virtual_mailbox_domains = programme.example
virtual_mailbox_maps =
virtual_transport = lmtp:NEXT
default_transport = error:only for replies
minimal_backoff_time = 1s
maximal_backoff_time = 1s
queue_run_delay = 1s
message_size_limit = 60000000
virtual_mailbox_limit = 0
smtputf8_enable = yes
`))
	write(t, conf, "master.cf", strings.ReplaceAll(`127.0.0.1:PORT inet n - n - - smtpd
pickup  unix n - n 60 1 pickup
cleanup unix n - n - 0 cleanup
qmgr    unix n - n 300 1 qmgr
rewrite unix - - n - - trivial-rewrite
bounce  unix - - n - 0 bounce
defer   unix - - n - 0 bounce
trace   unix - - n - 0 bounce
verify  unix - - n - 1 verify
flush   unix n - n 1000? 0 flush
proxymap unix - - n - - proxymap
showq   unix n - n - - showq
error   unix - - n - - error
retry   unix - - n - - error
lmtp    unix - - n - - lmtp
anvil   unix - - n - 1 anvil
scache  unix - - n - 1 scache
postlog unix-dgram n - n - 1 postlogd
`, "PORT", port))
	if out, err := exec.Command(tool, "-c", conf, "check").CombinedOutput(); err != nil {
		t.Fatalf("postfix check: %v\n%s", err, out)
	}
	cmd := exec.Command(master, "-c", conf, "-s")
	if out, err := exec.Command(master, "-h").CombinedOutput(); err != nil && !strings.Contains(string(out), "-s") {
		cmd = exec.Command(master, "-c", conf, "-d")
	}
	daemon(t, cmd, log)
	addr = "127.0.0.1:" + port
	answers(t, addr)
	return addr, func() {
		if out, err := exec.Command(queue, "-c", conf, "-f").CombinedOutput(); err != nil {
			t.Errorf("postqueue -f: %v\n%s", err, out)
		}
	}
}

func TestPostfixHandsRepliesOverAndKeepsThemWhileTheMemoryFails(t *testing.T) {
	m := newMemory()
	down := true
	refused := make(chan struct{}, 100)
	m.refuse = func(inbox.Arrived) error {
		if down {
			refused <- struct{}{}
			return errors.New("the database is away")
		}
		return nil
	}
	socket := filepath.Join(folder(t), "inbox.sock")
	listen(t, inbox.ListenOptions{Addr: socket, Keep: m.keep, Count: m.count, MaxBytes: 1 << 20, Ours: isOurs})
	relay, flush := postfix(t, "unix:"+socket)
	if err := hand(t, letter{addr: relay, to: ours, body: mail("first", "T3 2+1")}); err != nil {
		t.Fatal(err)
	}
	<-refused
	if got := m.kept(); len(got) != 0 {
		t.Fatalf("kept %d mails while the memory failed", len(got))
	}
	m.mu.Lock()
	down = false
	m.mu.Unlock()
	flush()
	m.wait(t, 1)
	long := mail("long-line", strings.Repeat("T3 2+1 ", 2000))
	if err := hand(t, letter{addr: relay, to: ours, body: long}); err != nil {
		t.Fatal(err)
	}
	m.wait(t, 1)
	if err := hand(t, letter{addr: relay, to: ours, body: mail("Õ1-2+1-äö", "Õ1 2+1")}); err != nil {
		t.Fatal(err)
	}
	m.wait(t, 1)
	got := m.kept()
	if len(got) != 3 {
		t.Fatalf("%d mails kept, want 3: %v", len(got), m.subjects())
	}
	a := got[0]
	if a.From != "aino@kolari.example" || len(a.To) != 1 || a.To[0] != "calls@programme.example" || a.Way != inbox.ByLMTP || a.Cut || a.Size != int64(len(a.Raw)) {
		t.Errorf("arrived as %q %q %q", a.From, a.To, a.Way)
	}
	if want := inbox.KeyOf([]byte(mail("first", "T3 2+1"))); a.Key != want {
		t.Errorf("the key counts what Postfix added on the way:\n%s", a.Raw)
	}
}

func TestPostfixTellsTheSenderWhatWasRefused(t *testing.T) {
	m := newMemory()
	l := listen(t, inbox.ListenOptions{Keep: m.keep, Count: m.count, MaxBytes: 100_000, Ours: isOurs})
	relay, _ := postfix(t, "inet:"+l.Addr())
	// A bounce goes to its sender, here to ourselves, so that it can be seen.
	big := mail("big", strings.Repeat(strings.Repeat("x", 70)+"\r\n", 2000))
	if err := hand(t, letter{addr: relay, from: ours[0], to: ours, body: big}); err != nil {
		t.Fatal(err)
	}
	m.wait(t, 1)
	if err := hand(t, letter{addr: relay, from: ours[0], to: []string{"nobody@programme.example"}, body: mail("stranger", "T3 2+1")}); err != nil {
		t.Fatal(err)
	}
	m.wait(t, 1)
	for i, says := range []string{"exceeds size limit", "no replies are taken under this address"} {
		a := m.kept()[i]
		if a.From != "" || !strings.Contains(strings.Join(strings.Fields(string(a.Raw)), " "), says) {
			t.Errorf("mail %d isn't a bounce that says %q:\n%.2000s", i, says, a.Raw)
		}
	}
	// Postfix sees the limit in our greeting and bounces without sending it all.
	if m.counted(inbox.Stranger) != 1 {
		t.Errorf("counted %d strangers, want 1", m.counted(inbox.Stranger))
	}
}
