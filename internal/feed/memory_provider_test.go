package feed_test

import (
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"strings"
	"testing"
	"time"

	"budcall/internal/feed"
)

// Bodies made to unfold in memory: while one is read the heap must not grow by
// more than ten times its size (and 4 MB for buffers), whether it is taken or
// refused.
func TestNoAnswerUnfoldsInMemory(t *testing.T) {
	const n = 200_000
	for _, row := range []struct{ format, body string }{
		{"smhi-metobs", `{"parameter":{"name":"Lufttemperatur","summary":"min, 1 gång per dygn","unit":"celsius"},"value":[` + strings.Repeat("{},", n) + `{}]}`},
		{"smhi-forecast", `{"timeSeries":[` + strings.Repeat("{},", n) + `{}]}`},
		{"metno", `{"type":"Feature","properties":{"meta":{"units":{"air_temperature":"celsius"}},"timeseries":[` + strings.Repeat("{},", n) + `{}]}}`},
		{"frost", `{"@type":"ObservationResponse","data":[` + strings.Repeat("{},", n) + `{}]}`},
		{"open-meteo", `{"daily_units":{"time":"iso8601","temperature_2m_mean":"°C"},"daily":{"time":[` + strings.Repeat(`"",`, n) + `""],"temperature_2m_mean":[` + strings.Repeat("1,", n) + `1]}}`},
		{"fmi", `<wfs:FeatureCollection xmlns:wfs="http://www.opengis.net/wfs/2.0">` + strings.Repeat("<wfs:member/>", n) + `</wfs:FeatureCollection>`},
		{"mosmix", `<k:kml xmlns:k="http://www.opengis.net/kml/2.2">` + strings.Repeat("<k:Placemark/>", n) + `</k:kml>`},
	} {
		limit := 10*uint64(len(row.body)) + 4<<20
		var b feed.Batch
		var err error
		grown := peak(func() {
			b, err = feed.Parse(row.format, strings.NewReader(row.body), feed.Options{Zone: time.UTC})
		})
		t.Logf("%s: %.1f of %.1f MB", row.format, float64(grown)/1e6, float64(limit)/1e6)
		if grown > limit {
			t.Errorf("%s: %d MB are needed for %d kB", row.format, grown>>20, len(row.body)>>10)
		}
		if err == nil && len(b.Days) > 0 {
			t.Errorf("%s: %d days of nothing", row.format, len(b.Days))
		}
	}
}

// peak gives by how many bytes the heap grew at most while work ran, with
// garbage collected early.
func peak(work func()) uint64 {
	defer debug.SetGCPercent(debug.SetGCPercent(20))
	runtime.GC()
	heap := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}}
	metrics.Read(heap)
	before := heap[0].Value.Uint64()
	highest := before
	done := make(chan struct{})
	go func() {
		defer close(done)
		work()
	}()
	for {
		select {
		case <-done:
			return highest - before
		default:
			metrics.Read(heap)
			highest = max(highest, heap[0].Value.Uint64())
			runtime.Gosched()
		}
	}
}
