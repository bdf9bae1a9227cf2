package web_test

import (
	"crypto/sha256"
	"encoding/base64"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"budcall/internal/call"
	"budcall/internal/web"
)

// Contrast as in WCAG 2.1, "relative luminance" and "contrast ratio"; 4.5 for
// texts (1.4.3), 3 for what is drawn (1.4.11). From memory.
func TestTextsAndDrawingsStandOutInLightAndDark(t *testing.T) {
	css := web.TemplateTexts()["style.css"]
	light, dark, ok := strings.Cut(css, "@media (prefers-color-scheme: dark)")
	if !ok {
		t.Fatal("the style has no dark part")
	}
	for name, part := range map[string]string{"light": light, "dark": dark} {
		colour := map[string]float64{}
		for _, m := range regexp.MustCompile(`--(\w+): #([0-9a-f]{6})`).FindAllStringSubmatch(part, -1) {
			if _, twice := colour[m[1]]; !twice {
				colour[m[1]] = luminance(m[2])
			}
		}
		for _, row := range []struct {
			on, what string
			least    float64
		}{
			{"ground", "ink", 4.5}, {"card", "ink", 4.5}, {"ground", "quiet", 4.5}, {"card", "quiet", 4.5}, {"ground", "wrong", 4.5}, {"card", "wrong", 4.5},
			{"strong", "onstrong", 4.5}, {"card", "strong", 3}, {"ground", "strong", 3}, {"span", "ink", 3},
		} {
			a, b := colour[row.on], colour[row.what]
			if ratio := (math.Max(a, b) + 0.05) / (math.Min(a, b) + 0.05); ratio < row.least || a == 0 || b == 0 {
				t.Errorf("%s: %s on %s has %.2f, want %v", name, row.what, row.on, ratio, row.least)
			}
		}
	}
}

func luminance(hex string) float64 {
	v, _ := strconv.ParseUint(hex, 16, 32)
	part := func(shift uint) float64 {
		c := float64(v>>shift&0xff) / 255
		if c <= 0.04045 {
			return c / 12.92
		}
		return math.Pow((c+0.055)/1.055, 2.4)
	}
	return 0.2126*part(16) + 0.7152*part(8) + 0.0722*part(0)
}

func TestThePolicyAllowsTheStyleOfThePageAndNoOther(t *testing.T) {
	w := get(t, newPages(newMemory(call.BagOn)), "/nowhere")
	_, rest, _ := strings.Cut(w.Body.String(), "<style>")
	style, _, _ := strings.Cut(rest, "</style>")
	sum := sha256.Sum256([]byte(style))
	if want := "style-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"; !strings.Contains(w.Header().Get("Content-Security-Policy"), want) {
		t.Errorf("the policy lacks %s", want)
	}
}
