package feed

import "fmt"

// Refusal is a file that can't be used as it is, or settings that don't fit
// it. Nothing of such a file is taken.
type Refusal struct {
	Line int    // 0 when the file as a whole is meant
	What string // what is wrong
	Cure string // what to do

	Empty bool // the answer is whole and well-formed, and says that there is nothing
}

// Error gives line, what and cure in one line.
func (r *Refusal) Error() string {
	text := r.What
	if r.Line > 0 {
		text = fmt.Sprintf("line %d: %s", r.Line, text)
	}
	if r.Cure == "" {
		return text
	}
	return text + " (" + r.Cure + ")"
}

func refuse(cure, what string, args ...any) error {
	return &Refusal{What: fmt.Sprintf(what, args...), Cure: cure}
}

// refuseEmpty is the refusal of an answer that says that there is nothing.
func refuseEmpty(cure, what string, args ...any) error {
	return &Refusal{What: fmt.Sprintf(what, args...), Cure: cure, Empty: true}
}

func atLine(err error, line int) error {
	if r, ok := err.(*Refusal); ok {
		r.Line = line
	}
	return err
}
