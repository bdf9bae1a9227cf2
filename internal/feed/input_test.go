package feed_test

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"errors"
	"io"
	"runtime"
	"strings"
	"testing"
	"testing/iotest"

	"budcall/internal/feed"
	"budcall/internal/weather"
)

func gz(body []byte) []byte {
	var out bytes.Buffer
	w := gzip.NewWriter(&out)
	w.Write(body)
	w.Close()
	return out.Bytes()
}

func zipped(files ...string) []byte {
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for i := 0; i < len(files); i += 2 {
		must(w.Create(files[i])).Write([]byte(files[i+1]))
	}
	w.Close()
	return out.Bytes()
}

func TestPackedFilesAreOpened(t *testing.T) {
	plain := sample(t, "knmi/clean.txt")
	want := parse(t, "knmi", plain, feed.Options{})
	sameDays(t, "gzip", parse(t, "knmi", gz(plain), feed.Options{}).Days, want.Days)
	sameDays(t, "zip", parse(t, "knmi", zipped("folder/", "", "folder/etmgeg.txt", string(plain)), feed.Options{}).Days, want.Days)
	refused(t, "a zip of two files", "knmi", string(zipped("a.txt", string(plain), "b.txt", "x")), feed.Options{}, "2 files: a.txt, b.txt")
	refused(t, "an empty zip", "knmi", string(zipped()), feed.Options{}, "empty")
	refused(t, "nothing packed", "knmi", string(gz(nil)), feed.Options{}, "empty")
	packed := gz(sample(t, "ghcn-daily/invented.dly"))
	for _, cut := range []int{5, 15, len(packed) / 2, len(packed) - 4} {
		refused(t, "gzip cut off", "ghcn-daily", string(packed[:cut]), feed.Options{}, "cut off or damaged")
	}
	refused(t, "zip cut off", "knmi", string(zipped("a.txt", string(plain))[:300]), feed.Options{}, "cut off or damaged")
	broken := errors.New("disk trouble")
	if _, err := feed.Parse("knmi", io.MultiReader(bytes.NewReader(packed[:20]), iotest.ErrReader(broken)), feed.Options{}); !errors.Is(err, broken) {
		t.Errorf("%v", err)
	}
}

func TestAFileThatUnpacksWithoutEndIsRefused(t *testing.T) {
	bomb := gz(bytes.Repeat([]byte(" "), 100<<20)) // about 1000:1, the most that deflate reaches
	if len(bomb) > 1<<20 {
		t.Fatalf("%d bytes", len(bomb))
	}
	refused(t, "gzip", "ghcn-daily", string(bomb), feed.Options{}, "unpacks to more than 200 times its size")
	refused(t, "zip", "ghcn-daily", string(zipped("a.dly", strings.Repeat("9", 64<<20))), feed.Options{}, "unpacks to more than 200 times its size")
}

// generated is a reader of many records that never holds them all.
type generated struct {
	record []byte
	left   int64 // bytes
	at     int
}

func (g *generated) Read(p []byte) (n int, err error) {
	for n < len(p) && g.left > 0 {
		k := copy(p[n:], g.record[g.at:])
		k = int(min(int64(k), g.left))
		g.at = (g.at + k) % len(g.record)
		g.left -= int64(k)
		n += k
	}
	if n == 0 {
		return 0, io.EOF
	}
	return n, nil
}

func TestMemoryStaysFlatOn200MB(t *testing.T) {
	if testing.Short() {
		t.Skip("reads 200 MB")
	}
	records := sample(t, "ghcn-daily/two_stations.dly")
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	size := int64(200<<20) / int64(len(records)) * int64(len(records))
	b, err := feed.Parse("ghcn-daily", &generated{record: records, left: size}, feed.Options{Station: "ZZX00000002"})
	if err != nil {
		t.Fatal(err)
	}
	runtime.ReadMemStats(&after)
	if len(b.Days) != 30 || b.OtherRecords == 0 || b.MoreRejects == 0 {
		t.Errorf("%d days, %d others", len(b.Days), b.OtherRecords)
	}
	if held := int64(after.HeapSys) - int64(before.HeapSys); held > 32<<20 {
		t.Errorf("the heap grew by %d MB", held>>20)
	}
}

func TestLinesWithoutEndAreRejected(t *testing.T) {
	long := strings.Repeat("x", 1<<20)
	b := parse(t, "ghcn-csv", append(sample(t, "ghcn-csv/clean.csv"), []byte(long+"\nZZE00000001,20310509,TMAX,100,,,E,\n")...), feed.Options{})
	if len(b.Days) != 6 || len(b.Rejects) != 1 || b.Rejects[0].Line != 16 {
		t.Errorf("%d days, %v", len(b.Days), b.Rejects)
	}
	b = parse(t, "ghcn-daily", append([]byte(long+"\n"), sample(t, "ghcn-daily/invented.dly")...), feed.Options{})
	if len(b.Days) != 61 || !strings.Contains(b.Rejects[0].Reason, "characters") {
		t.Errorf("%d days, %v", len(b.Days), b.Rejects)
	}
}

func TestMergingFilesOfOneStation(t *testing.T) {
	at := func(name string, opt feed.Options) feed.Batch { return parse(t, "ecad", sample(t, name), opt) }
	mean, high := at("ecad/clean.txt", feed.Options{}), at("ecad/dirty.txt", feed.Options{})
	b, err := feed.Merge([]feed.Batch{mean, high}, feed.Options{})
	if err != nil || len(b.Days) != 8 || b.Days[0].MeanC != 5.1 || b.Days[0].MaxC != 12.1 || b.Days[5].Mark == "" || b.Flags["Q 0"] != 10 {
		t.Errorf("%+v, %v", b, err)
	}
	other := mean
	other.Days = append(other.Days[:0:0], mean.Days...)
	other.Days[1].MeanC = 99
	b, err = feed.Merge([]feed.Batch{mean, other}, feed.Options{})
	if err != nil || b.Days[1].MeanC != 5.2 || !strings.Contains(strings.Join(b.Notes, " "), "two files differ in 1 of their days, the first of them 2031-05-02: those of the file named first are kept") {
		t.Errorf("%v, %v, %v", b.Days, b.Notes, err)
	}
	other.Window = feed.Window{EndHour: 24, Zone: "UTC", Label: feed.LabelStart}
	if _, err = feed.Merge([]feed.Batch{mean, other}, feed.Options{}); err == nil || !strings.Contains(err.Error(), "other hours") {
		t.Errorf("%v", err)
	}
	other.Window, other.MeanOf = feed.Window{}, feed.MeanReadings
	if _, err = feed.Merge([]feed.Batch{mean, other}, feed.Options{}); err == nil || !strings.Contains(err.Error(), "two kinds") {
		t.Errorf("%v", err)
	}
	local := feed.Options{Window: feed.Window{EndHour: 24, Zone: "UTC+02:00", Label: feed.LabelStart}, ReadingsOnly: true}
	part := parse(t, "logger", sample(t, "logger/clean.csv"), local)
	half := part
	half.Readings, part.Readings = part.Readings[:15], part.Readings[12:]
	local.ReadingsOnly = false
	whole := parse(t, "logger", sample(t, "logger/clean.csv"), local)
	b, err = feed.Merge([]feed.Batch{half, part}, local)
	if err != nil || len(b.Rejects) != 3 || !strings.Contains(b.Rejects[0].Reason, "kept once") {
		t.Errorf("%v, %v", b.Rejects, err)
	}
	sameDays(t, "a logger read out twice", b.Days, whole.Days)
}

// A provider's recent and historical files overlap, and the recent one may hold
// values that will still change (DWD's description of its quality levels): the
// order in which somebody names them says nothing of that.
func TestOfTwoFilesTheHigherQualityHolds(t *testing.T) {
	row := func(day, level, mean, high, low string) string {
		return "77;" + day + ";" + level + ";" + mean + ";" + high + ";" + low + ";eor\r\n"
	}
	read := func(rows ...string) feed.Batch {
		return parse(t, "dwd-daily", []byte("STATIONS_ID;MESS_DATUM;QN_4;TMK;TXK;TNK;eor\r\n"+strings.Join(rows, "")), feed.Options{})
	}
	recent := read(row("20310501", "1", "5.0", "9.0", "1.0"), row("20310502", "1", "6.0", "9.5", "2.0"), row("20310503", "3", "7.0", "11.0", "3.0"))
	historical := read(row("20310501", "10", "5.4", "9.0", "-999"), row("20310502", "1", "6.6", "9.5", "2.0"))
	want := []weather.Day{day("2031-05-01", 1, 9, 5.4), day("2031-05-02", 2, 9.5, 6), day("2031-05-03", 3, 11, 7)}
	for _, parts := range [][]feed.Batch{{recent, historical}, {historical, recent}} {
		b, err := feed.Merge(parts, feed.Options{})
		if err != nil {
			t.Fatal(err)
		}
		sameDays(t, "merged", b.Days, want)
		if notes := strings.Join(b.Notes, " "); !strings.Contains(notes, "2 of their days, the first of them 2031-05-01: those of the higher quality level, else of the file named first, are kept") {
			t.Error(notes)
		}
		want[1].MeanC = 6.6 // of one level: the file named first
	}
}
