package replay_test

import (
	"strings"
	"testing"
	"time"

	"budcall/internal/app"
	"budcall/internal/civil"
	"budcall/internal/feed"
	"budcall/internal/replay"
	"budcall/internal/weather"
)

// seriesOf gives the readings of a station file.
func seriesOf(t testing.TB, file string) *replay.Series {
	t.Helper()
	batch, err := feed.Parse("delimited", strings.NewReader(file), feed.Options{Unit: "C"})
	if err != nil {
		t.Fatal(err)
	}
	days, suspicion := weather.JudgeAll(batch.Days)
	if suspicion != "" {
		t.Fatal(suspicion)
	}
	s, err := replay.NewSeries(days)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// One site from January to October, told to people who never answer.
func BenchmarkASiteSeason(b *testing.B) {
	files := programme(b, 1, 1985, civil.Of(2017, 1, 1))
	p, problems, err := app.Load(folder(b, files, "127.0.0.1:9"))
	if err != nil || len(problems) > 0 {
		b.Fatal(err, problems)
	}
	series := map[string]*replay.Series{}
	for _, st := range p.Stations {
		series[st.Code] = seriesOf(b, files[st.Path])
	}
	b.ReportAllocs()
	for b.Loop() {
		told := 0
		s, err := replay.New(replay.Options{
			Programme: p, From: civil.Of(2016, 1, 1).In(time.UTC, 0, 0), Series: series, Key: key, OnTold: func(replay.Telling) { told++ },
		})
		if err != nil {
			b.Fatal(err)
		}
		if err := s.PlayTo(b.Context(), civil.Of(2016, 10, 5).In(time.UTC, 0, 0)); err != nil {
			b.Fatal(err)
		}
		if told < 10 {
			b.Fatalf("only %d things were told", told)
		}
	}
}
