package localpg

import (
	"context"
	"log/slog"
	"regexp"
)

// logLine is a line of PostgreSQL's log as our settings shape it: SQLSTATE,
// severity, message.
var logLine = regexp.MustCompile(`^([0-9A-Z]{5}) +(DEBUG\d?|LOG|INFO|NOTICE|WARNING|ERROR|FATAL|PANIC): +(.*)$`)

// passOn gives a line of PostgreSQL's log to ours. An error of one statement
// is told by whoever sent it, so it is only a detail here; so are connections
// refused or cut while the server starts and stops (SQLSTATE class 57).
func passOn(log *slog.Logger, line string) {
	level := slog.LevelDebug
	attrs := []slog.Attr{slog.String("line", line)}
	if m := logLine.FindStringSubmatch(line); m != nil {
		attrs = []slog.Attr{slog.String("severity", m[2]), slog.String("sqlstate", m[1]), slog.String("line", m[3])}
		switch {
		case m[2] == "PANIC":
			level = slog.LevelError
		case m[2] == "WARNING", m[2] == "FATAL" && m[1][:2] != "57":
			level = slog.LevelWarn
		}
	}
	log.LogAttrs(context.Background(), level, "private PostgreSQL", attrs...)
}
