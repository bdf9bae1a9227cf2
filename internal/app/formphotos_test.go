package app_test

import (
	"bytes"
	"context"
	"image"
	"image/jpeg"
	"mime/multipart"
	"net/http"
	"strings"
	"testing"
	"time"

	"budcall/internal/app"
	"budcall/internal/civil"
	"budcall/internal/testpg"
)

// sentWithPhoto sends a form with a photo that names its place, and gives where
// the answer leads.
func sentWithPhoto(t *testing.T, form, fields string, size int) string {
	t.Helper()
	var photo, body bytes.Buffer
	if err := jpeg.Encode(&photo, image.NewGray(image.Rect(0, 0, size, size)), nil); err != nil {
		t.Fatal(err)
	}
	place := "Exif\x00\x00PLACE 65.01N"
	w := multipart.NewWriter(&body)
	for _, pair := range strings.Split(fields, "&") {
		name, value, _ := strings.Cut(pair, "=")
		if err := w.WriteField(name, value); err != nil {
			t.Fatal(err)
		}
	}
	part, err := w.CreateFormFile("photos", "pekka.jpg")
	if err != nil {
		t.Fatal(err)
	}
	part.Write(photo.Bytes()[:2])
	part.Write(append([]byte{0xff, 0xe1, 0, byte(len(place) + 2)}, place...)) // a segment APP1 and its length
	part.Write(photo.Bytes()[2:])
	w.Close()
	client := http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	answer, err := client.Post(form, w.FormDataContentType(), &body)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	return answer.Header.Get("Location")
}

// A photo of a form is kept like one that came by mail: without its place, with
// its report, passed to the coordinator, and forgotten with the person.
func TestAPhotoOfAFormIsKeptAndPassedOn(t *testing.T) {
	box := &letterbox{}
	p := newProgramme(t, relayAt(t, "127.0.0.1:0", box, nil).Addr())
	o := app.Options{Dir: p.dir, DSN: testpg.New(t), State: t.TempDir(), Clock: civil.Of(2016, 4, 25)}
	a, err := start(t, o)
	if err != nil {
		t.Fatal(err)
	}
	defer a.Close(context.Background())
	until(t, a, "2016-04-26")
	form := signerOf(t, a, o.State).url(claims("otso", 1, at("2016-05-20 12:00"))[0])
	for i, step := range []struct {
		sentence, fields string
		size             int
		follows, counts  string // reports, photos, mails kept, letters to the coordinator
	}{
		{"a report with a photo", "key=K&selfing.T1=2&control.T1=1", 8, "?done=stored", "1 1 1 1"},
		{"the same once more changes nothing", "key=K&selfing.T1=2&control.T1=1", 8, "?done=again", "1 1 1 1"},
		{"the same report with another photo keeps the photo", "key=K&selfing.T1=2&control.T1=1", 16, "?done=stored", "1 2 2 2"},
		{"a photo alone", "key=L", 24, "?done=stored", "1 3 3 3"},
	} {
		if got := sentWithPhoto(t, form, step.fields, step.size); got != step.follows {
			t.Fatalf("%d %s: leads to %q, want %q", i, step.sentence, got, step.follows)
		}
		counts := ask(t, o.DSN, `select concat_ws(' ', (select count(*) from report where way = 'form'), (select count(*) from photo where person = 'otso' and type = 'image/jpeg'),
			(select count(*) from arrived where way = 'form' and state = 'read' and person = 'otso'), (select count(*) from letter where kind = 'unread'))`)
		if counts != step.counts {
			t.Fatalf("%d %s: %s, want %s", i, step.sentence, counts, step.counts)
		}
	}
	if got := ask(t, o.DSN, `select count(*)::text from photo where position('PLACE'::bytea in bytes) > 0`); got != "0" {
		t.Error("the place is still in the photo")
	}
	if got := ask(t, o.DSN, `select count(*)::text from photo join report on report.key = photo.report_key`); got != "2" {
		t.Errorf("%s photos are with their report, want 2", got)
	}
	if page := get(t, form); !strings.Contains(page, "3 photos were kept, without their position.") {
		t.Errorf("the form doesn't show what is known:\n%s", page)
	}
	for end := time.Now().Add(patience); ; time.Sleep(20 * time.Millisecond) { // the sink has nothing to wait for
		for _, l := range box.all() {
			if strings.Contains(l.text, "message/rfc822") && strings.Contains(l.text, "photo-1.jpeg") {
				return
			}
		}
		if time.Now().After(end) {
			t.Fatalf("the coordinator didn't get the photo in %s", patience)
		}
	}
}
