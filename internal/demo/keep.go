package demo

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"budcall/internal/config"
	"budcall/internal/webhook"
)

// keepLetters writes every mail as it came and as its page.
func keepLetters(dir string, p *config.Programme, letters []letter) error {
	used := map[string]int{}
	for _, l := range letters {
		name := letterName(p, l)
		if used[name]++; used[name] > 1 {
			name = fmt.Sprintf("%s-%d", name, used[name])
		}
		for ext, body := range map[string][]byte{".eml": l.raw, ".html": l.html} {
			if err := os.WriteFile(filepath.Join(dir, name+ext), body, 0o644); err != nil {
				return fmt.Errorf("keeping a mail: %w", err)
			}
		}
	}
	return nil
}

// letterName is date, time, person and subject, fit for a file.
func letterName(p *config.Programme, l letter) string {
	who := l.to
	for _, x := range p.People {
		if x.Email == l.to {
			who = x.Code
		}
	}
	var b strings.Builder
	for _, r := range strings.ToLower(l.subject) {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	subject := clip(b.String(), 60)
	return l.at.Format("2006-01-02T1504") + "_" + who + "_" + strings.Trim(strings.TrimSuffix(subject, "…"), "-")
}

// keepEvents writes the messages to the webhook, one a line, in the order of
// what they tell.
func keepEvents(path string, events []webhook.Received) error {
	type event struct {
		at   string
		line []byte
	}
	var list []event
	for _, e := range events {
		var head struct {
			Time string `json:"time"`
		}
		var line bytes.Buffer
		if err := json.Unmarshal(e.Body, &head); err != nil {
			return fmt.Errorf("reading the message %s of the webhook: %w", e.ID, err)
		}
		if err := json.Compact(&line, e.Body); err != nil {
			return fmt.Errorf("reading the message %s of the webhook: %w", e.ID, err)
		}
		list = append(list, event{head.Time + e.ID, line.Bytes()})
	}
	slices.SortFunc(list, func(a, b event) int { return cmp.Compare(a.at, b.at) })
	var out bytes.Buffer
	for _, e := range list {
		out.Write(e.line)
		out.WriteByte('\n')
	}
	if err := os.WriteFile(path, out.Bytes(), 0o644); err != nil {
		return fmt.Errorf("keeping the messages to the webhook: %w", err)
	}
	return nil
}
