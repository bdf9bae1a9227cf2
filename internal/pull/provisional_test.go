package pull_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"budcall/internal/civil"
	"budcall/internal/feed"
	"budcall/internal/pull"
	"budcall/internal/weather"
)

// hours writes a logger's hours of constant days, each 1 K warmer than the one
// before: from is 5 °C. The day covers UTC.
func hours(from string, count int) string {
	s := "time,\"temp, °C\"\n"
	at := civil.MustParse(from).In(utc, 0, 0)
	for i := range count {
		s += fmt.Sprintf("%s,%d\n", at.Add(time.Duration(i)*time.Hour).Format("2006.01.02 15:04"), 5+i/24)
	}
	return s
}

// logger lets a bench read hours.
func (b *bench) logger() {
	window, err := feed.ParseWindow("00-24 UTC")
	if err != nil {
		panic(err)
	}
	b.order.Format = "logger"
	b.order.Options = feed.Options{Station: "MET", Unit: "C", Clock: "UTC", Window: window, DateLayout: "YYYY.MM.DD"}
}

func provisionalDays(h weather.Haul) (dates []string) {
	for _, d := range h.Days {
		if d.Provisional {
			dates = append(dates, d.Date.String()[5:])
		}
	}
	return dates
}

func TestAProvisionalDayIsMadeWhereMuchHangsOnIt(t *testing.T) {
	for _, row := range []struct {
		sentence string
		hours    int // since 17 April, 00 UTC; it is 20 April, 06:10
		critical bool
		want     string // provisional days
	}{
		{"yesterday was read up to 18 UTC, and a call's days are near", 67, true, "[04-19]"},
		{"they aren't near: the final day is waited for", 67, false, "[]"},
		{"less than half of it was read: a morning is no day", 57, true, "[]"},
		{"yesterday is whole, and today has begun: what isn't over is no reading", 78, true, "[]"},
	} {
		b := newBench()
		b.logger()
		b.order.Critical = row.critical
		b.says(hours("2031-04-17", row.hours))
		h := b.do(t)
		if got := fmt.Sprint(provisionalDays(h)); got != row.want || h.Error != "" {
			t.Errorf("%s: provisional %s of %s (%s)", row.sentence, got, words(h.Days), h.Error)
		}
		if len(h.Days) == 0 || h.Days[0].MeanOf != weather.MeanReadings {
			t.Errorf("%s: %+v", row.sentence, h.Days)
		}
	}
}

func TestAProvisionalDayDoesNotCountAsTheNewest(t *testing.T) {
	b := newBench()
	b.logger()
	b.order.Critical = true
	b.says(hours("2031-04-17", 67))
	h := b.do(t)
	if got := h.Source.Newest.String(); got != "2031-04-18" {
		t.Errorf("the newest is %s", got)
	}
	b.order.Now = morning.Add(8 * time.Hour)
	b.says(hours("2031-04-17", 86))
	if h = b.do(t); len(provisionalDays(h)) != 0 || h.Source.Newest.String() != "2031-04-19" || !strings.Contains(words(h.Days), "04-19 7.0") {
		t.Errorf("the final day: %s, newest %s", words(h.Days), h.Source.Newest)
	}
}

// A day that was read in part is compared like any, and nobody is told.
func TestADoubtfulProvisionalDayIsMarkedAndNotTold(t *testing.T) {
	b := newBench()
	brings := b.among(valley(), 1)
	b.logger()
	s := "time,\"temp, °C\"\n"
	for i := range 18 {
		s += fmt.Sprintf("2031.04.19 %02d:00,%.1f\n", i, brings[0].MeanC+20)
	}
	b.says(s)
	h := b.do(t)
	if len(h.Days) != 1 || !h.Days[0].Provisional || h.Days[0].Mark == weather.Usable || len(b.troubles) != 0 {
		t.Errorf("%+v, told %v", h.Days, b.troubles)
	}
}

func TestMeansOfTwoKindsAreTold(t *testing.T) {
	b := newBench()
	var stored []weather.Day
	b.Past = func(context.Context, string, int, int) ([]weather.Day, error) { return stored, nil }
	b.says(header + "2031-04-17,1,9,5\n2031-04-18,2,10,6\n")
	stored = b.do(t).Days
	if len(b.troubles) != 0 {
		t.Fatalf("told %v", b.troubles)
	}
	b.says(header + "2031-04-17,1,9,5\n2031-04-18,2,10,6\n2031-04-19,3,12,\n")
	h := b.do(t)
	told := b.troubles["station:MET method"]
	for _, part := range []string{"station:MET: ", "as the file gives it (2), (max+min)/2 (1)", "2031-04-18 is as the file gives it, 2031-04-19 is (max+min)/2", "Settle for one"} {
		if !strings.Contains(told, part) {
			t.Errorf("told %q, without %q", told, part)
		}
	}
	stored = h.Days
	b.says(header + "2031-04-17,1,9,5\n2031-04-18,2,10,6\n2031-04-19,3,12,7.2\n")
	if b.do(t); len(b.troubles) != 0 {
		t.Errorf("once the mean has come it is still told: %v", b.troubles)
	}
}

func TestWindsAreKeptAsFarAsTheyAreOver(t *testing.T) {
	b := newBench()
	b.order.Format, b.order.Options = "dwd-daily", feed.Options{}
	b.says("STATIONS_ID;MESS_DATUM;QN_3;FX;FM;QN_4;RSK;RSKF;SDK;SHK_TAG;NM;VPM;PM;TMK;UPM;TXK;TNK;TGK;eor\r\n" +
		"77;20310418;3;18.5;6.1;3;0;0;5;0;3;6;1010;6;70;10;2;1;eor\r\n77;20310419;3;-999;4.0;3;0;0;5;0;3;6;1010;7;70;11;3;1;eor\r\n77;20310420;3;9;3;3;0;0;5;0;3;6;1010;7;70;11;3;1;eor\r\n")
	h := b.do(t)
	if len(h.Winds) != 2 || h.Winds[0].GustMS != 18.5 || h.Winds[0].MeanMS != 6.1 || !math.IsNaN(h.Winds[1].GustMS) {
		t.Errorf("%+v (%s)", h.Winds, h.Error)
	}
}

func TestASilentStationIsToldOnce(t *testing.T) {
	const file = header + "2031-04-18,1,9,5\n2031-04-19,2,10,6\n"
	for _, row := range []struct {
		sentence string
		hours    int // since it last brought a day
		critical bool
		answer   pull.Answer
		told     string // part of it; empty: nothing
	}{
		{"a day is no silence", 24, true, pull.Answer{Body: []byte(file)}, ""},
		{"one missed update is, near a call's days", 32, true, pull.Answer{Body: []byte(file)}, "silent for 32 hours: its newest day is 2031-04-19"},
		{"elsewhere it isn't", 32, false, pull.Answer{Body: []byte(file)}, ""},
		{"48 hours are, everywhere", 49, false, pull.Answer{Body: []byte(file)}, "look whether the logger works"},
		{"so they are where nothing has changed", 49, false, pull.Answer{Unchanged: true}, "silent for 49 hours"},
		{"a provider that has nothing isn't broken", 49, false, pull.Answer{Empty: true}, "has nothing of these days"},
	} {
		b := newBench()
		b.says(file)
		b.do(t)
		b.order.Now, b.order.Critical = morning.Add(time.Duration(row.hours)*time.Hour), row.critical
		b.provider.answer = func(pull.Asking) (pull.Answer, error) { return row.answer, nil }
		h := b.do(t)
		told := b.troubles["station:MET silent"]
		if (told != "") != (row.told != "") || !strings.Contains(told, row.told) || h.Error != "" || len(b.troubles) > 1 {
			t.Errorf("%s: told %v, %s", row.sentence, b.troubles, h.Error)
		}
		b.order.Critical = false // what was told by the narrower limit isn't over by the wider one
		if b.do(t); b.troubles["station:MET silent"] != told {
			t.Errorf("%s: afterwards %v", row.sentence, b.troubles)
		}
		b.says(file + "2031-04-20,3,11,7\n")
		if b.do(t); len(b.troubles) != 0 {
			t.Errorf("%s: it has spoken, and still %v", row.sentence, b.troubles)
		}
	}
}

func TestAnAnswerWithNothingInItIsNoFault(t *testing.T) {
	for _, row := range []struct {
		sentence string
		known    bool // it has given days before
		answer   pull.Answer
		failed   string
	}{
		{"nothing of these days", true, pull.Answer{Empty: true}, ""},
		{"an empty collection", true, pull.Answer{Body: []byte(emptyFrost)}, ""},
		{"nothing at all, ever: the id is wrong", false, pull.Answer{Empty: true}, "look whether the id is right"},
		{"an empty collection at the first asking", false, pull.Answer{Body: []byte(emptyFrost)}, "look whether the station measures"},
		{"no data at all", true, pull.Answer{Body: []byte("<html>")}, "station:MET: "},
	} {
		b := newBench()
		b.of("frost")
		b.order.Path, b.order.URL = "", "https://weather.example/x"
		if row.known {
			b.memory.sources["station:MET"] = weather.Source{Name: "station:MET", Newest: civil.MustParse("2031-04-18"), RenewedAt: morning.Add(-time.Hour)}
		}
		b.provider.answer = func(pull.Asking) (pull.Answer, error) { return row.answer, nil }
		h := b.do(t)
		if (h.Error != "") != (row.failed != "") || !strings.Contains(h.Error, row.failed) || (h.Source.Failures > 0) != (row.failed != "") || len(h.Body) > 0 {
			t.Errorf("%s: said %q, %d failures, told %v", row.sentence, h.Error, h.Source.Failures, b.troubles)
		}
	}
}

const emptyFrost = `{"@type":"ObservationResponse","data":[]}`
