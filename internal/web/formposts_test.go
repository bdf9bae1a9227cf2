package web_test

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/textproto"
	"strings"
	"testing"

	"budcall/internal/call"
	"budcall/internal/link"
	"budcall/internal/words"
)

// photoOf gives a small picture; that in JPEG names a place, as telephones do.
func photoOf(t testing.TB, kind string, shade uint8) []byte {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 8, 8))
	img.Set(1, 1, color.RGBA{shade, 0, 0, 255})
	var b bytes.Buffer
	if kind == "png" {
		if err := png.Encode(&b, img); err != nil {
			t.Fatal(err)
		}
		return b.Bytes()
	}
	if err := jpeg.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	// An APP1 segment behind the start of the image (JPEG, annex B.1.1): two
	// bytes of length, which count themselves.
	place := []byte("Exif\x00\x00PLACE 65.01N 25.47E")
	app1 := append([]byte{0xff, 0xe1, 0, byte(len(place) + 2)}, place...)
	return append(append(bytes.Clone(b.Bytes()[:2]), app1...), b.Bytes()[2:]...)
}

// file is one file of a form.
type file struct {
	field, name string
	body        []byte
}

// inParts writes a form in parts, as browsers do.
func inParts(t testing.TB, fields string, files ...file) (kind string, body []byte) {
	t.Helper()
	var b bytes.Buffer
	w := multipart.NewWriter(&b)
	for _, pair := range strings.Split(fields, "&") {
		name, value, ok := strings.Cut(pair, "=")
		if !ok {
			continue
		}
		if err := w.WriteField(name, value); err != nil {
			t.Fatal(err)
		}
	}
	for _, f := range files {
		h := textproto.MIMEHeader{"Content-Type": {"application/octet-stream"}}
		h.Set("Content-Disposition", `form-data; name="`+f.field+`"; filename="`+f.name+`"`)
		part, err := w.CreatePart(h)
		if err != nil {
			t.Fatal(err)
		}
		part.Write(f.body)
	}
	w.Close()
	return w.FormDataContentType(), b.Bytes()
}

// Outcomes by hand: status, how many reports and photos are stored, and what the
// address that follows says.
func TestAFormInParts(t *testing.T) {
	const good = "key=K&selfing.T1=2&control.T1=1"
	jpg, pic := photoOf(t, "jpeg", 1), photoOf(t, "png", 2)
	heic := append([]byte("\x00\x00\x00\x18ftypheic"), make([]byte, 40)...)
	var eleven []file
	for i := range 11 {
		eleven = append(eleven, file{"photos", "x.png", photoOf(t, "png", uint8(20*i))})
	}
	for _, row := range []struct {
		sentence        string
		fields          string
		files           []file
		limit           int64
		cut             int // bytes missing at the end
		status          int
		reports, photos int
		follows         string
	}{
		{"a report without a photo", good, nil, 0, 0, 303, 1, 0, "?done=stored"},
		{"a browser sends an empty file where none was chosen", good, []file{{"photos", "", nil}}, 0, 0, 303, 1, 0, "?done=stored"},
		{"a report with a photo", good, []file{{"photos", "a.jpg", jpg}}, 0, 0, 303, 1, 1, "?done=stored"},
		{"a report with two photos", good, []file{{"photos", "a.jpg", jpg}, {"photos", "b.png", pic}}, 0, 0, 303, 1, 2, "?done=stored"},
		{"the same photo twice is one", good, []file{{"photos", "a.jpg", jpg}, {"photos", "b.jpg", jpg}}, 0, 0, 303, 1, 1, "?done=stored"},
		{"a photo alone", "key=K", []file{{"photos", "a.jpg", jpg}}, 0, 0, 303, 0, 1, "?done=stored"},
		{"a photo that keeps its place is left out, the report isn't", good, []file{{"photos", "a.heic", heic}}, 0, 0, 303, 1, 0, "?done=stored&photo=place"},
		{"one that is cut off", good, []file{{"photos", "a.jpg", jpg[:40]}}, 0, 0, 303, 1, 0, "?done=stored&photo=damaged"},
		{"a program that calls itself a picture", good, []file{{"photos", "a.jpg", []byte("MZ\x90\x00 program")}}, 0, 0, 303, 1, 0, "?done=stored&photo=kind"},
		{"a page that calls itself a picture", good, []file{{"photos", "a.jpg", []byte("<script>alert(1)</script>")}}, 0, 0, 303, 1, 0, "?done=stored&photo=kind"},
		{"a name that climbs out of its folder does nothing", good, []file{{"photos", "../../etc/passwd", jpg}}, 0, 0, 303, 1, 1, "?done=stored"},
		{"a good photo beside a wrong one is kept", good, []file{{"photos", "a.heic", heic}, {"photos", "a.jpg", jpg}}, 0, 0, 303, 1, 1, "?done=stored&photo=place"},
		{"more photos than are taken at once", good, eleven, 0, 0, 303, 1, 10, "?done=stored&photo=large"},
		{"a photo beyond the limit", good, []file{{"photos", "a.jpg", append(bytes.Clone(jpg), make([]byte, 4000)...)}}, 3000, 0, 303, 1, 0, "?done=stored&photo=large"},
		{"a photo far beyond all limits", good, []file{{"photos", "a.jpg", make([]byte, 40000)}}, 3000, 0, 303, 1, 0, "?done=stored&photo=large"},
		{"the line breaks off in a photo", good, []file{{"photos", "a.jpg", jpg}}, 0, 150, 303, 1, 0, "?done=stored&photo=damaged"},
		{"the line breaks off in the fields", good, nil, 0, 70, 400, 0, 0, ""},
		{"nothing but wrong photos", "key=K", []file{{"photos", "a.heic", heic}}, 0, 0, 422, 0, 0, ""},
		{"nothing at all", "key=K", nil, 0, 0, 422, 0, 0, ""},
		{"a photo beside a number that must be mended", "key=K&selfing.T1=x", []file{{"photos", "a.jpg", jpg}}, 0, 0, 422, 0, 0, ""},
		{"a file in a field of its own", good, []file{{"malware", "a.exe", jpg}}, 0, 0, 422, 0, 0, ""},
		{"a number as a file", "key=K", []file{{"selfing.T1", "2", []byte("2")}}, 0, 0, 303, 1, 0, "?done=stored"},
		{"fields without end", "key=K&problem=" + strings.Repeat("a", 70_000), nil, 0, 0, 413, 0, 0, ""},
		{"more fields than a form has", strings.Repeat("a=&", 2100) + good, nil, 0, 0, 413, 0, 0, ""},
		{"a tree of another site", "key=K&selfing.T9=2", nil, 0, 0, 422, 0, 0, ""},
	} {
		t.Run(row.sentence, func(t *testing.T) {
			m := newMemory(call.BagOn)
			m.form.MaxUpload = row.limit
			p := newPages(m)
			kind, body := inParts(t, row.fields, row.files...)
			body = body[:len(body)-row.cut]
			for range 2 { // sent twice it is stored once
				w := posted(p, formPath(claimOf(call.BagOn)), kind, body)
				if w.Code != row.status || len(m.reports) != row.reports || len(m.photos) != row.photos {
					t.Fatalf("%d with %d reports and %d photos, want %d with %d and %d\n%.600s", w.Code, len(m.reports), len(m.photos), row.status, row.reports, row.photos, w.Body)
				}
				if got := w.Header().Get("Location"); got != row.follows {
					t.Errorf("leads to %q, want %q", got, row.follows)
				}
				row.follows = strings.Replace(row.follows, "stored", "again", 1)
			}
			for _, photo := range m.photos {
				if bytes.Contains(photo.Bytes, []byte("PLACE")) {
					t.Error("the place is still in the photo")
				}
			}
		})
	}
}

func posted(h http.Handler, path, kind string, body []byte) *httptest.ResponseRecorder {
	r := httptest.NewRequest(http.MethodPost, path, bytes.NewReader(body))
	r.Header.Set("Content-Type", kind)
	return do(h, r)
}

// What was typed is shown again, and what became of a photo is said.
func TestAWrongPhotoIsSaid(t *testing.T) {
	m := newMemory(call.BagOn)
	p := newPages(m)
	path := formPath(claimOf(call.BagOn))
	kind, body := inParts(t, "key=K&selfing.T1=x&problem=the gate is locked", file{"photos", "a.jpg", photoOf(t, "jpeg", 1)})
	page := posted(p, path, kind, body).Body.String()
	says := func(page string, key words.Key) bool {
		return strings.Contains(strings.ReplaceAll(page, "&#39;", "'"), words.For("en").Text(key))
	}
	if !says(page, words.ProblemPhotosAgain) || !strings.Contains(page, ">the gate is locked</textarea>") || !strings.Contains(page, `value="x"`) {
		t.Errorf("what was typed, or that photos are to be chosen again, isn't shown:\n%s", page)
	}
	kind, body = inParts(t, "key=K&selfing.T1=2", file{"photos", "a.heic", []byte("\x00\x00\x00\x18ftypheic....")}, file{"photos", "a.jpg", photoOf(t, "jpeg", 1)})
	next := posted(p, path, kind, body).Header().Get("Location")
	page = get(t, p, path+next).Body.String()
	if !says(page, words.FormStored) || !says(page, words.PhotoPlace) || !strings.Contains(page, "1 photo was kept, without its position.") {
		t.Errorf("what became of the photos isn't said:\n%s", page)
	}
	if page := get(t, p, path+"?done=stored&photo=nonsense&photo=%3Cb%3E").Body.String(); strings.Contains(page, "<b>") || strings.Contains(page, "nonsense") {
		t.Error("the address puts words into the page")
	}
}

// What a form says counts by when it was sent, whatever was sent before and
// however the call stands; each step leads on to the next.
func TestFormsOutOfOrder(t *testing.T) {
	m := newMemory(call.BagOn)
	p := newPages(m)
	path := formPath(claimOf(call.BagOn))
	later := claimOf(call.BagOn)
	later.Expires = later.Expires.AddDate(0, 0, 1)
	for _, step := range []struct {
		sentence, path, fields string
		change                 func()
		status, reports        int
		follows                string
	}{
		{"bags are on", path, "key=A&selfing.T1=2&control.T1=1", nil, 303, 1, "?done=stored"},
		{"the same once more", path, "key=A&selfing.T1=2&control.T1=1", nil, 303, 1, "?done=again"},
		{"the same by the link of a later mail", formPath(later), "key=A&selfing.T1=2&control.T1=1", nil, 303, 1, "?done=again"},
		{"an older form of another tree, sent after it", path, "key=0&day=2031-05-01&selfing.T2=2&control.T2=1", nil, 303, 2, "?done=stored"},
		{"corrected", path, "key=B&selfing.T1=1&control.T1=1", nil, 303, 3, "?done=stored"},
		{"an answer after the report", path, "key=C&answer=cannot", nil, 303, 4, "?done=stored"},
		{"after the end of the call a report still counts", path, "key=D&selfing.T3=1&control.T3=1", func() { m.form.Item.Standing, m.form.Item.Reason = call.TooLate, call.ReportedPast }, 303, 5, "?done=stored"},
		{"without a key", path, "selfing.T2=1&control.T2=0", nil, 303, 6, "?done=stored"},
		{"without a key, twice", path, "selfing.T2=1&control.T2=0", nil, 303, 6, "?done=again"},
		{"a key as long as a novel", path, "key=" + strings.Repeat("k", 5000) + "&selfing.T2=2", nil, 303, 7, "?done=stored"},
		{"the tree was felled meanwhile", path, "key=E&selfing.T3=1&control.T3=1", func() { m.form.Item.Trees = m.form.Item.Trees[:2] }, 422, 7, ""},
		{"the person lost the site", path, "key=F&selfing.T1=2", func() { m.form.Stranger = true }, 403, 7, ""},
		{"the database is away", path, "key=G&selfing.T1=2", func() { m.form.Stranger, m.down = false, true }, 503, 7, ""},
		{"and comes back", path, "key=G&selfing.T1=2", func() { m.down = false }, 303, 8, "?done=stored"},
		{"another call's link reports of that call", formPath(claimOf(call.TakeOff)), "key=A&selfing.T1=2&control.T1=1", nil, 303, 9, "?done=stored"},
		{"the links were withdrawn", path, "key=H&selfing.T1=2", func() { m.turns = map[string]int{"ada": 1} }, 410, 9, ""},
		{"the link of somebody unknown", formPath(link.Claim{Opens: "form", Person: "eve", Site: "kolmi", Task: string(call.BagOn), Season: 2031, Expires: noon.AddDate(0, 0, 9)}), "key=H&selfing.T1=2", nil, 404, 9, ""},
		{"a link that has run out", formPath(link.Claim{Opens: "form", Person: "ada", Site: "kolmi", Task: string(call.BagOn), Season: 2031, Turn: 1, Expires: noon.AddDate(0, 0, -1)}), "key=H&selfing.T1=2", nil, 410, 9, ""},
		{"the board's link", formPath(link.Claim{Opens: "board", Person: "ada", Turn: 1, Expires: noon.AddDate(0, 0, 9)}), "key=H&selfing.T1=2", nil, 403, 9, ""},
	} {
		if step.change != nil {
			step.change()
		}
		kind, body := inParts(t, step.fields)
		w := posted(p, step.path, kind, body)
		if w.Code != step.status || len(m.reports) != step.reports || w.Header().Get("Location") != step.follows {
			t.Errorf("%s: %d %q with %d stored, want %d %q with %d", step.sentence, w.Code, w.Header().Get("Location"), len(m.reports), step.status, step.follows, step.reports)
		}
	}
}
