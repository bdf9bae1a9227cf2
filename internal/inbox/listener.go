package inbox

import (
	"context"
	"fmt"
	"log/slog"
	"net"
	"path/filepath"
	"strings"
	"time"

	"github.com/emersion/go-smtp"
)

// ListenOptions are what a Listener needs; Addr and Keep must be there.
type ListenOptions struct {
	Addr     string               // see CheckAddress; port 0 takes a free one
	SMTP     bool                 // speaks SMTP instead of LMTP
	Domain   string               // the name it greets with; unset: localhost
	Ours     func(to string) bool // whether an address is one for replies; unset: any is
	MaxBytes int64                // of a message; unset: 25 MiB
	MaxConns int                  // at a time; unset: 20
	Idle     time.Duration        // without a byte, before a connection is ended; unset: 5 min (RFC 5321 section 4.5.3.2)
	Whole    time.Duration        // the longest that a connection lasts; unset: 30 min
	KeepTime time.Duration        // the longest that Keep may take; unset: 30 s
	Keep     Keep
	Count    func(Event) // unset: nothing is counted
	Log      *slog.Logger
}

func (o ListenOptions) orDefaults() ListenOptions {
	if o.Domain == "" {
		o.Domain = "localhost"
	}
	if o.Ours == nil {
		o.Ours = func(string) bool { return true }
	}
	if o.MaxBytes <= 0 {
		o.MaxBytes = defaultMaxBytes
	}
	if o.MaxConns <= 0 {
		o.MaxConns = 20
	}
	if o.Idle <= 0 {
		o.Idle = 5 * time.Minute
	}
	if o.Whole <= 0 {
		o.Whole = 30 * time.Minute
	}
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	return o
}

// maxLine is the longest line of a message in bytes. RFC 5322 allows 998, and
// go-smtp 2000 where it isn't told otherwise; programs that write HTML in one
// line exceed both, and their mails are replies too.
const maxLine = 1 << 20

// Listener takes messages from a mail server by LMTP or SMTP. The answer to a
// message is 250 only after Keep has committed, 4xx where that failed, so that
// the mail server keeps it and comes again; 552 where it is too large and 550
// for an address that isn't ours.
type Listener struct {
	options ListenOptions
	keeper  keeper
	ctx     context.Context // of Keep: ends only when Close has waited long enough
	cancel  context.CancelFunc
	gate    *gate
	server  *smtp.Server
	stopped chan struct{}
}

// Listen opens the address and serves until ctx ends or Close is called.
func Listen(ctx context.Context, o ListenOptions) (*Listener, error) {
	if err := CheckAddress(o.Addr); err != nil {
		return nil, err
	}
	o = o.orDefaults()
	socket, err := open(ctx, o.Addr)
	if err != nil {
		return nil, err
	}
	l := &Listener{options: o, keeper: newKeeper(o.Keep, o.KeepTime, o.Count, o.Log), stopped: make(chan struct{})}
	l.ctx, l.cancel = context.WithCancel(context.WithoutCancel(ctx))
	l.gate = &gate{
		Listener: socket, max: o.MaxConns, idle: o.Idle, whole: o.Whole, open: map[*served]bool{},
		turned: func() { l.keeper.count(Busy) },
	}
	l.server = smtp.NewServer(smtp.BackendFunc(l.session))
	l.server.LMTP, l.server.Domain = !o.SMTP, o.Domain
	// One byte more than we take: go-smtp refuses a message of exactly its limit.
	l.server.MaxMessageBytes, l.server.MaxLineLength, l.server.MaxRecipients = o.MaxBytes+1, maxLine, 100
	l.server.EnableSMTPUTF8 = true // it is only kept; refusing would make the mail server bounce it
	l.server.ErrorLog = serverLog{o.Log}
	unhook := context.AfterFunc(ctx, l.gate.shut)
	go func() {
		defer close(l.stopped)
		defer unhook()
		if err := l.server.Serve(l.gate); err != nil && !l.gate.isShut() {
			o.Log.Error("no replies can come in any more: the listener stopped; start budcall again", "error", err)
		}
	}()
	return l, nil
}

func (g *gate) isShut() bool {
	g.mu.Lock()
	defer g.mu.Unlock()
	return g.closed
}

// Addr is where it listens: host:port, or the path of the socket.
func (l *Listener) Addr() string { return l.gate.Listener.Addr().String() }

// Network is tcp or unix.
func (l *Listener) Network() string {
	if filepath.IsAbs(l.options.Addr) {
		return "unix"
	}
	return "tcp"
}

// Close takes nothing more, lets messages under way be kept and answered until
// ctx ends, then cuts what is left. A message that was cut is with its mail
// server still.
func (l *Listener) Close(ctx context.Context) error {
	l.gate.shut()
	<-l.stopped
	done := make(chan error, 1)
	go func() { done <- l.server.Shutdown(context.Background()) }()
	defer l.cancel()
	select {
	case err := <-done:
		return closing(err)
	case <-ctx.Done():
		l.cancel()
		l.gate.cut()
		return closing(<-done)
	}
}

func closing(err error) error {
	if err == nil || strings.Contains(err.Error(), net.ErrClosed.Error()) {
		return nil
	}
	return fmt.Errorf("closing the listener for replies: %w", err)
}

// serverLog passes on go-smtp's log, which holds no addresses of people.
type serverLog struct{ *slog.Logger }

func (l serverLog) Printf(format string, v ...any) {
	l.Warn("a connection to the inbox", "trouble", fmt.Sprintf(format, v...))
}
func (l serverLog) Println(v ...any) {
	l.Warn("a connection to the inbox", "trouble", fmt.Sprint(v...))
}
