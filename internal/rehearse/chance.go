package rehearse

import (
	"hash/fnv"
	"math"
	"strconv"
)

// chance is one draw's place: what is drawn there depends on the seed and the
// names of the draw alone, never on what was drawn before it. So the truth is
// the same whatever plans run, in whatever order.
type chance uint64

// chanceOf gives the place named by parts under a seed.
func chanceOf(seed uint64, parts ...string) chance {
	h := fnv.New64a()
	h.Write([]byte(strconv.FormatUint(seed, 16)))
	for _, p := range parts {
		h.Write([]byte{0})
		h.Write([]byte(p))
	}
	return chance(mix(h.Sum64()))
}

// at gives the nth place below c.
func (c chance) at(n int) chance {
	return chance(mix(uint64(c) + 0x9e3779b97f4a7c15*(uint64(n)+1)))
}

// uniform gives a number of the open interval (0, 1).
func (c chance) uniform() float64 {
	return (float64(mix(uint64(c)^0xd1b54a32d192ed03)>>11) + 0.5) / (1 << 53)
}

// normal gives a standard Gaussian number, by the inverse of its distribution.
func (c chance) normal() float64 {
	return math.Sqrt2 * math.Erfinv(2*c.uniform()-1)
}

// mix is the finalizer of SplitMix64 (Steele, Lea & Flood 2014, OOPSLA): each
// bit of the result depends on each bit of x.
func mix(x uint64) uint64 {
	x ^= x >> 30
	x *= 0xbf58476d1ce4e5b9
	x ^= x >> 27
	x *= 0x94d049bb133111eb
	return x ^ x>>31
}
