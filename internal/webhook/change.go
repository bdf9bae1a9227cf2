package webhook

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/url"
	"strings"
	"time"

	"budcall/internal/call"
	"budcall/internal/civil"
)

// Kind is the type of an event, as CloudEvents call it.
type Kind string

// The kinds. More may be added; what stands here keeps its meaning.
const (
	StandingChanged Kind = "budcall.standing.changed" // somebody was told of a call's new standing or days
	PassedOn        Kind = "budcall.passed.on"        // a call went to the next person, or nobody is left to ask
	DeliveryRefused Kind = "budcall.delivery.refused" // a mail was refused for good
)

// Kinds lists every kind.
var Kinds = []Kind{StandingChanged, PassedOn, DeliveryRefused}

// Change is what an event says. It names people by their code only.
type Change struct {
	ID         string // the event's, the same at every attempt: letters, digits, - and _
	Kind       Kind
	At         time.Time // of the change
	Programme  string    // code
	Site       string    // code; may be empty for DeliveryRefused only, as may Task, Standing and Days
	Task       call.Task
	Standing   call.Standing
	Reason     call.Reason
	Days       civil.Range // the days told
	PersonCode string      // who was told or asked; empty if nobody is left to ask
	ToldAt     time.Time   // when the notice was written
}

// envelope and data fix the order of the members, and so the bytes.
type envelope struct {
	SpecVersion     string `json:"specversion"`
	ID              string `json:"id"`
	Source          string `json:"source"`
	Type            Kind   `json:"type"`
	Time            string `json:"time"`
	DataContentType string `json:"datacontenttype"`
	Data            data   `json:"data"`
}

type data struct {
	Programme  string        `json:"programme"`
	Site       string        `json:"site,omitempty"`
	Task       call.Task     `json:"task,omitempty"`
	Standing   call.Standing `json:"standing,omitempty"`
	Reason     call.Reason   `json:"reason"`
	Days       civil.Range   `json:"days,omitzero"`
	PersonCode string        `json:"person_code,omitempty"`
	ToldAt     string        `json:"told_at"`
}

// Encode gives the body of an event: one CloudEvents 1.0 JSON object of the
// form published in deploy/webhook.schema.json. The same change always gives
// the same bytes. Times are in UTC and whole seconds.
func Encode(c Change) ([]byte, error) {
	if err := c.check(); err != nil {
		return nil, err
	}
	var b bytes.Buffer
	out := json.NewEncoder(&b)
	out.SetEscapeHTML(false)
	err := out.Encode(envelope{
		SpecVersion: "1.0", ID: c.ID, Source: "/programmes/" + url.PathEscape(c.Programme), Type: c.Kind,
		Time: stamp(c.At), DataContentType: "application/json",
		Data: data{
			Programme: c.Programme, Site: c.Site, Task: c.Task, Standing: c.Standing, Reason: c.Reason,
			Days: c.Days, PersonCode: c.PersonCode, ToldAt: stamp(c.ToldAt),
		},
	})
	if err != nil {
		return nil, fmt.Errorf("writing event %s: %w", c.ID, err)
	}
	return bytes.TrimSuffix(b.Bytes(), []byte("\n")), nil
}

func stamp(t time.Time) string { return t.UTC().Truncate(time.Second).Format(time.RFC3339) }

// check names every member that the event's kind needs and hasn't.
func (c Change) check() error {
	var lacks []string
	need := func(ok bool, name string) {
		if !ok {
			lacks = append(lacks, name)
		}
	}
	need(plainID(c.ID), "id")
	need(c.Kind == StandingChanged || c.Kind == PassedOn || c.Kind == DeliveryRefused, "kind")
	need(datable(c.At), "at")
	need(c.Programme != "", "programme")
	need(c.Reason != "", "reason")
	need(datable(c.ToldAt), "told at")
	if c.Kind == DeliveryRefused {
		need(c.PersonCode != "", "person code")
	} else {
		need(c.Site != "", "site")
		need(c.Task != "", "task")
		need(c.Standing != call.Quiet, "standing")
		need(c.Days.Len() > 0 || c.Standing.Ended(), "days") // what has ended may never have had any
	}
	if c.Kind == StandingChanged {
		need(c.PersonCode != "", "person code")
	}
	need((c.Days == civil.Range{}) || c.Days.Len() > 0, "days with a first and a last in order")
	if len(lacks) > 0 {
		return fmt.Errorf("event %q of kind %q lacks a usable %s: this is a fault of the program, please report it", c.ID, c.Kind, strings.Join(lacks, ", "))
	}
	return nil
}

// datable: RFC 3339 has four digits for the year.
func datable(t time.Time) bool { return !t.IsZero() && t.UTC().Year() >= 1 && t.UTC().Year() <= 9999 }
