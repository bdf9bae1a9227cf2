package degreeday

import "math"

// A faster form of the single sine. With M and W the day's mean and half range
// and L the base, let y = 1 − |L−M|/W be how far the sine stays from just
// touching the base (0) to lying even about it (1). The day's heat is
//
//	max(0, M − L) + W·h(y),  h(y) = ∫₀ʸ acos(1−s) ds / π, 0 for y ≤ 0
//
// which is the published form, put so that one h serves means above and below
// the base, and days wholly to one side of it. Near 0 it goes as y·√y, so cells
// of equal width would do badly there. The cells used shrink with y + least:
// they are the exponent and the first bits of that number. In each, h is a
// cubic through four of its points; it is off by at most 3·10⁻⁹, so a day's
// heat by at most 3·10⁻⁹ °C·d for every degree of W.
const (
	arcLeast     = 1.0 / (1 << 13)
	arcCellBits  = 4 // 16 cells to each doubling
	arcBitsShift = 52 - arcCellBits
	arcFirst     = (1023 - 13) << arcCellBits // what the bits of arcLeast are shifted to
)

// arc is h over one cell, of v = y + arcLeast: a + v·(b + v·(c + v·d)).
type arc struct{ a, b, c, d float64 }

// arcs has more cells than y up to 1 needs: no index has to be checked.
var arcs = func() (table [256]arc) {
	for i := range table {
		edge := func(i int) float64 { return math.Float64frombits(uint64(i+arcFirst) << arcBitsShift) }
		table[i] = arcOver(edge(i), edge(i+1))
	}
	return table
}()

// arcOver is the cubic through h at the ends and the thirds of a cell.
func arcOver(start, end float64) arc {
	var v, h [4]float64
	for k := range v {
		v[k] = start + (end-start)*float64(k)/3
		h[k] = arcArea(v[k] - arcLeast)
	}
	for level := 1; level < 4; level++ { // Newton's divided differences
		for k := 3; k >= level; k-- {
			h[k] = (h[k] - h[k-1]) / (v[k] - v[k-level])
		}
	}
	p := arc{a: h[3]} // multiplied out from the inside
	for k := 2; k >= 0; k-- {
		p = arc{a: h[k] - v[k]*p.a, b: p.a - v[k]*p.b, c: p.b - v[k]*p.c, d: p.c}
	}
	return p
}

// arcArea is h(y). As acos(1−s) is √(2s)·Σ aₖ·(s/2)ᵏ with aₖ =
// (2k)!/(4ᵏ·k!²·(2k+1)), it is √2/π·y·√y·Σ aₖ·(y/2)ᵏ/(k + 3/2); for y up to
// 1 sixty terms are all that a float64 holds.
func arcArea(y float64) float64 {
	y = max(0, y)
	sum, power := 0.0, 1.0 // power is aₖ·(2k+1)·(y/2)ᵏ
	for k := range 60 {
		n := float64(k)
		sum += power / ((2*n + 1) * (n + 1.5))
		power *= (2*n + 1) / (2*n + 2) * y / 2
	}
	return sum * y * math.Sqrt(y) * math.Sqrt2 / math.Pi
}

// sineChunk is how many days are worked on at once.
const sineChunk = 32

// sineSums is Sums of the method Sine without an upper threshold. In spring one
// day lies across the base and the next does not, so asking each would be a
// jump that a processor guesses wrong: days across the base are listed first
// and then worked on together.
func sineSums(sumCd []float64, run Run, baseC, enoughCd float64) int {
	var list acrossList
	var sum float64
	done := 0
	for done < len(sumCd) {
		end := min(done+sineChunk, len(sumCd))
		heat := sumCd[done:end]
		list.whole(heat, run.MinC[done:end], run.MaxC[done:end], baseC)
		list.addTo(heat)
		sum = accumulate(heat, sum)
		if done = end; sum >= enoughCd {
			break
		}
	}
	return done
}

// accumulate turns heats of days into sums on from before, and gives the last.
// Two days are added at a time, so that a sum need not wait for the one before.
func accumulate(heat []float64, before float64) float64 {
	i := 0
	for ; i+1 < len(heat); i += 2 {
		one, both := heat[i], heat[i]+heat[i+1]
		heat[i], heat[i+1] = before+one, before+both
		before += both
	}
	if i < len(heat) {
		before += heat[i]
		heat[i] = before
	}
	return before
}

// acrossList is the days of a chunk that lie across the base.
type acrossList struct {
	n       int
	day     [sineChunk]uint8
	away, w [sineChunk]float64 // |M − L| and W
}

// whole sets each heat to max(0, M − L) and lists the days to which more is due,
// those with |M − L| < W. Each day is written to the list and stays if it
// belongs there; of numbers that aren't negative the bits compare alike.
func (a *acrossList) whole(heat, minC, maxC []float64, baseC float64) {
	heat, minC = heat[:len(maxC)], minC[:len(maxC)]
	day, aways, ws := &a.day, &a.away, &a.w
	k := uint(0)
	for i, x := range maxC {
		n := minC[i]
		above, w := (x+n)*0.5-baseC, (x-n)*0.5
		away := math.Abs(above)
		heat[i] = (above + away) * 0.5
		day[k%sineChunk], aways[k%sineChunk], ws[k%sineChunk] = uint8(i), away, w
		k += uint(math.Float64bits(away)-math.Float64bits(w)) >> 63
	}
	a.n = int(k)
}

// addTo adds W·h(y).
func (a *acrossList) addTo(heat []float64) {
	for k := range min(a.n, sineChunk) {
		w := a.w[k]
		v := 1 + arcLeast - a.away[k]/w
		p := &arcs[uint8(math.Float64bits(v)>>arcBitsShift-arcFirst)]
		heat[a.day[k]] += w * ((p.a + v*p.b) + v*v*(p.c+v*p.d))
	}
}
