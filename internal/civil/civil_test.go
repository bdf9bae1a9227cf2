package civil_test

import (
	"testing"
	"time"

	"pgregory.net/rapid"

	"budcall/internal/civil"
)

func TestADateIsACountOfDays(t *testing.T) {
	// 719163 is the proleptic Gregorian ordinal of 1970-01-01 (Python's
	// date.toordinal gives the same count; from memory).
	for iso, count := range map[string]civil.Date{"0001-01-01": 1, "1970-01-01": 719163, "1969-12-31": 719162, "2000-02-29": 730179} {
		if got := civil.MustParse(iso); got != count {
			t.Errorf("%s = %d, want %d", iso, got, count)
		}
	}
}

func TestDaysAgreeWithTheStandardLibrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := civil.Date(rapid.IntRange(1, 1_000_000).Draw(t, "day"))
		if civil.At(d.Midnight()) != d {
			t.Fatalf("%d does not survive midnight", d)
		}
		back, err := civil.Parse(d.String())
		if err != nil || back != d {
			t.Fatalf("%s parses to %d, %v", d, back, err)
		}
		if (d + 1).Midnight().Sub(d.Midnight()) != 24*time.Hour {
			t.Fatalf("the day after %s is not a day later", d)
		}
	})
}

func TestParseRefusesWhatIsNoDate(t *testing.T) {
	for _, s := range []string{"", "2026-02-29", "2026-13-01", "26-01-01", "2026-1-1", "2026-01-01T00:00", "0000-01-01", "01.02.2026"} {
		if d, err := civil.Parse(s); err == nil {
			t.Errorf("%q was read as %s", s, d)
		}
	}
}

func TestTheDayIsTheOneOnTheWall(t *testing.T) {
	helsinki := time.FixedZone("EET", 2*3600)
	at := time.Date(2026, 4, 30, 22, 30, 0, 0, time.UTC)
	if got := civil.At(at.In(helsinki)).String(); got != "2026-05-01" {
		t.Errorf("got %s", got)
	}
	if got := civil.MustParse("2026-05-01").In(helsinki, 17, 0).UTC().Format(time.RFC3339); got != "2026-05-01T15:00:00Z" {
		t.Errorf("got %s", got)
	}
}

func TestTextRoundTrip(t *testing.T) {
	var d civil.Date
	if err := d.UnmarshalText([]byte("2027-05-03")); err != nil || d.String() != "2027-05-03" {
		t.Errorf("%s %v", d, err)
	}
	if err := d.UnmarshalText([]byte("3 May")); err == nil {
		t.Error("a date that is none was taken")
	}
	if err := d.UnmarshalText(nil); err != nil || !d.IsZero() || d.String() != "-" {
		t.Error("empty text is no date")
	}
}

func TestRangesIncludeBothEnds(t *testing.T) {
	r := civil.Range{First: civil.MustParse("2027-04-29"), Last: civil.MustParse("2027-05-03")}
	if r.Len() != 5 || !r.Has(r.First) || !r.Has(r.Last) || r.Has(r.Last+1) || r.Has(r.First-1) {
		t.Errorf("%s: %d days", r, r.Len())
	}
	if (civil.Range{}).Len() != 0 || (civil.Range{First: 5, Last: 4}).Len() != 0 || (civil.Range{}).Has(0) {
		t.Error("an empty range has days")
	}
	if got := (civil.MonthDay{Month: 2, Day: 29}).In(2027).String(); got != "2027-03-01" {
		t.Errorf("29 February of a common year: %s", got)
	}
}
