package fetch_test

import (
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"budcall/internal/fetch"
)

func TestTheReasonThatAServerGives(t *testing.T) {
	const ows = `<?xml version="1.0" encoding="UTF-8"?>
<ExceptionReport xmlns="http://www.opengis.net/ows/1.1" version="2.0.0" xml:lang="eng">
  <Exception exceptionCode="OperationParsingFailed">
    <ExceptionText>Too long time interval
      requested!</ExceptionText>
    <ExceptionText>URI: /wfs?request=getFeature&amp;fmisid=990</ExceptionText>
  </Exception>
</ExceptionReport>`
	for _, row := range []struct {
		sentence, contentType, body string
		says                        string // within (it says "…"); empty: nothing is quoted
	}{
		{"FMI's exception report, in one line and without the address that it repeats", "text/xml", ows, "Too long time interval requested!"},
		{"the same with a prefix, declared to be in Latin-1", "text/xml", `<?xml version="1.0" encoding="ISO-8859-1"?><ows:ExceptionReport xmlns:ows="http://www.opengis.net/ows/1.1"><ows:Exception exceptionCode="X"><ows:ExceptionText>Invalid fmisid</ows:ExceptionText></ows:Exception></ows:ExceptionReport>`, "Invalid fmisid"},
		{"an exception without a text has its code", "text/xml", `<ExceptionReport><Exception exceptionCode="NoApplicableCode"/></ExceptionReport>`, "NoApplicableCode"},
		{"Open-Meteo's reason", "application/json", `{"error":true,"reason":"Parameter 'start_date' is out of allowed range"}`, "Parameter 'start_date' is out of allowed range"},
		{"Frost's message and reason, after much else", "application/json", `{"@context":"` + strings.Repeat("x", 2000) + `","@type":"ErrorResponse","error":{"code":400,"message":"Invalid query","reason":"Unknown field element","help":"see the docs"}}`, "Invalid query: Unknown field element"},
		{"an error that is a text, as SMHI's gateway gives it", "application/json", `{"status":400,"error":"Bad Request","message":"No such period"}`, "No such period: Bad Request"},
		{"JSON without a known reason is quoted as it is", "application/json", `{"oops":1}`, "{'oops':1}"},
		{"plain words are quoted", "text/plain", "no such\nthing", "no such thing"},
		{"long words are shortened", "text/plain", strings.Repeat("ä", 400), strings.Repeat("ä", 300) + "…"},
		{"a page for people isn't", "text/html", "<html>sorry</html>", ""},
		{"nor is other XML", "text/xml", "<problem>sorry</problem>", ""},
		{"nothing is nothing", "text/plain", "", ""},
	} {
		server := serve(t, func(w http.ResponseWriter, r *http.Request) {
			w.Header().Set("Content-Type", row.contentType)
			w.WriteHeader(http.StatusBadRequest)
			fmt.Fprint(w, row.body)
		})
		get, _ := client(t, newClock())
		_, err := get.Get(t.Context(), fetch.Request{URL: server, Source: "north"})
		if err == nil || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v", row.sentence, err)
			continue
		}
		_, said, quoted := strings.Cut(err.Error(), ` (it says "`)
		if quoted != (row.says != "") || strings.TrimSuffix(said, `")`) != row.says {
			t.Errorf("%s: %s", row.sentence, err)
		}
	}
}

// A server that repeats what it was sent repeats our key, in whatever form.
func TestAServerThatRepeatsOurKeyTeachesItToNobody(t *testing.T) {
	const key = `1b9c/é"2-client`
	server := serve(t, func(w http.ResponseWriter, r *http.Request) {
		user, password, _ := r.BasicAuth()
		quoted, _ := json.Marshal(user)
		pair := []byte(user + ":" + password)
		w.WriteHeader(http.StatusBadRequest)
		switch r.URL.Path {
		case "/header":
			fmt.Fprintf(w, "we got Authorization: %s", r.Header.Get("Authorization"))
		case "/raw":
			fmt.Fprintf(w, "we got %s", base64.RawURLEncoding.EncodeToString(pair))
		case "/escaped":
			fmt.Fprintf(w, "we got %s and %s and %s", url.QueryEscape(base64.StdEncoding.EncodeToString(pair)), url.PathEscape(user), url.QueryEscape(user))
		case "/json":
			fmt.Fprintf(w, `{"oops":%s}`, quoted)
		case "/late": // what is cut off is cut after the secret was taken out
			fmt.Fprintf(w, "%s %s", strings.Repeat("x", 295), r.Header.Get("Authorization"))
		}
	})
	// In Base64 by hand (coreutils' base64): the beginning of 1b9c/é"2-client: is MWI5Yy/Dq.
	for _, path := range []string{"/header", "/raw", "/escaped", "/json", "/late"} {
		get, log := client(t, newClock())
		_, err := get.Get(t.Context(), fetch.Request{URL: server + path, Source: "station:ONE", Key: key, Rules: fetch.Rules{Key: fetch.KeyAsUser}})
		if err == nil {
			t.Fatalf("%s: no error", path)
		}
		said := err.Error() + log.String()
		for e := err; e != nil; e = errors.Unwrap(e) {
			said += e.Error()
		}
		for _, part := range []string{"1b9c", "client", "MWI5Y", base64.StdEncoding.EncodeToString([]byte(key))[:6]} {
			if strings.Contains(said, part) {
				t.Errorf("%s: said %s", path, said)
			}
		}
		if !strings.Contains(said, "status 400") {
			t.Errorf("%s: %s", path, err)
		}
	}
}

// What came is kept for years, and quoted where it can't be read.
func TestAKeyThatAnAnswerRepeatsIsKeptNowhere(t *testing.T) {
	server := serve(t, func(w http.ResponseWriter, r *http.Request) {
		fmt.Fprintf(w, `{"@type":"ErrorResponse","error":{"reason":"%s at %s"},"ab":"ab"}`, r.Header.Get("Authorization"), r.URL.RawQuery)
	})
	get, _ := client(t, newClock())
	for key, want := range map[string]string{
		"1b9c-invented-client": `{"@type":"ErrorResponse","error":{"reason":"Basic *** at x=***"},"ab":"ab"}`,
		"ab":                   `{"@type":"ErrorResponse","error":{"reason":"Basic YWI6 at x=ab"},"ab":"ab"}`, // too short to be told from data
	} {
		resp, err := get.Get(t.Context(), fetch.Request{URL: server + "/?x=" + key, Key: key, Rules: fetch.Rules{Key: fetch.KeyAsUser}})
		if err != nil || string(resp.Body) != want {
			t.Errorf("%s: %s %v", key, resp.Body, err)
		}
	}
}
