package app

import "time"

// Tests try more often to start a programme that couldn't be.
func init() { retry = 20 * time.Millisecond }
