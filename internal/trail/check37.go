package trail

import "strings"

// symbols are the characters of ISO 7064 MOD 37-2, each at its value; the last
// one stands only as a check character.
const symbols = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*"

// CheckCharacter gives the check character of a text by ISO 7064 MOD 37-2 (the
// rule from memory): every character weighs twice as much as the one to its
// right, and the weighted sum, check character included with weight 1, leaves
// 1 when divided by 37. As 37 is a prime and no power of 2 below the 36th
// leaves 1, one wrong character and two swapped neighbours are always noticed.
// Hyphens only group and aren't counted. It is false where the text is empty or
// holds anything but A-Z, 0-9 and hyphens.
func CheckCharacter(text string) (check byte, ok bool) {
	sum, counted := 0, 0
	for _, r := range text {
		if r == '-' {
			continue
		}
		value := strings.IndexRune(symbols[:36], r)
		if value < 0 {
			return 0, false
		}
		sum, counted = (sum+value)*2%37, counted+1
	}
	return symbols[(38-sum)%37], counted > 0
}

// WithCheck gives a text with a hyphen and its check character behind it; the
// text alone where it can have none.
func WithCheck(text string) string {
	check, ok := CheckCharacter(text)
	if !ok {
		return text
	}
	return text + "-" + string(check)
}
