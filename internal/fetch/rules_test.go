package fetch_test

import (
	"errors"
	"net/http"
	"regexp"
	"strings"
	"testing"
	"time"

	"budcall/internal/fetch"
)

func TestNoMoreIsAskedThanIsGranted(t *testing.T) {
	c := newClock()
	asked := 0
	server := serve(t, func(w http.ResponseWriter, r *http.Request) { asked++ })
	get, _ := client(t, c)
	began := c.Now()
	r := fetch.Request{URL: server, Rules: fetch.Rules{
		Interval: 2 * time.Second, Weight: 2, Allowances: []fetch.Allowance{{Requests: 6, Per: time.Minute}, {Requests: 100, Per: time.Hour}},
	}}
	for range 3 {
		if _, err := get.Get(t.Context(), r); err != nil {
			t.Fatal(err)
		}
	}
	if took := c.Now().Sub(began); took != 4*time.Second { // three, two seconds apart
		t.Errorf("three took %s", took)
	}
	_, err := get.Get(t.Context(), r)
	var e *fetch.Error
	if !errors.As(err, &e) || !errors.Is(err, fetch.ErrNotYet) || !e.Temporary || !e.RetryAfter.Equal(began.Add(time.Minute)) || asked != 3 {
		t.Fatalf("%d asked, %v", asked, err)
	}
	c.Add(time.Minute)
	if _, err := get.Get(t.Context(), r); err != nil || asked != 4 {
		t.Errorf("%d asked, %v", asked, err)
	}
}

func TestARequestThatCountsForMoreThanIsGrantedIsAskedAlone(t *testing.T) {
	c := newClock()
	server := serve(t, func(w http.ResponseWriter, r *http.Request) {})
	get, _ := client(t, c)
	r := fetch.Request{URL: server, Rules: fetch.Rules{Weight: 26, Allowances: []fetch.Allowance{{Requests: 10, Per: time.Minute}}}}
	if _, err := get.Get(t.Context(), r); err != nil {
		t.Fatal(err)
	}
	if _, err := get.Get(t.Context(), r); !errors.Is(err, fetch.ErrNotYet) {
		t.Errorf("%v", err)
	}
}

func TestOurOwnQueueAtAHostHasAnEnd(t *testing.T) {
	c := newClock()
	server := serve(t, func(w http.ResponseWriter, r *http.Request) {})
	get, _ := client(t, c, func(o *fetch.Options) { o.Now = newClock().Now }) // time stands still: all ask at once
	r := fetch.Request{URL: server, Rules: fetch.Rules{Interval: 50 * time.Second}}
	for i := range 4 { // at 0, 50 and 100 s; 150 s is too far away
		_, err := get.Get(t.Context(), r)
		if (i < 3) != (err == nil) || err != nil && !strings.Contains(err.Error(), "asked much by us") {
			t.Errorf("%d: %v", i, err)
		}
	}
}

const secret = "s3cret/kèy"

func TestAKeyGoesWhereTheProviderWantsItAndNowhereElse(t *testing.T) {
	for _, place := range []fetch.KeyPlace{fetch.KeyAsUser, fetch.KeyInURL} {
		var user, param string
		elsewhere := serve(t, func(w http.ResponseWriter, r *http.Request) {
			if strings.Contains(r.Header.Get("Authorization")+r.URL.String()+r.Header.Get("Referer"), "s3cret") {
				t.Errorf("%s: the key went elsewhere", place)
			}
			http.Error(w, "no", http.StatusBadRequest)
		})
		server := serve(t, func(w http.ResponseWriter, r *http.Request) {
			user, _, _ = r.BasicAuth()
			param = r.URL.Query().Get("apikey")
			switch r.URL.Path {
			case "/echo":
				http.Error(w, "the key "+secret+" in "+r.URL.String()+" is not known", http.StatusBadRequest)
			case "/away":
				http.Redirect(w, r, strings.Replace(elsewhere, "127.0.0.1", "localhost", 1), http.StatusFound)
			}
		})
		get, log := client(t, newClock())
		said := ""
		for _, path := range []string{"/", "/echo?x=1", "/away"} {
			_, err := get.Get(t.Context(), fetch.Request{URL: server + path, Source: "station:ONE", Key: secret, Rules: fetch.Rules{Key: place}})
			if err != nil {
				said += err.Error() + "\n"
				for e := err; e != nil; e = errors.Unwrap(e) {
					said += e.Error()
				}
			}
			if got := user + param; got != secret || (place == fetch.KeyAsUser) != (param == "") {
				t.Errorf("%s: the server saw user %q and apikey %q", place, user, param)
			}
		}
		if !strings.Contains(said, "status 400") || strings.Contains(said+log.String(), "s3cret") {
			t.Errorf("%s: said and logged %s\n%s", place, said, log)
		}
	}
}

func TestAFileWhoseNameOnlyAPageTells(t *testing.T) {
	// A listing as web servers make it, invented.
	const page = `<html><a href="tageswerte_KL_00428_19480101_20291231_hist.zip">tageswerte_KL_00428_19..&gt;</a>
<a href="tageswerte_KL_00429_19500101_20291231_hist.zip">tageswerte_KL_00429_19..&gt;</a></html>`
	var paths []string
	server := serve(t, func(w http.ResponseWriter, r *http.Request) {
		paths = append(paths, r.URL.Path+" "+r.Header.Get("If-None-Match"))
		if r.URL.Path == "/kl/historical/" {
			w.Write([]byte(page))
			return
		}
		w.Header().Set("ETag", `"2"`)
		w.Write([]byte("data"))
	})
	get, _ := client(t, newClock())
	for _, row := range []struct{ number, want, says string }{
		{"00429", `/kl/historical/ , /kl/historical/tageswerte_KL_00429_19500101_20291231_hist.zip "1"`, ""},
		{"00777", "/kl/historical/ ", "names no file of the station"},
	} {
		paths = nil
		resp, err := get.Get(t.Context(), fetch.Request{
			URL: server + "/kl/historical/", ETag: `"1"`, Link: regexp.MustCompile("tageswerte_KL_" + row.number + `_[0-9]{8}_[0-9]{8}_hist\.zip`),
		})
		if row.says == "" && (err != nil || string(resp.Body) != "data" || resp.ETag != `"2"`) || row.says != "" && (err == nil || !strings.Contains(err.Error(), row.says)) {
			t.Errorf("%s: %v %v", row.number, resp, err)
		}
		if got := strings.Join(paths, ", "); got != row.want {
			t.Errorf("%s: asked %s, want %s", row.number, got, row.want)
		}
	}
}
