package pull

import (
	"fmt"

	"budcall/internal/weather"
)

// conditional gives what is remembered of a source as it may be sent along:
// with what lets the other side answer that nothing has changed only where
// that answer would be to the same question. Of another address, or to be read
// in another way, the same bytes are news. After a start nobody knows, so a
// station is asked in full once; forecasts are always asked and read alike.
func (j *Job) conditional(o Order, src weather.Source) weather.Source {
	if before, had := j.hadAs.Load(o.Name); o.Site == "" && (!had || before != o.how()) {
		src.LastModified, src.ETag = "", ""
	}
	return src
}

// how tells how a source is asked and read.
func (o Order) how() string {
	return fmt.Sprintf("%s %s %v %s", o.Path, o.URL, o.Served, o.reading())
}
