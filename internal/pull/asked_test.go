package pull_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"budcall/internal/civil"
	"budcall/internal/feed"
	"budcall/internal/pull"
)

func april(first, last int) civil.Range {
	return civil.Range{First: civil.Of(2030, 4, first), Last: civil.Of(2030, 4, last)}
}

func TestAPartOfThePastHoldsTheDaysAskedForOrStaysToBeFetched(t *testing.T) {
	const may = header + "2030-05-01,1,9,5\n2030-05-02,2,10,6\n"
	for _, row := range []struct {
		sentence, body string
		asked          civil.Range
		days, failed   string
		rejected       string // what is said of the whole
	}{
		{"an answer of other days is none", may, april(1, 30), "",
			"holds none of the days asked for (2030-04-01–2030-04-30); it holds 2030-05-01–2030-05-02", ""},
		{"a station that began in the middle is an answer", header + "2030-04-29,1,9,5\n2030-04-30,2,10,6\n", april(1, 30), "04-29 5.0, 04-30 6.0", "", ""},
		{"so are holes", header + "2030-04-02,1,9,5\n2030-04-29,2,10,6\n", april(1, 30), "04-02 5.0, 04-29 6.0", "", ""},
		{"days beside those asked for aren't had with them", may, civil.Range{First: civil.Of(2030, 4, 1), Last: civil.Of(2030, 5, 1)}, "05-01 5.0", "", ""},
		{"and many of them are told", header + "2030-04-02,1,9,5\n2030-05-06,2,10,6\n2030-05-07,3,11,7\n", april(1, 30), "04-02 5.0", "", "2 days that weren't asked for are left out, 2030-05-06–2030-05-07"},
		{"a file holds what it holds", may, civil.Range{Last: civil.Of(2030, 4, 30)}, "05-01 5.0, 05-02 6.0", "", ""},
	} {
		b := newBench()
		b.order.BackFill, b.order.Asked = true, row.asked
		b.says(row.body)
		h := b.do(t)
		if got := words(h.Days); got != row.days {
			t.Errorf("%s: %s, want %s", row.sentence, got, row.days)
		}
		if (h.Error != "") != (row.failed != "") || !strings.Contains(h.Error, row.failed) {
			t.Errorf("%s: said %q", row.sentence, h.Error)
		}
		said := ""
		for _, r := range h.Rejects {
			said += r.Reason
		}
		if said != row.rejected {
			t.Errorf("%s: of the whole %q, want %q", row.sentence, said, row.rejected)
		}
	}
}

func TestReadingsOfOtherDaysAreNoPartOfThePastEither(t *testing.T) {
	b := newBench()
	b.of("frost")
	b.order.Options.Zone, b.order.BackFill, b.order.Asked = utc, true, april(1, 30)
	b.says(`{"@type":"ObservationResponse","data":[{"sourceId":"SN1:0","referenceTime":"2030-06-01T12:00:00Z","observations":[{"elementId":"air_temperature","value":5,"unit":"degC"}]}]}`)
	if h := b.do(t); !strings.Contains(h.Error, "it holds 2030-06-01–2030-06-01") {
		t.Errorf("said %q, %d days", h.Error, len(h.Days))
	}
}

// That there is nothing is an answer: no failure, no days, and nothing kept.
func TestAnEmptyPartOfThePastIsNoFailure(t *testing.T) {
	b := newBench()
	b.of("fmi")
	b.order.BackFill, b.order.Asked = true, april(1, 30)
	for _, answer := range []pull.Answer{
		{Empty: true},
		{Body: []byte(`<wfs:FeatureCollection xmlns:wfs="http://www.opengis.net/wfs/2.0" numberMatched="0" numberReturned="0"></wfs:FeatureCollection>`)},
	} {
		b.provider.answer = func(pull.Asking) (pull.Answer, error) { return answer, nil }
		if h := b.do(t); h.Error != "" || len(h.Days) > 0 || len(h.Body) > 0 || len(b.troubles) > 0 {
			t.Errorf("said %q, %d days, %d bytes kept, told %v", h.Error, len(h.Days), len(h.Body), b.troubles)
		}
	}
}

func TestAPartOfThePastInFahrenheitStaysToBeFetched(t *testing.T) {
	b := newBench()
	b.order.Options.Columns = map[string]string{"date": "day", "tmin": "low", "tmax": "high", "tmean": "mean"}
	b.order.BackFill = true
	b.says(strings.Replace(warm(1.8, 32), header, "day,low,high,mean\n", 1))
	h := b.do(t)
	if !strings.Contains(h.Error, "look like degrees Fahrenheit, so none is used (declare unit: F") || len(h.Days) > 0 || len(h.Body) > 0 {
		t.Errorf("said %q, %d days", h.Error, len(h.Days))
	}
}

// The cure that is named is one that the format's settings have.
func TestAUnitIsToBeDeclaredOnlyWhereItCanBe(t *testing.T) {
	for _, f := range feed.Formats() {
		_, err := feed.Parse(f.Name, strings.NewReader(""), feed.Options{Unit: "F"})
		var r *feed.Refusal
		if !errors.As(err, &r) {
			t.Fatal(f.Name, err)
		}
		own := strings.Contains(r.What, "has its own unit")
		if cure := pull.UnitCure(f.Name); strings.Contains(cure, "unit: F") == own {
			t.Errorf("%s, of its own unit: %v, and to do is%s", f.Name, own, cure)
		}
	}
	// A whole answer of the Finnish Meteorological Institute in °F, of which no unit can be declared.
	b := newBench()
	b.of("fmi")
	body := `<wfs:FeatureCollection xmlns:wfs="http://www.opengis.net/wfs/2.0" xmlns:BsWfs="http://xml.fmi.fi/schema/wfs/2.0">`
	for day := range 19 {
		for _, v := range []string{"tday>60", "tmin>50", "tmax>70"} {
			name, value, _ := strings.Cut(v, ">")
			body += fmt.Sprintf(`<wfs:member><BsWfs:BsWfsElement><BsWfs:Time>2031-04-%02dT00:00:00Z</BsWfs:Time><BsWfs:ParameterName>%s</BsWfs:ParameterName><BsWfs:ParameterValue>%s</BsWfs:ParameterValue></BsWfs:BsWfsElement></wfs:member>`, day+1, name, value)
		}
	}
	b.says(body + "</wfs:FeatureCollection>")
	b.do(t)
	if got := b.troubles["station:MET content"]; !strings.Contains(got, "tell the provider, or name another station") || strings.Contains(got, "unit: F") {
		t.Errorf("the ops person is told %q", got)
	}
}
