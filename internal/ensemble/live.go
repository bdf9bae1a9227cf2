package ensemble

import (
	"cmp"
	"math"
	"slices"

	"budcall/internal/civil"
)

// reach gathers day distributions member by member. Of each member and need
// only the live days are evaluated, those on which the need is neither out of
// reach nor surely met. As sums never fall they are one run between two edges.
type reach struct {
	from  civil.Date
	size  int       // days
	live  []live    // by where they begin
	edges []float64 // of each live: where it begins and from where it is surely met, as the sums are counted
	by    []float64 // sums over members on live days, a row a need in the order given
	met   []int32   // by day, in rows of size+1: members whose need is surely met from there on

	// of one member
	at   []int     // where the row passes each edge
	logs []float64 // as far as taken
}

// live is a need made ready.
type live struct {
	row          int     // in the order given
	beginLog     float64 // the least logarithm within reach
	scale, start float64 // as addNormal takes them
}

// newReach prepares for sums of so many days. sumAt gives the sum, as the
// members' sums are counted, of a logarithm.
func newReach(from civil.Date, size int, needs []Need, sumAt func(logHeat float64) float64) *reach {
	n := len(needs)
	r := &reach{
		from: from, size: size, live: make([]live, n), edges: make([]float64, 2*n),
		by: make([]float64, size*n), met: make([]int32, (size+1)*n), at: make([]int, 2*n), logs: make([]float64, size),
	}
	for i, need := range needs {
		r.live[i] = need.live(i)
	}
	slices.SortStableFunc(r.live, func(a, b live) int { return cmp.Compare(a.beginLog, b.beginLog) })
	for k, l := range r.live {
		need := needs[l.row]
		r.edges[2*k], r.edges[2*k+1] = sumAt(l.beginLog), sumAt(need.surelyLog())
	}
	return r
}

func (n Need) live(row int) live {
	if n.SD < leastSpread {
		return live{row: row, beginLog: n.MeanLog}
	}
	scale := normalPerSD / n.SD
	// no heat at all, ln 0, is within nobody's reach
	begin := max(-math.MaxFloat64, n.MeanLog-normalReach*n.SD)
	return live{row: row, beginLog: begin, scale: scale, start: normalMiddle - n.MeanLog*scale}
}

// surelyLog is the logarithm from which on a need counts as met.
func (n Need) surelyLog() float64 {
	if n.SD < leastSpread {
		return n.MeanLog
	}
	return n.MeanLog + normalReach*n.SD
}

// addLogs adds a member whose sums are logarithms.
func (r *reach) addLogs(logs []float64) {
	logs = logs[:r.size]
	r.search(logs, 0)
	for k := range r.live {
		r.add(k, logs)
	}
}

// addHeat adds a member whose sums are °C·d. One logarithm a day serves all
// needs: as they are sorted by where they begin, what was taken for those
// before is one run that ends at done.
func (r *reach) addHeat(sumCd []float64, offsetCd float64) {
	sumCd = sumCd[:r.size]
	r.search(sumCd, offsetCd)
	done := 0
	for k := range r.live {
		first, past := r.at[2*k], r.at[2*k+1]
		if next := max(done, first); next < past {
			logsOf(r.logs[next:past], sumCd[next:past], offsetCd)
			done = past
		}
		r.add(k, r.logs)
	}
}

// search sets each r.at to the first index from which on the row, which never
// falls, plus the offset is at least that edge; to its length if there is none.
// All edges are sought at once, by halving, and halves are chosen by the sign
// of a difference: a processor can't guess them, and would lose more by
// guessing wrong than the search costs.
func (r *reach) search(row []float64, offset float64) {
	edges := r.edges
	at := r.at[:len(edges)]
	clear(at)
	for n := len(row); n > 0; {
		half := int(uint(n+1) / 2)
		for k, edge := range edges {
			below := int64(math.Float64bits(row[at[k]+half-1]+offset-edge)) >> 63 // all bits, or none
			at[k] += half & int(below)
		}
		n -= half
	}
}

func (r *reach) add(k int, logs []float64) {
	l, first := &r.live[k], r.at[2*k]
	past := max(first, r.at[2*k+1]) // sums that aren't numbers have no order
	addNormal(r.by[l.row*r.size+first:], logs[first:past], l.scale, l.start)
	r.met[l.row*(r.size+1)+past]++
}

// days gives the mean over so many members.
func (r *reach) days(members int) []Days {
	out, share := make([]Days, len(r.live)), 1/float64(members)
	for k := range out {
		by, met := r.by[k*r.size:(k+1)*r.size:(k+1)*r.size], r.met[k*(r.size+1):]
		var before float64
		var surely int32
		for i, sum := range by {
			surely += met[i]
			chance := (sum + float64(surely)) * share
			switch { // rounding neither lets a chance fall nor pass 1
			case chance < before:
				chance = before
			case chance > 1:
				chance = 1
			}
			by[i], before = chance, chance
		}
		out[k] = Days{From: r.from, By: by}
	}
	return out
}
