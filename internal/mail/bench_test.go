package mail_test

import (
	"bytes"
	"net"
	"testing"
	"time"

	"github.com/emersion/go-smtp"

	"budcall/internal/mail"
)

// BenchmarkSend sends over one connection, and in the same run does the same
// by the bare library, so that the share of it is a figure of one machine and
// moment.
func BenchmarkSend(b *testing.B) {
	relay := sink(b, mail.SinkOptions{Take: func(string, string, []byte) error { return nil }})
	m := message()
	conn, err := net.Dial("tcp", relay.Addr())
	if err != nil {
		b.Fatal(err)
	}
	raw := smtp.NewClient(conn)
	defer func() { _ = raw.Close() }()
	s := sender(b, mail.Options{Relay: plain(relay.Addr())})
	var ours, bare time.Duration
	for b.Loop() {
		begun := time.Now()
		if out := s.Send(b.Context(), m, nil); out.Result != mail.Sent {
			b.Fatal(out)
		}
		middle := time.Now()
		if err := raw.SendMail(m.EnvelopeFrom, []string{m.To}, bytes.NewReader(m.Bytes)); err != nil {
			b.Fatal(err)
		}
		ours, bare = ours+middle.Sub(begun), bare+time.Since(middle)
	}
	b.ReportMetric(float64(b.N)/ours.Seconds(), "mails/s")
	b.ReportMetric(float64(b.N)/bare.Seconds(), "bare-mails/s")
	b.ReportMetric(100*bare.Seconds()/ours.Seconds(), "%of-bare")
}
