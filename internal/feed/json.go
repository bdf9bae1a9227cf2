package feed

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
)

// decodeJSON reads a whole JSON body into v, or says at which byte and why it
// can't. Nothing of a body that is cut off is taken: the syntax is checked to
// the end before the first value is stored.
func decodeJSON(body []byte, format string, v any) error {
	body = bytes.TrimPrefix(body, []byte("\xef\xbb\xbf"))
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
