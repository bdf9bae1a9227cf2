package app_test

import (
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"budcall/internal/testpg"
)

func TestAMailboxThatCantBeReadHoldsBackNoOtherWayIn(t *testing.T) {
	box, dsn := &letterbox{}, testpg.New(t)
	p := repliesProgramme(t, relayAt(t, "127.0.0.1:0", box, nil).Addr())
	p.file(t, "secrets/box", "secret\n")
	nobody := freeAddr(t)
	p.file(t, "programme.yml", strings.Replace(p.read(t, "programme.yml"), "  lmtp: 127.0.0.1:0\n",
		"  lmtp: 127.0.0.1:0\n  imap: {server: "+nobody+", tls: none, user: calls, password_file: secrets/box}\n", 1))
	a := open(t, p.dir, "2031-03-01", dsn)
	db, err := pgx.Connect(t.Context(), dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close(t.Context())
	sentBefore(t, db)
	if err := a.DB().SetClock(t.Context(), time.Date(2031, 5, 3, 15, 0, 0, 0, time.UTC)); err != nil {
		t.Fatal(err)
	}
	m := mailer{a, box, db}
	m.gets(t, "aino@kolmivaara.example", "In-Reply-To: <2031.KOL.bag-on.2@mail.birch.example>\r\nMessage-ID: <1@kolmivaara.example>\r\n", "T3 2+1")
	if n := m.stored(t); n != 1 {
		t.Errorf("%d reports stored by the other way in, want 1", n)
	}
}
