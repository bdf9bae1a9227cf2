package link

import (
	"strconv"
	"time"
)

// OpensHeld is the claim of a link to a mail that waits for somebody's yes.
const OpensHeld = "held"

// Held gives the claim with which a person may say that a mail is theirs, or
// that it counts; arrived is its number in the memory.
func Held(person string, arrived int64, expires time.Time) Claim {
	return Claim{Opens: OpensHeld, Person: person, Task: strconv.FormatInt(arrived, 10), Expires: expires}
}

// Arrived gives the number of the mail that a claim is about; 0 where it is
// about none.
func (c Claim) Arrived() int64 {
	if c.Opens != OpensHeld {
		return 0
	}
	n, err := strconv.ParseInt(c.Task, 10, 64)
	if err != nil || n < 0 {
		return 0
	}
	return n
}
