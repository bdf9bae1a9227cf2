package chart

import (
	"strconv"

	"budcall/internal/stage"
	"budcall/internal/words"
)

// style is the look of the picture: ink and greys on white, so that a print
// without colours loses nothing.
const style = `text{font:12px system-ui,"Segoe UI",Roboto,"DejaVu Sans",sans-serif;fill:#23282d}
.title{font-size:20px;font-weight:600}.head{font-size:14px;font-weight:600}.small{font-size:11px;fill:#565d65}
.end{text-anchor:end}.mid{text-anchor:middle}
.grid{stroke:#dcd9d0}.edge{stroke:#565d65}.leader{stroke:#8a9099}.full{stroke:#23282d;stroke-dasharray:6 3}
.curve{fill:none;stroke:#23282d;stroke-width:2}.c1{stroke-dasharray:8 3}.c2{stroke-dasharray:2 3}.c3{stroke-dasharray:10 3 2 3}.c4{stroke-width:3.5;stroke:#565d65}
.reached{fill:#fff;stroke:#23282d;stroke-width:2}
.band{fill:#a9a4c8;fill-opacity:.45;stroke:#6b6694;stroke-width:.7}.median{fill:none;stroke:#23282d;stroke-width:2}
.same{stroke:#8a9099;stroke-dasharray:2 3}
.days{stroke:#23282d;stroke-width:1.2;fill:#fff}.ahead{fill:#fff}.go{fill:#8a86b5}.hurry{fill:#23282d}.look{fill:url(#stripes)}.late{fill:url(#crosses)}.done{fill:#dcd9d0}
.mark{fill:#23282d}`

// frame is what every panel draws with.
type frame struct {
	*canvas
	axis
	cat *words.Catalogue
}

// Site draws the season of a site: heat against need, the forecasts as they
// narrowed, the days of each task, and what was reported, one below the other
// over one time axis. The same season always gives the same bytes.
func Site(s Season) []byte {
	f := frame{canvas: &canvas{}, axis: axisOf(s), cat: words.For(s.Lang)}
	y := 40.0
	y = f.heat(s.Heat, y)
	y = f.narrowing(s.Narrowing, y)
	y = f.calls(s.Calls, y)
	y = f.reports(s.Reports, y)

	var out canvas
	title := f.cat.Text(words.ChartTitle, words.Args{"site": s.Site, "year": strconv.Itoa(s.Year)})
	out.add(`<svg xmlns="http://www.w3.org/2000/svg" lang="%s" viewBox="0 0 %d %s" width="%d" height="%s" role="img" aria-labelledby="title desc">`,
		f.cat.Lang(), width, px(y), width, px(y))
	out.add(`<title id="title">%s</title>`, clean(title))
	out.add(`<desc id="desc">%s</desc>`, clean(f.cat.Text(words.ChartDesc)))
	out.add(`<style>%s</style>`, style)
	out.add(`<defs><pattern id="stripes" width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><rect width="5" height="5" fill="#fff"/><rect width="2" height="5" fill="#23282d"/></pattern>`)
	out.add(`<pattern id="crosses" width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><rect width="5" height="5" fill="#fff"/><path d="M0 0H5M0 0V5" stroke="#23282d" stroke-width="1.6"/></pattern></defs>`)
	out.add(`<rect width="100%%" height="100%%" fill="#fff"/>`)
	out.text(20, 26, "title", title)
	out.b.Write(f.b.Bytes())
	out.add(`</svg>`)
	return out.b.Bytes()
}

// head writes the heading of a panel and gives where the panel begins.
func (f frame) head(k words.Key, y float64) float64 {
	f.text(20, y+18, "head", f.cat.Text(k))
	return y + 28
}

// nothing says that a panel has nothing to show.
func (f frame) nothing(y float64) float64 {
	f.text(left, y+14, "small", f.cat.Text(words.ChartNothing))
	return y + 28
}

// stage gives the name of a stage.
func (f frame) stage(code stage.BBCH, name string) string {
	said, known := f.cat.StageKnown(int(code))
	if !known && name != "" {
		return name
	}
	return said
}
