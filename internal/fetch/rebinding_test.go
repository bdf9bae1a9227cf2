package fetch_test

import (
	"context"
	"errors"
	"net"
	"net/netip"
	"sync/atomic"
	"testing"

	"budcall/internal/fetch"
)

// changingName is a name service that gives every name a public address when
// it is first asked, and this machine's afterwards.
func changingName(t *testing.T) (asked *atomic.Int32) {
	t.Helper()
	conn, err := net.ListenPacket("udp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { conn.Close() })
	asked = new(atomic.Int32)
	go func() {
		query := make([]byte, 512)
		for {
			n, from, err := conn.ReadFrom(query)
			if err != nil {
				return
			}
			conn.WriteTo(addressAnswer(query[:n], asked), from)
		}
	}()
	before := net.DefaultResolver
	t.Cleanup(func() { net.DefaultResolver = before })
	net.DefaultResolver = &net.Resolver{PreferGo: true, Dial: func(ctx context.Context, _, _ string) (net.Conn, error) {
		return new(net.Dialer).DialContext(ctx, "udp", conn.LocalAddr().String())
	}}
	return asked
}

// addressAnswer answers a query for an IPv4 address (type A, RFC 1035 section
// 4.1), and says of other types that there is none.
func addressAnswer(query []byte, asked *atomic.Int32) []byte {
	end := 12
	for query[end] != 0 { // labels of the name
		end += 1 + int(query[end])
	}
	question := query[12 : end+5]
	address, answers := []byte{93, 184, 215, 14}, byte(0)
	if question[len(question)-3] == 1 { // type A
		answers = 1
		if asked.Add(1) > 1 {
			address = []byte{127, 0, 0, 1}
		}
	}
	out := append([]byte{query[0], query[1], 0x81, 0x80, 0, 1, 0, answers, 0, 0, 0, 0}, question...)
	if answers == 1 {
		out = append(out, 0xc0, 12, 0, 1, 0, 1, 0, 0, 0, 0, 0, 4) // the name, type A, class IN, lives 0 s, 4 bytes
		out = append(out, address...)
	}
	return out
}

// Whoever looks a name up, finds it public and then connects by name can be
// led to this machine in between. The guard looks at what is connected to.
func TestANameThatTurnsPrivateIsNotAsked(t *testing.T) {
	asked := changingName(t)
	const host = "weather.budcall-rebinding.example"
	first, err := net.DefaultResolver.LookupHost(t.Context(), host)
	if err != nil || len(first) != 1 || !netip.MustParseAddr(first[0]).IsGlobalUnicast() || netip.MustParseAddr(first[0]).IsLoopback() {
		t.Fatalf("the first answer is %v, %v: the test itself is wrong", first, err)
	}
	get, _ := client(t, newClock(), func(o *fetch.Options) { o.AllowCIDRs, o.Attempts = nil, 1 })
	_, err = get.Get(t.Context(), fetch.Request{URL: "https://" + host + "/data"})
	if !errors.Is(err, fetch.ErrGuarded) || asked.Load() < 2 {
		t.Errorf("after %d lookups: %v", asked.Load(), err)
	}
}
