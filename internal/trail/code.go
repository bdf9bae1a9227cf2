package trail

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
)

// BagKind is what a bag is for: selfing bags keep the tree's own pollen in,
// control bags hang on a branch without male catkins and show what pollen gets
// in all the same. Seed of the two is never put together.
type BagKind string

// The kinds of bag.
const (
	Selfing BagKind = "selfing"
	Control BagKind = "control"
)

// BagKinds lists them.
var BagKinds = []BagKind{Selfing, Control}

func (k BagKind) letter() string {
	return map[BagKind]string{Selfing: "S", Control: "C"}[k]
}

// What is what a code names.
type What string

// What codes can name.
const (
	ATree    What = "tree"
	ABag     What = "bag"
	ALot     What = "lot"
	Unplaced What = "unplaced" // seed at the laboratory that matches no bag
)

// Code is a code taken apart. Written out, the code of a tree is K-001-C: the
// tree, and a check character. A bag of it is K-001-31S2-5: the season's last
// two digits, the kind, the bag's number. Its lot is K-001-31S-5, for all bags
// of that kind. What the laboratory couldn't place is 14U-S.
type Code struct {
	Tree   string  // without check character; empty for what is unplaced
	Season int     // the year; 0 for a tree
	Kind   BagKind // empty for a tree
	Bag    int     // from 1; 0 for a tree or a lot
	Number int64   // of what is unplaced
}

// What tells what the code names.
func (c Code) What() What {
	switch {
	case c.Number > 0:
		return Unplaced
	case c.Kind == "":
		return ATree
	case c.Bag == 0:
		return ALot
	}
	return ABag
}

// String writes the code with its check character.
func (c Code) String() string {
	switch c.What() {
	case Unplaced:
		return WithCheck(fmt.Sprintf("%dU", c.Number))
	case ATree:
		return WithCheck(c.Tree)
	case ALot:
		return WithCheck(fmt.Sprintf("%s-%02d%s", c.Tree, c.Season%100, c.Kind.letter()))
	}
	return WithCheck(fmt.Sprintf("%s-%02d%s%d", c.Tree, c.Season%100, c.Kind.letter(), c.Bag))
}

var (
	treePattern     = regexp.MustCompile(`^([A-Z][A-Z0-9]{0,11}-[0-9]{1,5})(?:-([0-9A-Z*]))?$`)
	hangingPattern  = regexp.MustCompile(`^([A-Z][A-Z0-9]{0,11}-[0-9]{1,5})-([0-9]{2})([SC])([1-9][0-9]?)?-([0-9A-Z*])$`)
	unplacedPattern = regexp.MustCompile(`^([1-9][0-9]{0,14})U-([0-9A-Z*])$`)
)

// ParseCode takes apart a code that is written as String writes it, or the code
// of a tree without its check character: then checked is false. Years are of
// this century. It doesn't know which trees there are; see Directory.
func ParseCode(text string) (c Code, checked bool, err error) {
	if m := unplacedPattern.FindStringSubmatch(text); m != nil {
		c.Number, _ = strconv.ParseInt(m[1], 10, 64) // 15 digits fit
	} else if m := hangingPattern.FindStringSubmatch(text); m != nil {
		year, _ := strconv.Atoi(m[2]) // 2 digits
		c = Code{Tree: m[1], Season: 2000 + year, Kind: kindOf[m[3]]}
		c.Bag, _ = strconv.Atoi(m[4]) // 1 or 2 digits, or nothing for a lot
	} else if m := treePattern.FindStringSubmatch(text); m != nil {
		c.Tree = m[1]
		if m[2] == "" {
			return c, false, nil
		}
	} else {
		return Code{}, false, fmt.Errorf("%q is no code of a tree, bag or lot: write it as it stands on the label, such as K-001-C, K-001-31S2-5 or K-001-31S-5", text)
	}
	if right := c.String(); right != text {
		return Code{}, false, fmt.Errorf("the check character of %q doesn't fit, so something in it is miswritten: read it from the label again", text)
	}
	return c, true, nil
}

var kindOf = map[string]BagKind{"S": Selfing, "C": Control}

// Base gives a tree's code without its check character, if it has one.
func Base(tree string) string {
	if m := treePattern.FindStringSubmatch(tree); m != nil {
		return m[1]
	}
	return tree
}

// CheckTreeCode tells whether a tree's code, as a site's file has it, ends in a
// check character. One that doesn't fit is an error, which says what would.
func CheckTreeCode(text string) (checked bool, err error) {
	m := treePattern.FindStringSubmatch(text)
	switch {
	case m == nil:
		return false, fmt.Errorf("%q can't be a tree's code: write capital letters, a hyphen and digits, then a hyphen and the check character, such as %s", text, WithCheck("K-001"))
	case m[2] == "":
		return false, nil
	case WithCheck(m[1]) != text:
		return false, fmt.Errorf("the check character of %s doesn't fit: if %s is right, write %s", text, m[1], WithCheck(m[1]))
	}
	return true, nil
}

// Bare gives a tree's code without hyphens and check character: of two trees
// with the same one, one would be taken for the other.
func Bare(tree string) string { return strings.ReplaceAll(Base(tree), "-", "") }
