package mail_test

import (
	"context"
	"crypto/tls"
	"errors"
	"strings"
	"testing"
	"time"

	"budcall/internal/mail"
)

func TestTheSinkDoesWhatItsScriptSays(t *testing.T) {
	for name, row := range map[string]struct {
		at     mail.Moment
		answer mail.Answer
		result mail.Result
		stage  mail.Stage
		code   int
		taken  int
	}{
		"the line drops before the mail is taken": {mail.AtDot, mail.Answer{Drop: true}, mail.Unknown, mail.StageDot, 0, 0},
		"the line drops before the 250":           {mail.AfterDot, mail.Answer{Drop: true}, mail.Unknown, mail.StageDot, 0, 1},
		"the line drops after the 250":            {mail.After250, mail.Answer{Drop: true}, mail.Sent, mail.StageDot, 250, 1},
		"the line drops at the recipient":         {mail.AtRcpt, mail.Answer{Drop: true}, mail.TryLater, mail.StageRcpt, 0, 0},
		"it takes the mail and says it didn't":    {mail.AfterDot, mail.Answer{Code: 451, Text: "oh"}, mail.TryLater, mail.StageDot, 451, 1},
		"it takes its time":                       {mail.AtDot, mail.Answer{Delay: time.Millisecond}, mail.Sent, mail.StageDot, 250, 1},
	} {
		for _, secure := range []bool{false, true} {
			t.Run(name, func(t *testing.T) {
				o := mail.SinkOptions{Script: func(s mail.Step) mail.Answer {
					if s.Moment == row.at {
						return row.answer
					}
					return mail.Answer{}
				}}
				roots, cert := certificate(t, time.Now().Add(time.Hour))
				r := plain("")
				if secure {
					o.TLS = &tls.Config{Certificates: []tls.Certificate{cert}}
					r.TLS, r.RootCAs, r.ServerName = mail.StartTLS, roots, "relay.example"
				}
				relay := sink(t, o)
				r.Addr = relay.Addr()
				want(t, sender(t, mail.Options{Relay: r}).Send(t.Context(), message(), nil), row.result, row.stage, row.code, "")
				if n := len(relay.Mails()); n != row.taken {
					t.Errorf("it took %d mails, want %d", n, row.taken)
				}
			})
		}
	}
}

func TestTheSinkHandsMailsOver(t *testing.T) {
	got := make(chan mail.Taken, 2)
	full := errors.New("the folder is full")
	relay := sink(t, mail.SinkOptions{Take: func(from, to string, raw []byte) error {
		if to == "full@site.example" {
			return full
		}
		got <- mail.Taken{From: from, To: to, Raw: raw}
		return nil
	}})
	s := sender(t, mail.Options{Relay: plain(relay.Addr())})
	want(t, s.Send(t.Context(), message(), nil), mail.Sent, mail.StageDot, 250, "")
	if m := <-got; m.To != message().To || string(m.Raw) != letter {
		t.Errorf("handed over: %v", m)
	}
	m := message()
	m.To = "full@site.example"
	want(t, s.Send(t.Context(), m, nil), mail.TryLater, mail.StageDot, 451, full.Error())
	if len(relay.Mails()) != 0 {
		t.Error("it kept mails that it had handed over")
	}
}

func TestTheSinkStaysOnLoopback(t *testing.T) {
	for _, addr := range []string{"0.0.0.0:0", "192.0.2.1:25", "localhost:0", "nonsense"} {
		if _, err := mail.ServeSink(t.Context(), mail.SinkOptions{Addr: addr}); err == nil || !strings.Contains(err.Error(), "loopback only") {
			t.Errorf("%s: %v", addr, err)
		}
	}
	taken := sink(t, mail.SinkOptions{}).Addr()
	if _, err := mail.ServeSink(t.Context(), mail.SinkOptions{Addr: taken}); err == nil || !strings.Contains(err.Error(), "choose another port") {
		t.Errorf("a port in use: %v", err)
	}
}

func TestTheSinkEndsWithItsContextEvenInADelay(t *testing.T) {
	asked := make(chan struct{})
	ctx, stop := context.WithCancel(t.Context())
	relay, err := mail.ServeSink(ctx, mail.SinkOptions{Script: func(s mail.Step) mail.Answer {
		if s.Moment == mail.AtDot {
			close(asked)
			return mail.Answer{Delay: time.Hour}
		}
		return mail.Answer{}
	}})
	if err != nil {
		t.Fatal(err)
	}
	ended := make(chan mail.Outcome)
	go func() {
		ended <- sender(t, mail.Options{Relay: plain(relay.Addr())}).Send(context.Background(), message(), nil)
	}()
	<-asked
	stop()
	want(t, <-ended, mail.Unknown, mail.StageDot, 0, "")
	if err := relay.Close(); err != nil {
		t.Error(err)
	}
}
