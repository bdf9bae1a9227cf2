package report_test

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"testing"

	"budcall/internal/report"
)

// secret stands for whatever mustn't be found in a kept picture.
const secret = "N57.7089 E14.1618"

// exif is an EXIF block that says "turn by 90 degrees" (orientation 6) and has
// the secret behind its only directory.
func exif() []byte {
	b := []byte("MM\x00\x2a\x00\x00\x00\x08\x00\x01\x01\x12\x00\x03\x00\x00\x00\x01\x00\x06\x00\x00\x00\x00\x00\x00")
	return append(b, secret...)
}

func picture() image.Image {
	img := image.NewRGBA(image.Rect(0, 0, 40, 24))
	for x := range 40 {
		for y := range 24 {
			img.Set(x, y, color.RGBA{uint8(x * 6), uint8(y * 9), uint8(x * y), 255})
		}
	}
	return img
}

func segment(mark byte, data string) []byte {
	b := binary.BigEndian.AppendUint16([]byte{0xff, mark}, uint16(len(data)+2))
	return append(b, data...)
}

// jpegWith gives a JPEG with segments put in behind its start.
func jpegWith(t testing.TB, segments ...[]byte) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, picture(), nil); err != nil {
		t.Fatal(err)
	}
	raw := b.Bytes()
	out := append([]byte{}, raw[:2]...)
	for _, s := range segments {
		out = append(out, s...)
	}
	return append(out, raw[2:]...)
}

func TestAJPEGKeepsItsPictureAndItsTurnAndNothingElse(t *testing.T) {
	raw := jpegWith(t,
		segment(0xe0, "JFIF\x00\x01\x01\x00\x00\x01\x00\x01\x01\x01"+secret[:3]),
		segment(0xe1, "Exif\x00\x00"+string(exif())),
		segment(0xe1, "http://ns.adobe.com/xap/1.0/\x00<x>"+secret+"</x>"),
		segment(0xe2, "ICC_PROFILE\x00"+secret), segment(0xed, "Photoshop 3.0\x00"+secret), segment(0xfe, secret))
	raw = append(raw, secret...) // behind the end, as moving pictures are
	got, err := report.StripPhoto(raw)
	if err != nil {
		t.Fatal(err)
	}
	if got.Type != "image/jpeg" || bytes.Contains(got.Bytes, []byte(secret)) || bytes.Contains(got.Bytes, []byte("N57")) {
		t.Errorf("%s of %d bytes still says where it was taken", got.Type, len(got.Bytes))
	}
	if !bytes.Contains(got.Bytes, []byte("Exif\x00\x00MM\x00\x2a\x00\x00\x00\x08\x00\x01\x01\x12\x00\x03\x00\x00\x00\x01\x00\x06")) {
		t.Error("it lost the way it is to be turned")
	}
	samePixels(t, raw, got.Bytes)
}

// samePixels decodes both by the standard library.
func samePixels(t *testing.T, a, b []byte) {
	t.Helper()
	one, _, err := image.Decode(bytes.NewReader(a))
	if err != nil {
		t.Fatal(err)
	}
	two, _, err := image.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatalf("the kept picture can't be read: %v", err)
	}
	if one.Bounds() != two.Bounds() {
		t.Fatalf("%v became %v", one.Bounds(), two.Bounds())
	}
	for x := range one.Bounds().Dx() {
		for y := range one.Bounds().Dy() {
			if one.At(x, y) != two.At(x, y) {
				t.Fatalf("the point %d,%d changed", x, y)
			}
		}
	}
}

func chunk(kind, data string) []byte {
	b := binary.BigEndian.AppendUint32(nil, uint32(len(data)))
	b = append(append(b, kind...), data...)
	return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(b[4:]))
}

// pngWith gives a PNG with chunks put in behind its first.
func pngWith(t testing.TB, chunks ...[]byte) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, picture()); err != nil {
		t.Fatal(err)
	}
	raw := b.Bytes()
	out := append([]byte{}, raw[:33]...)
	for _, c := range chunks {
		out = append(out, c...)
	}
	return append(out, raw[33:]...)
}

func TestAPNGKeepsItsPictureAndItsTurnAndNothingElse(t *testing.T) {
	raw := pngWith(t, chunk("eXIf", string(exif())), chunk("tEXt", "Comment\x00"+secret), chunk("iTXt", "XML:com.adobe.xmp\x00\x00\x00\x00\x00"+secret),
		chunk("tIME", "\x07\xef\x05\x03\x00\x00\x00"), chunk("prVt", secret))
	raw = append(raw, secret...)
	got, err := report.StripPhoto(raw)
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Contains(got.Bytes, []byte(secret)) || bytes.Contains(got.Bytes, []byte("tIME")) {
		t.Error("it still says where or when it was taken")
	}
	if !bytes.Contains(got.Bytes, []byte("eXIfMM\x00\x2a\x00\x00\x00\x08\x00\x01\x01\x12\x00\x03\x00\x00\x00\x01\x00\x06")) {
		t.Error("it lost the way it is to be turned")
	}
	samePixels(t, raw, got.Bytes)
}

func riff(chunks ...[]byte) []byte {
	body := []byte("WEBP")
	for _, c := range chunks {
		body = append(body, c...)
	}
	return append(binary.LittleEndian.AppendUint32([]byte("RIFF"), uint32(len(body))), body...)
}

func riffChunk(kind, data string) []byte {
	b := append(binary.LittleEndian.AppendUint32([]byte(kind), uint32(len(data))), data...)
	if len(data)%2 == 1 {
		b = append(b, 0)
	}
	return b
}

func TestAWebPKeepsItsPictureAndItsTurnAndNothingElse(t *testing.T) {
	// The coded picture is opaque to StripPhoto: it has to come out unchanged.
	// Flags 0x2c: profile, EXIF and XMP; of them EXIF stays, for the turn.
	coded := riffChunk("VP8L", "\x2fcoded picture")
	raw := riff(riffChunk("VP8X", "\x2c\x00\x00\x00\x27\x00\x00\x17\x00\x00"+secret), riffChunk("ICCP", secret), coded,
		riffChunk("EXIF", string(exif())), riffChunk("XMP ", secret), riffChunk("mine", secret))
	got, err := report.StripPhoto(raw)
	if err != nil {
		t.Fatal(err)
	}
	want := riff(riffChunk("VP8X", "\x08\x00\x00\x00\x27\x00\x00\x17\x00\x00"), coded,
		riffChunk("EXIF", "MM\x00\x2a\x00\x00\x00\x08\x00\x01\x01\x12\x00\x03\x00\x00\x00\x01\x00\x06\x00\x00\x00\x00\x00\x00"))
	if !bytes.Equal(got.Bytes, want) {
		t.Errorf("kept\n%q\nnot\n%q", got.Bytes, want)
	}
}

func TestWhatIsNoPictureToKeepSaysWhy(t *testing.T) {
	for _, c := range []struct {
		says string
		raw  []byte
		want error
	}{
		{"nothing at all", nil, report.ErrNotPicture},
		{"a drawing with a script in it", []byte("<svg onload=\"alert(1)\"/>"), report.ErrNotPicture},
		{"HEIC, by its content", []byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"), report.ErrKeepsPlace},
		{"a JPEG without an end", jpegWith(t)[:400], report.ErrDamaged},
		{"a PNG without an end", pngWith(t)[:100], report.ErrDamaged},
		{"a PNG with a wrong checksum", append([]byte("\x89PNG\r\n\x1a\n"), append(chunk("IHDR", "0123456789abc")[:21], 1, 2, 3, 4)...), report.ErrDamaged},
		{"a moving WebP", riff(riffChunk("VP8X", "\x02\x00\x00\x00\x00\x00\x00\x00\x00\x00"), riffChunk("ANMF", "x")), report.ErrNotPicture},
		{"a WebP that is shorter than it says", riff(riffChunk("VP8 ", "x"))[:15], report.ErrDamaged},
	} {
		if _, err := report.StripPhoto(c.raw); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, not %v", c.says, err, c.want)
		}
	}
}

func TestAPictureCutAnywhereIsDamagedAndNeverKept(t *testing.T) {
	for _, raw := range [][]byte{jpegWith(t, segment(0xe1, "Exif\x00\x00"+string(exif()))), pngWith(t, chunk("eXIf", string(exif())))} {
		for n := range len(raw) - 1 {
			if _, err := report.StripPhoto(raw[:n]); err == nil {
				t.Fatalf("%d of %d bytes are kept as a picture", n, len(raw))
			}
		}
	}
}

func FuzzStripPhoto(f *testing.F) {
	f.Add(jpegWith(f, segment(0xe1, "Exif\x00\x00"+string(exif()))))
	f.Add(pngWith(f, chunk("eXIf", string(exif()))))
	f.Add(riff(riffChunk("VP8X", "\x2c\x00\x00\x00\x27\x00\x00\x17\x00\x00"), riffChunk("VP8L", "x"), riffChunk("EXIF", string(exif()))))
	f.Fuzz(func(t *testing.T, raw []byte) {
		got, err := report.StripPhoto(raw)
		if err != nil {
			return
		}
		if len(got.Bytes) > len(raw)+48 {
			t.Errorf("%d bytes became %d", len(raw), len(got.Bytes))
		}
		again, err := report.StripPhoto(got.Bytes)
		if err != nil || !bytes.Equal(again.Bytes, got.Bytes) {
			t.Errorf("stripped twice it isn't the same: %v", err)
		}
	})
}

func TestNoPhotoOfTheCorpusSaysWhereItWasTaken(t *testing.T) {
	k, kept := known(t), 0
	for _, row := range rows(t, "expected.csv") {
		for _, p := range report.Read(grown(t, row), k, options(row["received"])).Photos {
			kept++
			// GPS 57 degrees as an EXIF rational, the marker of a comment, EXIF as such
			// (no photo of the corpus is turned).
			for _, trace := range []string{"\x00\x00\x00\x39\x00\x00\x00\x01", "\xff\xfe", "Exif", "http"} {
				if bytes.Contains(p.Bytes, []byte(trace)) {
					t.Errorf("%s: %s still holds %q", row["file"], p.Name, trace)
				}
			}
			if _, err := jpeg.Decode(bytes.NewReader(p.Bytes)); err != nil {
				t.Errorf("%s: %s can't be read any more: %v", row["file"], p.Name, err)
			}
			if len(p.Bytes) > 4096 {
				t.Errorf("%s: %s has %d bytes: what stood behind the picture was kept", row["file"], p.Name, len(p.Bytes))
			}
		}
	}
	if kept != 9 {
		t.Errorf("%d photos kept, not the 9 of the column", kept)
	}
}

func TestTheSamePhotoTwiceIsOneAndAttachmentsAreNamed(t *testing.T) {
	part := func(name, kind string, raw []byte) string {
		return "--b\nContent-Type: " + kind + "; name=\"" + name + "\"\nContent-Disposition: attachment\nContent-Transfer-Encoding: base64\n\n" +
			base64.StdEncoding.EncodeToString(raw) + "\n"
	}
	photo := jpegWith(t)
	raw := "From: lead@forest.example\nIn-Reply-To: <t-bag-on@x>\nContent-Type: multipart/mixed; boundary=b\n\n--b\n\nT1 2+1\n" +
		part("one.jpg", "image/jpeg", photo) + part("again.heic", "application/octet-stream", photo) + part("b.heic", "image/heic", []byte("\x00\x00\x00\x18ftypheic....")) +
		part("C:\\x\\run\u202ejpg.exe", "image/jpeg", []byte("MZ")) + part("winmail.dat", "application/ms-tnef", []byte("x")) + part("site.yml", "text/yaml", []byte("days: 5\n")) + "--b--\n"
	r := report.Read([]byte(raw), world("en"), report.Options{Received: options("2031-05-02T16:05:00Z").Received})
	if len(r.Photos) != 1 || r.Photos[0].Name != "one.jpg" || len(r.Files) != 1 || string(r.Files[0].Bytes) != "days: 5\n" || r.Outcome != report.Stored {
		t.Errorf("%d photos, %d files, %s", len(r.Photos), len(r.Files), r.Outcome)
	}
	want := []report.Dropped{{Name: "b.heic", Why: report.KeepsPlace}, {Name: "runjpg.exe", Why: report.Program}, {Name: "winmail.dat", Why: report.Wrapped}}
	for n, d := range r.Dropped {
		d.Bytes = 0
		if n >= len(want) || d != want[n] {
			t.Errorf("dropped %+v", d)
		}
	}
	if len(r.Dropped) != len(want) {
		t.Errorf("%d dropped, not %d", len(r.Dropped), len(want))
	}
	small := report.Read([]byte(raw), world("en"), report.Options{Received: options("2031-05-02T16:05:00Z").Received, MaxPhotoBytes: 100})
	if len(small.Photos) != 0 || small.Dropped[0].Why != report.TooLarge {
		t.Errorf("a photo beyond the limit: %d kept, %+v", len(small.Photos), small.Dropped)
	}
}
