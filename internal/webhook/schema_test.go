package webhook_test

import (
	"encoding/json"
	"fmt"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"budcall/internal/call"
	"budcall/internal/civil"
	"budcall/internal/webhook"
)

func schema(t testing.TB) map[string]any {
	t.Helper()
	b, err := os.ReadFile("../../deploy/webhook.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	var s map[string]any
	if err := json.Unmarshal(b, &s); err != nil {
		t.Fatalf("the published schema isn't JSON: %v", err)
	}
	return s
}

// known are the keywords that problems understands, and those that say nothing
// about a value; any other in the schema fails the test.
var known = []string{"type", "const", "enum", "required", "properties", "pattern", "minLength", "maxLength", "allOf", "if", "then",
	"$schema", "$id", "title", "description", "format"}

// problems checks a value against the part of JSON Schema 2020-12 that our
// schema uses.
func problems(path string, s map[string]any, v any) []string {
	var found []string
	say := func(format string, args ...any) { found = append(found, path+": "+fmt.Sprintf(format, args...)) }
	for keyword := range s {
		if !slices.Contains(known, keyword) {
			say("keyword %s isn't understood by this test", keyword)
		}
	}
	if want, ok := s["type"].(string); ok && kind(v) != want {
		say("is %s, not %s", kind(v), want)
	}
	if want, ok := s["const"]; ok && v != want {
		say("is %v, not %v", v, want)
	}
	if list, ok := s["enum"].([]any); ok && !slices.Contains(list, v) {
		say("%v is none of %v", v, list)
	}
	if text, ok := v.(string); ok {
		found = append(found, textProblems(path, s, text)...)
	}
	if object, ok := v.(map[string]any); ok {
		found = append(found, objectProblems(path, s, object)...)
	}
	all, _ := s["allOf"].([]any)
	for _, part := range all {
		found = append(found, problems(path, part.(map[string]any), v)...)
	}
	if cond, ok := s["if"].(map[string]any); ok && len(problems(path, cond, v)) == 0 {
		found = append(found, problems(path, s["then"].(map[string]any), v)...)
	}
	return found
}

func kind(v any) string {
	switch v.(type) {
	case string:
		return "string"
	case map[string]any:
		return "object"
	}
	return fmt.Sprintf("%T", v)
}

func textProblems(path string, s map[string]any, text string) (found []string) {
	if p, ok := s["pattern"].(string); ok && !regexp.MustCompile(p).MatchString(text) {
		found = append(found, fmt.Sprintf("%s: %q doesn't match %s", path, text, p))
	}
	n := float64(len([]rune(text)))
	if least, ok := s["minLength"].(float64); ok && n < least {
		found = append(found, path+": too short")
	}
	if most, ok := s["maxLength"].(float64); ok && n > most {
		found = append(found, path+": too long")
	}
	return found
}

func objectProblems(path string, s, object map[string]any) (found []string) {
	required, _ := s["required"].([]any)
	for _, name := range required {
		if _, ok := object[name.(string)]; !ok {
			found = append(found, path+"."+name.(string)+": missing")
		}
	}
	properties, _ := s["properties"].(map[string]any)
	for name, part := range properties {
		if v, ok := object[name]; ok {
			found = append(found, problems(path+"."+name, part.(map[string]any), v)...)
		}
	}
	return found
}

func decoded(t rapid.TB, body []byte) map[string]any {
	var v map[string]any
	if err := json.Unmarshal(body, &v); err != nil {
		t.Fatalf("%s: %v", body, err)
	}
	return v
}

func change() webhook.Change {
	return webhook.Change{
		ID: "evt_7", Kind: webhook.StandingChanged, At: time.Date(2031, 5, 2, 15, 0, 0, 0, time.UTC),
		Programme: "selfing-31", Site: "north-ridge", Task: call.BagOn, Standing: call.Go, Reason: call.BestDaysBegin,
		Days:       civil.Range{First: civil.MustParse("2031-05-03"), Last: civil.MustParse("2031-05-07")},
		PersonCode: "P4", ToldAt: time.Date(2031, 5, 2, 15, 0, 1, 999, time.FixedZone("", 7200)),
	}
}

func TestAnEventHasTheseBytes(t *testing.T) {
	const want = `{"specversion":"1.0","id":"evt_7","source":"/programmes/selfing-31","type":"budcall.standing.changed",` +
		`"time":"2031-05-02T15:00:00Z","datacontenttype":"application/json","data":{"programme":"selfing-31","site":"north-ridge",` +
		`"task":"bag on","standing":"go","reason":"best days begin","days":{"first":"2031-05-03","last":"2031-05-07"},` +
		`"person_code":"P4","told_at":"2031-05-02T13:00:01Z"}}` // written by hand
	got, err := webhook.Encode(change())
	if err != nil || string(got) != want {
		t.Errorf("%v\n got %s\nwant %s", err, got, want)
	}
}

func TestEveryEventFitsThePublishedSchema(t *testing.T) {
	s := schema(t)
	standings := []call.Standing{call.Ahead, call.Go, call.Hurry, call.LookFirst, call.TooLate, call.Done, call.NotNeeded}
	rapid.Check(t, func(t *rapid.T) {
		c := change()
		c.ID = rapid.StringMatching(`[0-9A-Za-z_-]{1,100}`).Draw(t, "id")
		c.Kind = rapid.SampledFrom(webhook.Kinds).Draw(t, "kind")
		c.Programme = rapid.StringN(1, 40, -1).Draw(t, "programme")
		c.Task = rapid.SampledFrom(call.Tasks).Draw(t, "task")
		c.Standing = rapid.SampledFrom(standings).Draw(t, "standing")
		c.Days.First = civil.Date(rapid.Int32Range(700_000, 800_000).Draw(t, "first"))
		c.Days.Last = c.Days.First + civil.Date(rapid.Int32Range(0, 60).Draw(t, "length")-1)
		c.At = time.Unix(rapid.Int64Range(0, 4e9).Draw(t, "at"), 5).In(time.FixedZone("", 3600))
		if rapid.Bool().Draw(t, "nobody") {
			c.PersonCode = ""
		}
		if rapid.Bool().Draw(t, "no site") {
			c.Site, c.Task, c.Standing, c.Days = "", "", "", civil.Range{}
		}
		body, err := webhook.Encode(c)
		if err != nil {
			return // refused by Encode itself: see the next test
		}
		if again, _ := webhook.Encode(c); string(again) != string(body) {
			t.Fatalf("other bytes the second time: %s, %s", body, again)
		}
		if found := problems("event", s, decoded(t, body)); len(found) > 0 {
			t.Fatalf("%s\n%s", strings.Join(found, "\n"), body)
		}
	})
}

// What Encode refuses, and what of it the schema says by itself.
func TestAnEventThatLacksSomethingIsRefusedByBoth(t *testing.T) {
	for name, row := range map[string]struct {
		spoil func(*webhook.Change)
		lacks string
		drop  string // the member whose absence the schema must find too
	}{
		"no id":                        {func(c *webhook.Change) { c.ID = "" }, "id", "id"},
		"an id with a full stop":       {func(c *webhook.Change) { c.ID = "a.b" }, "id", ""},
		"an unknown kind":              {func(c *webhook.Change) { c.Kind = "budcall.other" }, "kind", "type"},
		"no time":                      {func(c *webhook.Change) { c.At = time.Time{} }, "at", "time"},
		"a year of five digits":        {func(c *webhook.Change) { c.At = time.Date(12031, 1, 1, 0, 0, 0, 0, time.UTC) }, "at", ""},
		"no programme":                 {func(c *webhook.Change) { c.Programme = "" }, "programme", "data.programme"},
		"no site":                      {func(c *webhook.Change) { c.Site = "" }, "site", "data.site"},
		"no task":                      {func(c *webhook.Change) { c.Task = "" }, "task", "data.task"},
		"no standing":                  {func(c *webhook.Change) { c.Standing = call.Quiet }, "standing", "data.standing"},
		"no reason":                    {func(c *webhook.Change) { c.Reason = "" }, "reason", "data.reason"},
		"no days":                      {func(c *webhook.Change) { c.Days = civil.Range{} }, "days", "data.days"},
		"a last day before the first":  {func(c *webhook.Change) { c.Days.Last = c.Days.First - 1 }, "days", ""},
		"no person where one was told": {func(c *webhook.Change) { c.PersonCode = "" }, "person code", "data.person_code"},
		"no time of telling":           {func(c *webhook.Change) { c.ToldAt = time.Time{} }, "told at", "data.told_at"},
		"a refused mail to nobody": {func(c *webhook.Change) { c.Kind, c.PersonCode = webhook.DeliveryRefused, "" },
			"person code", "data.person_code"},
	} {
		t.Run(name, func(t *testing.T) {
			whole := change()
			body, err := webhook.Encode(whole)
			if err != nil {
				t.Fatal(err)
			}
			row.spoil(&whole)
			if _, err := webhook.Encode(whole); err == nil || !strings.Contains(err.Error(), row.lacks) {
				t.Errorf("Encode: %v, want it to name %q", err, row.lacks)
			}
			if row.drop == "" {
				return
			}
			event := decoded(t, body)
			if strings.Contains(name, "refused mail") {
				event["type"] = string(webhook.DeliveryRefused)
			}
			if member, ok := strings.CutPrefix(row.drop, "data."); ok {
				delete(event["data"].(map[string]any), member)
			} else {
				delete(event, row.drop)
			}
			if found := problems("event", schema(t), event); !slices.Contains(found, "event."+row.drop+": missing") {
				t.Errorf("the schema finds %v", found)
			}
		})
	}
}

func TestWhatMayBeMissingMay(t *testing.T) {
	nobody, letter, ended := change(), change(), change()
	ended.Standing, ended.Days = call.NotNeeded, civil.Range{} // what was never needed may never have had days
	nobody.Kind, nobody.Reason, nobody.PersonCode = webhook.PassedOn, call.NobodyElseKnown, ""
	letter.Kind, letter.Site, letter.Task, letter.Standing, letter.Days = webhook.DeliveryRefused, "", "", "", civil.Range{}
	for _, c := range []webhook.Change{nobody, letter, ended} {
		body, err := webhook.Encode(c)
		if err != nil {
			t.Fatal(err)
		}
		if found := problems("event", schema(t), decoded(t, body)); len(found) > 0 {
			t.Errorf("%v\n%s", found, body)
		}
		if strings.Contains(string(body), `""`) {
			t.Errorf("an empty member is written: %s", body)
		}
	}
}

func TestTheSchemaListsExactlyOurWords(t *testing.T) {
	list := func(path ...string) (words []string) {
		at := schema(t)
		for _, name := range path {
			at = at["properties"].(map[string]any)[name].(map[string]any)
		}
		for _, w := range at["enum"].([]any) {
			words = append(words, w.(string))
		}
		return words
	}
	var tasks, kinds []string
	for _, task := range call.Tasks {
		tasks = append(tasks, string(task))
	}
	for _, kind := range webhook.Kinds {
		kinds = append(kinds, string(kind))
	}
	if got := list("data", "task"); !slices.Equal(got, tasks) {
		t.Errorf("tasks %v, want %v", got, tasks)
	}
	if got := list("type"); !slices.Equal(got, kinds) {
		t.Errorf("types %v, want %v", got, kinds)
	}
}
