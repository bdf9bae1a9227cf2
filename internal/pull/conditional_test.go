package pull_test

import (
	"testing"
	"time"

	"budcall/internal/pull"
)

// web is a server with one page, that answers "unchanged" to whoever has it.
func (b *bench) web(etag, body string) {
	b.order.Path, b.order.URL = "", "https://weather.example/met.csv"
	b.provider.answer = func(a pull.Asking) (pull.Answer, error) {
		if a.ETag == etag {
			return pull.Answer{Unchanged: true, ETag: etag, LastModified: a.LastModified}, nil
		}
		return pull.Answer{Body: []byte(body), ETag: etag, LastModified: "Sun, 20 Apr 2031 06:00:00 GMT"}, nil
	}
}

func TestADayThatWaitsForItsTimeIsntLostToUnchanged(t *testing.T) {
	b := newBench()
	b.web(`"a"`, header+"2031-04-19,2,10,6\n2031-04-20,3,11,7\n")
	if got := words(b.do(t).Days); got != "04-19 6.0" {
		t.Error(got)
	}
	b.order.Now = morning.Add(24 * time.Hour)
	if got := words(b.do(t).Days); got != "04-20 7.0" {
		t.Errorf("when it is over: %q", got)
	}
	if b.do(t); b.provider.asked[2].ETag != `"a"` {
		t.Errorf("nothing waits, and it is asked in full: %+v", b.provider.asked[2])
	}
}

func TestUnchangedIsNoAnswerToAnotherQuestion(t *testing.T) {
	const plain = "day,low,high,mean\n"
	for _, row := range []struct {
		sentence string
		change   func(*pull.Order)
		body     string
	}{
		{"the unit is corrected", func(o *pull.Order) { o.Options.Unit = "F" }, plain + "2031-04-19,50,60,55\n"},
		{"the columns are", func(o *pull.Order) { o.Options.Missing = []string{"-99"} }, plain + "2031-04-19,1,9,5\n"},
		{"the address is another one", func(o *pull.Order) { o.URL += "?id=2" }, plain + "2031-04-19,1,9,5\n"},
		{"the station at the provider is", func(o *pull.Order) { o.Served = "280" }, plain + "2031-04-19,1,9,5\n"},
	} {
		b := newBench()
		b.order.Options.Columns = map[string]string{"date": "1", "tmin": "2", "tmax": "3", "tmean": "4"}
		b.web(`"a"`, row.body)
		b.do(t)
		if h := b.do(t); len(h.Days) > 0 || b.provider.asked[1].ETag != `"a"` {
			t.Errorf("%s: the same again brought %s", row.sentence, words(h.Days))
		}
		row.change(&b.order)
		if b.do(t); b.provider.asked[2].ETag != "" || b.provider.asked[2].LastModified != "" {
			t.Errorf("%s: asked %+v", row.sentence, b.provider.asked[2])
		}
		if b.do(t); b.provider.asked[3].ETag != `"a"` {
			t.Errorf("%s: from then on asked %+v", row.sentence, b.provider.asked[3])
		}
	}
}

// A new start knows the memory's word for what it had, and not how it was read.
func TestAfterAStartAStationIsAskedInFullOnce(t *testing.T) {
	b := newBench()
	b.web(`"a"`, header+"2031-04-19,2,10,6\n")
	b.do(t)
	again := newBench()
	again.memory.sources = b.memory.sources
	again.web(`"a"`, header+"2031-04-19,2,10,6\n")
	again.do(t)
	again.do(t)
	if again.provider.asked[0].ETag != "" || again.provider.asked[1].ETag != `"a"` {
		t.Errorf("asked %+v", again.provider.asked)
	}
}
