package fetch

import "time"

// spending is one allowance of one host.
type spending struct {
	host string
	Allowance
}

// spent is what was used of an allowance in the time that began at since.
type spent struct {
	since    time.Time
	requests float64
}

// spend takes a request from the host's allowances, if each still has room for
// it; else it takes none and gives when they are granted anew. A request that
// is larger than a whole allowance passes while nothing of it is used. The
// caller holds the lock.
func (c *Client) spend(host string, r Rules, now time.Time) (until time.Time) {
	weight := r.Weight
	if weight <= 0 {
		weight = 1
	}
	for _, a := range r.Allowances {
		s := c.current(spending{host, a}, now)
		if s.requests > 0 && s.requests+weight > a.Requests {
			if end := s.since.Add(a.Per); end.After(until) {
				until = end
			}
		}
	}
	if !until.IsZero() {
		return until
	}
	for _, a := range r.Allowances {
		s := c.current(spending{host, a}, now)
		s.requests += weight
		c.spent[spending{host, a}] = s
	}
	return time.Time{}
}

// current gives what is spent of an allowance in the time that now lies in,
// which begins with its first request.
func (c *Client) current(key spending, now time.Time) spent {
	s, ok := c.spent[key]
	if !ok || !now.Before(s.since.Add(key.Per)) {
		return spent{since: now}
	}
	return s
}
