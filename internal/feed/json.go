package feed

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"regexp"
)

// decodeJSON reads a whole JSON body into v, or says at which byte and why it
// can't. Nothing of a body that is cut off is taken: the syntax is checked to
// the end before the first value is stored.
func decodeJSON(body []byte, format string, v any) error {
	body = bytes.TrimPrefix(body, byteOrderMark)
	if trimmed := bytes.TrimSpace(body); len(trimmed) > 0 && trimmed[0] == '<' {
		return refuse("open the address in a browser: it may be a login, an error or a wrong address", "this is XML or HTML, not %s JSON", format)
	}
	err := json.Unmarshal(body, v)
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case err == nil:
		return nil
	case errors.As(err, &syntax) && syntax.Offset >= int64(len(body)):
		return refuse("fetch it again", "this %s JSON is cut off at byte %d", format, len(body))
	case errors.As(err, &syntax):
		return refuse("fetch it again, or tell the source", "this %s JSON is damaged at byte %d: %s", format, syntax.Offset, shorten(syntax.Error()))
	case errors.As(err, &kind):
		return refuse("look whether this is the right format", "this %s JSON holds a %s at byte %d where %s is expected", format, kind.Value, kind.Offset, expected(kind))
	}
	return refuse("fetch it again, or tell the source", "this %s JSON can't be read: %s", format, shorten(err.Error()))
}

func expected(e *json.UnmarshalTypeError) string {
	if e.Field == "" {
		return fmt.Sprintf("a %s", e.Type.Kind())
	}
	return fmt.Sprintf("%s, a %s,", e.Field, e.Type.Kind())
}

// eachJSON goes through a list item by item, numbered from 1, so that a long
// one doesn't stand in memory as a whole. No list, or null, has no items.
func eachJSON[T any](list json.RawMessage, format, name string, take func(number int, item *T) error) error {
	if len(list) == 0 || string(list) == "null" {
		return nil
	}
	if list[0] != '[' {
		return refuse("look whether this is the right format", "%s of this %s JSON is no list", name, format)
	}
	d := json.NewDecoder(bytes.NewReader(list))
	d.Token() // the bracket: the syntax was checked as part of the whole
	for number := 1; d.More(); number++ {
		var item T
		if err := d.Decode(&item); err != nil {
			what := "can't be read: " + shorten(err.Error())
			if kind := (*json.UnmarshalTypeError)(nil); errors.As(err, &kind) {
				what = fmt.Sprintf("holds a %s where %s is expected", kind.Value, expected(kind))
			}
			return refuse("look whether this is the right format", "entry %d of %s of this %s JSON %s", number, name, format, what)
		}
		if err := take(number, &item); err != nil {
			return err
		}
	}
	return nil
}

// jsonPart is a string of JSON, or a word that isn't in one: nan, -inf and the
// like among them.
var (
	jsonPart = regexp.MustCompile(`"(?:[^"\\]|\\.)*"|[+-]?[A-Za-z]+`)
	noNumber = regexp.MustCompile(`(?i)^[+-]?(nan|inf|infinity)$`)
)

// withoutNaN gives a body with null in the place of every bare nan and inf,
// which programs write that don't make their JSON by a library, and counts
// them.
func withoutNaN(body []byte) (cleaned []byte, found int) {
	cleaned = jsonPart.ReplaceAllFunc(body, func(part []byte) []byte {
		if !noNumber.Match(part) {
			return part
		}
		found++
		return []byte("null")
	})
	return cleaned, found
}
